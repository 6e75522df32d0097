"""``workshop.html`` on a phone in Chromium: from a file, the network cut, with gloves."""

from __future__ import annotations

import base64
import io
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from PIL import Image
from playwright.sync_api import Browser, Page, expect

from case_lists import mostly_thorough
from page_browsers import RULES
from page_drags import PATIENCE
from palewright_drawings.documents.workshop.workshop_sheets import box_workshop
from shipped_designs import shipped

PHONE = {"width": 390, "height": 844}

LETTERS = 9.0
"""Least size of the font in a figure, px, on the narrowest phone: judged by eye."""

_KEEP_DRAWN = """
const plain = HTMLCanvasElement.prototype.getContext;
HTMLCanvasElement.prototype.getContext = function (kind, asked) {
  return plain.call(this, kind, { ...asked, preserveDrawingBuffer: true });
};
"""
"""What was drawn last stays to be read."""

_NO_STORAGE = """
Object.defineProperty(window, "localStorage", { get() { throw new Error("none here"); } });
"""
"""As in a preview of a mail program."""

Opened = Callable[..., Page]


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("phone") / "workshop.html"
    path.write_bytes(box_workshop(shipped("stoop-tub")))
    return path


@pytest.fixture
def phone(browser: Browser, file: Path) -> Iterator[Opened]:
    """Opens the page from its file, offline; it must end silent and without another request."""
    said: list[str] = []
    sent: list[str] = []
    contexts = []

    def opened(script: str = "", **asked: Any) -> Page:
        context = browser.new_context(**{"viewport": PHONE, "offline": True, **asked})
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(PATIENCE)
        page.add_init_script(_KEEP_DRAWN + script)
        page.on("console", lambda one: said.append(one.text))
        page.on("pageerror", lambda one: said.append(str(one)))
        page.on("request", lambda one: sent.append(one.url))
        page.goto(file.as_uri())
        return page

    yield opened
    for context in contexts:
        context.close()
    assert {url.partition("#")[0] for url in sent} == {file.as_uri()}
    assert [text for text in said if "GPU stall" not in text] == []


def ticked(page: Page) -> list[str]:
    boxes = page.locator("[data-tick]:checked").all()
    return [str(one.get_attribute("data-tick")) for one in boxes]


def test_ticks_outlast_a_reload_and_the_bar_calls_what_comes_next(phone: Opened) -> None:
    page = phone()
    names = [str(one.get_attribute("data-tick")) for one in page.locator("[data-tick]").all()]
    expect(page.locator("#kept")).to_have_text(
        f"0 of {len(names)} done. Ticks stay in this browser."
    )
    assert page.locator("#cautions").get_attribute("open") is not None
    page.locator(f"[data-tick='{names[2]}']").check()
    for _ in range(3):
        page.get_by_role("button", name="Done").click()
    assert ticked(page) == names[:4]  # the third was set already
    page.get_by_role("button", name="Undo").click()
    assert ticked(page) == names[:3]
    called = str(page.locator(f"[data-tick='{names[3]}']").get_attribute("data-next"))
    expect(page.locator("#next p")).to_have_text(f"Next: {called}")
    page.reload()
    assert ticked(page) == names[:3]
    expect(page.locator("#kept")).to_contain_text(f"3 of {len(names)} done.")
    assert page.locator("#cautions").get_attribute("open") is None  # they were read


@pytest.mark.thorough
def test_where_nothing_is_kept_the_page_says_so_and_still_ticks(phone: Opened) -> None:
    page = phone(_NO_STORAGE)
    page.get_by_role("button", name="Done").click()
    expect(page.locator("#kept")).to_contain_text("1 of")
    expect(page.locator("#kept")).to_contain_text("keeps no ticks")


def test_without_scripts_everything_is_there_to_read(phone: Opened) -> None:
    page = phone(java_script_enabled=False)
    expect(page.locator("#kept")).to_contain_text("Without scripts")
    expect(page.locator("#next")).to_be_hidden()
    box = shipped("stoop-tub")
    for part in box.parts:
        row = page.locator(f"[data-mark='{part.mark}']")
        row.locator("summary").click()
        expect(row.locator("p")).to_be_visible()
    page.locator("[data-tick]").first.check()
    pictures = page.locator("svg")
    layouts, maps, steps, still = 7, 4, 9, 1
    assert pictures.count() == layouts + maps + steps + still
    for picture in pictures.all():
        expect(picture).to_be_visible()


@pytest.mark.thorough
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_axe_finds_nothing(phone: Opened, theme: str) -> None:
    page = phone(color_scheme=theme, bypass_csp=True)  # which lets axe in
    page.get_by_role("button", name="Done").click()
    page.locator("[data-mark='C'] summary").click()
    found = Axe().run(page, options=RULES).response["violations"]
    assert [(one["id"], one["nodes"][0]["html"][:120]) for one in found] == []


@pytest.mark.parametrize("width", mostly_thorough([320, 390, 844], 390))
def test_gloves_find_every_target_and_nothing_sticks_out(phone: Opened, width: int) -> None:
    page = phone(viewport={"width": width, "height": 700})
    small = page.evaluate("""() => [...document.querySelectorAll(
        "button, summary, nav a, label, input[type=range]")]
        .map((one) => [one.getBoundingClientRect(), one.textContent])
        .filter(([box]) => box.width < 44 || box.height < 44).map(([, text]) => text)""")
    assert small == []
    assert page.evaluate("document.documentElement.scrollWidth") == width
    least = page.evaluate("""() => Math.min(...[...document.querySelectorAll("svg text")]
        .map((one) => [Number(one.getAttribute("font-size")), one.getScreenCTM()])
        .map(([size, turn]) => size * Math.hypot(turn.a, turn.b)))""")
    assert least > LETTERS


def blue(page: Page) -> Any:
    """Return where the canvas shows what was picked, as an array of truth, row by row."""
    canvas = page.locator("#stage canvas")
    drawn = canvas.evaluate("""async (one) => {
      for (let i = 0; i < 3; i++) await new Promise(requestAnimationFrame);
      return one.toDataURL();
    }""")
    picture = Image.open(io.BytesIO(base64.b64decode(drawn.partition(",")[2]))).convert("RGB")
    red, _, blue_ = np.moveaxis(np.asarray(picture, dtype=float), 2, 0)
    return blue_ > 2 * red + 60


@pytest.mark.thorough
def test_a_touched_board_is_the_one_that_is_drawn_there(phone: Opened) -> None:
    """The rows of the list colour a part; the canvas says where; a touch there must find it."""
    page = phone()
    canvas = page.locator("#stage canvas")
    page.locator("#parts").scroll_into_view_if_needed()
    expect(canvas).to_have_attribute("data-drawn", re.compile(r"\d+"))
    assert not blue(page).any()
    for apart, marks in (("0", "ACJ"), ("1", "BEG")):
        page.get_by_label("Pull apart").fill(apart)
        for mark in marks:
            row = page.locator(f"[data-mark='{mark}']")
            row.locator("summary").click()
            seen = blue(page)
            assert np.count_nonzero(seen) > 100, mark
            # as far inside of what is drawn as there is any place
            inner = seen.copy()
            while (smaller := inner[1:-1, 1:-1] & inner[:-2, 1:-1] & inner[2:, 1:-1]
                   & inner[1:-1, :-2] & inner[1:-1, 2:]).any():  # fmt: skip
                inner = np.pad(smaller, 1)
            y, x = (int(places[0]) for places in np.nonzero(inner))
            row.locator("summary").click()
            assert not blue(page).any()
            page.locator("#parts").scroll_into_view_if_needed()
            canvas.click(position={"x": x, "y": y})
            expect(page.locator("#told")).to_have_text(re.compile(rf"^{mark} "))
            assert row.get_attribute("open") is not None
            canvas.click(position={"x": 3, "y": 3})
            expect(page.locator("#told")).to_contain_text("Touch a board")
