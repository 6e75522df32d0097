"""The best choice once each batch that could be a part of it is priced.

Boards, boxes of screws and saw settings make a batch dearer or cheaper than the one a box larger,
and by how much only its own cut plan tells, so what is not priced is estimated from the nearest
batch that is, with some hope on top: a better cut plan may be found. The choice is made among
these, the batch in it of which most is hoped is priced, and it is made anew, until it takes priced
batches alone: then no other would do better even if it came as good as hoped. Where the work has an
end before that, the best choice among the priced batches is returned.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Generic, Protocol, TypeVar

from palewright.season.production_mip import OfferWay, best_numbers

HOPE = 0.07
"""A batch may cost and take less than estimated by this share of one of its boxes: that is some saw
settings or half a board, whatever the size. Judgement: the shipped season comes out the same with
.03 and .05, for a batch less to price."""

REACH, MORE = 0.4, 3
"""Sizes up to this share away from a priced one, and some boxes, are estimated from it."""


class Planned(Protocol):
    """So many boxes of one offer as one batch, priced or estimated."""

    @property
    def hours(self) -> float:
        """At the bench."""

    @property
    def boards(self) -> int:
        """Of all stocks."""

    @property
    def earns(self) -> Decimal:
        """On average."""

    @property
    def spends(self) -> Decimal:
        """What they cost."""


One = TypeVar("One", bound=Planned)


@dataclass(frozen=True)
class Limits:
    """What is scarce.

    Attributes:
        hours: before each market, in the order of their dates; may be infinite.
        boards: for all; 0 for no limit.
    """

    hours: Sequence[float]
    boards: int


@dataclass
class Offered(Generic[One]):
    """One offer: its priced batches by size, found one by one.

    Attributes:
        most: boxes; none where nobody may come.
        likely: the size that is priced first.
        due: place of its market in the order of their dates, from 0.
        price: prices so many boxes.
        estimate: estimates so many boxes from a priced batch.
        priced: batches that are known.
    """

    most: int
    likely: int
    due: int
    price: Callable[[int], One]
    estimate: Callable[[int, One], One]
    priced: dict[int, One] = field(default_factory=dict)
    _estimates: dict[tuple[int, int], One] = field(default_factory=dict)

    def look(self, boxes: int) -> bool:
        """Price so many boxes; return whether that was news."""
        if boxes in self.priced or not boxes:
            return False
        self.priced[boxes] = self.price(boxes)
        return True

    def ways(self, hope: float) -> list[OfferWay]:
        """Return the sizes near the priced ones, those that are not priced with some hope."""
        sizes = {
            size
            for known in self.priced
            for size in range(
                max(1, int(known * (1 - REACH)) - MORE),
                min(self.most, int(known * (1 + REACH)) + MORE) + 1,
            )
        }
        return [self._way(size, hope) for size in sorted(sizes)]

    def sure_ways(self) -> list[OfferWay]:
        """Return the priced sizes alone."""
        return [self._way(size, 0.0) for size in sorted(self.priced)]

    def hoped(self, size: int) -> float:
        """Return what a size that is not priced may spend less than estimated."""
        return HOPE / size * float(self._known(size).spends)

    def _known(self, size: int) -> One:
        """Return a size as priced, or as the nearest priced one lets expect."""
        if size in self.priced:
            return self.priced[size]
        near = min(self.priced, key=lambda known: (abs(known - size), known))
        if (size, near) not in self._estimates:
            self._estimates[size, near] = self.estimate(size, self.priced[near])
        return self._estimates[size, near]

    def _way(self, size: int, hope: float) -> OfferWay:
        """Return one size as priced, or as it may come."""
        one = self._known(size)
        share = 0.0 if size in self.priced else hope / size
        earns = float(one.earns) + share * float(one.spends)
        return OfferWay(size, earns, one.hours * (1 - share), one.boards * (1 - share))


def season_numbers(
    offers: Mapping[str, Offered[One]], limits: Limits, enough: Callable[[], bool]
) -> dict[str, int]:
    """Return how many boxes of each offer to build; each chosen batch is a priced one.

    Args:
        offers: by name; what is priced stays in them.
        limits: what is scarce.
        enough: says when the work has an end; an offer that was not looked at by then is not built.
    """
    for offer in offers.values():
        if offer.most and not offer.priced and not enough():
            offer.look(offer.likely)
    while not enough():
        numbers = _best(offers, limits, [one.ways(HOPE) for one in offers.values()])
        news = [name for name, boxes in numbers.items() if boxes not in {0, *offers[name].priced}]
        if not news:
            return numbers
        # one at a time: with it known the choice may do without the others (a batch in 30)
        name = max(news, key=lambda name: offers[name].hoped(numbers[name]))
        offers[name].look(numbers[name])
    return _best(offers, limits, [one.sure_ways() for one in offers.values()])


def best_alone(offer: Offered[One]) -> int:
    """Return how many boxes of an offer would be best if nothing were scarce, as estimated."""
    best = max(offer.ways(0.0), key=lambda way: way.earns, default=None)
    return best.boxes if best is not None and best.earns > 0 else 0


def _best(
    offers: Mapping[str, Offered[One]], limits: Limits, ways: Sequence[Sequence[OfferWay]]
) -> dict[str, int]:
    """Return the best numbers by name."""
    due = [offer.due for offer in offers.values()]
    best = best_numbers(ways, due, limits.hours, limits.boards or None)
    return dict(zip(offers, best, strict=True))
