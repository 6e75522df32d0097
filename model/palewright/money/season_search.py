"""From estimates, box by box, to real batches: the best choice once each batch near it is planned.

The integer program first chooses on what a box takes in a batch of likely size. Whole boards,
boxes of screws and the plan's own saw settings make a real batch dearer or cheaper, so the batches
chosen, and those a few boxes larger and smaller, are planned quickly on the fewest boards, their
figures take the place of the estimates, and the program chooses again, until it learns nothing
new. Then the chosen batches, and those of a box more or less, are priced as ``palewright price``
prices them, boards weighed against saw work; any other batch is taken to gain by it in proportion,
until it is chosen and priced itself. What is returned stands on priced batches alone.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import accumulate, pairwise
from typing import Protocol

from palewright.money.season_choices import Ladder, best_numbers

NEAR = 2
"""Batches so many boxes larger or smaller are planned as well: package steps lie that near."""

NEXT = 1
"""Those so many larger or smaller are priced as well: weighed against saw work, a batch may gain
more than the one beside it."""


class Planned(Protocol):
    """So many boxes of one offer, planned and priced as one batch."""

    @property
    def hours(self) -> float:
        """At the bench."""

    @property
    def boards(self) -> int:
        """Of all stocks."""

    @property
    def earns(self) -> Decimal:
        """On average."""


@dataclass(frozen=True)
class Limits:
    """What is scarce.

    Attributes:
        hours: before each market, in the order of their dates; may be infinite.
        boards: for all; 0 for no limit.
    """

    hours: Sequence[float]
    boards: int


def season_numbers(
    ladders: Mapping[str, Ladder],
    limits: Limits,
    quick: Callable[[str, int], Planned],
    priced: Callable[[str, int], Planned],
) -> dict[str, int]:
    """Return how many boxes of each offer to build; each chosen batch is one that ``priced`` gave.

    Args:
        ladders: the offers, box by box, by name, as estimated.
        limits: what is scarce.
        quick: plans so many boxes of an offer on the fewest boards; asked again, it answers at
            once, and so does the next.
        priced: the same with boards weighed against saw work, as they will be built.
    """
    offers = {name: _Known(ladder) for name, ladder in ladders.items()}
    while True:
        known = [offer.corrected() for offer in offers.values()]
        best = best_numbers(known, limits.hours, limits.boards or None)
        numbers = dict(zip(ladders, best, strict=True))
        learned = False
        for name, count in numbers.items():
            for size in offers[name].near(count, NEAR):
                if size not in offers[name].quick:
                    offers[name].quick[size] = quick(name, size)
                    learned = True
        if learned:
            continue
        for name, count in numbers.items():
            for size in offers[name].near(count, NEXT) if count else ():
                if size not in offers[name].priced:
                    offers[name].priced[size] = priced(name, size)
                    learned = True
        if not learned:
            return numbers


@dataclass(frozen=True)
class _Known:
    """What is known of an offer: its ladder, and its batches by size, quick and priced."""

    ladder: Ladder
    quick: dict[int, Planned] = field(default_factory=dict)
    priced: dict[int, Planned] = field(default_factory=dict)

    def near(self, count: int, reach: int) -> range:
        """Return the sizes from so many fewer than the chosen to so many more."""
        return range(max(1, count - reach), min(len(self.ladder.earns), count + reach) + 1)

    def corrected(self) -> Ladder:
        """Return the offer box by box, its sums at known batches being those of the batches."""
        ladder = self.ladder
        sums = [[0.0, *accumulate(x)] for x in (ladder.earns, ladder.hours, ladder.boards)]
        for size in {**self.quick, **self.priced}:
            for kind, figure in zip(sums, self._figures(size), strict=True):
                kind[size] = figure
        steps = [tuple(b - a for a, b in pairwise(kind)) for kind in sums]
        return Ladder(steps[0], steps[1], steps[2], ladder.due)

    def _figures(self, size: int) -> tuple[float, float, float]:
        """Return what a known batch earns, its hours and boards: as priced, or what to expect."""
        if size in self.priced:
            return _three(self.priced[size])
        told = _three(self.quick[size])
        both = [other for other in self.priced if other in self.quick]
        if not both:
            return told
        near = min(both, key=lambda other: (abs(other - size), other))
        gained = zip(_three(self.priced[near]), _three(self.quick[near]), strict=True)
        earns, hours, boards = (
            one + (then - now) * size / near for one, (then, now) in zip(told, gained, strict=True)
        )
        return earns, hours, boards


def _three(batch: Planned) -> tuple[float, float, float]:
    """Return what a batch earns, its hours and its boards."""
    return float(batch.earns), batch.hours, float(batch.boards)
