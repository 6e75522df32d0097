"""From estimates, box by box, to real batches: the best choice once each batch near it is planned.

The integer program first chooses on what a box takes in a batch of likely size. Whole boards,
boxes of screws and the plan's own saw settings make a real batch dearer or cheaper, so the batches
chosen, and those a few boxes larger and smaller, are planned and priced, their real figures take
the place of the estimates, and the program chooses again, until it learns nothing new.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import accumulate, pairwise
from typing import Protocol

from palewright.money.season_choices import Ladder, best_numbers

NEAR = 2
"""Batches so many boxes larger or smaller are planned as well: package steps lie that near."""


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
    ladders: Mapping[str, Ladder], limits: Limits, planned: Callable[[str, int], Planned]
) -> dict[str, int]:
    """Return how many boxes of each offer to build; each chosen batch is a real one.

    Args:
        ladders: the offers, box by box, by name, as estimated.
        limits: what is scarce.
        planned: plans and prices so many boxes of an offer; asked again, it answers at once.
    """
    real: dict[str, dict[int, Planned]] = {name: {} for name in ladders}
    while True:
        known = [_corrected(ladder, real[name]) for name, ladder in ladders.items()]
        best = best_numbers(known, limits.hours, limits.boards or None)
        numbers = dict(zip(ladders, best, strict=True))
        learned = False
        for name, count in numbers.items():
            most = len(ladders[name].earns)
            for size in range(max(1, count - NEAR), min(most, count + NEAR) + 1):
                if size not in real[name]:
                    real[name][size] = planned(name, size)
                    learned = True
        if not learned:
            return numbers


def _corrected(ladder: Ladder, real: Mapping[int, Planned]) -> Ladder:
    """Return an offer box by box, its sums at real batches being the real ones."""
    earns, hours, boards = (
        [0.0, *accumulate(steps)] for steps in (ladder.earns, ladder.hours, ladder.boards)
    )
    for size, batch in real.items():
        earns[size], hours[size] = float(batch.earns), batch.hours
        boards[size] = float(batch.boards)
    steps = [tuple(b - a for a, b in pairwise(sums)) for sums in (earns, hours, boards)]
    return Ladder(steps[0], steps[1], steps[2], ladder.due)
