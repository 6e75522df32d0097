"""Plans that cut many boards alike: the pattern that can be repeated most often, then the next.

Where the linear bound leaves no room for waste, a plan at the bound is hard to find by rounding
one: too many patterns are without waste. Choosing at each step the pattern that the demand
still allows most often keeps the plan's patterns few and what is left in order (the repeated
patterns of R. W. Haessler, "A heuristic programming solution to a nonlinear cutting stock
problem", Management Science 17 (1971) B793-B802, cited from memory).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from palewright.cutting_stock.master.integer_master import Cover, CoveringProblem
from palewright.cutting_stock.master.restricted_master import Bound, Column, Uses, column_of
from palewright.cutting_stock.problem.float_noise import SLACK
from palewright.cutting_stock.problem.search_settings import SETTINGS
from palewright.cutting_stock.problem.work_clock import now
from palewright.geometry.arrays import Ints


def repeated_patterns(
    covering: CoveringProblem, bound: Bound, target: int, attempt: int, seconds: float
) -> Cover | None:
    """Return a cover of cost up to `target`, or None where this try finds none.

    Args:
        covering: what is to be covered.
        bound: the linear optimum and its duals.
        target: cost, in steps of the price.
        attempt: varies which of the patterns that can be repeated as often is taken.
        seconds: of counted work, at most.
    """
    deadline = min(covering.deadline, now() + seconds)
    search = _Repeats(covering, bound, attempt, deadline)
    rest = covering.demand.copy()
    left = [kind.available for kind in covering.kinds]
    room = target - bound.lower
    taken: Uses = []
    while rest.any():
        found = search.most_repeated(rest, left, room)
        if found is None:
            return None
        column, number = found
        room -= number * search.waste(column)
        supply = left[column.kind]
        if supply is not None:
            left[column.kind] = supply - number
        rest = np.maximum(rest - number * column.counts, 0)
        taken.append((column, number))
    cost = sum(column.cost * number for column, number in taken)
    return Cover(tuple(taken), cost, 0) if cost <= target else None


class _Repeats:
    """One attempt: patterns whose reduced cost the room up to the target allows."""

    def __init__(
        self, covering: CoveringProblem, bound: Bound, attempt: int, deadline: float
    ) -> None:
        self.covering, self.bound, self.deadline = covering, bound, deadline
        self.rng = np.random.default_rng(1 + attempt)
        self.noise = 0.2 * attempt

    def waste(self, column: Column) -> float:
        """Reduced cost: what a board cut so costs above what its parts are worth."""
        dear = column.cost - float(self.bound.supply[column.kind])
        return max(0.0, dear - float(column.counts @ self.bound.duals))

    def most_repeated(
        self, rest: Ints, left: Sequence[int | None], room: float
    ) -> tuple[Column, int] | None:
        """The pattern that can be cut most often, by halving the numbers that make a difference."""
        numbers = _numbers(rest)
        low, high, best = 0, len(numbers), None
        while low < high and now() < self.deadline:
            middle = (low + high) // 2
            found = self._repeated(int(numbers[middle]), rest, left, room)
            if found is None:
                high = middle
            else:
                best, low = found, middle + 1
        return best

    def _repeated(
        self, number: int, rest: Ints, left: Sequence[int | None], room: float
    ) -> tuple[Column, int] | None:
        """A pattern that can be cut so often without more waste than there is room for."""
        bounds = rest // number
        columns: list[Column] = []
        for k, kind in enumerate(self.covering.kinds):
            supply = left[k]
            worth = kind.cost - float(self.bound.supply[k]) - room / number - SLACK
            if bounds @ self.bound.duals < worth or (supply is not None and supply < number):
                continue
            pricing = kind.pricing.restricted(bounds)
            found = pricing.best(
                self.bound.duals, worth, SETTINGS.repeated_patterns, deadline=self.deadline
            )
            columns += [column_of(found, i, k, kind.cost) for i in range(len(found.values))]
        if not columns:
            return None
        done = [
            float(np.sum(rest[c.counts > 0] == number * c.counts[c.counts > 0])) for c in columns
        ]
        noise = self.noise * self.rng.random(len(columns)) * max(done)
        return columns[int(np.argmax(np.array(done) + noise))], number


def _numbers(rest: Ints) -> Ints:
    """The numbers of boards alike up to which some part goes on a board so many times."""
    found: set[int] = set()
    for count in set(rest.tolist()) - {0}:
        copies = 1
        while copies * copies <= count:
            found |= {count // copies, copies}
            copies += 1
    return np.array(sorted(found), dtype=np.int64)
