"""Better plans from good ones: some boards are taken apart and their parts cut from fewer.

Where there are too many fillings for the whole demand to be settled, a dozen boards can be: the
parts that they make are covered anew, as if nothing else were wanted. Boards that waste most
are taken most often.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from palewright.cutting_stock.master.diving_heuristic import dive
from palewright.cutting_stock.master.integer_master import Choice, Question
from palewright.cutting_stock.master.restricted_master import Bound, Column, Covering, Kind
from palewright.cutting_stock.problem.work_clock import now

FEWEST, MOST = 4, 14
DIVE_SECONDS = 1.0
EVERYONE = 0.2
"""What a board without waste counts in the draw, where the most wasteful one counts 1."""
SAFE = 1e-6


class Regrouping:
    """One cover that is bettered again and again."""

    def __init__(self, question: Question, covering: Covering, bound: Bound, best: Choice) -> None:
        self.question, self.covering, self.bound = question, covering, bound
        self.best = best
        self.rng = np.random.default_rng(7)

    def improve(self, deadline: float) -> Choice:
        """The best cover found until the deadline (of `clocks.now`)."""
        while not self.best.proven and now() < deadline:
            self._once(deadline)
        return self.best

    def _once(self, deadline: float) -> None:
        boards = [column for column, number in self.best.columns for _ in range(number)]
        size = min(int(self.rng.integers(FEWEST, MOST + 1)), len(boards))
        freed = set(
            self.rng.choice(len(boards), size, replace=False, p=self._odds(boards)).tolist()
        )
        kept = [board for i, board in enumerate(boards) if i not in freed]
        made = sum((board.counts for board in kept), np.zeros_like(self.question.demand))
        rest = np.maximum(self.question.demand - made, 0)
        target = sum(boards[i].cost for i in freed) - self.question.step
        kinds = [
            Kind(kind.filler.restricted(rest), kind.cost, self._left(k, kind.available, kept))
            for k, kind in enumerate(self.question.kinds)
        ]
        part = Question(rest, kinds, self.question.step, deadline, self.question.tell)
        covering = Covering(rest, kinds)
        covering.add_cut_back([*(boards[i] for i in sorted(freed)), *self.covering.columns])
        bound = covering.bound(deadline, quick=True, hopeless=target, near=self.bound.duals)
        if bound is None or bound.value > target + SAFE:
            return
        found = dive(part, covering, bound, target, 0, DIVE_SECONDS)
        if found is not None:
            self._take(kept, found)

    def _odds(self, boards: list[Column]) -> NDArray[np.float64]:
        """How likely each board is taken apart: by what it costs above its parts' worth."""
        costs = np.array([board.cost for board in boards], dtype=float)
        worth = np.array([float(board.counts @ self.bound.duals) for board in boards])
        waste = np.maximum(costs - worth, 0.0)
        odds = EVERYONE + waste / max(float(waste.max()), SAFE)
        return np.asarray(odds / odds.sum())

    @staticmethod
    def _left(kind: int, available: int | None, kept: list[Column]) -> int | None:
        if available is None:
            return None
        return available - sum(board.kind == kind for board in kept)

    def _take(self, kept: list[Column], found: Choice) -> None:
        uses: dict[int, tuple[Column, int]] = {}
        for column, number in (*((board, 1) for board in kept), *found.columns):
            uses[id(column)] = (column, uses.get(id(column), (column, 0))[1] + number)
        pairs = tuple(uses.values())
        cost = sum(column.cost * number for column, number in pairs)
        if cost < self.best.cost:
            self.best = Choice(pairs, cost, self.best.lower)
