"""An angle on paper: its arc with arrows, its rays, and letters where nothing else is."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from palewright.polygons import Point
from palewright_drawings.figure_styles import Style
from palewright_drawings.figures import AngleMark
from palewright_drawings.mark_overlaps import segment_in_box
from palewright_drawings.paper_marks import Edges, Mark, PathMark, RoundMark, TextMark
from palewright_drawings.text_widths import text_width

_STEP = 4.0
"""Degrees from one point of an arc to the next, at most."""


def angle_marks(angle: AngleMark, scale: float, style: Style, drawn: Sequence[Mark]) -> list[Mark]:
    """Return the arc, arrows, rays and letters of an angle.

    Letters stand as near to the middle of the arc as they are clear of ``drawn``; where that is
    not beside the arc, a leader runs to it.
    """
    corner = (angle.corner[0] * scale, -angle.corner[1] * scale)
    first = math.degrees(
        math.atan2(angle.start[1] - angle.corner[1], angle.start[0] - angle.corner[0])
    )
    pen, radius = style.dimension_pen, angle.radius
    marks: list[Mark] = []
    rays = tuple(
        (corner, _turned(corner, radius + style.overshoot, first + turn))
        for turn in (0.0, angle.value)
    )
    marks.append(PathMark("extension", rays, width=pen.width, colour=pen.colour))
    count = max(2, math.ceil(angle.value / _STEP))
    arc = tuple(_turned(corner, radius, first + angle.value * i / count) for i in range(count + 1))
    marks.append(PathMark("dimension", (arc,), width=pen.width, colour=pen.colour))
    if math.radians(angle.value) * radius > 2.5 * style.arrow:
        for turn, way in ((0.0, 1.0), (angle.value, -1.0)):
            marks.append(_arrow(corner, radius, first + turn, way, style))
    middle = first + angle.value / 2
    marks += _letters(angle, corner, middle, style, [*drawn, *marks])
    return marks


def _turned(corner: Point, radius: float, degrees: float) -> Point:
    """Return the point so far from a corner in a direction, on paper."""
    turn = math.radians(degrees)
    return corner[0] + radius * math.cos(turn), corner[1] - radius * math.sin(turn)


def _arrow(corner: Point, radius: float, degrees: float, way: float, style: Style) -> PathMark:
    """Return a filled arrow whose point lies on a ray; ``way`` is where its tail lies."""
    back = math.degrees(style.arrow / radius) * way
    tip, half = _turned(corner, radius, degrees), style.arrow / 6
    tail = degrees + back
    run = (tip, _turned(corner, radius - half, tail), _turned(corner, radius + half, tail))
    return PathMark("dimension", (run,), closed=True, fill=style.ink)


def _letters(
    angle: AngleMark, corner: Point, middle: float, style: Style, drawn: Sequence[Mark]
) -> Iterator[Mark]:
    """Yield the letters of an angle, with a leader where they stand away from its arc."""
    pen, clear = style.dimension_pen, style.clear
    best = None
    for cost, centre in _places(angle, corner, middle):
        if best is None or cost < best[0]:
            text = _text(angle, centre, style)
            if _clear(text, drawn, clear):
                best = (cost, text, centre)
    if best is None:
        text, centre = _outside(angle, corner, style, drawn)
    else:
        _, text, centre = best
    arc_point = _turned(corner, angle.radius, middle)
    if (
        math.dist(arc_point, centre)
        > text_width(angle.text, style.text) / 2 + 3.5 * style.clear + 3
    ):
        x0, y0, x1, y1 = text.edges
        end = (
            min(max(arc_point[0], x0 - clear), x1 + clear),
            min(max(arc_point[1], y0 - clear), y1 + clear),
        )
        if end != arc_point:
            yield PathMark("leader", ((arc_point, end),), width=pen.width, colour=pen.colour)
    yield text


def _places(angle: AngleMark, corner: Point, middle: float) -> Iterator[tuple[float, Point]]:
    """Yield (cost, place of the letters' middle), near the middle of the arc and further off."""
    for step in range(30):
        for sign in (1, -1):
            radius = angle.radius + sign * (2.0 + 0.75 * step)
            if radius < 3:
                continue
            for turn in range(0, 100, 4):
                for way in (1, -1):
                    degrees = middle + way * turn
                    outside = turn > angle.value / 2
                    cost = abs(radius - angle.radius) + radius * math.radians(turn) * 0.9
                    yield cost + (4.0 if outside else 0.0), _turned(corner, radius, degrees)


def _text(angle: AngleMark, centre: Point, style: Style) -> TextMark:
    """Return the letters of an angle about a place."""
    wide = text_width(angle.text, style.text)
    start = (centre[0] - wide / 2, centre[1] + style.text / 2)
    return TextMark(angle.text, start, style.text, colour=style.ink, what=angle.what)


def _clear(text: TextMark, drawn: Sequence[Mark], clear: float) -> bool:
    """Return whether letters keep clear of all that is drawn."""
    x0, y0, x1, y1 = text.edges
    for mark in drawn:
        if isinstance(mark, TextMark):
            if _near((x0, y0, x1, y1), mark.edges, 2 * clear):
                return False
        elif mark.kind != "fill" and _near((x0, y0, x1, y1), mark.edges, clear):
            by = clear + mark.width / 2
            if isinstance(mark, RoundMark) and mark.fill:
                return False
            if any(segment_in_box(a, b, text.box, by) for a, b in mark.segments()):
                return False
    return True


def _near(one: Edges, other: Edges, by: float) -> bool:
    """Return whether two upright boxes come nearer than ``by``."""
    return (
        one[0] - by < other[2]
        and other[0] - by < one[2]
        and one[1] - by < other[3]
        and other[1] - by < one[3]
    )


def _outside(
    angle: AngleMark, corner: Point, style: Style, drawn: Sequence[Mark]
) -> tuple[TextMark, Point]:
    """Return the letters to the right of everything, where nothing nearer was free."""
    right = max(mark.edges[2] for mark in drawn)
    wide = text_width(angle.text, style.text)
    y = corner[1]
    while True:
        centre = (right + 3.0 + wide / 2, y)
        text = _text(angle, centre, style)
        if _clear(text, drawn, style.clear):
            return text, centre
        y -= 2 * style.text
