"""Learning curves: how much quicker each further box is made.

Two models go by that name, and the same rate gives them different hours, so each is named here:

- *unit* (Crawford): the time of the n-th box is T₁ nᵇ.
- *cumulative average* (Wright): the average time of the first n boxes is T₁ nᵇ, so that the n-th
  box itself takes T₁ (n¹⁺ᵇ - (n - 1)¹⁺ᵇ), less than that average.

with b = ln(rate) / ln 2: at 90 %, each doubling takes 90 % of the time before. Source: texts on
learning curves; the two totals of ten boxes at 80 % stand in the tests.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Literal

LearningModel = Literal["unit", "cumulative-average"]


@dataclass(frozen=True, slots=True)
class LearningCurve:
    """How the time a box takes falls with the boxes made before it.

    Attributes:
        model: which of the two models.
        rate: time left after each doubling, above .5 to 1: at half, Wright.s second box is free.
        timed_at: the box whose own time counts as 1, in both models.
        levels_off_at: from this box on, nothing is learned any more.
    """

    model: LearningModel
    rate: float
    timed_at: int = 1
    levels_off_at: int = 1_000_000

    @property
    def exponent(self) -> float:
        """The b of nᵇ, 0 or less."""
        return math.log(self.rate) / math.log(2)

    def total(self, boxes: int) -> float:
        """Return the time of the first so many boxes, as a multiple of the time at ``timed_at``."""
        quick = min(boxes, self.levels_off_at)
        late = (boxes - quick) * self._own(self.levels_off_at)
        return (self._first(quick) + late) / self._own(self.timed_at)

    def average(self, boxes: int, made_before: int = 0) -> float:
        """Return the average time of a batch, as a multiple of the time at ``timed_at``.

        Args:
            boxes: in the batch, 1 or more.
            made_before: the same box, made earlier.
        """
        return (self.total(made_before + boxes) - self.total(made_before)) / boxes

    def _own(self, box: int) -> float:
        """Return the time of one box by its number, where the first box takes 1."""
        near = min(box, self.levels_off_at)
        if self.model == "unit":
            return float(near**self.exponent)
        return self._first(near) - self._first(near - 1)

    def _first(self, boxes: int) -> float:
        """Return the time of the first boxes before it levels off; the first box takes 1."""
        if boxes <= 0:
            return 0.0
        if self.model == "unit":
            return _sum_of_powers(boxes, self.exponent)
        return float(boxes ** (1 + self.exponent))


@cache
def _sum_of_powers(boxes: int, exponent: float) -> float:
    """Return 1ᵇ + 2ᵇ + … + nᵇ."""
    return math.fsum(n**exponent for n in range(1, boxes + 1))
