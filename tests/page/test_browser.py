"""The page in a real browser: Debian's Chromium, driven by Playwright, nothing leaves loopback."""

from __future__ import annotations

import hashlib
import json
import re
import tomllib
import zipfile
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from page_browsers import RULES, at_rest, open_group, picture, settled, take_packet


def lasting_facts(page: Page) -> list[str]:
    """What follows from the settings alone; the plan depends on how busy the machine is."""
    rows = page.locator("#facts tbody tr").all_inner_texts()
    return [row for row in rows if row.startswith(("outside", "pieces", "screws", "empty weight"))]


def slider(page: Page, key: str) -> Any:
    return page.locator(f"[id='set-{key}']").locator("xpath=..").locator("input[type=range]")


@pytest.mark.thorough
def test_drag_until_it_does_not_fit_read_why_and_take_the_remedy(opened: Page) -> None:
    expect(opened.locator("#verdict")).to_contain_text("Fits")
    open_group(opened, "Frame")
    handle = slider(opened, "panel.lip")
    handle.scroll_into_view_if_needed()
    box = handle.bounding_box()
    assert box
    y = box["y"] + box["height"] / 2
    opened.mouse.move(box["x"] + box["width"] - 12, y)
    opened.mouse.down()
    for share in (0.8, 0.6, 0.4, 0.2, 0.03):
        opened.mouse.move(box["x"] + box["width"] * share, y, steps=3)
    opened.mouse.up()
    settled(opened)
    expect(opened.locator("#verdict")).to_contain_text("Does not fit")
    fault = opened.locator("#findings li.fault").first
    expect(fault).to_contain_text("lip")
    fault.get_by_role("button", name="Set lip").click()
    settled(opened)
    expect(opened.locator("#verdict")).to_contain_text("Fits")
    opened.locator("#undo").click()
    settled(opened)
    expect(opened.locator("#verdict")).to_contain_text("Does not fit")
    # the whole drag was one step back
    opened.locator("#undo").click()
    settled(opened)
    expect(opened.locator("[id='set-panel.lip']")).to_have_value("auto")
    expect(opened.locator("#undo")).to_be_disabled()


def test_pick_a_board_in_the_picture_and_see_it_in_the_lists(opened: Page) -> None:
    at_rest(opened)
    box = opened.locator("#canvas").bounding_box()
    assert box
    opened.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] * 0.62)
    card = opened.locator("#picked")
    expect(card).to_contain_text(" in × ")
    mark = card.locator("strong").inner_text().partition(":")[0]
    held = opened.locator("#parts tr.held")
    expect(held).to_have_count(1)
    expect(held.locator("button")).to_have_text(mark)
    pieces = opened.locator("#layouts .piece.held")
    count = int(held.locator("td").nth(1).inner_text())
    shown = sum(
        int(figure.locator("figcaption").inner_text().split(" ×")[0])
        * figure.locator(".piece.held").count()
        for figure in opened.locator("#layouts figure").all()
    )
    assert shown == count
    opened.keyboard.press("Escape")
    expect(pieces).to_have_count(0)
    expect(card).to_be_hidden()


def test_a_typed_size_a_wrong_one_and_units(opened: Page) -> None:
    field = opened.locator("[id='set-box.width']")
    field.fill("20-3/8")
    field.press("Tab")
    settled(opened)
    expect(opened.locator("#facts")).to_contain_text("20-3/8 × 19 × 16 in")
    opened.locator("#units").select_option("metric")
    settled(opened)
    expect(field).to_have_value("517.5 mm")
    field.fill("9000")
    field.press("Tab")
    expect(field).to_have_attribute("aria-invalid", "true")
    expect(opened.locator("#complaint")).to_contain_text("96 in")
    expect(opened.locator("#verdict")).to_contain_text("Cannot be built")
    opened.locator("#undo").click()
    settled(opened)
    expect(field).to_have_attribute("aria-invalid", "false")
    expect(opened.locator("#complaint")).to_be_hidden()


@pytest.mark.thorough  # the quick one is of an opened file, in test_page_files
def test_save_open_and_link_carry_the_settings(opened: Page, tmp_path: Path) -> None:
    opened.locator("#variant").select_option("herb-trough")
    settled(opened)
    opened.locator("[id='set-box.height']").fill("12 in")
    opened.locator("[id='set-box.height']").press("Tab")
    settled(opened)
    with opened.expect_download() as got:
        opened.locator("#save").click()
    place = tmp_path / "mine.toml"
    got.value.save_as(place)
    said = tomllib.loads(place.read_text(encoding="utf-8"))
    assert (said["base"], said["box"]) == ("herb-trough", {"height": "12 in"})
    expect(opened).to_have_url(re.compile("height=%2212"))  # some time after it is shown
    link = opened.url
    facts = lasting_facts(opened)
    assert len(facts) == 4
    opened.locator("#variant").select_option("stoop-tub")
    settled(opened)
    opened.locator("#open").set_input_files(place)
    # the file is read first, then sent: until then the page shows the variant of before
    expect(opened.locator("#variant")).to_have_value("")
    settled(opened)
    assert lasting_facts(opened) == facts
    other = opened.context.new_page()
    other.goto(link)
    settled(other)
    assert lasting_facts(other) == facts


@pytest.mark.thorough
def test_the_downloaded_packet_agrees_with_its_manifest(opened: Page, tmp_path: Path) -> None:
    with opened.expect_download(timeout=200_000) as got:
        take_packet(opened)
    place = tmp_path / "packet.zip"
    got.value.save_as(place)
    with zipfile.ZipFile(place) as whole:
        manifest = json.loads(whole.read("stoop-tub/MANIFEST.json"))
        assert len(whole.namelist()) == len(manifest["files"]) + 1
        for name, told in manifest["files"].items():
            assert hashlib.sha256(whole.read(f"stoop-tub/{name}")).hexdigest() in str(told)


@pytest.mark.thorough
def test_the_keyboard_alone_reaches_and_changes_everything_shown(opened: Page) -> None:
    opened.keyboard.press("Tab")
    expect(opened.locator(".skip")).to_be_focused()
    slider(opened, "box.width").focus()
    opened.keyboard.press("ArrowRight")
    settled(opened)
    expect(opened.locator("[id='set-box.width']")).to_have_value("19-1/16 in")
    opened.keyboard.press("Control+z")
    settled(opened)
    expect(opened.locator("[id='set-box.width']")).to_have_value("19 in")
    canvas = opened.locator("#canvas")
    canvas.focus()
    before = picture(opened)
    opened.keyboard.press("ArrowLeft")
    assert picture(opened) != before
    opened.locator("#parts button").first.focus()
    opened.keyboard.press("Enter")
    expect(opened.locator("#picked")).to_be_visible()
    # the list was made anew, and the focus is still where the fingers are
    expect(opened.locator("#parts button").first).to_be_focused()


@pytest.mark.thorough  # the quick one is in test_page_colours; what sticks out, in _looks
@pytest.mark.parametrize(
    "opened",
    [
        {"color_scheme": "light", "bypass_csp": True},
        {"color_scheme": "dark", "bypass_csp": True},
        {"color_scheme": "dark", "bypass_csp": True, "forced_colors": "active"},
    ],
    indirect=True,
)
@pytest.mark.parametrize("size", [(1400, 900), (390, 844)])
def test_axe_finds_nothing_and_nothing_sticks_out(opened: Page, size: tuple[int, int]) -> None:
    """With every group open, a part chosen and a finding of each kind (bypass_csp lets axe in)."""
    opened.set_viewport_size({"width": size[0], "height": size[1]})
    opened.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
    lip = opened.locator("[id='set-panel.lip']")
    lip.fill("1/2 in")
    lip.press("Tab")
    settled(opened)
    expect(opened.locator("#findings li.fault").first).to_be_visible()
    opened.locator("#parts button").nth(1).click()
    found = Axe().run(opened, options=RULES).response["violations"]
    assert [(one["id"], one["nodes"][0]["html"][:120]) for one in found] == []
    assert opened.evaluate("document.documentElement.scrollWidth") <= size[0]


@pytest.mark.thorough  # the quick ones of the offers are in test_page_sizes
def test_a_size_of_the_frontier_is_loaded(opened: Page) -> None:
    open_group(opened, "Size search")
    for key, text in (("least_width", "15 in"), ("most_width", "18 in"), ("least_height", "12 in")):
        field = opened.locator(f"[id='set-size.{key}']")
        field.fill(text)
        field.press("Tab")
    settled(opened)
    opened.locator("#count").fill("7")
    opened.locator("#frontier button", has_text="Search").click()
    rows = opened.locator("#sizes li")
    rows.first.wait_for()
    expect(rows.first.locator("button")).to_be_visible()
    width = opened.locator("[id='set-box.width']")
    for button in (rows.first.locator("button"), rows.last.locator("button")):
        size = button.locator("b").inner_text()
        button.click()
        settled(opened)
        expect(width).to_have_value(f"{size.split(' × ')[0]} in")
        boards = opened.locator("#facts tr", has_text="boards to buy").inner_text()
        assert int(boards.split()[3].rstrip(",")) <= 7


@pytest.mark.thorough
def test_a_cut_leaves_closed_faces_and_the_way_back_is_exact(opened: Page) -> None:
    knife = opened.locator("#section")
    whole = picture(opened)
    knife.fill("0.5")
    assert picture(opened) != whole
    knife.fill("0")
    assert picture(opened) == whole


def test_printing_shows_the_box_and_its_lists_without_the_controls(opened: Page) -> None:
    opened.emulate_media(media="print")
    for shown in ("#paper", "#facts", "#parts", "#layouts"):
        expect(opened.locator(shown)).to_be_visible()
    for hidden in ("#settings", "#packet", "#explode", "#canvas"):
        expect(opened.locator(hidden)).to_be_hidden()
