"""Boards as simple beams: section, moment and sag under loads that change along them.

Lengths mm, loads N/mm, moments N·mm, stresses MPa. Standard beam statics (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise


def section_modulus(width: float, thickness: float) -> float:
    """Return b t² / 6, mm³, of a board bent flatwise."""
    return width * thickness**2 / 6


def second_moment(width: float, thickness: float) -> float:
    """Return b t³ / 12, mm⁴."""
    return width * thickness**3 / 12


@dataclass(frozen=True, slots=True)
class LineLoad:
    """A load on a simple beam that changes evenly from ``start`` to ``end``.

    Attributes:
        span: between the supports, mm.
        start, end: where the load begins and ends, mm from the left support.
        first, last: load at those places, N/mm.
    """

    span: float
    start: float
    end: float
    first: float
    last: float

    @property
    def total(self) -> float:
        """The whole load, N."""
        return (self.first + self.last) / 2 * (self.end - self.start)

    @property
    def right(self) -> float:
        """Reaction of the right support, N."""
        length = self.end - self.start
        lever = self.start * (self.first + self.last) / 2
        lever += length * (self.first + 2 * self.last) / 6
        return lever * length / self.span

    @property
    def left(self) -> float:
        """Reaction of the left support, N."""
        return self.total - self.right

    def moment(self, x: float) -> float:
        """Return the bending moment (N·mm) at a place, mm from the left support."""
        passed = min(max(x - self.start, 0.0), self.end - self.start)
        slope = self._slope
        here = self.first + slope * passed
        arm = max(x - self.start - passed, 0.0)
        carried = passed * (self.first + here) / 2
        about = passed**2 * (2 * self.first + here) / 6 + carried * arm
        return self.left * x - about

    def on(self, width: float) -> LineLoad:
        """Return what a strip of ``width`` (mm) gets where this load is what 1 mm gets."""
        return replace(self, first=self.first * width, last=self.last * width)

    @property
    def _slope(self) -> float:
        """How fast the load changes, N/mm²."""
        length = self.end - self.start
        return (self.last - self.first) / length if length > 0 else 0.0

    @property
    def greatest_moment(self) -> float:
        """The greatest bending moment, N·mm: where the shear is nothing."""
        left = self.left
        # first x + slope x² / 2 = left, solved so that a slope of nothing needs no other way
        below = self.first + math.sqrt(max(self.first**2 + 2 * self._slope * left, 0.0))
        x = 2 * left / below if below > 0 else 0.0
        return self.moment(self.start + min(max(x, 0.0), self.end - self.start))

    def sag_at_middle(self, stiffness: float) -> float:
        """Return the deflection (mm) at mid-span of a beam of E I = ``stiffness`` N·mm².

        A unit load at the middle bends the beam by ``x (3 L² - 4 x²) / 48 E I`` at ``x``: the sag
        is the load times that, added up (Maxwell). The product is of fourth degree on either
        side of the middle, for which Gauss's three points are exact.
        """
        half, added = self.span / 2, 0.0
        for low, high in ((self.start, min(self.end, half)), (max(self.start, half), self.end)):
            if high > low:
                added += _gauss(self._times_influence, low, high)
        return added / stiffness

    def _times_influence(self, x: float) -> float:
        """Return the load at ``x`` times what a unit load there sags the middle, E I being 1."""
        near = min(x, self.span - x)
        load = self.first + self._slope * (x - self.start)
        return load * near * (3 * self.span**2 - 4 * near**2) / 48


def tributaries(places: Iterable[float], low: float, high: float) -> list[tuple[float, float]]:
    """Return for each place (mm), lowest first, the stretch of an edge that is nearest to it."""
    order = sorted(places)
    bounds = [low, *((a + b) / 2 for a, b in pairwise(order)), high]
    return list(pairwise(bounds))


def shares(boards: Sequence[tuple[float, float]], low: float, high: float) -> list[float]:
    """Return how wide a strip of a load each of some boards side by side carries, mm.

    Its own width, half of the gap to either neighbour, and at an edge all up to the load's end.

    Args:
        boards: low and high edge of each, in order, mm.
        low: where the load begins, mm.
        high: where it ends, mm.
    """
    middles = [(first[1] + second[0]) / 2 for first, second in pairwise(boards)]
    return [max(b - a, 0.0) for a, b in pairwise((low, *middles, high))]


def _gauss(function: object, low: float, high: float) -> float:
    """Return the integral by Gauss's three points: exact up to the fifth degree."""
    assert callable(function)
    middle, half = (low + high) / 2, (high - low) / 2
    aside = half * math.sqrt(0.6)
    outer = function(middle - aside) + function(middle + aside)
    return float(half * (5 * outer + 8 * function(middle)) / 9)


def even_load(span: float, load: float) -> LineLoad:
    """Return an even load (N/mm) over the whole span, mm."""
    return LineLoad(span, 0.0, span, load, load)
