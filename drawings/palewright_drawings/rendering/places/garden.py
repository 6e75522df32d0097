"""The garden: a box on stone slabs before a hedge, a climber on its trellis, a watering can."""

from __future__ import annotations

import numpy as np

from palewright.design import Design
from palewright_drawings.rendering.places.grounds import hedge, paving
from palewright_drawings.rendering.plants.beds import bed_of
from palewright_drawings.rendering.plants.box_interior import hollow_of
from palewright_drawings.rendering.plants.clearances import box_obstacles
from palewright_drawings.rendering.plants.plantings import summer_planting, tallest
from palewright_drawings.rendering.scene.props import step, watering_can
from palewright_drawings.rendering.scene.scene import Scene, Sky, points_of
from palewright_drawings.rendering.tracer.cameras import Framing, sight_of
from palewright_drawings.rendering.wood.box_boards import woods_of
from palewright_drawings.rendering.wood.screw_heads import screw_heads
from palewright_drawings.rendering.wood.species_looks import SurfaceFinish

_AFTERNOON = Sky(
    top=(0.42, 0.56, 0.92),
    horizon=(0.96, 0.97, 1.0),
    ground=(0.26, 0.26, 0.20),
    sun=(880.0, 770.0, 590.0),
    sun_from=(-0.8, -0.6, 0.7),
    sun_size=2.2,
)
"""Light of a clear afternoon: red, green, blue; judged by eye."""

_STEP = (0.60, 0.57, 0.52)
"""Red, green, blue of a stone step: judged by eye."""


def garden(design: Design, finish: SurfaceFinish, density: float, framing: Framing) -> Scene:
    """Return the box in summer, planted, on a terrace.

    Args:
        design: the box.
        finish: of its wood.
        density: pixels of the pictures of its boards, a mm.
        framing: from what must be in the picture to its camera.
    """
    seed = design.parameters.lumber.seed
    corners = np.array([c for board in design.box.boards.values() for c in board.corners])
    low, high = corners.min(axis=0), corners.max(axis=0)
    size = float(np.ptp(corners, axis=0).max())
    behind = float(high[1]) + 420.0
    around = box_obstacles(design, behind - 60.0)
    hollow = hollow_of(design)
    grown = summer_planting(design, bed_of(design, around, seed), around, seed)
    right, back = float(high[0]), float(high[1])
    can = watering_can(right + 190.0, float(0.6 * low[1] + 0.4 * high[1]), 0.5)
    subject = np.concatenate([hollow.above(hollow.soil + tallest(hollow), 0.8), points_of(can)])
    sight = sight_of(framing(subject), behind)
    # sky may stand over the hedge, but not beside it
    along = max(1.3 * size + 900.0, sight.side)
    core, leaves = hedge(along, behind, 1.05 * size + 650.0, seed)
    return Scene(
        name="garden",
        woods=woods_of(design, finish, density),
        solids=(
            *paving(max(1.6 * size + 1200.0, sight.side, sight.front), seed),
            *core,
            *grown.solids,
            *can,
            *step(-right - 900.0, back + 60.0, -right - 120.0, behind - 40.0, 150.0, _STEP),
        ),
        flocks=(*screw_heads(design, finish), *grown.flocks, leaves),
        sky=_AFTERNOON,
        exposure=0.98,
        subject=subject,
    )
