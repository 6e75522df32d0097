"""Rip patterns: which strip widths fit side by side across a block.

Only patterns that no further strip fits into are listed; a slot may stay empty. A block at the
dog-eared end also has an order across the board, since outer strips lose more length there.
"""

from __future__ import annotations

import random
from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from palewright.cutting.whole import WholeStock, clip_loss

MOST_PATTERNS = 600
SAMPLED = 300
MOST_CLIPPED = 3000


@dataclass(frozen=True)
class RipPattern:
    """Strip widths (with kerf) of a block, widest first; losses: what each strip loses at the
    dog-eared end; offsets: where each begins across the board, empty where that is free."""

    widths: tuple[int, ...]
    losses: tuple[int, ...]
    offsets: tuple[int, ...] = ()

    def offset(self, slot: int) -> int | None:
        """Where the strip begins across the board, or None where it may lie anywhere."""
        return self.offsets[slot] if self.offsets else None

    def is_twin(self, slot: int) -> bool:
        """Whether the slot before is of the same width and loss (so order is no choice)."""
        return slot > 0 and (self.widths[slot], self.losses[slot]) == (
            self.widths[slot - 1],
            self.losses[slot - 1],
        )


def rip_patterns(
    widths: Sequence[int], board_width: int, most: dict[int, int]
) -> tuple[list[RipPattern], bool]:
    """The full rip patterns of a plain block, and whether these are all. most: how many strips
    of a width are of use.

    Where there are more than MOST_PATTERNS, a seeded sample with every width in it.
    """
    ordered = sorted(set(widths), reverse=True)
    found = list(islice(_full(ordered, board_width, most), MOST_PATTERNS + 1))
    complete = len(found) <= MOST_PATTERNS
    if not complete:
        found = _sampled(ordered, board_width, most)
    return [RipPattern(pattern, (0,) * len(pattern)) for pattern in found], complete


def _sampled(widths: list[int], room: int, most: dict[int, int]) -> list[tuple[int, ...]]:
    """SAMPLED patterns at the most, each width in its share of them."""
    rng = random.Random(1)
    found: dict[tuple[int, ...], None] = {}
    for number in range(SAMPLED):
        chosen = [widths[number % len(widths)]]
        left = room - chosen[0]
        while fitting := [w for w in widths if w <= left and chosen.count(w) < most[w]]:
            chosen.append(rng.choice(fitting))
            left -= chosen[-1]
        found[tuple(sorted(chosen, reverse=True))] = None
    return list(found)


def _full(widths: list[int], room: int, most: dict[int, int]) -> Iterator[tuple[int, ...]]:
    """Multisets of widths within `room` that take no further width."""

    def grow(start: int, left: int, chosen: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        if chosen and not any(
            width <= left and chosen.count(width) < most[width] for width in widths
        ):
            yield chosen
        for place in range(start, len(widths)):
            width = widths[place]
            if width <= left and chosen.count(width) < most[width]:
                yield from grow(place, left - width, (*chosen, width))

    yield from grow(0, room, ())


def patterns_of(patterns: Sequence[RipPattern], widths: Container[int]) -> list[RipPattern]:
    """The patterns with slots of these widths only, each once."""
    found: dict[tuple[tuple[int, int], ...], RipPattern] = {}
    for pattern in patterns:
        slots = [i for i, width in enumerate(pattern.widths) if width in widths]
        if not slots:
            continue
        less = RipPattern(
            tuple(pattern.widths[i] for i in slots),
            tuple(pattern.losses[i] for i in slots),
            tuple(pattern.offsets[i] for i in slots) if pattern.offsets else (),
        )
        found.setdefault(tuple(zip(less.widths, less.losses, strict=True)), less)
    return list(found.values())


def clipped_patterns(
    patterns: Sequence[RipPattern], board: WholeStock
) -> tuple[list[RipPattern], bool]:
    """The same patterns for the block at the dog-eared end, in every order worth trying, and
    whether these are all; the width that is spare lies at either edge, or half of it at each."""
    if not board.clipped:
        return [], True
    found: dict[tuple[tuple[int, int], ...], RipPattern] = {}
    share, complete = max(1, MOST_CLIPPED // max(1, len(patterns))), True
    for pattern in patterns:
        spare = board.width - sum(pattern.widths)
        for start in sorted({0, spare // 2, spare}):
            orders = list(islice(_orders(pattern.widths, start, board), share + 1))
            complete = complete and len(orders) <= share
            for order in orders[:share]:
                clipped = _clipped(order, start, board)
                key = tuple(zip(clipped.widths, clipped.losses, strict=True))
                found.setdefault(key, clipped)
    return _undominated(list(found.values())), complete


def _orders(widths: tuple[int, ...], low: int, board: WholeStock) -> Iterator[tuple[int, ...]]:
    """Orders of strips across the board from `low` on; those clear of both corners in one order."""
    high = low + sum(widths)
    if len(widths) < 2:
        yield widths
    elif low < board.clip_depth:
        for width in sorted(set(widths)):
            for rest in _orders(_less(widths, width), low + width, board):
                yield (width, *rest)
    elif board.width - high < board.clip_depth:
        for width in sorted(set(widths)):
            for rest in _orders(_less(widths, width), low, board):
                yield (*rest, width)
    else:
        yield widths


def _less(widths: tuple[int, ...], width: int) -> tuple[int, ...]:
    place = widths.index(width)
    return (*widths[:place], *widths[place + 1 :])


def _clipped(order: Sequence[int], at: int, board: WholeStock) -> RipPattern:
    """One order across the board, the first strip `at` units from its edge."""
    slots = []
    for width in order:
        slots.append((width, clip_loss(at, width, board), at))
        at += width
    slots.sort(key=lambda slot: (-slot[0], slot[1], slot[2]))
    widths, losses, offsets = zip(*slots, strict=True)
    return RipPattern(widths, losses, offsets)


def _undominated(patterns: list[RipPattern]) -> list[RipPattern]:
    rivals: dict[tuple[int, ...], list[RipPattern]] = {}
    for pattern in patterns:
        rivals.setdefault(pattern.widths, []).append(pattern)
    return [p for p in patterns if not any(_better(r, p) for r in rivals[p.widths])]


def _better(rival: RipPattern, pattern: RipPattern) -> bool:
    """Whether no strip of the rival loses more, and the two are not alike."""
    pairs = zip(rival.losses, pattern.losses, strict=True)
    return rival.losses != pattern.losses and all(a <= b for a, b in pairs)
