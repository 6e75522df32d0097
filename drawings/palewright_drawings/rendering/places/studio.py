"""The plain studio: a box on a bright sweep under a soft sun, for comparing sizes and woods."""

from __future__ import annotations

import math

import numpy as np

from palewright.design import Design
from palewright.geometry.arrays import Floats
from palewright_drawings.rendering.scene.meshes import grid_triangles
from palewright_drawings.rendering.scene.scene import Mesh, Scene, Sky, Solid, Surface
from palewright_drawings.rendering.tracer.cameras import Framing, sight_of
from palewright_drawings.rendering.wood.box_boards import woods_of
from palewright_drawings.rendering.wood.screw_heads import screw_heads
from palewright_drawings.rendering.wood.species_looks import SurfaceFinish

_FAR = 60_000.0
"""Floor to the sides and to the front, mm: what throws light up at a box has no end."""

_BEFORE_BEND, _BEND = 0.35, 1.8
"""Level floor behind the box, and height of the bend, as shares of the box's longest side."""

_OF_SEEN = 0.8
"""Where more wall is seen than that, the bend is so much of it: a short one would look an edge."""

_DEEPER = 2.0
"""The bend is so many times as deep as it is high: a round one would leave the floor at once."""

_STEPS = 200
"""Strips of the bend: none turns by more than a degree."""

_SPARE = 1.1
"""The wall is so many times as high as what is seen of it."""

_DAY = Sky(
    top=(0.56, 0.62, 0.82),
    horizon=(0.95, 0.95, 0.95),
    ground=(0.30, 0.28, 0.25),
    sun=(900.0, 840.0, 760.0),
    sun_from=(-0.6, -0.5, 0.75),
    sun_size=2.0,
)
"""A soft sun from the left and a pale sky: judged by eye."""


def studio(design: Design, finish: SurfaceFinish, density: float, framing: Framing) -> Scene:
    """Return the box alone on a sweep of no colour.

    Args:
        design: the box.
        finish: of its wood.
        density: pixels of the pictures of its boards, a mm.
        framing: from what must be in the picture to its camera.
    """
    corners = np.array([c for board in design.box.boards.values() for c in board.corners])
    sheet = Solid("sweep", backdrop(corners, framing), Surface((0.82, 0.81, 0.79), rough=0.9))
    return Scene(
        name="studio",
        woods=woods_of(design, finish, density),
        solids=(sheet,),
        flocks=screw_heads(design, finish),
        sky=_DAY,
        exposure=0.74,
    )


def backdrop(points: Floats, framing: Framing) -> Mesh:
    """Return the sweep that fills the picture behind a box of these corners (n, 3), mm."""
    size = float(np.ptp(points, axis=0).max())
    foot, camera = float(points[:, 1].max()) + _BEFORE_BEND * size, framing(None)
    bend = max(_BEND * size, _OF_SEEN * sight_of(camera, foot + _DEEPER * _BEND * size).top)
    return sweep(foot, bend, max(bend, _SPARE * sight_of(camera, foot + _DEEPER * bend).top))


def sweep(foot: float, bend: float, height: float) -> Mesh:
    """Return a sheet that runs from the floor into a wall without an edge.

    It is no higher than asked for: light comes over it from behind.

    Args:
        foot: where the bend begins, mm along y.
        bend: its height, mm.
        height: of the whole, mm; at least the bend's.
    """
    turn, deep = np.linspace(0.0, math.pi / 2, _STEPS + 1), _DEEPER * bend
    y = np.concatenate([[-_FAR], foot + deep * np.sin(turn), [foot + deep]])
    z = np.concatenate([[0.0], bend * (1.0 - np.cos(turn)), [height + 1.0]])
    points = np.array([(x, b, c) for b, c in zip(y, z, strict=True) for x in (-_FAR, _FAR)])
    return Mesh(points, grid_triangles(len(y), 2), smooth=True)
