"""A cut conifer for a tree box: a trunk, branches in whorls, twigs with needles all round."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from palewright.geometry.arrays import Floats
from palewright_drawings.rendering.plants.clearances import Obstacles, free_flock, probes
from palewright_drawings.rendering.plants.plants import GrownPlants
from palewright_drawings.rendering.scene.meshes import aimed, joined, tube
from palewright_drawings.rendering.scene.noise import seeded
from palewright_drawings.rendering.scene.scene import Mesh, Solid, Surface

_NEEDLES = Surface((0.12, 0.24, 0.12), rough=0.55, both=True)
"""Needles, seen from both sides: judged by eye."""

_WOOD = Surface((0.30, 0.22, 0.16), rough=0.95)
"""Bark of trunk and limbs: judged by eye."""

_TWIG = 130.0
"""Length of a twig before it is scaled, mm."""

_NEEDLES_A_TWIG = 210
"""Needles of a twig drawn in full: judged by eye."""

_ALL_NEEDLES = 1.8
"""Pixels a mm from which every needle is drawn; with half as many or fewer, every other one."""


@dataclass(frozen=True, slots=True)
class Conifer:
    """A tree's measures, mm.

    Attributes:
        foot: height at which the trunk begins.
        skirt: height of the lowest branches.
        top: height of the tip.
        spread: radius of the lowest branches.
        trunk: diameter at the foot.
        seed: of its chances.
        density: pixels a mm in the picture: where needles are finer than pixels, fewer are drawn.
    """

    foot: float
    skirt: float
    top: float
    spread: float
    trunk: float
    seed: int
    density: float = _ALL_NEEDLES

    def reach(self, height: float) -> float:
        """Return how far branches reach at a height."""
        share = (self.top - height) / (self.top - self.skirt)
        return self.spread * math.pow(min(max(share, 0.0), 1.0), 0.86)


def _twig(seed: tuple[object, ...], density: float) -> tuple[Solid, ...]:
    """Return a twig along x, needles all round but fewer below.

    Fewer needles are as much wider: they cover as much.
    """
    draw = seeded("twig", *seed)
    axis = np.linspace([0.0, 0.0, 0.0], [_TWIG, 0.0, 6.0], 5)
    bark = tube(axis, np.linspace(1.6, 0.7, 5), sides=4)
    points: list[Floats] = []
    colours: list[Floats] = []
    triangles: list[tuple[int, int, int]] = []
    share = float(np.clip(density / _ALL_NEEDLES, 0.5, 1.0))
    count = round(share * _NEEDLES_A_TWIG)
    for i in range(count):
        t = i / count
        a = 2.399963 * i + 0.4 * float(draw.normal())
        side, up = math.cos(a), 0.75 * math.sin(a) + 0.25
        lean = 0.75 + 0.2 * float(draw.normal())
        along = np.array([lean, side, up])
        along /= np.linalg.norm(along)
        long = float(draw.uniform(15.0, 22.0)) * (1.0 - 0.3 * t**4)
        at = np.array([_TWIG * t, 0.0, 6.0 * t])
        across = np.cross(along, draw.normal(0, 1, 3))
        across *= 0.85 / share / np.linalg.norm(across)
        first = len(points)
        points += [at - 0.5 * across, at + 0.55 * long * along + across,
                   at + 0.55 * long * along - across, at + long * along]  # fmt: skip
        triangles += [(first, first + 1, first + 2), (first + 1, first + 3, first + 2)]
        shade = float(np.clip(0.35 + 0.45 * t + 0.18 * draw.normal(), 0, 1))
        tint = np.array([0.09, 0.19, 0.11]) * (1 - shade) + np.array([0.27, 0.43, 0.22]) * shade
        colours += [0.8 * tint, tint, tint, 1.12 * tint]
    needles = Mesh(np.array(points), np.array(triangles), False, np.array(colours))
    return (Solid("needles", needles, _NEEDLES), Solid("bark", bark, _WOOD))


def conifer(tree: Conifer, around: Obstacles) -> GrownPlants:
    """Return the tree; twigs that would touch a board are left out, as a maker would cut them."""
    draw = seeded("conifer", tree.seed)
    z = np.linspace(tree.foot, tree.top, 26)
    wander = np.cumsum(draw.normal(0, 1.6, (26, 2)), axis=0) * np.linspace(0, 1, 26)[:, None]
    axis = np.column_stack([wander, z])
    trunk = tube(axis, np.linspace(tree.trunk / 2, 4.0, 26), sides=14)
    limbs: list[Mesh] = []
    at: list[Floats] = []
    along: list[Floats] = []
    size: list[float] = []
    height, turn = tree.skirt, 0.0
    while height < tree.top - 30.0:
        share = (tree.top - height) / (tree.top - tree.skirt)
        count = int(5 + round(5 * share))
        turn += 0.9
        for k in range(count):
            a = turn + 2 * math.pi * (k + 0.22 * float(draw.normal())) / count
            z0 = height + float(draw.normal(0, 12.0))
            foot = np.array([np.interp(z0, z, axis[:, 0]), np.interp(z0, z, axis[:, 1]), z0])
            reach = tree.reach(z0) * float(draw.uniform(0.84, 1.06)) + 25.0
            path = _branch(foot, a, reach, share, draw)
            limb = tube(path, np.linspace(2.5 + 6.0 * share, 1.2, len(path)), sides=5)
            if around.frees(probes(limb), 1.0).all():
                limbs.append(limb)
                _twigs_along(path, draw, at, along, size)
        height += 40.0 + 34.0 * share
    tip = np.array([axis[-1, 0], axis[-1, 1], tree.top - 60.0])
    for lean in ([0, 0, 1.0], [0.12, 0.05, 1.0], [-0.1, 0.1, 1.0]):
        at.append(tip)
        along.append(np.array(lean))
        size.append(0.9)
    ways = np.array(along)
    face = np.array([0, 0, 1.0]) + 0.3 * draw.normal(0, 1, ways.shape)
    places = aimed(np.array(at), ways, face, np.array(size))
    groups = [_twig((tree.seed, i), tree.density) for i in range(4)]
    flocks = tuple(
        free_flock(f"twig-{i}", group, places[i :: len(groups)], around)
        for i, group in enumerate(groups)
    )
    return GrownPlants((Solid("trunk", joined([trunk, *limbs]), _WOOD),), flocks)


def _branch(
    foot: Floats, turn: float, reach: float, share: float, draw: np.random.Generator
) -> Floats:
    """Return a branch's path: lower ones level and drooping with raised tips, upper ones steep."""
    t = np.linspace(0.0, 1.0, 9)
    rise = (0.75 - 0.72 * share) * reach * t
    droop = -0.16 * share * reach * np.sin(math.pi * t) + 0.10 * share * reach * t**3
    bow = 0.05 * reach * float(draw.normal()) * t**2
    cos, sin = math.cos(turn), math.sin(turn)
    out = reach * t
    return foot + np.column_stack([out * cos - bow * sin, out * sin + bow * cos, rise + droop])


def _twigs_along(
    path: Floats,
    draw: np.random.Generator,
    at: list[Floats],
    along: list[Floats],
    size: list[float],
) -> None:
    """Add twigs left and right along a branch, shorter towards its tip, and one at the tip."""
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(path, axis=0), axis=1))])
    s, left = 0.16 * run[-1], 1.0
    while s < run[-1]:
        point = np.array([np.interp(s, run, path[:, axis]) for axis in range(3)])
        ahead = np.array([np.interp(s + 8, run, path[:, axis]) for axis in range(3)]) - point
        ahead /= max(float(np.linalg.norm(ahead)), 1e-6)
        side = np.cross([0.0, 0.0, 1.0], ahead) * left
        at.append(point)
        along.append(0.75 * ahead + 0.75 * side + draw.normal(0, 0.16, 3) + [0, 0, 0.05])
        size.append(
            float(np.clip(0.5 + 0.006 * (run[-1] - s), 0.5, 1.25) * draw.uniform(0.85, 1.1))
        )
        s += 21.0 + 4.0 * float(draw.normal())
        left = -left
    at.append(path[-2])
    along.append(path[-1] - path[-2])
    size.append(0.85)
