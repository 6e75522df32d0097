"""The page keeps up with a hand and keeps its memory: light versions of benchmarks/bench_page."""

from __future__ import annotations

import itertools
from concurrent.futures import ThreadPoolExecutor

import pytest
from playwright.sync_api import Browser

from page_drags import drag, opened, rest, settle
from page_process import PageServer


def test_a_drag_is_shown_while_it_goes_on(server: PageServer, browser: Browser) -> None:
    """A move waits for one answer under way and its own, never for all those before it."""
    page = opened(browser, server.address, "stoop-tub", paints=False)
    moved = drag(page, "box.width", 1.3, 40, pause=30.0)
    assert len(moved.moves) == 40
    # while the hand moved, pictures came; answers that nobody waits for any more were not asked
    assert 2 <= len(moved.server) <= 40
    # one at a time, and each of all the moves until then
    asked = page.evaluate("drags.calls.filter((call) => call.task === '/design')")
    assert all(one["read"] <= other["asked"] for one, other in itertools.pairwise(asked))
    assert asked[-1]["upto"] == 40
    rest(page)
    calls = page.evaluate("drags.calls.map((call) => call.task)")
    # the slow work began once the hand rested, not with each move
    assert calls.count("/verdict") <= 1 + moved.given_up
    page.context.close()


def test_newer_changes_end_the_slower_work(server: PageServer, browser: Browser) -> None:
    page = opened(browser, server.address, "stoop-tub", paints=False)
    field = page.locator("[id='set-box.width']")
    for width in ("17 in", "18 in", "20 in"):
        with page.expect_request("**/verdict"):
            field.fill(width)
            field.press("Tab")
    settle(page)
    verdicts = page.evaluate("drags.calls.filter((call) => call.task === '/verdict')")
    assert len(verdicts) == 4  # of the page as it was opened, and of each change
    assert all("read" in one or one.get("given_up") for one in verdicts)
    assert "read" in verdicts[-1] and "given_up" not in verdicts[-1]
    last = page.evaluate("drags.calls.filter((call) => call.task === '/cut').at(-1)")
    assert last["status"] == 200
    assert "given_up" not in last
    page.context.close()


@pytest.mark.thorough
def test_twenty_pages_at_once_have_no_error(server: PageServer, browser: Browser) -> None:
    def client(number: int) -> list[int]:
        widths = [f"{16 + number / 8 + step / 4} in" for step in range(2)]
        asked = [("design", width) for width in widths] + [("verdict", widths[-1])]
        return [server.ask(t, f"page {number}", changes={"box.width": w})[0] for t, w in asked]

    page = opened(browser, server.address, "gate-pair", paints=False)
    with ThreadPoolExecutor(19) as pool:
        waiting = [pool.submit(client, number) for number in range(19)]
        drag(page, "box.width", 1.2, 10)
        assert [one.result() for one in waiting] == [[200, 200, 200]] * 19
    rest(page)
    page.context.close()


@pytest.mark.thorough
def test_memory_stays_where_it_is(server: PageServer, browser: Browser) -> None:
    """Boards come and go with each change; nothing of the old ones may stay."""
    page = opened(browser, server.address, "stoop-tub", paints=False)
    talk = page.context.new_cdp_session(page)
    talk.send("HeapProfiler.enable")
    heaps, nodes, held = [], [], []
    for _ in range(3):
        for width in range(60):
            asked = {"box.width": f"{16 + width / 8} in"}
            assert server.ask("design", changes=asked)[0] == 200
        drag(page, "box.width", 1.6, 30)
        rest(page)
        talk.send("HeapProfiler.collectGarbage")
        heaps.append(talk.send("Runtime.getHeapUsage")["usedSize"] / 1024**2)
        nodes.append(talk.send("Memory.getDOMCounters")["nodes"])
        held.append(server.memory())
    page.context.close()
    assert heaps[2] - heaps[1] < 1.0
    assert nodes[2] - nodes[1] < 400
    assert held[2] - held[1] < 25.0
