"""All blocks of a board, listed once, where they are few enough.

A block's contents and length do not depend on what parts are worth, so that pricing a board
takes one product of matrices where its blocks are known.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from palewright.cutting_stock.pricing.label_extension import Blocks, Tables, picked_blocks
from palewright.cutting_stock.pricing.rip_patterns import RipPattern
from palewright.cutting_stock.pricing.strip_knapsack import StripShelf
from palewright.cutting_stock.problem.float_noise import TINY
from palewright.cutting_stock.problem.search_settings import SETTINGS
from palewright.geometry.arrays import Floats, Ints


@dataclass(frozen=True)
class BlockListing:
    """Every block of a board, in order of length: plain ones and those at the dog-eared end.

    strips: what the strip numbers of the blocks stand for, counts (n, k) by width.
    """

    plain: Blocks
    ends: Blocks
    strips: dict[int, Ints]

    def restricted(self, bounds: Ints) -> BlockListing:
        """The blocks with at most `bounds` (m,) of each part."""
        return BlockListing(
            picked_blocks(self.plain, _within(self.plain, bounds)),
            picked_blocks(self.ends, _within(self.ends, bounds)),
            self.strips,
        )

    def tables(self, duals: Floats, length: int, plain_length: int, *, single: bool) -> Tables:
        """Return ceilings for some duals, and what blocks are worth.

        Args:
            duals: of the parts (m,).
            length: of the board, with kerf.
            plain_length: of it before the dog ear.
            single: whether the board is one block.
        """
        plain, ends = self.plain.counts @ duals, self.ends.counts @ duals
        lengths = np.concatenate([self.plain.lengths, self.ends.lengths])
        common = int(np.gcd.reduce(lengths)) if len(lengths) else 1
        step = max(common, -(-length // SETTINGS.grid_cells))
        tables = Tables({}, np.zeros(length // step + 1), step, 0.0, worth=(plain, ends))
        if not single:
            order = np.argsort(lengths, kind="stable")
            best = np.maximum.accumulate(np.concatenate([plain, ends])[order])
            fill_grid(tables, lengths[order], best)
        reach = plain + tables.rest(plain_length - self.plain.lengths)
        tops = ends + tables.rest(length - self.ends.lengths)
        tables.whole = max(float(reach.max(initial=0.0)), float(tops.max(initial=0.0)))
        return tables


def listable(patterns: Sequence[RipPattern], shelves: dict[int, StripShelf], tried: int) -> bool:
    """Whether listing all blocks of these rip patterns is worth trying."""
    if not all(shelf.complete for shelf in shelves.values()):
        return False
    sizes = {width: len(shelf.counts) for width, shelf in shelves.items()}
    return sum(math.prod(sizes[w] for w in p.widths) for p in patterns) <= tried


def by_length(blocks: Blocks) -> Blocks:
    """The blocks in order of length."""
    return picked_blocks(blocks, np.argsort(blocks.lengths, kind="stable"))


def fill_grid(tables: Tables, lengths: Ints, best: Floats) -> None:
    """Unbounded knapsack of blocks over the board's length, lengths rounded down.

    lengths: rising; best: the most that a block up to each length is worth.
    """
    grid, cells = tables.grid, lengths // tables.step
    for j in np.flatnonzero(np.diff(best, prepend=0.0) > TINY):
        size, value, copies = int(cells[j]), best[j], 1
        if size == 0:
            grid += value * len(grid)
            continue
        if size < len(grid) and value < grid[size] - grid[0] - TINY:
            continue  # shorter ones are worth more in as much room, and so in any
        while size * copies < len(grid):
            used = size * copies
            np.maximum(grid[used:], grid[:-used] + value * copies, out=grid[used:])
            copies *= 2
    np.maximum.accumulate(grid, out=grid)


def _within(blocks: Blocks, bounds: Ints) -> Ints:
    return np.flatnonzero(np.all(blocks.counts <= bounds, axis=1))
