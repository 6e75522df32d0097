"""Leaves: blades that fold along the midrib, bend, wave and differ in colour."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from palewright.geometry.arrays import Floats
from palewright_drawings.rendering.scene.meshes import grid_triangles
from palewright_drawings.rendering.scene.noise import seeded
from palewright_drawings.rendering.scene.scene import Mesh, Rgb, Solid, Surface


@dataclass(frozen=True, slots=True)
class LeafShape:
    """A kind of leaf. It grows from the origin along x, its upper face towards z.

    Attributes:
        length, width: mm.
        swell: where it is widest, as a share of its length.
        blunt: how fast it closes at its tip: below 1 round, above pointed.
        fold: how far the blade rises from midrib to rim, as a share of half its width.
        bend: how far the tip sinks, as a share of the length.
        wave: how far its rim waves, as a share of half its width.
        lobes: teeth along the rim; 0 for a smooth one.
        young, old: colours it lies between.
        vein: colour of the midrib.
    """

    length: float
    width: float
    swell: float = 0.4
    blunt: float = 0.9
    fold: float = 0.3
    bend: float = 0.25
    wave: float = 0.12
    lobes: int = 0
    young: Rgb = (0.42, 0.58, 0.24)
    old: Rgb = (0.17, 0.33, 0.13)
    vein: Rgb = (0.55, 0.66, 0.38)


_ALONG, _ACROSS = 9, 5
"""Points along and across a leaf: enough for its bends (judged by eye)."""

LEAVES: dict[str, LeafShape] = {
    "bedding": LeafShape(52, 30, 0.42, 0.8, fold=0.35, bend=0.35, wave=0.16),
    "tulip": LeafShape(
        210, 46, 0.35, 1.1, fold=0.75, bend=0.28, wave=0.14,
        young=(0.42, 0.56, 0.40), old=(0.26, 0.42, 0.30), vein=(0.42, 0.56, 0.42),
    ),
    "ivy": LeafShape(
        36, 34, 0.30, 1.3, fold=0.22, bend=0.22, wave=0.06, lobes=3,
        young=(0.40, 0.55, 0.22), old=(0.12, 0.28, 0.12), vein=(0.60, 0.68, 0.46),
    ),
    "coin": LeafShape(
        17, 15, 0.5, 0.55, fold=0.2, bend=0.15, wave=0.05,
        young=(0.62, 0.72, 0.24), old=(0.40, 0.55, 0.17), vein=(0.66, 0.74, 0.36),
    ),
    "bean": LeafShape(
        64, 46, 0.34, 1.1, fold=0.25, bend=0.4, wave=0.12,
        young=(0.42, 0.60, 0.22), old=(0.19, 0.38, 0.13), vein=(0.52, 0.64, 0.32),
    ),
    "basil": LeafShape(
        50, 32, 0.45, 0.75, fold=0.4, bend=0.35, wave=0.25,
        young=(0.50, 0.68, 0.24), old=(0.24, 0.46, 0.14), vein=(0.56, 0.70, 0.34),
    ),
    "parsley": LeafShape(
        24, 24, 0.55, 0.6, fold=0.35, bend=0.3, wave=0.6, lobes=4,
        young=(0.36, 0.58, 0.18), old=(0.16, 0.38, 0.10), vein=(0.40, 0.56, 0.24),
    ),
    "sage": LeafShape(
        58, 20, 0.45, 0.7, fold=0.3, bend=0.3, wave=0.15,
        young=(0.56, 0.63, 0.50), old=(0.38, 0.47, 0.37), vein=(0.62, 0.68, 0.56),
    ),
    "chive": LeafShape(
        170, 4, 0.3, 0.6, fold=0.9, bend=0.2, wave=0.0,
        young=(0.36, 0.54, 0.24), old=(0.22, 0.42, 0.18), vein=(0.34, 0.50, 0.24),
    ),
    "thyme": LeafShape(
        10, 6, 0.45, 0.7, fold=0.2, bend=0.15, wave=0.05,
        young=(0.48, 0.58, 0.36), old=(0.26, 0.38, 0.22), vein=(0.44, 0.54, 0.34),
    ),
    "hedge": LeafShape(
        38, 22, 0.45, 0.8, fold=0.35, bend=0.2,
        young=(0.44, 0.58, 0.25), old=(0.18, 0.33, 0.13), vein=(0.36, 0.46, 0.24),
    ),
}  # fmt: skip
"""Kinds of leaf by our own names; sizes are those of common bedding plants, judged by eye."""

BLADE = Surface((0.3, 0.45, 0.2), rough=0.5, through=0.22, both=True)
"""What a leaf is made of: the sun shines through a little."""


def leaf(
    shape: LeafShape, seed: tuple[object, ...], along: int = _ALONG, across: int = _ACROSS
) -> Mesh:
    """Return one leaf of a grid of points; each seed bends and colours it otherwise.

    Args:
        shape: measures and colours of its kind.
        seed: what it is drawn from.
        along: points along it.
        across: points across it.
    """
    draw = seeded("leaf", *seed)
    fold, bend, wave, skew = (float(v) for v in draw.normal(0.0, 1.0, 4))
    t = np.linspace(0.0, 1.0, along)[:, None]
    v = np.linspace(-1.0, 1.0, across)[None, :]
    half = 0.5 * shape.width * _outline(t, shape)
    side = v * half
    lift = shape.fold * (1 + 0.25 * fold) * np.abs(side)
    ripple = shape.wave * half * v**2 * np.sin(9.0 * t + 2.0 * v + 3.0 * wave)
    sag = shape.bend * (1 + 0.35 * bend) * shape.length * t**2
    # a bent blade is no longer than a flat one
    run = shape.length * t * (1.0 - 0.35 * shape.bend * t)
    x = run + 0 * v
    y = side + 0.06 * skew * shape.length * t**2
    points = np.stack([x, y, lift + ripple - sag], axis=-1).reshape(-1, 3)
    return Mesh(points, grid_triangles(along, across), True, _tints(shape, t, v, draw))


def _outline(t: Floats, shape: LeafShape) -> Floats:
    """Return half the width along the leaf, 0 to 1."""
    rise = shape.blunt * shape.swell / (1 - shape.swell)
    peak = shape.swell**rise * (1 - shape.swell) ** shape.blunt
    found = np.maximum(t, 0.004) ** rise * np.maximum(1 - t, 0.0) ** shape.blunt / peak
    if shape.lobes:
        found = found * (1.0 + 0.28 * np.cos(2 * np.pi * shape.lobes * (t - 0.28)))
    return np.asarray(found)


def _tints(shape: LeafShape, t: Floats, v: Floats, draw: np.random.Generator) -> Floats:
    age = float(np.clip(draw.normal(0.5, 0.28), 0.0, 1.0))
    mix = np.clip(age + 0.25 * (np.abs(v) - 0.5) - 0.2 * (t - 0.5), 0.0, 1.0)[..., None]
    colour = np.asarray(shape.young) * (1 - mix) + np.asarray(shape.old) * mix
    rib = (np.exp(-((v / 0.22) ** 2)) * (1 - 0.6 * t))[..., None]
    colour = colour * (1 - 0.6 * rib) + np.asarray(shape.vein) * 0.6 * rib
    spots = 1.0 + 0.06 * draw.normal(0.0, 1.0, (*np.broadcast(t, v).shape, 1))
    return np.asarray(np.clip(colour * spots, 0.0, 1.0).reshape(-1, 3))


def leaf_solids(kind: str, count: int, seed: tuple[object, ...]) -> list[tuple[Solid, ...]]:
    """Return ``count`` different leaves of a kind, each a group of its own to be copied."""
    shape = LEAVES[kind]
    return [(Solid(kind, leaf(shape, (*seed, kind, i)), BLADE),) for i in range(count)]
