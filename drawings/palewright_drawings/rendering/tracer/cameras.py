"""Where the camera stands so that a box of any size fills the picture, and how far it sees."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from palewright.construction.boards import Vector
from palewright.geometry.arrays import Floats
from palewright_drawings.rendering.scene.scene import Camera

Framing = Callable[[Floats | None], Camera]
"""From points (n, 3), mm, that stand beside the box, or none, to the camera of a picture."""

VIEWS: dict[str, Vector] = {
    "hero": (-0.55, -1.0, 0.42),
    "three-quarter": (0.75, -1.0, 0.62),
    "front": (0.0, -1.0, 0.12),
    "above": (-0.18, -0.5, 1.3),
}
"""Directions from the box to the camera, by name: x right, y back, z up."""


def framed(
    points: Floats,
    towards: Vector,
    width: int,
    height: int,
    angle: float = 26.0,
    margin: float = 0.09,
) -> Camera:
    """Return the camera that sees all points (n, 3), mm, as large as the margins allow.

    Args:
        points: what has to be in the picture.
        towards: direction from them to the camera.
        width: of the picture, pixels.
        height: of the picture, pixels.
        angle: degrees across the longer side.
        margin: share of the shorter side that stays free on each side.
    """
    right, up, back = _axes(np.asarray(towards))
    long = math.tan(math.radians(angle / 2))
    free = 1.0 - 2.0 * margin * min(width, height) / np.array([width, height])
    half = long * np.array([width, height]) / max(width, height) * free
    own = points @ np.stack([right, up, back]).T
    place = [_middle(own[:, axis], own[:, 2], half[axis]) for axis in (0, 1)]
    distance = max(
        float(np.max(np.abs(own[:, axis] - place[axis]) / half[axis] + own[:, 2]))
        for axis in (0, 1)
    )
    place = [_centred(own[:, axis], distance - own[:, 2]) for axis in (0, 1)]
    target = place[0] * right + place[1] * up + float(own[:, 2].mean()) * back
    at = place[0] * right + place[1] * up + distance * back
    return Camera(_triple(at), _triple(target), angle, width, height)


def _middle(across: Floats, near: Floats, half: float) -> float:
    """Return where the camera stands along one axis so that both sides fill the frame alike.

    At the least distance the rays to both extremes touch the frame: two lines that meet there.
    """
    low, high = float(np.min(across - half * near)), float(np.max(across + half * near))
    return (low + high) / 2


def _centred(across: Floats, away: Floats) -> float:
    """Return where along one axis a camera sees as much free on both sides, by halving."""
    low, high = float(across.min()), float(across.max())
    for _ in range(60):
        place = (low + high) / 2
        slopes = (across - place) / away
        low, high = (place, high) if slopes.max() + slopes.min() > 0 else (low, place)
    return (low + high) / 2


def _triple(values: Floats) -> Vector:
    x, y, z = (float(value) for value in values)
    return x, y, z


def framing_of(points: Floats, towards: Vector, width: int, height: int) -> Framing:
    """Return how to frame points (n, 3), mm, together with whatever a scene sets beside them.

    Args:
        points: (n, 3), mm.
        towards: direction from them to the camera.
        width: of the picture, pixels.
        height: of the picture, pixels.
    """

    def framing(beside: Floats | None) -> Camera:
        whole = points if beside is None else np.concatenate([points, beside])
        return framed(whole, towards, width, height)

    return framing


def held_still(camera: Camera) -> Framing:
    """Return how to keep a camera, whatever a scene sets beside the box."""
    return lambda _beside: camera


def axes(camera: Camera) -> tuple[Floats, Floats, Floats]:
    """Return right, up and back of a camera: unit vectors, level with the ground."""
    back = np.asarray(camera.at) - np.asarray(camera.towards)
    return _axes(back)


def _axes(back: Floats) -> tuple[Floats, Floats, Floats]:
    """Return right, up and back, by hand: the general cross product takes ten times as long."""
    back = back / np.linalg.norm(back)
    right = np.array([-back[1], back[0], 0.0])
    right /= np.linalg.norm(right)
    x, y, z = back
    up = np.array([-z * right[1], z * right[0], x * right[1] - y * right[0]])
    return right, up, back


def seen(camera: Camera, points: Floats) -> Floats:
    """Return where points (n, 3) come to lie in the picture: pixels from the left and the top."""
    right, up, back = axes(camera)
    own = (points - np.asarray(camera.at)) @ np.stack([right, up, -back]).T
    scale = max(camera.width, camera.height) / 2 / math.tan(math.radians(camera.angle / 2))
    flat = own[:, :2] / own[:, 2:3] * scale
    return np.column_stack([camera.width / 2 + flat[:, 0], camera.height / 2 - flat[:, 1]])


_RIM = 33
"""Rays along each side of the frame: what is seen is convex, its corners are among them."""


@dataclass(frozen=True, slots=True)
class FloorSight:
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


def pixel_rays(camera: Camera) -> Floats:
    """Return the directions through the middles of all pixels: (height, width, 3), 1 mm ahead."""
    right, up, back = axes(camera)
    half = math.tan(math.radians(camera.angle / 2)) / max(camera.width, camera.height)
    x = (2.0 * np.arange(camera.width) + 1.0 - camera.width) * half
    y = (camera.height - 1.0 - 2.0 * np.arange(camera.height)) * half
    return np.asarray(x[None, :, None] * right + y[:, None, None] * up - back)


def sight_of(camera: Camera, wall: float) -> FloorSight:
    """Return what a camera before a wall sees; the wall faces -y at ``wall`` mm along y."""
    at, rays = np.asarray(camera.at), rays_of(camera)
    with np.errstate(divide="ignore", invalid="ignore"):
        to_floor = np.where(rays[:, 2] < 0, -at[2] / rays[:, 2], np.inf)
        to_wall = np.where(rays[:, 1] > 0, (wall - at[1]) / rays[:, 1], np.inf)
    way = np.minimum(to_floor, to_wall)
    places = at + rays[np.isfinite(way)] * way[np.isfinite(way), None]
    side, front, top = np.abs(places[:, 0]).max(), -places[:, 1].min(), places[:, 2].max()
    return FloorSight(float(side), float(front), float(top))
