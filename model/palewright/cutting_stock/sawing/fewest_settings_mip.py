"""Among plans of one cost the one that asks least of the saw and leaves the longest offcuts.

The order of what counts is strict: first the boards (or their price), then the number of saw
settings, then the longest offcut of a board's whole width, then the length of all of those. The
boards may be proven; the rest is the best that was found among the patterns that the search
for the boards met, in the work that it is given.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from palewright.cutting_stock.master.highs import (
    INFINITY,
    Model,
    make_whole,
    root_model,
    solve_integer,
    suggest,
)
from palewright.cutting_stock.master.integer_master import Cover, CoveringProblem, covers
from palewright.cutting_stock.master.restricted_master import (
    Bound,
    Column,
    RestrictedMaster,
    useful_at_most,
)
from palewright.cutting_stock.master.search_strategy import top_columns
from palewright.cutting_stock.problem.integer_units import IntegerProblem
from palewright.cutting_stock.problem.patterns import Recipe
from palewright.cutting_stock.problem.work_clock import now
from palewright.cutting_stock.sawing.few_settings import fewer_settings
from palewright.cutting_stock.sawing.post_optimisation import (
    evened_blocks,
    gathered_waste,
    joined_strips,
)
from palewright.cutting_stock.sawing.saw_settings import FactBook, Facts, Key, Merit
from palewright.cutting_stock.sawing.surplus_parts import (
    BoardGroup,
    exact_groups,
    recipe_counts,
    rows_apart,
)

FEW_COLUMNS, MANY_COLUMNS = 120, 300
"""Patterns searched for longer offcuts, which the solver hardly finds among more, and for fewer
settings (a third fewer at 300 than at 120)."""

FEWER_SETTINGS = 1e-3
"""A time for set-ups that is over with the first search: that for fewer settings."""

MOST_COLUMNS = 400
MOST_CUT_SHORT = 50
"""Patterns tried with a block left out: with a hundred that search takes as long as all others."""
NEAR_COLUMNS = 300
"""Patterns near the bound that a dearer cover is made of. Judgement."""
TRADE_STEPS = 2
"""So many boards more are tried for fewer settings."""


@dataclass(frozen=True)
class Finished:
    """Boards cut exactly as asked, and how good they are."""

    groups: tuple[BoardGroup, ...]
    merit: Merit


def finished(book: FactBook, cover: Cover) -> Finished:
    """Return the boards of a cover, finished.

    Without surplus parts, strips joined, blocks made alike, waste gathered. The same cover always
    gives the same boards.
    """
    exact = [
        replace(group, recipe=rows_apart(book.problem, group.kind, group.recipe))
        for group in exact_groups(cover, book.problem.counts)
    ]
    even = gathered_waste(book, evened_blocks(book, joined_strips(book, exact)))
    return Finished(tuple(even), book.merit(even))


def thriftiest(
    problem: IntegerProblem,
    covering: CoveringProblem,
    master: RestrictedMaster,
    bound: Bound,
    best: Cover,
    seconds: float,
) -> tuple[tuple[Cover, Finished], ...]:
    """Return the best cover of the same cost with its boards, then dearer ones with fewer settings.

    Fewer settings come first, then what fewer would cost, then longer offcuts; what is begun is
    brought to an end.

    Args:
        problem: parts and boards in whole units.
        covering: what is to be covered.
        master: the columns found so far.
        bound: the linear optimum and its duals.
        best: the best cover so far.
        seconds: of counted work; with 0 the cover stays as it is.
    """
    book = FactBook(problem)
    least, end = finished(book, best), now() + seconds
    if now() >= end:  # nothing asked, or broken off
        return ((best, least),)
    pool = known_columns(problem, covering, master, bound, best)[:MANY_COLUMNS]
    for fewer in list(fewer_settings(book, covering, pool, best, best.cost)):
        best, least = _better(book, best, least, fewer)
    dearer = _dearer(problem, book, covering, pool, best, end)
    if now() < end:
        few = _SettingsProgram(book, covering)
        few.add(pool[:FEW_COLUMNS])
        few.add(less for column in pool[:MOST_CUT_SHORT] for less in _shorter(column))
        found = few.better(best, least.merit)
        best, least = _better(book, best, least, found)
    kept = [(best, least)]
    for cover, plan in dearer:
        more = new_boards(problem, plan) > new_boards(problem, kept[-1][1])
        if more and plan.merit.settings < kept[-1][1].merit.settings:
            kept.append((cover, plan))
    return tuple(kept)


def _better(
    book: FactBook, best: Cover, least: Finished, found: Cover | None
) -> tuple[Cover, Finished]:
    """The better of two covers of one cost, with its boards."""
    if found is None:
        return best, least
    tried = finished(book, found)
    if tried.merit < least.merit:
        return Cover(found.columns, found.cost, best.lower), tried
    return best, least


def _dearer(
    problem: IntegerProblem,
    book: FactBook,
    covering: CoveringProblem,
    pool: Sequence[Column],
    best: Cover,
    end: float,
) -> list[tuple[Cover, Finished]]:
    """Plans of a board more, of two more, with as few settings as are found until `end`."""
    plans = []
    for extra in range(1, TRADE_STEPS + 1):
        if now() >= end:
            break
        most = best.cost + extra * cheapest_board(problem)
        for found in list(fewer_settings(book, covering, pool, best, most))[-1:]:
            best = found
            plans.append((found, finished(book, found)))
    return plans


def cheapest_board(problem: IntegerProblem) -> int:
    """What the cheapest new board costs, in steps of the price; 0 where none is sold."""
    return min((kind.cost for kind in problem.stock if not kind.on_hand), default=0)


def new_boards(problem: IntegerProblem, plan: Finished) -> int:
    """How many boards are bought for a plan."""
    return sum(g.count for g in plan.groups if not problem.stock[g.kind].on_hand)


def known_columns(
    problem: IntegerProblem,
    covering: CoveringProblem,
    master: RestrictedMaster,
    bound: Bound,
    best: Cover,
) -> list[Column]:
    """Return the patterns that are used, those near the bound, and those of the search.

    Args:
        problem: parts and boards in whole units.
        covering: what is to be covered.
        master: the columns found so far.
        bound: the linear optimum and its duals.
        best: the best cover so far.
    """
    real = len(problem.stock)
    slack = max(0.0, best.cost - bound.lower)
    near = top_columns(covering, bound, slack, NEAR_COLUMNS)
    known: dict[tuple[int, bytes], Column] = {}
    for column in (*(c for c, _ in best.columns), *near, *master.columns):
        if column.kind < real:
            known.setdefault(column.key, column)
    return list(known.values())[:MOST_COLUMNS]


def _shorter(column: Column) -> Iterator[Column]:
    """The pattern with one block left out."""
    recipe = column.recipe()
    for i in range(len(recipe) if len(recipe) > 1 else 0):
        rest: Recipe = (*recipe[:i], *recipe[i + 1 :])
        counts = recipe_counts(rest, len(column.counts))
        yield Column(counts, column.kind, column.cost, lambda rest=rest: rest)  # type: ignore[misc]


class _SettingsProgram:
    """An integer program over a pool of patterns for the longest offcut.

    With one yes-or-no for each saw setting.
    """

    def __init__(self, book: FactBook, covering: CoveringProblem) -> None:
        self.book, self.covering = book, covering
        self.pool: list[Column] = []
        self.facts: list[Facts] = []

    def add(self, columns: Iterable[Column]) -> None:
        """Put more patterns into the pool."""
        known = {column.key for column in self.pool}
        for column in columns:
            if column.key not in known:
                self._append(column)

    def _append(self, column: Column) -> None:
        self.pool.append(column)
        self.facts.append(self.book.of(column.kind, column.recipe()))

    def better(self, start: Cover, kept: Merit) -> Cover | None:
        """Return a cover with no more settings than `kept` and the longest offcut.

        It costs no more than the start, which is known to the solver. None where the first node
        finds none.
        """
        here = {id(column) for column in self.pool}
        for column, _ in start.columns:
            if id(column) not in here:
                self._append(column)
        every = sorted(frozenset().union(*(facts.settings for facts in self.facts)))
        model = self._model(every, start.cost, kept)
        self._spend_offcuts(model, start)
        self._suggest(model, every, start)
        solve_integer(model)
        values = np.array(model.getSolution().col_value)
        if len(values) < len(self.pool) or model.getInfo().primal_solution_status != 2:
            return None
        uses = np.rint(values[: len(self.pool)]).astype(np.int64)
        cost = sum(c.cost * int(n) for c, n in zip(self.pool, uses, strict=True))
        if cost > start.cost or not covers(self.pool, uses, self.covering):
            return None
        pairs = tuple((c, int(n)) for c, n in zip(self.pool, uses, strict=True) if n)
        return Cover(pairs, cost, start.lower)

    def _model(self, every: Sequence[Key], most: int, kept: Merit) -> Model:
        """Return the program.

        Columns: uses of each pattern, then a yes for each setting, then for each pattern whether it
        leaves the longest offcut.
        """
        model = root_model()
        number, first = len(self.pool), len(self.pool) + len(every)
        counts = np.array([column.counts for column in self.pool])
        caps = useful_at_most(counts, self.covering.demand)
        longest = max((facts.longest for facts in self.facts), default=0.0) or 1.0
        for cap in caps:
            model.addCol(0.0, 0.0, float(cap), 0, [], [])
        for _ in every:
            model.addCol(0.0, 0.0, 1.0, 0, [], [])
        for facts in self.facts:
            model.addCol(-facts.longest / longest, 0.0, 1.0, 0, [], [])
        make_whole(model)
        self._rows(model, most)
        place = {key: number + j for j, key in enumerate(every)}
        for i, facts in enumerate(self.facts):
            for key in sorted(facts.settings):
                model.addRow(-INFINITY, 0.0, 2, [i, place[key]], [1.0, -float(caps[i])])
        spots = list(range(number, first))
        model.addRow(-INFINITY, float(kept.settings), len(spots), spots, [1.0] * len(spots))
        for i in range(number):
            model.addRow(-INFINITY, 0.0, 2, [i, first + i], [-1.0, 1.0])
        chosen = list(range(first, first + number))
        model.addRow(-INFINITY, 1.0, number, chosen, [1.0] * number)
        return model

    def _rows(self, model: Model, most: int) -> None:
        """The demand, the cost and the boards at hand as rows."""
        pool = self.pool
        for part, wanted in enumerate(self.covering.demand):
            rows = [i for i, column in enumerate(pool) if column.counts[part]]
            counts = [float(pool[i].counts[part]) for i in rows]
            model.addRow(float(wanted), INFINITY, len(rows), rows, counts)
        paid = [i for i, column in enumerate(pool) if column.cost]
        model.addRow(-INFINITY, float(most), len(paid), paid, [float(pool[i].cost) for i in paid])
        for k, kind in enumerate(self.covering.kinds):
            if kind.available is not None:
                rows = [i for i, column in enumerate(pool) if column.kind == k]
                model.addRow(-INFINITY, float(kind.available), len(rows), rows, [1.0] * len(rows))

    def _spend_offcuts(self, model: Model, start: Cover) -> None:
        """Hold that no fewer offcuts are used than at the start: they are used first."""
        on_hand = [kind.on_hand for kind in self.book.problem.stock]
        rows = [i for i, column in enumerate(self.pool) if on_hand[column.kind]]
        if rows:
            least = sum(uses for column, uses in start.columns if on_hand[column.kind])
            model.addRow(float(least), INFINITY, len(rows), rows, [1.0] * len(rows))

    def _suggest(self, model: Model, every: Sequence[Key], start: Cover) -> None:
        """Hand the known cover to the solver."""
        values = np.zeros(model.getNumCol())
        at = {id(column): i for i, column in enumerate(self.pool)}
        place = {key: len(self.pool) + j for j, key in enumerate(every)}
        for column, uses in start.columns:
            values[at[id(column)]] = uses
            for key in self.facts[at[id(column)]].settings:
                values[place[key]] = 1.0
        suggest(model, values)
