"""What plants in a box root in: loose soil, or pots that stand in it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from palewright.design import Design
from palewright_drawings.pictures.clearances import Obstacles
from palewright_drawings.pictures.hollows import Hollow, hollow_of
from palewright_drawings.pictures.plants import Growth
from palewright_drawings.pictures.props import SOIL_LEVEL, SOIL_REACH, clay_pot
from palewright_drawings.pictures.scene_parts import Solid
from palewright_drawings.pictures.soils import soil

_ROOTED = 80.0
"""A trunk reaches so far into soil, mm: nobody sees more of it."""

_AROUND, _LEAST = 6.0, 40.0
"""Room round a pot, for fingers, and the least pot, mm."""

_TALL = 1.15
"""Pots are at most so many times as high as wide: common practice, no source."""

_MANY = 99


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
    growth: Growth
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
    return Bed(hollow, Growth((earth,), (bark,)), (hollow,), base)


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
    return Bed(hollow, Growth(tuple(solids)), tuple(roots), base)
