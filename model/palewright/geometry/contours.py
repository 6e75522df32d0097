"""Outlines that a router can cut: straight edges and arcs, inner corners relieved for its bit.

A contour is a closed run of (x, y, bulge) in mm, counter-clockwise round what stays. The bulge
belongs to the way to the next corner: the tangent of a quarter of the arc's angle, positive where
it turns left, 0 for a straight edge (the convention of DXF polylines).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from palewright.geometry.polygons import Point, Polygon

Contour = tuple[tuple[float, float, float], ...]

HALF_ROUND = 1.0
"""Bulge of half a circle that turns left."""

_QUARTER = math.tan(math.pi / 8)
"""Bulge of a quarter of a circle: the tangent of a quarter of its angle."""

_HAIR = 0.1
"""Reliefs are so much (mm) wider than the bit, each way, so that it turns without forcing."""


def relief_radius(tool: float) -> float:
    """Return the radius (mm) of inner corners for a bit of some diameter."""
    return tool / 2 + _HAIR


@dataclass(frozen=True, slots=True)
class Notch:
    """A square notch in an edge: from and to (mm along the edge) and how deep, mm."""

    start: float
    end: float
    depth: float


def straight(corners: Iterable[Point]) -> Contour:
    """Return a contour without arcs."""
    return tuple((x, y, 0.0) for x, y in corners)


def rounded_inside(corners: Sequence[Point], radius: float) -> Contour:
    """Return a contour whose inner corners are rounded to a radius (mm), as the bit leaves them.

    Args:
        corners: counter-clockwise; neighbours at an inner corner meet square.
        radius: of the rounding.
    """
    found: list[tuple[float, float, float]] = []
    for before, here, after in zip(
        (corners[-1], *corners[:-1]), corners, (*corners[1:], corners[0]), strict=True
    ):
        along, onward = _unit(before, here), _unit(here, after)
        if along[0] * onward[1] - along[1] * onward[0] > -1e-9:
            found.append((*here, 0.0))
            continue
        found.append((here[0] - along[0] * radius, here[1] - along[1] * radius, -_QUARTER))
        found.append((here[0] + onward[0] * radius, here[1] + onward[1] * radius, 0.0))
    return tuple(found)


def relieved(corners: Sequence[tuple[Point, str]], radius: float) -> Contour:
    """Return a contour whose marked inner corners are relieved by a half round beside them.

    Args:
        corners: counter-clockwise; each with the edge that is hollowed out beside it, ``before``
            or ``after``, or an empty word where nothing is to be relieved. What fits into the
            corner bears on the other edge over all its length.
        radius: of the reliefs, mm; at most half the length of the hollowed edge.
    """
    found: list[tuple[float, float, float]] = []
    for i, ((x, y), hollow) in enumerate(corners):
        if hollow == "before":
            dx, dy = _unit(corners[i - 1][0], (x, y))
            found.append((x - 2 * radius * dx, y - 2 * radius * dy, -HALF_ROUND))
            found.append((x, y, 0.0))
        elif hollow == "after":
            dx, dy = _unit((x, y), corners[(i + 1) % len(corners)][0])
            found.append((x, y, -HALF_ROUND))
            found.append((x + 2 * radius * dx, y + 2 * radius * dy, 0.0))
        else:
            found.append((x, y, 0.0))
    return tuple(found)


def notched(contour: Contour, edge: int, notches: Sequence[Notch], radius: float) -> Contour:
    """Return a contour with notches in one of its straight edges, relieved at their bottoms.

    The reliefs are half rounds beside the notch, so that its bottom, which a fence bears on, stays
    whole from wall to wall.

    Args:
        contour: what is notched.
        edge: index of the edge's first corner.
        notches: in order along the edge.
        radius: of the reliefs, mm; at most half the depth.
    """
    x0, y0, _ = contour[edge]
    x1, y1, _ = contour[(edge + 1) % len(contour)]
    (dx, dy) = _unit((x0, y0), (x1, y1))
    found = [contour[edge]]
    for notch in notches:
        shoulder = notch.depth - 2 * radius
        for along, deep, bulge in (
            (notch.start, 0.0, 0.0),
            (notch.start, shoulder, -HALF_ROUND),
            (notch.start, notch.depth, 0.0),
            (notch.end, notch.depth, -HALF_ROUND),
            (notch.end, shoulder, 0.0),
            (notch.end, 0.0, 0.0),
        ):
            found.append((x0 + dx * along - dy * deep, y0 + dy * along + dx * deep, bulge))
    return (*contour[:edge], *found, *contour[edge + 1 :])


def _unit(a: Point, b: Point) -> Point:
    """Return the direction from one point to another."""
    long = math.dist(a, b)
    return (b[0] - a[0]) / long, (b[1] - a[1]) / long


def arc_middle(start: Point, end: Point, bulge: float) -> Point:
    """Return the point in the middle of an arc."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    # a left turn runs to the right of its chord
    return (start[0] + end[0]) / 2 + dy * bulge / 2, (start[1] + end[1]) / 2 - dx * bulge / 2


def drawn(contour: Contour, chord_error: float = 0.01) -> Polygon:
    """Return a contour as a polygon, its arcs drawn by chords no further off than given, mm."""
    found: list[Point] = []
    for (x0, y0, bulge), (x1, y1, _) in zip(contour, (*contour[1:], contour[0]), strict=True):
        found.append((x0, y0))
        if bulge:
            found += _arc_points((x0, y0), (x1, y1), bulge, chord_error)
    return tuple(found)


def _arc_points(start: Point, end: Point, bulge: float, chord_error: float) -> list[Point]:
    """Return points on an arc between its ends."""
    angle = 4 * math.atan(bulge)
    chord = math.dist(start, end)
    radius = chord * (1 + bulge * bulge) / (4 * abs(bulge))
    share = max(-1.0, 1 - chord_error / radius)
    count = max(2, math.ceil(abs(angle) / (2 * math.acos(share))))
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    # the centre lies to the left of the chord for a left turn of less than half a circle
    away = chord / 2 * (1 - bulge * bulge) / (2 * bulge)
    ux, uy = _unit(start, end)
    centre = (middle[0] - uy * away, middle[1] + ux * away)
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    return [
        (
            centre[0] + radius * math.cos(first + angle * i / count),
            centre[1] + radius * math.sin(first + angle * i / count),
        )
        for i in range(1, count)
    ]


def extent(contour: Contour) -> tuple[float, float, float, float]:
    """Return least x and y, greatest x and y, arcs included, to a hundredth of a mm."""
    points = drawn(contour)
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def edge_distance(contour: Contour, point: Point) -> float:
    """Return how far (mm) a point lies from the contour; negative outside it."""
    points = drawn(contour)
    least, inside = math.inf, False
    x, y = point
    for (xa, ya), (xb, yb) in zip(points, (*points[1:], points[0]), strict=True):
        dx, dy = xb - xa, yb - ya
        long = dx * dx + dy * dy
        share = 0.0 if not long else max(0.0, min(1.0, ((x - xa) * dx + (y - ya) * dy) / long))
        least = min(least, math.hypot(x - xa - share * dx, y - ya - share * dy))
        if (ya > y) != (yb > y) and x < xa + (y - ya) / (yb - ya) * dx:
            inside = not inside
    return least if inside else -least
