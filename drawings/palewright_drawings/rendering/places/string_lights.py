"""A string of small warm lights wound round a tree: bulbs that glow, sockets, the wire."""

from __future__ import annotations

import math

import numpy as np

from palewright_drawings.rendering.plants.clearances import Obstacles, free_runs
from palewright_drawings.rendering.plants.conifers import Conifer
from palewright_drawings.rendering.scene.meshes import joined, tube
from palewright_drawings.rendering.scene.noise import seeded
from palewright_drawings.rendering.scene.scene import Lamp, Rgb, Solid, Surface

_WIRE = Surface((0.06, 0.13, 0.07), rough=0.6)
"""A green wire, as trees are hung with: judged by eye."""

_WARM: Rgb = (70.0, 42.0, 15.0)
"""Red, green, blue of a bulb's light, many times white: it shall glow (judged by eye)."""

_BULB = 5.5
"""Half a bulb, mm."""

_THIN = 1.1
"""Half the wire, mm."""


def string_lights(
    tree: Conifer, around: Obstacles, count: int
) -> tuple[tuple[Solid, ...], tuple[Lamp, ...]]:
    """Return the wire and ``count`` bulbs at most, at the tips of the branches.

    Where a board stands in its way the wire passes out of sight: there is none, nor a bulb.
    """
    draw = seeded("lights", tree.seed)
    winds = 6.5
    t = np.linspace(0.0, 1.0, 14 * count)
    # as far apart at the top as below: turns close where the cone is thin
    height = tree.skirt + 70.0 + (tree.top - tree.skirt - 120.0) * t
    reach = np.array([tree.reach(float(h)) for h in height]) * 1.0 + 22.0
    reach = reach * (1.0 + 0.05 * np.sin(41.0 * t) + 0.03 * np.sin(97.0 * t + 1.0))
    turn = 2 * math.pi * winds * t + 0.6
    wire = np.column_stack([reach * np.cos(turn), reach * np.sin(turn),
                            height - 12.0 * np.abs(np.sin(26.0 * t))])  # fmt: skip
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(wire, axis=0), axis=1))])
    lamps = []
    for s in np.linspace(0.0, run[-1], count):
        point = np.array([np.interp(s, run, wire[:, axis]) for axis in range(3)])
        point = point + draw.normal(0, 6.0, 3)
        if around.frees(point[None], _BULB + 2.0).all():
            x, y, z = (float(value) for value in point)
            lamps.append(Lamp((x, y, z), (x, y, z), _BULB, _WARM, ball=True))
    runs = [tube(run, np.full(len(run), _THIN), sides=4) for run in free_runs(wire, around)]
    return (Solid("wire", joined(runs), _WIRE),) if runs else (), tuple(lamps)
