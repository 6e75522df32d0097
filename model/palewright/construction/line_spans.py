"""Where a straight line runs inside a board, exactly, from its outline and thickness."""

from __future__ import annotations

from functools import lru_cache

from palewright.construction.boards import Board, Vector
from palewright.geometry.polygons import Polygon

_PARALLEL = 1e-12
"""Steps along a line below this (of 1) come from floats: it runs along the edge."""


def inside_span(board: Board, start: Vector, axis: Vector) -> tuple[float, float] | None:
    """Return the span (t0, t1), mm from ``start`` along ``axis``, inside a board without holes.

    Args:
        board: a convex prism.
        start: a point in the board's own frame, mm.
        axis: unit vector in the board's own frame.

    Returns:
        The span, or None where the line misses the board.
    """
    near, far = float("-inf"), float("inf")
    (sx, sy, sz), (ax, ay, az) = start, axis
    for (nx, ny, nz), reach in half_spaces(board):
        speed = nx * ax + ny * ay + nz * az
        room = reach - (nx * sx + ny * sy + nz * sz)
        if abs(speed) < _PARALLEL:
            if room < 0:
                return None
        elif speed > 0:
            far = min(far, room / speed)
        else:
            near = max(near, room / speed)
    return (near, far) if near < far else None


def half_spaces(board: Board) -> tuple[tuple[Vector, float], ...]:
    """Return (outward unit normal, reach) of each face in the board's frame: n · p ≤ reach.

    The datum face first, the far face second, then the sides in the order of the outline.
    """
    return _half_spaces(board.outline, board.thickness)


@lru_cache(maxsize=1024)
def _half_spaces(outline: Polygon, thickness: float) -> tuple[tuple[Vector, float], ...]:
    """Return the half-spaces of a prism; every screw asks for those of the boards it meets."""
    faces: list[tuple[Vector, float]] = [
        ((0.0, 0.0, -1.0), 0.0),
        ((0.0, 0.0, 1.0), thickness),
    ]
    for (x0, y0), (x1, y1) in zip(outline, outline[1:] + outline[:1], strict=True):
        dx, dy = x1 - x0, y1 - y0
        long = (dx * dx + dy * dy) ** 0.5
        if long < 1e-9:
            continue
        nx, ny = dy / long, -dx / long
        faces.append(((nx, ny, 0.0), nx * x0 + ny * y0))
    return tuple(faces)
