"""How many buyers may come, as the chance of each whole number, and what each box is worth then.

The newsvendor's question: with u lost by each box too few and o by each box too many, the best
number is the least whose chance of serving all buyers reaches u / (u + o). Where costs fall from
box to box, the same follows from adding up what each further box earns on average, which is what
is done here. Source: operations texts; their exercises stand in the tests.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate, pairwise
from statistics import NormalDist

FARTHEST = 6.0
"""Spreads above the mean at which a bell curve is cut off: beyond it lies one chance in 10⁹."""


@dataclass(frozen=True)
class Buyers:
    """The chance of each number of buyers: ``chances[n]`` that n come. They add up to 1."""

    chances: tuple[float, ...]

    @cached_property
    def mean(self) -> float:
        """How many come on average."""
        return math.fsum(n * chance for n, chance in enumerate(self.chances))

    @cached_property
    def _at_most(self) -> tuple[float, ...]:
        """The chance that no more than n come."""
        return tuple(accumulate(self.chances))

    @property
    def most(self) -> int:
        """More than this never come."""
        return len(self.chances) - 1

    def at_least(self, number: int) -> float:
        """Return the chance that so many or more come: that the n-th box is sold."""
        if number <= 0:
            return 1.0
        return max(0.0, 1.0 - self._at_most[number - 1]) if number <= self.most else 0.0

    def sold(self, boxes: int) -> float:
        """Return how many of so many boxes are sold on average."""
        return math.fsum(self.at_least(n) for n in range(1, boxes + 1))


def bell(mean: float, spread: float) -> Buyers:
    """Return buyers spread like a bell curve, to whole numbers; none below 0."""
    if spread <= 0:
        return _certain(mean)
    top = max(1, math.ceil(mean + FARTHEST * spread))
    return _quantised(NormalDist(mean, spread).cdf, top)


def triangle(low: float, likely: float, high: float) -> Buyers:
    """Return buyers from low to high with likely the most likely, to whole numbers."""
    if high <= low:
        return _certain(likely)

    def at_most(x: float) -> float:
        """Return the chance of no more than x, on the triangle's two sides."""
        if x <= low:
            return 0.0
        if x >= high:
            return 1.0
        if x <= likely:
            return (x - low) ** 2 / ((high - low) * (likely - low))
        return 1.0 - (high - x) ** 2 / ((high - low) * (high - likely))

    return _quantised(at_most, math.ceil(high))


def _certain(number: float) -> Buyers:
    """Return buyers of whom exactly so many come."""
    whole = max(0, round(number))
    return Buyers((*([0.0] * whole), 1.0))


def _quantised(at_most: Callable[[float], float], top: int) -> Buyers:
    """Return buyers where each whole number takes what lies nearest to it; the ends the rest."""
    edges = [at_most(n + 0.5) for n in range(top)]
    bounds = [0.0, *edges, 1.0]
    return Buyers(tuple(b - a for a, b in pairwise(bounds)))
