"""Things whose size everyone knows, to show how large a box is: a pot, a watering can, a step."""

from __future__ import annotations

import math

import numpy as np

from palewright_drawings.rendering.scene.meshes import block, joined, moved, standing, tube, turned
from palewright_drawings.rendering.scene.scene import Mesh, Rgb, Solid, Surface

_CLAY = Surface((0.70, 0.40, 0.27), rough=0.9)
"""Fired clay: judged by eye."""

_ZINC = Surface((0.62, 0.64, 0.64), rough=0.38, metal=True)
"""A zinc can: judged by eye."""

EARTH = Surface((0.17, 0.12, 0.09), rough=1.0)
"""Wet potting soil: judged by eye."""


SOIL_LEVEL, SOIL_REACH = 0.84, 0.89
"""Of a pot's soil at its rim: height as a share of the pot's, radius as a share of its rim's."""


def _at(mesh: Mesh, x: float, y: float, turn: float = 0.0, z: float = 0.0) -> Mesh:
    place = standing(np.array([[x, y, z]]), np.array([[0.0, 0.0, 1.0]]), np.array([turn]),
                     np.ones(1))[0]  # fmt: skip
    return moved(mesh, place)


def clay_pot(
    x: float, y: float, size: float = 150.0, z: float = 0.0, height: float = 0.0
) -> tuple[Solid, ...]:
    """Return a clay pot with soil in it.

    Args:
        x: of its foot, mm.
        y: of its foot, mm.
        size: across its rim, mm.
        z: of its foot, mm.
        height: mm; 0 for that of a usual pot.
    """
    r = size / 2
    h = height or 0.92 * size
    profile = [
        (0.02 * r, 0.0), (0.62 * r, 0.0), (0.64 * r, 2.0), (0.89 * r, 0.74 * h),
        (0.89 * r, 0.745 * h), (0.97 * r, 0.745 * h), (0.985 * r, 0.76 * h), (1.0 * r, 0.985 * h),
        (0.99 * r, h), (0.93 * r, h), (0.91 * r, 0.985 * h), (0.88 * r, 0.80 * h),
    ]  # fmt: skip
    bed = turned([
        (SOIL_REACH * r, SOIL_LEVEL * h), (0.5 * r, (SOIL_LEVEL + 0.03) * h),
        (0.01, (SOIL_LEVEL + 0.04) * h),
    ])  # fmt: skip
    return (
        Solid("pot", _at(turned(profile, 48, smooth=False), x, y, z=z), _CLAY),
        Solid("pot-soil", _at(bed, x, y, z=z), EARTH),
    )


def watering_can(x: float, y: float, turn: float) -> tuple[Solid, ...]:
    """Return a zinc watering can of 9 litres, 300 mm high; its spout points along ``turn``."""
    body = turned([
        (0.1, 1.0), (106, 1.0), (108, 3.0), (108, 10.0), (104, 12.0), (104, 120.0), (106, 123.0),
        (104, 126.0), (104, 236.0), (107, 240.0), (104, 243.0), (100, 240.0), (99, 180.0),
    ], 56)  # fmt: skip
    t = np.linspace(0.0, 1.0, 14)[:, None]
    spout = np.concatenate([100 + 210 * t, 0 * t, 46 + 270 * t**1.25], axis=1)
    nose = tube(spout, np.linspace(24.0, 13.0, 14), sides=18)
    rose = moved(
        turned([(12, 0.0), (36, 40.0), (36, 44.0), (0.1, 50.0)], 30),
        standing(spout[-1:], np.array([[0.55, 0.0, 0.85]]), np.zeros(1), np.ones(1))[0],
    )
    a = np.linspace(-0.35 * math.pi, 0.92 * math.pi, 22)
    back = np.column_stack([-92 - 62 * np.sin(a), 0 * a, 150 + 88 * np.cos(a)])
    handle = tube(back, np.full(22, 6.5), sides=10)
    b = np.linspace(0.0, math.pi, 18)
    over = np.column_stack([100 * np.cos(b), 0 * b, 236 + 66 * np.sin(b)])
    bail = tube(over, np.full(18, 5.5), sides=10)
    whole = [_at(part, x, y, turn) for part in (body, nose, rose, handle, bail)]
    return (Solid("can", joined(whole[:1]), _ZINC), Solid("can-arms", joined(whole[1:]), _ZINC))


def step(x0: float, y0: float, x1: float, y1: float, rise: float, colour: Rgb) -> tuple[Solid, ...]:
    """Return a stone step between two corners, ``rise`` mm high, with a nosing.

    Args:
        x0: least x, mm.
        y0: least y, mm.
        x1: greatest x, mm.
        y1: greatest y, mm.
        rise: height, mm.
        colour: of the stone.
    """
    stone = Surface(colour, rough=0.85)
    return (
        Solid("riser", block((x0 + 22, y0 + 22, 0.2), (x1 - 22, y1, rise - 45)), stone),
        Solid("tread", block((x0, y0, rise - 45), (x1, y1, rise)), stone),
    )
