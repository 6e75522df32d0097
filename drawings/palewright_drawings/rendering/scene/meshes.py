"""Meshes put together by code: grids, tubes, turned shapes; matrices that put copies in place."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache

import numpy as np

from palewright.geometry.arrays import Floats, Ints
from palewright_drawings.rendering.scene.scene import Mesh


@cache
def grid_triangles(rows: int, columns: int, round_columns: bool = False) -> Ints:
    """Return the triangles of a grid of points stored row by row; columns may close to a ring.

    Not to be written to: plants ask for the same grid a thousand times.
    """
    here, right = np.arange(columns), (np.arange(columns) + 1) % columns
    if not round_columns:
        here, right = here[:-1], right[:-1]
    start = columns * np.arange(rows - 1)[:, None]
    a, b = start + here, start + right
    c, d = a + columns, b + columns
    found = np.stack([a, b, d, a, d, c], axis=-1).reshape(-1, 3)
    found.flags.writeable = False
    return found


def tube(path: Floats, radii: Floats, colours: Floats | None = None, sides: int = 6) -> Mesh:
    """Return a round stem along points (n, 3), mm, of these radii (n,), closed by its last ring.

    ``colours`` (n, 3) colour it ring by ring.

    Args:
        path: (n, 3), mm.
        radii: (n,), mm.
        colours: (n, 3), ring by ring.
        sides: points of a ring.
    """
    along = np.gradient(path, axis=0)
    along /= np.maximum(np.linalg.norm(along, axis=1, keepdims=True), 1e-9)
    side = np.cross(along, _least_axis(along))
    side /= np.maximum(np.linalg.norm(side, axis=1, keepdims=True), 1e-9)
    up = np.cross(along, side)
    turn = np.arange(sides) / sides * 2 * math.pi
    ring = np.cos(turn)[None, :, None] * side[:, None] + np.sin(turn)[None, :, None] * up[:, None]
    points = (path[:, None] + ring * np.asarray(radii)[:, None, None]).reshape(-1, 3)
    tint = None if colours is None else np.repeat(colours, sides, axis=0)
    return Mesh(points, grid_triangles(len(path), sides, True), smooth=True, colours=tint)


def _least_axis(along: Floats) -> Floats:
    """Return one axis for a whole path, so that its rings do not twist: the least used one."""
    return np.asarray(np.eye(3)[int(np.argmin(np.abs(along).mean(axis=0)))])


def turned(profile: Sequence[tuple[float, float]], sides: int = 40, smooth: bool = True) -> Mesh:
    """Return a shape turned about z from (radius, height) pairs, mm, outside on the right hand."""
    turn = np.arange(sides) / sides * 2 * math.pi
    points = [(r * math.cos(a), r * math.sin(a), z) for r, z in profile for a in turn]
    return Mesh(np.array(points), grid_triangles(len(profile), sides, True), smooth=smooth)


def globe(at: Sequence[float], radius: float, rows: int = 8, sides: int = 12) -> Mesh:
    """Return a ball about a place, mm.

    Args:
        at: its middle, mm.
        radius: mm.
        rows: rings from pole to pole.
        sides: points of a ring.
    """
    up = np.linspace(-math.pi / 2, math.pi / 2, rows)
    profile = [(radius * max(math.cos(a), 1e-3), radius * math.sin(a)) for a in up]
    place = np.eye(4)
    place[:3, 3] = at
    return moved(turned(profile, sides), place)


def block(low: Sequence[float], high: Sequence[float]) -> Mesh:
    """Return a block between two corners, mm."""
    x, y, z = zip(low, high, strict=True)
    faces = [
        [(x[0], y[0], z[0]), (x[0], y[1], z[0]), (x[1], y[1], z[0]), (x[1], y[0], z[0])],
        [(x[0], y[0], z[1]), (x[1], y[0], z[1]), (x[1], y[1], z[1]), (x[0], y[1], z[1])],
        [(x[0], y[0], z[0]), (x[1], y[0], z[0]), (x[1], y[0], z[1]), (x[0], y[0], z[1])],
        [(x[1], y[1], z[0]), (x[0], y[1], z[0]), (x[0], y[1], z[1]), (x[1], y[1], z[1])],
        [(x[0], y[1], z[0]), (x[0], y[0], z[0]), (x[0], y[0], z[1]), (x[0], y[1], z[1])],
        [(x[1], y[0], z[0]), (x[1], y[1], z[0]), (x[1], y[1], z[1]), (x[1], y[0], z[1])],
    ]
    points = np.array([corner for face in faces for corner in face], dtype=float)
    triangles = [(4 * i + a, 4 * i + b, 4 * i + c) for i in range(6)
                 for a, b, c in ((0, 1, 2), (0, 2, 3))]  # fmt: skip
    return Mesh(points, np.array(triangles))


def joined(meshes: Sequence[Mesh]) -> Mesh:
    """Return many meshes as one. All have colours or none has."""
    first, triangles = 0, []
    for mesh in meshes:
        triangles.append(mesh.triangles + first)
        first += len(mesh.points)
    tints = [mesh.colours for mesh in meshes if mesh.colours is not None]
    return Mesh(
        np.concatenate([mesh.points for mesh in meshes]),
        np.concatenate(triangles),
        smooth=any(mesh.smooth for mesh in meshes),
        colours=np.concatenate(tints) if tints else None,
    )


def moved(mesh: Mesh, place: Floats) -> Mesh:
    """Return a mesh in another place; ``place`` is a matrix (4, 4)."""
    points = mesh.points @ place[:3, :3].T + place[:3, 3]
    return Mesh(points, mesh.triangles, mesh.smooth, mesh.colours)


def aimed(at: Floats, along: Floats, face: Floats, scale: Floats) -> Floats:
    """Return matrices (n, 4, 4) that bring x along a direction and z as near as can be to a face.

    Args:
        at: (n, 3): where x, y, z = 0 comes to.
        along: (n, 3): the direction of x.
        face: (n, 3): what z is turned to.
        scale: (n,).
    """
    x = along / np.linalg.norm(along, axis=1, keepdims=True)
    y = np.cross(face, x)
    length = np.linalg.norm(y, axis=1, keepdims=True)
    y = np.where(length > 1e-6, y / np.maximum(length, 1e-9), np.cross([0.0, 1.0, 1e-3], x))
    y /= np.linalg.norm(y, axis=1, keepdims=True)
    found = np.zeros((len(at), 4, 4))
    found[:, :3, 0], found[:, :3, 1], found[:, :3, 2] = x, y, np.cross(x, y)
    found[:, :3, :3] *= np.asarray(scale)[:, None, None]
    found[:, :3, 3], found[:, 3, 3] = at, 1.0
    return found


def standing(at: Floats, axis: Floats, turn: Floats, scale: Floats) -> Floats:
    """Return matrices (n, 4, 4) that bring z along an axis (n, 3), turned about it by (n,).

    Args:
        at: (n, 3): where the origin comes to.
        axis: (n, 3): where z points to.
        turn: (n,), radians about the axis.
        scale: (n,).
    """
    z = axis / np.linalg.norm(axis, axis=1, keepdims=True)
    side = np.where(np.abs(z[:, :1]) < 0.9, [[1.0, 0.0, 0.0]], [[0.0, 1.0, 0.0]])
    x = side - z * np.sum(side * z, axis=1, keepdims=True)
    x /= np.linalg.norm(x, axis=1, keepdims=True)
    y = np.cross(z, x)
    cos, sin = np.cos(turn)[:, None], np.sin(turn)[:, None]
    return aimed(at, cos * x + sin * y, z, scale)
