"""Whether letters on paper touch lines or other letters, by the boxes of their ink."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from palewright.geometry.polygons import Point, Polygon, clip


def segment_in_box(start: Point, end: Point, box: Sequence[Point], clear: float = 0.0) -> bool:
    """Return whether a segment comes into a convex box or nearer to it than ``clear``.

    Args:
        start: of the segment.
        end: of the segment.
        box: corners in order, either way round.
        clear: how far the box's sides are moved outward, in the unit of the points.
    """
    low, high = 0.0, 1.0
    centre = (sum(x for x, _ in box) / len(box), sum(y for _, y in box) / len(box))
    for a, b in pairwise((*box, box[0])):
        nx, ny = b[1] - a[1], a[0] - b[0]
        length = (nx * nx + ny * ny) ** 0.5
        if length == 0:
            return False
        nx, ny = nx / length, ny / length
        if (centre[0] - a[0]) * nx + (centre[1] - a[1]) * ny > 0:
            nx, ny = -nx, -ny
        first = (start[0] - a[0]) * nx + (start[1] - a[1]) * ny - clear
        last = (end[0] - a[0]) * nx + (end[1] - a[1]) * ny - clear
        if first >= 0 and last >= 0:
            return False
        if first >= 0 > last:
            low = max(low, first / (first - last))
        elif last >= 0 > first:
            high = min(high, first / (first - last))
    return low < high


def boxes_meet(one: Polygon, other: Polygon) -> bool:
    """Return whether two convex boxes share area."""
    return bool(clip(_anticlockwise(one), _anticlockwise(other)))


def _anticlockwise(box: Polygon) -> Polygon:
    """Return a box's corners anticlockwise."""
    turns = sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairwise((*box, box[0])))
    return box if turns > 0 else tuple(reversed(box))
