"""How far a camera sees: the floor before a wall, and the wall, that fill its picture."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from palewright_drawings.pictures.cameras import axes
from palewright_drawings.pictures.scene_parts import Camera

Floats = NDArray[np.float64]

_RIM = 33
"""Rays along each side of the frame: what is seen is convex, its corners are among them."""


@dataclass(frozen=True, slots=True)
class Sight:
    """What a picture shows of the floor z = 0 and of a wall behind it, mm.

    Attributes:
        side: to the left and right of x = 0, whichever is more, of both.
        front: from y = 0 towards the camera's side, of the floor.
        top: above the floor, of the wall.
    """

    side: float
    front: float
    top: float


def rays_of(camera: Camera) -> Floats:
    """Return directions (n, 3) from the camera through the rim of its picture."""
    right, up, back = axes(camera)
    half = math.tan(math.radians(camera.angle / 2)) / max(camera.width, camera.height)
    run = np.linspace(-1.0, 1.0, _RIM)
    one = np.ones(_RIM)
    x = np.concatenate([run, run, one, -one]) * camera.width * half
    y = np.concatenate([one, -one, run, run]) * camera.height * half
    return x[:, None] * right + y[:, None] * up - back


def sight_of(camera: Camera, wall: float) -> Sight:
    """Return what a camera before a wall sees; the wall faces -y at ``wall`` mm along y."""
    at, rays = np.asarray(camera.at), rays_of(camera)
    with np.errstate(divide="ignore", invalid="ignore"):
        to_floor = np.where(rays[:, 2] < 0, -at[2] / rays[:, 2], np.inf)
        to_wall = np.where(rays[:, 1] > 0, (wall - at[1]) / rays[:, 1], np.inf)
    way = np.minimum(to_floor, to_wall)
    places = at + rays[np.isfinite(way)] * way[np.isfinite(way), None]
    side, front, top = np.abs(places[:, 0]).max(), -places[:, 1].min(), places[:, 2].max()
    return Sight(float(side), float(front), float(top))
