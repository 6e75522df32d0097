"""How the page looks in a browser: nothing cut off, nothing hidden, at every size of screen."""

from __future__ import annotations

from urllib.parse import urlencode

import pytest
from playwright.sync_api import Page

from page_browsers import browser, opened, server, settled
from page_process import PageServer

__all__ = ["browser", "opened", "server"]

PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
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


@pytest.mark.parametrize("units", ["inch", "metric"])
@pytest.mark.parametrize("variant", ["stoop-tub", "bean-tower", "gate-pair"])
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
        assert box["y"] + box["height"] < 0.7 * 844  # the lists are still seen below
