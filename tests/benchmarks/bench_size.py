"""Benchmark: the largest boxes of 2 to 8 boards, square, all looks free; oblong as drawn.

Run it alone on a quiet machine: ``python tests/benchmarks/bench_size.py``. For each search it
prints processor time on two processes, the counted work, when the first box was there, and for each
number of boards the largest volume as drawn, in any look, and the bound. ``--assert`` fails
where a goal is missed. Goals are in processor seconds: the clock says little while others work.
"""

from __future__ import annotations

import argparse
import os
import resource
import sys
from multiprocessing import active_children
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
for folder in ("model", "drawings"):
    sys.path.insert(0, str(ROOT / folder))

from palewright.parameters.variant_files import load_variant  # noqa: E402
from palewright.size_search.pareto_sizes import largest_of  # noqa: E402
from palewright.size_search.size_grid import is_square  # noqa: E402
from palewright_drawings.output.progress import Silent  # noqa: E402
from palewright_drawings.texts.size_search_text import sought  # noqa: E402

ALL = tuple(range(2, 9))
RUNS: tuple[tuple[str, tuple[str, ...], tuple[int, ...], float, int], ...] = (
    ("stoop-tub", (), ALL, 60.0, 60),
    ("gate-pair", (), ALL, 60.0, 60),
    ("porch-cube", (), ALL, 60.0, 60),
    ("picket-tub", (), ALL, 60.0, 170),
    ("picket-tub-five", (), ALL, 60.0, 220),
    ("terrace-crate", ("size.looks=drawn",), (8,), 60.0, 0),
    ("market-gable", ("size.looks=drawn",), (6,), 60.0, 0),
    ("herb-trough", ("size.looks=drawn",), (4,), 360.0, 20),
)
"""Variant, settings, numbers of boards, the most processor seconds that all may take, and how many
sizes may be left undecided: slimmer looks leave some, an oblong box of 30 different parts uses up
all of its counted work. A tub that is sought by half inches has four times as many sizes, and
boards are hard to fill with spaced staves. The gap that this leaves is printed."""

FIRST = 5.0
"""Processor seconds of all processes until a first box is known, of a square variant."""


class FirstFound(Silent):
    """Notes the processor time of the search when a first box was told."""

    def __init__(self) -> None:
        self.begun, self.seconds = processor_seconds(), 0.0

    def note(self, text: str) -> None:
        """Take note of the first."""
        self.seconds = self.seconds or processor_seconds() - self.begun


def processor_seconds() -> float:
    """Return the processor time of this process and of its workers."""
    kinds = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    ended = sum(used.ru_utime + used.ru_stime for used in map(resource.getrusage, kinds))
    return ended + sum(_seconds_of(child.pid) for child in active_children())


def _seconds_of(pid: int | None) -> float:
    """Return the processor time of a process that still runs."""
    try:
        stat = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    except OSError:
        return 0.0
    return (int(stat[11]) + int(stat[12])) / os.sysconf("SC_CLK_TCK")


def main() -> int:
    """Print each search; return 1 if ``--assert`` is given and a goal is missed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--assert", dest="must", action="store_true")
    parser.add_argument("--only", nargs="+", default=[run[0] for run in RUNS])
    asked = parser.parse_args()
    missed = []
    for name, typed, boards, goal, most in RUNS:
        if name not in asked.only:
            continue
        table, first = load_variant(name, typed).parameters, FirstFound()
        used = processor_seconds()
        found = sought(table, boards, 2, first)
        used = processor_seconds() - used
        left = sum(one.undecided for one in found)
        print(
            f"{name}: {used:.1f} s of processor, goal {goal:g}; first box {first.seconds:.1f} s, "
            f"goal {FIRST:g}; work {found[0].work:.1f}; {left} undecided"
        )
        for one in found:
            best = largest_of(one.sizes)
            volumes = [size.volume if size else 0.0 for size in (one.drawn, best)]
            gap = f"gap {100 * (one.bound / volumes[1] - 1):.0f} %" if best else "none made"
            print(
                f"  {one.boards} boards: {volumes[0]:6.1f} l as drawn, {volumes[1]:6.1f} l in "
                f"{one.looks} looks, at most {one.bound:6.1f} l: {gap}",
                flush=True,
            )
        if used > goal:
            missed.append(f"{name}: {used:.1f} s, goal {goal:g}")
        if first.seconds > FIRST and is_square(table):
            missed.append(f"{name}: first box after {first.seconds:.1f} s, goal {FIRST:g}")
        if left > most:
            missed.append(f"{name}: {left} sizes undecided")
    for line in missed:
        print("missed:", line, file=sys.stderr)
    return int(asked.must and bool(missed))


if __name__ == "__main__":
    os.environ["PYTHONPATH"] = os.pathsep.join([str(ROOT / "model"), str(ROOT / "drawings")])
    sys.exit(main())
