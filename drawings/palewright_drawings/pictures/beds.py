"""What plants in a box root in: loose soil, or pots that stand in it."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.design import Design
from palewright_drawings.pictures.clearances import Obstacles
from palewright_drawings.pictures.hollows import Hollow, hollow_of
from palewright_drawings.pictures.plants import Growth
from palewright_drawings.pictures.soils import soil

_ROOTED = 80.0
"""A trunk reaches so far into soil, mm: nobody sees more of it."""


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
    def foot(self) -> float:
        """Height at which a trunk begins, mm: in the soil, above the floor."""
        return max(self.roots[0].soil - _ROOTED, self.base + 2.0)


def bed_of(design: Design, around: Obstacles, seed: int) -> Bed:
    """Return the soil that a planter is filled with, up to a hand below its rim."""
    hollow = hollow_of(design)
    boards = design.box.boards.values()
    floor = [corner[2] for board in boards if board.panel == "floor" for corner in board.corners]
    earth, bark = soil(hollow, around, seed)
    return Bed(hollow, Growth((earth,), (bark,)), (hollow,), max(floor, default=0.0))
