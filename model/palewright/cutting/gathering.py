"""Waste gathered on few boards: blocks change places between boards, so that what is left over
is one long offcut rather than many short ones. Boards and settings stay as they are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from palewright.cutting.fillings import BlockRecipe, Recipe
from palewright.cutting.saworder import FactBook
from palewright.cutting.surplus import BoardGroup
from palewright.cutting.whole import WholeStock

MOST_BOARDS = 8
MOST_HELD = 60
MOST_TRIES = 400
ROUNDS = 3


@dataclass(frozen=True)
class _Block:
    """A block as it is moved, and its length with kerf."""

    recipe: BlockRecipe
    length: int


def gathered_waste(book: FactBook, groups: Sequence[BoardGroup]) -> list[BoardGroup]:
    """The same blocks on the same boards, the longest offcut as long as can be, then the next.

    Looks at the few boards of each kind that have most to spare.
    """
    best = list(groups)
    if book.question.saw.order == "rip-first":
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
    stock = book.question.stock[kind]
    taken: list[Recipe] = []
    left = [group for group in groups if group.kind != kind]
    for group in mine:
        some = min(group.count, MOST_BOARDS - len(taken))
        taken += [group.recipe] * some
        if group.count > some:
            left.append(replace(group, count=group.count - some))
    blocks = [_Block(b, book.block_length(kind, b)) for recipe in taken for b in recipe]
    packed: list[list[_Block]] = []
    for _ in range(min(ROUNDS, len(taken) - 1)):
        boards = _roomiest(blocks, len(taken) - len(packed), stock)
        if boards is None:
            return list(groups)
        packed.append(boards[0])
        rest = boards[1:]
        blocks = [block for board in rest for block in board]
    if not packed:
        return list(groups)
    packed += rest
    new = [BoardGroup(kind, tuple(b.recipe for b in board), 1) for board in packed if board]
    return [*left, *new]


def _roomiest(
    blocks: Sequence[_Block], boards: int, stock: WholeStock
) -> list[list[_Block]] | None:
    """The blocks on so many boards, the first one with the most room left; None if not found.

    Tries what the first board may hold, least first, until the rest goes on the others. The
    effort is limited by tries, not by the clock: the same plan always gets the same answer.
    """
    room = stock.length - stock.clipped
    ordered = sorted(blocks, key=lambda b: (-_taken(b, stock), repr(b.recipe)))
    least = sum(_taken(block, stock) for block in ordered) - (boards - 1) * room
    for held in _lightest(ordered, least, stock):
        rest = list(ordered)
        for block in held:
            rest.remove(block)
        packed = _Packing(stock, boards - 1).of(rest)
        if packed is not None:
            return [held, *packed]
    return None


def _taken(block: _Block, stock: WholeStock) -> int:
    """The length that a block takes of the square part of a board, with kerf."""
    return block.length - (stock.clipped if block.recipe.clipped else 0)


def _lightest(blocks: Sequence[_Block], least: int, stock: WholeStock) -> list[list[_Block]]:
    """What one board may hold, from `least` units on, the lightest first; at most MOST_HELD."""
    room = stock.length - stock.clipped
    kinds = list(dict.fromkeys(blocks))[::-1]
    found: list[tuple[int, list[_Block]]] = [(0, [])]
    for kind in kinds:
        more = []
        most = 1 if kind.recipe.clipped else blocks.count(kind)
        for load, held in found:
            clipped = kind.recipe.clipped and any(block.recipe.clipped for block in held)
            for copies in range(1, 0 if clipped else most + 1):
                heavier = load + copies * _taken(kind, stock)
                if heavier <= room:
                    more.append((heavier, [*held, *[kind] * copies]))
        found = sorted([*found, *more], key=lambda pair: pair[0])[: 20 * MOST_HELD]
    return [held for load, held in found if load >= least][:MOST_HELD]


class _Packing:
    """Puts blocks on boards, longest first, each where it leaves least room, with some tries."""

    def __init__(self, stock: WholeStock, boards: int) -> None:
        self.stock = stock
        self.rooms = [stock.length - stock.clipped] * boards
        self.clipped = [False] * boards
        self.held: list[list[_Block]] = [[] for _ in range(boards)]
        self.tries = 0

    def of(self, blocks: Sequence[_Block]) -> list[list[_Block]] | None:
        """The blocks board by board; None where they do not fit, or not in MOST_TRIES."""
        loads = [_taken(block, self.stock) for block in blocks]
        return self.held if self._placed(blocks, loads, sum(loads), 0) else None

    def _placed(self, blocks: Sequence[_Block], loads: Sequence[int], left: int, at: int) -> bool:
        """Put the blocks from a place on, `left` long in all; whether they fit."""
        if at == len(blocks):
            return True
        self.tries += 1
        # blocks come longest first: room that is too short for the last is lost
        if self.tries > MOST_TRIES or sum(r for r in self.rooms if r >= loads[-1]) < left:
            return False
        block, load, seen = blocks[at], loads[at], set()
        for room, board in sorted((room, board) for board, room in enumerate(self.rooms)):
            was = self.clipped[board]
            if load > room or (room, was) in seen or (was and block.recipe.clipped):
                continue
            seen.add((room, was))
            self.rooms[board], self.clipped[board] = room - load, was or block.recipe.clipped
            self.held[board].append(block)
            if self._placed(blocks, loads, left - load, at + 1):
                return True
            self.held[board].pop()
            self.rooms[board], self.clipped[board] = room, was
        return False
