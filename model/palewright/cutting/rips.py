"""Rip patterns: which strip widths fit side by side across a block.

Only patterns that no further strip fits into are listed; a slot may stay empty. A block at the
dog-eared end also has an order across the board, since outer strips lose more length there.
"""

from __future__ import annotations

import random
from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice, permutations

from palewright.cutting.whole import WholeStock, clip_loss

MOST_PATTERNS = 4000


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


def rip_patterns(widths: Sequence[int], board_width: int, most: dict[int, int]) -> list[RipPattern]:
    """The full rip patterns of a plain block. most: how many strips of a width are of use.

    Where there are MOST_PATTERNS or more, a seeded sample with every width in it.
    """
    ordered = sorted(set(widths), reverse=True)
    found = list(islice(_full(ordered, board_width, most), MOST_PATTERNS))
    if len(found) == MOST_PATTERNS:
        found = _sampled(ordered, board_width, most)
    return [RipPattern(pattern, (0,) * len(pattern)) for pattern in found]


def _sampled(widths: list[int], room: int, most: dict[int, int]) -> list[tuple[int, ...]]:
    """MOST_PATTERNS patterns, each width in its share of them (some may come twice)."""
    rng = random.Random(1)
    found = []
    for number in range(MOST_PATTERNS):
        chosen = [widths[number % len(widths)]]
        left = room - chosen[0]
        while fitting := [w for w in widths if w <= left and chosen.count(w) < most[w]]:
            chosen.append(rng.choice(fitting))
            left -= chosen[-1]
        found.append(tuple(sorted(chosen, reverse=True)))
    return found


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


def clipped_patterns(patterns: Sequence[RipPattern], board: WholeStock) -> list[RipPattern]:
    """The same patterns for the block at the dog-eared end, in every order worth trying."""
    if not board.clipped:
        return []
    found: dict[tuple[tuple[int, int], ...], RipPattern] = {}
    for pattern in patterns:
        for order in sorted(set(permutations(pattern.widths)))[:720]:
            for pushed in (False, True):
                clipped = _clipped(order, board, pushed=pushed)
                key = tuple(zip(clipped.widths, clipped.losses, strict=True))
                found.setdefault(key, clipped)
    return _undominated(list(found.values()))


def _clipped(order: Sequence[int], board: WholeStock, *, pushed: bool) -> RipPattern:
    """One order across the board, the spare width before the first strip if `pushed`."""
    at = board.width - sum(order) if pushed else 0
    slots = []
    for width in order:
        slots.append((width, clip_loss(at, width, board), at))
        at += width
    slots.sort(key=lambda slot: (-slot[0], slot[1], slot[2]))
    widths, losses, offsets = zip(*slots, strict=True)
    return RipPattern(widths, losses, offsets)


def _undominated(patterns: list[RipPattern]) -> list[RipPattern]:
    kept = []
    for pattern in patterns:
        rivals = (p for p in patterns if p.widths == pattern.widths and p is not pattern)
        if not any(
            all(a <= b for a, b in zip(rival.losses, pattern.losses, strict=True))
            for rival in rivals
        ):
            kept.append(pattern)
    return kept
