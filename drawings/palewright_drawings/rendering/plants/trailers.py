"""Plants that trail over the edge of a box, and climbers on its trellis."""

from __future__ import annotations

import math

import numpy as np

from palewright.construction.boards import Board
from palewright.geometry.arrays import Floats
from palewright_drawings.rendering.plants.box_interior import Hollow
from palewright_drawings.rendering.plants.clearances import Obstacles, free_flock, free_runs, probes
from palewright_drawings.rendering.plants.leaves import leaf_solids
from palewright_drawings.rendering.plants.plants import GREEN, GrownPlants
from palewright_drawings.rendering.plants.stems import fallen, stem
from palewright_drawings.rendering.scene.meshes import aimed, joined, standing
from palewright_drawings.rendering.scene.noise import seeded
from palewright_drawings.rendering.scene.scene import Mesh, Solid

_CLEAR = 4.0
"""A trailing stem keeps so far (mm) from the wood that it falls over."""


def trailing(
    hollow: Hollow,
    around: Obstacles,
    kind: str,
    count: int,
    length: tuple[float, float],
    seed: tuple[object, ...],
    spacing: float = 16.0,
) -> GrownPlants:
    """Return stems that fall over the front and the sides, with leaves of a kind.

    Args:
        hollow: of the box.
        around: where nothing may grow.
        kind: of leaf.
        count: of stems; they come in tufts, so that wood is seen between them.
        length: least and greatest, mm.
        seed: of their chances.
        spacing: between leaves along a stem, mm.
    """
    draw = seeded("trailing", *seed)
    meshes: list[Mesh] = []
    at: list[Floats] = []
    along: list[Floats] = []
    tufts = draw.uniform(-0.9, 0.9, max(2, count // 5))
    for _ in range(count):
        start, out = _edge_start(hollow, tufts, draw)
        reach = float(draw.uniform(*length))
        path = fallen(start, out, reach, around, draw, clear=_CLEAR)
        mesh = stem(path, 2.2, (0.36, 0.36, 0.20), (0.42, 0.50, 0.24))
        if len(path) < 5 or not around.frees(probes(mesh), 0.5).all():
            continue
        meshes.append(mesh)
        _leaves_along(path, spacing, draw, around, at, along)
    return _leafed(kind, meshes, at, along, around, draw, seed)


def _edge_start(hollow: Hollow, tufts: Floats, draw: np.random.Generator) -> tuple[Floats, Floats]:
    """Return where a stem leaves the soil's edge and which way it grows."""
    x0, y0, x1, y1 = hollow.opening
    side = int(draw.choice(3, p=(0.6, 0.2, 0.2)))
    s = float(np.clip(draw.choice(tufts) + draw.normal(0, 0.12), -0.97, 0.97))
    z = hollow.rim + 14.0
    if side == 0:
        start, out = ((x0 + x1) / 2 + s * (x1 - x0) / 2, y0 + 16.0), (0.25 * draw.normal(), -1.0)
    elif side == 1:
        start, out = (x0 + 16.0, (y0 + y1) / 2 + s * (y1 - y0) / 2), (-1.0, 0.25 * draw.normal())
    else:
        start, out = (x1 - 16.0, (y0 + y1) / 2 + s * (y1 - y0) / 2), (1.0, 0.25 * draw.normal())
    return np.array([*start, z]), np.array([*out, 0.35])


def _leaves_along(
    path: Floats,
    spacing: float,
    draw: np.random.Generator,
    around: Obstacles,
    at: list[Floats],
    along: list[Floats],
) -> None:
    """Add leaves by turns left and right along a stem, away from the board beneath it."""
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])
    s = np.arange(6.0, run[-1], spacing)
    if not len(s):
        return
    points = np.stack([np.interp(s, run, path[:, axis]) for axis in range(3)], axis=1)
    ahead = np.stack([np.interp(s + 5, run, path[:, axis]) for axis in range(3)], axis=1) - points
    ahead /= np.maximum(np.linalg.norm(ahead, axis=1, keepdims=True), 1e-6)
    free = _away(points, around)
    side = np.cross(ahead, free) * np.where(np.arange(len(s)) % 2, 1.0, -1.0)[:, None]
    at += list(points)
    along += list(0.35 * ahead + 0.8 * side + 0.55 * free + draw.normal(0, 0.25, points.shape))


def _away(points: Floats, around: Obstacles) -> Floats:
    """Return the unit directions (n, 3) in which boards get farther: up where none is near."""
    steps = np.concatenate([np.eye(3), -np.eye(3)]) * 3.0
    tried = (points[:, None] + steps).reshape(-1, 3)
    depth = around.depths(tried, 40.0).reshape(-1, 6)
    slope = depth[:, 3:] - depth[:, :3]
    size = np.linalg.norm(slope, axis=1, keepdims=True)
    up = np.array([0.0, -0.3, 0.95])
    return np.where(size > 1e-6, slope / np.maximum(size, 1e-6), up)


def _leafed(
    kind: str,
    stems: list[Mesh],
    at: list[Floats],
    along: list[Floats],
    around: Obstacles,
    draw: np.random.Generator,
    seed: tuple[object, ...],
) -> GrownPlants:
    if not stems:
        return GrownPlants()
    places_at, ways = np.array(at), np.array(along)
    face = _away(places_at, around)
    face = face + 0.5 * np.array([0, 0, 1.0]) + 0.25 * draw.normal(0, 1, face.shape)
    places = aimed(places_at, ways, face, draw.uniform(0.6, 1.15, len(places_at)))
    groups = leaf_solids(kind, 5, seed)
    flocks = tuple(
        free_flock(f"{kind}-trail-{i}", group, places[i :: len(groups)], around, 0.6)
        for i, group in enumerate(groups)
    )
    return GrownPlants((Solid(f"{kind}-stems", joined(stems), GREEN),), flocks)


def climbing(
    uprights: list[Board],
    hollow: Hollow,
    around: Obstacles,
    kind: str,
    seed: tuple[object, ...],
    heads: tuple[Solid, ...] | None = None,
) -> GrownPlants:
    """Return a climber that winds round the uprights of a trellis.

    Args:
        uprights: boards to climb.
        hollow: of the box.
        around: where nothing may grow.
        kind: of leaf.
        seed: of its chances.
        heads: a flower to set among the leaves.
    """
    draw = seeded("climbing", *seed)
    meshes: list[Mesh] = []
    at: list[Floats] = []
    along: list[Floats] = []
    for board in uprights:
        for phase in (0.0, math.pi * 0.9):
            path = _wound(board, hollow, phase + float(draw.uniform(0, 1)), around, draw)
            for run in free_runs(path, around):
                mesh = stem(run, 4.0, (0.34, 0.36, 0.20), (0.42, 0.54, 0.24), 0.9)
                if around.frees(probes(mesh), 0.3).all():
                    meshes.append(mesh)
            _leaves_along(path, 19.0, draw, around, at, along)
            _leaves_along(path, 31.0, draw, around, at, along)
    grown = _leafed(kind, meshes, at, along, around, draw, seed)
    if heads is None or not at:
        return grown
    some = draw.choice(len(at), max(4, len(at) // 16), replace=False)
    axis = _away(np.array(at)[some], around) + 0.35 * draw.normal(0, 1, (len(some), 3))
    spots = np.array([at[i] for i in some]) + 22.0 * axis
    turn, size = draw.uniform(0, 6, len(some)), draw.uniform(0.6, 0.9, len(some))
    flock = free_flock("climber-flowers", heads, standing(spots, axis, turn, size), around)
    return GrownPlants(grown.solids, (*grown.flocks, flock))


def _wound(
    board: Board, hollow: Hollow, phase: float, around: Obstacles, draw: np.random.Generator
) -> Floats:
    """Return a path that winds up a board from the soil to its top and nods over."""
    corners = np.array(board.corners)
    middle, top = corners.mean(axis=0), float(corners[:, 2].max())
    half = np.ptp(corners[:, :2], axis=0) / 2
    reach = float(np.hypot(*half)) + 9.0
    points = []
    count = max(24, int((top - hollow.soil) / 6.0))
    stretch = float(draw.uniform(0.86, 1.02))
    for i in range(count):
        t = i / (count - 1)
        turn = phase + t * (top - hollow.soil) / 230.0 * 2 * math.pi
        sway = 0.5 + 0.5 * math.sin(9.0 * t + 3.0 * phase)
        wide = reach * (1.0 + 0.35 * sway)
        point = np.array([
            middle[0] + wide * math.cos(turn),
            middle[1] + wide * math.sin(turn),
            hollow.soil + 4.0 + t * stretch * (top - hollow.soil),
        ])  # fmt: skip
        points.append(around.pushed(point, 6.0))
    return np.array(points)
