"""The boards of a box as wood to be pictured, and the heads of the screws that are seen."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from palewright.boards import Vector
from palewright.design import Design
from palewright_drawings.pictures.board_meshes import board_skin
from palewright_drawings.pictures.grain_textures import Grain
from palewright_drawings.pictures.logs import log_of
from palewright_drawings.pictures.scene_parts import Flock, Mesh, Solid, Surface, Wood
from palewright_drawings.pictures.wood_looks import Finish, look_of

Floats = NDArray[np.float64]

_HEAD = Surface((0.55, 0.53, 0.48), rough=0.45, metal=True)
_SIDES = 16


def woods_of(design: Design, finish: Finish, density: float) -> tuple[Wood, ...]:
    """Return every board with its own wood; ``density`` is pixels a mm."""
    seed = design.parameters.lumber.seed
    woods = []
    for board in design.box.boards.values():
        size = (board.length, board.width, board.thickness)
        look = look_of(board.stock.species)
        # of the box too: a shop window of boxes is not sawn from one board
        log = log_of(f"{design.name}/{board.name}", seed, look.growth, size)
        grain = Grain(log, look, finish, size)
        woods.append(Wood(board.name, board_skin(board, grain, density), finish.gloss))
    return tuple(woods)


def screw_heads(design: Design) -> tuple[Flock, ...]:
    """Return the heads of all screws, one flock a head size; each stands a hair out of the wood."""
    places: dict[float, list[Floats]] = {}
    for screw in design.box.screws:
        places.setdefault(screw.kind.gauge.head, []).append(_place(screw.head, screw.axis))
    return tuple(
        Flock(f"heads-{head:.2f}", (Solid("head", _disc(head / 2), _HEAD),), np.array(found))
        for head, found in sorted(places.items())
    )


def _disc(radius: float) -> Mesh:
    """Return a low dome, its middle at the origin, seen from -z."""
    turn = np.arange(_SIDES) / _SIDES * 2 * math.pi
    rim = np.column_stack([radius * np.cos(turn), radius * np.sin(turn), np.full(_SIDES, 0.05)])
    ring = np.column_stack(
        [0.82 * radius * np.cos(turn), 0.82 * radius * np.sin(turn), np.full(_SIDES, -0.25)]
    )
    points = np.concatenate([rim, ring, [[0.0, 0.0, -0.3]]])
    triangles = []
    for i in range(_SIDES):
        j = (i + 1) % _SIDES
        triangles += [(i, _SIDES + i, j), (j, _SIDES + i, _SIDES + j)]
        triangles.append((_SIDES + i, 2 * _SIDES, _SIDES + j))
    return Mesh(points, np.array(triangles), smooth=True)


def _place(at: Vector, axis: Vector) -> Floats:
    """Return the matrix (4, 4) that brings z along an axis at a place."""
    z = np.asarray(axis)
    side = np.array([1.0, 0.0, 0.0]) if abs(z[0]) < 0.9 else np.array([0.0, 1.0, 0.0])
    x = np.cross(side, z)
    x /= np.linalg.norm(x)
    found = np.eye(4)
    found[:3, 0], found[:3, 1], found[:3, 2], found[:3, 3] = x, np.cross(z, x), z, at
    return found
