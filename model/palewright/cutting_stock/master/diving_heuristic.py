"""Plans by rounding: fix what the linear optimum is surest of, price anew for what is left.

Sequential rounding with column generation on the residual demand (G. Wäscher, T. Gau,
"Heuristics for the integer one-dimensional cutting stock problem", OR Spektrum 18 (1996)
131-144, cited from memory). Where a choice makes the residual bound too high it is taken back
and the next likely one tried, as often as the patience of the attempt allows.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from palewright.cutting_stock.master.integer_master import (
    Cover,
    CoveringProblem,
    solve_integer_master,
)
from palewright.cutting_stock.master.restricted_master import (
    Bound,
    Column,
    Kind,
    RestrictedMaster,
    Uses,
    column_of,
    useful_at_most,
)
from palewright.cutting_stock.problem.float_noise import SAFE
from palewright.cutting_stock.problem.search_settings import SETTINGS
from palewright.cutting_stock.problem.work_clock import now
from palewright.geometry.arrays import Floats, Ints


def dive(
    covering: CoveringProblem,
    master: RestrictedMaster,
    bound: Bound,
    target: int | None,
    attempt: int,
    seconds: float,
    memory: Memory | None = None,
) -> Cover | None:
    """Return a cover of cost up to `target`, or None where this try finds none.

    Args:
        covering: what is to be covered.
        master: the columns found so far.
        bound: the linear optimum and its duals.
        target: cost, in steps of the price; None: any.
        attempt: from 0; later ones vary what they fix.
        seconds: of counted work, at most.
        memory: of earlier tries for the same demand, so that one that was cut off, or one for
            another target, soon is where it was.
    """
    deadline = min(covering.deadline, now() + seconds)
    search = _Dive(covering, target, attempt, deadline, bound.duals, memory or Memory())
    state = _State(covering.demand.copy(), [kind.available for kind in covering.kinds], 0, 0)
    found = search.descend(state, master.columns, bound)
    if found is None:
        return None
    return Cover(tuple(found), sum(c.cost * n for c, n in found), 0)


@dataclass
class _State:
    """What is left to make and to make it from, the cost so far, integer programs tried."""

    rest: Ints
    left: list[int | None]
    cost: int
    finishes: int

    @property
    def key(self) -> tuple[bytes, tuple[int | None, ...]]:
        """What the rest's bound depends on."""
        return self.rest.tobytes(), tuple(self.left)


@dataclass
class Memory:
    """What dives have found out.

    Of each rest its master and bound, and whether that was left off as hopeless; costs at which its
    last boards were not found.
    """

    attempt: int = 0
    known: dict[object, tuple[RestrictedMaster, Bound, bool]] = field(default_factory=dict)
    failed: dict[object, int] = field(default_factory=dict)

    def for_attempt(self, attempt: int) -> Memory:
        """Itself, emptied where the attempt is another one: that goes other ways."""
        if attempt != self.attempt:
            self.attempt = attempt
            self.known.clear()
            self.failed.clear()
        return self


class _Dive:
    """One attempt."""

    def __init__(
        self,
        covering: CoveringProblem,
        target: int | None,
        attempt: int,
        deadline: float,
        duals: Floats,
        memory: Memory,
    ) -> None:
        self.covering, self.target, self.deadline = covering, target, deadline
        self.memory = memory.for_attempt(attempt)
        self.duals = duals
        self.attempt = attempt
        self.rng = np.random.default_rng(1 + attempt)
        self.patience = 10 + 8 * attempt
        costs = [kind.cost for kind in covering.kinds if kind.cost]
        self.mean_cost = sum(costs) / len(costs) if costs else 1.0

    def descend(self, state: _State, columns: list[Column], linear: Bound) -> Uses | None:
        """Fixes some columns and goes on with the rest; None where nothing came of it."""
        if not state.rest.any():
            return []
        for number, (taken, below) in enumerate(self._steps(state, columns, linear)):
            if number and (now() >= self.deadline or self.patience <= 0):
                return None
            self.patience -= number > 0
            more = self._below(below, columns)
            if more is not None:
                return taken + more
        return None

    def _below(self, state: _State, columns: list[Column]) -> Uses | None:
        if not state.rest.any():
            return [] if self.target is None or state.cost <= self.target else None
        room = np.inf if self.target is None else float(self.target - state.cost)
        bounded = self._bounded(state, columns, room)
        if bounded is None:
            return None
        residual, linear = bounded
        size = linear.value / self.mean_cost
        if (
            state.finishes < len(SETTINGS.small_rests)
            and size <= SETTINGS.small_rests[state.finishes]
        ):
            state.finishes += 1
            ended = self._finish(state, residual, linear)
            if ended is not None:
                return ended
        return self.descend(state, residual.columns, linear)

    def _bounded(
        self, state: _State, columns: list[Column], room: float
    ) -> tuple[RestrictedMaster, Bound] | None:
        """The covering of what is left and its bound; None where that is above the room."""
        known = self.memory.known.get(state.key)
        if known is not None and (known[1].lower > room + SAFE or not known[2]):
            return known[:2] if known[1].value <= room + SAFE else None
        residual = self._residual(state, columns)
        linear = residual.bound(
            self.deadline,
            quick=True,
            beam=SETTINGS.dive_patterns,
            most_beam=SETTINGS.dive_patterns,
            hopeless=room,
            near=self.duals,
        )
        if linear is None:
            return None
        if now() <= self.deadline and len(self.memory.known) < SETTINGS.rests_known:
            self.memory.known[state.key] = residual, linear, linear.lower > room + SAFE
        return (residual, linear) if linear.value <= room + SAFE else None

    def _steps(
        self, state: _State, columns: list[Column], linear: Bound
    ) -> Iterator[tuple[Uses, _State]]:
        """What to fix, and what is left then."""
        for picks in self._ways(columns, linear.use):
            below = _State(state.rest.copy(), list(state.left), state.cost, state.finishes)
            taken = _take_all(picks, below)
            if taken:
                yield taken, below

    def _ways(self, columns: list[Column], use: Floats) -> Iterator[Uses]:
        """Yield what to fix: all that is nearly whole, the whole parts only, or one column alone.

        In every second attempt the most used one comes first.
        """
        whole = np.floor(use + SAFE).astype(np.int64)
        part = use - whole
        noise = self.rng.random(len(use)) * min(0.3, 0.1 * self.attempt)
        order = [int(i) for i in np.argsort(-(part + noise)) if part[i] > SAFE]
        keep = 1 if self.attempt else 0
        sure = [(columns[i], int(whole[i])) for i in np.argsort(-use) if whole[i]]
        shy = [(column, number - keep) for column, number in sure if number > keep]
        near = [(columns[i], 1) for i in order if part[i] >= 0.75]
        if sure and self.attempt % 2:
            yield sure[:1]
        if sure or near:
            if not self.attempt or not shy:
                yield sure + near
            if shy:
                yield shy
        for i in order[:4]:
            yield [(columns[i], 1)]

    def _residual(self, state: _State, columns: list[Column]) -> RestrictedMaster:
        """The covering problem of what is left, started with the columns known so far."""
        kinds = [
            Kind(kind.pricing.restricted(state.rest), kind.cost, state.left[k])
            for k, kind in enumerate(self.covering.kinds)
        ]
        residual = RestrictedMaster(state.rest, kinds)
        residual.add_cut_back(columns)
        return residual

    def _finish(self, state: _State, residual: RestrictedMaster, linear: Bound) -> Uses | None:
        """An integer program over the last few boards."""
        covering = self.covering
        small = CoveringProblem(
            state.rest, residual.kinds, covering.step, self.deadline, covering.tell
        )
        best = covering.step * int(np.ceil(linear.value / covering.step - SAFE))
        most = 2 * best + covering.step if self.target is None else self.target - state.cost
        if most <= self.memory.failed.get(state.key, -1):
            return None
        slack = max(0.0, min(best, most) - linear.lower)
        pool = list(residual.columns)
        for k, kind in enumerate(residual.kinds):
            worth = kind.cost - float(linear.supply[k]) - slack - SAFE
            found = kind.pricing.best(linear.duals, worth, 1500, deadline=self.deadline)
            pool += [column_of(found, i, k, kind.cost) for i in range(min(1500, len(found.values)))]
        allowed = 0.4 + 0.5 * self.attempt
        left = max(0.0, self.deadline - now())
        result = solve_integer_master(pool, small, 0, most, min(allowed, left))
        if result.uses is None:
            if result.settled or allowed <= left:
                self.memory.failed[state.key] = most
            return None
        return [(c, int(n)) for c, n in zip(pool, result.uses, strict=True) if n]


def _take_all(picks: Uses, state: _State) -> Uses:
    """Takes the picks that still make something wanted; lowers what is left."""
    taken: Uses = []
    for column, number in picks:
        supply = state.left[column.kind]
        if supply is not None:
            number = min(number, supply)
        if number <= 0 or not np.any(np.minimum(column.counts, state.rest)):
            continue
        number = min(number, int(useful_at_most(column.counts, state.rest)))
        if supply is not None:
            state.left[column.kind] = supply - number
        np.maximum(state.rest - number * column.counts, 0, out=state.rest)
        state.cost += number * column.cost
        taken.append((column, number))
    return taken
