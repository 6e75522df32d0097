"""Batches of shipped variants as cutting questions, and how a plan of each came out."""

from __future__ import annotations

import random
import time
from typing import NamedTuple

from palewright.cutting_stock import WORK, CutPlan, plan_cuts
from palewright.design import design
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright.sawing.stock_demands import StockDemand, demands_of, saw_of

COUNTS = (1, 2, 5, 10, 50, 100, 1000)
MIXED = (
    (("stoop-tub", 3), ("herb-trough", 2)),
    (("stoop-tub", 20), ("stoop-tub-wide", 10), ("bean-tower", 5)),
    (("winter-tub", 40), ("winter-tub-small", 60)),
    (("gate-pair", 7), ("herb-trough", 7), ("stoop-tub", 7), ("winter-tub", 7)),
)
"""Batches whose boxes share a stock, as a season's order might be."""

SHARING = (
    "bean-tower",
    "gate-pair",
    "herb-trough",
    "stoop-tub",
    "stoop-tub-wide",
    "winter-tub",
    "winter-tub-small",
)
"""The variants that are cut from the same fence board."""

SEEDS = range(8)

Batch = tuple[tuple[str, int], ...]

FIFTY: Batch = (("stoop-tub", 20), ("herb-trough", 20), ("winter-tub", 10))
"""Fifty boxes of three kinds, of which an early plan once took a tenth more boards than it need."""


class Row(NamedTuple):
    """One stock of one batch: boards of the plan, what is known below, processor seconds."""

    batch: Batch
    stock: str
    boards: int
    bound: int
    proven: bool
    seconds: float
    demand: StockDemand
    plan: CutPlan

    @property
    def name(self) -> str:
        """The batch as it is typed."""
        return " ".join(f"{variant}:{count}" for variant, count in self.batch)


def drawn_mix(seed: int) -> Batch:
    """Two to five variants of one stock, up to 50 of each; the same for the same seed."""
    rng = random.Random(seed)
    names = sorted(rng.sample(SHARING, rng.randint(2, 5)))
    most = rng.choice((3, 10, 50))
    return tuple((name, rng.randint(1, most)) for name in names)


def batches(counts: tuple[int, ...] = COUNTS) -> list[Batch]:
    """Every shipped variant so often, then the mixed ones."""
    alone: list[Batch] = [((name, n),) for name in sorted(shipped_variants()) for n in counts]
    return [*alone, *MIXED, *(drawn_mix(seed) for seed in SEEDS)]


def rows_of(batch: Batch, time_limit: float = WORK) -> list[Row]:
    """Plan each stock of a batch in so much counted work, without the search for fewer set-ups."""
    designs = [(design(load_variant(name).parameters), count) for name, count in batch]
    saw = saw_of(designs[0][0].parameters)
    rows = []
    for demand in demands_of(designs):
        began = time.process_time()
        plan = plan_cuts(demand.parts, [demand.board], saw, time_limit=time_limit, setup_time=0.0)
        seconds = time.process_time() - began
        known = plan.lower_bound
        rows.append(
            Row(batch, demand.board.name, plan.boards, known, plan.proven, seconds, demand, plan)
        )
    return rows
