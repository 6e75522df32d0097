"""Whole boards: the fewest patterns (or the cheapest) that cover the demand, and the proof.

A plan one step cheaper than the best known can only use patterns whose reduced cost is within
the gap to the linear bound. Where all of those can be listed, one integer program over them
either finds the better plan or proves that there is none (reduced-cost enumeration, as in
R. Baldacci, N. Christofides, A. Mingozzi, Mathematical Programming 115 (2008) 351-385, cited from
memory). Where they are too many, plans are sought by rounding and pricing anew for what is left.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from palewright.cutting_stock.master.diving_heuristic import Memory, dive
from palewright.cutting_stock.master.integer_master import (
    Cover,
    CoveringProblem,
    solve_integer_master,
)
from palewright.cutting_stock.master.repeated_patterns import repeated_patterns
from palewright.cutting_stock.master.restricted_master import (
    Bound,
    Column,
    RestrictedMaster,
    column_of,
    rounded_bound,
)
from palewright.cutting_stock.problem.float_noise import SAFE
from palewright.cutting_stock.problem.search_settings import SETTINGS
from palewright.cutting_stock.problem.work_clock import now
from palewright.geometry.arrays import Flags, Ints


def near_columns(
    covering: CoveringProblem, bound: Bound, slack: float, limit: int, seconds: float
) -> tuple[list[Column], bool]:
    """Return columns of reduced cost up to `slack`, and whether those are all there are.

    Args:
        covering: what is to be covered.
        bound: the linear optimum and its duals.
        slack: in steps of the price.
        limit: so many of a kind at most.
        seconds: of counted work, at most.
    """
    columns, complete = [], True
    deadline = min(covering.deadline, now() + seconds)
    for k, kind in enumerate(covering.kinds):
        worth = kind.cost - float(bound.supply[k]) - slack - SAFE
        found = kind.pricing.all_above(bound.duals, worth, limit, deadline=deadline)
        complete = complete and found.complete
        columns += [column_of(found, i, k, kind.cost) for i in range(len(found.values))]
    return columns, complete


def never_too_many(bound: Bound, slack: float) -> Flags:
    """Of which parts (m,) no plan that costs `slack` above the bound holds more than asked.

    What a plan costs above the bound is the reduced cost of its patterns and the worth of the
    parts too many: one that is worth more is never too many.
    """
    return np.asarray(bound.duals > slack + SAFE)


def top_columns(covering: CoveringProblem, bound: Bound, slack: float, limit: int) -> list[Column]:
    """Return the columns of least reduced cost.

    Args:
        covering: what is to be covered.
        bound: the linear optimum and its duals.
        slack: reduced cost at most, in steps of the price.
        limit: so many of a kind at most.
    """
    columns = []
    for k, kind in enumerate(covering.kinds):
        worth = kind.cost - float(bound.supply[k]) - slack - SAFE
        found = kind.pricing.best(
            bound.duals, worth, limit, enough=limit // 2, deadline=covering.deadline
        )
        columns += [column_of(found, i, k, kind.cost) for i in range(min(limit, len(found.values)))]
    return columns


def chosen(columns: Sequence[Column], uses: Ints, lower: int) -> Cover:
    """The columns that are used, as a cover."""
    pairs = tuple((c, int(n)) for c, n in zip(columns, uses, strict=True) if n)
    return Cover(pairs, sum(c.cost * n for c, n in pairs), lower)


def best_cover(
    master: RestrictedMaster,
    bound: Bound,
    covering: CoveringProblem,
    first: Cover,
    memory: Memory | None = None,
) -> Cover:
    """Return the cheapest cover that can be found before the deadline.

    Args:
        master: the columns found so far.
        bound: the linear optimum and its duals.
        covering: what is to be covered, with the deadline.
        first: any cover.
        memory: of dives with this bound.
    """
    lower = max(rounded_bound(bound.lower, covering.step), first.lower)
    best = Cover(first.columns, first.cost, lower)
    search = _CoverSearch(master, bound, covering, best, memory or Memory())
    search.by_diving(0, SETTINGS.first_dive)
    if search.sharpen():
        search.by_diving(0, SETTINGS.first_dive)
    if search.tight:
        search.by_repeating(4.0)
        search.by_listing(4000, 4.0)
        search.by_diving(1, min(0.4 * covering.left(), search.worthwhile()))
    search.by_diving(0, 4.0)
    effort = 0
    while not search.best.proven and not search.enough and covering.left() > 0 and effort < 9:
        search.by_listing(min(SETTINGS.most_near, 4000 * 3**effort), 4.0 * 2**effort)
        search.by_diving(1 + effort, 2.0 * 2**effort)
        effort += 1
    return search.best


class _CoverSearch:
    """The best cover so far and the ways to better it or to prove it."""

    def __init__(
        self,
        master: RestrictedMaster,
        bound: Bound,
        covering: CoveringProblem,
        best: Cover,
        memory: Memory,
    ) -> None:
        self.master, self.bound, self.covering = master, bound, covering
        self.best, self.memory = best, memory

    @property
    def best(self) -> Cover:
        """The best cover so far; whatever is found, a cover or a bound, is told."""
        return self._best

    @best.setter
    def best(self, found: Cover) -> None:
        """Take a better one, or a better bound, and tell of it."""
        self._best = found
        self.covering.tell(found, min(1.0, now() / max(self.covering.deadline, SAFE)))

    def _found(self, columns: Sequence[Column], uses: Ints) -> None:
        better = chosen(columns, uses, self.best.lower)
        if better.cost < self.best.cost:
            self.best = better

    def sharpen(self) -> bool:
        """Price on to the end where the bound was good enough to start; whether that helped."""
        if self.best.proven or self.bound.exact:
            return False
        seconds = min(SETTINGS.sharpening_share * self.covering.left(), self.worthwhile())
        proof = self.best.cost - self.covering.step
        exact = self.master.bound(now() + seconds, hopeless=proof)
        better = exact is not None and exact.lower >= self.bound.lower
        if exact is not None and better:
            self.bound, self.memory = exact, Memory()
            lower = rounded_bound(exact.lower, self.covering.step)
            self.best = Cover(self.best.columns, self.best.cost, max(lower, self.best.lower))
        return better

    def by_diving(self, attempt: int, seconds: float) -> None:
        """Round and price anew: for the bound, for a step more, or for any cover.

        A step more where the best is dearer than that; any cover at the start.
        """
        for target in self._targets(attempt):
            seconds = min(seconds, self.worthwhile())
            found = dive(
                self.covering, self.master, self.bound, target, attempt, seconds, self.memory
            )
            if found is not None and found.cost < self.best.cost:
                self.best = Cover(found.columns, found.cost, self.best.lower)

    def _targets(self, attempt: int) -> Iterator[int | None]:
        """Costs to dive for, as long as that is worth while."""
        lower, step = self.best.lower, self.covering.step
        # where not all columns are priced, what the known ones allow says more than the bound
        known = lower if self.bound.exact else max(lower, rounded_bound(self.bound.value, step))
        if known <= lower + step:
            if not self.best.proven and not self.enough:
                yield lower
            if self.best.cost > lower + step and not self.enough:
                yield lower + step
        if self.best.cost > lower + step and not self.enough:
            yield None if attempt == 0 else self.best.cost - step

    def by_listing(self, limit: int, seconds: float) -> None:
        """An integer program over all columns that a plan at the lower bound could use."""
        while not self.best.proven and self.worthwhile() > 0:
            target = self.best.lower
            slack = target - self.bound.lower
            near, complete = near_columns(
                self.covering, self.bound, slack, limit, min(seconds, self.worthwhile())
            )
            if not complete:
                return
            left = self.worthwhile()
            allowed = min(left, max(seconds, 0.5 * left if len(near) <= SETTINGS.few_near else 0.0))
            result = solve_integer_master(
                near,
                self.covering,
                target,
                target,
                allowed,
                tries=SETTINGS.seeds,
                exact=never_too_many(self.bound, slack),
            )
            if result.uses is not None:
                self._found(near, result.uses)
                return
            if not result.settled:
                return
            self.best = Cover(self.best.columns, self.best.cost, target + self.covering.step)

    def by_repeating(self, seconds: float) -> None:
        """Boards alike as often as can be, which finds plans without waste."""
        deadline = now() + seconds
        for attempt in range(8):
            left = min(deadline - now(), self.worthwhile())
            if self.best.proven or left <= 0:
                return
            target = self.best.lower
            found = repeated_patterns(self.covering, self.bound, target, attempt, left)
            if found is not None:
                self.best = Cover(found.columns, found.cost, self.best.lower)

    @property
    def enough(self) -> bool:
        """Whether the time that is left is better saved."""
        return self.worthwhile() <= 0

    def worthwhile(self) -> float:
        """Seconds worth spending.

        No more than patience allows where a plan of many boards is a step above its bound at most.
        """
        steps = self.best.lower / self.covering.step
        near = self.best.cost <= self.best.lower + self.covering.step
        patient = steps <= SETTINGS.few_steps or not near
        end = math.inf if patient else self.covering.patience
        return min(self.covering.left(), end - now())

    @property
    def tight(self) -> bool:
        """Whether a plan at the lower bound has no room for any waste."""
        return self.best.lower - self.bound.lower < SETTINGS.no_waste * self.covering.step
