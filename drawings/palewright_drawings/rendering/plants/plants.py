"""Plantings: leaves and flowers that fill a box of any size, and keep out of its boards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from palewright.geometry.arrays import Floats
from palewright_drawings.rendering.plants.box_interior import Hollow
from palewright_drawings.rendering.plants.clearances import Obstacles, free_flock, probes
from palewright_drawings.rendering.plants.leaves import leaf_solids
from palewright_drawings.rendering.plants.stems import arched, stem
from palewright_drawings.rendering.scene.meshes import aimed, joined, standing
from palewright_drawings.rendering.scene.noise import seeded
from palewright_drawings.rendering.scene.scene import Flock, Mesh, Rgb, Solid, Surface

GREEN = Surface((0.3, 0.45, 0.2), rough=0.6)
"""Stems: judged by eye."""


@dataclass(frozen=True, eq=False)
class GrownPlants:
    """What grew: single solids and flocks of copies."""

    solids: tuple[Solid, ...] = ()
    flocks: tuple[Flock, ...] = ()


def together(growths: Sequence[GrownPlants]) -> GrownPlants:
    """Return several growths as one."""
    return GrownPlants(
        tuple(solid for growth in growths for solid in growth.solids),
        tuple(flock for growth in growths for flock in growth.flocks),
    )


@dataclass(frozen=True, slots=True)
class Spots:
    """Where plants of a kind stand on the soil.

    Attributes:
        count: how many.
        inner, outer: how far from the middle, as shares of the way to the rim.
        seed: of the draw.
    """

    count: int
    inner: float
    outer: float
    seed: tuple[object, ...]

    def on(self, hollow: Hollow) -> tuple[Floats, np.random.Generator]:
        """Return feet (n, 3), mm, and the generator for what follows."""
        draw = seeded("spots", *self.seed)
        found: list[tuple[float, float]] = []
        gap, tries = 1.0, 0
        while len(found) < self.count:
            u, v = (float(value) for value in draw.uniform(-1.0, 1.0, 2))
            tries += 1
            if tries % 40 == 0:
                gap *= 0.85
            share = max(abs(u), abs(v))
            apart = all((u - a) ** 2 + (v - b) ** 2 > (gap * 0.5) ** 2 for a, b in found)
            if self.inner <= share <= self.outer and apart:
                found.append((u, v))
        flat = np.array(found).reshape(-1, 2)
        x0, y0, x1, y1 = hollow.opening
        middle, half = np.array([x0 + x1, y0 + y1]) / 2, np.array([x1 - x0, y1 - y0]) / 2
        feet = middle + flat * half
        return np.column_stack([feet, np.full(len(feet), hollow.soil + 2.0)]), draw


def mound(
    hollow: Hollow,
    around: Obstacles,
    kind: str,
    height: float,
    seed: tuple[object, ...],
    density: float = 1.0,
    spill: float = 0.16,
) -> GrownPlants:
    """Return leaves that fill a box and bulge over its rim.

    Args:
        hollow: of the box.
        around: where nothing may grow.
        kind: of leaf.
        height: of the mound above the soil, mm.
        seed: of its chances.
        density: leaves a 240 mm² of soil.
        spill: how far it bulges over the opening, as a share of half its width.
    """
    draw = seeded("mound", *seed)
    count = int(density * hollow.width * hollow.depth / 240.0)
    u, v = draw.uniform(-1, 1, (2, count))
    edge = np.maximum(np.abs(u), np.abs(v))
    top = height * (1.0 - 0.55 * edge**2.2) * draw.uniform(0.8, 1.15, count)
    share = draw.uniform(0.0, 1.0, count) ** 0.55
    swell = 1.0 + spill * share
    x0, y0, x1, y1 = hollow.opening
    at = np.column_stack([
        (x0 + x1) / 2 + u * swell * hollow.width / 2,
        (y0 + y1) / 2 + v * swell * hollow.depth / 2,
        hollow.soil + 6.0 + share * top,
    ])  # fmt: skip
    away = np.column_stack([u, v, 0.35 + 0.5 * (1 - edge)])
    along = away + draw.normal(0, 0.55, (count, 3)) * np.array([1, 1, 0.6])
    face = np.array([0, 0, 1.0]) + 0.4 * draw.normal(0, 1, (count, 3))
    places = aimed(at, along, face, draw.uniform(0.65, 1.2, count))
    return GrownPlants(flocks=_shared(kind, leaf_solids(kind, 6, seed), places, around))


def _shared(
    name: str, groups: Sequence[tuple[Solid, ...]], places: Floats, around: Obstacles
) -> tuple[Flock, ...]:
    """Return places dealt out to several prototypes, those in boards left out."""
    return tuple(
        free_flock(f"{name}-{i}", group, places[i :: len(groups)], around)
        for i, group in enumerate(groups)
    )


@dataclass(frozen=True, eq=False)
class Blooms:
    """Flowers on stems.

    Attributes:
        name: of the kind.
        heads: prototypes, built from a seed.
        spots: where they stand.
        height: of the head above the soil, mm: least and greatest.
        lean: how far the tip stands out from the foot, as a share of the height.
        size: scale of heads.
        nod: how much a head looks outward, 0 up to 1 level.
        leaf: leaves at the foot: kind, how many a stem; none by default.
        thick: of the stem, mm.
    """

    name: str
    heads: Sequence[tuple[Solid, ...]]
    spots: Spots
    height: tuple[float, float]
    lean: float = 0.12
    size: float = 1.0
    nod: float = 0.15
    leaf: tuple[str, int] | None = None
    thick: float = 4.0


_STEM: tuple[Rgb, Rgb] = ((0.30, 0.42, 0.20), (0.40, 0.52, 0.26))
"""Colours of a stem at its foot and at its tip: judged by eye."""


def blooming(blooms: Blooms, hollow: Hollow, around: Obstacles) -> GrownPlants:
    """Return flowers that stand free of the boards: stem and head both, or neither."""
    feet, draw = blooms.spots.on(hollow)
    middle = np.array([sum(hollow.opening[0::2]) / 2, sum(hollow.opening[1::2]) / 2, 0.0])
    low, high = blooms.height
    paths, tops, axes = [], [], []
    for foot in feet:
        rise = float(draw.uniform(low, high))
        away = (foot - middle) * np.array([1.0, 1.0, 0.0])
        away /= max(float(np.linalg.norm(away)), 30.0)
        sway = draw.normal(0, 0.35, 3) * np.array([1, 1, 0])
        tip = foot + np.array([0, 0, rise]) + (away + sway) * blooms.lean * rise
        path = arched(foot, tip, draw.normal(0, 0.02 * rise, 3) * np.array([1, 1, 0]))
        paths.append(path)
        tops.append(tip)
        axis = (path[-1] - path[-3]) / np.linalg.norm(path[-1] - path[-3])
        axes.append(axis * (1 - blooms.nod) + blooms.nod * (away + 0.4 * sway))
    count = len(feet)
    scale = blooms.size * draw.uniform(0.85, 1.12, count)
    places = standing(np.array(tops), np.array(axes), draw.uniform(0, 6.28, count), scale)
    stems: list[Mesh] = []
    kept: list[list[Floats]] = [[] for _ in blooms.heads]
    for i, path in enumerate(paths):
        mesh = stem(path, blooms.thick, *_STEM, thin=0.7)
        which = i % len(blooms.heads)
        if not around.frees(probes(mesh), 1.0).all():
            continue
        flock = free_flock("", blooms.heads[which], places[i : i + 1], around)
        if len(flock.places):
            stems.append(mesh)
            kept[which].append(flock.places[0])
    flocks = [
        Flock(f"{blooms.name}-{i}", group, np.array(kept[i]))
        for i, group in enumerate(blooms.heads)
        if kept[i]
    ]
    solids = (Solid(f"{blooms.name}-stems", joined(stems), GREEN),) if stems else ()
    return GrownPlants(solids, (*flocks, *_foot_leaves(blooms, feet, around, draw)))


def _foot_leaves(
    blooms: Blooms, feet: Floats, around: Obstacles, draw: np.random.Generator
) -> tuple[Flock, ...]:
    if blooms.leaf is None:
        return ()
    kind, each = blooms.leaf
    at = np.repeat(feet, each, axis=0)
    turn = draw.uniform(0, 6.28, len(at))
    up = draw.uniform(1.2, 3.5, len(at))
    along = np.column_stack([np.cos(turn), np.sin(turn), up])
    face = np.column_stack([-np.cos(turn), -np.sin(turn), np.full(len(at), 0.4)])
    places = aimed(at, along, face, draw.uniform(0.7, 1.1, len(at)))
    return _shared(kind, leaf_solids(kind, 4, (blooms.name, *blooms.spots.seed)), places, around)
