"""The settings in the page: the dozen, the search for all others, sliders, numbers behind auto."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Locator, Page, Route, expect

from page_browsers import settled
from palewright.design import design
from palewright.parameters.schema import keys_of
from palewright.parameters.variant_files import load_variant
from palewright.reading.lengths import read_length
from palewright_drawings.page.control_groups import control_groups
from palewright_drawings.page.control_words import FIRST, NAMES, SYNONYMS
from palewright_drawings.page.jobs.auto_values import auto_values

STEP = 25.4 / 16
"""A sixteenth of an inch, mm: what a sliders' hand may take at once."""


def control(page: Page, key: str) -> Locator:
    """Return the row of a setting."""
    return page.locator(".control", has=page.locator(f"[id='set-{key}']"))


def test_every_name_and_word_leads_to_a_living_setting_and_no_two_share_a_name() -> None:
    known = set(keys_of())
    for words in (NAMES, SYNONYMS, FIRST):
        assert set(words) <= known
    controls = [one for group in control_groups() for one in group["controls"]]
    assert {one["key"] for one in controls} == known
    assert len({one["label"].lower() for one in controls}) == len(controls)
    assert sorted(one["first"] for one in controls if one["first"] is not None) == list(range(12))


@pytest.mark.parametrize(
    ("word", "key"),
    [
        ("cedar", "lumber.board"),
        ("wider", "box.width"),
        ("drain", "floor.gap"),
        ("trellis", "trellis.fit"),
        ("deeper soil", "floor.rise"),
        ("panel.lip", "panel.lip"),
        ("rust", "screws.coating"),
    ],
)
def test_a_word_finds_its_setting(word: str, key: str) -> None:
    """As the page looks: each word of the search in name, other words, key or meaning."""
    found = [
        one["key"]
        for group in control_groups()
        for one in group["controls"]
        if all(
            part in " ".join((one["label"], one["words"], one["key"], one["meaning"])).lower()
            for part in word.split()
        )
    ]
    assert key in found
    assert len(found) <= 12


def test_the_search_shows_what_it_finds_and_goes_back_to_the_dozen(opened: Page) -> None:
    rows = opened.locator("#dozen .control:visible")
    expect(rows).to_have_count(11)  # a trellis and a tree's stand take turns
    assert opened.locator("#controls .control:visible").count() == 0
    find = opened.locator("#find")
    find.fill("drain")
    expect(control(opened, "floor.gap")).to_be_visible()
    expect(control(opened, "box.width")).to_be_hidden()
    expect(opened.locator("#found")).to_have_text(re.compile(r"^\d settings of that name or kind$"))
    find.fill("no such thing")
    expect(opened.locator("#found")).to_have_text("0 settings of that name or kind")
    find.fill("")
    expect(rows).to_have_count(11)
    expect(control(opened, "floor.gap")).to_be_hidden()
    opened.locator("[id='set-box.kind']").select_option("tree")
    expect(control(opened, "tree.stand_diameter")).to_be_visible()
    expect(control(opened, "trellis.fit")).to_be_hidden()


NAMED = re.compile(r'- (textbox|searchbox|combobox|checkbox|slider|spinbutton) "([^"]+)"')


def test_no_two_fields_of_the_page_are_called_alike(opened: Page) -> None:
    opened.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    named = NAMED.findall(opened.locator("body").aria_snapshot())
    assert len(named) > 150
    assert [one for one in set(named) if named.count(one) > 1] == []
    assert not any("fit" in name.lower().split() for _, name in named)


def test_auto_shows_the_number_that_the_box_has(opened: Page) -> None:
    box = design(load_variant("stoop-tub").parameters, "stoop-tub")
    autos = auto_values(box)
    stiles = [b.width for b in box.box.boards.values() if b.role == "stile" and b.panel == "left"]
    assert stiles == [pytest.approx(autos["panel.side_stile_width"]["mm"], abs=1e-3)] * 2
    opened.locator("summary", has_text="Frame").click()
    row = control(opened, "panel.side_stile_width")
    told = autos["panel.side_stile_width"]["text"]
    expect(row.locator(".auto")).to_have_text(f"auto is now {told}. ")
    expect(row.locator("input[type=text]")).to_have_value("auto")
    slider = row.locator("input[type=range]")
    assert float(slider.input_value()) == pytest.approx(read_length(told), abs=0.5)
    assert slider.get_attribute("aria-valuetext") == f"auto, {told}"


def test_a_finding_leads_to_the_control_that_it_names(opened: Page) -> None:
    row = control(opened, "floor.gap")
    expect(row).to_be_hidden()
    finding = {
        "code": "PW305", "severity": "fault", "boards": [], "measured": 1, "limit": 2, "unit": "mm",
        "message": "too near", "remedy": "raise floor.gap or no.such", "changes": None,
        "case": None,
    }  # fmt: skip

    def answer(route: Route) -> None:
        told = {"passed": False, "lumber": [], "findings": [finding]}
        route.fulfill(json=told)

    opened.route("**/verdict", answer)
    opened.locator("[id='set-box.width']").fill("20 in")
    opened.locator("[id='set-box.width']").press("Tab")
    link = opened.locator("#findings button.key")
    expect(link).to_have_text("floor.gap")  # what is no key is no link
    link.click()
    expect(row).to_be_in_viewport(ratio=0.9)
    expect(opened.locator("[id='set-floor.gap']")).to_be_focused()


SEEN = """row => {
  const over = row.querySelector(".moving");
  return over.hidden ? row.querySelector("input[type=text]").value : over.textContent;
}"""
"""The text that stands at a slider: over its field while a hand moves it."""


def test_a_sliders_scale_stays_and_a_pixel_is_no_more_than_a_step(opened: Page) -> None:
    field = opened.locator("[id='set-box.width']")
    slider = control(opened, "box.width").locator("input[type=range]")
    ends = slider.get_attribute("min"), slider.get_attribute("max")
    box = slider.bounding_box()
    assert box
    y, x = box["y"] + box["height"] / 2, box["x"] + box["width"] * 0.4
    opened.mouse.move(x, y)
    opened.mouse.down()
    before = 19 * 25.4
    for px in range(1, 30):
        opened.mouse.move(x + px, y)
        now = read_length(control(opened, "box.width").evaluate(SEEN))
        assert now - before <= STEP + 1e-6
        before = now
    assert before > 19 * 25.4 + 20 * STEP
    # into what is refused, and back: the hand holds what it held
    for px in (-400, -30, 0):
        opened.mouse.move(x + px, y)
        assert slider.bounding_box() == box
    opened.mouse.up()
    settled(opened)
    expect(field).to_have_value("19 in")
    assert (slider.get_attribute("min"), slider.get_attribute("max")) == ends
    # a press on the track is a jump, and one step back
    opened.mouse.click(box["x"] + box["width"] * 0.9, y)
    settled(opened)
    assert read_length(field.input_value()) > 30 * 25.4
    opened.locator("#undo").click()
    settled(opened)
    expect(field).to_have_value("19 in")


def test_lumber_says_wood_size_and_price(opened: Page) -> None:
    option = opened.locator("[id='set-lumber.board'] option[value='fence-58-cedar']")
    text = option.inner_text()
    for part in ("cedar", "5/8 × 5-1/2 × 72 in", "USD", "(fence-58-cedar)"):
        assert part in text
    assert re.search(r"· \d+\.\d\d USD", text)
    opened.locator("#units").select_option("metric")
    settled(opened)
    assert "15.9 × 139.7 × 1828.8 mm" in option.inner_text()
