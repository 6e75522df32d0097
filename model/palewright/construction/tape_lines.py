"""Places that a tape has: whole eighths of an inch, or millimetres, from the nearer end of a board.

What is free to stand where it likes, such as a screw, stands there, so that it can be marked
without a jig. Measured from the nearer end, boards that are alike both ways stay so.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

_NOISE = 1e-6
"""mm: what lies so near a line lies on it."""


@dataclass(frozen=True, slots=True)
class Tape:
    """A tape along a board: its two ends, and from one line to the next, all mm."""

    low: float
    high: float
    step: float

    def lines(self, place: float) -> tuple[float, ...]:
        """Return the lines on both sides of a place, the nearer first; one if it is on a line.

        The middle between the ends is a line, too.
        """
        if abs(2 * place - self.low - self.high) < _NOISE:
            return (place,)
        from_low = place - self.low <= self.high - place + _NOISE
        away = place - self.low if from_low else self.high - place
        below = math.floor(away / self.step + _NOISE) * self.step
        above = math.ceil(away / self.step - _NOISE) * self.step
        found: tuple[float, ...] = (below, above)
        if below == above:
            found = (below,)
        elif round(above - away, 6) < round(away - below, 6):
            # halfway between two lines the nearer to the end, however floats err
            found = (above, below)
        return tuple(self.low + x if from_low else self.high - x for x in found)
