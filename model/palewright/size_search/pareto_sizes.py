"""Sizes of which N boards make a box, as data: what was found, refused, and left open."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from palewright.size_search.looks import Look

Sides = tuple[float, float, float]
"""Width, depth and height outside, mm."""


@dataclass(frozen=True, slots=True)
class BoxSize:
    """A size that N boards make, with the numbers of its plan. Lengths in mm, outside.

    Attributes:
        width, depth, height: outside.
        look: settings at this size that the variant does not say.
        boards: boards of the panels' stock that the plan uses.
        lower_bound: no plan uses fewer.
        yield_: share of those boards that becomes parts.
        cost: of the boards of all stocks, in the shop's currency.
        weight: of the empty box, kg; 0 before it is weighed.
        warnings: codes of what the fit check warns of.
    """

    width: float
    depth: float
    height: float
    look: Look
    boards: int
    lower_bound: int
    yield_: float
    cost: float
    weight: float = 0.0
    warnings: tuple[str, ...] = ()

    @property
    def sides(self) -> Sides:
        """Width, depth and height, mm."""
        return self.width, self.depth, self.height

    @property
    def volume(self) -> float:
        """Outside volume in litres."""
        return self.width * self.depth * self.height / 1e6


@dataclass(frozen=True, slots=True)
class RefusedSize:
    """A size that was left out since it does not fit together, with the finding's code."""

    sides: Sides
    code: str


@dataclass(frozen=True, slots=True)
class OpenSize:
    """A size of which the search left open whether so many boards make it.

    At least ``lower_bound`` are needed, and a plan of ``upper_bound`` is known, if any is.
    """

    sides: Sides
    look: Look
    lower_bound: int
    upper_bound: int | None

    @property
    def volume(self) -> float:
        """Outside volume in litres."""
        return math.prod(self.sides) / 1e6


@dataclass(frozen=True, slots=True)
class Frontier:
    """The largest boxes of N boards.

    Attributes:
        boards: N.
        sizes: sizes of which none is beaten in every dimension, by width, then depth.
        refused: sizes beaten by none of them that do not fit together, whatever they take.
        open: sizes beaten by none of them that the search left open: a larger box may be among
            them.
        unreached: width and depth, mm, with how many heights over them are beaten by none, where
            the search ended before: these are open as well.
        drawn: the largest in the look as drawn.
        bound: litres; no box of the sizes and looks that were sought is larger.
        looks: how many looks were sought.
        work: counted work of the whole search, in seconds of a quiet processor.
    """

    boards: int
    sizes: tuple[BoxSize, ...]
    refused: tuple[RefusedSize, ...] = ()
    open: tuple[OpenSize, ...] = ()
    unreached: tuple[tuple[float, float, int], ...] = ()
    drawn: BoxSize | None = None
    bound: float = 0.0
    looks: int = 1
    work: float = 0.0

    @property
    def proven(self) -> bool:
        """Whether no larger box is left open among the sizes and looks that were sought."""
        most = max((size.volume for size in self.sizes), default=0.0)
        return self.bound <= most + 1e-6

    @property
    def undecided(self) -> int:
        """How many sizes are open, those that were not reached included."""
        return len(self.open) + sum(heights for _, _, heights in self.unreached)


def largest_of(sizes: Iterable[BoxSize]) -> BoxSize | None:
    """Return the size of most volume; of several the lower, then the first; None without any."""
    return max(sizes, key=lambda size: (round(size.volume, 6), -size.height), default=None)


def most_volume(sizes: Iterable[BoxSize]) -> float:
    """Return the volume (litres) of the largest size; 0 without any."""
    return max((size.volume for size in sizes), default=0.0)


def holds(large: Sides, small: Sides) -> bool:
    """Return whether a size is as large as another every way."""
    return all(a >= b - 1e-6 for a, b in zip(large, small, strict=True))


def is_beaten(sides: Sides, sizes: Iterable[BoxSize]) -> bool:
    """Return whether one of some sizes is as large every way."""
    return any(holds(size.sides, sides) for size in sizes)


def unbeaten(sizes: Mapping[Sides, BoxSize]) -> list[BoxSize]:
    """Return the sizes of which none holds another, in order of their sides."""
    return [
        size
        for sides, size in sorted(sizes.items())
        if not any(other != sides and holds(other, sides) for other in sizes)
    ]


def not_reached(
    places: Mapping[tuple[float, float], Sequence[float]], sizes: Sequence[BoxSize]
) -> Iterator[tuple[float, float, int]]:
    """Yield widths and depths with how many heights over them none of some sizes beats, if any.

    places: widths and depths with the heights over them that were to be looked at, mm.
    """
    for (width, depth), heights in places.items():
        left = sum(not is_beaten((width, depth, height), sizes) for height in heights)
        if left:
            yield width, depth, left
