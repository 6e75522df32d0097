"""The most that a block of each rip pattern can be worth, at every length where that rises.

Which lengths those are, and which strip serves a slot there, does not depend on what parts are
worth where all strips are listed: it is worked out once, and pricing only looks values up.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from palewright.cutting.rips import RipPattern

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


class BlockSpots:
    """Block lengths at which the ceiling of each rip pattern rises.

    lengths: (p,) with kerf, by pattern and rising; pattern: (p,) the pattern's number.
    """

    def __init__(
        self, patterns: Sequence[RipPattern], steps: Mapping[int, Ints], most: int
    ) -> None:
        """steps: for each width the strip lengths at which its ceiling rises, the first 0;
        most: the longest block."""
        self.number = len(patterns)
        offsets, at = {}, 1
        for width, lengths in steps.items():
            offsets[width], at = at, at + len(lengths)
        slots = max((len(pattern.widths) for pattern in patterns), default=0)
        found = [_spots_of(pattern, steps, offsets, most, slots) for pattern in patterns]
        self.lengths: Ints = np.concatenate([np.zeros(0, np.int64), *(one[0] for one in found)])
        picks = [np.zeros((slots, 0), np.int64), *(one[1] for one in found)]
        self.picks: Ints = np.concatenate(picks, axis=1)
        sizes = [len(one[0]) for one in found]
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
        """The strip (n, slots) of each slot at some spots; choices: for each width, in the
        order of the steps, the strip chosen there."""
        flat = np.concatenate([np.zeros(1, np.int64), *choices])
        return np.asarray(flat[self.picks[:, spots]].T)

    def most(self, values: Floats) -> Floats:
        """The greatest of the values (p,) for each pattern; -inf where it has no spot."""
        best = np.full(self.number, -np.inf)
        np.maximum.at(best, self.pattern, values)
        return best


def _spots_of(
    pattern: RipPattern,
    steps: Mapping[int, Ints],
    offsets: Mapping[int, int],
    most: int,
    slots: int,
) -> tuple[Ints, Ints]:
    """Lengths of one pattern's spots, and for each slot the place of its strip's ceiling; a
    strip that would not reach past the dog-eared corner has place 0."""
    ends = [steps[w] + loss for w, loss in zip(pattern.widths, pattern.losses, strict=True)]
    lengths = np.unique(np.concatenate(ends))
    lengths = lengths[lengths <= most]
    picks = np.zeros((slots, len(lengths)), dtype=np.int64)
    for slot, (width, reach) in enumerate(zip(pattern.widths, ends, strict=True)):
        place = np.searchsorted(reach, lengths, side="right") - 1
        picks[slot] = np.where(place >= 0, offsets[width] + place, 0)
    return lengths, picks
