"""Label extension with dominance: blocks grow from strips, boards from blocks.

A label is a partial block or board; the completion bound is the most that is still to come.

Partial patterns that cannot reach the goal are dropped, and of those with equal parts only the
shortest is kept, so that what is left is every pattern worth the goal (or the best of them
where a limit is set).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple, Protocol

import numpy as np

from palewright.cutting_stock.pricing.rip_patterns import RipPattern
from palewright.cutting_stock.pricing.strip_knapsack import ListedStrips, StripShelf
from palewright.cutting_stock.problem.float_noise import TINY
from palewright.cutting_stock.problem.patterns import CountPacker, shortest_of_each
from palewright.cutting_stock.problem.search_settings import SETTINGS
from palewright.cutting_stock.problem.work_clock import CALL, CELL, ROW, now, spend
from palewright.geometry.arrays import Floats, Ints

CHUNK = 1_000_000
"""Labels times candidates worked out in one array: some 50 MB at the peak."""


class BoardLike(Protocol):
    """What growing needs to know of a board."""

    shelves: dict[int, StripShelf]
    bounds: Ints
    packer: CountPacker
    length: int
    plain_length: int
    single_block: bool


class TooMany(Exception):
    """More partial patterns than were allowed."""


@dataclass
class Tables:
    """Ceilings for one set of duals.

    grid[c]: the most that c * step length can hold; worth: what the plain and the end blocks of a
    listing are worth.
    """

    listed: dict[int, ListedStrips]
    grid: Floats
    step: int
    whole: float
    reach: Floats = field(default_factory=lambda: np.zeros(0))
    end_reach: Floats = field(default_factory=lambda: np.zeros(0))
    spot_reach: tuple[Floats, Floats] = field(default_factory=lambda: (np.zeros(0), np.zeros(0)))
    spot_worth: Floats = field(default_factory=lambda: np.zeros(0))
    worth: tuple[Floats, Floats] = field(default_factory=lambda: (np.zeros(0), np.zeros(0)))

    def rest(self, lengths: Ints) -> Floats:
        """Ceiling of what unclipped length is left; -inf below 0."""
        found = self.grid[np.maximum(lengths, 0) // self.step]
        return np.where(lengths >= 0, found, -np.inf)


@dataclass(frozen=True)
class Goal:
    """What a pattern must be worth and how many partial ones are kept.

    With a deadline, more than that or later than that is an error; later than `late` always is.
    lean: only the best strip of each length.
    """

    value: float
    limit: int
    deadline: float | None
    lean: bool
    late: float = np.inf

    def overflow(self) -> bool:
        """Called where some are dropped: whether the list is still complete (it is not)."""
        if self.deadline is not None:
            raise TooMany
        return False

    def check(self, number: int) -> None:
        """Stops early where a strict list grows too long, or time is over."""
        if self.late < np.inf and now() > self.late:
            raise TooMany
        if self.deadline is None:
            return
        if number > 8 * self.limit or now() > self.deadline:
            raise TooMany


@dataclass
class Blocks:
    """Blocks found: counts (n, m), lengths, values (n,), and what they are made of."""

    counts: Ints
    lengths: Ints
    values: Floats
    pattern: Ints
    strips: Ints
    complete: bool


class _Grown(NamedTuple):
    """Partial blocks: strips picked, places of their lengths, values, packed counts."""

    picks: Ints
    places: Ints
    values: Floats
    keys: Ints


class BlockLabels:
    """Labels of blocks of one rip pattern, extended strip by strip under the completion bound."""

    def __init__(
        self,
        board: BoardLike,
        pattern: RipPattern,
        listed: Sequence[ListedStrips],
        spots: Ints,
        ceilings: Sequence[Floats],
        rest: Floats,
        goal: Goal,
    ) -> None:
        self.board, self.pattern, self.listed = board, pattern, listed
        self.spots, self.ceilings, self.rest = spots, ceilings, rest
        self.goal = goal
        self.complete = True

    def _beyond(self, slots: Sequence[int]) -> Floats:
        """The most that these slots and the rest of the board add, for blocks no shorter."""
        total = self.rest + sum((self.ceilings[slot] for slot in slots), np.zeros(len(self.spots)))
        return np.asarray(np.maximum.accumulate(total[::-1])[::-1])

    def _candidates(self, slot: int) -> tuple[Ints, Ints]:
        """Strips worth trying in a slot: numbers and the places of their lengths in `spots`."""
        strips, loss = self.listed[slot], self.pattern.losses[slot]
        reach = strips.lengths + loss
        if loss:
            reach = np.where(strips.lengths > 0, reach, 0)
        fits = np.flatnonzero(reach <= self.spots[-1])
        places = np.searchsorted(self.spots, reach[fits])
        others = self._beyond([s for s in range(len(self.listed)) if s != slot])
        good = strips.values[fits] + others[places] >= self.goal.value
        if self.goal.lean:
            best = np.maximum.accumulate(strips.values)
            good &= np.diff(best, prepend=-1.0)[fits] > TINY
            self.complete = False
            if good.sum() > SETTINGS.lean_strips:
                reach = np.where(good, strips.values[fits] + others[places], -np.inf)
                good[np.argpartition(-reach, SETTINGS.lean_strips)[SETTINGS.lean_strips :]] = False
        return fits[good], places[good]

    def blocks(self, number: int, most: int) -> Blocks:
        """All blocks of the pattern that reach the goal."""
        numbers, places = self._candidates(0)
        grown = _Grown(
            numbers[:, None], places, self.listed[0].values[numbers], self._keys(0, numbers)
        )
        for slot in range(1, len(self.listed)):
            beyond = self._beyond(range(slot + 1, len(self.listed)))
            grown = self._extended(slot, grown, beyond)
        strips = np.full((len(grown.picks), most), -1, dtype=np.int64)
        strips[:, : grown.picks.shape[1]] = grown.picks
        pattern = np.full(len(grown.picks), number, dtype=np.int64)
        lengths, counts = self.spots[grown.places], self._counts(grown.picks)
        return Blocks(counts, lengths, grown.values, pattern, strips, self.complete)

    def _keys(self, slot: int, numbers: Ints) -> Ints:
        """Packed counts of strips of a slot."""
        width = self.pattern.widths[slot]
        items = self.board.shelves[width].items
        return self.board.packer.pack(self.listed[slot].counts[numbers], items)

    def _extended(self, slot: int, grown: _Grown, beyond: Floats) -> _Grown:
        """Each strip of the slot beside each partial block, where parts and ceiling allow it."""
        numbers, spots = self._candidates(slot)
        worth, keys = self.listed[slot].values[numbers], self._keys(slot, numbers)
        alike = self.pattern.widths[slot] == self.pattern.widths[slot - 1]
        found: list[tuple[Ints, Ints, Ints]] = [(np.zeros(0, np.int64),) * 3]
        chunk = max(1, CHUNK // max(1, len(numbers)))
        for start in range(0, len(grown.picks), chunk):
            block = slice(start, start + chunk)
            place = np.maximum(grown.places[block, None], spots[None])
            spend(CELL * place.size)
            good = grown.values[block, None] + worth[None] + beyond[place] >= self.goal.value
            if self.pattern.is_twin(slot):
                good &= numbers[None] <= grown.picks[block, -1, None]
            old, new = np.nonzero(good)
            if alike:
                within = self.board.packer.within(grown.keys[old + start] + keys[new])
                old, new = old[within], new[within]
            found.append((old + start, new, place[old, new]))
            self.goal.check(sum(len(part[0]) for part in found))
        old, new, place = (np.concatenate(part) for part in zip(*found, strict=True))
        value = grown.values[old] + worth[new]
        most = 4 * self.goal.limit
        if len(old) > most:
            self.complete = self.goal.overflow()
            keep = np.argpartition(-(value + beyond[place]), most)[:most]
            old, new, place, value = old[keep], new[keep], place[keep], value[keep]
        picks = np.column_stack([grown.picks[old], numbers[new]])
        spend(CALL / 3 + ROW * len(old))
        return _Grown(picks, place, value, grown.keys[old] + keys[new])

    def _counts(self, picks: Ints) -> Ints:
        counts = np.zeros((len(picks), len(self.board.bounds)), dtype=np.int64)
        for slot, width in enumerate(self.pattern.widths):
            items = self.board.shelves[width].items
            counts[:, items] += self.listed[slot].counts[picks[:, slot]]
        return counts


def block_labels(
    board: BoardLike, tables: Tables, pattern: RipPattern, goal: Goal, length: int
) -> BlockLabels | None:
    """Return what grows the blocks of a pattern; None where no strip is so short.

    Args:
        board: whose strips they are.
        tables: ceilings.
        pattern: rip pattern.
        goal: what a board must be worth.
        length: of the longest block, with kerf.
    """
    ends = [
        (tables.listed[w], loss) for w, loss in zip(pattern.widths, pattern.losses, strict=True)
    ]
    spots = np.unique(np.concatenate([strips.lengths + loss for strips, loss in ends]))
    spots = spots[spots <= length]
    if not len(spots):
        return None
    ceilings = [np.maximum(strips.ceiling_at(spots - loss), 0.0) for strips, loss in ends]
    rest = tables.rest(board.length - spots)
    listed = [strips for strips, _ in ends]
    return BlockLabels(board, pattern, listed, spots, ceilings, rest, goal)


class _Partial(NamedTuple):
    """Partial boards: packed counts, length left, values, blocks picked (first the clipped)."""

    keys: Ints
    rest: Ints
    values: Floats
    picks: Ints


class BoardLabels:
    """Labels of boards, extended block by block under the completion bound."""

    def __init__(
        self,
        board: BoardLike,
        tables: Tables,
        plain: Blocks,
        ends: Blocks,
        goal: Goal,
    ) -> None:
        self.board, self.tables, self.plain, self.ends = board, tables, plain, ends
        self.block_keys = board.packer.pack(plain.counts)
        self.numbers = np.arange(len(plain.values))[None]
        below = np.full(len(tables.grid) + 1, -np.inf)
        self.padded = np.concatenate([below, tables.grid])  # negative lengths have places too
        self.goal = goal
        self.complete = True

    def grow(self) -> tuple[Ints, Ints, bool]:
        """Counts (n, m), picks (n, k) of blocks (first the clipped one), complete."""
        state = self._start()
        done = [state]
        while len(state.rest) and not (self.board.single_block and len(done) > 1):
            state = self._step(state)
            done.append(state)
        spend(2 * CALL)
        worthy = [self._worthy(part) for part in done]
        most = max(part.picks.shape[1] for part in done)
        picks = np.full((sum(len(part.rest) for part in worthy), most), -1, dtype=np.int64)
        at = 0
        for part in worthy:
            picks[at : at + len(part.rest), : part.picks.shape[1]] = part.picks
            at += len(part.rest)
        rest = np.concatenate([part.rest for part in worthy])
        keep = shortest_of_each(np.concatenate([part.keys for part in worthy]), -rest)
        return self._counts(picks[keep]), picks[keep], self.complete

    def _worthy(self, state: _Partial) -> _Partial:
        """Those that reach the goal as they are."""
        good = state.values >= self.goal.value
        return _Partial(state.keys[good], state.rest[good], state.values[good], state.picks[good])

    def _counts(self, picks: Ints) -> Ints:
        counts = np.zeros((len(picks), len(self.board.bounds)), dtype=np.int64)
        for place in range(picks.shape[1]):
            source = self.plain if place else self.ends
            here = picks[:, place] >= 0
            counts[here] += source.counts[picks[here, place]]
        return counts

    def _start(self) -> _Partial:
        """The bare board, and boards with only their clipped block."""
        ends, board = self.ends, self.board
        reach = ends.values + self.tables.rest(board.length - ends.lengths)
        good = np.flatnonzero(reach >= self.goal.value)
        bare = np.zeros((1, board.packer.words), dtype=np.int64)
        keys = np.concatenate([bare, board.packer.pack(ends.counts[good])])
        rest = np.concatenate([[board.plain_length], board.length - ends.lengths[good]])
        values = np.concatenate([[0.0], ends.values[good]])
        picks = np.concatenate([[-1], good])[:, None]
        if board.single_block:
            rest[1:] = -1
        return _Partial(keys, rest, values, picks)

    def _step(self, state: _Partial) -> _Partial:
        """One more block on every partial board, where that can still reach the goal.

        Blocks are added in the order of their numbers, so that no board comes twice.
        """
        blocks, most = self.plain, SETTINGS.board_fan * self.goal.limit
        last = state.picks[:, -1] if state.picks.shape[1] > 1 else None
        found: list[tuple[Ints, Ints, Floats]] = []
        chunk = max(1, CHUNK // max(1, len(blocks.values)))
        for start in range(0, len(state.rest), chunk):
            part = slice(start, start + chunk)
            cells = state.rest[part, None] - blocks.lengths[None]
            cells //= self.tables.step
            cells += len(self.tables.grid) + 1
            reach = state.values[part, None] + blocks.values[None]
            reach += self.padded.take(cells)
            spend(CALL / 3 + CELL * cells.size)
            good = reach >= self.goal.value
            if last is not None:
                good &= last[part, None] <= self.numbers
            (found_at,) = good.ravel().nonzero()
            old, new = np.divmod(found_at, len(blocks.values))
            worth = reach.ravel()[found_at]
            fits = self.board.packer.within(state.keys[old + start] + self.block_keys[new])
            found.append((old[fits] + start, new[fits], worth[fits]))
            self.goal.check(sum(len(part[0]) for part in found))
        old, new, reach = found[0]
        if len(found) > 1:
            old, new, reach = (np.concatenate(part) for part in zip(*found, strict=True))
        if len(old) > most:
            self.complete = self.goal.overflow()
            keep = np.argpartition(-reach, most)[:most]
            old, new = old[keep], new[keep]
        return self._kept(
            _Partial(
                state.keys[old] + self.block_keys[new],
                state.rest[old] - blocks.lengths[new],
                state.values[old] + blocks.values[new],
                np.concatenate((state.picks[old], new[:, None]), axis=1),
            )
        )

    def _kept(self, state: _Partial) -> _Partial:
        """The longest rest for equal contents, and no more of them than the limit.

        Of equally long ones the one whose last block has the least number is kept: whatever
        else could have been added to the others, in order, can be added to it too.
        """
        keep = shortest_of_each(state.keys, -state.rest, state.picks[:, -1])
        spend(CALL / 3 + ROW * len(state.rest))
        limit = self.goal.limit
        if len(keep) > limit:
            self.complete = self.goal.overflow()
            reach = state.values[keep] + self.tables.rest(state.rest[keep])
            keep = keep[np.argpartition(-reach, limit)[:limit]]
        return _Partial(state.keys[keep], state.rest[keep], state.values[keep], state.picks[keep])


def no_blocks(size: int, most: int) -> Blocks:
    """No block at all, of so many parts and strips."""
    none = np.zeros(0, dtype=np.int64)
    return Blocks(
        np.zeros((0, size), dtype=np.int64),
        none,
        np.zeros(0),
        none,
        np.zeros((0, most), dtype=np.int64),
        True,
    )


def joined_blocks(parts: Sequence[Blocks]) -> Blocks:
    """Some lists of blocks as one."""
    return Blocks(
        np.concatenate([part.counts for part in parts]),
        np.concatenate([part.lengths for part in parts]),
        np.concatenate([part.values for part in parts]),
        np.concatenate([part.pattern for part in parts]),
        np.concatenate([part.strips for part in parts]),
        all(part.complete for part in parts),
    )


def picked_blocks(blocks: Blocks, keep: Ints) -> Blocks:
    """The blocks at some places of a list."""
    return Blocks(
        blocks.counts[keep],
        blocks.lengths[keep],
        blocks.values[keep],
        blocks.pattern[keep],
        blocks.strips[keep],
        blocks.complete,
    )
