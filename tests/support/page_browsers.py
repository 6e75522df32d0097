"""The page in Debian's Chromium, driven by Playwright: fixtures for the tests."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, Route, ViewportSize, expect

from page_drags import PATIENCE, chromium
from page_process import PageServer

DESK: ViewportSize = {"width": 1400, "height": 900}

_KEEP_DRAWN = """
const plain = HTMLCanvasElement.prototype.getContext;
HTMLCanvasElement.prototype.getContext = function (kind, asked) {
  return plain.call(this, kind, { ...asked, preserveDrawingBuffer: true });
};
const all = ["drawElements", "drawArrays", "drawElementsInstanced", "drawArraysInstanced", "clear"];
for (const name of all) {
  const draw = WebGL2RenderingContext.prototype[name];
  WebGL2RenderingContext.prototype[name] = function (...asked) {
    if (window.painted) draw.apply(this, asked);
  };
}
"""
"""What was drawn last stays to be read; a page by itself hands it on and forgets it.

Nothing is painted until `picture` looks: without a graphics card that is half of all the work.
"""

_DRAWN = """
async () => {
  const canvas = document.getElementById("canvas");
  // a change asks for the next frame; the whole picture comes when nothing changes any more
  const drawn = async () => {
    for (let i = 0; i < 3; i++) await new Promise(requestAnimationFrame);
    while (!canvas.dataset.still) await new Promise(requestAnimationFrame);
  };
  if (!window.painted) {
    window.painted = true;
    for (const width of ["50%", ""]) { // another size has all drawn anew
      canvas.style.width = width;
      await drawn();
    }
  }
  await drawn();
  return canvas.toDataURL();
}
"""

SETTLED_PRICE = "**/price"
"""What takes the server seconds each time the page rests; a test of it unroutes this."""

RULES = {
    "runOnly": {
        "type": "tag",
        "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    },
    "resultTypes": ["violations"],
}
"""What axe looks at: WCAG 2.2 to level AA with the size of targets, and good practice.

What is well is not told one by one: that took axe most of its time.
"""

TOO_SMALL = """() => [...document.querySelectorAll(
    "button, select, input, summary, nav a, .button")]
    .filter((one) => one.type !== "file" && one.checkVisibility({ visibilityProperty: true }))
    .map((one) => [one.getBoundingClientRect(), one.outerHTML.slice(0, 90)])
    .filter(([box]) => Math.min(box.width, box.height) < 24)
    .map(([, text]) => text)"""
"""What can be pressed and is smaller than 24 by 24 px (WCAG 2.2, 2.5.8)."""


def running_browser() -> Iterator[Browser]:
    """Yield a browser that runs; frames are put together without a graphics card."""
    with chromium(paints=False) as running:
        expect.set_options(timeout=PATIENCE)
        yield running


def _superseded(route: Route) -> None:
    route.fulfill(status=409, json={"error": {"message": "a newer one is asked for"}})


def _window(browser: Browser, **asked: Any) -> Page:
    """Return a new page in a context of its own; who asks for calm gets one picture that stays."""
    context = browser.new_context(**{"viewport": DESK, "reduced_motion": "reduce", **asked})
    context.add_init_script(_KEEP_DRAWN)  # in each page of it, also one that a test opens beside
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    return page


@pytest.fixture(scope="module")
def window(browser: Browser) -> Page:
    """One window for all tests of a module that ask for no other: a new one takes a second."""
    return _window(browser)


@pytest.fixture
def unopened(server: PageServer, browser: Browser, request: Any) -> Iterator[Page]:
    """A window in which nothing is opened as yet; it must end as `opened` must."""
    with _watched(server, browser, request) as page:
        yield page


@pytest.fixture
def opened(server: PageServer, browser: Browser, request: Any) -> Iterator[Page]:
    """The page, opened afresh; it must end without a word on the console and no foreign request."""
    with _watched(server, browser, request) as page:
        page.goto(server.address)
        settled(page)
        yield page


@contextmanager
def _watched(server: PageServer, browser: Browser, request: Any) -> Iterator[Page]:
    """Watch what a window says and asks for; one of its own where the test asks for it."""
    asked = getattr(request, "param", {})
    page = _window(browser, **asked) if asked else request.getfixturevalue("window")
    told: list[str] = []
    sent: list[str] = []
    listeners: dict[Any, Callable[[Any], None]] = {
        "console": lambda one: told.append(one.text),
        "pageerror": lambda one: told.append(str(one)),
        "request": lambda one: sent.append(one.url),
    }
    for event, listener in listeners.items():
        page.on(event, listener)
    page.context.route(SETTLED_PRICE, _superseded)
    yield page
    foreign = [
        url for url in sent if not url.startswith((server.address, "blob:" + server.address))
    ]
    for event, listener in listeners.items():
        page.remove_listener(event, listener)
    if asked:
        page.context.close()
    else:
        _left(page, server)
    assert foreign == []
    # an answer 409 or 422 is part of the work, and the browser tells of it by itself
    assert [text for text in told if "status of 4" not in text and "GPU stall" not in text] == []


def _left(page: Page, server: PageServer) -> None:
    """Leave a window as it was: no script at work, no route, no other page, its usual size.

    A text of the same server stands in it: at a blank page the browser ends the process that drew
    the one before, and begins another for the next, a fifth of what opening takes.
    """
    for other in page.context.pages:
        if other is not page:
            other.close()
    page.goto(server.address + "three-licence.txt")
    page.unroute_all()
    page.context.unroute_all()
    page.context.clear_permissions()
    page.emulate_media(media="null")
    page.set_viewport_size(DESK)


def picture(page: Page) -> str:
    """Return the box as last drawn, a PNG as a data address.

    Read from the canvas, not off the screen: without a graphics card the browser may show a
    picture seconds after it was drawn, so that two looks at the screen can both be too early.
    """
    return str(page.evaluate(_DRAWN))


def planted(page: Page, name: str = "stoop-tub") -> None:
    """Show a box with what grows in it, and wait until that has come from the server."""
    page.locator("#grown").check()
    expect(page.locator("#canvas")).to_have_attribute("data-planted", name)


def settled(page: Page) -> None:
    """Wait until all lumber is judged and the plan is there.

    The plan first: it is asked for once the box is drawn, so that the verdict that stands there
    then is of no box before.
    """
    expect(page.locator("#layouts")).not_to_have_class("busy")
    page.locator("#layouts figure").first.wait_for()
    expect(page.locator("#cases")).to_contain_text("mixed lumber")


def at_rest(page: Page) -> None:
    """Wait until the picture is drawn as it is: places in it, of lines and labels, hold."""
    expect(page.locator("#canvas")).to_have_attribute("data-still", "true")


def take_packet(page: Page, whose: str = "For me") -> None:
    """Ask for the packet, for oneself or for a buyer."""
    page.locator("#packet").click()
    page.get_by_role("dialog").get_by_role("button", name=whose, exact=True).click()


def open_group(page: Page, heading: str) -> None:
    page.locator("summary", has_text=heading).first.click()
