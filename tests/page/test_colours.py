"""Contrast, focus and size of all that the page shows, with everything of it open (WCAG 2.2)."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from hypothesis import given
from hypothesis import strategies as st
from playwright.sync_api import Page, expect

from case_lists import mostly_thorough
from page_browsers import RULES, TOO_SMALL, settled, take_packet
from page_colours import (
    STACK,
    Colour,
    colour_of,
    contrast,
    faint_edges,
    faint_rings,
    faint_texts,
    luminance,
    over,
)
from page_sizes import FOUND, answer, search

SCREENS = [
    {"color_scheme": scheme, "bypass_csp": True, "viewport": {"width": width, "height": height}}
    for scheme in ("light", "dark")
    for width, height in ((1400, 900), (390, 844), (320, 640))
]


def everything(page: Page) -> None:
    """Show all there is: a box that does not fit, kept beside another, sizes, labels, a part."""
    page.evaluate("for (const d of document.querySelectorAll('details')) d.open = true")
    page.locator("#keep").click()
    lip = page.locator("[id='set-panel.lip']")
    lip.fill("1/2 in")
    lip.press("Tab")
    settled(page)
    search(page, answer(whole=FOUND))
    expect(page.locator("#sizes li")).to_have_count(2)
    page.locator("#gaps").check()
    page.locator("#parts button").nth(1).click()
    page.locator("#canvas").focus()
    for _ in range(9):  # so near that some labels have no room
        page.keyboard.press("+")
    expect(page.locator("#more")).to_be_visible()
    page.evaluate("document.getElementById('more').open = true")
    expect(page.locator("#picked")).to_be_visible()
    expect(page.locator("#kept-heading")).to_be_visible()


def ask_for_a_packet(page: Page) -> None:
    """Bring up the question whether a box that does not fit is downloaded."""
    take_packet(page)
    expect(page.get_by_role("dialog", name="Does not fit")).to_be_visible()


def test_contrast_is_that_of_the_standard() -> None:
    """Black on white is 21; a grey is worked by hand."""
    black, white = colour_of("rgb(0, 0, 0)"), colour_of("rgba(255, 255, 255, 1)")
    assert contrast(black, white) == pytest.approx(21)
    # #808080: ((128/255 + 0.055) / 1.055)^2.4 = 0.21586, (1.05) / (0.26586) = 3.949
    assert contrast(colour_of("rgb(128, 128, 128)"), white) == pytest.approx(3.949, abs=1e-3)
    assert colour_of("color(srgb 0.5 0.25 1e-2 / 0.18)") == (0.5, 0.25, 0.01, 0.18)


SHARE = st.floats(0, 1)
COLOURS = st.tuples(SHARE, SHARE, SHARE, SHARE)


@given(COLOURS, COLOURS)
def test_what_lies_over_is_between_and_contrast_has_no_order(a: Colour, b: Colour) -> None:
    seen = over(a, b)
    for mixed, x, y in zip(seen[:3], a[:3], b[:3], strict=True):
        assert min(x, y) - 1e-12 <= mixed <= max(x, y) + 1e-12
    assert contrast(a, b) == contrast(b, a)
    assert 1 <= contrast(a, b) <= 21 + 1e-9
    assert 0 <= luminance(seen) <= 1 + 1e-12


@pytest.mark.thorough
@pytest.mark.parametrize(
    "opened", mostly_thorough(SCREENS[::3], SCREENS[3]), indirect=True, ids=["light", "dark"]
)
def test_all_texts_edges_and_rings_stand_out(opened: Page) -> None:
    opened.evaluate(STACK)
    everything(opened)
    assert faint_texts(opened) == []
    assert faint_edges(opened) == []
    opened.evaluate("document.getElementById('layouts').classList.add('busy')")
    assert faint_texts(opened) == []  # what is sought anew can still be read
    assert faint_rings(opened) == []
    opened.keyboard.press("Escape")
    ask_for_a_packet(opened)
    assert faint_texts(opened) == []
    assert faint_edges(opened) == []


PAINT = """([place, name]) => {
  const one = [...document.querySelectorAll(place)].find((found) => found.checkVisibility());
  return getComputedStyle(one)[name];
}"""


def paint(page: Page, place: str, name: str = "fill") -> Colour:
    """Return how the first that is seen of elements is painted."""
    return colour_of(page.evaluate(PAINT, [place, name]))


@pytest.mark.thorough
@pytest.mark.parametrize(
    "opened", mostly_thorough(SCREENS[::3], SCREENS[0]), indirect=True, ids=["light", "dark"]
)
def test_marks_that_carry_meaning_stand_out(opened: Page) -> None:
    everything(opened)
    sheet = paint(opened, ".told", "backgroundColor")
    pairs = {
        "edge of a small box": (
            paint(opened, ".small-box .front", "stroke"),
            paint(opened, ".small-box .front"),
        ),
        "edge of a piece": (
            paint(opened, ".piece:not(.held)", "stroke"),
            paint(opened, ".piece:not(.held)"),
        ),
        "edge of a board": (paint(opened, ".board", "stroke"), sheet),
        "own piece": (paint(opened, ".piece.own"), paint(opened, ".piece:not(.held)")),
        "pressed mark": (paint(opened, ".mark[aria-pressed=true]", "backgroundColor"), sheet),
        "edge of a card": (paint(opened, ".card", "borderLeftColor"), sheet),
        "edge of the list of labels": (paint(opened, "#more", "borderTopColor"), sheet),
    }
    opened.evaluate("document.querySelector('.piece.own').classList.replace('own', 'held')")
    held = paint(opened, ".piece.held:not(.own)", "stroke")
    pairs["edge of a held piece"] = (held, paint(opened, ".piece:not(.held)"))
    for kind in ("gap", "fault", "warning"):
        tag = f"#tags .{kind}"
        opened.evaluate(
            "kind => { const tag = document.querySelector('#tags .tag');"
            " tag.setAttribute('class', `tag ${kind}`); tag.style.display = ''; }",
            kind,
        )
        pairs[f"{kind}: leader"] = (
            paint(opened, f"{tag} .leader", "stroke"),
            paint(opened, f"{tag} .halo", "stroke"),
        )
        pairs[f"{kind}: frame"] = (
            paint(opened, f"{tag} rect", "stroke"),
            paint(opened, f"{tag} rect"),
        )
    for name in (".saw tr.held td:first-child", "#facts .other td + td"):
        bar, row = (
            opened.evaluate(PAINT, [name, what]) for what in ("boxShadow", "backgroundColor")
        )
        pairs[name] = colour_of(bar.partition(")")[0] + ")"), over(colour_of(row), sheet)
    ratios = {name: round(contrast(*two), 2) for name, two in pairs.items()}
    assert {name: ratio for name, ratio in ratios.items() if ratio < 3} == {}


@pytest.mark.parametrize(
    "opened",
    mostly_thorough(SCREENS, SCREENS[-1]),
    indirect=True,
    ids=lambda one: f"{one['color_scheme']} {one['viewport']['width']}",
)
def test_axe_finds_nothing_and_nothing_is_too_small_to_press(opened: Page) -> None:
    everything(opened)
    size = opened.viewport_size
    for asked in (False, True):
        if asked:
            ask_for_a_packet(opened)
        found = Axe().run(opened, options=RULES).response["violations"]
        assert [(one["id"], one["nodes"][0]["html"][:120]) for one in found] == []
        assert opened.evaluate(TOO_SMALL) == []
        assert size and opened.evaluate("document.documentElement.scrollWidth") <= size["width"]
