"""The order in which faces are painted, and the exact regions of a body that are seen.

Two convex bodies lie in one order wherever both are seen, so that painting from the back to the
front is right, but for rings of three or more that each lie before the next. Bodies of such a
ring are painted last, only where they are seen.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from palewright.geometry.polygons import Polygon, area, bounds
from palewright_drawings.projection.projected_bodies import Projected

_SLIVER = 1e-3
"""Pieces of less area (mm²) are rounding."""


def back_to_front(shot: Projected) -> Iterator[tuple[int, Polygon]]:
    """Yield (face, ring in (u, v) mm) in an order in which later ones lie over earlier ones.

    Bodies that one other body hides entirely are left out.
    """
    order, circle = painting_order(shot)
    faces: dict[int, list[int]] = {}
    for face in np.flatnonzero(shot.facing).tolist():
        faces.setdefault(int(shot.scene.face_owner[face]), []).append(face)
    for body in order:
        for face in faces.get(body, ()):
            yield face, face_ring(shot, face)
    for body in circle:
        for face in faces.get(body, ()):
            for ring in seen_pieces(shot, face):
                yield face, ring


def painting_order(shot: Projected) -> tuple[list[int], list[int]]:
    """Return bodies from the back to the front, and those that lie in a circle of such orders."""
    before = shot.before
    waiting = {i for i in range(len(before)) if not shot.covered[i]}
    behind = {
        i: {j for j in np.flatnonzero(before[i]).tolist() if j in waiting} for i in sorted(waiting)
    }
    order: list[int] = []
    circle: list[int] = []
    while waiting:
        ready = [i for i in sorted(waiting) if not behind[i]]
        if not ready:
            ready = [_in_ring(behind)]
            circle += ready
        else:
            order += ready
        waiting.difference_update(ready)
        for done in ready:
            del behind[done]
        for left in waiting:
            behind[left].difference_update(ready)
    return order, circle


def _in_ring(behind: dict[int, set[int]]) -> int:
    """Return a body of a ring, where each has one behind it: going back, one is met again."""
    body, met = min(behind), set[int]()
    while body not in met:
        met.add(body)
        body = min(behind[body])
    return body


def face_ring(shot: Projected, face: int) -> Polygon:
    """Return a face as it is drawn, mm."""
    return tuple((float(u), float(v)) for u, v in shot.points[list(shot.scene.rings[face]), :2])


def seen_pieces(shot: Projected, face: int) -> list[Polygon]:
    """Return what is seen of a face, as convex pieces that share no area; mm."""
    body = int(shot.scene.face_owner[face])
    pieces = [face_ring(shot, face)]
    for other in np.flatnonzero(shot.before[:, body]).tolist():
        outline = shot.outlines[other]
        pieces = [rest for piece in pieces for rest in without(piece, outline)]
        if not pieces:
            break
    return pieces


def without(piece: Polygon, other: Polygon) -> Iterator[Polygon]:
    """Yield what a convex polygon leaves of another, as convex pieces."""
    a, b = bounds(piece), bounds(other)
    if a[0] >= b[2] or b[0] >= a[2] or a[1] >= b[3] or b[1] >= a[3]:
        yield piece
        return
    inside = piece
    for start, end in zip(other, other[1:] + other[:1], strict=True):
        outer, inside = _cut(inside, start, end)
        if area(outer) > _SLIVER:
            yield outer
        if area(inside) <= _SLIVER:
            return


def _cut(
    ring: Polygon, start: tuple[float, float], end: tuple[float, float]
) -> tuple[Polygon, Polygon]:
    """Return the parts of a convex polygon to the right and to the left of a line."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    sides = [dx * (y - start[1]) - dy * (x - start[0]) for x, y in ring]
    if min(sides) >= 0:
        return (), ring
    if max(sides) <= 0:
        return ring, ()
    right, left = [], []
    for i, (corner, side) in enumerate(zip(ring, sides, strict=True)):
        after, side_after = ring[(i + 1) % len(ring)], sides[(i + 1) % len(ring)]
        if side <= 0:
            right.append(corner)
        if side >= 0:
            left.append(corner)
        if side * side_after < 0:
            t = side / (side - side_after)
            met = corner[0] + t * (after[0] - corner[0]), corner[1] + t * (after[1] - corner[1])
            right.append(met)
            left.append(met)
    return tuple(right), tuple(left)
