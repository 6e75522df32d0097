"""The winter room: a tree in its box by a window at dusk, lit by its own string of lights."""

from __future__ import annotations

import numpy as np

from palewright.design import Design
from palewright.geometry.arrays import Floats
from palewright_drawings.rendering.places.grounds import deck, plaster
from palewright_drawings.rendering.places.string_lights import string_lights
from palewright_drawings.rendering.plants.box_interior import hollow_of
from palewright_drawings.rendering.plants.clearances import box_obstacles
from palewright_drawings.rendering.plants.conifers import conifer
from palewright_drawings.rendering.plants.standing_trees import standing_tree
from palewright_drawings.rendering.scene.meshes import block
from palewright_drawings.rendering.scene.scene import Lamp, Scene, Sky, Solid, Surface, points_of
from palewright_drawings.rendering.tracer.cameras import Framing, sight_of
from palewright_drawings.rendering.wood.box_boards import woods_of
from palewright_drawings.rendering.wood.screw_heads import screw_heads
from palewright_drawings.rendering.wood.species_looks import SurfaceFinish

_DUSK = Sky(top=(0.46, 0.45, 0.46), horizon=(0.52, 0.48, 0.44), ground=(0.20, 0.17, 0.14))
"""What comes in of a grey evening: red, green, blue; judged by eye."""

_WALL = (0.84, 0.80, 0.73)
"""Red, green, blue of plaster: judged by eye."""

_SKIRTING = (0.88, 0.86, 0.82)
"""The same of the skirting board."""

_FLOOR = SurfaceFinish((0.50, 0.33, 0.20), cover=0.35, tint=0.5, grain=1.1, gloss=0.45)
"""Oiled planks: judged by eye."""

_BULBS = 64
"""Bulbs of a string: judged by eye."""


def winter_room(design: Design, finish: SurfaceFinish, density: float, framing: Framing) -> Scene:
    """Return the box with a cut conifer in it, in a room in the evening.

    Args:
        design: the box.
        finish: of its wood.
        density: pixels of the pictures of its boards, a mm.
        framing: from what must be in the picture to its camera.
    """
    boards, seed = design.box.boards, design.parameters.lumber.seed
    corners = np.array([corner for board in boards.values() for corner in board.corners])
    low, high = corners.min(axis=0), corners.max(axis=0)
    hollow = hollow_of(design)
    wide = float(min(hollow.width, hollow.depth))
    # the wall stands as far behind as branches reach, which needs the tree first
    tree, held = standing_tree(design, box_obstacles(design), density)
    wall = float(high[1]) + tree.spread
    around = box_obstacles(design, wall - 30.0)
    grown = conifer(tree, around)
    wire, lamps = string_lights(tree, around, _BULBS)
    size = float(max(np.ptp(corners, axis=0).max(), tree.top - hollow.rim))
    framed = hollow.rim + 0.6 * (tree.top - hollow.rim)
    stock = next(iter(boards.values())).stock
    parcels = _parcels(float(high[0]), float(0.85 * low[1] + 0.15 * high[1]))
    subject = np.concatenate(
        [hollow.above(framed, 2 * tree.reach(framed) / wide), points_of(parcels)]
    )
    sight = sight_of(framing(subject), wall)
    reach = 1.6 * size + 400.0
    floor = (max(reach, sight.side), max(reach, sight.front))
    return Scene(
        name="winter-room",
        woods=(
            *woods_of(design, finish, density),
            *deck(*floor, wall, seed, stock, density, _FLOOR, 118.0),
        ),
        solids=(
            *plaster(
                max(8 * size, sight.side), wall, max(3000.0 + size, sight.top), _WALL, _SKIRTING
            ),
            *held.solids,
            *parcels,
            *grown.solids,
            *wire,
        ),
        flocks=(*screw_heads(design, finish), *held.flocks, *grown.flocks),
        lamps=(*_room_lamps(low, high, size), *lamps),
        sky=_DUSK,
        exposure=1.2,
        warmth=1.02,
        glow=0.35,
        subject=subject,
    )


def _parcels(right: float, front: float) -> tuple[Solid, ...]:
    """Return two wrapped parcels beside the box: everyone knows how large those are."""
    red, paper = Surface((0.50, 0.10, 0.10), rough=0.5), Surface((0.62, 0.48, 0.34), rough=0.8)
    band = Surface((0.86, 0.80, 0.68), rough=0.35)
    x, y = right + 90.0, front + 60.0
    return (
        Solid("parcel-1", block((x, y, 1.0), (x + 230, y + 170, 95)), paper),
        Solid("band-1", block((x + 100, y - 1, 0.5), (x + 122, y + 171, 96)), red),
        Solid("band-2", block((x - 1, y + 74, 0.5), (x + 231, y + 96, 96.2)), red),
        Solid("parcel-2", block((x + 50, y + 20, 97.0), (x + 180, y + 150, 160)), red),
        Solid("band-3", block((x + 106, y + 19, 97), (x + 122, y + 151, 161)), band),
        Solid("band-4", block((x + 49, y + 76, 97), (x + 181, y + 92, 161.2)), band),
    )


def _room_lamps(low: Floats, high: Floats, size: float) -> tuple[Lamp, ...]:
    """Return a warm lamp off to the left and the last light of a window on the right."""
    middle = (0.0, 0.0, float(high[2]) * 0.8)
    # so far off that no picture, however wide, has its back in it
    left = (float(low[0]) - 2.9 * size, float(low[1]) - 2.7 * size, 2.3 * size)
    right = (float(high[0]) + 2.0 * size, float(low[1]) - 0.9 * size, 1.1 * size)
    return (
        Lamp(left, middle, 0.85 * size, (13.0, 10.2, 7.0)),
        Lamp(right, middle, 0.6 * size, (2.2, 2.3, 2.6)),
    )
