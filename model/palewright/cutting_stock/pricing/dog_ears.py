"""Blocks at the dog-eared end of a board: how long one is at the least, and how its strips lie.

A strip loses the more length the nearer it lies to an edge. Shortest is the block whose longest
strip lies deepest and whose others get shorter towards both edges: beside the longest, a strip on
its left only ever meets the left corner, and of those the longer has to lie deeper (the rule of
the earliest due date, common knowledge in scheduling). So each strip but the longest goes left
or right, and the width that is spare is shared out so that both sides need the same length.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from palewright.cutting_stock.pricing.label_extension import Blocks
from palewright.cutting_stock.pricing.rip_patterns import RipPattern
from palewright.cutting_stock.pricing.strip_knapsack import ListedStrips, StripShelf
from palewright.cutting_stock.problem.integer_units import IntegerStock
from palewright.geometry.arrays import Floats, Ints


@dataclass(frozen=True)
class DogEaredEnd:
    """The dog-eared end of a board, units with kerf.

    Attributes:
        width: of the board.
        clipped: what a corner takes along the grain.
        depth: how far it reaches across.
    """

    width: int
    clipped: int
    depth: int

    def lengths(self, widths: Ints, strips: Ints) -> Ints:
        """Return the least length (n,) of blocks of strips of these widths and lengths (n, k).

        A strip of length 0 is not there.
        """
        return self._losing(widths, strips, self.offsets(widths, strips))

    def offsets(self, widths: Ints, strips: Ints) -> Ints:
        """Where each strip begins across the board (n, k), so that the block is shortest."""
        order = np.argsort(-strips, axis=1, kind="stable")
        long = np.take_along_axis(strips, order, 1)
        wide = np.where(long > 0, np.take_along_axis(widths, order, 1), 0)
        best = np.full(len(strips), np.iinfo(np.int64).max)
        found = np.zeros_like(long)
        for sides in range(2 ** max(0, long.shape[1] - 2)):
            tops, spare = self._needed(wide, long, sides)
            # both sides need the same where the spare width is shared so; or all on one side
            share = ((tops[0] - tops[1]) * self.depth / self.clipped + spare) / 2
            for whole in (np.floor(share), np.ceil(share)):
                first = np.clip(whole, 0, spare).astype(np.int64)
                laid = self._laid(wide, sides, first)
                length = self._losing(wide, long, laid)
                found = np.where((length < best)[:, None], laid, found)
                best = np.minimum(length, best)
        laid = np.zeros_like(found)
        np.put_along_axis(laid, order, found, 1)
        return laid

    def offsets_of(
        self, pattern: RipPattern, rows: Sequence[Ints], shelves: Mapping[int, StripShelf]
    ) -> list[int | None]:
        """Where the strips of one block begin across the board; rows: what each holds, (k,)."""
        pairs = zip(pattern.widths, rows, strict=True)
        lengths = [shelves[width].exact_length(row) for width, row in pairs]
        return list(_offsets(self, tuple(pattern.widths), tuple(lengths)))

    def _needed(self, wide: Ints, long: Ints, sides: int) -> tuple[tuple[Floats, Floats], Ints]:
        """What each side needs with no spare width before it, and the spare width."""
        slope = self.clipped / self.depth
        depths = [np.zeros(len(long)), np.zeros(len(long))]
        tops = [np.full(len(long), -np.inf), np.full(len(long), -np.inf)]
        for place in range(long.shape[1] - 1, 0, -1):
            side = _side(sides, place)
            need = np.where(long[:, place] > 0, long[:, place] - slope * depths[side], -np.inf)
            tops[side] = np.maximum(tops[side], need)
            depths[side] += wide[:, place]
        left, right = (
            np.maximum(top, long[:, 0] - slope * depth)
            for top, depth in zip(tops, depths, strict=True)
        )
        return (left, right), self.width - wide.sum(axis=1)

    def _laid(self, wide: Ints, sides: int, first: Ints) -> Ints:
        """Offsets where the left strips begin at `first` and the others follow at once."""
        laid = np.zeros_like(wide)
        low, high = first.copy(), first + wide.sum(axis=1)
        for place in range(wide.shape[1] - 1, 0, -1):
            if _side(sides, place):
                high = high - wide[:, place]
                laid[:, place] = high
            else:
                laid[:, place] = low
                low = low + wide[:, place]
        laid[:, 0] = low
        return laid

    def _losing(self, widths: Ints, strips: Ints, laid: Ints) -> Ints:
        """The length of blocks whose strips lie so, what the corners take included."""
        near = np.minimum(laid, self.width - laid - widths)
        loss = -(-self.clipped * (self.depth - np.clip(near, 0, self.depth)) // self.depth)
        return np.asarray(np.where(strips > 0, strips + loss, 0).max(axis=1, initial=0))


@lru_cache(maxsize=4096)  # batches of the same boxes ask the same again and again
def _offsets(end: DogEaredEnd, widths: tuple[int, ...], strips: tuple[int, ...]) -> tuple[int, ...]:
    """Where the strips of one block begin across the board."""
    (laid,) = end.offsets(np.array([widths]), np.array([strips]))
    return tuple(int(offset) for offset in laid)


def dog_eared_end(board: IntegerStock) -> DogEaredEnd | None:
    """The dog-eared end of a kind of board, or None where its ends are square."""
    if not board.clipped:
        return None
    return DogEaredEnd(board.width, board.clipped, board.clip_depth)


def dog_eared_lengths(
    end: DogEaredEnd,
    patterns: Sequence[RipPattern],
    blocks: Blocks,
    listed: Mapping[int, ListedStrips],
) -> Ints:
    """Return what blocks need at the dog-eared end at the least, (n,).

    Args:
        end: of the board.
        patterns: rip patterns of the blocks.
        blocks: n of them.
        listed: strips by width, priced.
    """
    wide = np.zeros((len(patterns), blocks.strips.shape[1]), dtype=np.int64)
    for number in set(blocks.pattern.tolist()):
        wide[number, : len(patterns[number].widths)] = patterns[number].widths
    widths, strips = wide[blocks.pattern], np.zeros_like(blocks.strips)
    for width, shelf in listed.items():
        here = widths == width
        strips[here] = shelf.lengths[blocks.strips[here]]
    return end.lengths(widths, strips)


def _side(sides: int, place: int) -> int:
    """0 where the strip at this place goes left, 1 where it goes right; the second goes left."""
    return (sides >> (place - 2)) & 1 if place > 1 else 0
