"""The spring porch: a planted box on a deck before a lapped wall, a pot and a can beside it."""

from __future__ import annotations

import numpy as np

from palewright.design import Design
from palewright_drawings.rendering.places.grounds import deck, siding
from palewright_drawings.rendering.plants.beds import bed_of
from palewright_drawings.rendering.plants.box_interior import hollow_of
from palewright_drawings.rendering.plants.clearances import box_obstacles
from palewright_drawings.rendering.plants.plantings import spring_planting, tallest
from palewright_drawings.rendering.scene.props import clay_pot
from palewright_drawings.rendering.scene.scene import Scene, Sky, points_of
from palewright_drawings.rendering.tracer.cameras import Framing, sight_of
from palewright_drawings.rendering.wood.box_boards import woods_of
from palewright_drawings.rendering.wood.screw_heads import screw_heads
from palewright_drawings.rendering.wood.species_looks import SurfaceFinish

_MORNING = Sky(
    top=(0.50, 0.62, 0.92),
    horizon=(1.0, 0.98, 0.94),
    ground=(0.30, 0.28, 0.25),
    sun=(820.0, 720.0, 560.0),
    sun_from=(-0.75, -0.55, 0.62),
    sun_size=2.4,
)
"""Light of a spring morning: red, green, blue; judged by eye."""

_WALL = (0.72, 0.76, 0.77)
"""Red, green, blue of painted siding: judged by eye."""

_BEHIND = 190.0
"""Between the box and the wall, mm."""


def spring_porch(design: Design, finish: SurfaceFinish, density: float, framing: Framing) -> Scene:
    """Return the box in spring, planted, on a porch.

    Args:
        design: the box.
        finish: of its wood.
        density: pixels of the pictures of its boards, a mm.
        framing: from what must be in the picture to its camera.
    """
    boards = design.box.boards
    seed = design.parameters.lumber.seed
    corners = np.array([corner for board in boards.values() for corner in board.corners])
    low, high = corners.min(axis=0), corners.max(axis=0)
    wall = float(high[1]) + _BEHIND
    size = float(np.ptp(corners, axis=0).max())
    hollow, around = hollow_of(design), box_obstacles(design, wall - 12.0)
    grown = spring_planting(design, bed_of(design, around, seed), around, seed)
    stock = next(iter(boards.values())).stock
    props = clay_pot(float(high[0]) + 150.0, float(0.75 * low[1] + 0.25 * high[1]))
    subject = np.concatenate(
        [hollow.above(hollow.soil + 1.15 * tallest(hollow), 0.7), points_of(props)]
    )
    sight = sight_of(framing(subject), wall)
    reach = 2.2 * size + 600.0
    return Scene(
        name="spring-porch",
        woods=(
            *woods_of(design, finish, density),
            *deck(max(reach, sight.side), max(reach, sight.front), wall, seed, stock, density),
        ),
        solids=(
            *siding(
                max(6 * size + 2000.0, sight.side), wall, max(5 * size + 1500.0, sight.top), _WALL
            ),
            *grown.solids,
            *props,
        ),
        flocks=(*screw_heads(design, finish), *grown.flocks),
        sky=_MORNING,
        exposure=0.82,
        subject=subject,
    )
