"""Blocks found at once: for each rip pattern and block length the best strip in every slot.

That is what pricing needs most of the time. Where two slots of one width would take more of a
part than is wanted, the later one takes the best strip that leaves enough.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

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
    for slot in range(strips.shape[1]):
        for width, loss, rows in _alike(patterns, numbers, slot):
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


def _alike(patterns: Sequence[RipPattern], numbers: Ints, slot: int) -> list[tuple[int, int, Ints]]:
    """Width, loss and the rows of the patterns that have these at a slot."""
    present, place = np.unique(numbers, return_inverse=True)
    ends: dict[tuple[int, int], int] = {}
    which = np.full(len(present), -1)
    for i, pattern in enumerate(patterns[number] for number in present.tolist()):
        if slot < len(pattern.widths):
            end = (pattern.widths[slot], pattern.losses[slot])
            which[i] = ends.setdefault(end, len(ends))
    kinds = which[place]
    return [(width, loss, np.flatnonzero(kinds == i)) for (width, loss), i in ends.items()]


def _within(strip: ListedStrips, picks: Ints, left: Ints, room: Ints) -> Ints:
    """The strips picked, or, where fewer parts (n, k) are left, the best that needs no more."""
    over = np.flatnonzero(np.any(strip.counts[picks] > left, axis=1))
    if not len(over):
        return picks
    picks, few = picks.copy(), _likely(strip)
    counts, lengths, values = strip.counts[few], strip.lengths[few], strip.values[few]
    kinds, which = np.unique(np.column_stack([left[over], room[over]]), axis=0, return_inverse=True)
    spend(len(kinds) * (CALL / 6 + CELL * counts.size))
    best = np.zeros(len(kinds), dtype=np.int64)
    chunk = max(1, _CACHED // len(few))
    for start in range(0, len(kinds), chunk):
        some = kinds[start : start + chunk].T[..., None]
        fits = lengths <= some[-1]
        for column, most in zip(counts.T, some, strict=False):  # by part: few parts, many strips
            fits &= column <= most
        best[start : start + chunk] = np.where(fits, values, -1.0).argmax(axis=1)
    picks[over] = few[best[which.ravel()]]
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
