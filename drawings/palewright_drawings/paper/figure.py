"""A drawing as data: strokes on named layers, circles, fills, labels and dimensions.

A figure is in millimetres of the model, x to the right and y up, and knows nothing of paper: the
scale, line widths, dashes and arrows are chosen where it is placed on a page or written to a file.
Only the size of letters and the rows of dimensions are counted on paper, since they must read at
any scale.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Literal

from palewright.geometry.polygons import Point, Polygon

Layer = Literal[
    "visible",  # edges that are seen
    "hidden",  # edges behind something
    "thin",  # what is seen but not what the picture is about
    "cut",  # outline of what a section cuts through
    "hatch",  # hatching of it
    "centre",  # middle lines and hole crosses
    "path",  # the way a part moves home
    "mark",  # what a pencil draws on the wood; screws that are being driven
    "frame",  # page frames, tables, board blanks
]
"""What a line means; its width and dash are the style's."""

Tone = Literal["paper", "wood", "new", "grain", "waste", "steel", "jig"]
"""What an area is; its colour is the style's."""

Anchor = Literal["centre", "left", "right", "above", "below"]
"""Which point of a text is placed: its middle, the middle of its left or right edge, or the middle
of its lower (``above``) or upper (``below``) edge, so that it stands above or below the place."""

Side = Literal["above", "below", "left", "right"]


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line through points, mm; closed: back to the first. ``board`` names whose edge it is."""

    layer: Layer
    points: tuple[Point, ...]
    closed: bool = False
    board: str = ""


@dataclass(frozen=True, slots=True)
class Round:
    """A circle, mm."""

    layer: Layer
    centre: Point
    radius: float
    board: str = ""


@dataclass(frozen=True, slots=True)
class Fill:
    """An area within a ring, mm; ``holes`` are left out. Later fills lie over earlier ones.

    ``shade`` says how much darker than its tone it is, from 0 to 1: faces turned from the light,
    boards that lie deeper.
    """

    tone: Tone
    ring: Polygon
    holes: tuple[Polygon, ...] = ()
    board: str = ""
    shade: float = 0.0


@dataclass(frozen=True, slots=True)
class Label:
    """A text at a place of the model.

    Attributes:
        text: one line.
        at: mm of the model.
        size: height of capitals on paper, mm.
        anchor: which point of the text is at the place.
        angle: degrees anticlockwise from level.
        tip: what it points to, mm of the model; a leader runs there from the text. None: none.
        ringed: in a ring, as marks of parts are.
    """

    text: str
    at: Point
    size: float = 2.5
    anchor: Anchor = "centre"
    angle: float = 0.0
    tip: Point | None = None
    ringed: bool = False


@dataclass(frozen=True, slots=True)
class Dimension:
    """A level or upright size between two points, in a row of a chain beside the drawing.

    Attributes:
        start, end: what is measured, mm of the model.
        side: the side of the whole figure on which the row stands; above and below measure along
            x, left and right along y.
        row: 0 is the row nearest to the drawing; rows are so far apart as the style says, on paper.
        text: as printed.
        what: what is measured: a key of the parameters or a few words; unique in a figure.
    """

    start: Point
    end: Point
    side: Side
    row: int
    text: str
    what: str

    @property
    def value(self) -> float:
        """The measured distance, mm."""
        axis = 0 if self.side in ("above", "below") else 1
        return abs(self.end[axis] - self.start[axis])


@dataclass(frozen=True, slots=True)
class AngleMark:
    """An angle at a corner: anticlockwise from the ray to ``start`` to the ray to ``end``.

    ``radius`` is on paper, mm; all points are mm of the model.
    """

    corner: Point
    start: Point
    end: Point
    text: str
    what: str
    radius: float = 9.0

    @property
    def value(self) -> float:
        """The angle in degrees, 0 to 360."""
        rays = [math.atan2(p[1] - self.corner[1], p[0] - self.corner[0])
                for p in (self.start, self.end)]  # fmt: skip
        return math.degrees((rays[1] - rays[0]) % (2 * math.pi))


@dataclass(frozen=True, slots=True)
class WidthMark:
    """The width of something that lies aslant: between two points, mm of the model."""

    start: Point
    end: Point
    text: str
    what: str

    @property
    def value(self) -> float:
        """The measured distance, mm."""
        return math.dist(self.start, self.end)


@dataclass(frozen=True, slots=True)
class Figure:
    """One drawing.

    Attributes:
        name: short and unique in a plan: ``front``, ``step-3``.
        title: what stands below it.
        alt: what it shows, in words, for who does not see it.
    """

    name: str
    title: str
    alt: str
    strokes: tuple[Stroke, ...] = ()
    rounds: tuple[Round, ...] = ()
    fills: tuple[Fill, ...] = ()
    labels: tuple[Label, ...] = ()
    dimensions: tuple[Dimension, ...] = ()
    angles: tuple[AngleMark, ...] = ()
    widths: tuple[WidthMark, ...] = ()

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Least x and y, greatest x and y of strokes, circles and fills, mm of the model.

        Raises:
            ValueError: if there is nothing in it.
        """
        points = list(self._points())
        if not points:
            raise ValueError(f"figure {self.name} is empty")
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        return min(xs), min(ys), max(xs), max(ys)

    def _points(self) -> Iterator[Point]:
        """Yield the points that the drawing reaches."""
        for stroke in self.strokes:
            yield from stroke.points
        for fill in self.fills:
            yield from fill.ring
        for one in self.rounds:
            (x, y), r = one.centre, one.radius
            yield from ((x - r, y - r), (x + r, y + r))

    def with_marks(
        self,
        dimensions: Iterable[Dimension] = (),
        labels: Iterable[Label] = (),
        angles: Iterable[AngleMark] = (),
        widths: Iterable[WidthMark] = (),
    ) -> Figure:
        """Return the same drawing with more dimensions, labels, angles and widths.

        Args:
            dimensions: to add.
            labels: to add.
            angles: to add.
            widths: to add.
        """
        return replace(
            self,
            dimensions=(*self.dimensions, *dimensions),
            labels=(*self.labels, *labels),
            angles=(*self.angles, *angles),
            widths=(*self.widths, *widths),
        )
