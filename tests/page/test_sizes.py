"""The search for the largest box in the page: what it left open, and whose settings it is of."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from case_lists import mostly_thorough
from page_browsers import settled
from page_process import PageServer
from page_sizes import FOUND, WARNED, answer, search, size
from palewright.costing import box_budgets
from palewright.costing.shop_file import shipped_figures
from palewright.parameters.variant_files import load_variant
from palewright.size_search.pareto_search import frontiers_of
from palewright.size_search.pareto_sizes import BoxSize, Frontier
from palewright.size_search.size_grid import places_of
from palewright_drawings.output.progress import Silent
from palewright_drawings.page.jobs import partial_sizes
from palewright_drawings.texts.size_search_text import frontier_as_json

SMALL = [
    "size.least_width=14 in", "size.most_width=19 in", "size.least_height=12 in",
    "size.most_height=18 in",
]  # fmt: skip

TALLEST = 18 * 25.4 - 1e-3
"""mm, of these sizes."""


def sides(one: dict[str, Any]) -> tuple[float, ...]:
    return tuple(one[f"{side}_mm"] for side in ("width", "depth", "height"))


def footprint(one: dict[str, Any]) -> tuple[float, float]:
    return one["width_mm"], one["depth_mm"]


@pytest.mark.thorough
def test_what_is_told_on_the_way_grows_into_what_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(partial_sizes, "PAUSE", 0.0)
    parameters = load_variant("stoop-tub", [*SMALL, "size.looks=drawn"]).parameters
    parts: list[dict[str, Any]] = []
    found = partial_sizes.searched(parameters, 7, Silent(), lambda one: parts.append(dict(one)))
    assert found == frontiers_of(parameters, [7])[0]  # watching changes nothing
    places = [(round(w, 3), round(d, 3)) for w, d in places_of(parameters)]
    assert len(parts) == len(places)
    for done, one in enumerate(parts, start=1):
        assert one["places"] == len(places)
        whole_height = [sides(size)[:2] for size in one["sizes"] if sides(size)[2] > TALLEST]
        left = [  # what a box as high as any has is not left: that box beats all over it
            place
            for place in places[done:]
            if not any(place[0] <= w + 1e-3 and place[1] <= d + 1e-3 for w, d in whole_height)
        ]
        assert [footprint(place) for place in one["unreached"]] == left
    whole = frontier_as_json(found, parameters)
    assert parts[-1].keys() == {*whole, "places"}
    assert {sides(one) for one in parts[-1]["sizes"]} == {sides(one) for one in whole["sizes"]}
    for one in parts:  # none of what is told is beaten by another that is told
        told = [sides(size) for size in one["sizes"]]
        for a in told:
            assert not any(b != a and all(x >= y for x, y in zip(b, a, strict=True)) for b in told)


@pytest.mark.thorough  # the quick one of what is told on the way is of boards
def test_a_budget_of_money_tells_what_it_affords_on_the_way(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Each size told costs no more, though dearer ones of as many boards were found."""
    monkeypatch.setattr(partial_sizes, "PAUSE", 0.0)
    changes = [*SMALL, "size.most_width=15 in", "size.looks=drawn", "lumber.cap=fence-34"]
    parameters, shop = load_variant("stoop-tub", changes).parameters, shipped_figures()[0]
    parts: list[dict[str, Any]] = []
    money = 26.0
    found = partial_sizes.afforded(
        parameters, "spend", money, shop, Silent(), lambda one: parts.append(dict(one)), 60.0
    )
    told = [size for one in parts for size in one["sizes"]]
    assert told and all(size["cost"] <= money for size in told)
    assert found.frontier.sizes  # though the largest of the most boards cost more
    assert all(size.cost <= money for size in found.frontier.sizes)


def test_a_budget_of_minutes_tells_each_better_offer() -> None:
    changes = [*SMALL, "size.looks=drawn"]
    parameters, shop = load_variant("stoop-tub", changes).parameters, shipped_figures()[0]
    asked: list[list[int]] = []
    parts: list[dict[str, Any]] = []

    def search(counts: Sequence[int]) -> list[Frontier]:
        asked.append(list(counts))
        side = 50.0 * counts[0]
        return [Frontier(counts[0], (BoxSize(side, side, side, (), counts[0], 1, 0.9, 1.0),))]

    minutes = iter([100.0, 200.0, 900.0, 300.0, 500.0])
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(box_budgets, "build_minutes", lambda *_: next(minutes))
        patch.setattr(partial_sizes, "sought", lambda _, counts, *__: search(counts))
        patch.setattr(
            partial_sizes, "frontier_as_json", lambda one, _, times: {"boards": one.boards}
        )
        found = partial_sizes.afforded(
            parameters, "minutes", 400.0, shop, Silent(), lambda one: parts.append(dict(one)), 60.0
        )
    assert [counts for (counts,) in asked] == [2, 4, 8, 6, 7]
    assert [one["boards"] for one in parts] == [2, 4, 6]
    assert found.frontier.boards == 6


@pytest.mark.thorough
def test_a_search_tells_what_it_found_through_the_server(
    server: PageServer,
) -> None:
    changes = {"size.least_width": "14 in", "size.most_width": "30 in"}
    body = {"page": "t", "variant": "stoop-tub", "boards": 9, "tell": True, "changes": changes}
    _, _, content = server.send(
        "POST", "/frontier", json.dumps(body).encode(), Content_Type="application/json"
    )
    lines = [json.loads(line) for line in content.splitlines() if line.startswith(b'{"')]
    parts = [line["part"] for line in lines if "part" in line]
    whole = lines[-1]
    assert whole["boards"] == 9 and whole["sizes"]
    unreached = [len(one["unreached"]) for one in parts]
    assert parts and unreached == sorted(unreached, reverse=True)


def test_what_time_left_undecided_is_said(opened: Page) -> None:
    search(opened, answer(whole=FOUND))
    left = opened.locator("#left")
    expect(left).to_contain_text("2 sizes left undecided, the largest 18 in × 18 in × 16 in")
    expect(left).to_contain_text("at least 7 boards (a plan of 8 is known)")
    expect(left).to_contain_text("1 size left out: not fitting together (PW102)")
    expect(left).to_contain_text("no box of 7 boards holds more than 3.00 ft³")  # 84.95 l
    proven = {"undecided": 0, "open": [], "refused": [], "proven": True, "bound_l": 71.3}
    search(opened, answer(whole={**FOUND, **proven}))
    expect(left).to_have_text(
        "Proven: of the sizes and looks sought, no box of 7 boards holds more."
    )
    expect(opened.locator("#sizes li")).to_have_count(2)
    search(opened, answer(whole={**FOUND, **proven, "sizes": [], "bound_l": 0.0}))
    expect(left).to_be_hidden()


def test_a_search_that_is_ended_keeps_what_it_found_and_says_what_it_did_not_reach(
    opened: Page,
) -> None:
    part = {**FOUND, "refused": [], "places": 90}
    part["unreached"] = [{"width_mm": 500.0, "depth_mm": 400.0, "heights": 3}] * 37
    ended = {"error": {"message": "took longer than 300 s and was ended"}, "status": 500}
    doing = {"doing": "7 boards: widths and depths", "done": 53, "total": 90}
    search(opened, answer(doing, {"part": {**part, "sizes": []}}, {"part": part}, ended))
    expect(opened.locator("#frontier-job")).to_contain_text("took longer than 300 s and was ended")
    expect(opened.locator("#left")).to_contain_text("37 of 90 widths and depths not looked at")
    expect(opened.locator("#left")).not_to_contain_text("holds more")  # nothing is sure yet
    expect(opened.locator("#sizes li")).to_have_count(2)
    opened.locator("#sizes button").first.click()
    settled(opened)
    expect(opened.locator("[id='set-box.height']")).to_have_value("17 in")


@pytest.mark.thorough
def test_sizes_are_marked_as_of_former_settings_and_lead_back_to_them(opened: Page) -> None:
    former = opened.locator("#former")
    search(opened, answer(whole=FOUND))
    opened.locator("#sizes button").first.click()
    settled(opened)
    expect(former).to_be_hidden()  # a size that it found is of its settings
    opened.locator("#units").select_option("metric")
    settled(opened)
    expect(former).to_be_hidden()
    expect(opened.locator("#sizes button").first).to_contain_text("406.4 × 406.4 × 431.8 mm")
    opened.locator("#units").select_option("inch")
    settled(opened)
    opened.locator("#variant").select_option("herb-trough")
    expect(former).to_contain_text("“Stoop tub”")
    expect(opened.locator("#sizes")).to_have_class(re.compile("former"))
    settled(opened)
    opened.locator("#sizes button").nth(1).click()
    expect(opened.locator("#title")).to_have_text("Stoop tub")
    settled(opened)
    expect(former).to_be_hidden()
    expect(opened.locator("[id='set-box.width']")).to_have_value("17 in")
    opened.evaluate("for (const d of document.querySelectorAll('.group')) d.open = true")
    opened.locator("[id='set-panel.lip']").fill("5/8 in")
    opened.locator("[id='set-panel.lip']").press("Tab")
    expect(former).to_be_visible()
    opened.locator("#undo").click()
    expect(former).to_be_hidden()
    # a new search clears the old one
    opened.unroute("**/frontier")
    opened.route("**/frontier", lambda _: None)
    opened.locator("#frontier button", has_text="Search").click()
    expect(opened.locator("#sizes li")).to_have_count(0)
    expect(opened.locator("#hold")).to_be_hidden()
    opened.locator("#frontier-job").get_by_role("button", name="stop").click()


CORNERS = """() => [...document.querySelectorAll("#sizes .front")].map((one) => {
  const points = one.getAttribute("points").split(" ").map((point) => point.split(",").map(Number));
  return [points[1][0] - points[0][0], points[0][1] - points[2][1]];
})"""
"""Width and height of the front of each small box, as it is drawn."""


@pytest.mark.parametrize("width", mostly_thorough([320, 390, 1024, 1440], 320))
def test_offers_are_drawn_to_one_scale_and_have_room_at_every_width(
    opened: Page, width: int
) -> None:
    opened.set_viewport_size({"width": width, "height": 800})
    found = [size(304.8, 508.0, 70.0) | {"warnings": WARNED}, *FOUND["sizes"]]
    search(opened, answer(whole={**FOUND, "sizes": found}))
    offers = opened.locator("#sizes li")
    expect(offers).to_have_count(3)
    warned = "warning: a pull may tip it; a board is bent more than is assumed for it"
    expect(offers.first).to_contain_text(warned)
    expect(offers.filter(has_text="warning")).to_have_count(1)
    drawn = opened.evaluate(CORNERS)
    scales = [
        drawn[i][axis] / one[f"{side}_mm"]
        for i, one in enumerate(found)
        for axis, side in enumerate(("width", "height"))
    ]
    assert max(scales) - min(scales) < 0.02 * max(scales)
    for row in opened.locator("#sizes li").all():
        assert row.evaluate("one => one.scrollWidth <= one.clientWidth")
    assert opened.evaluate("document.documentElement.scrollWidth") <= width
    opened.locator("#sizes button").first.click()
    settled(opened)
    expect(opened.locator("[id='set-box.height']")).to_have_value("20 in")


def test_one_side_is_dragged_and_the_others_follow_as_one_step_back(opened: Page) -> None:
    search(opened, answer(whole={**FOUND, "sizes": [size(304.8, 508.0, 70.0), *FOUND["sizes"]]}))
    hold = opened.locator("#hold-at")
    expect(hold).to_have_attribute("max", "2")
    hold.focus()
    width, height = (opened.locator(f"[id='set-box.{side}']") for side in ("width", "height"))
    for at, text in ((1, "16 in"), (2, "17 in")):
        opened.keyboard.press("ArrowRight")
        expect(width).to_have_value(text)
        settled(opened)
        assert hold.input_value() == str(at)
        assert (hold.get_attribute("aria-valuetext") or "").startswith(text.split()[0])
    expect(height).to_have_value("15 in")
    opened.locator("#undo").click()
    settled(opened)
    opened.locator("#undo").click() if width.input_value() != "19 in" else None
    settled(opened)
    expect(width).to_have_value("19 in")
    opened.locator("#hold-side").select_option("height")
    expect(opened.locator("#hold-told")).to_contain_text("× 20 in")


def test_a_slimmer_size_brings_its_settings_and_three_stand_side_by_side(opened: Page) -> None:
    slim = size(457.2, 406.4, 80.0) | {"look": "slimmer"}
    slim["settings"] = [*slim["settings"], {"key": "floor.gap", "value": "7/16 in"}]
    others = [size(304.8, 508.0, 70.0) | {"warnings": WARNED[:1]}, *FOUND["sizes"]]
    search(opened, answer(whole={**FOUND, "sizes": [slim, *others]}))
    ticks = opened.locator("#sizes input[type=checkbox]")
    for i in range(3):
        ticks.nth(i).check()
    expect(ticks.nth(3)).to_be_disabled()
    heads = opened.locator("#compared tr").first.locator("th")
    assert heads.all_inner_texts()[1:] == ["18 × 18 × 16 in", "12 × 12 × 20 in", "16 × 16 × 17 in"]
    looks = opened.locator("#compared tr", has_text="look").locator("td").all_inner_texts()
    assert looks == ["slimmer", "as drawn", "as drawn"]
    warned = opened.locator("#compared tr", has_text="warnings").locator("td").all_inner_texts()
    assert warned == ["none", "a pull may tip it", "none"]
    gap = opened.locator("[id='set-floor.gap']")
    drawn = gap.input_value()
    assert drawn != "7/16 in"
    opened.locator("#sizes button").first.click()
    expect(gap).to_have_value("7/16 in")
    settled(opened)
    opened.locator("#sizes button").nth(1).click()  # as drawn again: what the slim one set goes
    expect(opened.locator("[id='set-box.width']")).to_have_value("12 in")
    settled(opened)
    expect(gap).to_have_value(drawn)
    expect(opened.locator("#former")).to_be_hidden()


@pytest.mark.parametrize(
    ("kind", "most"), mostly_thorough([("spend", 30), ("minutes", 900)], ("spend", 30))
)
def test_a_budget_of_money_or_minutes_is_held(server: PageServer, kind: str, most: int) -> None:
    changes = {"size.least_width": "14 in", "size.most_width": "18 in", "size.looks": "drawn"}
    status, found = server.ask("frontier", variant="stoop-tub", changes=changes, **{kind: most})
    assert status == 200
    assert found["sizes"]
    for one in found["sizes"]:
        assert one["cost" if kind == "spend" else "minutes"] <= most
    assert server.ask("frontier", variant="stoop-tub", **{kind: 1})[0] == 422
