"""Sizes on the box itself: dragged, moved by keys, typed; and what is known along them."""

from __future__ import annotations

import json
import math
import re
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from playwright.sync_api import Locator, Page, expect

from case_lists import mostly_thorough, thorough
from page_browsers import at_rest, settled
from page_process import PageServer
from palewright.design import design
from palewright.parameters.variant_files import load_variant
from palewright.reading.errors import InputError
from palewright_drawings.output.progress import Silent
from palewright_drawings.page.control_groups import shaping
from palewright_drawings.page.jobs.size_tracks import (
    COARSE,
    Bill,
    Track,
    asked_track,
    bill_at,
    filled,
    track_of,
)

PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
SMALL = {"viewport": {"width": 1280, "height": 720}}
INCH = 25.4


def grip(page: Page, name: str, of: str = " of the box") -> Locator:
    return page.get_by_role("slider", name=name + of)


def middle(place: Locator) -> tuple[float, float]:
    box = place.bounding_box()
    assert box
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def outward(page: Page, name: str) -> tuple[float, float]:
    """Return the direction in the picture in which a size grows: of its line, to its handle."""
    index = ["Width", "Depth", "Height"].index(name)
    drawn = page.locator("#sizes-drawn .sized").nth(index).get_attribute("d") or ""
    a, b, c, d = (float(one) for one in re.split("[ML ]", drawn)[1:5])
    long = math.hypot(c - a, d - b)
    return (c - a) / long, (d - b) / long


def inches(page: Page, name: str, of: str = " of the box") -> float:
    said = grip(page, name, of).get_attribute("aria-valuenow")
    return float(said or "nan") / INCH


def set_to(page: Page, key: str) -> float:
    """Return what the settings say, inches, written as 16-1/2 in."""
    text = page.locator(f"[id='set-{key}']").input_value().removesuffix(" in")
    whole, _, part = text.partition("-")
    if "/" in whole:
        whole, part = "0", whole
    top, _, bottom = part.partition("/")
    return float(whole) + (float(top) / float(bottom) if part else 0.0)


@pytest.mark.parametrize(
    "opened", mostly_thorough([SMALL, PHONE], SMALL), indirect=True, ids=["desk", "phone"]
)
@pytest.mark.parametrize("name", mostly_thorough(["Width", "Depth", "Height"], "Width"))
def test_a_face_follows_the_hand_by_quarter_inches_and_is_one_step_back(
    opened: Page, name: str
) -> None:
    key = f"box.{name.lower()}"
    at_rest(opened)
    before = set_to(opened, key)
    handle = grip(opened, name)
    x, y = middle(handle)
    way = outward(opened, name)
    opened.mouse.move(x, y)
    opened.mouse.down()
    seen = []
    for pixel in range(1, 25):
        opened.mouse.move(x + way[0] * pixel, y + way[1] * pixel)
        seen.append(inches(opened, name))
    settled(opened)
    at_rest(opened)
    hx, hy = middle(handle)
    assert abs((hx - x) * way[0] + (hy - y) * way[1] - 24) < 8  # it is under the hand
    opened.mouse.up()
    steps = [round(4 * (b - a), 6) for a, b in zip([before, *seen], seen, strict=False)]
    assert set(steps) <= {0.0, 1.0}  # a pixel is never more than a step, and none goes back
    assert seen[-1] > before
    assert all(round(4 * one, 6) == round(4 * one) for one in seen)
    assert set_to(opened, key) == pytest.approx(seen[-1])
    opened.locator("#undo").click()
    settled(opened)
    assert set_to(opened, key) == before
    expect(opened.locator("#undo")).to_be_disabled()


def test_keys_move_a_handle_by_the_shops_step_and_a_pause_ends_the_stroke(opened: Page) -> None:
    handle = grip(opened, "Height")
    handle.focus()
    for _ in range(3):
        opened.keyboard.press("ArrowUp")
    opened.keyboard.press("Shift+ArrowDown")
    settled(opened)
    assert set_to(opened, "box.height") == 16 + 3 / 4 - 1
    expect(handle).to_have_attribute("aria-valuetext", re.compile("^15-3/4 in"))
    for back in (16.75, 16):
        opened.locator("#undo").click()
        settled(opened)
        assert set_to(opened, "box.height") == back


def test_a_size_is_typed_at_its_line(opened: Page) -> None:
    pill = opened.get_by_role("button", name="19 in, type another").first
    pill.click()
    field = opened.get_by_label("Width of the box, typed")
    expect(field).to_be_focused()
    field.fill("21 1/8")
    field.press("Enter")
    settled(opened)
    assert set_to(opened, "box.width") == 21.125  # what is typed is taken as it is
    expect(opened.get_by_role("button", name="21-1/8 in, type another")).to_be_focused()
    grip(opened, "Depth").focus()
    opened.keyboard.press("2")
    field = opened.get_by_label("Depth of the box, typed")
    expect(field).to_have_value("2")
    field.press("Escape")
    expect(field).to_be_hidden()
    assert set_to(opened, "box.depth") == 19
    opened.locator("#undo").click()
    settled(opened)
    expect(opened.locator("#undo")).to_be_disabled()


def test_a_picked_board_has_a_handle_across_it(opened: Page) -> None:
    """The rails of front and sides are one part: the front's key leads."""
    rails = opened.locator("#parts tr", has_text="rail").first
    expect(opened.get_by_role("slider", name="Width of the rail")).to_have_count(0)
    rails.locator("button").click()
    handle = grip(opened, "Width of the rail", "")
    before = inches(opened, "Width of the rail", "")
    assert before == pytest.approx(set_to(opened, "panel.rail_width"))
    handle.focus()
    opened.keyboard.press("ArrowRight")
    settled(opened)
    assert set_to(opened, "panel.rail_width") == pytest.approx(before + 0.25)
    assert inches(opened, "Width of the rail", "") == pytest.approx(before + 0.25)
    opened.locator("#undo").click()
    settled(opened)
    assert set_to(opened, "panel.rail_width") == pytest.approx(before)
    opened.keyboard.press("Escape")
    expect(handle).to_be_hidden()


@pytest.mark.parametrize(
    ("role", "name", "key"),
    [
        thorough(("cap", "Overhang of the cap", "cap.overhang")),
        ("rail", "Foot of the box", "box.foot"),
    ],
)
def test_a_picked_cap_has_its_overhang_and_a_picked_rail_the_foot(
    opened: Page, role: str, name: str, key: str
) -> None:
    opened.locator("#parts tr", has_text=role).first.locator("button").click()
    handle = grip(opened, name, "")
    before = set_to(opened, key)
    assert inches(opened, name, "") == pytest.approx(before)
    at_rest(opened)
    x, y = middle(handle)
    handle.focus()
    opened.keyboard.press("ArrowRight")
    settled(opened)
    assert set_to(opened, key) == pytest.approx(before + 0.25)
    at_rest(opened)
    there = middle(handle)
    assert math.hypot(there[0] - x, there[1] - y) > 1  # px: the line grew by a quarter of an inch
    opened.keyboard.press("Escape")
    expect(handle).to_be_hidden()


def test_the_face_across_stays_where_it_is_in_the_picture(opened: Page) -> None:
    """The width's line begins at the face across: its lower end does not move, nor does scale."""
    start = "() => document.querySelector('#sizes-drawn .sized').getAttribute('d').slice(1, 12)"
    at_rest(opened)
    before = opened.evaluate(start)
    grip(opened, "Width").focus()
    for _ in range(6):
        opened.keyboard.press("ArrowRight")
    settled(opened)
    assert set_to(opened, "box.width") == 20.5
    at_rest(opened)
    assert opened.evaluate(start) == before


def test_a_handle_says_and_paints_what_is_known_along_it(opened: Page) -> None:
    tell_tracks(opened)
    handle = grip(opened, "Width")
    handle.focus()
    expect(handle).to_have_attribute("aria-valuetext", "19 in, 8 boards, 28.00 USD")
    kinds = opened.locator("#sizes-drawn .band").evaluate_all(
        "all => all.map((one) => one.getAttribute('class'))"
    )
    assert kinds == ["band no", "band least", "band same", "band more"]
    expect(opened.locator(".legend")).to_contain_text("no dearer than 8 boards")
    opened.keyboard.press("ArrowRight")
    expect(handle).to_have_attribute("aria-valuetext", "19-1/4 in, 8 boards, 31.00 USD")
    opened.locator("#canvas").focus()
    expect(opened.locator("#sizes-drawn .band")).to_have_count(0)


BANDS = [
    [304.8, 330.2, None, None], [336.55, 381.0, 8, 25.0], [387.35, 482.6, 8, 28.0],
    [488.95, 508.0, 8, 31.0],
]  # fmt: skip
"""Eight boards all along, some of them of a dearer stock: the price tells, not the number."""


def tell_tracks(page: Page) -> None:
    """Have the server's answer along any size given."""
    told = json.dumps({"step": 6.35, "bands": BANDS, "currency": "USD", "exact": True})
    head = json.dumps({"kind": "application/json", "bytes": len(told)})
    page.route("**/track", lambda route: route.fulfill(body=f"{head}\n{told}"))


def test_a_slider_is_painted_with_what_is_known_while_a_hand_is_near(opened: Page) -> None:
    """Bands lie where the knob would be; another control of the panel moves nowhere by it."""
    tell_tracks(opened)
    row = opened.locator(".control", has=opened.locator("[id='set-box.width']"))
    slider = row.locator("input[type=range]")
    before = row.bounding_box()
    slider.focus()
    bands = row.locator(".known i")
    expect(bands).to_have_count(4)
    assert bands.evaluate_all("all => all.map((one) => one.className)") == [
        "no", "least", "same", "more",
    ]  # fmt: skip
    expect(row.locator(".along")).to_have_text("8 boards, 28.00 USD")
    expect(slider).to_have_attribute("aria-valuetext", "19 in · 8 boards, 28.00 USD")
    low, reach = (float(slider.get_attribute(end) or "nan") for end in ("min", "max"))
    track, band = slider.bounding_box(), bands.nth(2).bounding_box()
    assert track and band
    knob = 16  # px, of the browser's own
    scale = (track["width"] - knob) / (reach - low)
    ends = [387.35 - 6.35 / 2, 482.6 + 6.35 / 2]
    at = [track["x"] + knob / 2 + scale * (mm - low) for mm in ends]
    assert [band["x"], band["x"] + band["width"]] == pytest.approx(at, abs=1.0)
    assert row.bounding_box() == before
    opened.keyboard.press("Shift+ArrowRight")
    expect(row.locator(".along")).to_have_text("8 boards, 31.00 USD")
    opened.locator("#canvas").focus()
    expect(bands).to_have_count(0)
    expect(row.locator(".along")).to_have_text("")
    for other in ("saw.kerf", "jig.margin"):  # no size of the box: nothing is known along it
        assert other not in shaping()


def steps_of(track: Track, boards: dict[int, Bill | None]) -> tuple[list[Track], list[int]]:
    """Fill a track by a table; return what was known each time, and the sizes tried in order."""
    tried: list[int] = []

    def look(size: float) -> Bill | None:
        tried.append(round(size / track.step))
        return boards[tried[-1]]

    return list(filled(track, 480.0, look, Silent())), tried


BILL = st.tuples(st.integers(1, 3), st.sampled_from([10.0, 12.5]))


@given(st.lists(st.tuples(st.integers(9, 40), st.one_of(st.none(), BILL)), min_size=1))
def test_bands_meet_within_a_step_coarse_first_and_nothing_is_tried_twice(
    runs: list[tuple[int, Bill | None]],
) -> None:
    """Runs as long as the coarse step are all found, against the whole table."""
    table = [boards for long, boards in runs for _ in range(long)]
    track = Track("box.width", 5.0, 0, len(table) - 1)
    states, tried = steps_of(track, dict(enumerate(table)))
    assert states
    assert len(tried) == len(set(tried))
    for size, boards in enumerate(table):
        (found,) = [tuple(one) for low, high, *one in track.bands() if low <= 5.0 * size <= high]
        assert found == (boards or (None, None))
    first = tried[: len(track.coarse(480.0))]
    assert all(b - a <= COARSE for a, b in zip(sorted(first), sorted(first)[1:], strict=False))
    assert track.as_json()["exact"]


@pytest.mark.parametrize(
    ("units", "step", "first", "last"),
    [("inch", 6.35, 46, 121), ("metric", 5.0, 58, 154)],
)
def test_a_track_lies_on_the_shops_grid_within_what_the_key_takes(
    units: str, step: float, first: int, last: int
) -> None:
    """By hand: 0.6 of 482.6 mm is 289.56, 1.6 of it 772.16."""
    track = track_of(152.4, 2438.4, "box.width", 482.6, units)
    assert (track.step, track.first, track.last) == (step, first, last)
    near = track_of(400.0, 500.0, "box.width", 482.6, "metric")
    assert (near.first, near.last) == (80, 100)
    lip = track_of(0.0, 200.0, "panel.lip", 30.0, "inch")  # by sixteenths, 50 mm to either side
    assert (lip.step, lip.first, lip.last) == (25.4 / 16, 0, 50)


@pytest.mark.thorough
def test_boards_along_a_size_are_those_of_the_cut_plan() -> None:
    """Against what ``palewright cut`` proves of each box; what cannot be built is none."""
    from palewright_drawings.page.jobs.plan_snapshot import best_plans

    told = bill_at({"variant": "herb-trough", "changes": {}}, "box.width")
    with pytest.raises(InputError):
        _ = design(load_variant("herb-trough", ["box.width=12 in"]).parameters).fit
    assert told(12 * INCH) is None
    for text in ("22 in", "34 in"):
        box = design(load_variant("herb-trough", [f"box.width={text}"]).parameters)
        assert box.verdict.passed
        boards = sum(one.plan.boards for one in best_plans(box))
        # all of one stock, at the price that stands in the yard's list
        (price,) = {board.stock.price for board in box.box.boards.values()}
        found = told(float(text.split()[0]) * INCH)
        assert found == (boards, pytest.approx(float(boards * Decimal(str(price)))))


def test_a_track_is_told_as_it_grows(server: PageServer) -> None:
    request: dict[str, Any] = {"variant": "stoop-tub", "changes": {}, "key": "box.height"}
    track, present = asked_track(request, "box.height")
    assert present == pytest.approx(16 * INCH)
    status, found = server.ask("track", key="saw.kerf")
    assert status == 422 and "allowed" in found["error"]["message"]
    follows = {"key": "panel.side_rail_width"}  # the front's, where it is not set
    assert server.ask("track", **follows)[0] == 422
    status, found = server.ask("track", **follows, present=76.2)
    assert status == 200
    assert any(low <= 76.2 <= high and boards for low, high, boards, _ in found["bands"])
    status, found = server.ask("track", key="box.height")
    assert status == 200 and found["exact"]
    assert found["currency"] == "USD"
    grid = [one for low, high, *_ in found["bands"] for one in (low, high)]
    assert grid == sorted(grid)
    assert found["bands"][0][0] == pytest.approx(track.first * track.step, abs=1e-3)
    assert found["bands"][-1][1] == pytest.approx(track.last * track.step, abs=1e-3)
