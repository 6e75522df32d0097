"""Rip patterns: which strip widths fit side by side across a block.

Only patterns that no further strip fits into are listed; a slot may stay empty.
"""

from __future__ import annotations

import random
from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from palewright.cutting_stock.problem.integer_units import IntegerStock, clip_loss
from palewright.cutting_stock.problem.search_settings import SETTINGS


@dataclass(frozen=True)
class RipPattern:
    """Strip widths (with kerf) of a block, widest first.

    losses: what each strip loses at the dog-eared end at the least.
    """

    widths: tuple[int, ...]
    losses: tuple[int, ...]

    def is_twin(self, slot: int) -> bool:
        """Whether the slot before is of the same width and loss (so order is no choice)."""
        return slot > 0 and (self.widths[slot], self.losses[slot]) == (
            self.widths[slot - 1],
            self.losses[slot - 1],
        )


def rip_patterns(
    widths: Sequence[int], board_width: int, most: dict[int, int]
) -> tuple[list[RipPattern], bool]:
    """Return the full rip patterns of a plain block, and whether these are all.

    Where there are too many, a seeded sample with every width in it. most: how many strips of a
    width are of use.
    """
    ordered = sorted(set(widths), reverse=True)
    found = list(islice(_full(ordered, board_width, most), SETTINGS.most_rips + 1))
    complete = len(found) <= SETTINGS.most_rips
    if not complete:
        found = _sampled(ordered, board_width, most)
    return [RipPattern(pattern, (0,) * len(pattern)) for pattern in found], complete


def _sampled(widths: list[int], room: int, most: dict[int, int]) -> list[tuple[int, ...]]:
    """A number of patterns at the most, each width in its share of them."""
    rng = random.Random(1)
    found: dict[tuple[int, ...], None] = {}
    for number in range(SETTINGS.sampled_rips):
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
        )
        found.setdefault(tuple(zip(less.widths, less.losses, strict=True)), less)
    return list(found.values())


def clipped_patterns(patterns: Sequence[RipPattern], board: IntegerStock) -> list[RipPattern]:
    """Return the same patterns for the block at the dog-eared end.

    Each strip loses what it would lose in the middle of the board, alone, which is the least; what
    it really loses is for `DogEaredEnd` to say once it is known which strips lie beside it.
    """
    if not board.clipped:
        return []
    return [
        RipPattern(
            pattern.widths, tuple(clip_loss(0, w, board, centred=True) for w in pattern.widths)
        )
        for pattern in patterns
    ]
