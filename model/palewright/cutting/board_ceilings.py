"""The most that a board can be worth in blocks, strips and parts, whatever their values.

Block by block the best at each length, as often as it goes in: that is quick to know and too much
where a part that is wanted once is counted twice. `capped` takes such excess off by Lagrangian
relaxation: with prices p >= 0 of the parts no filling within the bounds b is worth more than the
ceiling for values less p, and p @ b. Prices are bettered by subgradients (M. Held, P. Wolfe,
H. P. Crowder, "Validation of subgradient optimization", Mathematical Programming 6 (1974) 62-88,
cited from memory); the ceiling holds for any of them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from palewright.cutting.ceilings import BlockSpots
from palewright.cutting.clocks import CALL, CELL, spend
from palewright.cutting.growth import Tables
from palewright.cutting.listing import GRID_CELLS, fill_grid
from palewright.cutting.rips import RipPattern
from palewright.cutting.strips import ListedStrips, StripShelf

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MOST_STEPS, STALE = 60, 6
"""Steps of the prices at most, and without gain before they are halved."""
SHORTEST = 0.05
AIM, MOST_PRICE = 0.98, 0.99
TINY = 1e-9


@dataclass(frozen=True)
class CappedCeiling:
    """No filling within the bounds is worth more than `upper`: `tables` are the ceilings for values
    less the parts' prices, and `taken` is the most that the prices take from a filling."""

    upper: float
    taken: float
    tables: Tables


class BoardCeilings:
    """Ceilings of one kind of board, for any values of its parts.

    shelves: strips by width; patterns: of plain blocks; clipped_patterns: of that at the dog-eared
    end, which is never shorter than `ear`; single: whether the board is one block.
    """

    def __init__(
        self,
        shelves: Mapping[int, StripShelf],
        patterns: Sequence[RipPattern],
        clipped_patterns: Sequence[RipPattern],
        length: int,
        ear: int,
        *,
        single: bool,
    ) -> None:
        self.shelves, self.patterns, self.clipped_patterns = shelves, patterns, clipped_patterns
        self.length, self.plain_length, self.ear = length, length - ear, ear
        self.single = single
        self._known: tuple[BlockSpots, BlockSpots] | None = None

    def tables(self, duals: Floats) -> Tables:
        """Ceilings for values (m,) of the parts."""
        listed = {width: shelf.priced(duals) for width, shelf in self.shelves.items()}
        spots, ends = self.spots(listed)
        ceilings = [strips.ceiling for strips in listed.values()]
        step = max(1, -(-self.length // GRID_CELLS))
        tables = Tables(listed, np.zeros(self.length // step + 1), step, 0.0)
        worth = spots.worth(ceilings)
        spend(2 * (CALL + CELL * spots.picks.size))
        if not self.single:
            best = np.maximum.accumulate(worth[spots.order])
            fill_grid(tables, spots.lengths[spots.order], best)
        # beside a plain block there may be one at the dog-eared end, which reaches further: so
        # the ceiling of a pattern is that of what is left of the whole length
        reach = np.where(worth > TINY, worth + tables.rest(self.length - spots.lengths), -np.inf)
        tables.spot_reach = (reach, self._end_reach(tables, ends, ceilings))
        tables.reach, tables.end_reach = spots.most(reach), ends.most(tables.spot_reach[1])
        tables.spot_worth = worth
        whole = worth + tables.rest(self.plain_length - spots.lengths)
        tables.whole = max(float(whole.max(initial=0.0)), float(tables.end_reach.max(initial=0.0)))
        return tables

    def spots(self, listed: Mapping[int, ListedStrips]) -> tuple[BlockSpots, BlockSpots]:
        """Where the ceilings of plain blocks and of those at the dog-eared end rise."""
        if self._known is not None:
            return self._known
        steps = {width: strips.steps for width, strips in listed.items()}
        plain = BlockSpots(self.patterns, steps, self.plain_length)
        found = (plain, BlockSpots(self.clipped_patterns, steps, self.length))
        if all(shelf.complete for shelf in self.shelves.values()):
            self._known = found
        return found

    def _end_reach(self, tables: Tables, ends: BlockSpots, ceilings: Sequence[Floats]) -> Floats:
        """The most a board with a block of each pattern and length at its dog-eared end can be
        worth. A block that is worth nothing there only takes from the length that others have."""
        worth, lengths = ends.worth(ceilings), np.maximum(ends.lengths, self.ear)
        return np.where(worth > TINY, worth + tables.rest(self.length - lengths), -np.inf)

    def capped(self, duals: Floats, bounds: Ints, enough: float, first: Tables) -> CappedCeiling:
        """A ceiling for fillings with at most `bounds` (m,) of each part; bettered no further once
        it is below `enough`. first: the tables for these values."""
        prices, most, tables = np.zeros(len(duals)), first.whole, first
        best, scale, stale = CappedCeiling(most, 0.0, first), 1.0, 0
        for _ in range(MOST_STEPS):
            spend(CALL)
            excess = self._heaviest(tables, len(duals)) - bounds
            excess = np.where((excess > 0) | (prices > 0), excess, 0)
            square = float(excess @ excess)
            if best.upper < enough or not square or scale < SHORTEST:
                break
            step = scale * max(most - AIM * enough, 0.0) / square
            # every part keeps some value, so that nothing with it counts as empty
            prices = np.clip(prices + step * excess, 0.0, MOST_PRICE * duals)
            tables, taken = self.tables(duals - prices), float(prices @ bounds)
            most = tables.whole + taken
            stale = 0 if most < best.upper - TINY else stale + 1
            if most < best.upper:
                best = CappedCeiling(most, taken, tables)
            if stale >= STALE:
                scale, stale = scale / 2, 0
        return best

    def _heaviest(self, tables: Tables, size: int) -> Ints:
        """The parts (m,) of a board that is worth its ceiling, limits aside."""
        counts = np.zeros(size, dtype=np.int64)
        spots, ends = self.spots(tables.listed)
        choices = [one.best_at_steps() for one in tables.listed.values()]
        left, end_reach = self.plain_length, tables.spot_reach[1]
        plain = tables.spot_worth + tables.rest(left - spots.lengths)
        if len(end_reach) and end_reach.max() > plain.max(initial=-np.inf):
            at = int(np.argmax(end_reach))
            self._add(counts, tables, self.clipped_patterns, ends, choices, at)
            left = self.length - max(int(ends.lengths[at]), self.ear)
        useful = tables.spot_worth > TINY
        while useful.any():
            reach = np.where(useful, tables.spot_worth + tables.rest(left - spots.lengths), -np.inf)
            at = int(np.argmax(reach))
            if reach[at] == -np.inf:
                break
            self._add(counts, tables, self.patterns, spots, choices, at)
            left -= int(spots.lengths[at])
            if self.single:
                break
        return counts

    def _add(
        self,
        counts: Ints,
        tables: Tables,
        patterns: Sequence[RipPattern],
        spots: BlockSpots,
        choices: Sequence[Ints],
        at: int,
    ) -> None:
        """Add the parts of the block at one spot."""
        strips = spots.slots(choices, np.array([at]))[0]
        for width, strip in zip(patterns[spots.pattern[at]].widths, strips, strict=False):
            counts[self.shelves[width].items] += tables.listed[width].counts[strip]
