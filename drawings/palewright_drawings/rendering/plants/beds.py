"""What plants in a box root in: loose soil with bark on it, or pots that stand in it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from palewright.design import Design
from palewright_drawings.rendering.plants.box_interior import Hollow, hollow_of
from palewright_drawings.rendering.plants.clearances import Obstacles, free_flock
from palewright_drawings.rendering.plants.plants import GrownPlants
from palewright_drawings.rendering.scene.meshes import block, grid_triangles, standing
from palewright_drawings.rendering.scene.noise import Lattice, seeded
from palewright_drawings.rendering.scene.props import EARTH, SOIL_LEVEL, SOIL_REACH, clay_pot
from palewright_drawings.rendering.scene.scene import Flock, Mesh, Solid, Surface

_BARK = Surface((0.30, 0.19, 0.12), rough=0.95)
"""Chips of bark on the soil: judged by eye."""

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
    return Solid("soil", bed, EARTH), _bark(hollow, around, seed)


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


_ROOTED = 80.0
"""A trunk reaches so far into soil, mm: nobody sees more of it."""

_AROUND, _LEAST = 6.0, 40.0
"""Room round a pot, for fingers, and the least pot, mm."""

_TALL = 1.15
"""Pots are at most so many times as high as wide: common practice, no source."""

_MANY = 99
"""No limit: more plants than any box has room for."""


@dataclass(frozen=True, eq=False)
class Bed:
    """Where plants stand in a box.

    Attributes:
        hollow: the room in the box: plants are sized by it.
        growth: what they root in, to be seen.
        roots: a room for each soil that they root in.
        base: height of what soil or pots stand on, mm.
    """

    hollow: Hollow
    growth: GrownPlants
    roots: tuple[Hollow, ...]
    base: float

    @property
    def loose(self) -> bool:
        """Whether soil fills the box from wall to wall."""
        return self.roots == (self.hollow,)

    @property
    def foot(self) -> float:
        """Height at which a trunk begins, mm: in the soil, above the floor."""
        return max(self.roots[0].soil - _ROOTED, self.base + 2.0)


def bed_of(design: Design, around: Obstacles, seed: int, most: int = _MANY) -> Bed:
    """Return what a planter's plants root in: loose soil, or pots where ``site.soil`` says so.

    Args:
        design: of the box.
        around: its boards.
        seed: of the soil's chances.
        most: so many pots at most.
    """
    hollow = hollow_of(design)
    boards = design.box.boards.values()
    floor = [corner[2] for board in boards if board.panel == "floor" for corner in board.corners]
    base = max(floor, default=0.0)
    if design.parameters.site.soil == "pots":
        return _potted(hollow, base, most)
    earth, bark = soil(hollow, around, seed)
    return Bed(hollow, GrownPlants((earth,), (bark,)), (hollow,), base)


def _potted(hollow: Hollow, base: float, most: int) -> Bed:
    """Return pots in a row, as large as pass the opening, their rims as high as soil would be."""
    size = max(min(hollow.width, hollow.depth) - 2 * _AROUND, _LEAST)
    long = max(hollow.width, hollow.depth)
    count = min(max(int((long - _AROUND) // (size + _AROUND)), 1), most)
    middle = (
        (hollow.opening[0] + hollow.opening[2]) / 2,
        (hollow.opening[1] + hollow.opening[3]) / 2,
    )
    height = min(max(hollow.soil - base, _LEAST), _TALL * size)
    solids: list[Solid] = []
    roots = []
    for i in range(count):
        shift = (i - (count - 1) / 2) * long / count
        x, y = (middle[0] + shift * (hollow.width >= hollow.depth),
                middle[1] + shift * (hollow.width < hollow.depth))  # fmt: skip
        solids += clay_pot(x, y, size, base + 0.5, height)
        # the largest square in the round of its soil
        half = size / 2 * SOIL_REACH / math.sqrt(2)
        square = (x - half, y - half, x + half, y + half)
        level = base + SOIL_LEVEL * height
        roots.append(replace(hollow, soil=level, opening=square))
    return Bed(hollow, GrownPlants(tuple(solids)), tuple(roots), base)
