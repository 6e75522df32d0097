"""The flat and sloped pieces of a board's skin: faces with countersinks, walls, eased edges."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from palewright.construction.boards import Vector
from palewright.geometry.arrays import Floats, Ints
from palewright.geometry.polygons import Polygon
from palewright.solids.convex_prisms import pierced
from palewright_drawings.rendering.wood.screw_seats import Countersink

Outline = list[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Patch:
    """One piece of skin: corners in the board's frame with normals, and its own axes (mm).

    Without ``triangles`` it is convex, its corners in order.
    """

    corners: tuple[Vector, ...]
    normals: tuple[Vector, ...]
    places: tuple[tuple[float, float], ...]
    face: int
    triangles: tuple[tuple[int, int, int], ...] = ()

    def fan(self) -> tuple[tuple[int, int, int], ...]:
        """Return its triangles."""
        return self.triangles or tuple((0, i, i + 1) for i in range(1, len(self.corners) - 1))


def patches(
    outline: Outline, thickness: float, ease: float, seats: Iterable[Countersink]
) -> Iterator[Patch]:
    """Yield the pieces that close a board's skin.

    Args:
        outline: convex, counter-clockwise, without repeats, mm.
        thickness: mm.
        ease: radius of eased edges, mm.
        seats: countersinks inside the eased edges.
    """
    yield from _faces(outline, thickness, ease, seats)
    yield from _rims(outline, thickness, ease)


def distinct(outline: Polygon) -> Outline:
    """Return the corners without repeats."""
    found: Outline = []
    for x, y in outline:
        if not found or math.dist(found[-1], (x, y)) > 1e-3:
            found.append((x, y))
    if math.dist(found[0], found[-1]) <= 1e-3:
        found.pop()
    return found


def _inset(outline: Outline, by: float) -> Outline:
    """Return the convex outline moved inward by ``by``, corner for corner."""
    count, found = len(outline), []
    for i, corner in enumerate(outline):
        before, after = outline[i - 1], outline[(i + 1) % count]
        a = unit(corner[0] - before[0], corner[1] - before[1])
        b = unit(after[0] - corner[0], after[1] - corner[1])
        turn = a[0] * b[1] - a[1] * b[0]
        share = by / max(turn, 0.2)
        found.append((corner[0] + (b[0] - a[0]) * share, corner[1] + (b[1] - a[1]) * share))
    return found


def unit(x: float, y: float) -> tuple[float, float]:
    """Return a direction in the plane at length 1."""
    length = math.hypot(x, y)
    return x / length, y / length


def _flat(outline: Outline, points: Iterable[Sequence[float]]) -> tuple[tuple[float, float], ...]:
    """Return where points of a face lie in the face's picture, 0 to 1."""
    length, width = max(p[0] for p in outline), max(p[1] for p in outline)
    return tuple((p[0] / length, 1 - p[1] / width) for p in points)


def _faces(
    outline: Outline, thickness: float, ease: float, seats: Iterable[Countersink]
) -> Iterator[Patch]:
    """Yield both faces, open where heads lie, and the countersinks in them."""
    inner, seats = _inset(outline, ease), tuple(seats)
    for face, level in enumerate((0.0, thickness)):
        own = [seat for seat in seats if seat.far == bool(face)]
        rims = [seat.ring(deep=False) for seat in own]
        up = (0.0, 0.0, 1.0 if face else -1.0)
        points = [(x, y, level) for x, y in inner] + [_vector(p) for rim in rims for p in rim]
        open_face = _seen_from(pierced(inner, [rim[:, :2] for rim in rims]), face)
        yield Patch(tuple(points), (up,) * len(points), _flat(outline, points), face, open_face)
        for seat in own:
            yield from _sunk(seat, outline, face, up)


def _sunk(seat: Countersink, outline: Outline, face: int, up: Vector) -> Iterator[Patch]:
    """Yield a countersink: its slope and what closes it under the head."""
    rim, low = seat.ring(deep=False), seat.ring(deep=True)
    here = np.arange(len(rim))
    right, below = np.roll(here, -1), here + len(rim)
    down = np.roll(below, -1)
    slope = np.concatenate(
        [np.column_stack([here, right, down]), np.column_stack([here, down, below])]
    )
    to_axis = (np.array([seat.x, seat.y]) - rim[:, :2]) / seat.rim
    normals = np.column_stack([to_axis, np.full(len(rim), up[2])]) / math.sqrt(2.0)
    wall = tuple(_vector(p) for p in (*rim, *low))
    yield Patch(wall, tuple(_vector(n) for n in (*normals, *normals)), _flat(outline, wall), face,
                _seen_from(slope, face))  # fmt: skip
    ring = here[1:-1]
    bottom, fan = tuple(_vector(p) for p in low), np.column_stack([0 * ring, ring, ring + 1])
    yield Patch(bottom, (up,) * len(low), _flat(outline, bottom), face, _seen_from(fan, face))


def _vector(values: Floats) -> Vector:
    x, y, z = (float(value) for value in values)
    return x, y, z


def _seen_from(triangles: Ints, face: int) -> tuple[tuple[int, int, int], ...]:
    """Return triangles that are counter-clockwise from above so that their face is outside."""
    turned = triangles if face else triangles[:, ::-1]
    return tuple((int(a), int(b), int(c)) for a, b, c in turned)


def _rims(outline: Outline, thickness: float, ease: float) -> Iterator[Patch]:
    """Yield the walls and the eased strips between them and the faces."""
    inner = _inset(outline, ease)
    down, up = (0.0, 0.0, -1.0), (0.0, 0.0, 1.0)
    for i, start in enumerate(outline):
        j = (i + 1) % len(outline)
        end = outline[j]
        dx, dy = unit(end[0] - start[0], end[1] - start[1])
        out = (dy, -dx, 0.0)
        # a wall narrower by the easing at both corners would leave gaps: corners stay sharp
        low, high = ease, thickness - ease
        v_low, v_high = 1 - low / thickness, 1 - high / thickness
        yield Patch(
            ((*start, low), (*end, low), (*end, high), (*start, high)),
            (out,) * 4,
            ((0, v_low), (1, v_low), (1, v_high), (0, v_high)),
            2 + i,
        )
        strip_low = ((*inner[i], 0.0), (*inner[j], 0.0), (*end, low), (*start, low))
        yield Patch(
            strip_low, (down, down, out, out), _flat(outline, [inner[i], inner[j], end, start]), 0
        )
        strip_high = ((*start, high), (*end, high), (*inner[j], thickness), (*inner[i], thickness))
        yield Patch(
            strip_high, (out, out, up, up), _flat(outline, [start, end, inner[j], inner[i]]), 1
        )
