"""Where words find room on a plate: clear of guide holes, borders and each other."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from palewright.geometry.polygons import Point
from palewright.jigs.records import Drill, Words

LETTER_ADVANCE = 0.86
"""A letter with the space after it is so wide, in heights of capitals; all letters alike."""

_LINE = 1.75
_SHARES = (1.0, 0.85, 0.7, 0.55, 0.42)
_BORDER = 4.0
_CLEAR = 2.5
_GRID = 2.0
LEAST_LETTER = 3.0
"""A lower letter (mm) fills up when it is cut with a common engraving bit (practice)."""


def text_width(text: str, height: float) -> float:
    """Return how wide (mm) a line of engraved text is."""
    return (len(text) * LETTER_ADVANCE - 0.24) * height


class Room:
    """The free area of a rectangular part, and what has been written on it."""

    def __init__(
        self, low: Point, high: Point, drills: Iterable[Drill], border: float = _BORDER
    ) -> None:
        """Take two opposite corners and the holes, mm."""
        self.low = (low[0] + border, low[1] + border)
        self.high = (high[0] - border, high[1] - border)
        self.rounds = [(*drill.centre, drill.diameter / 2 + _CLEAR) for drill in drills]
        self.taken: list[tuple[float, float, float, float]] = []

    def spot(self, wide: float, high: float, near: Point) -> Point | None:
        """Return the lower left corner of the free rectangle nearest to a point; None for none."""
        span_x, span_y = self.high[0] - self.low[0] - wide, self.high[1] - self.low[1] - high
        if span_x < 0 or span_y < 0:
            return None
        xs = self.low[0] + np.linspace(0.0, span_x, max(2, int(span_x / _GRID) + 1))[None, :]
        ys = self.low[1] + np.linspace(0.0, span_y, max(2, int(span_y / _GRID) + 1))[:, None]
        free = np.ones((ys.shape[0], xs.shape[1]), dtype=np.bool_)
        for x, y, radius in self.rounds:
            dx = np.maximum(np.maximum(xs - x, x - xs - wide), 0.0)
            dy = np.maximum(np.maximum(ys - y, y - ys - high), 0.0)
            free &= dx * dx + dy * dy > radius * radius
        for x0, y0, x1, y1 in self.taken:
            beside = (xs > x1) | (xs + wide < x0) | (ys > y1) | (ys + high < y0)
            free &= beside
        if not free.any():
            return None
        away = (xs + wide / 2 - near[0]) ** 2 + (ys + high / 2 - near[1]) ** 2
        row, column = np.unravel_index(int(np.where(free, away, np.inf).argmin()), free.shape)
        return float(xs[0, int(column)]), float(ys[int(row), 0])

    def write(
        self, lines: Sequence[str], height: float, near: Point, upright: bool = False
    ) -> list[Words]:
        """Return some lines of text as one block near a point, smaller where room is short.

        Empty where there is no room even for small letters.

        Args:
            lines: of text.
            height: of capitals, mm.
            near: the block's middle, if it can be.
            upright: lines run up the plate.
        """
        for share in _SHARES:
            size = height * share
            if size < min(LEAST_LETTER, height):
                break
            long = max(text_width(line, size) for line in lines)
            deep = size * (1 + _LINE * (len(lines) - 1))
            wide, high = (deep, long) if upright else (long, deep)
            spot = self.spot(wide, high, near)
            if spot is None:
                continue
            x, y = spot
            gap = size * 0.8
            self.taken.append((x - gap, y - gap, x + wide + gap, y + high + gap))
            steps = [size * _LINE * i for i in range(len(lines))]
            if upright:
                return [
                    Words(line, (x + size + step, y), size, 90.0)
                    for line, step in zip(lines, steps, strict=True)
                ]
            return [
                Words(line, (x, y + deep - size - step), size)
                for line, step in zip(lines, steps, strict=True)
            ]
        return []

    def write_all(
        self, lines: Sequence[str], height: float, near: Point, upright: bool = False
    ) -> list[Words]:
        """Return lines as one block, or each by itself, the longest first, where that has no room.

        Args:
            lines: of text.
            height: of capitals, mm.
            near: the block's middle, if it can be.
            upright: lines run up the plate.
        """
        block = self.write(lines, height, near, upright)
        if block:
            return block
        alone = {
            line: self.write([line], height, near, upright)
            for line in sorted(lines, key=lambda one: -text_width(one, height))
        }
        return [words for line in lines for words in alone[line]]
