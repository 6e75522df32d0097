"""Parts that have nothing to do with each other: planned in any time, no pattern made up."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest

from case_lists import mostly_thorough
from cut_cases import complaints_of
from palewright.cutting_stock import PartDemand, SawSettings, StockBoard, plan_cuts
from palewright.cutting_stock.planner import _covering
from palewright.cutting_stock.problem.integer_units import integer_problem
from palewright.cutting_stock.sawing.surplus_parts import recipe_counts

FENCE = StockBoard("fence", 1828.8, 139.7)
EARED = StockBoard("eared", 1828.8, 139.7, clipped_end=25.4)
SAW = SawSettings(kerf=3.175)


def messy_list(seed: int, number: int) -> list[PartDemand]:
    """So many parts that have nothing to do with each other."""
    rng = random.Random(seed)
    return [
        PartDemand(
            f"p{i}", rng.randint(70, 700) * 1.0, rng.randint(12, 60) * 2.0, rng.randint(1, 4)
        )
        for i in range(number)
    ]


@pytest.mark.parametrize("board", [FENCE, EARED], ids=lambda board: board.name)
def test_fillings_found_at_once_hold_what_their_recipes_make(board: StockBoard) -> None:
    problem = integer_problem(messy_list(5, 12), [board], SAW)
    pricing = _covering(problem, math.inf).kinds[0].pricing
    pricing.listing = None  # type: ignore[attr-defined]
    rng = np.random.default_rng(5)
    for _ in range(5):
        duals = rng.random(len(problem.parts)) * problem.lengths * problem.widths
        found = pricing.best(duals, 1.0, 60, lean=True)
        assert len(found.values)
        assert found.upper >= found.values[0] - 1e-3
        assert np.all(found.counts <= pricing.bounds)  # type: ignore[attr-defined]
        for i, counts in enumerate(found.counts):
            assert np.array_equal(recipe_counts(found.recipe(i), len(counts)), counts)
            assert found.values[i] == pytest.approx(float(counts @ duals))


@pytest.mark.parametrize(
    ("board", "number", "work"),
    mostly_thorough(
        [(FENCE, 20, 2.0), (EARED, 20, 2.0), (FENCE, 40, 8.0), (EARED, 40, 8.0)], (EARED, 20, 2.0)
    ),
    ids=lambda one: getattr(one, "name", None),
)
def test_long_messy_lists_are_planned_whatever_the_time(
    board: StockBoard, number: int, work: float
) -> None:
    demand = messy_list(8, number)
    hurried, plan = (
        plan_cuts(demand, [board], SAW, time_limit=seconds, setup_time=0.0)
        for seconds in (0.1, work)
    )
    for one in (hurried, plan):
        assert complaints_of(one, demand, [board], SAW) == []
        assert one.lower_bound <= one.boards
    # even in a hurry the bound was rounded: two boards above it, not a board a piece
    assert plan.lower_bound <= plan.boards <= hurried.boards <= plan.lower_bound + 2
    assert plan.boards <= 1.05 * plan.lower_bound + 1
