"""Strips joined: parts of strips that are as wide go into fewer of them, so that less is ripped
and what is left of a board is one wide offcut."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from palewright.cutting.fillings import BlockRecipe, StripRecipe
from palewright.cutting.layouts import strip_length
from palewright.cutting.saworder import FactBook
from palewright.cutting.surplus import BoardGroup


def joined_strips(book: FactBook, groups: Sequence[BoardGroup]) -> list[BoardGroup]:
    """The same boards with fewer strips, wherever that asks for no more settings."""
    best = list(groups)
    for place, group in enumerate(groups):
        recipe = tuple(_joined(book, group.kind, block) for block in group.recipe)
        if recipe == group.recipe:
            continue
        tried = [*best[:place], replace(group, recipe=recipe), *best[place + 1 :]]
        if book.merit(tried).settings <= book.merit(best).settings:
            best = tried
    return best


def _joined(book: FactBook, kind: int, block: BlockRecipe) -> BlockRecipe:
    """The block with strips joined; itself where that saves none. A strip at a dog-eared end,
    which has its place across the board, stays as it is."""
    if block.clipped or any(strip.offset is not None for strip in block.strips):
        return block
    stock, rip_first = book.question.stock[kind], book.question.saw.order == "rip-first"
    room = stock.length - stock.clipped if rip_first else book.block_length(kind, block)
    strips: list[StripRecipe] = []
    for width, number in Counter(strip.width for strip in block.strips).items():
        same = [strip for strip in block.strips if strip.width == width]
        packed = _packed(book, same, room)
        strips += packed if len(packed) < number else same
    return replace(block, strips=tuple(strips)) if len(strips) < len(block.strips) else block


def _packed(book: FactBook, strips: Sequence[StripRecipe], room: int) -> list[StripRecipe]:
    """The parts of strips of one width, longest first, each in the first strip with room."""
    question = book.question
    parts = [part for strip in strips for part, copies in strip.parts for _ in range(copies)]
    packed: list[StripRecipe] = []
    for part in sorted(parts, key=lambda i: (-question.parts[i].length, i)):
        for place, held in enumerate(packed):
            more = Counter(dict(held.parts)) + Counter({part: 1})
            longer = replace(held, parts=tuple(sorted(more.items())))
            if strip_length(question, longer) <= room:
                packed[place] = longer
                break
        else:
            packed.append(StripRecipe(strips[0].width, ((part, 1),)))
    return packed
