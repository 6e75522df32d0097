"""Ways to fill a board with what a board cut so costs, and new ones from the blocks of all.

The search for boards meets a few hundred patterns. What its blocks make together in other ways is
far more, and that is where patterns lie that share saw settings: any blocks that fit a board's
length are one, at most one of them at the dog-eared end. The best for given prices is a knapsack
over lengths.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from palewright.cutting_stock.master.highs import INFINITY
from palewright.cutting_stock.master.integer_master import Cover, CoveringProblem
from palewright.cutting_stock.master.restricted_master import Column, useful_at_most
from palewright.cutting_stock.problem.integer_units import PRICE_STEP
from palewright.cutting_stock.problem.patterns import BlockRecipe
from palewright.cutting_stock.problem.records import Labour
from palewright.cutting_stock.problem.work_clock import CELL, spend
from palewright.cutting_stock.sawing.saw_settings import FactBook, Facts, Key
from palewright.cutting_stock.sawing.surplus_parts import BoardGroup, recipe_counts
from palewright.geometry.arrays import Flags, Floats, Ints

GRID = 250
"""Units of length (a quarter of a millimetre) of a knapsack's cell: lengths are rounded to it and
what is found is measured exactly, so that a pattern a hair too long is left out."""

FOUND = 12
"""So many patterns of a kind of board at most are taken in at once."""

LAID = 6e-4
"""Seconds of work to lay out a block and count its cuts and settings."""


@dataclass(frozen=True)
class PoolBlocks:
    """The blocks of one kind of board, n of them, and what every board of the kind has.

    Attributes:
        recipes: how each is cut.
        taken: (n,) length with kerf that it takes of a board's square part.
        clipped: (n,) whether it holds the dog-eared end.
        counts: (n, m) parts that it makes.
        cuts: (n,) what its cuts cost.
        needs: (n, s) whether it needs each setting, those of a bare board left out.
        room: length that there is.
        cost: of a board with the work on it, before any block.
        bare: (s,) whether a board needs each setting before any block.
    """

    recipes: tuple[BlockRecipe, ...]
    taken: Ints
    clipped: Flags
    counts: Ints
    cuts: Floats
    needs: Flags
    room: int
    cost: float
    bare: Flags

    def best(self, values: Floats, least: float = 0.0) -> Iterator[tuple[float, list[int]]]:
        """Yield some of the most valuable boards, each as its value and its blocks.

        The best of plain blocks alone, and the best beside each block at the dog-eared end. values:
        (n,); least: what a board must be worth more than.
        """
        cells = self.room // GRID
        size = np.maximum(1, np.rint(self.taken / GRID)).astype(np.int64)
        fits = size <= cells
        plain = np.flatnonzero(~self.clipped & fits & (values > 0.0))
        plain = plain[np.lexsort((-values[plain], size[plain]))]
        tops = np.maximum.accumulate(np.append(0.0, values[plain]))
        items = plain[values[plain] > tops[:-1]]  # a longer one is of use only where worth more
        # row k: the most that the first k items are worth in so many cells
        rows = np.zeros((len(items) + 1, cells + 1))
        for row, worth, i in zip(rows, rows[1:], items, strict=False):
            step, worth[:] = int(size[i]), row
            for at in range(step, cells + 1, step):
                here = worth[at : at + step]
                np.maximum(here, worth[at - step : at][: len(here)] + values[i], out=here)
        worth = rows[-1]
        spend(3 * CELL * cells * len(items))
        ended = np.flatnonzero(self.clipped & fits)
        beside = (values[ended] + worth[cells - size[ended]]).tolist()
        ends = [(float(worth[cells]), -1), *zip(beside, ended.tolist(), strict=True)]
        for value, end in sorted([one for one in ends if one[0] > least], reverse=True)[:FOUND]:
            blocks, at = [] if end < 0 else [end], cells if end < 0 else cells - int(size[end])
            while number := int(rows[:, at].searchsorted(rows[-1, at])):  # the last that added
                blocks.append(int(items[number - 1]))
                at -= int(size[blocks[-1]])
            if self.taken[blocks].sum() <= self.room:
                yield value, blocks


class Pool:
    """Patterns with what a board cut so costs, and the settings that it needs.

    A pattern's cuts and settings are those of its blocks: patterns share them, so that few have to
    be laid out. A block that ends with the board may be a cut less; what is finished is counted
    cut by cut.

    Attributes:
        kinds: the blocks of each kind of board.
        columns: the patterns, n of them.
        costs: (n,) of a board with the work on it, but for settings.
        needs: (n, s) whether it needs each setting, 0 or 1.
        makes: (m, n) how often it makes each part.
        boards: (n,) what is paid for boards, in steps of the price.
        caps: (n,) how many boards cut so could be of use.
    """

    def __init__(
        self, book: FactBook, covering: CoveringProblem, columns: Sequence[Column], labour: Labour
    ) -> None:
        self.book, self.covering, self.labour = book, covering, labour
        self.settings: dict[Key, int] = {}
        kinds = range(len(book.problem.stock))
        self._few = [kind for kind in kinds if covering.kinds[kind].available is not None]
        met: list[dict[BlockRecipe, int]] = [{} for _ in kinds]
        recipes = [column.recipe() for column in columns]
        for column, recipe in zip(columns, recipes, strict=True):
            for block in recipe:
                met[column.kind].setdefault(block, len(met[column.kind]))
        facts = [[book.of(kind, some) for some in ((), *zip(met[kind]))] for kind in kinds]
        for one in itertools.chain(*facts):
            for key in sorted(one.settings):
                self.settings.setdefault(key, len(self.settings))
        self.kinds = [self._blocks(kind, tuple(met[kind]), facts[kind]) for kind in kinds]
        self.columns: list[Column] = []
        self.costs, self.boards, self.caps = np.zeros(0), np.zeros(0), np.zeros(0)
        self.needs, self.makes = (
            np.zeros((0, len(self.settings))),
            np.zeros((len(covering.demand), 0)),
        )
        self._place: dict[tuple[int, bytes], int] = {}
        self._known: dict[tuple[int, bytes, bytes], float] = {}
        self.take(
            (column, [met[column.kind][block] for block in recipe])
            for column, recipe in zip(columns, recipes, strict=True)
        )

    def _blocks(
        self, kind: int, recipes: tuple[BlockRecipe, ...], facts: Sequence[Facts]
    ) -> PoolBlocks:
        """The blocks of a kind of board; facts: of a bare board, then of each block alone."""
        book, stock = self.book, self.book.problem.stock[kind]
        spend(LAID * (1 + len(recipes)))
        (none, *cuts), (bare, *flags) = map(self._cuts, facts), map(self._flags, facts)
        clipped = np.array([block.clipped for block in recipes], bool)
        lengths = np.array([book.block_length(kind, block) for block in recipes], np.int64)
        size = len(self.covering.demand)
        counts = np.array([recipe_counts((block,), size) for block in recipes], np.int64)
        return PoolBlocks(
            recipes=recipes,
            taken=lengths - stock.clipped * clipped,
            clipped=clipped,
            counts=counts.reshape(-1, size),
            cuts=np.array(cuts, float) - none,
            needs=np.array(flags, bool).reshape(-1, len(self.settings)) & ~bare,
            room=stock.length - stock.clipped,
            cost=stock.cost / PRICE_STEP + self.labour.board + none,
            bare=bare,
        )

    def _flags(self, facts: Facts) -> Flags:
        """Which settings are among a recipe's, (s,)."""
        found = np.zeros(len(self.settings), bool)
        found[[self.settings[key] for key in facts.settings]] = True
        return found

    def _cuts(self, facts: Facts) -> float:
        """What the cuts of a pattern cost, laid out whole."""
        return facts.crosscuts * self.labour.crosscut + facts.rips * self.labour.rip

    def made_of(self, kind: int, blocks: list[int]) -> Column:
        """A pattern of these blocks of a kind of board."""
        known = self.kinds[kind]
        recipe = tuple(known.recipes[i] for i in blocks)
        cost = self.book.problem.stock[kind].cost
        return Column(known.counts[blocks].sum(0), kind, cost, lambda: recipe)

    def take(self, board_patterns: Iterator[tuple[Column, list[int]]]) -> bool:
        """Take in patterns with their blocks; whether one was news."""
        rows = []
        for column, blocks in board_patterns:
            known, counts = self.kinds[column.kind], column.counts
            cost = known.cost + float(known.cuts[blocks].sum())
            needs = known.bare | known.needs[blocks].any(0)
            key = (*column.key, needs.tobytes())
            if cost >= self._known.get(key, INFINITY):
                continue
            self._known[key] = cost
            self._place.setdefault(key[:2], len(self.columns))
            self.columns.append(column)
            rows.append((cost, needs, counts, column.cost))
        if rows:
            costs, needs_, counts_, boards = (np.array(x, float) for x in zip(*rows, strict=True))
            caps = useful_at_most(counts_, self.covering.demand)
            self.costs, self.boards = np.append(self.costs, costs), np.append(self.boards, boards)
            self.caps = np.append(self.caps, caps)
            self.needs = np.vstack((self.needs, needs_))
            self.makes = np.hstack((self.makes, counts_.T))
        return bool(rows)

    def uses(self, cover: Cover) -> Floats:
        """How often a cover uses each pattern (n,); it is known to be in the pool."""
        found = np.zeros(len(self.columns))
        for column, uses in cover.columns:
            found[self._place[column.key]] += uses
        return found

    def cover(self, uses: Ints, lower: int) -> Cover:
        """The patterns that are used (n,), as a cover."""
        pairs = tuple((self.columns[i], int(uses[i])) for i in np.flatnonzero(uses))
        return Cover(pairs, sum(column.cost * count for column, count in pairs), lower)

    def paid(self, groups: Sequence[BoardGroup]) -> float:
        """What boards cost with all work at the saw, as they are sawn."""
        stock, labour = self.book.problem.stock, self.labour
        boards = 0.0
        for one in groups:
            cuts = self._cuts(self.book.of(one.kind, one.recipe))
            boards += one.count * (stock[one.kind].cost / PRICE_STEP + labour.board + cuts)
        return boards + labour.setting * self.book.merit(groups).settings

    def entries(self, here: Sequence[int] | Ints) -> Floats:
        """Return what the patterns `here` put into the rows that every plan keeps (r, n).

        Parts, then as `sides`.
        """
        return np.vstack((self.makes[:, here], self.sides([self.columns[i].kind for i in here])))

    def sides(self, kinds: Sequence[int]) -> Floats:
        """Return what a board of each of these kinds puts into the rows after the parts.

        Its price, whether it is of each kind of which few are there, whether it is an offcut.
        """
        stock = self.book.problem.stock
        return np.array(
            [
                [stock[kind].cost for kind in kinds],
                *([kind == few for kind in kinds] for few in self._few),
                [stock[kind].on_hand for kind in kinds],
            ],
            float,
        )

    def limits(self, most: float, offcuts: int) -> tuple[Floats, Floats]:
        """Return the least and the most of each row (r,).

        The demand, the price `most`, the boards that are there, the offcuts to use.
        """
        demand = self.covering.demand.astype(float)
        there = [float(self.covering.kinds[k].available or 0) for k in self._few]
        least = np.array([*demand, *[-INFINITY] * (1 + len(there)), offcuts])
        return least, np.array([*[INFINITY] * len(demand), most, *there, INFINITY])
