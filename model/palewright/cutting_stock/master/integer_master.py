"""The covering problem, a cover of it, and the integer program over a pool of columns."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from palewright.cutting_stock.master.highs import (
    INFINITY,
    Model,
    add_columns,
    integer_model,
    is_infeasible,
    is_optimal,
    make_whole,
    solve_integer,
)
from palewright.cutting_stock.master.restricted_master import Column, Kind, useful_at_most
from palewright.cutting_stock.problem.search_settings import SETTINGS
from palewright.cutting_stock.problem.work_clock import now
from palewright.geometry.arrays import Flags, Ints

COLUMN_WORK, NODES_A_ROOT = 1e-4, 20
"""Seconds that a column takes in a search's first node, and how many others take as long: what a
search may look at is set by these, what it took is counted by `solve_integer`."""
MOST_NODES = 100_000
"""Far above what the work allows: it only keeps the solver's count from overflowing."""


@dataclass(frozen=True)
class Cover:
    """Columns and how often each is used; cost and its lower bound in whole cost units."""

    columns: tuple[tuple[Column, int], ...]
    cost: int
    lower: int

    @property
    def proven(self) -> bool:
        """Whether nothing cheaper exists."""
        return self.cost <= self.lower


Tell = Callable[[Cover, float], None]
"""Takes the best cover so far and the share of the search that is done, 0 to 1."""


@dataclass
class CoveringProblem:
    """What is to be covered: demand (m,), kinds of boards, cost step, deadline (of `clocks.now`).

    Every time here and below is counted work, in seconds.

    patience: when (by `clocks.now`) a cover of many boards that is a step above its bound will do.
    """

    demand: Ints
    kinds: Sequence[Kind]
    step: int
    deadline: float
    tell: Tell
    patience: float = math.inf

    def left(self) -> float:
        """Seconds left."""
        return self.deadline - now()


@dataclass(frozen=True)
class MipResult:
    """Of an integer program: uses of its columns (None: none found), and whether it settled."""

    uses: Ints | None
    settled: bool


def solve_integer_master(
    columns: Sequence[Column],
    covering: CoveringProblem,
    least: int,
    most: int,
    seconds: float,
    *,
    tries: int = 1,
    exact: Flags | None = None,
) -> MipResult:
    """Return uses of the columns that cover the demand at a cost from `least` to `most`.

    Stops at the first such cover; settled and None means that there is none. How long a search
    takes differs a hundredfold with its seed (C. P. Gomes, B. Selman, N. Crato, H. Kautz,
    "Heavy-tailed phenomena in satisfiability and constraint satisfaction problems", Journal of
    Automated Reasoning 24 (2000) 67-100; cited from memory), hence the tries.

    Args:
        columns: n of them.
        covering: what is to be covered.
        least: of the cost, in steps of the price.
        most: of the cost.
        seconds: of counted work, at most.
        tries: so many short searches from other seeds come before the long one.
        exact: (m,) of which parts no cover at this cost holds more than asked, where known.
    """
    if not columns or seconds <= 0:
        return MipResult(None, not columns)
    end = now() + seconds
    for seed in range(tries - 1):
        result = _searched(
            columns,
            covering,
            least,
            most,
            min(SETTINGS.short_search, 0.15 * seconds),
            1 + seed,
            exact,
        )
        if result.uses is not None or result.settled:
            return result
    return _searched(columns, covering, least, most, end - now(), 7, exact)


def _searched(
    columns: Sequence[Column],
    covering: CoveringProblem,
    least: int,
    most: int,
    seconds: float,
    seed: int,
    exact: Flags | None,
) -> MipResult:
    """One search, from one seed."""
    nodes = int((seconds / (len(columns) * COLUMN_WORK) - 1) * NODES_A_ROOT)
    if nodes < 1:
        return MipResult(None, False)
    model = _cover_model(columns, covering, exact, min(nodes, MOST_NODES))
    model.setOptionValue("random_seed", seed)
    costs = np.array([column.cost for column in columns], dtype=float)
    every = np.arange(len(columns), dtype=np.int32)
    paid = costs > 0
    model.addRow(float(least), float(most), int(paid.sum()), every[paid], costs[paid])
    model.setOptionValue("objective_target", float(least) + 0.5)
    model.setOptionValue("mip_abs_gap", max(0.0, covering.step - 0.01))
    solve_integer(model)
    info = model.getInfo()
    if is_infeasible(model):
        return MipResult(None, True)
    values = np.array(model.getSolution().col_value)
    if info.primal_solution_status != 2 or not len(values):
        return MipResult(None, False)
    uses = np.rint(values).astype(np.int64)
    if not covers(columns, uses, covering):
        return MipResult(None, False)
    return MipResult(uses, is_optimal(model))


def covers(columns: Sequence[Column], uses: Ints, covering: CoveringProblem) -> bool:
    """Whether these uses meet the demand within the supply."""
    made = sum(
        (int(n) * c.counts for c, n in zip(columns, uses, strict=True) if n),
        np.zeros(len(covering.demand), dtype=np.int64),
    )
    used = [0] * len(covering.kinds)
    for column, number in zip(columns, uses, strict=True):
        used[column.kind] += int(number)
    return bool(np.all(made >= covering.demand)) and all(
        kind.available is None or used[k] <= kind.available for k, kind in enumerate(covering.kinds)
    )


def _cover_model(
    columns: Sequence[Column], covering: CoveringProblem, exact: Flags | None, nodes: int
) -> Model:
    model = integer_model(nodes)
    model.setOptionValue("mip_rel_gap", 0.0)
    none, empty = np.zeros(0, dtype=np.int32), np.zeros(0)
    for part, number in enumerate(covering.demand):
        # no other most: with one beside the least the solver takes ten times as long, or longer
        top = float(number) if exact is not None and exact[part] else INFINITY
        model.addRow(float(number), top, 0, none, empty)
    counts = np.array([column.counts for column in columns])
    most = useful_at_most(counts, covering.demand).astype(float)
    add_columns(model, np.array([column.cost for column in columns]), counts, most)
    make_whole(model)
    for k, kind in enumerate(covering.kinds):
        if kind.available is not None:
            here = np.array([i for i, c in enumerate(columns) if c.kind == k], dtype=np.int32)
            model.addRow(-INFINITY, float(kind.available), len(here), here, np.ones(len(here)))
    return model
