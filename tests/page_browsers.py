"""The page in Debian's Chromium, driven by Playwright: fixtures for the tests."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from page_drags import PATIENCE, chromium
from page_process import PageServer, server

__all__ = ["server"]

_KEEP_DRAWN = """
const plain = HTMLCanvasElement.prototype.getContext;
HTMLCanvasElement.prototype.getContext = function (kind, asked) {
  return plain.call(this, kind, { ...asked, preserveDrawingBuffer: true });
};
"""
"""What was drawn last stays to be read; a page by itself hands it on and forgets it."""

_DRAWN = """
async () => {
  // a change asks for the next frame; the frame after it comes when that one is drawn
  for (let i = 0; i < 2; i++) await new Promise(requestAnimationFrame);
  return document.getElementById("canvas").toDataURL();
}
"""

RULES = {
    "runOnly": {
        "type": "tag",
        "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    }
}
"""What axe looks at: WCAG 2.2 to level AA with the size of targets, and good practice."""

TOO_SMALL = """() => [...document.querySelectorAll(
    "button, select, input, summary, nav a, .button")]
    .filter((one) => one.type !== "file" && one.checkVisibility({ visibilityProperty: true }))
    .map((one) => [one.getBoundingClientRect(), one.outerHTML.slice(0, 90)])
    .filter(([box]) => Math.min(box.width, box.height) < 24)
    .map(([, text]) => text)"""
"""What can be pressed and is smaller than 24 by 24 px (WCAG 2.2, 2.5.8)."""


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as running:
        yield running


@pytest.fixture
def opened(server: PageServer, browser: Browser, request: Any) -> Iterator[Page]:
    """A fresh open page; it must end without a word on the console and no foreign request."""
    asked = getattr(request, "param", {})
    context = browser.new_context(**{"viewport": {"width": 1400, "height": 900}, **asked})
    page = context.new_page()
    page.add_init_script(_KEEP_DRAWN)
    page.set_default_timeout(PATIENCE)
    expect.set_options(timeout=PATIENCE)
    told: list[str] = []
    sent: list[str] = []
    page.on("console", lambda one: told.append(one.text))
    page.on("pageerror", lambda one: told.append(str(one)))
    page.on("request", lambda one: sent.append(one.url))
    page.goto(server.address)
    settled(page)
    yield page
    foreign = [
        url for url in sent if not url.startswith((server.address, "blob:" + server.address))
    ]
    assert foreign == []
    # an answer 409 or 422 is part of the work, and the browser tells of it by itself
    assert [text for text in told if "status of 4" not in text and "GPU stall" not in text] == []
    context.close()


def picture(page: Page) -> str:
    """Return the box as last drawn, a PNG as a data address.

    Read from the canvas, not off the screen: without a graphics card the browser may show a
    picture seconds after it was drawn, so that two looks at the screen can both be too early.
    """
    return str(page.evaluate(_DRAWN))


def settled(page: Page) -> None:
    """Wait until all lumber is judged and the plan is there."""
    expect(page.locator("#cases")).to_contain_text("mixed lumber")
    expect(page.locator("#layouts")).not_to_have_class("busy")
    page.locator("#layouts figure").first.wait_for()


def open_group(page: Page, heading: str) -> None:
    page.locator("summary", has_text=heading).first.click()
