"""Benchmark: cut plans of every shipped variant at 1 to 1000 boxes, and of mixed batches.

Run it alone on a quiet machine: ``python tests/benchmarks/bench_cut.py``. Seconds are the
processor's, for finding and proving the boards; the search for fewer set-ups is not in them. Work
is what the planner counts: on a quiet core it should be about the same. ``--assert`` fails where a
plan has a gap of more than a board, takes longer than the goal, or where a thousand boxes take much
longer than ten.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
for folder in ("model", "drawings", "tests/support"):
    sys.path.insert(0, str(ROOT / folder))

from cut_batches import COUNTS, Batch, Row, batches, rows_of  # noqa: E402

SECONDS = 5.0
GAP = 1
TIMES_AS_LONG = 2.0
LEAST = 0.5
"""Below this, what 10 or 1000 boxes take says nothing of how it grows (s)."""


def shown(row: Row) -> str:
    """A line of the table."""
    state = "proven" if row.proven else f"gap {row.boards - row.bound}"
    names = f"{row.name:52.52} {row.stock:18.18}"
    return (
        f"{names} {row.boards:6} {row.bound:6} {state:7} {row.seconds:6.2f} {row.plan.seconds:6.2f}"
    )


def growth(seconds: dict[Batch, float]) -> dict[str, float]:
    """How many times as long 1000 boxes of a variant take as 10."""
    names = sorted({batch[0][0] for batch in seconds if len(batch) == 1})
    return {
        name: max(seconds[(name, 1000),], LEAST) / max(seconds[(name, 10),], LEAST)
        for name in names
        if ((name, 1000),) in seconds and ((name, 10),) in seconds
    }


def main() -> int:
    """Print the table; with --assert say what misses its goal."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--assert", dest="strict", action="store_true")
    parser.add_argument("--counts", type=int, nargs="+", default=list(COUNTS))
    asked = parser.parse_args()
    print(f"{'batch':52} {'stock':18} {'boards':>6} {'bound':>6} {'':7} {'s':>6} {'work':>6}")
    missed, seconds, proven, number = [], {}, 0, 0
    for batch in batches(tuple(asked.counts)):
        rows = rows_of(batch)
        seconds[batch] = sum(row.seconds for row in rows)
        for row in rows:
            print(shown(row), flush=True)
            number, proven = number + 1, proven + row.proven
            if row.boards - row.bound > GAP:
                missed.append(f"{row.name}: gap of {row.boards - row.bound} boards")
        if seconds[batch] > SECONDS:
            missed.append(f"{rows[0].name}: {seconds[batch]:.1f} s")
    for name, times in growth(seconds).items():
        print(f"{name:52} 1000 boxes / 10 boxes: {times:.2f}")
        if times > TIMES_AS_LONG:
            missed.append(f"{name}: 1000 boxes take {times:.1f} times as long as 10")
    print(f"{proven} of {number} proven; slowest {max(seconds.values()):.2f} s")
    for line in missed:
        print("missed:", line)
    return 1 if asked.strict and missed else 0


if __name__ == "__main__":
    raise SystemExit(main())
