"""Benchmark: hidden lines of convex prisms against the kernel's, and the time of each figure.

Run it alone on a quiet machine: ``python tests/benchmarks/bench_views.py``. Ratios are from one
run; times on one machine say nothing about another. ``--assert`` fails where a goal is missed.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
for folder in ("model", "drawings", "tests/support"):
    sys.path.insert(0, str(ROOT / folder))

from kernel_lines import kernel_lines, placed_shapes  # noqa: E402
from palewright.design import Design, design  # noqa: E402
from palewright.parameters.variant_files import load_variant  # noqa: E402
from palewright.solids.kernel_solids import Solids  # noqa: E402
from palewright_drawings.figures.assembly_steps import step_pictures  # noqa: E402
from palewright_drawings.figures.exploded_view import exploded_figure  # noqa: E402
from palewright_drawings.figures.vertical_section import section_figure  # noqa: E402
from palewright_drawings.figures.views import view_figure  # noqa: E402
from palewright_drawings.projection.convex_bodies import board_body  # noqa: E402
from palewright_drawings.projection.hidden_lines import seen_and_hidden  # noqa: E402
from palewright_drawings.projection.projections import VIEWS  # noqa: E402
from palewright_drawings.projection.scene_drawing import shot_of  # noqa: E402

VARIANTS = ("stoop-tub", "gate-pair", "bean-tower")
LEAST_RATIO = 3.0
"""The kernel takes at least so many times as long, or its lines might as well be used."""


def fastest(work: Callable[[], object], repeats: int = 7) -> float:
    """Return the least processor time (s) of some repeats."""
    times = []
    for _ in range(repeats):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return min(times)


def prism_lines(one: Design, view: str) -> object:
    """Draw the box's edges by our own way, from the boards on."""
    return seen_and_hidden(shot_of((board_body(b) for b in one.box.boards.values()), VIEWS[view]))


def main() -> int:
    """Print the ratios; return 1 where a goal is missed and ``--assert`` is given."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--assert", dest="strict", action="store_true")
    strict = parser.parse_args().strict
    missed = False
    print(f"{'':14}{'boards':>7}{'view':>8}{'prisms':>10}{'kernel':>10}{'ratio':>7}")
    for name in VARIANTS:
        one = design(load_variant(name).parameters, name)
        boards = one.box.boards
        plain = placed_shapes(Solids({key: b.with_holes(()) for key, b in boards.items()}))
        for view in ("front", "corner"):
            own = fastest(lambda one=one, view=view: prism_lines(one, view))
            kernel = fastest(lambda plain=plain, view=view: kernel_lines(plain, VIEWS[view]), 3)
            missed |= kernel < LEAST_RATIO * own
            print(
                f"{name:14}{len(boards):7}{view:>8}{own * 1e3:7.1f} ms{kernel * 1e3:7.0f} ms"
                f"{kernel / own:7.1f}"
            )
    print()
    for name in VARIANTS:
        one = design(load_variant(name).parameters, name)
        steps = len(list(step_pictures(one)))
        rows: dict[str, Callable[[], object]] = {
            "front": lambda one=one: view_figure(one, "front"),
            "corner": lambda one=one: view_figure(one, "corner"),
            "section": lambda one=one: section_figure(one),
            "exploded": lambda one=one: exploded_figure(one),
        }
        told = [f"{what} {fastest(work, 5) * 1e3:.0f} ms" for what, work in rows.items()]
        whole = fastest(lambda one=one: list(step_pictures(one)), 3)
        told.append(f"{steps} steps {whole * 1e3 / steps:.0f} ms each")
        print(f"{name:14}{', '.join(told)}")
    return int(missed and strict)


if __name__ == "__main__":
    sys.exit(main())
