"""Blocks found at once: for each rip pattern and block length the best strip in every slot.

That is what pricing needs most of the time. Where two slots of one width would take more of a
part than is wanted, the later one takes the best strip that leaves enough.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from palewright.cutting_stock.pricing.completion_bounds import BlockSpots
from palewright.cutting_stock.pricing.label_extension import Blocks, no_blocks
from palewright.cutting_stock.pricing.rip_patterns import RipPattern
from palewright.cutting_stock.pricing.strip_knapsack import ListedStrips, StripShelf
from palewright.cutting_stock.problem.float_noise import TINY
from palewright.cutting_stock.problem.search_settings import SETTINGS
from palewright.cutting_stock.problem.work_clock import CALL, CELL, ROW, spend
from palewright.geometry.arrays import Ints

_CACHED = 1 << 16
"""Numbers in one array: half a megabyte, which a processor holds near by."""


def best_blocks(
    patterns: Sequence[RipPattern],
    spots: BlockSpots,
    chosen: Ints,
    listed: Mapping[int, ListedStrips],
    shelves: Mapping[int, StripShelf],
    bounds: Ints,
) -> Blocks:
    """Return the best block at each of some spots.

    Args:
        patterns: rip patterns.
        spots: lengths at which a block's completion bound rises.
        chosen: numbers of spots.
        listed: strips by width, priced.
        shelves: strips by width.
        bounds: (m,) of each part at most.
    """
    most = max((len(pattern.widths) for pattern in patterns), default=1)
    if not len(chosen):
        return no_blocks(len(bounds), most)
    strips = spots.slots([one.best_at_steps() for one in listed.values()], chosen)
    numbers, lengths = spots.pattern[chosen], np.zeros(len(chosen), dtype=np.int64)
    counts = np.zeros((len(chosen), len(bounds)), dtype=np.int64)
    values = np.zeros(len(chosen))
    for slot, width, loss, rows in _alike(patterns, numbers):
        spend(CALL / 2 + ROW * len(rows))
        strip, items = listed[width], shelves[width].items
        within = bounds[items] - counts[np.ix_(rows, items)]
        picks = _within(strip, strips[rows, slot], within, spots.lengths[chosen[rows]] - loss)
        strips[rows, slot] = picks
        counts[np.ix_(rows, items)] += strip.counts[picks]
        values[rows] += strip.values[picks]
        ends = np.where(picks > 0, strip.lengths[picks] + loss, 0)
        lengths[rows] = np.maximum(lengths[rows], ends)
    found = np.full((len(chosen), most), -1, dtype=np.int64)
    found[:, : strips.shape[1]] = strips
    return Blocks(counts, lengths, values, numbers, found, False)


def _alike(patterns: Sequence[RipPattern], numbers: Ints) -> Iterator[tuple[int, int, int, Ints]]:
    """Slot by slot, each width and loss there with the rows of the patterns that have these."""
    present, place = np.unique(numbers, return_inverse=True)
    some = [patterns[number] for number in present.tolist()]
    for slot in range(max(len(pattern.widths) for pattern in some)):
        ends: dict[tuple[int, int], int] = {}
        which = np.full(len(some), -1)
        for i, pattern in enumerate(some):
            if slot < len(pattern.widths):
                end = (pattern.widths[slot], pattern.losses[slot])
                which[i] = ends.setdefault(end, len(ends))
        kinds = which[place]
        for (width, loss), i in ends.items():
            yield slot, width, loss, np.flatnonzero(kinds == i)


def _within(strip: ListedStrips, picks: Ints, left: Ints, room: Ints) -> Ints:
    """The strips picked, or, where fewer parts (n, k) are left, the best that needs no more."""
    over = np.flatnonzero(np.any(strip.counts[picks] > left, axis=1))
    if not len(over):
        return picks
    picks, few = picks.copy(), _likely(strip)
    counts, lengths, values = strip.counts[few], strip.lengths[few], strip.values[few]
    wanted = np.column_stack([left[over], room[over]])  # few are alike: looking costs more
    spend(len(over) * (CALL / 8 + CELL * counts.size))
    chunk = max(1, _CACHED // len(few))
    for start in range(0, len(over), chunk):
        some = wanted[start : start + chunk].T[..., None]
        fits = lengths <= some[-1]
        for column, most in zip(counts.T, some, strict=False):  # by part: few parts, many strips
            fits &= column <= most
        picks[over[start : start + chunk]] = few[np.where(fits, values, -1.0).argmax(axis=1)]
    return picks


def _likely(strip: ListedStrips) -> Ints:
    """The empty strip and a number of others, those next to the best of their length."""
    if len(strip.values) <= SETTINGS.near_best_strips:
        return np.arange(len(strip.values))
    best = np.maximum(np.maximum.accumulate(strip.values), TINY)
    near = np.argpartition(-strip.values / best, SETTINGS.near_best_strips)[
        : SETTINGS.near_best_strips
    ]
    return np.union1d(near, [0])
