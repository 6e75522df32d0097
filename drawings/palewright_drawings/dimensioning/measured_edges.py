"""Sizes measured on the boards of a view: every end of a dimension is a corner of a board.

A ``Sight`` knows where each corner of each board is drawn. A dimension is asked for as two *edges*
of boards, such as the left edge of ``front.stile-left``; its points are corners on these edges, and
its text is what lies between them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from palewright.design import Design
from palewright.geometry.polygons import Point
from palewright.reading.lengths import degrees, tape_text
from palewright_drawings.paper.figure import AngleMark, Dimension, Side, WidthMark
from palewright_drawings.projection.projections import Projection

End = Literal["low", "high"]
Edge = tuple[str, End]
"""A board's name, and which of its edges: the left or lower (``low``), the right or upper."""

_SAME = 1e-6
"""Edges nearer to each other (mm) are one; a size that is no more is none."""

_ARC, _WIDEST_ARC = 6.5, 16.0
"""A small angle's radius grows (mm of paper) until its arc is so long, but no further than this."""

_ALIKE = 0.05
"""Sizes nearer to each other than this (mm, degrees) are one."""


def size_text(length: float, system: str, count: int = 1) -> str:
    """Return a size (mm) as drawings give it, such as ``16-1/2"`` or ``3 × 70 mm``.

    A hair more or less than a line of the tape is a sign, for want of room: ``3-1/4"-``.
    """
    text = tape_text(length, system).replace(" in", '"')
    for word, sign in ((" full", "+"), (" bare", "-")):
        text = text.replace(word, sign)
    return text if count == 1 else f"{count} × {text}"


@dataclass(frozen=True)
class Sight:
    """The boards of a design as one view shows them.

    Attributes:
        design: whose boards.
        projection: which way is right and up.
    """

    design: Design
    projection: Projection
    _corners: dict[str, tuple[Point, ...]] = field(default_factory=dict, repr=False, compare=False)

    @cached_property
    def system(self) -> str:
        """``inch`` or ``metric``."""
        return self.design.parameters.product.units

    def corners(self, board: str) -> tuple[Point, ...]:
        """Return where a board's corners are drawn, mm."""
        found = self._corners.get(board)
        if found is None:
            every = self.design.box.boards[board].corners
            found = self._corners[board] = tuple(self.projection.flat(point) for point in every)
        return found

    def reach(self, board: str, end: End, axis: int) -> float:
        """Return the least or greatest x (0) or y (1) of a board on the drawing, mm."""
        values = [corner[axis] for corner in self.corners(board)]
        return min(values) if end == "low" else max(values)

    def point(self, edge: Edge, side: Side) -> Point:
        """Return the corner on a board's edge that lies nearest to a side of the drawing."""
        board, end = edge
        axis = 0 if side in ("above", "below") else 1
        at = self.reach(board, end, axis)
        on_edge = [c for c in self.corners(board) if abs(c[axis] - at) < _SAME]
        far = max if side in ("above", "right") else min
        return far(on_edge, key=lambda corner: (corner[1 - axis], corner[axis]))

    def apart(self, start: Edge, end: Edge, axis: int) -> float:
        """Return how far the second edge lies to the right of the first, or above it, mm."""
        return self.reach(end[0], end[1], axis) - self.reach(start[0], start[1], axis)


@dataclass
class GivenSizes:
    """The sizes given so far in a set of views; nothing is given twice.

    Attributes:
        dimensions, angles, widths: by view, in the order in which they were given.
    """

    dimensions: dict[str, list[Dimension]] = field(default_factory=dict)
    angles: dict[str, list[AngleMark]] = field(default_factory=dict)
    widths: dict[str, list[WidthMark]] = field(default_factory=dict)
    _given: set[str] = field(default_factory=set)
    _values: dict[str, list[float]] = field(default_factory=dict)

    def new(self, what: str, alike: str = "", value: float = 0.0) -> bool:
        """Return whether a size is still to be given, and remember it.

        Args:
            what: what is measured.
            alike: a word for sizes that are one where they are equal, such as ``opening height``.
            value: mm or degrees, to tell them apart.
        """
        same = any(abs(value - other) < _ALIKE for other in self._values.get(alike, ()))
        if what in self._given or (alike and same):
            return False
        self._given.add(what)
        if alike:
            self._values.setdefault(alike, []).append(value)
        return True


@dataclass(frozen=True)
class View:
    """One view that is being given its sizes.

    Attributes:
        name: of the view.
        sight: where its boards are drawn.
        sizes: what all views were given so far.
    """

    name: str
    sight: Sight
    sizes: GivenSizes

    def has(self, board: str) -> bool:
        """Return whether the box has a board."""
        return board in self.sight.design.box.boards

    def size(
        self,
        what: str,
        side: Side,
        row: int,
        start: Edge,
        end: Edge,
        count: int = 1,
        alike: str = "",
    ) -> bool:
        """Give the size between two edges unless it was given before; return whether it was new.

        Args:
            what: what is measured: a key of the parameters or a few words.
            side: on which side of the drawing it stands.
            row: 0 is the nearest to the drawing.
            start: the left edge, or the lower one.
            end: the right edge, or the upper one.
            count: how often this size comes, where it is given once for all.
            alike: see ``GivenSizes.new``.
        """
        first, last = self.sight.point(start, side), self.sight.point(end, side)
        value = abs(last[0] - first[0] if side in ("above", "below") else last[1] - first[1])
        if value < _SAME or not self.sizes.new(what, alike, value):
            return False
        text = size_text(value, self.sight.system, count)
        made = Dimension(first, last, side, row, text, what)
        self.sizes.dimensions.setdefault(self.name, []).append(made)
        return True

    def angle(self, what: str, corner: Point, start: Point, end: Point) -> None:
        """Give an angle unless one equal to a twentieth of a degree was given before.

        Args:
            what: what is measured: a key of the parameters or a few words.
            corner: where the legs meet, mm of the drawing.
            start: on the first leg; the angle goes anticlockwise.
            end: on the other leg.
        """
        made = AngleMark(corner, start, end, "", what)
        if self.sizes.new(what, "angle", made.value):
            text = f"{degrees(made.value)}°"
            radius = min(_WIDEST_ARC, max(made.radius, _ARC / math.radians(made.value)))
            made = AngleMark(corner, start, end, text, what, radius)
            self.sizes.angles.setdefault(self.name, []).append(made)

    def width(self, what: str, start: Point, end: Point) -> None:
        """Give a slanted width unless it was given before."""
        if self.sizes.new(what):
            text = size_text(WidthMark(start, end, "", what).value, self.sight.system)
            self.sizes.widths.setdefault(self.name, []).append(WidthMark(start, end, text, what))
