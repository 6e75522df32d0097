"""Angles and slanted widths on paper: arcs and lines with arrows, letters where there is room."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from palewright.polygons import Point
from palewright_drawings.figure_styles import Style
from palewright_drawings.figures import AngleMark, WidthMark
from palewright_drawings.free_places import Wish, leader_to, set_free
from palewright_drawings.paper_marks import Mark, PathMark

_STEP = 4.0
"""Degrees from one point of an arc to the next, at most."""

_TAIL = 2.0
"""An arrow that points inward from outside has a line so long, in its own lengths."""


def angle_marks(angle: AngleMark, scale: float, style: Style, drawn: Sequence[Mark]) -> list[Mark]:
    """Return the arc, arrows, rays and letters of an angle.

    Letters stand as near to the middle of the arc as they are clear of ``drawn``; where that is
    not beside the arc, a leader runs to it.
    """
    corner = (angle.corner[0] * scale, -angle.corner[1] * scale)
    dx, dy = angle.start[0] - angle.corner[0], angle.start[1] - angle.corner[1]
    first = math.degrees(math.atan2(dy, dx))
    pen, radius, value = style.dimension_pen, angle.radius, angle.value
    rays = tuple(
        (corner, _turned(corner, radius + style.overshoot, first + turn)) for turn in (0.0, value)
    )
    count = max(2, math.ceil(value / _STEP))
    arc = tuple(_turned(corner, radius, first + value * i / count) for i in range(count + 1))
    marks: list[Mark] = [
        PathMark("extension", rays, width=pen.width, colour=pen.colour),
        PathMark("dimension", (arc,), width=pen.width, colour=pen.colour),
    ]
    if math.radians(value) * radius > 2.5 * style.arrow:
        for turn, way in ((0.0, 1.0), (value, -1.0)):
            tail = first + turn + math.degrees(style.arrow / radius) * way
            marks.append(
                _arrow(_turned(corner, radius, first + turn), _turned(corner, radius, tail), style)
            )
    middle = first + value / 2
    wishes = _round_arc(angle, corner, middle)
    letters = set_free(angle.text, angle.what, wishes, style, [*drawn, *marks])
    leader = leader_to(letters, _turned(corner, radius, middle), style, 3.0)
    return [*marks, *leader, letters]


def _round_arc(angle: AngleMark, corner: Point, middle: float) -> Iterator[Wish]:
    """Yield places near the middle of an arc and further off; beyond its rays they cost more."""
    for step in range(30):
        for sign in (1, -1):
            radius = angle.radius + sign * (2.0 + 0.75 * step)
            if radius < 3:
                continue
            for turn in range(0, 100, 4):
                cost = abs(radius - angle.radius) + radius * math.radians(turn) * 0.9
                cost += 4.0 if turn > angle.value / 2 else 0.0
                for way in (1, -1) if turn else (1,):
                    yield Wish(cost, _turned(corner, radius, middle + way * turn))


def width_marks(width: WidthMark, scale: float, style: Style, drawn: Sequence[Mark]) -> list[Mark]:
    """Return the line, arrows and letters of a slanted width.

    Where the arrows have no room between its ends, they point inward from outside; letters stand
    past one of its ends.
    """
    start, end = ((x * scale, -y * scale) for x, y in (width.start, width.end))
    long = math.dist(start, end)
    along = (end[0] - start[0]) / long, (end[1] - start[1]) / long
    inside = long > 3 * style.arrow

    def off(distance: float) -> Point:
        """Return the point so far from the start along the line."""
        return start[0] + along[0] * distance, start[1] + along[1] * distance

    tail = style.arrow * _TAIL
    pen = style.dimension_pen
    arrow = style.arrow if inside else -style.arrow
    marks: list[Mark] = [
        PathMark(
            "dimension", ((off(-tail), off(long + tail)),), width=pen.width, colour=pen.colour
        ),
        _arrow(start, off(arrow), style),
        _arrow(end, off(long - arrow), style),
    ]
    wishes = (
        Wish(step * 0.8 + abs(aside) * 0.9, _aside(off(place), along, aside))
        for step in range(30)
        for place in (-tail - 2.0 - 0.8 * step, long + tail + 2.0 + 0.8 * step)
        for aside in (0.0, 2, -2, 4, -4, 6, -6, 8, -8, 11, -11, 14, -14, 18, -18)
    )
    letters = set_free(width.text, width.what, wishes, style, [*drawn, *marks])
    ends = (off(-tail), off(long + tail))
    middle = ((letters.edges[0] + letters.edges[2]) / 2, (letters.edges[1] + letters.edges[3]) / 2)
    near = min(ends, key=lambda point: math.dist(point, middle))
    return [*marks, *leader_to(letters, near, style, 1.2), letters]


def _aside(point: Point, along: Point, by: float) -> Point:
    """Return a point moved square to a direction."""
    return point[0] - along[1] * by, point[1] + along[0] * by


def _turned(corner: Point, radius: float, degrees: float) -> Point:
    """Return the point so far from a corner in a direction, on paper."""
    turn = math.radians(degrees)
    return corner[0] + radius * math.cos(turn), corner[1] - radius * math.sin(turn)


def _arrow(tip: Point, tail: Point, style: Style) -> PathMark:
    """Return a filled arrow from the middle of its broad end to its tip, a third as wide."""
    long = math.dist(tip, tail)
    nx, ny = (tail[1] - tip[1]) / long, (tip[0] - tail[0]) / long
    half = style.arrow / 6
    run = (
        tip,
        (tail[0] + nx * half, tail[1] + ny * half),
        (tail[0] - nx * half, tail[1] - ny * half),
    )
    return PathMark("dimension", (run,), closed=True, fill=style.ink)
