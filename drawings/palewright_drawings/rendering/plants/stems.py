"""Paths of stems: up, leaning and falling by their own weight, sliding off what is in their way."""

from __future__ import annotations

import numpy as np

from palewright.geometry.arrays import Floats
from palewright_drawings.rendering.plants.clearances import Obstacles
from palewright_drawings.rendering.scene.meshes import tube
from palewright_drawings.rendering.scene.scene import Mesh, Rgb


def arched(foot: Floats, tip: Floats, lean: Floats, count: int = 8) -> Floats:
    """Return a path (count, 3) from foot to tip that leaves the ground upright.

    ``lean`` (3,) mm bends its middle.

    Args:
        foot: (3,), mm.
        tip: (3,), mm.
        lean: (3,), mm: how far its middle is bent aside.
        count: of points.
    """
    t = np.linspace(0.0, 1.0, count)[:, None]
    straight = foot + (tip - foot) * np.concatenate([t**1.6, t**1.6, t], axis=1)
    return np.asarray(straight + 4 * t * (1 - t) * lean)


def fallen(
    start: Floats,
    heading: Floats,
    length: float,
    around: Obstacles,
    draw: np.random.Generator,
    weight: float = 0.13,
    step: float = 9.0,
    clear: float = 4.0,
) -> Floats:
    """Return the path (n, 3) of a stem that falls over an edge and hangs, mm.

    Args:
        start: where it begins, off all boards.
        heading: where it grows at first.
        length: along the stem, mm.
        around: what it slides off.
        draw: its chances.
        weight: how much a step turns it down.
        step: mm.
        clear: how far it stays off boards.
    """
    point, along = start.astype(float), heading / np.linalg.norm(heading)
    path = [point]
    for _ in range(int(length / step)):
        along = along + np.array([0.0, 0.0, -weight]) + draw.normal(0.0, 0.10, 3)
        along /= np.linalg.norm(along)
        moved = around.pushed(point + step * along, clear)
        if np.linalg.norm(moved - point) < 0.25 * step:
            break
        # what it was pushed aside by also turns it: it lies on the board, not against it
        along = 0.5 * along + 0.5 * (moved - point) / np.linalg.norm(moved - point)
        point = moved
        path.append(point)
    return np.array(path)


def stem(path: Floats, thick: float, low: Rgb, high: Rgb, thin: float = 0.5) -> Mesh:
    """Return a stem along a path, ``thick`` mm at its foot, ``thin`` of that at its tip.

    Args:
        path: (n, 3), mm.
        thick: at its foot, mm.
        low: colour at its foot.
        high: colour at its tip.
        thin: thickness at its tip as a share of that at its foot.
    """
    t = np.linspace(0.0, 1.0, len(path))
    colours = np.asarray(low) * (1 - t[:, None]) + np.asarray(high) * t[:, None]
    return tube(path, 0.5 * thick * (1 - (1 - thin) * t), colours, sides=5)
