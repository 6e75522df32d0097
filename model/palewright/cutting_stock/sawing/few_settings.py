"""The cover up to a given cost that asks for the fewest saw settings.

A setting is paid once, however often it is used. One integer program over all patterns, a yes or no
for each setting, takes seconds to find what slope scaling (`labour_search`) sees in milliseconds:
linear programs, each setting's price spread over its last uses, name a few dozen patterns that
share settings, and a program over these alone is small. What it finds is bettered in turn among
the patterns of programs that begin there, and among those that need hardly another setting.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from palewright.cutting_stock.master.highs import (
    INFINITY,
    Model,
    is_optimal,
    make_whole,
    quiet_model,
    root_model,
    solve_integer,
    suggest,
)
from palewright.cutting_stock.master.integer_master import Cover, CoveringProblem
from palewright.cutting_stock.master.restricted_master import Column, useful_at_most
from palewright.cutting_stock.problem.work_clock import CALL, CELL, spend
from palewright.cutting_stock.sawing.saw_settings import FactBook
from palewright.geometry.arrays import Floats, Ints

STARTS, AGAIN = 10, 30
"""Starts of linear programs at first, and from each better cover."""

SLOPES = 12
"""Linear programs from one start at most: prices settle in five or so."""

KICKS = (0.0, 0.3, 1.0, 1.0, 3.0)
"""Prices times one of these, drawn for each setting, are a start of their own."""

SUPPORTS, NEAR = 40, 50
"""Patterns of an integer program: what linear programs use, and what needs few settings more."""


def fewer_settings(
    book: FactBook, covering: CoveringProblem, columns: Iterable[Column], start: Cover, most: int
) -> Iterator[Cover]:
    """Yield covers, each with fewer settings than the start and those before it.

    What is left of a cover's settings once it is finished may be fewer for one of the first.

    Args:
        book: facts of patterns.
        covering: what is to be covered.
        columns: the patterns to choose from, beside those of the start.
        start: a cover.
        most: cost, in steps of the price.
    """
    pool = {column.key: column for column in (*columns, *(one for one, _ in start.columns))}
    search = _SlopeScaling(book, covering, list(pool.values()), start, most)
    for uses in search.seek():
        pairs = tuple((search.pool[i], int(uses[i])) for i in np.flatnonzero(uses))
        yield Cover(pairs, sum(column.cost * count for column, count in pairs), start.lower)


class _SlopeScaling:
    """Programs over n patterns and s settings, each setting standing for those that go with it."""

    def __init__(
        self,
        book: FactBook,
        covering: CoveringProblem,
        pool: Sequence[Column],
        start: Cover,
        most: int,
    ) -> None:
        facts = [book.of(column.kind, column.recipe()) for column in pool]
        every = sorted(frozenset().union(*(one.settings for one in facts)))
        needs = np.array([[key in one.settings for key in every] for one in facts], float)
        counts = np.minimum([column.counts for column in pool], covering.demand)
        known = {column.key: uses for column, uses in start.columns}
        uses = np.array([known.get(column.key, 0) for column in pool])
        here = np.flatnonzero((uses > 0) | ~_beaten(pool, counts, needs))
        self.pool, counts, needs = [pool[int(i)] for i in here], counts[here], needs[here]
        self.start: Ints = uses[here]
        # a setting that all ways to make some part need is no matter of choice
        sure = np.any([needs[makes > 0].all(0) for makes in counts.T if makes.any()], axis=0)
        self.needs, same = np.unique(needs[:, ~sure], axis=1, return_counts=True)
        self.worth = same.astype(float)
        self.caps = useful_at_most(counts, covering.demand).astype(float)
        self.alone = self.worth / np.maximum(1.0, (self.needs * self.caps[:, None]).max(0))
        self._set_rows(book, covering, counts, most)
        self.linear = quiet_model()
        self.linear.setOptionValue("presolve", "off")  # each begins where the last ended
        self._fill(self.linear, np.arange(len(here)), np.zeros(len(here)))
        self.found: dict[bytes, tuple[float, Floats]] = {}
        self.tried: set[bytes] = set()
        self.draws = np.random.default_rng(7)

    def _set_rows(self, book: FactBook, covering: CoveringProblem, counts: Ints, most: int) -> None:
        """What patterns put into the rows that every cover keeps (r, n), and each row's limits."""
        kinds = np.array([column.kind for column in self.pool])
        prices = np.array([column.cost for column in self.pool])
        few = [k for k, kind in enumerate(covering.kinds) if kind.available is not None]
        on_hand = np.array([kind.on_hand for kind in book.problem.stock])[kinds]
        self.rows = np.array([*counts.T, prices, *(kinds == k for k in few), on_hand], float)
        # offcuts are used first, so no other cover may use fewer
        offcuts = on_hand @ self.start
        self.least = np.array([*covering.demand, *[-INFINITY] * (1 + len(few)), offcuts], float)
        there = [covering.kinds[k].available or 0 for k in few]
        self.most = np.array([*[INFINITY] * counts.shape[1], most, *there, INFINITY], float)

    def _fill(self, model: Model, here: Ints, costs: Floats) -> None:
        """Patterns as a model's columns, with the rows."""
        total = len(costs)
        none = np.zeros(0, np.int32)
        most = np.append(self.caps[here], np.ones(total - len(here)))
        model.addCols(total, costs, np.zeros(total), most, 0, np.zeros(total, np.int32), none, [])
        for least, most_, row in zip(self.least, self.most, self.rows[:, here], strict=True):
            places = np.flatnonzero(row).astype(np.int32)
            model.addRow(least, most_, len(places), places, row[places])

    def settings(self, uses: Floats | Ints) -> float:
        """How many settings patterns need, but for those that all need."""
        return float(self.worth @ (uses @ self.needs > 1e-6))

    def seek(self) -> list[Ints]:
        """Uses (n,) that need fewer settings than the start, each than those before."""
        found: list[Ints] = []
        uses = self.start
        self._settle(self.alone)
        self._settle(self._spread(uses @ self.needs, self.worth))
        self._settle(np.zeros(len(self.alone)))
        for _ in range(STARTS if self.found else 0):
            self._kick(min(self.found.values(), key=lambda one: one[0])[1] @ self.needs)
        uses = self._chosen(uses, self._supports(uses), found)
        while True:
            before = uses
            self.found.clear()
            for _ in range(AGAIN):
                self._kick(uses @ self.needs)
            uses = self._chosen(uses, self._supports(uses), found)
            more = self.needs @ (self.worth * (uses @ self.needs == 0)) * (uses == 0)
            uses = self._chosen(uses, np.argsort(more, kind="stable")[:NEAR], found)
            if uses is before:
                return found

    def _spread(self, passes: Floats, else_: Floats) -> Floats:
        """Each setting's price, shared by the boards that go through it."""
        return np.where(passes > 1e-6, self.worth / np.maximum(passes, 1e-6), else_)

    def _kick(self, passes: Floats) -> None:
        """Settle prices from near those of a cover."""
        kicks = self.draws.choice(KICKS, len(self.alone))
        self._settle(self._spread(passes, self.alone) * kicks)

    def _settle(self, prices: Floats) -> None:
        """Keep what linear programs use while prices settle."""
        seen: set[bytes] = set()
        every = np.arange(len(self.pool), dtype=np.int32)
        for number in range(SLOPES):
            self.linear.changeColsCost(len(every), every, self.needs @ prices)
            self.linear.run()
            steps = self.linear.getInfo().simplex_iteration_count
            spend(CALL + CELL * steps * 2 * len(every))
            if not is_optimal(self.linear):
                return
            uses = np.array(self.linear.getSolution().col_value)
            uses[uses < 1e-7] = 0.0
            passes = uses @ self.needs
            key = (passes > 1e-6).tobytes()
            self.found.setdefault(np.flatnonzero(uses).tobytes(), (self.settings(uses), uses))
            if key in seen and number > 2:
                return
            seen.add(key)
            more = np.maximum(prices, self.worth / np.maximum(1.0, passes + 1.0))
            prices = self._spread(passes, more)

    def _supports(self, uses: Ints) -> Ints:
        """The patterns of the best linear programs, until there are enough."""
        here = uses > 0
        for _, other in sorted(self.found.values(), key=lambda one: one[0]):
            if here.sum() >= SUPPORTS:
                break
            here = here | (other > 0)
        return np.flatnonzero(here)

    def _chosen(self, known: Ints, among: Ints, found: list[Ints]) -> Ints:
        """The best uses of these patterns, then also `found`, else those that are known."""
        here = np.union1d(np.flatnonzero(known), among)
        asked = here.tobytes() + known.tobytes()
        if asked in self.tried:  # the very program: it found nothing better
            return known
        self.tried.add(asked)
        needs = self.needs[here] > 0
        paid = np.flatnonzero(needs.any(0))
        number, total = len(here), len(here) + len(paid)
        model = root_model()
        self._fill(model, here, np.append(np.zeros(number), self.worth[paid]))
        make_whole(model)
        for place, setting in enumerate(paid, number):
            for i in np.flatnonzero(needs[:, setting]):
                model.addRow(-INFINITY, 0.0, 2, [int(i), place], [1.0, -self.caps[here[i]]])
        suggest(model, np.array([*known[here], *(known[here] @ needs[:, paid] > 0)]))
        solve_integer(model)
        values = np.array(model.getSolution().col_value)
        if len(values) < total or model.getInfo().primal_solution_status != 2:
            return known
        uses = np.zeros(len(known), np.int64)
        uses[here] = np.rint(values[:number])
        left = self.rows @ uses
        sound = bool((left >= self.least).all() and (left <= self.most).all())
        if not sound or self.settings(uses) >= self.settings(known):
            return known
        found.append(uses)
        return uses


def _beaten(pool: Sequence[Column], counts: Ints, needs: Floats) -> NDArray[np.bool_]:
    """Return which patterns (n,) another one beats.

    Of the same kind of board it makes all that they do and needs no other setting; of two alike the
    first is kept. counts: (n, m); needs: (n, s).
    """
    kinds = np.array([column.kind for column in pool])
    spend(CELL * len(pool) ** 2 * (counts.shape[1] + needs.shape[1]))
    beats = (kinds[:, None] == kinds) & (needs @ (1.0 - needs.T) == 0)
    for makes in counts.T:
        beats &= makes[:, None] >= makes
    alike = beats & beats.T
    first = np.arange(len(pool))
    return np.asarray((beats & (~alike | (first[:, None] < first))).any(0))
