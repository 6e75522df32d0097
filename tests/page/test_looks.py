"""How the page looks in a browser: nothing cut off, nothing hidden, at every size of screen."""

from __future__ import annotations

import base64
import io
from itertools import combinations
from typing import Any
from urllib.parse import urlencode

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from case_lists import mostly_thorough, thorough
from page_browsers import picture, planted, settled
from page_process import PageServer
from palewright.parameters.variant_files import shipped_variants
from pdf_pages import outside, overlapping, page_sizes, page_texts, page_words

PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
NARROW = {"viewport": {"width": 320, "height": 640}}
WIDTHS = (1920, 1440, 1280, 1024, 820, 390, 320)

STICKS_OUT = """() => [...document.querySelectorAll(".wide, .told, .told td, .told figure, .card")]
    .filter((one) => one.checkVisibility() && one.scrollWidth > one.clientWidth + 1)
    .map((one) => `${one.id || one.className || one.textContent}: ${one.scrollWidth}`)"""
"""What is wider than the place it has, so that a maker would have to push it sideways."""


def show(page: Page, server: PageServer, variant: str, **changes: str) -> None:
    """Open a variant with changes laid over it (``box__width="30 in"``), as a link does."""
    said = {key.replace("__", "."): f'"{value}"' for key, value in changes.items()}
    page.goto("about:blank")
    page.goto(f"{server.address}#{urlencode({'variant': variant, **said})}")
    settled(page)


@pytest.mark.thorough
@pytest.mark.parametrize("units", mostly_thorough(["inch", "metric"], "inch"))
@pytest.mark.parametrize(
    "variant", mostly_thorough(["stoop-tub", "bean-tower", "gate-pair"], "bean-tower")
)
def test_lists_have_room_for_all_their_columns(
    opened: Page, server: PageServer, variant: str, units: str
) -> None:
    show(opened, server, variant, product__units=units)
    opened.evaluate("for (const d of document.querySelectorAll('.told details')) d.open = true")
    opened.locator("#keep").click()
    for width in WIDTHS:
        opened.set_viewport_size({"width": width, "height": 900})
        assert opened.evaluate(STICKS_OUT) == [], width
        last = opened.locator("#parts tbody tr").first.locator("td").last
        assert last.is_visible() and last.inner_text()


@pytest.mark.parametrize("opened", [PHONE], indirect=True)
def test_all_that_is_told_of_chosen_boards_is_seen_on_a_phone(opened: Page) -> None:
    card = opened.locator("#picked")
    shows = opened.locator("#findings button.quiet").all()
    for press in (*opened.locator("#parts button").all()[:3], *shows):
        press.click()
        told, box = card.locator("p").last.bounding_box(), card.bounding_box()
        assert told and box
        assert card.evaluate("one => one.scrollHeight <= one.clientHeight")
        assert told["y"] + told["height"] <= box["y"] + box["height"]
        picture, foot = (opened.locator(one).bounding_box() for one in (".scene", ".acts"))
        assert picture and foot
        assert box["y"] + box["height"] <= foot["y"] + 1
        assert box["y"] - picture["y"] - picture["height"] > 0.15 * 844  # the lists are still seen


def seen_labels(page: Page) -> list[dict[str, float]]:
    """Return the rectangles (px in the picture) of the labels that are shown."""
    places = page.locator("#tags .tag:visible rect").evaluate_all(
        "all => all.map((one) => ['x', 'y', 'width', 'height']"
        ".map((name) => [name, Number(one.getAttribute(name))]))"
    )
    return [dict(place) for place in places]


def pixels(page: Page) -> Any:
    """Return the box as last drawn: (rows, columns, RGBA), at one pixel each CSS pixel."""
    told = base64.b64decode(picture(page).partition(",")[2])
    view = page.locator("#canvas").bounding_box()
    assert view
    with Image.open(io.BytesIO(told)) as image:
        return np.asarray(image.resize((round(view["width"]), round(view["height"]))))


def hidden_share(page: Page) -> float:
    """Return the share of the box that labels lie over; its shadow is half clear, no box."""
    solid = pixels(page)[:, :, 3] > 250
    under = np.zeros_like(solid)
    for box in seen_labels(page):
        x, y = round(box["x"]), round(box["y"])
        under[y : y + round(box["height"]), x : x + round(box["width"])] = True
    return float((solid & under).sum() / solid.sum())


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("opened", "most"),
    [
        ({}, 0.01),
        thorough((PHONE, 0.05)),
        thorough(({"viewport": {"width": 320, "height": 640}}, 0.05)),
    ],
    indirect=["opened"],
    ids=["desktop", "phone", "narrow"],
)
@pytest.mark.parametrize(
    "variant", mostly_thorough(["stoop-tub", "herb-trough", "bean-tower"], "stoop-tub")
)
def test_labels_stand_inside_the_view_apart_and_beside_the_box(
    opened: Page, server: PageServer, variant: str, most: float
) -> None:
    """Four clearances and a fault, from three sides; what has no room is counted and listed."""
    show(opened, server, variant, panel__lip="1/2 in")
    opened.locator("#gaps").check()
    expect(opened.locator("#tags .tag")).to_have_count(5)
    view = opened.locator("#canvas").bounding_box()
    assert view
    for turn in range(3):
        opened.locator("#canvas").focus()
        for _ in range(6 * bool(turn)):
            opened.keyboard.press("ArrowLeft")
        assert hidden_share(opened) <= most
        labels = seen_labels(opened)
        for box in labels:
            assert 0 <= box["x"] <= box["x"] + box["width"] <= view["width"]
            assert 0 <= box["y"] <= box["y"] + box["height"] <= view["height"]
        for a, b in combinations(labels, 2):
            apart = [max(a[at], b[at]) - min(a[at] + a[size], b[at] + b[size])
                     for at, size in (("x", "width"), ("y", "height"))]  # fmt: skip
            assert max(apart) >= 4, (a, b)
        more = opened.locator("#more")
        assert len(labels) + more.locator("li").count() == 5
        assert more.is_visible() == (len(labels) < 5)
        if more.is_visible():
            assert more.locator("summary").inner_text() == f"{5 - len(labels)} more"
        kept = more.bounding_box() if more.is_visible() else None
        for box in labels if kept else ():
            assert kept
            right, top = kept["x"] + kept["width"] - view["x"], kept["y"] - view["y"]
            assert box["x"] >= right or box["y"] + box["height"] <= top


def test_a_clearance_that_is_cut_away_has_no_label(opened: Page) -> None:
    opened.locator("#gaps").check()
    expect(opened.locator("#tags .tag:visible")).to_have_count(4)
    opened.locator("#section").fill("0.5")
    expect(opened.locator("#tags .tag:visible")).to_have_count(2)
    corners = ["lip 3/16 in, front-left", "lip 3/16 in, front-right"]
    expect(opened.locator("#more li")).to_have_text(corners)
    opened.locator("#more summary").click()
    expect(opened.locator("#more li").first).to_be_visible()
    opened.locator("#section").fill("0")
    expect(opened.locator("#tags .tag:visible")).to_have_count(4)


def green_pixels(page: Page) -> int:
    """Return how many pixels of the picture are leaves, needles or a tree's stand."""
    red, green, blue, clear = np.moveaxis(pixels(page).astype(int), 2, 0)
    return int(((green > red) & (green > blue) & (clear > 250)).sum())


@pytest.mark.thorough
def test_a_section_leaves_a_tree_and_its_stand_whole(opened: Page, server: PageServer) -> None:
    show(opened, server, "winter-tub")
    planted(opened, "winter-tub")
    whole = green_pixels(opened)
    assert whole > 5000
    for share in ("0.3", "0.6"):
        opened.locator("#section").fill(share)
        assert green_pixels(opened) > whole  # nothing of it is cut, and more of its stand is seen


@pytest.mark.thorough
def test_a_section_closes_the_soil_and_takes_the_plants_before_it(opened: Page) -> None:
    planted(opened)
    whole = before = green_pixels(opened)
    for share in ("0.3", "0.55", "0.75"):
        opened.locator("#section").fill(share)
        left = green_pixels(opened)
        assert left < before
        before = left
        rgba = pixels(opened).reshape(-1, 4)
        solid = rgba[rgba[:, 3] > 250]
        colours, counts = np.unique(solid, axis=0, return_counts=True)
        red, green, blue, _ = colours[counts.argmax()].tolist()
        assert counts.max() > 0.15 * len(solid)  # one even face of earth
        assert 100 > red > green > blue
    opened.locator("#section").fill("0.98")
    assert green_pixels(opened) < 0.01 * whole  # a leaf that leans over the back


@pytest.mark.thorough
@pytest.mark.parametrize("variant", mostly_thorough(shipped_variants(), "bean-tower"))
def test_every_shipped_box_is_printed_on_two_pages(
    opened: Page, server: PageServer, variant: str
) -> None:
    show(opened, server, variant)
    for paper in ("A4", "Letter"):
        printed = opened.pdf(format=paper, print_background=True)
        sizes, words = page_sizes(printed), page_words(printed)
        assert len(sizes) <= 2
        assert len(page_texts(printed)[-1]) > 400  # no page for a last line alone
        for one, size in zip(words, sizes, strict=True):
            assert [word.text for word in outside(one, size, 10)] == []
            assert overlapping(one, air=0.6) == []


def border(page: Page) -> int:
    """Return how many pixels of the picture's outermost rows and columns show something solid."""
    solid = pixels(page)[:, :, 3] > 250
    return int(solid[[0, -1]].sum() + solid[:, [0, -1]].sum())


SEEN = {
    f"{variant}-{'grown' if (i + k) % 2 else 'bare'}-{name}": (view, variant, (i + k) % 2 == 1)
    for k, (name, view) in enumerate((("desktop", {}), ("phone", PHONE), ("narrow", NARROW)))
    for i, variant in enumerate(("winter-tub-small", "bean-tower", "herb-trough"))
}
"""Views, variants, with what grows in them or without: every two of them together."""


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("opened", "variant", "grown"), SEEN.values(), ids=SEEN, indirect=["opened"]
)
def test_a_box_is_seen_whole_pulled_apart_and_from_all_sides(
    opened: Page, server: PageServer, variant: str, grown: bool
) -> None:
    show(opened, server, variant)
    opened.locator("#grown").set_checked(grown)
    for apart in ("0", "0.8", "1"):
        opened.locator("#explode").fill(apart)
        opened.locator("#canvas").focus()
        for _ in range(3):
            assert border(opened) == 0, apart
            for _ in range(4):
                opened.keyboard.press("ArrowLeft")


SHARES = """() => {
  const [stage, band] = [".scene", ".band"].map((one) => document.querySelector(one).getBoundingClientRect());
  const seen = Math.min(stage.bottom, innerHeight) - Math.max(stage.top, band.bottom);
  return { picture: (seen * stage.width) / (innerWidth * innerHeight), above: stage.bottom / innerHeight, seen };
}"""  # noqa: E501
"""How much of the window the picture takes, and down to where band and picture reach together."""


@pytest.mark.parametrize(
    ("wide", "high"),
    mostly_thorough(
        [(1280, 720), (1440, 900), (1250, 900), (1024, 768), (801, 1000), (390, 844), (640, 360)],
        (1280, 720),
    ),
)
def test_the_box_takes_most_of_the_window_and_never_leaves_it(
    opened: Page, wide: int, high: int
) -> None:
    """At 801 to 1250 px it once scrolled away; a phone keeps half of its screen for the rest."""
    opened.set_viewport_size({"width": wide, "height": high})
    start = opened.evaluate(SHARES)
    assert start["picture"] >= (0.6 if wide >= 1250 else 0.45 if wide > 640 else 0.3)
    last = opened.locator(".settings .group").last.locator("summary")
    for place in (last, opened.locator("#saw-heading"), opened.locator("footer")):
        place.scroll_into_view_if_needed()
        now = opened.evaluate(SHARES)
        assert now["seen"] >= 0.3 * high
        for told in ("#verdict", "#sum-boards", "#sum-costs", "#sum-weight"):
            expect(opened.locator(told)).to_be_in_viewport(ratio=0.99)
        if wide < 640:
            assert now["above"] <= 0.5


@pytest.mark.parametrize("height", mostly_thorough([700, 900, 1200], 700))
def test_on_a_desk_the_box_and_all_its_controls_stay_in_view(opened: Page, height: int) -> None:
    """Wherever the lists are scrolled to; and what a card says hides nothing of itself."""
    opened.set_viewport_size({"width": 1440, "height": height})
    for press in ("#facts-heading", "#parts button >> nth=1"):
        opened.locator(press).click()
        # it hears of the scrolling with the next frame
        expect(opened.locator(".stage")).to_have_class("stage low")
        view, last = (opened.locator(one).bounding_box() for one in ("#canvas", ".views"))
        assert view and last
        assert view["y"] >= 0 and last["y"] + last["height"] <= height
        assert view["height"] >= 190
    card = opened.locator("#picked")
    assert card.evaluate("one => one.scrollHeight <= one.clientHeight")
