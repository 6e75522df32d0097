"""How a pattern is sawn: the recipe of a board from the blocks and strips that were picked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from palewright.cutting_stock.pricing.dog_ears import DogEaredEnd
from palewright.cutting_stock.pricing.label_extension import Blocks
from palewright.cutting_stock.pricing.rip_patterns import RipPattern
from palewright.cutting_stock.pricing.strip_knapsack import StripShelf
from palewright.cutting_stock.problem.patterns import BlockRecipe, Recipe, StripRecipe
from palewright.geometry.arrays import Ints

Source = tuple[Blocks, Sequence[RipPattern]]


def recipe_of(
    shelves: Mapping[int, StripShelf],
    dog_eared: DogEaredEnd | None,
    listed: Mapping[int, Ints],
    sources: tuple[Source, Source],
    picks: Ints,
    number: int,
) -> Recipe:
    """Return the recipe of one pattern.

    Args:
        shelves: strips by width.
        dog_eared: the dog-eared end, None where there is none.
        listed: the parts (n, k) of strips by width.
        sources: the blocks at the dog-eared end and the plain ones, each with its patterns.
        picks: (patterns, blocks), first the block at the dog-eared end, -1 for none.
        number: which pattern.
    """
    blocks = []
    for place, pick in enumerate(picks[number]):
        if pick < 0:
            continue
        source, known = sources[min(place, 1)]
        pattern = known[source.pattern[pick]]
        rows = [listed[w][n] for w, n in zip(pattern.widths, source.strips[pick], strict=False)]
        offsets: list[int | None] = [None] * len(rows)
        if place == 0 and dog_eared is not None:
            offsets = dog_eared.offsets_of(pattern, rows, shelves)
        strips = []
        for width, row, offset in zip(pattern.widths, rows, offsets, strict=True):
            items = shelves[width].items
            parts = tuple((int(items[i]), int(row[i])) for i in np.flatnonzero(row))
            if parts:
                strips.append(StripRecipe(width, parts, offset))
        blocks.append(BlockRecipe(tuple(strips), clipped=place == 0))
    return tuple(blocks)
