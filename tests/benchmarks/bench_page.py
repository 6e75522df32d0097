"""Benchmark: the page in a real browser: dragging, what follows, twenty pages, memory.

Run it alone on a quiet machine with Debian's chromium: ``python tests/benchmarks/bench_page.py``,
some three minutes. ``--assert`` fails where a goal is missed, ``--changes 60`` makes it shorter.
Server and browser share the processors, as at a maker's. What a browser without a graphics card
takes to paint is left out of the goals (see ``tests/support/page_drags.py``); ``--painted`` tells
it too, in some minutes more.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from itertools import chain
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
for folder in ("model", "drawings", "tests/support"):
    sys.path.insert(0, str(ROOT / folder))

from playwright.sync_api import Browser  # noqa: E402

from page_drags import Drag, chromium, drag, opened, priced, rest, share_below  # noqa: E402
from page_process import PageServer, page_server  # noqa: E402

DRAGGED = (
    ("stoop-tub", (("box.width", 1.3), ("box.height", 1.2), ("panel.lip", 1.2))),
    ("winter-tub", (("box.width", 1.2), ("box.height", 1.2), ("panel.lip", 1.2))),
    ("gate-pair", (("box.width", 1.2), ("box.height", 1.2), ("panel.lip", 1.2))),
)
"""Variants, and their sliders with the share of the value at which the drag turns."""

SHOWN, FOLLOWED, PRICED = 100.0, 1000.0, 2000.0
"""Goals at the 95th percentile, ms: picture and verdict; all lumber and the plan; the price that
weighs boards against work at the saw."""

PAGES = 20
MOST_GROWTH = 20.0
"""MiB that server and workers together may grow in a thousand changes, once warm."""

MOST_HEAP_GROWTH = 2.0
"""MiB that the browser's script heap may grow in a thousand changes, once warm."""

Row = tuple[str, float, float, str]
"""What, measured, goal (0: told only), unit."""

Part = Callable[[Browser, PageServer], Iterator[Row]]
"""One part of the benchmark."""


def dragging(browser: Browser, server: PageServer, moves: int, paints: bool) -> Iterator[Row]:
    """Drag every slider; tell moves, what the server and the browser take, and what follows."""
    found: list[Drag] = []
    follow: list[float] = []
    settle: list[float] = []
    for variant, sliders in DRAGGED:
        page = opened(browser, server.address, variant, paints)
        for key, share in sliders:
            found.append(drag(page, key, share, moves))
            follow.append(rest(page))
            settle.append(priced(page))
        page.context.close()
    how = "" if paints else ", nothing painted"
    for percent in (50, 95, 99):
        goal = SHOWN if percent == 95 and not paints else 0.0
        times = [time for one in found for time in one.moves]
        yield (
            f"move to picture and verdict, p{percent}{how}",
            share_below(times, percent),
            goal,
            "ms",
        )
    for name in ("server", "client"):
        times = [time for one in found for time in getattr(one, name)]
        yield f"  its {name} part, p50{how}", share_below(times, 50), 0.0, "ms"
    goal = 0.0 if paints else FOLLOWED
    yield f"all lumber and the plan, p95{how}", share_below(follow, 95), goal, "ms"
    goal = 0.0 if paints else PRICED
    yield f"the settled price, p95{how}", share_below(settle, 95), goal, "ms"
    yield f"moves{how}", float(sum(len(one.moves) for one in found)), 0.0, ""


def superseding(browser: Browser, server: PageServer, changes: int) -> Iterator[Row]:
    """Change again and again just after the slower work began: each is given up but the last."""
    page = opened(browser, server.address, "stoop-tub", paints=False)
    moved = drag(page, "box.width", 1.3, changes, pause=450.0)
    yield "verdicts and plans given up for newer changes", float(moved.given_up), 0.0, ""
    yield "all lumber and the plan after the last", rest(page), 0.0, "ms"
    page.context.close()


def twenty(browser: Browser, server: PageServer, changes: int) -> Iterator[Row]:
    """Twenty open pages: three in the browser, the others plain clients; no answer is an error."""

    def client(number: int) -> list[int]:
        widths = [f"{16 + number / 8 + step / 4} in" for step in range(changes)]
        return [
            server.ask(task, f"client {number}", changes={"box.width": width})[0]
            for width in widths
            for task in ("design", "verdict")
        ]

    pages = [opened(browser, server.address, name, paints=False) for name, _ in DRAGGED]
    with ThreadPoolExecutor(PAGES) as pool:
        waiting = [pool.submit(client, number) for number in range(PAGES - len(pages))]
        for page in pages:
            drag(page, "box.width", 1.2, changes)
            rest(page)
        status = [code for one in waiting for code in one.result()]
    wrong = sum(code != 200 for code in status)
    yield f"answers of {PAGES} pages at once", float(len(status)), 0.0, ""
    yield "errors among them", float(wrong), 0.5, ""
    for page in pages:
        page.context.close()


def growth(samples: list[tuple[int, float]]) -> float:
    """Return the growth in a thousand changes, by the line through the later two thirds."""
    late = np.array(samples[len(samples) // 3 :])
    return float(1000 * np.polyfit(late[:, 0], late[:, 1], 1)[0])


def steadiness(browser: Browser, server: PageServer, changes: int) -> Iterator[Row]:
    """Make many changes in one page, and look at the memory of both sides on the way."""
    page = opened(browser, server.address, "stoop-tub", paints=False)
    talk = page.context.new_cdp_session(page)
    talk.send("HeapProfiler.enable")
    server_side, heap, nodes = [], [], []
    step = max(10, changes // 20)
    for done in range(0, changes, step):
        drag(page, "box.width", 1.3, step, pause=25.0)
        rest(page)
        priced(page)  # the settled plan is drawn with its price: some 350 nodes come and go
        talk.send("HeapProfiler.collectGarbage")
        counted = talk.send("Runtime.getHeapUsage")
        server_side.append((done + step, server.memory()))
        heap.append((done + step, counted["usedSize"] / 1024**2))
        nodes.append((done + step, talk.send("Memory.getDOMCounters")["nodes"]))
    page.context.close()
    yield "memory of server and workers at the end", server_side[-1][1], 0.0, "MiB"
    yield "  its growth in 1000 changes", growth(server_side), MOST_GROWTH, "MiB"
    yield "script heap at the end", heap[-1][1], 0.0, "MiB"
    yield "  its growth in 1000 changes", growth(heap), MOST_HEAP_GROWTH, "MiB"
    yield "  growth of the page's nodes in 1000 changes", growth(nodes), 500.0, ""


def told(row: Row) -> tuple[str, bool]:
    """Print a row; return what it is and whether it misses its goal."""
    what, measured, goal, unit = row
    limit = f"goal {goal:g}" if goal else ""
    print(f"{what:58s} {measured:9.1f} {unit:4s} {limit}", flush=True)
    return what, bool(goal) and measured > goal


def main() -> int:
    """Run all and print a table; return 1 where a goal is missed and that matters."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--assert", dest="strict", action="store_true")
    words.add_argument("--changes", type=int, default=1000, help="for memory; others in proportion")
    words.add_argument("--painted", action="store_true", help="tell what painting takes too")
    asked = words.parse_args()
    moves, few = max(6, asked.changes // 20), max(3, asked.changes // 200)
    unpainted: tuple[Part, ...] = (
        lambda browser, server: dragging(browser, server, moves, False),
        lambda browser, server: superseding(browser, server, few),
        lambda browser, server: twenty(browser, server, few),
        lambda browser, server: steadiness(browser, server, asked.changes),
    )
    painted: tuple[Part, ...] = (
        lambda browser, server: dragging(browser, server, max(6, moves // 3), True),
    )
    print(f"load before: {os.getloadavg()[0]:.1f} on {os.cpu_count()} processors")
    missed = []
    with page_server() as server:
        for parts, paints in ((unpainted, False), *(((painted, True),) * asked.painted)):
            with chromium(paints) as browser:
                rows = chain.from_iterable(part(browser, server) for part in parts)
                missed += [what for what, over in map(told, rows) if over]
    if missed:
        print("missed:", "; ".join(missed))
    return int(asked.strict and bool(missed))


if __name__ == "__main__":
    sys.exit(main())
