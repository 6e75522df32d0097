"""From a cover to exactly what was asked: surplus parts are left out, boards alike grouped."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from palewright.cutting_stock.master.integer_master import Cover
from palewright.cutting_stock.problem.integer_units import IntegerProblem
from palewright.cutting_stock.problem.patterns import BlockRecipe, Recipe, StripRecipe
from palewright.geometry.arrays import Ints


@dataclass(frozen=True)
class BoardGroup:
    """Boards of one kind cut alike, and how many."""

    kind: int
    recipe: Recipe
    count: int


def recipe_counts(recipe: Recipe, size: int) -> Ints:
    """How often each of `size` parts is made; shape (size,)."""
    counts = np.zeros(size, dtype=np.int64)
    for block in recipe:
        for strip in block.strips:
            for part, copies in strip.parts:
                counts[part] += copies
    return counts


def rows_apart(problem: IntegerProblem, kind: int, recipe: Recipe) -> Recipe:
    """The recipe with rows of square parts as wide as the board taken apart, a block a part.

    Nothing is ripped from such a block, so its parts are crosscut from the board at once.
    """
    if problem.saw.order == "rip-first":
        return recipe
    blocks: list[BlockRecipe] = []
    for block in recipe:
        strip = block.strips[0]
        row = len(block.strips) == 1 and strip.width == problem.stock[kind].width
        row = row and not block.clipped and not block.length
        if row and not any(any(problem.parts[i].ends.slopes) for i, _ in strip.parts):
            for part, copies in strip.parts:
                blocks += [BlockRecipe((StripRecipe(strip.width, ((part, 1),)),))] * copies
        else:
            blocks.append(block)
    return tuple(blocks)


def exact_groups(cover: Cover, demand: Ints) -> list[BoardGroup]:
    """Board groups that make every part exactly as often as `demand` (m,) says."""
    groups = [BoardGroup(c.kind, c.recipe(), n) for c, n in cover.columns]
    made = sum(
        (group.count * recipe_counts(group.recipe, len(demand)) for group in groups),
        np.zeros(len(demand), dtype=np.int64),
    )
    surplus = made - demand
    exact: list[BoardGroup] = []
    for group in sorted(groups, key=lambda g: g.count):
        exact += _relieved(group, surplus)
    return [group for group in exact if group.recipe]


def _relieved(group: BoardGroup, surplus: Ints) -> list[BoardGroup]:
    """The group without surplus parts, split where only some boards are relieved."""
    done, left = [], group.count
    held = recipe_counts(group.recipe, len(surplus))
    while left:
        less = np.minimum(held, surplus)
        if not less.any():
            done.append(replace(group, count=left))
            break
        some = less > 0
        boards = min(left, int(np.min(surplus[some] // less[some])))
        surplus -= boards * less
        done.append(BoardGroup(group.kind, _without(group.recipe, less), boards))
        left -= boards
    return done


def _without(recipe: Recipe, less: Ints) -> Recipe:
    """The recipe with so many fewer of each part, empty strips and blocks left out."""
    less = less.copy()
    blocks = []
    for block in recipe[::-1]:
        strips = []
        for strip in block.strips:
            parts = []
            for part, copies in strip.parts:
                dropped = min(copies, int(less[part]))
                less[part] -= dropped
                if copies > dropped:
                    parts.append((part, copies - dropped))
            if parts:
                strips.append(StripRecipe(strip.width, tuple(parts), strip.offset))
        if strips:
            blocks.append(BlockRecipe(tuple(strips), block.clipped, block.length))
    return tuple(blocks[::-1])
