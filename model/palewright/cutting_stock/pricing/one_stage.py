"""The best ways to fill one length with full-width parts: exact k-best bounded knapsack.

Used where no two parts fit side by side, so that a board is one row of parts. Lengths are
integers that hold one kerf each, the capacity holds one kerf too (n parts need only n - 1
cuts). Source of the pricing: P. C. Gilmore, R. E. Gomory, "A linear programming approach to the
cutting-stock problem", Operations Research 9 (1961) 849-859 (cited from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from palewright.cutting_stock.problem.float_noise import TINY
from palewright.cutting_stock.problem.patterns import (
    BlockRecipe,
    BoardPatterns,
    Recipe,
    StripRecipe,
)
from palewright.cutting_stock.problem.search_settings import SETTINGS
from palewright.cutting_stock.problem.work_clock import CALL, CELL, ROW, now, spend
from palewright.geometry.arrays import Floats, Ints

Table = NDArray[np.floating[Any]]


@dataclass(frozen=True)
class _Rows:
    """Partial patterns: length left, value and copies of each part so far."""

    rest: Ints
    worth: Floats
    picks: NDArray[np.uint16]


class OneStagePricing:
    """Patterns of one length by parts that lie one behind the other.

    lengths, widths, bounds: shape (m,), with kerf; capacity: with kerf.
    """

    def __init__(self, lengths: Ints, widths: Ints, bounds: Ints, capacity: int) -> None:
        self.size = len(lengths)
        self.lengths = lengths
        self.widths = widths
        self.capacity = int(capacity)
        self.bounds = np.minimum(bounds, self.capacity // lengths)
        common = int(np.gcd.reduce(lengths)) if self.size else 1
        cells = max(1, SETTINGS.one_stage_cells // (self.size + 1))
        self.step = common * max(1, -(-(self.capacity // common) // cells))
        self.exact = self.step == common
        small = (self.size + 1) * (self.capacity // self.step + 1) <= SETTINGS.exact_cells
        self.kind: type[np.floating[Any]] = np.float64 if small else np.float32
        self.noise = 1e-9 if small else 1e-5

    def restricted(self, bounds: Ints) -> OneStagePricing:
        """The same board with at most `bounds` (m,) of each part."""
        return OneStagePricing(self.lengths, self.widths, bounds, self.capacity)

    def _suffix_values(self, order: Ints, duals: Floats) -> Table:
        """table[i, c]: best value of parts order[i:] in length c * step, lengths rounded down."""
        cells = self.capacity // self.step + 1
        table = np.zeros((self.size + 1, cells), dtype=self.kind)
        spend(CALL + CELL / 3 * cells * int(self.bounds.sum()))
        for i in range(self.size - 1, -1, -1):
            part, row, below = order[i], table[i], table[i + 1]
            length, value = int(self.lengths[part]) // self.step, duals[part]
            row[:] = below
            if value <= 0.0 or length == 0:
                row += self.kind(max(0.0, value) * self.bounds[part])
                continue
            for copies in range(1, int(self.bounds[part]) + 1):
                used = copies * length
                if used >= cells:
                    break
                gain = self.kind(copies * value)
                np.maximum(row[used:], below[: cells - used] + gain, out=row[used:])
        return table

    def best(
        self,
        duals: Floats,
        threshold: float,
        limit: int,
        *,
        enough: int = 1,
        lean: bool = False,
        deadline: float = np.inf,
    ) -> BoardPatterns:
        """Up to `limit` of the most valuable patterns worth at least `threshold`.

        Parts of no value fill what is left over.
        """
        order = self._order(duals)
        table = self._suffix_values(order, duals)
        rows, complete = self._start(), True
        for i in range(self.size):
            if duals[order[i]] <= TINY:
                rows = self._topped_up(i, int(order[i]), rows)
            else:
                rows, whole = self._grow(order, duals, i, table[i + 1], rows, threshold, limit)
                complete = complete and whole
        return self._answer(order, duals, rows, float(table[0, -1]), threshold, complete)

    def quick(self, worth: Floats, blocks: int) -> BoardPatterns:
        """The pattern that takes the longest part that still fits, again and again."""
        counts = np.zeros((1, self.size), dtype=np.int64)
        rest = self.capacity
        for part in np.lexsort((-self.lengths, worth <= 0)):
            if worth[part] > 0:
                counts[0, part] = min(rest // self.lengths[part], self.bounds[part])
                rest -= int(counts[0, part] * self.lengths[part])
        return BoardPatterns(counts, counts @ worth, np.inf, False, partial(self._recipe, counts))

    def all_above(
        self, duals: Floats, threshold: float, limit: int, *, deadline: float = np.inf
    ) -> BoardPatterns:
        """Every full pattern worth at least `threshold`; `complete` is False beyond `limit`.

        Patterns that leave room for a further part are contained in others, so left out.
        """
        order = self._order(duals)
        table = self._suffix_values(order, duals)
        rows = self._start()
        for i in range(self.size):
            rows, whole = self._grow(order, duals, i, table[i + 1], rows, threshold, limit)
            if not whole or now() > deadline:
                return self._answer(order, duals, self._none(), np.inf, threshold, False)
        full = self._full(order, rows)
        rows = _Rows(rows.rest[full], rows.worth[full], rows.picks[full])
        return self._answer(order, duals, rows, float(table[0, -1]), threshold, True)

    def _order(self, duals: Floats) -> Ints:
        """Long parts first, parts of no value last."""
        return np.lexsort((-self.lengths, duals <= TINY)).astype(np.int64)

    def _start(self) -> _Rows:
        rest = np.array([self.capacity], dtype=np.int64)
        return _Rows(rest, np.zeros(1), np.zeros((1, self.size), dtype=np.uint16))

    def _none(self) -> _Rows:
        empty = np.zeros((0, self.size), dtype=np.uint16)
        return _Rows(np.zeros(0, dtype=np.int64), np.zeros(0), empty)

    def _grow(
        self,
        order: Ints,
        duals: Floats,
        i: int,
        below: Table,
        rows: _Rows,
        threshold: float,
        limit: int,
    ) -> tuple[_Rows, bool]:
        """Rows with 0, 1, … copies of part order[i] that can still reach the threshold."""
        goal = threshold - self.noise * max(1.0, abs(threshold))
        part = int(order[i])
        length, value = int(self.lengths[part]), float(duals[part])
        parents, copies, ceilings = [], [], []
        for taken in range(int(self.bounds[part]) + 1):
            left = rows.rest - taken * length
            fits = np.flatnonzero(left >= 0)
            if not fits.size:
                break
            reach = rows.worth[fits] + taken * value + below[left[fits] // self.step]
            good = reach >= goal
            parents.append(fits[good])
            copies.append(np.full(int(good.sum()), taken, dtype=np.int64))
            ceilings.append(reach[good])
        if not parents:
            return self._none(), True
        parent, number = np.concatenate(parents), np.concatenate(copies)
        whole = len(parent) <= limit
        if not whole:
            keep = np.argpartition(-np.concatenate(ceilings), limit)[:limit]
            parent, number = parent[keep], number[keep]
        picks = rows.picks[parent]
        spend(CALL / 3 + ROW * len(parent))
        picks[:, i] = number
        rest, worth = rows.rest[parent] - number * length, rows.worth[parent] + number * value
        return _Rows(rest, worth, picks), whole

    def _topped_up(self, place: int, part: int, rows: _Rows) -> _Rows:
        """As many copies of a part of no value as still fit."""
        number = np.minimum(rows.rest // self.lengths[part], self.bounds[part])
        picks = rows.picks.copy()
        picks[:, place] = number
        return _Rows(rows.rest - number * self.lengths[part], rows.worth, picks)

    def _full(self, order: Ints, rows: _Rows) -> NDArray[np.bool_]:
        full = np.ones(len(rows.rest), dtype=bool)
        for i, part in enumerate(order):
            full &= (rows.picks[:, i] >= self.bounds[part]) | (rows.rest < self.lengths[part])
        return full

    def _answer(
        self,
        order: Ints,
        duals: Floats,
        rows: _Rows,
        ceiling: float,
        threshold: float,
        complete: bool,
    ) -> BoardPatterns:
        counts = np.zeros((len(rows.rest), self.size), dtype=np.int64)
        counts[:, order] = rows.picks
        values = counts @ duals
        good = np.flatnonzero(values >= threshold - TINY)
        good = good[np.argsort(-values[good], kind="stable")]
        counts, values = counts[good], values[good]
        upper = ceiling * (1 + self.noise)
        if complete and not len(values):
            upper = min(upper, threshold)
        if self.exact and len(values):
            upper = min(upper, float(values[0]) + TINY)
        return BoardPatterns(counts, values, upper, complete, partial(self._recipe, counts))

    def _recipe(self, counts: Ints, number: int) -> Recipe:
        """One block a part, parts of equal width together in one block."""
        row = counts[number]
        blocks = []
        for width in sorted({int(self.widths[i]) for i in np.flatnonzero(row)}, reverse=True):
            parts = tuple(
                (int(i), int(row[i])) for i in np.flatnonzero(row) if self.widths[i] == width
            )
            blocks.append(BlockRecipe((StripRecipe(width, parts),)))
        return tuple(blocks)
