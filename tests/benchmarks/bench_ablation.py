"""Benchmark: what each mechanism of the planner's search pays, one switched off at a time.

``python tests/benchmarks/bench_ablation.py [SWITCH ...]``. A line a switch: boards, proofs (of the
size search: questions that are decided) and counted work, against the planner as it stands, and
each question whose boards or proof differ. All is counted work, so that the table is the same on
every machine, busy or not (the processor seconds are not). A mechanism pays that saves a board,
proves a plan or saves a third of the work; what pays for nothing should go.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any
from unittest.mock import patch

ROOT = Path(__file__).resolve().parents[2]
for folder in ("model", "drawings", "tests/support"):
    sys.path.insert(0, str(ROOT / folder))

from cut_batches import FIFTY, MIXED, Batch, drawn_mix  # noqa: E402
from cut_cases import (  # noqa: E402
    board_cases,
    board_question,
    lengths_cases,
    lengths_question,
)
from palewright.cutting_stock import (  # noqa: E402
    PartDemand,
    SawSettings,
    StockBoard,
    plan_cuts,
    planner,
)
from palewright.cutting_stock.master import (  # noqa: E402
    diving_heuristic,
    restricted_master,
    search_strategy,
    sequential_heuristic,
)
from palewright.cutting_stock.master.restricted_master import RestrictedMaster  # noqa: E402
from palewright.cutting_stock.master.search_strategy import _CoverSearch  # noqa: E402
from palewright.cutting_stock.pricing import three_stage  # noqa: E402
from palewright.cutting_stock.pricing.completion_bounds import (  # noqa: E402
    CompletionBounds,
    LagrangianBound,
)
from palewright.cutting_stock.pricing.label_extension import Tables  # noqa: E402
from palewright.cutting_stock.pricing.three_stage import ThreeStagePricing  # noqa: E402
from palewright.cutting_stock.problem.search_settings import SETTINGS  # noqa: E402
from palewright.design import design  # noqa: E402
from palewright.parameters.variant_files import load_variant  # noqa: E402
from palewright.sawing.stock_demands import demands_of, demands_of_one, saw_of  # noqa: E402

WORK = 3.0
"""Counted work a question, a quarter of what `cut` gives, so that the table takes minutes."""

BATCHES: tuple[Batch, ...] = (
    (("winter-tub", 1),),
    (("herb-trough", 2),),
    (("gate-pair", 5),),
    (("stoop-tub", 10),),
    (("terrace-crate", 10),),
    (("bean-tower", 100),),
    *MIXED,
    FIFTY,
    *(drawn_mix(seed) for seed in range(4)),
)
BOARDS = {("crate", 2), ("caddy", 1), ("rnd4", 1), ("rnd7", 5), ("planted5", 1)}
LENGTHS = (
    "Falkenauer_t60_00",
    "Schwerin1_BPP5",
    "N1C1W4_H",
    "Waescher_TEST0022",
    "Hard28_BPP13",
    "Hard28_BPP40",
)
"""As the quick tests of the open sets, without those that take longest."""


SAW = SawSettings(kerf=3.175)
MESSY = (
    (8, 20, StockBoard("plain", 1828.8, 139.7)),
    (3, 30, StockBoard("dog-eared", 1828.8, 139.7, clipped_end=25.4)),
)


@dataclass(frozen=True)
class Asked:
    """One question; enough: the number of boards that it is about, None for the fewest."""

    name: str
    parts: Sequence[PartDemand]
    stock: Sequence[StockBoard]
    saw: SawSettings
    enough: int | None = None


@dataclass(frozen=True)
class Told:
    """What came of a question: boards, whether that is proven or decided, counted work."""

    boards: int
    sure: bool
    work: float


SIZES = (
    ("winter-tub", 17, 12.5, 22, 7),
    ("winter-tub", 11.25, 18, 20, 7),
    ("stoop-tub", 10.75, 19, 20.25, 7),
    ("gate-pair", 21.25, 24, 17.25, 10),
    ("gate-pair", 18, 20.25, 19.75, 10),
    ("herb-trough", 29, 11.5, 13.75, 6),
    ("herb-trough", 29.25, 9.25, 14.25, 6),
    ("herb-trough", 25.75, 13.25, 13.25, 6),
    ("herb-trough", 22.25, 11.5, 14.75, 5),
    ("herb-trough", 28.75, 11.75, 10.5, 5),
    ("herb-trough", 23.25, 10, 13.5, 5),
    ("herb-trough", 20, 8.75, 14, 4),
    ("herb-trough", 18, 12, 13, 4),
    ("porch-cube", 10, 10, 20.5, 4),
    ("porch-cube", 10, 10, 21, 4),
    ("stoop-tub", 11, 11, 15, 4),
    ("picket-tub", 11.5, 11.5, 10.5, 2),
    ("picket-tub", 16.5, 16.5, 11.5, 3),
    ("picket-tub", 17.5, 17.5, 10, 3),
    ("picket-tub", 15.5, 15.5, 13, 3),
    ("picket-tub", 20, 20, 12.5, 4),
)
"""Variant, width, depth and height (in), number of boards: as the size search asks. Of sizes whose
quick bound is near a whole number those that take most work."""


def questions() -> Iterator[Asked]:
    """All questions, the shop's own first."""
    for batch in BATCHES:
        designs = [(design(load_variant(name).parameters), count) for name, count in batch]
        for demand in demands_of(designs):
            name = " ".join(f"{variant}:{count}" for variant, count in batch)
            saw = saw_of(designs[0][0].parameters)
            yield Asked(f"{name} {demand.board.name}", demand.parts, [demand.board], saw)
    for case in board_cases():
        if (case.name, case.boxes) in BOARDS:
            yield Asked(f"{case.name}:{case.boxes}", *board_question(case.name, case.boxes))
    for family in ("falkenauer", "schwerin", "scholl", "waescher", "hard28"):
        for one in lengths_cases(family):
            if one.name in LENGTHS:
                yield Asked(one.name, *lengths_question(one))
    for seed, number, board in MESSY:
        yield Asked(f"{number} parts {board.name}", _messy(seed, number), [board], SAW)
    for variant, width, depth, height, boards in SIZES:
        sides = {"width": width, "depth": depth, "height": height}
        settings = [f'box.{side}="{size} in"' for side, size in sides.items()]
        parameters = load_variant(variant, settings).parameters
        demand = demands_of_one(parameters)[0]
        name = f"{variant} {width:g} x {depth:g} x {height:g} of {boards}"
        yield Asked(name, demand.parts, [demand.board], saw_of(parameters), boards)


def _messy(seed: int, number: int) -> list[PartDemand]:
    """So many parts that have nothing to do with each other, as of a list made by hand."""
    rng = random.Random(seed)
    sizes = [
        (rng.randint(70, 700), rng.randint(12, 60) * 2, rng.randint(1, 4)) for _ in range(number)
    ]
    return [PartDemand(f"p{i}", a * 1.0, b * 1.0, n) for i, (a, b, n) in enumerate(sizes)]


def told(asked: Asked) -> Told:
    """Answer a question, without the search for fewer saw settings."""
    plan = plan_cuts(
        asked.parts, asked.stock, asked.saw, time_limit=WORK, setup_time=0.0, enough=asked.enough
    )
    if asked.enough is None:
        return Told(plan.boards, plan.proven, plan.seconds)
    made, ruled_out = plan.boards <= asked.enough, plan.lower_bound > asked.enough
    return Told(asked.enough + ruled_out, made or ruled_out, plan.seconds)


def _nothing(*_: object, **__: object) -> None:
    """Do nothing, for a step of the search that is left out."""


def _no_bound(master: RestrictedMaster, _: object) -> object:
    return _first_safe(master, None)


def _plain_ceiling(
    _: CompletionBounds, __: object, ___: object, ____: float, first: Tables
) -> object:
    return LagrangianBound(first.whole, 0.0, first)


_first_safe = RestrictedMaster._first_safe
Patch = tuple[object, str, object]


def _set(module: object, **numbers: Any) -> Patch:
    """Other search settings, in one module."""
    return module, "SETTINGS", replace(SETTINGS, **numbers)


SWITCHES: Mapping[str, tuple[Patch, ...]] = {
    "fillings": (_set(sequential_heuristic, fillings=0),),
    "repeated": ((_CoverSearch, "by_repeating", _nothing),),
    "best blocks": (
        (ThreeStagePricing, "_of_best_blocks", lambda pricing, *_: pricing._none(0.0)),
    ),
    "lagrangian": (
        (CompletionBounds, "lagrangian", _plain_ceiling),
        (
            ThreeStagePricing,
            "_best_under_lagrangian",
            lambda pricing, tables, *_: replace(pricing._none(tables.whole), complete=False),
        ),
    ),
    "listing": ((ThreeStagePricing, "list_blocks", _nothing),),
    "programs": ((planner, "block_program", _nothing),),
    "sharpen": ((_CoverSearch, "sharpen", lambda _: False),),
    "enumeration": ((_CoverSearch, "by_listing", _nothing),),
    "seeds": (_set(search_strategy, seeds=1),),
    "tight": (_set(search_strategy, no_waste=-1.0),),
    "memory": (_set(diving_heuristic, rests_known=0),),
    "goals": (_set(three_stage, goal_shares=(1.0,)),),
    "near": ((RestrictedMaster, "_first_safe", _no_bound),),
    "idle": (_set(restricted_master, most_idle=10**9),),
    "late list": (_set(three_stage, tried_at_once=0),),
    "pull": (_set(restricted_master, pulls=(0.0, 0.0, 0.0)),),
}


@contextmanager
def without(names: Sequence[str]) -> Iterator[None]:
    """Leave out what these switches stand for."""
    with ExitStack() as stack:
        for name in names:
            for owner, what, instead in SWITCHES[name]:
                stack.enter_context(patch.object(owner, what, instead))
        yield


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("switches", nargs="*", help=f"of {', '.join(SWITCHES)}; + joins some")
    parser.add_argument("--each", action="store_true", help="a line a question, as it stands")
    chosen = parser.parse_args()
    asked = list(questions())
    base = _row("as it stands", (), asked, None)
    if chosen.each:
        for one, answer in zip(asked, base, strict=True):
            print(f"    {one.name:60.60} {answer.boards:5} {answer.sure:2} {answer.work:6.2f}")
    for line in chosen.switches or (*SWITCHES, "+".join(SWITCHES)):
        _row(line, line.split("+"), asked, base)
    return 0


def _row(
    line: str, names: Sequence[str], asked: Sequence[Asked], base: Sequence[Told] | None
) -> list[Told]:
    """Answer all questions without some mechanisms, and print how that compares."""
    began = time.process_time()
    with without(names):
        found = [told(one) for one in asked]
    seconds, work = time.process_time() - began, sum(one.work for one in found)
    times = work / sum(one.work for one in base) if base else 1.0
    print(
        f"{line:32.32} boards {sum(one.boards for one in found):6}  sure"
        f" {sum(one.sure for one in found):3} of {len(asked)}  work {work:6.2f} x {times:4.2f}"
        f"  {seconds:6.1f} s",
        flush=True,
    )
    for one, now, was in zip(asked, found, base or found, strict=True):
        if (now.boards, now.sure) != (was.boards, was.sure):
            print(f"    {one.name}: {_words(was)} -> {_words(now)}", flush=True)
    return found


def _words(answer: Told) -> str:
    return f"{answer.boards} {'sure' if answer.sure else 'unsure'} {answer.work:.2f}"


if __name__ == "__main__":
    raise SystemExit(main())
