"""The linear bound: fewest boards (or least price) if boards could be cut in fractions.

Set covering by patterns, priced as they are needed (column generation: P. C. Gilmore,
R. E. Gomory, Operations Research 9 (1961) 849-859), solved with HiGHS. A lower bound holds at
every step by scaling the duals (A. A. Farley, "A note on bounding a class of linear programming
problems, including cutting stock problems", Operations Research 38 (1990) 922-923). While the
bound is far off, columns are priced with duals drawn towards those of the best bound, which keeps
the duals from swinging (P. Wentges, "Weighted Dantzig-Wolfe decomposition for linear
mixed-integer programming", International Transactions in Operational Research 4 (1997) 151-162).
All three are cited from memory.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np

from palewright.cutting_stock.master.highs import (
    INFINITY,
    Model,
    add_columns,
    is_optimal,
    quiet_model,
)
from palewright.cutting_stock.problem.float_noise import SAFE, SLACK
from palewright.cutting_stock.problem.patterns import BoardPatterns, PricingProblem, Recipe
from palewright.cutting_stock.problem.search_settings import SETTINGS
from palewright.cutting_stock.problem.work_clock import CALL, CELL, ROW, now, spend
from palewright.geometry.arrays import Floats, Ints


@dataclass(frozen=True)
class Kind:
    """A kind of board: what prices its patterns, its cost, how many there are (None: any)."""

    pricing: PricingProblem
    cost: int
    available: int | None


@dataclass(frozen=True)
class Column:
    """One pattern of one kind of board; counts (m,)."""

    counts: Ints
    kind: int
    cost: int
    recipe: Callable[[], Recipe] = field(repr=False, compare=False)

    @property
    def key(self) -> tuple[int, bytes]:
        """What makes two patterns one: the board and what it makes."""
        return self.kind, self.counts.tobytes()


Uses = list[tuple[Column, int]]
"""Columns and how often each is used."""


def useful_at_most(counts: Ints, demand: Ints) -> Ints:
    """How often patterns (n, m), or one (m,), are of use at most for a demand (m,)."""
    needed = -(-demand // np.maximum(counts, 1))
    most: Ints = np.where(counts > 0, needed, 0).max(axis=-1, initial=0)
    return most


@dataclass(frozen=True)
class Bound:
    """The linear optimum over the columns, and a lower bound that holds for all columns.

    Attributes:
        value: of the optimum.
        lower: the bound, by its duals.
        duals: of the parts (m,).
        supply: duals of each kind's supply.
        use: of each column.
        exact: no column was missing in the end.
    """

    value: float
    lower: float
    duals: Floats
    supply: Floats
    use: Floats
    exact: bool


@dataclass(frozen=True)
class _Safe:
    """A bound that holds whatever columns are still missing, with the duals that give it."""

    lower: float
    duals: Floats
    supply: Floats


@dataclass
class _Effort:
    """How hard the next pricing looks: lean at first, then for all, then with a wider beam.

    Attributes:
        beam, most_beam: partial patterns that are kept, now and at most.
        quick: lean only.
        lean: only the best strip of each length.
        place: in the setting `pulls`, how far the duals are drawn to the best known ones.
        value, idle: of the last quick look, and how many looks brought too little.
    """

    beam: int
    most_beam: int
    quick: bool
    lean: bool = True
    place: int = 0
    value: float = math.inf
    idle: int = 0

    @property
    def pull(self) -> float:
        """The share of the best known duals."""
        return SETTINGS.pulls[self.place]

    def idles(self, value: float, least: float) -> bool:
        """Whether quick looks have brought the value down by less than `least` for a while."""
        self.idle = 0 if self.value - value >= least else self.idle + 1
        self.value = value
        return self.quick and self.idle >= SETTINGS.most_idle

    def goes_on(self, gained: bool, pulled: bool, unbounded: bool) -> bool:
        """Adjusts to what the last pricing gave; False where there is nothing more to try."""
        if gained:
            self.place = 0
        elif pulled:
            self.place += 1
        elif self.lean and not self.quick:
            self.lean, self.place = False, 0
        elif self.quick or self.beam >= self.most_beam or unbounded:
            return False
        else:
            self.beam, self.place = min(self.most_beam, self.beam * 6), 0
        return True


class RestrictedMaster:
    """The covering problem with the columns found so far."""

    def __init__(self, demand: Ints, kinds: Sequence[Kind]) -> None:
        self.demand = demand
        self.kinds = list(kinds)
        self.columns: list[Column] = []
        self._seen: set[tuple[int, bytes]] = set()
        self._limited = [k for k, kind in enumerate(kinds) if kind.available is not None]
        self._model = self._new_model()

    def _new_model(self) -> Model:
        model = quiet_model()
        none, empty = np.zeros(0, dtype=np.int32), np.zeros(0)
        for number in self.demand:
            model.addRow(float(number), INFINITY, 0, none, empty)
        for k in self._limited:
            available = self.kinds[k].available
            model.addRow(-INFINITY, float(available or 0), 0, none, empty)
        return model

    def add(self, column: Column) -> bool:
        """Take a column in, unless it is there already."""
        if column.key in self._seen:
            return False
        self._seen.add(column.key)
        self.columns.append(column)
        rows = np.flatnonzero(column.counts)
        values = column.counts[rows].astype(float)
        if column.kind in self._limited:
            rows = np.append(rows, len(self.demand) + self._limited.index(column.kind))
            values = np.append(values, 1.0)
        self._model.addCol(
            float(column.cost), 0.0, INFINITY, len(rows), rows.astype(np.int32), values
        )
        return True

    def add_all(self, columns: Sequence[Column]) -> None:
        """Take in the columns that are not there already, all at once."""
        new = []
        for column in columns:
            if column.key not in self._seen:
                self._seen.add(column.key)
                new.append(column)
        if not new:
            return
        self.columns += new
        spend(ROW * len(new))
        counts = np.array([column.counts for column in new])
        kinds = np.array([column.kind for column in new])
        supply = [(kinds == k)[:, None] for k in self._limited]
        entries = np.concatenate([counts, *supply], axis=1)
        add_columns(self._model, np.array([column.cost for column in new]), entries)

    def add_cut_back(self, columns: Sequence[Column]) -> None:
        """Take in columns of a larger demand, without what this one has no use for."""
        spend(6 * ROW * len(columns))
        counts = np.minimum(np.array([column.counts for column in columns]), self.demand)
        self.add_all(
            [
                Column(own, column.kind, column.cost, column.recipe)
                for own, column in zip(counts, columns, strict=True)
                if own.any()
            ]
        )

    def add_patterns(
        self, kind: int, board_patterns: BoardPatterns, above: float, most: int
    ) -> int:
        """Take in patterns; return how many were new.

        Args:
            kind: of board.
            board_patterns: of it, the most valuable first.
            above: value that one must exceed.
            most: so many at most.
        """
        added = 0
        for i in range(len(board_patterns.values)):
            if board_patterns.values[i] <= above or added >= most:
                break
            added += self.add(column_of(board_patterns, i, kind, self.kinds[kind].cost))
        return added

    def _solve(self) -> tuple[float, Floats, Floats, Floats] | None:
        self._model.run()
        steps = self._model.getInfo().simplex_iteration_count
        spend(4 * CALL + 4 * CELL * steps * len(self.columns))
        if not is_optimal(self._model):
            return None
        solution = self._model.getSolution()
        rows = np.array(solution.row_dual)
        duals = np.maximum(rows[: len(self.demand)], 0.0)
        supply = np.zeros(len(self.kinds))
        supply[self._limited] = np.minimum(rows[len(self.demand) :], 0.0)
        value = float(self._model.getInfo().objective_function_value)
        return value, duals, supply, np.array(solution.col_value)

    def bound(
        self,
        deadline: float,
        *,
        step: int = 0,
        beam: int = 200,
        most_beam: int = 100_000,
        hopeless: float = math.inf,
        near: Floats | None = None,
        quick: bool = False,
    ) -> Bound | None:
        """Price columns until none is missing; None where the columns cannot meet the demand.

        Args:
            deadline: of counted work, in seconds.
            step: of the price: pricing stops as soon as the lower bound rounds up to no less than
                the linear value does, since none can then raise the bound on whole boards; 0: it
                goes on.
            beam: partial patterns that are kept at first.
            most_beam: and at most.
            hopeless: stop once the lower bound is above this.
            near: duals (m,) of any scale that the first bound is made of.
            quick: only columns that are soon found.
        """
        best, effort = self._first_safe(near), _Effort(beam, most_beam, quick)
        least = SETTINGS.idle_gain * min((kind.cost for kind in self.kinds if kind.cost), default=0)
        while True:
            solved = self._solve()
            if solved is None:
                return None
            value, duals, supply, use = solved
            pull = effort.pull if 0 < best.lower < (1 - SETTINGS.far_from_bound) * value else 0.0
            asked = pull * best.duals + (1 - pull) * duals if pull else duals
            dear = pull * best.supply + (1 - pull) * supply if pull else supply
            added, board_patterns = self._price(asked, dear, effort, deadline)
            uppers = [found.upper for found in board_patterns]
            safe = self._safe(asked, uppers)
            gained = added > 0 or safe.lower > best.lower + SETTINGS.bound_gain * (
                value - best.lower
            )
            best = max(best, safe, key=lambda one: one.lower)
            exact = not added and all(
                upper <= self._worth(k, dear) + SAFE for k, upper in enumerate(uppers)
            )
            exact = exact and not pull
            enough = step and rounded_bound(best.lower, step) >= rounded_bound(value, step)
            over = best.lower > hopeless + SAFE or now() > deadline
            over = over or effort.idles(value, least)
            enough = enough and effort.idle > 0
            if exact or enough or over or not effort.goes_on(gained, pull > 0, math.inf in uppers):
                break
        return Bound(value, min(best.lower, value), best.duals, best.supply, use, exact)

    def _first_safe(self, near: Floats | None) -> _Safe:
        """The bound that given duals hold, scaled so that no pattern is worth too much."""
        none = _Safe(-math.inf, np.zeros(0), np.zeros(0))
        if near is None or not near.any():
            return none
        uppers = [kind.pricing.best(near, math.inf, 1, lean=True).upper for kind in self.kinds]
        rates = [k.cost / u for k, u in zip(self.kinds, uppers, strict=True) if u > 0]
        scale = min(rates, default=0.0)
        return self._safe(scale * near, [scale * upper for upper in uppers]) if scale else none

    def _worth(self, kind: int, supply: Floats) -> float:
        """What a pattern of this kind must be worth to be of use."""
        return self.kinds[kind].cost - float(supply[kind])

    def _price(
        self, duals: Floats, supply: Floats, effort: _Effort, deadline: float
    ) -> tuple[int, list[BoardPatterns]]:
        added, found = 0, []
        for k, kind in enumerate(self.kinds):
            worth = self._worth(k, supply)
            board_patterns = kind.pricing.best(
                duals, worth + SLACK, effort.beam, lean=effort.lean, deadline=deadline
            )
            added += self.add_patterns(k, board_patterns, worth + SLACK, max(40, len(self.demand)))
            found.append(board_patterns)
        return added, found

    def _safe(self, duals: Floats, uppers: Sequence[float]) -> _Safe:
        """Farley's bound, with what limited kinds could save at the most."""
        scale = 1.0
        for kind, upper in zip(self.kinds, uppers, strict=True):
            if kind.available is None and upper > kind.cost:
                scale = min(scale, kind.cost / upper)
        supply = np.zeros(len(self.kinds))
        lower = scale * float(duals @ self.demand)
        for k, (kind, upper) in enumerate(zip(self.kinds, uppers, strict=True)):
            if kind.available is not None:
                supply[k] = min(0.0, kind.cost - scale * upper)
                lower += kind.available * float(supply[k])
        return _Safe(lower, scale * duals, supply)


def column_of(board_patterns: BoardPatterns, number: int, kind: int, cost: int) -> Column:
    """Return one pattern of a kind as a column.

    Args:
        board_patterns: n of them.
        number: which.
        kind: of board.
        cost: of such a board, in steps of the price.
    """
    counts = np.ascontiguousarray(board_patterns.counts[number])
    return Column(counts, kind, cost, lambda: board_patterns.recipe(number))


def rounded_bound(lower: float, step: int) -> int:
    """The least multiple of `step` that is not below the bound, float noise forgiven."""
    return step * math.ceil(lower / step - SAFE)
