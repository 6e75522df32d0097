"""How patterns are sawn: recipes of boards from the blocks and strips that were picked."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cache

import numpy as np

from palewright.cutting_stock.pricing.dog_ears import DogEaredEnd
from palewright.cutting_stock.pricing.label_extension import Blocks
from palewright.cutting_stock.pricing.rip_patterns import RipPattern
from palewright.cutting_stock.pricing.strip_knapsack import StripShelf
from palewright.cutting_stock.problem.patterns import BlockRecipe, Recipe, StripRecipe
from palewright.geometry.arrays import Ints

Source = tuple[Blocks, Sequence[RipPattern]]


def recipes_of(
    shelves: Mapping[int, StripShelf],
    dog_eared: DogEaredEnd | None,
    listed: Mapping[int, Ints],
    sources: tuple[Source, Source],
    picks: Ints,
) -> Callable[[int], Recipe]:
    """Return what gives the recipe of each pattern by its number.

    Patterns share blocks: each block is made once.

    Args:
        shelves: strips by width.
        dog_eared: the dog-eared end, None where there is none.
        listed: the parts (n, k) of strips by width.
        sources: the blocks at the dog-eared end and the plain ones, each with its patterns.
        picks: (patterns, blocks), first the block at the dog-eared end, -1 for none.
    """

    @cache
    def block(plain: bool, pick: int) -> BlockRecipe:
        """Return one block, at the dog-eared end or plain."""
        source, known = sources[plain]
        pattern = known[source.pattern[pick]]
        rows = [listed[w][n] for w, n in zip(pattern.widths, source.strips[pick], strict=False)]
        offsets: list[int | None] = [None] * len(rows)
        if not plain and dog_eared is not None:
            offsets = dog_eared.offsets_of(pattern, rows, shelves)
        strips = []
        for width, row, offset in zip(pattern.widths, rows, offsets, strict=True):
            items = shelves[width].items
            parts = tuple((int(items[i]), int(row[i])) for i in np.flatnonzero(row))
            if parts:
                strips.append(StripRecipe(width, parts, offset))
        return BlockRecipe(tuple(strips), clipped=not plain)

    def recipe(number: int) -> Recipe:
        """Return the recipe of one pattern."""
        picked = enumerate(picks[number].tolist())
        return tuple(block(place > 0, pick) for place, pick in picked if pick >= 0)

    return recipe
