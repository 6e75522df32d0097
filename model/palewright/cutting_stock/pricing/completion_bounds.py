"""The most that a block, and a board of blocks, can be worth: bounds that prune unfinished boards.

Which block lengths count, and which strip serves a slot there, does not depend on what parts are
worth where all strips are listed: it is worked out once, and pricing only looks values up.

Block by block the best at each length, as often as it goes in: that is quick to know and too much
where a part that is wanted once is counted twice. `lagrangian` takes such excess off by
relaxation: with prices p >= 0 of the parts no pattern within the bounds b is worth more than the
ceiling for values less p, and p @ b. Prices are bettered by subgradients (M. Held, P. Wolfe,
H. P. Crowder, "Validation of subgradient optimization", Mathematical Programming 6 (1974) 62-88,
cited from memory); the ceiling holds for any of them.

Where rip patterns are too many to list: for each block length the strips side by side are a
knapsack over the board's width, and the blocks one over its length (the two stages of P. C.
Gilmore, R. E. Gomory, "Multistage cutting stock problems of two and more dimensions", Operations
Research 13 (1965) 94-120, cited from memory). Sizes are rounded down to grids, a part may come
more often than it is wanted, and a dog-eared end is taken for a square one: each of these can only
raise the ceiling, so that it holds.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from palewright.cutting_stock.pricing.block_enumeration import fill_grid
from palewright.cutting_stock.pricing.label_extension import Tables
from palewright.cutting_stock.pricing.rip_patterns import RipPattern
from palewright.cutting_stock.pricing.strip_knapsack import ListedStrips, StripShelf
from palewright.cutting_stock.problem.float_noise import TINY
from palewright.cutting_stock.problem.search_settings import SETTINGS
from palewright.cutting_stock.problem.work_clock import CALL, CELL, spend
from palewright.geometry.arrays import Floats, Ints


class BlockSpots:
    """Block lengths at which the ceiling of each rip pattern rises.

    lengths: (p,) with kerf, by pattern and rising; pattern: (p,) the pattern's number.
    """

    def __init__(
        self, patterns: Sequence[RipPattern], steps: Mapping[int, Ints], most: int
    ) -> None:
        """Begin.

        Args:
            patterns: rip patterns of the blocks.
            steps: for each width the strip lengths at which its ceiling rises, the first 0.
            most: the longest block.
        """
        self.number = len(patterns)
        offsets, at = {}, 1
        for width, lengths in steps.items():
            offsets[width], at = at, at + len(lengths)
        slots = max((len(pattern.widths) for pattern in patterns), default=0)
        known: dict[frozenset[tuple[int, int]], tuple[Ints, dict[tuple[int, int], Ints]]] = {}
        spots, picks = [np.zeros(0, np.int64)], [np.zeros((slots, 0), np.int64)]
        for pattern in patterns:
            ends = tuple(zip(pattern.widths, pattern.losses, strict=True))
            asked = frozenset(ends)  # all that a pattern's spots hang on
            if asked not in known:
                known[asked] = _spots_of(asked, steps, offsets, most)
            here, places = known[asked]
            spots.append(here)
            picks.append(np.zeros((slots, len(here)), np.int64))
            for slot, end in enumerate(ends):
                picks[-1][slot] = places[end]
        self.lengths: Ints = np.concatenate(spots)
        self.picks: Ints = np.concatenate(picks, axis=1)
        sizes = [len(one) for one in spots[1:]]
        self.pattern: Ints = np.repeat(np.arange(self.number), sizes)
        self.order: Ints = np.argsort(self.lengths, kind="stable")

    def worth(self, ceilings: Sequence[Floats]) -> Floats:
        """The ceiling (p,) at each spot; ceilings: of the strips, in the order of the steps."""
        flat = np.concatenate([np.zeros(1), *ceilings])
        total = np.zeros(len(self.lengths))
        for picks in self.picks:
            total += flat[picks]
        return total

    def slots(self, choices: Sequence[Ints], spots: Ints) -> Ints:
        """Return the strip (n, slots) of each slot at some spots.

        Args:
            choices: for each width, in the order of the steps, the strip chosen there.
            spots: (n,).
        """
        flat = np.concatenate([np.zeros(1, np.int64), *choices])
        return np.asarray(flat[self.picks[:, spots]].T)

    def most(self, values: Floats) -> Floats:
        """The greatest of the values (p,) for each pattern; -inf where it has no spot."""
        best = np.full(self.number, -np.inf)
        np.maximum.at(best, self.pattern, values)
        return best


def _spots_of(
    ends: Collection[tuple[int, int]],
    steps: Mapping[int, Ints],
    offsets: Mapping[int, int],
    most: int,
) -> tuple[Ints, dict[tuple[int, int], Ints]]:
    """Return lengths of spots, and for each strip the places of its ceilings there.

    A strip that would not reach past the dog-eared corner has place 0.

    Args:
        ends: the strips of a pattern: width and what is lost at the dog-eared end, each once.
        steps: for each width the strip lengths at which its ceiling rises, the first 0.
        offsets: place of each width's first ceiling.
        most: the longest block.
    """
    reach = {end: steps[end[0]] + end[1] for end in ends}
    lengths = np.unique(np.concatenate(list(reach.values())))
    lengths = lengths[lengths <= most]
    places = {}
    for end, reached in reach.items():
        place = np.searchsorted(reached, lengths, side="right") - 1
        places[end] = np.where(place >= 0, offsets[end[0]] + place, 0)
    return lengths, places


@dataclass(frozen=True)
class LagrangianBound:
    """A ceiling by Lagrange multipliers: no pattern within the bounds is worth more than `upper`.

    Attributes:
        taken: the most that the parts' prices take from a pattern.
        tables: the ceilings for values less the prices.
    """

    upper: float
    taken: float
    tables: Tables


class CompletionBounds:
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
        step = max(1, -(-self.length // SETTINGS.grid_cells))
        tables = Tables(listed, np.zeros(self.length // step + 1), step, 0.0)
        worth = spots.worth(ceilings)
        spend(6 * (CALL + CELL * spots.picks.size))
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
        """Return the most a board with a block of each pattern and length at its end can be worth.

        At the dog-eared end; a block that is worth nothing there only takes from the length that
        others have.
        """
        worth, lengths = ends.worth(ceilings), np.maximum(ends.lengths, self.ear)
        return np.where(worth > TINY, worth + tables.rest(self.length - lengths), -np.inf)

    def lagrangian(
        self, duals: Floats, bounds: Ints, enough: float, first: Tables
    ) -> LagrangianBound:
        """Return a ceiling for patterns with at most `bounds` of each part.

        Args:
            duals: of the parts (m,).
            bounds: (m,).
            enough: it is bettered no further once it is below this.
            first: the tables for these duals.
        """
        prices, most, tables = np.zeros(len(duals)), first.whole, first
        best, scale, stale = LagrangianBound(most, 0.0, first), 1.0, 0
        for _ in range(SETTINGS.price_steps):
            spend(CALL)
            excess = self._heaviest(tables, len(duals)) - bounds
            excess = np.where((excess > 0) | (prices > 0), excess, 0)
            square = float(excess @ excess)
            if best.upper < enough or not square or scale < SETTINGS.shortest_step:
                break
            step = scale * max(most - SETTINGS.step_aim * enough, 0.0) / square
            # every part keeps some value, so that nothing with it counts as empty
            prices = np.clip(prices + step * excess, 0.0, SETTINGS.most_price * duals)
            tables, taken = self.tables(duals - prices), float(prices @ bounds)
            most = tables.whole + taken
            stale = 0 if most < best.upper - TINY else stale + 1
            if most < best.upper:
                best = LagrangianBound(most, taken, tables)
            if stale >= SETTINGS.stale_steps:
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


class RipBound:
    """The ceiling of one board for what its strips are worth.

    upper: no pattern is worth more.
    """

    def __init__(
        self, listed: Mapping[int, ListedStrips], width: int, length: int, *, single: bool
    ) -> None:
        """Begin.

        Args:
            listed: strips by width, priced.
            width: of the board, with kerf.
            length: of it, with kerf.
            single: whether the board is one block.
        """
        step = -(-length // SETTINGS.length_cells)
        starts = np.arange(0, length + 1, step)
        ends = np.minimum(starts + step - 1, length)
        self._room = width
        self._worth = {w: np.maximum(s.ceiling_at(ends), 0.0) for w, s in listed.items()}
        blocks, _ = _side_by_side(self._worth, width)
        if single:
            self.upper = float(blocks[-1])
            self._looked_at = np.array([len(blocks) - 1])
            return
        shortest = min(int(s.steps[s.steps > 0].min(initial=length)) for s in listed.values())
        cell = max(1, -(-length // SETTINGS.grid_cells))
        tables = Tables({}, np.zeros(length // cell + 1), cell, 0.0)
        starts = np.maximum(starts, shortest)
        fill_grid(tables, starts, np.maximum.accumulate(blocks))
        self.upper = float(tables.grid[-1])
        rising = np.flatnonzero(np.diff(blocks, prepend=0.0) > 0)
        reach = blocks[rising] + tables.rest(length - starts[rising])
        self._looked_at = rising[np.argsort(-reach, kind="stable")[: SETTINGS.patterns_read_off]]

    def patterns(self) -> list[tuple[int, ...]]:
        """Strip widths side by side, widest first, of the blocks that reach highest."""
        worth = {w: value[self._looked_at] for w, value in self._worth.items()}
        best, steps = _side_by_side(worth, self._room, told=True)
        every, found = sorted(worth, reverse=True), dict[tuple[int, ...], None]()
        for number in range(len(best)):
            at, widths = -1, list[int]()
            for width, copies, cells, better in reversed(steps):
                if better[at, number]:
                    widths += [width] * copies
                    at -= cells
            found[_filled(widths, self._room, every)] = None
        return list(found)


Step = tuple[int, int, int, NDArray[np.bool_]]


def _side_by_side(
    worth: Mapping[int, Floats], room: int, *, told: bool = False
) -> tuple[Floats, list[Step]]:
    """The most that strips side by side are worth, for each length, and how it came about.

    worth: of one strip of each width, (n,). Of each step, where told: width, how many strips and
    cells it takes, and where (cells, n) that is better than without.
    """
    common = int(np.gcd.reduce(np.array(list(worth), dtype=np.int64)))
    cell = common * -(-room // (common * SETTINGS.width_cells))
    cells, steps = room // cell, list[Step]()
    best = np.zeros((cells + 1, len(next(iter(worth.values())))))
    for width, value in worth.items():
        used, copies = width // cell, 1
        if used == 0:  # too narrow for the grid: as many as there could be, on top
            best += (room // width) * value
            continue
        while copies * used <= cells:
            taken = copies * used
            tried = best[:-taken] + copies * value
            if told:
                better = np.zeros(best.shape, dtype=bool)
                better[taken:] = tried > best[taken:]
                steps.append((width, copies, taken, better))
            np.maximum(best[taken:], tried, out=best[taken:])
            copies *= 2
    return np.asarray(best[-1]), steps


def _filled(widths: Iterable[int], room: int, every: Iterable[int]) -> tuple[int, ...]:
    """The widths that really fit side by side, and what still fits beside them."""
    kept: list[int] = []
    for width in sorted(widths, reverse=True):
        if width <= room:
            kept.append(width)
            room -= width
    for width in every:
        kept += [width] * (room // width)
        room %= width
    return tuple(sorted(kept, reverse=True))
