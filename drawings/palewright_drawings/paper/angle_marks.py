"""Angles and slanted widths on paper: arcs and lines with arrows, letters where there is room.

Places for letters are tried outward in steps of a line's breadth or so; a place costs its distance
in mm, and more beyond the rays. Steps and costs are judged by eye.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from palewright.geometry.polygons import Point
from palewright_drawings.paper.figure import AngleMark, WidthMark
from palewright_drawings.paper.label_placement import Wish, set_free
from palewright_drawings.paper.marks import Mark, PathMark
from palewright_drawings.paper.styles import Style

_STEP = 4.0
"""Degrees from one point of an arc to the next, at most."""

_TAIL = 2.0
"""An arrow that points inward from outside has a line so long, in its own lengths."""


def slanted_marks(
    angles: Sequence[AngleMark],
    widths: Sequence[WidthMark],
    scale: float,
    style: Style,
    drawn: Sequence[Mark],
) -> list[Mark]:
    """Return arcs, rays, lines and arrows of angles and slanted widths, and their letters.

    All lines are drawn first. Letters stand as near as they are clear of ``drawn`` and of these
    lines; where that is not beside the arc or the end of a width, a leader runs to them.

    Args:
        angles: in the coordinates of the drawing.
        widths: the same.
        scale: mm of paper for one mm of the model.
        style: widths of lines, heights of letters.
        drawn: what is there already, mm of paper.
    """
    lines = [mark for angle in angles for mark in _arc(angle, scale, style)]
    lines += [mark for width in widths for mark in _line(width, scale, style)]
    done = [*drawn, *lines]
    for angle in angles:
        corner, middle = _corner(angle, scale), _first(angle) + angle.value / 2
        wishes = _round_arc(angle, corner, middle)
        starts = [_turned(corner, angle.radius, middle)]
        done += set_free(angle.text, angle.what, wishes, starts, 3.0, style, done)
    for width in widths:
        starts = list(_ends(width, scale, style))
        done += set_free(width.text, width.what, _past(starts), starts, 1.2, style, done)
    return done[len(drawn) :]


def _corner(angle: AngleMark, scale: float) -> Point:
    """Return an angle's corner on paper."""
    return angle.corner[0] * scale, -angle.corner[1] * scale


def _first(angle: AngleMark) -> float:
    """Return the direction of an angle's first ray, degrees."""
    dx, dy = angle.start[0] - angle.corner[0], angle.start[1] - angle.corner[1]
    return math.degrees(math.atan2(dy, dx))


def _arc(angle: AngleMark, scale: float, style: Style) -> Iterator[Mark]:
    """Yield the rays, the arc and the arrows of an angle."""
    corner, first = _corner(angle, scale), _first(angle)
    pen, radius, value = style.dimension_pen, angle.radius, angle.value
    rays = tuple(
        (corner, _turned(corner, radius + style.overshoot, first + turn)) for turn in (0.0, value)
    )
    count = max(2, math.ceil(value / _STEP))
    arc = tuple(_turned(corner, radius, first + value * i / count) for i in range(count + 1))
    yield PathMark("extension", rays, width=pen.width, colour=pen.colour)
    yield PathMark("dimension", (arc,), width=pen.width, colour=pen.colour)
    if math.radians(value) * radius > 2.5 * style.arrow:
        for turn, way in ((0.0, 1.0), (value, -1.0)):
            tail = first + turn + math.degrees(style.arrow / radius) * way
            tip = _turned(corner, radius, first + turn)
            yield _arrow(tip, _turned(corner, radius, tail), style)


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


def _ends(width: WidthMark, scale: float, style: Style) -> tuple[Point, Point]:
    """Return both ends of the line of a slanted width: past what it measures."""
    start, end = ((x * scale, -y * scale) for x, y in (width.start, width.end))
    share = style.arrow * _TAIL / math.dist(start, end)
    dx, dy = (end[0] - start[0]) * share, (end[1] - start[1]) * share
    return (start[0] - dx, start[1] - dy), (end[0] + dx, end[1] + dy)


def _line(width: WidthMark, scale: float, style: Style) -> Iterator[Mark]:
    """Yield the line and the arrows of a slanted width.

    Where the arrows have no room between its ends, they point inward from outside.
    """
    start, end = ((x * scale, -y * scale) for x, y in (width.start, width.end))
    pen, long = style.dimension_pen, math.dist(start, end)
    share = style.arrow / long if long > 3 * style.arrow else -style.arrow / long
    dx, dy = (end[0] - start[0]) * share, (end[1] - start[1]) * share
    run = _ends(width, scale, style)
    what = width.what
    yield PathMark("dimension", (run,), width=pen.width, colour=pen.colour, what=what)
    yield _arrow(start, (start[0] + dx, start[1] + dy), style)
    yield _arrow(end, (end[0] - dx, end[1] - dy), style)


def _past(ends: Sequence[Point]) -> Iterator[Wish]:
    """Yield places past either end of a slanted width's line, and to both sides of them."""
    (x0, y0), (x1, y1) = ends
    long = math.dist(*ends)
    along = (x1 - x0) / long, (y1 - y0) / long
    for step in range(30):
        for end, way in ((ends[0], -1.0), (ends[1], 1.0)):
            off = way * (2.0 + 0.8 * step)
            place = end[0] + along[0] * off, end[1] + along[1] * off
            for aside in (0.0, 2, -2, 4, -4, 6, -6, 8, -8, 11, -11, 14, -14, 18, -18):
                yield Wish(step * 0.8 + abs(aside) * 0.9, _aside(place, along, aside))


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
