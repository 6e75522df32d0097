"""Benchmark: the largest boxes of 2 to 8 boards, square, and of one number of boards, oblong.

Run it alone on a quiet machine: ``python tests/benchmarks/bench_size.py``. It prints wall and
processor time on two processes, what was offered and what is undecided. ``--assert`` fails
where a goal is missed or a size is left undecided; with ``--busy`` goals are held by half the
processor time, since the clock says little while others work.
"""

from __future__ import annotations

import argparse
import resource
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
for folder in ("model", "drawings"):
    sys.path.insert(0, str(ROOT / folder))

from palewright.parameters.variant_files import load_variant  # noqa: E402
from palewright_drawings.output.progress import Silent  # noqa: E402
from palewright_drawings.texts.size_search_text import sought  # noqa: E402

ALL = tuple(range(2, 9))
RUNS: tuple[tuple[str, tuple[int, ...], float, int], ...] = (
    ("stoop-tub", ALL, 20.0, 0),
    ("gate-pair", ALL, 20.0, 0),
    ("porch-cube", ALL, 20.0, 0),
    ("terrace-crate", (8,), 90.0, 0),
    ("market-gable", (6,), 90.0, 0),
    ("herb-trough", (4,), 360.0, 12),
)
"""Variant, numbers of boards, the most seconds that all may take on two quiet cores, and how many
sizes may be left undecided: an oblong box of 30 different parts uses up all of its counted work."""


def processor_seconds() -> float:
    """Return the processor time of this process and of the workers that have ended."""
    kinds = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    return sum(used.ru_utime + used.ru_stime for used in map(resource.getrusage, kinds))


def main() -> int:
    """Print a line a search; return 1 if ``--assert`` is given and a goal is missed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--assert", dest="must", action="store_true")
    parser.add_argument("--busy", action="store_true")
    parser.add_argument("--only", nargs="+", default=[run[0] for run in RUNS])
    asked = parser.parse_args()
    missed = []
    print(
        f"{'variant':14} {'boards':8} {'wall s':>7} {'cpu s':>7} {'sizes':>6} {'open':>5}  goal s"
    )
    for name, boards, goal, most in RUNS:
        if name not in asked.only:
            continue
        wall, used = time.perf_counter(), processor_seconds()
        found = sought(load_variant(name).parameters, boards, 2, Silent())
        wall, used = time.perf_counter() - wall, processor_seconds() - used
        sizes, left = sum(len(one.sizes) for one in found), sum(one.undecided for one in found)
        counts = f"{boards[0]} to {boards[-1]}" if len(boards) > 1 else str(boards[0])
        print(
            f"{name:14} {counts:8} {wall:7.1f} {used:7.1f} {sizes:6} {left:5}  {goal:g}",
            flush=True,
        )
        taken = used / 2 if asked.busy else wall
        if taken > goal:
            missed.append(f"{name}: {taken:.1f} s, goal {goal:g}")
        if left > most:
            missed.append(f"{name}: {left} sizes undecided")
    for line in missed:
        print("missed:", line, file=sys.stderr)
    return int(asked.must and bool(missed))


if __name__ == "__main__":
    import os

    os.environ["PYTHONPATH"] = os.pathsep.join([str(ROOT / "model"), str(ROOT / "drawings")])
    sys.exit(main())
