"""The box that is kept to compare, and strokes of a key as steps back, in a browser."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, Route, expect

from page_browsers import SETTLED_PRICE, settled
from page_process import ROOT


def kept(page: Page, name: str) -> str:
    """Return what stands in a row of the kept column."""
    return page.locator("#facts tr", has_text=name).locator("td").nth(1).inner_text()


def typed(page: Page, key: str, text: str) -> None:
    field = page.locator(f"[id='set-{key}']")
    field.fill(text)
    field.press("Tab")


def unfilled(page: Page) -> int:
    """Return how many of the kept figures are still to come."""
    return [text for row in page.locator("#facts tbody tr").all()
            for text in row.locator("td").nth(1).all_inner_texts()].count("…")  # fmt: skip


@pytest.mark.thorough
def test_a_box_kept_before_its_figures_come_gets_them(opened: Page) -> None:
    opened.context.unroute(SETTLED_PRICE)
    before = opened.locator("#facts tr", has_text="boards to buy").locator("td").inner_text()
    weight = opened.locator("#facts tr", has_text="empty weight").locator("td").inner_text()
    held: list[Route] = []
    for task in ("first", "cut", "verdict"):
        opened.route(f"**/{task}", lambda route: held.append(route))
    typed(opened, "box.width", "18 in")
    expect(opened.locator("#facts")).to_contain_text("18 × ")
    opened.locator("#keep").click()
    assert kept(opened, "boards to buy") == "…"
    for task in ("first", "cut", "verdict"):
        opened.unroute(f"**/{task}")
    # the page goes on; what it asked for the kept box is given up
    opened.locator("#variant").select_option("herb-trough")
    settled(opened)
    boards = opened.locator("#facts tr", has_text="boards to buy").locator("td").nth(1)
    expect(boards).to_contain_text("proven least")
    costs = opened.locator("#facts tr", has_text="costs").locator("td").nth(1)
    expect(costs).to_have_text(re.compile(r"^\d+\.\d\d USD( \(now .*)?$"))
    assert unfilled(opened) == 0
    assert kept(opened, "outside").startswith("18 × ")
    assert kept(opened, "empty weight") != weight
    assert int(boards.inner_text().split(",")[0]) >= int(before.split(",")[0])
    # with the page at the kept box again, both columns say the same
    opened.locator("#take").click()
    settled(opened)
    for row in opened.locator("#facts tbody tr").all():
        now, other = row.locator("td").all_inner_texts()
        assert now == other


def test_a_box_kept_before_it_is_drawn_is_the_one_that_is_set(opened: Page) -> None:
    held: list[Route] = []
    opened.route("**/design", lambda route: held.append(route))
    with opened.expect_request("**/design"):
        typed(opened, "box.width", "18 in")
    opened.locator("#keep").click()
    assert kept(opened, "outside") == "…"
    held[0].continue_()
    opened.unroute("**/design")
    expect(opened.locator("#facts tr.other")).to_have_count(0)
    settled(opened)
    assert kept(opened, "outside").startswith("18 × ")


def test_the_kept_column_follows_the_units(opened: Page) -> None:
    opened.locator("#keep").click()
    assert kept(opened, "outside").endswith(" in")
    opened.locator("#units").select_option("metric")
    settled(opened)
    outside = opened.locator("#facts tr", has_text="outside").locator("td").nth(1)
    expect(outside).to_have_text("482.6 × 482.6 × 406.4 mm")
    assert kept(opened, "empty weight").endswith(" kg")
    for row in opened.locator("#facts tbody tr").all():
        now, other = row.locator("td").all_inner_texts()
        assert now.split(",")[0] == other.split(",")[0]  # the price may be settled on one side
    typed(opened, "box.width", "500")
    settled(opened)
    assert kept(opened, "outside") == "482.6 × 482.6 × 406.4 mm"


def test_the_kept_box_survives_a_reload(opened: Page) -> None:
    opened.locator("#keep").click()
    typed(opened, "box.width", "22 in")
    expect(opened).to_have_url(re.compile(r"width=%2222\+in"))  # some time after it is shown
    opened.reload()
    settled(opened)
    outside = opened.locator("#facts tr", has_text="outside").locator("td")
    expect(outside.nth(0)).to_contain_text("22 × ")
    expect(outside.nth(1)).to_contain_text("19 × ")
    boards = opened.locator("#facts tr", has_text="boards to buy").locator("td")
    expect(boards.nth(1)).to_contain_text("proven least")
    opened.locator("#take").click()
    settled(opened)
    expect(opened.locator("[id='set-box.width']")).to_have_value("19 in")


PAGE = ROOT / "drawings" / "palewright_drawings" / "page" / "web"
HOLD_PAUSES = """() => {
  const [start, stop] = [setTimeout, clearTimeout];
  window.pauses = new Map();
  window.setTimeout = (act, ms) => {
    const one = start(ms === PAUSE ? () => 0 : act, ms);
    if (ms === PAUSE) pauses.set(one, act);
    return one;
  };
  window.clearTimeout = (one) => { pauses.delete(one); stop(one); };
}"""
"""Has the page's pause after a key come when the test says so, not by the clock."""

PASS_PAUSES = "() => { for (const act of pauses.values()) act(); pauses.clear(); }"


@pytest.mark.thorough
def test_strokes_of_a_key_are_one_step_back_until_a_pause_another_key_or_another_place(
    opened: Page,
) -> None:
    field = opened.locator("[id='set-box.width']")
    handle = field.locator("xpath=..").locator("input[type=range]")
    code = (PAGE / "sliders.js").read_text(encoding="utf-8")
    (pause,) = re.findall(r"^const PAUSE = (\d+);", code, re.M)
    opened.evaluate(HOLD_PAUSES.replace("PAUSE", pause))
    handle.focus()
    for _ in range(3):
        opened.keyboard.press("ArrowRight")
    opened.evaluate(PASS_PAUSES)
    for _ in range(2):
        opened.keyboard.press("ArrowRight")
    for _ in range(4):
        opened.keyboard.press("ArrowLeft")
    opened.locator("#canvas").focus()
    handle.focus()
    opened.keyboard.press("ArrowLeft")
    # a key held down is one gesture, however long
    opened.keyboard.press("Shift")
    opened.keyboard.down("ArrowRight")
    opened.evaluate(PASS_PAUSES)
    opened.keyboard.down("ArrowRight")
    opened.keyboard.up("ArrowRight")
    settled(opened)
    steps = []
    while opened.locator("#undo").is_enabled():
        opened.locator("#undo").click()
        settled(opened)
        steps.append(field.input_value())
    assert len(steps) == 5, steps
    assert steps == ["19 in", "19-1/16 in", "19-5/16 in", "19-3/16 in", "19 in"]


def cost(page: Page, column: int) -> str:
    return page.locator("#facts tr", has_text="costs").locator("td").nth(column).inner_text()


def test_prices_are_compared_like_with_like(opened: Page) -> None:
    """A first figure beside a first figure, a settled price beside a settled one."""
    prices = {"19": ("190.00", "180.00"), "22": ("210.00", "205.00")}
    held: list[Route] = []

    def first(route: Route) -> None:
        told = route.fetch().json()
        told["price"]["cost"] = prices[side(route)][0]
        route.fulfill(json=told)

    def side(route: Route) -> str:
        said = (route.request.post_data_json or {})["changes"]
        return str(said.get("box.width", "19 in")).split()[0]

    def settle(route: Route) -> None:
        price = {"currency": "USD", "figures": "", "settled": True, "ask": "9.00"}
        route.fulfill(json={"price": {**price, "cost": prices[side(route)][1]}})

    opened.route("**/cut", first)
    opened.route("**/price", settle)
    opened.reload()
    expect(opened.locator("#sum-costs")).to_have_text("180.00")
    opened.locator("#keep").click()
    opened.unroute("**/price")
    opened.route("**/price", lambda route: held.append(route))
    with opened.expect_request("**/price"):
        typed(opened, "box.width", "22 in")
    expect(opened.locator("#sum-costs")).to_have_text("≈ 210.00")
    expect(opened.locator("#facts tr", has_text="costs")).to_contain_text("(now +20.00)")
    assert cost(opened, 0).startswith("210.00 USD, first figure")
    assert cost(opened, 1).startswith("190.00 USD, first figure")
    for route in held:
        settle(route)
    expect(opened.locator("#sum-costs")).to_have_text("205.00")
    expect(opened.locator("#facts tr", has_text="costs")).to_contain_text("(now +25.00)")
    assert cost(opened, 0) == "205.00 USD"
    assert cost(opened, 1).startswith("180.00 USD (")
