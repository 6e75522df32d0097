"""Boards and what stands among them as convex bodies: points, faces, edges. No holes.

What the drawings project: a board, a board cut by a plane, a stand or a trunk.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np

from palewright.construction.boards import Board, Hole, Vector, plus
from palewright.construction.joints import Obstacle
from palewright.geometry.arrays import Floats
from palewright.geometry.polygons import Point

_SAME = 1e-6
"""Distances (mm) that are noise of floats."""

_ROUND_SIDES = 48
"""Sides of a polygon that stands for a round body: within a 450th of its radius."""

Ring = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Rim:
    """The edge of a drilled hole in a face, mm.

    Attributes:
        centre: of the circle.
        out: unit vector out of the wood.
        radius: of the circle.
    """

    centre: Vector
    out: Vector
    radius: float


@dataclass(frozen=True)
class Body:
    """A convex body.

    Attributes:
        name: of the board, or what else it is.
        points: (n, 3), mm.
        faces: indices of each face's corners, anticlockwise seen from outside.
        round_faces: faces that stand for a curved surface; edges between two are not drawn.
        rims: edges of holes.
    """

    name: str
    points: Floats
    faces: tuple[Ring, ...]
    round_faces: frozenset[int] = frozenset()
    rims: tuple[Rim, ...] = ()

    @cached_property
    def edges(self) -> tuple[tuple[int, int, int, int], ...]:
        """(point, point, face, face) of each edge; the first face runs from first to second."""
        first: dict[tuple[int, int], int] = {}
        found = []
        for f, ring in enumerate(self.faces):
            for a, b in zip(ring, ring[1:] + ring[:1], strict=True):
                if (b, a) in first:
                    found.append((b, a, first[b, a], f))
                first[a, b] = f
        return tuple(found)

    def moved(self, by: Vector) -> Body:
        """Return the body shifted by a vector, mm."""
        rims = tuple(replace(rim, centre=plus(rim.centre, by)) for rim in self.rims)
        return replace(self, points=self.points + np.array(by), rims=rims)


def board_body(board: Board) -> Body:
    """Return a board where it stands in the box, with the rims of its holes."""
    outline = _corners(board.outline)
    m = len(outline)
    place = board.placement
    points = [place.out(x, y, z) for z in (0.0, board.thickness) for x, y in outline]
    sides = [(k, (k + 1) % m, (k + 1) % m + m, k + m) for k in range(m)]
    faces = (tuple(reversed(range(m))), tuple(range(m, 2 * m)), *sides)
    rims = tuple(rim for hole in board.holes for rim in _rims(hole, board))
    return Body(board.name, np.array(points), faces, rims=rims)


def _corners(outline: Sequence[Point]) -> list[Point]:
    """Return the corners of an outline at which it turns."""
    kept: list[Point] = []
    n = len(outline)
    for i, (x, y) in enumerate(outline):
        (x0, y0), (x1, y1) = outline[i - 1], outline[(i + 1) % n]
        turn = (x - x0) * (y1 - y) - (y - y0) * (x1 - x)
        if turn > _SAME * math.dist((x0, y0), (x1, y1)):
            kept.append((x, y))
    return kept


def _rims(hole: Hole, board: Board) -> Iterable[Rim]:
    """Yield the rims of one hole: where the drill enters, and where it comes out."""
    place = board.placement
    axis = place.direction_out(hole.axis)
    start = place.out(*hole.start)
    back = (-axis[0], -axis[1], -axis[2])
    yield Rim(start, back, max(hole.sink, hole.diameter) / 2)
    if hole.through:
        yield Rim(plus(start, axis, hole.depth), axis, hole.diameter / 2)


def obstacle_body(obstacle: Obstacle, top: float, radius: float) -> Body:
    """Return an upright cylinder on the middle of the box, mm, up to ``top``."""
    n = _ROUND_SIDES
    turns = [2 * math.pi * (i + 0.5) / n for i in range(n)]
    ring = [(radius * math.cos(a), radius * math.sin(a)) for a in turns]
    points = [(x, y, z) for z in (obstacle.bottom, top) for x, y in ring]
    sides = [(k, (k + 1) % n, (k + 1) % n + n, k + n) for k in range(n)]
    faces = (tuple(reversed(range(n))), tuple(range(n, 2 * n)), *sides)
    return Body(obstacle.name, np.array(points), faces, frozenset(range(2, n + 2)))


def behind_plane(body: Body, normal: Vector, reach: float) -> tuple[Body | None, list[Vector]]:
    """Return the part of a body with n · p ≤ reach, and the ring of the cut; either may be empty.

    The ring runs anticlockwise seen from where the normal points. Rims before the plane are left
    out.
    """
    sides = body.points @ np.array(normal) - reach
    if (sides < _SAME).all():
        return body, []
    if (sides > -_SAME).all():
        return None, []
    points = [tuple(map(float, p)) for p in body.points]
    cut: dict[tuple[int, int], int] = {}
    faces = []
    for ring in body.faces:
        kept = _clipped_ring(ring, sides, points, cut)
        if len(kept) > 2:
            faces.append(kept)
    on_plane = {i for i, side in enumerate(sides) if abs(side) <= _SAME} | set(cut.values())
    lid = _around(sorted(on_plane), points, normal)
    used = sorted({i for ring in (*faces, lid) for i in ring})
    new = {old: i for i, old in enumerate(used)}
    rings = tuple(tuple(new[i] for i in ring) for ring in (*faces, lid))
    rims = tuple(r for r in body.rims if float(np.dot(r.centre, normal)) < reach - _SAME)
    rest = Body(body.name, np.array([points[i] for i in used]), rings, rims=rims)
    return rest, [points[i] for i in lid]  # type: ignore[misc]


def _clipped_ring(
    ring: Ring,
    sides: Floats,
    points: list[tuple[float, ...]],
    cut: dict[tuple[int, int], int],
) -> Ring:
    """Return the part of a face behind the plane; new points go into ``points`` and ``cut``."""
    kept: list[int] = []
    for a, b in zip(ring, ring[1:] + ring[:1], strict=True):
        if sides[a] <= _SAME:
            kept.append(a)
        if (sides[a] < -_SAME and sides[b] > _SAME) or (sides[a] > _SAME and sides[b] < -_SAME):
            key = (min(a, b), max(a, b))
            if key not in cut:
                t = float(sides[a] / (sides[a] - sides[b]))
                pair = zip(points[a], points[b], strict=True)
                points.append(tuple(p + t * (q - p) for p, q in pair))
                cut[key] = len(points) - 1
            kept.append(cut[key])
    return tuple(kept)


def _around(found: list[int], points: list[tuple[float, ...]], normal: Vector) -> Ring:
    """Return points of a plane in order round their middle, anticlockwise about the normal."""
    n = np.array(normal)
    right = np.cross(n, (0.0, 0.0, 1.0)) if abs(n[2]) < 0.9 else np.array((1.0, 0.0, 0.0))
    up = np.cross(n, right)
    flat = np.array([points[i] for i in found])
    away = flat - flat.mean(axis=0)
    turns = np.arctan2(away @ up, away @ right)
    return tuple(found[i] for i in np.argsort(turns, kind="stable"))


class BodyArrays:
    """Bodies side by side in arrays.

    Attributes:
        bodies: what there is.
        points: (n, 3), mm; ``owner`` (n) the body of each.
        starts: index of each body's first point.
        rings: global indices of each face's corners; ``face_owner`` the body of each.
        normals: (faces, 3) unit vectors out; ``reaches`` (faces): n · p on the face.
        edges: (e, 4): two points, two faces.
        round_faces: (faces) whether a face stands for a curved one.
    """

    def __init__(self, bodies: Iterable[Body]) -> None:
        """Gather the bodies."""
        self.bodies = tuple(bodies)
        self.index = {body.name: i for i, body in enumerate(self.bodies)}
        sizes = [len(body.points) for body in self.bodies]
        self.starts = np.concatenate(([0], np.cumsum(sizes)[:-1])).astype(np.intp)
        self.points: Floats = np.concatenate([body.points for body in self.bodies])
        self.owner = np.repeat(np.arange(len(sizes)), sizes)
        self.rings: list[Ring] = []
        owners, bent, edges = [], [], []
        for i, (body, shift) in enumerate(zip(self.bodies, self.starts.tolist(), strict=True)):
            base = len(self.rings)
            self.rings += [tuple(k + shift for k in ring) for ring in body.faces]
            owners += [i] * len(body.faces)
            bent += [f in body.round_faces for f in range(len(body.faces))]
            edges += [(a + shift, b + shift, f + base, g + base) for a, b, f, g in body.edges]
        self.face_owner = np.array(owners)
        self.round_faces = np.array(bent)
        self.edges = np.array(edges, dtype=np.intp).reshape(-1, 4)
        self.normals, self.reaches = self._planes()

    def _planes(self) -> tuple[Floats, Floats]:
        """Return the outward unit normals and the reaches of all faces."""
        fans = [
            (f, ring[0], a, b) for f, ring in enumerate(self.rings) for a, b in pairwise(ring[1:])
        ]
        face, p, a, b = np.array(fans, dtype=np.intp).T
        areas = np.cross(self.points[a] - self.points[p], self.points[b] - self.points[p])
        normals = np.zeros((len(self.rings), 3))
        np.add.at(normals, face, areas)
        normals /= np.linalg.norm(normals, axis=1, keepdims=True)
        firsts = self.points[[ring[0] for ring in self.rings]]
        return normals, np.einsum("fk,fk->f", normals, firsts)
