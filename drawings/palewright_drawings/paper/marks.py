"""What is drawn on paper, as data: paths, circles and lines of text with exact boxes.

Millimetres of paper, x to the right and y down from the sheet's upper left corner, as printers and
SVG count. Angles are anticlockwise as seen.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

from palewright.geometry.polygons import Point, Polygon, bounds
from palewright_drawings.paper.figure import Figure
from palewright_drawings.paper.text_metrics import Edges, Face, text_ink

MarkKind = Literal[
    "fill",  # an area of the drawing
    "stroke",  # a line of the drawing
    "extension",  # from the drawing to a dimension line
    "dimension",  # a dimension line, an arc of an angle, their ends
    "leader",  # from a text to what it tells of
    "ring",  # round the mark of a part
    "frame",  # of a page and its title block
]
"""What a mark is for: lines of every kind but ``fill`` keep clear of letters."""


@dataclass(frozen=True, slots=True)
class PathMark:
    """Runs of straight lines.

    Attributes:
        kind: what it is for.
        runs: points of each run, mm of paper.
        closed: whether each run goes back to its first point.
        width: of the line, mm; 0 for none.
        colour: of the line.
        dashes: dash, gap, dash … mm; () is unbroken.
        fill: colour of what is inside, holes left out by the even-odd rule; empty for none.
        what: what a dimension line measures; empty for other lines.
    """

    kind: MarkKind
    runs: tuple[tuple[Point, ...], ...]
    closed: bool = False
    width: float = 0.0
    colour: str = ""
    dashes: tuple[float, ...] = ()
    fill: str = ""
    what: str = ""

    @property
    def edges(self) -> Edges:
        """What it covers, with half its line's width."""
        x0, y0, x1, y1 = bounds(tuple(point for run in self.runs for point in run))
        half = self.width / 2
        return x0 - half, y0 - half, x1 + half, y1 + half

    def segments(self) -> Iterator[tuple[Point, Point]]:
        """Yield the straight pieces of its lines."""
        for run in self.runs:
            yield from itertools.pairwise(run)
            if self.closed and len(run) > 2:
                yield run[-1], run[0]

    def moved(self, dx: float, dy: float) -> PathMark:
        """Return it shifted to the right and down."""
        runs = tuple([tuple([(x + dx, y + dy) for x, y in run]) for run in self.runs])
        # tens of thousands are moved for a packet, and `replace` takes twice as long
        return PathMark(
            self.kind, runs, self.closed, self.width, self.colour, self.dashes, self.fill, self.what
        )


@dataclass(frozen=True, slots=True)
class RoundMark:
    """A circle: centre and radius in mm of paper; the rest as in a path."""

    kind: MarkKind
    centre: Point
    radius: float
    width: float = 0.0
    colour: str = ""
    dashes: tuple[float, ...] = ()
    fill: str = ""

    @property
    def edges(self) -> Edges:
        """What it covers, with half its line's width."""
        (x, y), r = self.centre, self.radius + self.width / 2
        return x - r, y - r, x + r, y + r

    def segments(self) -> Iterator[tuple[Point, Point]]:
        """Yield 32 chords that stand for its line."""
        (x, y), r = self.centre, self.radius
        angles = [2 * math.pi * i / 32 for i in range(33)]
        points = [(x + r * math.cos(a), y + r * math.sin(a)) for a in angles]
        yield from itertools.pairwise(points)

    def moved(self, dx: float, dy: float) -> RoundMark:
        """Return it shifted to the right and down."""
        return replace(self, centre=(self.centre[0] + dx, self.centre[1] + dy))


@dataclass(frozen=True)
class TextMark:
    """One line of text.

    Attributes:
        text: what is written.
        start: left end of its base line, mm of paper.
        capitals: height of capitals, mm.
        face: which of the fonts.
        angle: degrees anticlockwise from level.
        colour: of the letters.
        what: what it tells of: a dimension's ``what``, ``label`` or ``title``.
    """

    text: str
    start: Point
    capitals: float
    face: Face = "regular"
    angle: float = 0.0
    colour: str = "#000000"
    what: str = "label"

    @cached_property
    def box(self) -> Polygon:
        """The four corners of the rectangle that its ink fills, mm of paper."""
        x0, y0, x1, y1 = text_ink(self.text, self.capitals, self.face)
        turn = math.radians(self.angle)
        cos, sin = round(math.cos(turn), 12), round(math.sin(turn), 12)
        sx, sy = self.start
        return tuple(
            (sx + x * cos - y * sin, sy - x * sin - y * cos)
            for x, y in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
        )

    @property
    def edges(self) -> Edges:
        """What it covers."""
        return bounds(self.box)

    def moved(self, dx: float, dy: float) -> TextMark:
        """Return it shifted to the right and down."""
        return replace(self, start=(self.start[0] + dx, self.start[1] + dy))


Mark = PathMark | RoundMark | TextMark


@dataclass(frozen=True)
class Placed:
    """A figure on paper.

    Attributes:
        figure: what was placed.
        scale: mm of paper for one mm of the model.
        origin: where the model's (0, 0) comes to lie, mm of paper.
        marks: in the order in which they are drawn.
        width, height: of all marks, mm: they fill it from (0, 0).
    """

    figure: Figure
    scale: float
    origin: Point
    marks: tuple[Mark, ...]
    width: float
    height: float

    def at(self, point: Point) -> Point:
        """Return where a point of the model comes to lie, mm of paper."""
        x, y = point
        return self.origin[0] + x * self.scale, self.origin[1] - y * self.scale


def edges_of(marks: Iterable[Mark]) -> Edges:
    """Return what marks cover together, mm of paper; all zeros where there are none."""
    every = [mark.edges for mark in marks]
    if not every:
        return 0.0, 0.0, 0.0, 0.0
    return (
        min(edges[0] for edges in every),
        min(edges[1] for edges in every),
        max(edges[2] for edges in every),
        max(edges[3] for edges in every),
    )


def moved_marks(marks: Iterable[Mark], dx: float, dy: float) -> tuple[Mark, ...]:
    """Return marks shifted to the right and down."""
    return tuple(mark.moved(dx, dy) for mark in marks)
