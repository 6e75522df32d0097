"""Convex polygons in a plane: what board outlines are made of.

A polygon is a tuple of (x, y) corners in mm, counter-clockwise, without a repeated last corner.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from functools import lru_cache

Point = tuple[float, float]
Polygon = tuple[Point, ...]

_SAME = 1e-6
"""Lengths (mm) and areas (mm²) below this are noise of floats."""


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Polygon:
    """Return the axis-parallel rectangle with two opposite corners given.

    Args:
        x0: of one corner.
        y0: of one corner.
        x1: of the other.
        y1: of the other.
    """
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def area(polygon: Polygon) -> float:
    """Return the signed area in mm²: positive when counter-clockwise."""
    found = 0.0
    for (x0, y0), (x1, y1) in zip(polygon, _turned(polygon), strict=True):
        found += x0 * y1 - x1 * y0  # a plain loop: a box asks for it thousands of times
    return 0.5 * found


def centroid(polygon: Polygon) -> Point:
    """Return the centre of area."""
    sum_x = sum_y = 0.0
    for (x0, y0), (x1, y1) in zip(polygon, _turned(polygon), strict=True):
        cross = x0 * y1 - x1 * y0
        sum_x += (x0 + x1) * cross
        sum_y += (y0 + y1) * cross
    whole = 6 * area(polygon)
    return sum_x / whole, sum_y / whole


def bounds(polygon: Polygon) -> tuple[float, float, float, float]:
    """Return (least x, least y, greatest x, greatest y)."""
    xs, ys = zip(*polygon, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


@lru_cache(maxsize=2048)
def is_convex(polygon: Polygon) -> bool:
    """Return whether the polygon is convex, counter-clockwise and of some area.

    Kept, since a box has far fewer outlines than boards.
    """
    if len(polygon) < 3:
        return False
    turns = [
        (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
        for a, b, c in zip(polygon, _turned(polygon), _turned(polygon, 2), strict=True)
    ]
    return min(turns) > -_SAME and area(polygon) > _SAME


def _turned(polygon: Polygon, by: int = 1) -> Polygon:
    """Return the corners, beginning ``by`` later."""
    return polygon[by:] + polygon[:by]


def rotated(polygon: Iterable[Point], degrees: float) -> Polygon:
    """Return the corners turned counter-clockwise about the origin."""
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return tuple((x * cos - y * sin, x * sin + y * cos) for x, y in polygon)


def moved(polygon: Iterable[Point], dx: float, dy: float) -> Polygon:
    """Return the corners shifted."""
    return tuple((x + dx, y + dy) for x, y in polygon)


def mirrored(polygon: Sequence[Point], about_x: float) -> Polygon:
    """Return the polygon mirrored left to right about a vertical line, still anticlockwise."""
    return tuple((2 * about_x - x, y) for x, y in reversed(polygon))


def hull_of(points: Iterable[Point]) -> Polygon:
    """Return the convex hull of points: the lower chain, then the upper (Andrew 1979)."""
    ordered = sorted(set(points))
    found: list[Point] = []
    for way in (ordered, ordered[::-1]):
        chain: list[Point] = []
        for x, y in way:
            while len(chain) > 1:
                (x0, y0), (x1, y1) = chain[-2:]
                if (x1 - x0) * (y - y0) - (y1 - y0) * (x - x0) > 0:
                    break
                chain.pop()
            chain.append((x, y))
        found += chain[:-1]
    return tuple(found)


def clip(polygon: Polygon, other: Polygon) -> Polygon:
    """Return the part of a convex polygon that lies in another; empty when there is none."""
    if _apart(bounds(polygon), bounds(other)):
        return ()  # most pairs of a panel's pieces
    for start, end in zip(other, _turned(other), strict=True):
        polygon = _kept_left(polygon, start, end)
        if not polygon:
            return ()
    return polygon if len(polygon) > 2 and area(polygon) > _SAME else ()


def _apart(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    """Return whether two bounds share no area."""
    return one[0] >= other[2] or other[0] >= one[2] or one[1] >= other[3] or other[1] >= one[3]


def _kept_left(polygon: Polygon, start: Point, end: Point) -> Polygon:
    """Return the part of a polygon to the left of the line from ``start`` to ``end``."""
    sx, sy = start
    dx, dy = end[0] - sx, end[1] - sy
    sides = [dx * (y - sy) - dy * (x - sx) for x, y in polygon]
    if min(sides) >= 0:
        return polygon
    kept: list[Point] = []
    nexts = zip(polygon, sides, _turned(polygon), sides[1:] + sides[:1], strict=True)
    for corner, side, after, side_after in nexts:
        if side >= 0:
            kept.append(corner)
        if (side > 0 > side_after) or (side < 0 < side_after):
            t = side / (side - side_after)
            kept.append(
                (corner[0] + t * (after[0] - corner[0]), corner[1] + t * (after[1] - corner[1]))
            )
    return tuple(kept)


def off_grain(start: Point, end: Point, grain_degrees: float) -> float:
    """Return the angle between an edge and the grain, 0 to 90 degrees."""
    angle = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0])) - grain_degrees
    angle = abs(angle) % 180
    return min(angle, 180 - angle)


@lru_cache(maxsize=1024)
def inset(polygon: Polygon, grain_degrees: float, from_edge: float, from_end: float) -> Polygon:
    """Return the convex polygon shrunk by one distance at edges and another at ends.

    An edge within a degree of the grain is an edge of the board; any other is an end.
    Empty when nothing is left. Kept, since each piece is asked for with every piece it may cross.

    Args:
        polygon: convex, anticlockwise, mm.
        grain_degrees: direction of the grain, anticlockwise from x.
        from_edge: mm.
        from_end: mm.
    """
    shrunk = polygon
    for start, end in zip(polygon, _turned(polygon), strict=True):
        along = off_grain(start, end, grain_degrees) < 1.0
        by = from_edge if along else from_end
        length = math.dist(start, end)
        if length < _SAME:
            continue
        nx, ny = -(end[1] - start[1]) / length * by, (end[0] - start[0]) / length * by
        shrunk = _kept_left(shrunk, (start[0] + nx, start[1] + ny), (end[0] + nx, end[1] + ny))
        if not shrunk:
            return ()
    return shrunk if len(shrunk) > 2 and area(shrunk) > _SAME else ()


def points_along(polygon: Polygon, grain_degrees: float, pitch: float) -> list[Point]:
    """Return points spread along the grain down the middle of a convex polygon.

    One point a ``pitch`` (mm) and one more, each in the middle of its share.
    """
    turned_polygon = rotated(polygon, -grain_degrees)
    x0, _, x1, _ = bounds(turned_polygon)
    count = 1 + int((x1 - x0) / pitch)
    found = []
    for i in range(count):
        x = x0 + (x1 - x0) * (i + 0.5) / count
        low, high = _crossing(turned_polygon, x)
        found.append((x, (low + high) / 2))
    return list(rotated(found, grain_degrees))


def _crossing(polygon: Polygon, x: float) -> tuple[float, float]:
    """Return the least and greatest y at which a vertical line crosses the polygon."""
    ys = []
    for (xa, ya), (xb, yb) in zip(polygon, _turned(polygon), strict=True):
        if min(xa, xb) <= x <= max(xa, xb):
            ys += [ya, yb] if xa == xb else [ya + (yb - ya) * (x - xa) / (xb - xa)]
    return min(ys), max(ys)
