"""What the page shows in a box and beside it: the plants and things of the path-traced pictures."""

from __future__ import annotations

from palewright.design import Design
from palewright_drawings.rendering.plants.beds import bed_of
from palewright_drawings.rendering.plants.clearances import box_obstacles
from palewright_drawings.rendering.plants.conifers import conifer
from palewright_drawings.rendering.plants.plantings import spring_planting, summer_planting
from palewright_drawings.rendering.plants.plants import GrownPlants, together
from palewright_drawings.rendering.plants.standing_trees import standing_tree
from palewright_drawings.rendering.scene.props import clay_pot
from palewright_drawings.rendering.scene.scene import Solid

_DENSITY = 0.5
"""Pixels a mm for which needles are drawn: those of a window, not of a print."""

POT = 152.4
"""Width of the clay pot beside the box, mm: 6 in, a size that every shed has."""


def grown_in(design: Design) -> GrownPlants:
    """Return what grows in a box: its tree, a climber on its trellis, or spring flowers."""
    around, seed = box_obstacles(design), design.parameters.lumber.seed
    if design.parameters.box.kind == "tree":
        tree, held = standing_tree(design, around, _DENSITY)
        return together((held, conifer(tree, around)))
    bed = bed_of(design, around, seed)
    if any(board.role == "upright" for board in design.box.boards.values()):
        return summer_planting(design, bed, around, seed)
    return spring_planting(design, bed, around, seed)


def thing_beside(x: float = 0.0, y: float = 0.0) -> tuple[Solid, ...]:
    """Return a thing whose size everyone knows, its foot at a place (mm)."""
    return clay_pot(x, y, POT)
