"""Heads of screws as they are seen: countersunk, with a star recess, coated or painted over."""

from __future__ import annotations

import math

import numpy as np

from palewright.construction.joints import Screw
from palewright.design import Design
from palewright.geometry.arrays import Floats
from palewright_drawings.rendering.scene.meshes import grid_triangles, joined
from palewright_drawings.rendering.scene.noise import seeded
from palewright_drawings.rendering.scene.scene import Flock, Mesh, Solid, Surface
from palewright_drawings.rendering.wood.board_meshes import seats_on
from palewright_drawings.rendering.wood.screw_seats import SUNK
from palewright_drawings.rendering.wood.species_looks import SurfaceFinish

COATINGS: dict[str, Surface] = {
    # coatings rated for treated wood are lacquers, mostly tan or brown
    "rated": Surface((0.45, 0.36, 0.26), rough=0.45),
    "hot-dip": Surface((0.60, 0.61, 0.61), rough=0.6, metal=True),
    "stainless": Surface((0.74, 0.72, 0.69), rough=0.3, metal=True),
    "zinc": Surface((0.72, 0.74, 0.76), rough=0.3, metal=True),
    "plain": Surface((0.44, 0.43, 0.42), rough=0.4, metal=True),
}
"""How the coatings of ``screws.coating`` look: common practice, no source; judged by eye."""

_PAINTED = 0.9
"""A finish that covers so much of the wood is paint, and paint goes over the heads as well."""

_SIDES = 48
"""Points round a head: eight to each point of the star and the waist after it."""

_POINTS = 6
"""Points of the star in a head."""

_ACROSS, _WAIST = 0.5, 0.72
"""Recess over its points as a share of the head, and over its waists as a share of that: a six
pointed star 3.95 and 2.85 mm across in a #8 head of 7.9 mm (ISO 10664, from memory)."""

_DEEP, _FILLED = 0.42, 0.15
"""Depth of the recess as a share of its width over points: bare, and where paint has run in."""

_PROUD = 0.05
"""A head that no face has room for stands out of the wood by so much, mm."""


def screw_heads(design: Design, finish: SurfaceFinish) -> tuple[Flock, ...]:
    """Return the heads of all screws, one flock a head size, each in its countersink."""
    boards = design.box.boards
    sunk = {name for board in boards.values() for name in seats_on(board)}
    painted = finish.cover >= _PAINTED
    surface = COATINGS[design.parameters.screws.coating]
    if painted:
        surface = Surface(finish.colour, rough=0.78 - 0.5 * finish.gloss)
    places: dict[float, list[Floats]] = {}
    for screw in design.box.screws:
        out = 0.0 if screw.name in sunk else SUNK + _PROUD
        places.setdefault(screw.kind.gauge.head, []).append(_place(screw, out))
    return tuple(
        Flock(f"heads-{wide:.2f}", (Solid("head", head(wide, painted), surface),), np.array(found))
        for wide, found in sorted(places.items())
    )


def head(wide: float, painted: bool = False) -> Mesh:
    """Return a head ``wide`` mm across, ``SUNK`` along z below the face at z = 0, seen from -z."""
    turn = np.arange(_SIDES) / _SIDES * 2 * math.pi
    radius, over = wide / 2, _ACROSS * wide / 2
    star = over * ((1 + _WAIST) / 2 + (1 - _WAIST) / 2 * np.cos(_POINTS * turn))
    floor = SUNK + (_FILLED if painted else _DEEP) * 2 * over
    rings = [np.full(_SIDES, radius), np.full(_SIDES, 0.93 * radius), star, 0.9 * star]
    lip = SUNK + 0.25
    return joined([
        # apart where there is an edge: shading does not run over it
        _band(turn, [rings[0], rings[1]], [lip, SUNK]),
        _band(turn, [rings[1], rings[2]], [SUNK, SUNK]),
        _band(turn, [rings[2], rings[3]], [SUNK, floor]),
        _band(turn, [rings[3], 0.02 * star], [floor, floor + 0.1 * over]),
    ])  # fmt: skip


def _band(turn: Floats, radii: list[Floats], heights: list[float]) -> Mesh:
    """Return a closed strip between rings of these radii, seen from -z."""
    points = [
        np.column_stack([radius * np.cos(turn), radius * np.sin(turn), np.full(_SIDES, z)])
        for radius, z in zip(radii, heights, strict=True)
    ]
    triangles = grid_triangles(len(radii), _SIDES, True)[:, ::-1]
    return Mesh(np.concatenate(points), triangles, smooth=True)


def _place(screw: Screw, out: float) -> Floats:
    """Return the matrix (4, 4) that brings z along a screw, turned as it was driven.

    Args:
        screw: whose head it is.
        out: how far the head is moved out of the wood, mm.
    """
    z = np.asarray(screw.axis)
    side = np.array([1.0, 0.0, 0.0]) if abs(z[0]) < 0.9 else np.array([0.0, 1.0, 0.0])
    a = np.cross(side, z)
    a /= np.linalg.norm(a)
    angle = float(seeded("driven", screw.name).uniform(0.0, 2 * math.pi))
    x = math.cos(angle) * a + math.sin(angle) * np.cross(z, a)
    found = np.eye(4)
    found[:3, 0], found[:3, 1], found[:3, 2] = x, np.cross(z, x), z
    found[:3, 3] = np.asarray(screw.head) - out * z
    return found
