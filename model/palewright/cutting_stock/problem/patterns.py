"""Ways to fill a board: counts of parts with the recipe that puts them there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from palewright.geometry.arrays import Floats, Ints


@dataclass(frozen=True)
class StripRecipe:
    """Parts (index, copies) crosscut from one strip; width with kerf.

    offset: across the board where it is fixed (in a clipped block), else None.
    """

    width: int
    parts: tuple[tuple[int, int], ...]
    offset: int | None = None


@dataclass(frozen=True)
class BlockRecipe:
    """Strips ripped side by side from one block.

    clipped: it holds the dog-eared end; length: with kerf, where it is more than the strips need.
    """

    strips: tuple[StripRecipe, ...]
    clipped: bool = False
    length: int = 0


Recipe = tuple[BlockRecipe, ...]


@dataclass(frozen=True)
class BoardPatterns:
    """Patterns of one kind of board: counts (n, m), values (n,), best first.

    upper: no pattern whatever is worth more; complete: no pattern above the threshold that
    was asked for is missing; recipe: how to saw pattern number i.
    """

    counts: Ints
    values: Floats
    upper: float
    complete: bool
    recipe: Callable[[int], Recipe] = field(repr=False)


class PricingProblem(Protocol):
    """What prices and enumerates the patterns of one kind of board."""

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
        """Return up to about `limit` of the most valuable patterns.

        Args:
            duals: of the parts (m,).
            threshold: worth at least this.
            limit: so many.
            enough: look no further down in value once there are so many.
            lean: only try the best strip of each length, which is quick and misses some.
            deadline: of `work_clock.now`; after it what there is is returned.
        """

    def all_above(
        self, duals: Floats, threshold: float, limit: int, *, deadline: float = np.inf
    ) -> BoardPatterns:
        """Return every pattern worth at least `threshold`.

        Args:
            duals: of the parts (m,).
            threshold: as value.
            limit: `complete` is False where there are more.
            deadline: of `work_clock.now`; `complete` is False after it.
        """

    def quick(self, worth: Floats, blocks: int) -> BoardPatterns:
        """One or a few good patterns for these values, found fast.

        blocks: so many of the best at least are looked at, where there are blocks.
        """

    def restricted(self, bounds: Ints) -> PricingProblem:
        """The same board with at most `bounds` (m,) of each part."""


class CountPacker:
    """Packs rows of counts into few integers that can be added and compared as they are.

    Every part has a field wide enough for twice its bound and one guard bit, so that the sum
    of two rows within the bounds never runs over into the next field.
    """

    def __init__(self, bounds: Ints) -> None:
        word, at = 0, 0
        allowed: list[int] = [0]
        guards: list[int] = [0]
        places: list[tuple[int, int, int]] = []
        for part in np.flatnonzero(bounds).tolist():  # the others are not there and need no field
            bound = int(bounds[part])
            wide = (2 * bound).bit_length() + 2
            if at + wide > WORD_BITS:
                word, at = word + 1, 0
                allowed.append(0)
                guards.append(0)
            guard = 1 << (wide - 1)
            allowed[word] += (guard - 1 - bound) << at
            guards[word] += guard << at
            places.append((part, word, at))
            at += wide
        self.words = word + 1
        self.worth = np.zeros((len(bounds), self.words), dtype=np.int64)
        for part, word, at in places:
            self.worth[part, word] = 1 << at
        self.offset = np.array(allowed, dtype=np.int64)
        self.guard = np.array(guards, dtype=np.int64)

    def pack(self, counts: Ints, parts: Ints | None = None) -> Ints:
        """Return rows (n, m) within the bounds as keys (n, words).

        parts: what the columns stand for, if not for all parts.
        """
        keys: Ints = counts @ (self.worth if parts is None else self.worth[parts])
        return keys

    def within(self, keys: Ints) -> NDArray[np.bool_]:
        """Whether each key (a sum of two) is within the bounds; shape (n,)."""
        good = ((keys[:, 0] + self.offset[0]) & self.guard[0]) == 0
        for word in range(1, self.words):
            good &= ((keys[:, word] + self.offset[word]) & self.guard[word]) == 0
        return np.asarray(good)


WORD_BITS = 62
"""Of a 64-bit integer, clear of its sign."""


def shortest_of_each(keys: Ints, lengths: Ints, ranks: Ints | None = None) -> Ints:
    """Row numbers: for each key (n, words) the row of least length, then of least rank."""
    if len(keys) < 2:  # as often as not
        return np.arange(len(keys))
    order = np.lexsort((*(() if ranks is None else (ranks,)), lengths, *keys.T))
    first = np.ones(len(order), dtype=bool)
    ranked = keys[order]
    first[1:] = (ranked[1:] != ranked[:-1]).any(axis=1)
    return np.asarray(np.sort(order[first]), dtype=np.int64)
