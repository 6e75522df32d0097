"""A cut tree in its box: how large it is, and what holds it."""

from __future__ import annotations

import numpy as np

from palewright.construction.tree_obstacles import stand_base
from palewright.design import Design
from palewright_drawings.rendering.plants.beds import bed_of
from palewright_drawings.rendering.plants.box_interior import hollow_of
from palewright_drawings.rendering.plants.clearances import Obstacles
from palewright_drawings.rendering.plants.conifers import Conifer
from palewright_drawings.rendering.plants.plants import GrownPlants
from palewright_drawings.rendering.scene.meshes import turned
from palewright_drawings.rendering.scene.scene import Solid, Surface

_STAND = Surface((0.10, 0.16, 0.11), rough=0.4)
"""A tree stand's dark green paint: judged by eye."""


def standing_tree(design: Design, around: Obstacles, density: float) -> tuple[Conifer, GrownPlants]:
    """Return the tree that suits a box, and what holds it: a stand, or soil.

    Args:
        design: the box.
        around: its boards.
        density: pixels a mm of the picture: finer needles are drawn as fewer.
    """
    parameters, hollow = design.parameters, hollow_of(design)
    seed = parameters.lumber.seed
    wide = float(min(hollow.width, hollow.depth))
    tall = float(np.clip(2.5 * wide, 700.0, 1900.0))
    foot, held = _held(design, around, seed)
    tree = Conifer(
        foot=foot,
        skirt=hollow.rim + 0.10 * tall,
        top=hollow.rim + tall,
        spread=0.34 * tall,
        trunk=min(0.16 * wide, 0.7 * parameters.tree.trunk_diameter),
        seed=seed,
        density=density,
    )
    return tree, held


def _held(design: Design, around: Obstacles, seed: int) -> tuple[float, GrownPlants]:
    """Return the height (mm) of the trunk's foot and what holds it: a stand, or soil."""
    if design.parameters.box.kind != "tree":
        bed = bed_of(design, around, seed, most=1)
        return bed.foot, bed.growth
    base = stand_base(design.parameters, design.box.sizes)
    return base + 2.0, GrownPlants((_stand(design, base),))


def _stand(design: Design, base: float) -> Solid:
    """Return the stand that a tree box hides, on a height of ``base`` mm."""
    tree = design.parameters.tree
    r, h = tree.stand_diameter / 2, tree.stand_height
    bowl = turned([
        (0.1, base + 1), (r, base + 1), (r, base + 12), (0.5 * r, base + 0.5 * h),
        (0.42 * r, base + h), (0.36 * r, base + h), (0.36 * r, base + 0.5 * h),
    ])  # fmt: skip
    return Solid("stand", bowl, _STAND)
