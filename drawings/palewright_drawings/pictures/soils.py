"""Soil in a box: an uneven bed with bark on it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from palewright_drawings.pictures.clearances import Obstacles, free_flock
from palewright_drawings.pictures.hollows import Hollow
from palewright_drawings.pictures.lattices import Lattice, seeded
from palewright_drawings.pictures.meshes import block, grid_triangles, standing
from palewright_drawings.pictures.scene_parts import Flock, Mesh, Solid, Surface

Floats = NDArray[np.float64]

_EARTH = Surface((0.17, 0.12, 0.09), rough=1.0)
_BARK = Surface((0.30, 0.19, 0.12), rough=0.95)
_GAP = 1.5
"""Soil stays so far off the walls, mm: no surface shares a plane with another."""


def soil(hollow: Hollow, around: Obstacles, seed: int) -> tuple[Solid, Flock]:
    """Return the bed and the bark on it."""
    nx, ny = 48, 48
    x = np.linspace(hollow.x0 + _GAP, hollow.x1 - _GAP, nx)
    y = np.linspace(hollow.y0 + _GAP, hollow.y1 - _GAP, ny)
    flat = np.zeros(1)
    lumps = Lattice(("soil", seed), (34.0, 34.0, 34.0), (32, 32, 4)).on(x, y, flat)[:, :, 0]
    crumbs = Lattice(("crumbs", seed), (9.0, 9.0, 9.0), (64, 64, 4)).on(x, y, flat)[:, :, 0]
    heights = hollow.soil + 5.0 * lumps + 3.5 * crumbs
    grid = np.stack(np.broadcast_arrays(x[:, None], y[None, :], heights), axis=-1)
    bed = Mesh(grid.reshape(-1, 3), grid_triangles(nx, ny)[:, ::-1])
    return Solid("soil", bed, _EARTH), _bark(hollow, around, seed)


def _bark(hollow: Hollow, around: Obstacles, seed: int) -> Flock:
    draw = seeded("bark", seed)
    count = int((hollow.x1 - hollow.x0) * (hollow.y1 - hollow.y0) / 420.0)
    at = np.column_stack([
        draw.uniform(hollow.x0, hollow.x1, count),
        draw.uniform(hollow.y0, hollow.y1, count),
        hollow.soil + draw.uniform(0.0, 7.0, count),
    ])  # fmt: skip
    axis = draw.normal(0.0, 0.5, (count, 3)) + np.array([0.0, 0.0, 1.0])
    chip = block((-8, -4, -1.6), (8, 4, 1.6))
    places = standing(at, axis, draw.uniform(0, 6.28, count), draw.uniform(0.5, 1.3, count))
    return free_flock("bark", (Solid("chip", chip, _BARK),), places, around)
