"""A board as a mesh with eased edges and a place for every face in one picture of its wood."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from palewright.construction.boards import Board, Vector
from palewright.geometry.arrays import Floats
from palewright_drawings.rendering.scene.noise import Lattice, seeded
from palewright_drawings.rendering.scene.scene import Skin
from palewright_drawings.rendering.wood.board_patches import distinct, patches, unit
from palewright_drawings.rendering.wood.grain_textures import Grain
from palewright_drawings.rendering.wood.screw_seats import Countersink, seats_of
from palewright_drawings.rendering.wood.species_looks import ramp

EASE = 0.8
"""Edges are eased by so much, mm: common practice with sandpaper, no source."""

_MARGIN = 3
"""Pixels between the pictures of two faces."""

FLOORING = "flooring"
"""The panel of planks that are no part of the box but lie under it."""

_UNSEEN = 0.12
"""Faces that look away from the camera have so many of the pixels a mm: they only throw light."""

BEFORE: Vector = (0.0, -1.0, 0.0)
"""Where all cameras of the scenes stand: before the box."""

_ENDS_DARKER = 0.86
"""Open pores at the ends drink light: judged by eye."""


def board_skin(
    board: Board, grain: Grain, density: float, ease: float = EASE, seen_from: Vector = BEFORE
) -> Skin:
    """Return a board's skin in box coordinates.

    Args:
        board: what to cover; of its holes the countersinks are seen: screws fill the rest.
        grain: its wood.
        density: pixels a mm of wood.
        ease: radius of eased edges, mm.
        seen_from: direction (unit vector, level) to the eye.
    """
    outline = distinct(board.outline)
    ease = _ease_of(board, ease)
    pictures = list(_face_pictures(outline, board, grain, density, seen_from))
    atlas, tops = _stacked(pictures)
    seats = tuple(seats_on(board, ease).values())
    pieces = list(patches(outline, board.thickness, ease, seats))
    points: list[Vector] = []
    normals: list[Vector] = []
    places: list[tuple[float, float]] = []
    triangles: list[tuple[int, int, int]] = []
    for patch in pieces:
        first = len(points)
        height, width, _ = pictures[patch.face].shape
        for corner, normal, (u, v) in zip(patch.corners, patch.normals, patch.places, strict=True):
            points.append(board.placement.out(*corner))
            normals.append(board.placement.direction_out(normal))
            places.append(
                (
                    (0.5 + u * (width - 1)) / atlas.shape[1],
                    (tops[patch.face] + 0.5 + v * (height - 1)) / atlas.shape[0],
                )
            )
        triangles += [(first + a, first + b, first + c) for a, b, c in patch.fan()]
    return Skin(np.array(points), np.array(normals), np.array(places), np.array(triangles), atlas)


def seats_on(board: Board, ease: float = EASE) -> dict[str, Countersink]:
    """Return the countersinks that a board's skin has, by the names of their screws."""
    return seats_of(board, _ease_of(board, ease))


def _ease_of(board: Board, ease: float) -> float:
    """Return how much a board's edges are eased, mm: less where it is thin or narrow."""
    return min(ease, 0.2 * board.thickness, 0.1 * board.width)


def _face_pictures(
    outline: list[tuple[float, float]],
    board: Board,
    grain: Grain,
    density: float,
    seen_from: Vector,
) -> Iterator[NDArray[np.uint8]]:
    """Yield the datum face, the far face, then each wall, as pictures with y or z upward."""
    thickness = board.thickness
    for level, out in ((0.0, (0.0, 0.0, -1.0)), (thickness, (0.0, 0.0, 1.0))):
        dots = density * _share_seen(board, out, seen_from)
        nx, ny = (max(2, round(size * dots)) for size in (board.length, board.width))
        x, y = np.linspace(0, board.length, nx), np.linspace(board.width, 0, ny)
        colours = grain.face(x, y, np.array([level]))[:, :, 0].transpose(1, 0, 2)
        yield _bytes(colours * _saw_marks(x, y, grain))
    for i, start in enumerate(outline):
        end = outline[(i + 1) % len(outline)]
        dx, dy = unit(end[0] - start[0], end[1] - start[1])
        dots = density * _share_seen(board, (dy, -dx, 0.0), seen_from)
        run, nz = (max(2, round(size * dots)) for size in (math.dist(start, end), thickness))
        z, share = np.linspace(thickness, 0, nz), np.linspace(0, 1, run)
        px, py = (start[axis] + share * (end[axis] - start[axis]) for axis in (0, 1))
        colours = _wall_colours(grain, px, py, z)
        across = abs(end[1] - start[1]) > abs(end[0] - start[0]) * 0.2
        yield _bytes(colours * (_ENDS_DARKER if across else 1.0))


def _wall_colours(grain: Grain, x: Floats, y: Floats, z: Floats) -> NDArray[np.float32]:
    """Return the colours of a wall over a line (n,), (n,) in the outline: (len(z), n, 3).

    A wall along an axis is asked for as a face: axes are blended far sooner than points.
    """
    if float(np.ptp(y)) < 1e-9:
        return np.swapaxes(grain.face(x, y[:1], z)[:, 0], 0, 1)
    if float(np.ptp(x)) < 1e-9:
        return np.swapaxes(grain.face(x[:1], y, z)[0], 0, 1)
    shape = (len(z), len(x))
    return grain.points(
        np.broadcast_to(x, shape), np.broadcast_to(y, shape), np.broadcast_to(z[:, None], shape)
    )


def _share_seen(board: Board, out: Vector, seen_from: Vector) -> float:
    """Return the share of its dots that a face needs; nobody looks under a floor."""
    x, y, up = board.placement.direction_out(out)
    away = x * seen_from[0] + y * seen_from[1] < -0.7 or (board.panel == FLOORING and up < 0.7)
    return _UNSEEN if away else 1.0


def _saw_marks(x: Floats, y: Floats, grain: Grain) -> NDArray[np.float32]:
    """Return how light the saw's marks leave a face, shape (len(y), len(x), 1).

    A planer leaves them in patches, and no two marks run alike: regular ones look woven.
    """
    strength = grain.look.saw * (1.0 - 0.8 * grain.finish.cover)
    words, level = (*grain.log.seed, "saw"), np.zeros(1)
    draw = seeded(*words)
    pitch, lean = float(draw.uniform(2.4, 3.8)), float(draw.normal(0.09, 0.06))
    bent, left = (
        Lattice((*words, what), size, (16, 12, 8)).on(x, y, level)[..., 0].T
        for what, size in (("bent", (37.0, 29.0, 1.0)), ("left", (83.0, 31.0, 1.0)))
    )
    wave = np.sin(2 * np.pi * (x[None, :] + lean * y[:, None]) / pitch + 2.4 * bent)
    marks = 1.0 + strength * 0.15 * wave * ramp(0.1, 0.9, left)
    return marks[..., None].astype(np.float32)


def _bytes(colours: NDArray[np.floating]) -> NDArray[np.uint8]:
    return np.asarray(np.clip(colours * 255.0 + 0.5, 0, 255), dtype=np.uint8)


def _stacked(pictures: list[NDArray[np.uint8]]) -> tuple[NDArray[np.uint8], list[int]]:
    """Return the pictures one below the other, edges drawn out, and the row each begins at."""
    width = max(p.shape[1] for p in pictures) + _MARGIN
    rows, tops, at = [], [], 0
    for picture in pictures:
        filled = np.pad(picture, ((0, _MARGIN), (0, width - picture.shape[1]), (0, 0)), mode="edge")
        rows.append(filled)
        tops.append(at)
        at += filled.shape[0]
    return np.concatenate(rows), tops
