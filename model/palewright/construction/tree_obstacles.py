"""What stands in a tree box: the stand and the trunk, as obstacles for the fit checks."""

from __future__ import annotations

from palewright.construction.derived_sizes import Sizes
from palewright.construction.floors import floor_top
from palewright.construction.joints import Obstacle
from palewright.parameters.tables import Parameters

_TRUNK_ABOVE = 600.0
"""How much trunk above the box (mm) has to pass when the box is closed round it."""


def stand_base(parameters: Parameters, sizes: Sizes) -> float:
    """Return the height (mm) on which the stand stands: the ground, or the thickest slat."""
    if parameters.floor.kind == "none":
        return 0.0
    return floor_top(parameters, sizes, sizes.board.thickest)


def tree_obstacles(parameters: Parameters, sizes: Sizes) -> list[Obstacle]:
    """Return the stand and the trunk with their air, mm; none in a planter."""
    if parameters.box.kind != "tree":
        return []
    tree, base = parameters.tree, stand_base(parameters, sizes)
    top = base + tree.stand_height
    return [
        Obstacle("stand", tree.stand_diameter / 2 + tree.air, base, top + tree.air),
        Obstacle(
            "trunk",
            tree.trunk_diameter / 2 + tree.air,
            base,
            max(top, sizes.height) + _TRUNK_ABOVE,
        ),
    ]
