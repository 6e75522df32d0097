"""Rows of dimensions in the making: what stands in them, what is taken, where letters may go.

All in side coordinates, mm of paper: along a side of the drawing, and out from it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from palewright.geometry.polygons import Point
from palewright_drawings.paper.figure import Dimension
from palewright_drawings.paper.overlap_check import segment_in_box
from palewright_drawings.paper.text_metrics import Edges

BETWEEN = 1.4
"""Two texts in a line stand so much (mm) further apart than letters from lines."""

LEVEL_COST = 3.0
"""A level more in a row is worth as much as letters so much (mm) nearer to their dimension."""

_LEFT_OUT_COST = 1e5
"""A dimension left out costs more than all others placed badly, or cut off (1,000 each)."""


@dataclass(frozen=True, slots=True)
class DimensionSpan:
    """One dimension in side coordinates; roots are its points as (along, out)."""

    dimension: Dimension
    low: float
    high: float
    roots: tuple[Point, Point]

    @property
    def middle(self) -> float:
        """Half-way along it."""
        return (self.low + self.high) / 2


@dataclass(slots=True)
class DimensionRow:
    """One row: its dimensions, its levels of letters, and how far out its line is."""

    spans: list[DimensionSpan]
    levels: int = 1
    line: float = 0.0


@dataclass(frozen=True, slots=True)
class TextSpot:
    """Where letters go: their box, where they begin, and the lines that lead to them."""

    box: Edges
    start: Point
    runs: tuple[tuple[Point, Point], ...] = ()
    cost: float = 0.0


@dataclass(slots=True)
class TakenSpace:
    """What letters keep clear of: upright and level lines, other letters, leaders."""

    bars: list[Edges] = field(default_factory=list)
    letters: list[Edges] = field(default_factory=list)
    leaders: list[tuple[Point, Point]] = field(default_factory=list)

    def copy(self) -> TakenSpace:
        """Return the same, for more to be added."""
        return TakenSpace(list(self.bars), list(self.letters), list(self.leaders))

    def free(self, box: Edges, clear: float) -> bool:
        """Return whether a box keeps clear of all of it."""
        x0, y0, x1, y1 = box[0] - clear, box[1] - clear, box[2] + clear, box[3] + clear
        for a0, b0, a1, b1 in self.bars:
            if x0 < a1 and a0 < x1 and y0 < b1 and b0 < y1:
                return False
        x0, x1 = x0 - BETWEEN, x1 + BETWEEN
        for a0, b0, a1, b1 in self.letters:
            if x0 < a1 and a0 < x1 and y0 < b1 and b0 < y1:
                return False
        return not any(_crosses(run, box, clear) for run in self.leaders)

    def cut_by(self, run: tuple[Point, Point], clear: float) -> bool:
        """Return whether a line comes near letters."""
        return any(_crosses(run, box, clear) for box in self.letters)


def _crosses(run: tuple[Point, Point], box: Edges, clear: float) -> bool:
    """Return whether a line comes nearer to an upright box than ``clear``."""
    (ax, ay), (bx, by) = run
    x0, y0, x1, y1 = box
    if (ax < x0 - clear and bx < x0 - clear) or (ax > x1 + clear and bx > x1 + clear):
        return False
    if (ay < y0 - clear and by < y0 - clear) or (ay > y1 + clear and by > y1 + clear):
        return False
    return segment_in_box(run[0], run[1], _corners(box), clear)


def _corners(box: Edges) -> tuple[Point, ...]:
    """Return the corners of an upright box."""
    x0, y0, x1, y1 = box
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


@dataclass(slots=True)
class TextLayout:
    """Where texts go, which found no place, and how good that is: less is better."""

    spots: list[tuple[DimensionSpan, TextSpot]] = field(default_factory=list)
    left_out: list[DimensionSpan] = field(default_factory=list)
    levels: int = 0

    @property
    def cost(self) -> float:
        """How good it is."""
        found = sum(spot.cost for _, spot in self.spots)
        return found + self.levels * LEVEL_COST + len(self.left_out) * _LEFT_OUT_COST

    def cost_in(self, row: DimensionRow) -> float:
        """Return what the texts of one row cost."""
        found = sum(spot.cost for span, spot in self.spots if span in row.spans)
        return found + sum(_LEFT_OUT_COST for span in self.left_out if span in row.spans)


def in_rows(spans: Sequence[DimensionSpan]) -> list[list[DimensionSpan]]:
    """Return spans by rows, as asked for, but no two that cover each other in one row."""
    rows: list[list[DimensionSpan]] = []
    for asked in sorted({span.dimension.row for span in spans}):
        first = len(rows)
        these = [span for span in spans if span.dimension.row == asked]
        for span in sorted(these, key=lambda s: (s.low, s.high, s.dimension.what)):
            for row in rows[first:]:
                if all(s.high <= span.low + 1e-6 or span.high <= s.low + 1e-6 for s in row):
                    row.append(span)
                    break
            else:
                rows.append([span])
    return rows
