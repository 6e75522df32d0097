"""All strips of one width: every row of parts that a board's length can hold.

A strip's length is exact, shared mitre cuts included. Where there are too many strips to list
(short parts of many lengths), `StripShelf` keeps the best strip for each length instead, worked
out anew for each set of values by dynamic programming (P. C. Gilmore, R. E. Gomory, "Multistage
cutting stock problems of two and more dimensions", Operations Research 13 (1965) 94-120;
cited from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from palewright.cutting_stock.problem.search_settings import SETTINGS
from palewright.cutting_stock.problem.shared_mitres import MitreEnds, row_savings
from palewright.geometry.arrays import Floats, Ints


@dataclass(frozen=True)
class ListedStrips:
    """Strips in order of length, the empty one first.

    counts: (n, k) copies of the class's k parts; lengths: (n,) with kerf; values: (n,) for the
    duals they were listed for; steps, ceiling: no strip shorter than steps[j + 1] is worth
    more than ceiling[j].
    """

    counts: Ints
    lengths: Ints
    values: Floats
    steps: Ints
    ceiling: Floats

    def ceiling_at(self, lengths: Ints) -> Floats:
        """The most that any strip of each length can be worth; -inf below length 0."""
        place = np.searchsorted(self.steps, lengths, side="right") - 1
        found = self.ceiling[np.maximum(place, 0)]
        return np.where(place >= 0, found, -np.inf)

    def best_at_steps(self) -> Ints:
        """The number of the most valuable strip listed up to each of the steps."""
        new = np.diff(np.maximum.accumulate(self.values), prepend=-1.0) > 0
        record = np.maximum.accumulate(np.where(new, np.arange(len(new)), 0))
        place = np.searchsorted(self.lengths, self.steps, side="right") - 1
        return np.asarray(record[place])


class StripShelf:
    """The strips of one width. items: the part indices, widths all equal; lengths with kerf."""

    def __init__(
        self,
        items: Ints,
        lengths: Ints,
        bounds: Ints,
        ends: Sequence[MitreEnds],
        board_length: int,
    ) -> None:
        self.items = items
        self.part_lengths = lengths
        self.ends = ends
        self.board_length = board_length
        halves = np.array([sum(end.savings) / 2 for end in ends])
        self.least = np.maximum(1, np.floor(lengths - halves)).astype(np.int64)
        reach = board_length + int(max((s for e in ends for s in e.savings), default=0))
        self.reach = reach
        self.bounds = np.minimum(bounds, reach // self.least)
        self._exact: dict[bytes, int] = {}
        listed = self._list_all()
        self.complete = listed is not None
        if listed is not None:
            self.counts, self.lengths = listed

    def restricted(self, bounds: Ints) -> StripShelf:
        """The same strips with at most `bounds` (all parts, (m,)) of each part."""
        less = copy(self)
        less.bounds = np.minimum(self.bounds, bounds[self.items])
        if self.complete and (less.bounds < self.bounds).any():
            keep = np.all(self.counts <= less.bounds, axis=1)
            less.counts, less.lengths = self.counts[keep], self.lengths[keep]
        return less

    def _list_all(self) -> tuple[Ints, Ints] | None:
        """Counts and lengths of every strip, or None where there are too many."""
        counts = np.zeros((1, len(self.items)), dtype=np.int64)
        used = np.zeros(1, dtype=np.int64)
        for i in np.argsort(-self.least):
            grown, lengths = [counts], [used]
            for copies in range(1, int(self.bounds[i]) + 1):
                fits = used + copies * self.least[i] <= self.reach
                if not fits.any():
                    break
                more = counts[fits].copy()
                more[:, i] = copies
                grown.append(more)
                lengths.append(used[fits] + copies * self.least[i])
            counts, used = np.concatenate(grown), np.concatenate(lengths)
            if len(counts) > SETTINGS.most_strips:
                return None
        return self._sorted(counts)

    def _sorted(self, counts: Ints) -> tuple[Ints, Ints]:
        lengths = self.exact_lengths(counts)
        keep = np.flatnonzero(lengths <= self.board_length)
        keep = keep[np.argsort(lengths[keep], kind="stable")]
        return counts[keep], lengths[keep]

    def exact_length(self, counts: Ints) -> int:
        """The same of one row (k,), each worked out once."""
        key = counts.tobytes()
        if key not in self._exact:
            self._exact[key] = int(self.exact_lengths(counts[None])[0])
        return self._exact[key]

    def exact_lengths(self, counts: Ints) -> Ints:
        """Length with kerf of each row of parts, shared cuts taken off."""
        return np.asarray(counts @ self.part_lengths - row_savings(counts, self.ends))

    def priced(self, duals: Floats) -> ListedStrips:
        """The strips with their values for duals of shape (m,)."""
        values = duals[self.items]
        if self.complete:
            worth = self.counts @ values
            rising = np.maximum.accumulate(worth)
            return ListedStrips(self.counts, self.lengths, worth, self.lengths, rising)
        return self._shelved(values)

    def _shelved(self, values: Floats) -> ListedStrips:
        """The best strip for each length: exact in value on a grid that rounds lengths down."""
        step = max(1, -(-self.reach // SETTINGS.strip_cells))
        best = np.zeros(self.reach // step + 1)
        passes: list[tuple[int, int, int, NDArray[np.bool_]]] = []
        for i in np.flatnonzero(values > 0).tolist():
            for copies in _binary_copies(int(self.bounds[i])):
                used = copies * int(self.least[i]) // step
                if not 0 < used < len(best):
                    continue
                better = np.zeros(len(best), dtype=bool)
                tried = best[: len(best) - used] + copies * values[i]
                better[used:] = tried > best[used:] + 1e-12
                best[used:] = np.maximum(best[used:], tried)
                passes.append((i, copies, used, better))
        return self._from_table(best, passes, step, values)

    def _from_table(
        self,
        best: Floats,
        passes: list[tuple[int, int, int, NDArray[np.bool_]]],
        step: int,
        values: Floats,
    ) -> ListedStrips:
        """The strips at a sample of the lengths where the best value rises."""
        rising = np.maximum.accumulate(best)
        steps = np.flatnonzero(np.diff(rising, prepend=-1.0) > 0)
        place = steps[
            np.unique(np.linspace(0, len(steps) - 1, SETTINGS.strips_shown).astype(np.int64))
        ]
        shown = np.zeros((len(place), len(self.items)), dtype=np.int64)
        for i, copies, used, better in reversed(passes):
            taken = better[place]
            shown[taken, i] += copies
            place = np.where(taken, place - used, place)
        counts, lengths = self._sorted(self._trimmed(shown, values))
        worth = counts @ values
        return ListedStrips(counts, lengths, worth, steps * step, rising[steps])

    def _trimmed(self, counts: Ints, values: Floats) -> Ints:
        """The same strips with the least worth parts taken off until they really fit."""
        counts = counts.copy()
        ratio = values / self.part_lengths
        for number in np.flatnonzero(self.exact_lengths(counts) > self.board_length):
            row = counts[number]
            while row.any() and self.exact_lengths(row[None])[0] > self.board_length:
                held = np.flatnonzero(row)
                row[held[np.argmin(ratio[held])]] -= 1
        zero = np.zeros((1, counts.shape[1]), dtype=np.int64)
        single = np.eye(counts.shape[1], dtype=np.int64)[self.bounds > 0]
        return np.asarray(np.unique(np.concatenate([zero, single, counts]), axis=0))


def _binary_copies(bound: int) -> list[int]:
    """Numbers whose sums are all of 0 to `bound`: 1, 2, 4, … and what is left."""
    copies, power = [], 1
    while bound > 0:
        copies.append(min(power, bound))
        bound -= power
        power *= 2
    return copies
