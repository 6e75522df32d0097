"""What is bettered once the boards are fixed: equal block lengths, fewer strips, longer offcuts.

A block may be crosscut longer than its strips need, so that one setting of the stop block serves
several. Parts of strips that are as wide go into fewer of them, so that less is ripped and what is
left of a board is one wide offcut. Blocks change places between boards, so that what is left over
is one long offcut rather than many short ones; boards and settings stay as they are.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from operator import itemgetter

from palewright.cutting_stock.problem.patterns import BlockRecipe, Recipe, StripRecipe
from palewright.cutting_stock.sawing.layouts import strip_length
from palewright.cutting_stock.sawing.saw_settings import FactBook
from palewright.cutting_stock.sawing.surplus_parts import BoardGroup

MOST_LENGTHS = 30
"""Of blocks: with more, evening them takes longer than it is worth. Judgement."""


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
    each = [[book.block_length(group.kind, block) for block in group.recipe] for group in groups]
    lengths = sorted({length for some in each for length in some})
    if len(lengths) > MOST_LENGTHS:
        return None
    pairs = sorted(itertools.combinations(lengths, 2), key=lambda pair: pair[1] - pair[0])
    for pair in pairs:
        fitting = []
        for group, some in zip(groups, each, strict=True):
            raised = _raised(book, group, some, pair)
            if raised is None:
                break
            fitting.append(raised)
        if len(fitting) == len(groups) and book.merit(fitting).settings < settings:
            return fitting
    return None


def _raised(
    book: FactBook, group: BoardGroup, lengths: Sequence[int], pair: tuple[int, int]
) -> BoardGroup | None:
    """The group with its blocks of one length made longer, or None where they do not fit.

    lengths: of its blocks; pair: that length and the longer one.
    """
    shorter, longer = pair
    if shorter not in lengths:
        return group
    stock = book.problem.stock[group.kind]
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
    """Return the block with strips joined; itself where that saves none.

    A strip at a dog-eared end, which has its place across the board, stays as it is.
    """
    if block.clipped or any(strip.offset is not None for strip in block.strips):
        return block
    stock, rip_first = book.problem.stock[kind], book.problem.saw.order == "rip-first"
    room = stock.length - stock.clipped if rip_first else book.block_length(kind, block)
    strips: list[StripRecipe] = []
    for width, number in Counter(strip.width for strip in block.strips).items():
        same = [strip for strip in block.strips if strip.width == width]
        packed = _packed(book, same, room)
        strips += packed if len(packed) < number else same
    return replace(block, strips=tuple(strips)) if len(strips) < len(block.strips) else block


def _packed(book: FactBook, strips: Sequence[StripRecipe], room: int) -> list[StripRecipe]:
    """The parts of strips of one width, longest first, each in the first strip with room."""
    problem = book.problem
    parts = [part for strip in strips for part, copies in strip.parts for _ in range(copies)]
    packed: list[StripRecipe] = []
    for part in sorted(parts, key=lambda i: (-problem.parts[i].length, i)):
        for place, held in enumerate(packed):
            more = Counter(dict(held.parts)) + Counter({part: 1})
            longer = replace(held, parts=tuple(sorted(more.items())))
            if strip_length(problem, longer) <= room:
                packed[place] = longer
                break
        else:
            packed.append(StripRecipe(strips[0].width, ((part, 1),)))
    return packed


MOST_BOARDS = 8
MOST_HELD = 60
MOST_TRIES = 400
ROUNDS = 3
"""Waste is gathered over so many boards at a time, so many ways to fill one of them, so many tries
and so many rounds at most: enough for all shipped variants; a large batch ends sooner.
Judgement."""


class _Blocks:
    """The kinds of blocks that are moved, longest first; each is called by its number.

    taken: length with kerf that one takes of the square part of a board; clipped: whether it holds
    the dog-eared end; room: length of the square part.
    """

    def __init__(self, book: FactBook, kind: int, recipes: Iterable[BlockRecipe]) -> None:
        stock = book.problem.stock[kind]
        taken = {
            one: book.block_length(kind, one) - (stock.clipped if one.clipped else 0)
            for one in recipes
        }
        self.recipes = sorted(taken, key=lambda one: (-taken[one], repr(one)))
        self.taken = [taken[one] for one in self.recipes]
        self.clipped = [one.clipped for one in self.recipes]
        self.room = stock.length - stock.clipped


def gathered_waste(book: FactBook, groups: Sequence[BoardGroup]) -> list[BoardGroup]:
    """The same blocks on the same boards, the longest offcut as long as can be, then the next.

    Looks at the few boards of each kind that have most to spare.
    """
    best = list(groups)
    if book.problem.saw.order == "rip-first":
        return best
    for kind in sorted({group.kind for group in best}):
        tried = _repacked(book, best, kind)
        if book.merit(tried) < book.merit(best):
            best = tried
    return best


def _repacked(book: FactBook, groups: Sequence[BoardGroup], kind: int) -> list[BoardGroup]:
    """The groups with the roomiest boards of one kind packed anew."""
    mine = [group for group in groups if group.kind == kind]
    mine.sort(key=lambda g: (-book.of(kind, g.recipe).total, g.count))
    taken: list[Recipe] = []
    left = [group for group in groups if group.kind != kind]
    for group in mine:
        some = min(group.count, MOST_BOARDS - len(taken))
        taken += [group.recipe] * some
        if group.count > some:
            left.append(replace(group, count=group.count - some))
    blocks = _Blocks(book, kind, itertools.chain(*taken))
    number = {one: i for i, one in enumerate(blocks.recipes)}
    here = sorted(number[one] for one in itertools.chain(*taken))
    packed: list[list[int]] = []
    for _ in range(min(ROUNDS, len(taken) - 1)):
        boards = _roomiest(blocks, here, len(taken) - len(packed))
        if boards is None:
            return list(groups)
        packed.append(boards[0])
        rest = boards[1:]
        here = sorted(itertools.chain(*rest))
    if not packed:
        return list(groups)
    packed += rest
    new = [BoardGroup(kind, tuple(blocks.recipes[i] for i in one), 1) for one in packed if one]
    return [*left, *new]


def _roomiest(blocks: _Blocks, here: Sequence[int], boards: int) -> list[list[int]] | None:
    """The blocks `here`, longest first, on so many boards, the first one with the most room left.

    None if not found. Tries what the first board may hold, least first, until the rest goes on the
    others. The effort is limited by tries, not by the clock: the same plan always gets the same
    answer.
    """
    least = sum(blocks.taken[i] for i in here) - (boards - 1) * blocks.room
    for held in _lightest(blocks, here, least):
        rest = list(here)
        for block in held:
            rest.remove(block)
        packed = _Packing(blocks, boards - 1).of(rest)
        if packed is not None:
            return [held, *packed]
    return None


def _lightest(blocks: _Blocks, here: Sequence[int], least: int) -> list[list[int]]:
    """What one board may hold, from `least` units on, the lightest first; at most MOST_HELD."""
    clipped = blocks.clipped
    found: list[tuple[int, list[int]]] = [(0, [])]
    for block, number in reversed(Counter(here).items()):
        more = []
        most = 1 if clipped[block] else number
        for load, held in found:
            ended = clipped[block] and any(clipped[i] for i in held)
            for copies in range(1, 0 if ended else most + 1):
                heavier = load + copies * blocks.taken[block]
                if heavier <= blocks.room:
                    more.append((heavier, [*held, *[block] * copies]))
        found = sorted([*found, *more], key=itemgetter(0))[: 20 * MOST_HELD]
    return [held for load, held in found if load >= least][:MOST_HELD]


class _Packing:
    """Puts blocks on boards, longest first, each where it leaves least room, with some tries."""

    def __init__(self, blocks: _Blocks, boards: int) -> None:
        self.blocks = blocks
        self.rooms = [blocks.room] * boards
        self.clipped = [False] * boards
        self.held: list[list[int]] = [[] for _ in range(boards)]
        self.tries = 0

    def of(self, here: Sequence[int]) -> list[list[int]] | None:
        """The blocks board by board; None where they do not fit, or not in MOST_TRIES."""
        loads = [self.blocks.taken[i] for i in here]
        return self.held if self._placed(here, loads, sum(loads), 0) else None

    def _placed(self, here: Sequence[int], loads: Sequence[int], left: int, at: int) -> bool:
        """Put the blocks from a place on, `left` long in all; whether they fit."""
        if at == len(here):
            return True
        self.tries += 1
        # blocks come longest first: room that is too short for the last is lost
        rooms, load, least = self.rooms, loads[at], loads[-1]
        if self.tries > MOST_TRIES or sum([room for room in rooms if room >= least]) < left:
            return False
        block, seen = here[at], set()
        ends = self.blocks.clipped[block]
        for room, board in sorted([(r, board) for board, r in enumerate(rooms) if r >= load]):
            was = self.clipped[board]
            if (room, was) in seen or (was and ends):
                continue
            seen.add((room, was))
            rooms[board], self.clipped[board] = room - load, was or ends
            self.held[board].append(block)
            if self._placed(here, loads, left - load, at + 1):
                return True
            self.held[board].pop()
            rooms[board], self.clipped[board] = room, was
        return False
