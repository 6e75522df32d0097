"""Blocks made alike: a block may be crosscut longer than its strips need, so that one setting
of the stop block serves several."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace

from palewright.cutting.saworder import FactBook
from palewright.cutting.surplus import BoardGroup

MOST_LENGTHS = 30


def evened_blocks(book: FactBook, groups: Sequence[BoardGroup]) -> list[BoardGroup]:
    """The same boards with fewer block lengths, where boards have the length to spare.

    Takes the pair of lengths nearest to each other that saves a setting, again and again.
    """
    best = list(groups)
    while True:
        better = _one_fewer(book, best)
        if better is None:
            return best
        best = better


def _one_fewer(book: FactBook, groups: Sequence[BoardGroup]) -> list[BoardGroup] | None:
    """The boards with one block length raised to another, or None where nothing is saved."""
    settings = book.merit(groups).settings
    lengths = sorted({length for group in groups for length in _lengths(book, group)})
    if len(lengths) > MOST_LENGTHS:
        return None
    pairs = sorted(itertools.combinations(lengths, 2), key=lambda pair: pair[1] - pair[0])
    for shorter, longer in pairs:
        raised = [_raised(book, group, shorter, longer) for group in groups]
        fitting = [group for group in raised if group is not None]
        if len(fitting) == len(raised) and book.merit(fitting).settings < settings:
            return fitting
    return None


def _lengths(book: FactBook, group: BoardGroup) -> list[int]:
    return [book.block_length(group.kind, block) for block in group.recipe]


def _raised(book: FactBook, group: BoardGroup, shorter: int, longer: int) -> BoardGroup | None:
    """The group with its blocks of one length made longer, or None where they do not fit."""
    lengths = _lengths(book, group)
    if shorter not in lengths:
        return group
    stock = book.question.stock[group.kind]
    for block, length in zip(group.recipe, lengths, strict=True):
        if length == shorter and block.strips[0].width == stock.width:
            return None  # nothing is ripped from it: the block is the part, and has to be exact
    ears = 0 if any(block.clipped for block in group.recipe) else stock.clipped
    if sum(longer if length == shorter else length for length in lengths) > stock.length - ears:
        return None
    recipe = tuple(
        replace(block, length=longer) if length == shorter else block
        for block, length in zip(group.recipe, lengths, strict=True)
    )
    return replace(group, recipe=recipe)
