"""What must not grow where: how deep points lie in boards, and which copies of a plant stay out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from palewright.construction.boards import Board
from palewright.design import Design
from palewright.geometry.arrays import Floats
from palewright_drawings.rendering.scene.scene import Flock, Mesh, Solid

Everywhere = tuple[float, float, float]

_FAR = 1e9
"""Farther (mm) than anything in a picture: no limit."""

_CHUNK = 400_000
"""Points looked at in one go: keeps memory low."""


@dataclass(frozen=True, eq=False)
class HalfSpaces:
    """A board as half-spaces: unit normals ``out`` (m, 3), and ``limit`` (m,) that inside keeps."""

    out: Floats
    limit: Floats
    low: Floats
    high: Floats


@dataclass(frozen=True, eq=False)
class Obstacles:
    """Where nothing may grow: in boards, below ``low``, beyond ``high`` (mm)."""

    prisms: tuple[HalfSpaces, ...]
    low: Everywhere = (-_FAR, -_FAR, 1.0)
    high: Everywhere = (_FAR, _FAR, _FAR)

    @cached_property
    def _ends(self) -> tuple[Floats, Floats]:
        """Least and greatest places of all prisms, each (m, 3)."""
        ends = [(prism.low, prism.high) for prism in self.prisms]
        low, high = np.array(ends).reshape(-1, 2, 3).transpose(1, 0, 2)
        return low, high

    def depths(self, points: Floats, reach: float = 60.0) -> Floats:
        """Return how deep points (n, 3) lie in the nearest board, mm; outside it is negative.

        Farther off than ``reach`` is not told apart: -reach.
        """
        found = np.full(len(points), -reach)
        # an axis at a time, from columns in one piece: several times as fast as by rows
        columns = np.ascontiguousarray(points.T)
        for prism in self.prisms:
            near = np.ones(len(points), dtype=bool)
            for column, low, high in zip(columns, prism.low, prism.high, strict=True):
                near &= (column > low - reach) & (column < high + reach)
            if near.any():
                depth = (prism.limit - points[near] @ prism.out.T).min(axis=1)
                found[near] = np.maximum(found[near], depth)
        return found

    def pushed(self, point: Floats, clear: float) -> Floats:
        """Return a point (3,) moved out of boards through their nearest faces, ``clear`` mm off.

        Where boards meet, a way out of one may lead into another: it is tried a few times.
        """
        for _ in range(6):
            moved, i = False, self._next_near(point, clear, 0)
            while i < len(self.prisms):
                prism = self.prisms[i]
                gaps = prism.limit - prism.out @ point
                nearest = int(gaps.argmin())
                if gaps[nearest] > -clear + 1e-9:
                    point = point + prism.out[nearest] * (gaps[nearest] + clear)
                    moved = True
                i = self._next_near(point, clear, i + 1)
            if not moved:
                break
        return np.clip(point, np.array(self.low) + clear, np.array(self.high) - clear)

    def _next_near(self, point: Floats, clear: float, first: int) -> int:
        """Return the place of the first prism from ``first`` on whose bounds a point is near.

        As many as there are prisms where it is near none of them.
        """
        lows, highs = (ends[first:] for ends in self._ends)
        near = np.asarray(((point >= lows - clear) & (point <= highs + clear)).all(axis=1))
        return first + (int(near.argmax()) if near.any() else len(near))

    def frees(self, points: Floats, clear: float) -> NDArray[np.bool_]:
        """Return which points (n, 3) are ``clear`` mm or more off everything."""
        inside = (points >= self.low).all(axis=1) & (points <= self.high).all(axis=1)
        return np.asarray(inside & (self.depths(points) <= -clear))


def obstacles(
    boards: Iterable[Board],
    low: Everywhere = (-_FAR, -_FAR, 1.0),
    high: Everywhere = (_FAR, _FAR, _FAR),
) -> Obstacles:
    """Return boards as obstacles, and the limits of the room."""
    return Obstacles(tuple(_prism(board) for board in boards), low, high)


def box_obstacles(design: Design, back: float = _FAR) -> Obstacles:
    """Return a box's boards, the ground, and a wall at ``back`` mm along y."""
    return obstacles(design.box.boards.values(), high=(_FAR, back, _FAR))


def _prism(board: Board) -> HalfSpaces:
    place, corners = board.placement, np.array(board.corners)
    out = [place.direction_out((0.0, 0.0, -1.0)), place.direction_out((0.0, 0.0, 1.0))]
    at = [place.out(0.0, 0.0, 0.0), place.out(0.0, 0.0, board.thickness)]
    for i, (x, y) in enumerate(board.outline):
        ex, ey = board.outline[(i + 1) % len(board.outline)]
        length = float(np.hypot(ex - x, ey - y))
        if length > 1e-6:
            out.append(place.direction_out(((ey - y) / length, (x - ex) / length, 0.0)))
            at.append(place.out(x, y, 0.0))
    normals = np.array(out)
    limit = np.sum(normals * np.array(at), axis=1)
    return HalfSpaces(normals, limit, corners.min(axis=0), corners.max(axis=0))


def probes(mesh: Mesh) -> Floats:
    """Return points that stand for a mesh: corners, middles of edges and of triangles."""
    a, b, c = (mesh.points[mesh.triangles[:, i]] for i in range(3))
    return np.concatenate([mesh.points, (a + b) / 2, (b + c) / 2, (c + a) / 2, (a + b + c) / 3])


def free_flock(
    name: str, group: tuple[Solid, ...], places: Floats, around: Obstacles, clear: float = 1.0
) -> Flock:
    """Return the copies of a group that keep off everything; the others are left out.

    Args:
        name: of the flock.
        group: what is copied.
        places: matrices (n, 4, 4).
        around: what they keep off.
        clear: how far, mm.
    """
    own = np.concatenate([probes(solid.mesh) for solid in group])
    reach = float(np.linalg.norm(own, axis=1).max())
    kept = np.ones(len(places), dtype=bool)
    scale = np.linalg.norm(places[:, :3, 0], axis=1) if len(places) else np.zeros(0)
    middles = places[:, :3, 3]
    # a copy whose ball touches nothing needs no closer look
    ball = reach * float(scale.max(initial=0.0))
    close = ~_well_off(middles, around, ball + clear)
    step = max(1, _CHUNK // len(own))
    numbers = np.flatnonzero(close)
    for begin in range(0, len(numbers), step):
        some = numbers[begin : begin + step]
        points = np.einsum("nij,kj->nki", places[some, :3, :3], own) + places[some, None, :3, 3]
        kept[some] = _all_free(points, middles[some], reach * scale[some] + clear, around, clear)
    return Flock(name, group, places[kept])


def free_runs(path: Floats, around: Obstacles, clear: float = 3.0) -> list[Floats]:
    """Return the parts of a path (n, 3), mm, that keep off the boards; between, it is unseen."""
    off = around.depths(path) <= -clear
    free = off.copy()
    free[1:] &= around.depths((path[1:] + path[:-1]) / 2) <= -clear
    parts = np.split(np.arange(len(path)), np.flatnonzero(~free))
    # a part begins where the way to it is barred: its first point may be in the board itself
    return [path[part[off[part]]] for part in parts if off[part].sum() > 3]


def _all_free(
    points: Floats, middles: Floats, balls: Floats, around: Obstacles, clear: float
) -> NDArray[np.bool_]:
    """Return which copies keep off everything with all their points (n, k, 3).

    A board is looked at by the points of those copies alone whose ball (n,) it touches.
    """
    within = (points >= np.array(around.low)) & (points <= np.array(around.high))
    free = np.asarray(within.all(axis=(1, 2)))
    for prism in around.prisms:
        off = np.maximum(prism.low - middles, middles - prism.high).max(axis=1)
        near = np.flatnonzero(free & (off <= balls))
        if len(near):
            depth = (prism.limit - points[near] @ prism.out.T).min(axis=2)
            free[near] = (depth <= -clear).all(axis=1)
    return free


def _well_off(points: Floats, around: Obstacles, ball: float) -> NDArray[np.bool_]:
    inside = (points - ball >= around.low).all(axis=1) & (points + ball <= around.high).all(axis=1)
    return np.asarray(inside & (around.depths(points, ball + 1.0) < -ball))
