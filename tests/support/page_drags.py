"""The page dragged in a real browser, each move timed from its input event to what is shown.

Times come from inside the page: the input event, the request's way to the server and back, the
moment when picture and verdict of that move or of a newer one stand there. Without a graphics
card the browser paints by the processor, which takes more than all the rest. ``paints=False``
leaves out the drawing commands themselves, and a browser started so puts the page together
without going through an emulated graphics card (which takes 50 to 100 ms of a processor a frame,
and holds up the next), so that the other times can be read alone.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import numpy as np
from playwright.sync_api import Browser, Page, sync_playwright

FLAGS = [
    "--no-sandbox", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--use-gl=angle", "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader", "--disable-gpu-watchdog",
]  # fmt: skip
PATIENCE = 60_000
"""Milliseconds: a picture drawn without a graphics card on a busy machine takes long."""

_UNPAINTED = """
for (const name of ["drawElements", "drawArrays", "drawElementsInstanced", "drawArraysInstanced",
                    "clear"])
  WebGL2RenderingContext.prototype[name] = () => {};
"""

_WATCH = """
window.drags = { moves: [], calls: [], rested: 0 };
const plain = window.fetch;
window.fetch = async (place, options) => {
  const call = { task: place, asked: performance.now(), upto: drags.moves.length };
  drags.calls.push(call);
  options?.signal?.addEventListener("abort", () => { if (!call.read) call.given_up = true; });
  const answer = await plain(place, options);
  call.status = answer.status;
  const json = answer.json.bind(answer);
  answer.json = async () => {
    const found = await json();
    call.read = performance.now();
    return found;
  };
  return answer;
};
addEventListener("DOMContentLoaded", () => new MutationObserver(() => {
  const now = performance.now();
  const call = drags.calls.findLast((one) => one.task === "/design" && one.read);
  if (!call || call.shown) return;
  call.shown = now;
  for (const move of drags.moves.slice(0, call.upto)) move.shown ||= now;
}).observe(document.body, { attributeFilter: ["data-took"] }));
"""

_DRAG = """
async ([key, low, high, count, pause]) => {
  const line = document.getElementById(`set-${key}`).parentElement;
  const slider = line.querySelector("input[type=range]");
  drags.moves = [];
  drags.calls = [];
  slider.focus();
  for (let i = 1; i <= count; i++) {
    // there and back, twice: it ends where it began
    const share = 0.5 - 0.5 * Math.cos((4 * Math.PI * i) / count);
    slider.valueAsNumber = low + (high - low) * share;
    drags.moves.push({ asked: performance.now() });
    slider.dispatchEvent(new Event("input", { bubbles: true }));
    await new Promise((done) => setTimeout(done, pause));
  }
  slider.dispatchEvent(new Event("change", { bubbles: true }));
  slider.blur();
}
"""

_SHOWN = "drags.moves.every((move) => move.shown)"

_UNTIL = """
async () => {
  const ends = performance.now() + %d;
  while (!(%s)) {
    if (performance.now() > ends)
      throw new Error(`waited in vain: ${JSON.stringify(drags.calls.slice(-6))}`);
    await new Promise((done) => setTimeout(done, 8));
  }
  return performance.now();
}
"""

_SETTLED = """
document.getElementById("cases").textContent.includes("mixed lumber")
  && !document.getElementById("layouts").classList.contains("busy")
  && drags.calls.some((call) => call.task === "/cut" && call.read && !call.given_up)
"""


_PRICED = """
drags.calls.some((call) => call.task === "/price" && call.read && !call.given_up)
  && !document.getElementById("sum-costs").parentElement.classList.contains("rough")
"""


@dataclass(frozen=True, slots=True)
class Drag:
    """What one drag took, all in ms.

    Attributes:
        moves: from each input event until it or a newer one was shown.
        server: from each request for the picture to its answer, read.
        client: from each answer to picture and verdict shown.
        given_up: verdicts and plans given up because a newer change came.
    """

    moves: tuple[float, ...]
    server: tuple[float, ...]
    client: tuple[float, ...]
    given_up: int


@contextmanager
def chromium(paints: bool = True) -> Iterator[Browser]:
    """Start Debian's Chromium; unless it ``paints``, without an emulated graphics card."""
    place = shutil.which("chromium")
    assert place, "this needs Debian's package chromium"
    with sync_playwright() as driver:
        flags = FLAGS if paints else [*FLAGS, "--disable-gpu-compositing"]
        running = driver.chromium.launch(executable_path=place, args=flags)
        yield running
        running.close()


def opened(browser: Browser, address: str, variant: str, paints: bool = True) -> Page:
    """Return the page, open at a variant and at rest, in a context of its own."""
    page = browser.new_context(viewport={"width": 1400, "height": 900}).new_page()
    page.set_default_timeout(PATIENCE)
    page.add_init_script(_WATCH + ("" if paints else _UNPAINTED))
    page.goto(f"{address}#variant={variant}")
    settle(page)
    return page


def settle(page: Page) -> None:
    """Wait until all lumber is judged and the plan is there."""
    _wait(page, _SETTLED)


def drag(page: Page, key: str, share: float, count: int, pause: float = 40.0) -> Drag:
    """Drag a slider between its value and so much of it, there and back.

    Args:
        page: opened by `opened`.
        key: of a length.
        share: of the value, where the drag turns.
        count: of moves.
        pause: ms between them.
    """
    low, high = sorted((_millimetres(page, key), share * _millimetres(page, key)))
    page.evaluate(_DRAG, [key, low, high, count, pause])
    _wait(page, _SHOWN)
    told: dict[str, Any] = page.evaluate("drags")
    calls = [one for one in told["calls"] if one["task"] == "/design"]
    assert all(one.get("status") == 200 for one in calls), calls
    seen = [one for one in calls if "shown" in one]
    return Drag(
        tuple(one["shown"] - one["asked"] for one in told["moves"]),
        tuple(one["read"] - one["asked"] for one in seen),
        tuple(one["shown"] - one["read"] for one in seen),
        sum(bool(one.get("given_up")) for one in told["calls"]),
    )


def rest(page: Page) -> float:
    """Return how long after the last change (ms) all lumber is judged and the plan is there."""
    return _wait(page, _SETTLED) - float(page.evaluate("drags.moves.at(-1).asked"))


def priced(page: Page) -> float:
    """Return how long after the last change (ms) the price is settled."""
    return _wait(page, _PRICED) - float(page.evaluate("drags.moves.at(-1).asked"))


def share_below(times: tuple[float, ...] | list[float], percent: float) -> float:
    """Return the time that so many in a hundred stay below."""
    return float(np.percentile(times, percent))


def _wait(page: Page, condition: str) -> float:
    """Wait for a condition and return the page's own time (ms) then; its policy allows no eval."""
    return float(page.evaluate(_UNTIL % (PATIENCE, condition)))


def _millimetres(page: Page, key: str) -> float:
    """Return where a slider stands, mm."""
    return float(
        page.evaluate(
            "key => document.getElementById(`set-${key}`).parentElement"
            ".querySelector('input[type=range]').valueAsNumber",
            key,
        )
    )
