"""Kitchen herbs: a patch of each kind side by side, thyme over the edge. All measures by eye."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from palewright_drawings.rendering.plants.box_interior import Hollow
from palewright_drawings.rendering.plants.clearances import Obstacles
from palewright_drawings.rendering.plants.flowers import ball, spike
from palewright_drawings.rendering.plants.plants import Blooms, GrownPlants, Spots, blooming, mound
from palewright_drawings.rendering.scene.scene import Rgb

_PATCH = 165.0
"""A patch is about so long and wide, mm: a plant of a season's growth."""

_ROSEMARY: Rgb = (0.36, 0.47, 0.32)
_CHIVE: Rgb = (0.66, 0.48, 0.78)
"""Red, green, blue of sprigs and of flower heads."""

Words = tuple[object, ...]
_Kind = Callable[[Hollow, Obstacles, float, Words], list[GrownPlants]]


def herbs(soil: Hollow, around: Obstacles, tall: float, words: Words) -> Iterator[GrownPlants]:
    """Yield a patch of each herb, kinds by turns.

    Args:
        soil: that they root in.
        around: boards that they keep off.
        tall: the tallest stand so high, mm.
        words: what their chances are drawn from.
    """
    for i, patch in enumerate(_patches(soil)):
        yield from _KINDS[i % len(_KINDS)](patch, around, tall, ("herb", i, *words))


def _patches(soil: Hollow) -> Iterator[Hollow]:
    """Yield equal rectangles of the soil, row by row."""
    x0, y0, x1, y1 = soil.opening
    across, along = (max(1, round(side / _PATCH)) for side in (soil.width, soil.depth))
    xs, ys = np.linspace(x0, x1, across + 1), np.linspace(y0, y1, along + 1)
    for j in range(along):
        for i in range(across):
            one = (float(xs[i]), float(ys[j]), float(xs[i + 1]), float(ys[j + 1]))
            yield replace(soil, opening=one)


def _basil(soil: Hollow, around: Obstacles, tall: float, words: Words) -> list[GrownPlants]:
    return [mound(soil, around, "basil", 0.72 * tall, words, 1.0, 0.1)]


def _parsley(soil: Hollow, around: Obstacles, tall: float, words: Words) -> list[GrownPlants]:
    return [mound(soil, around, "parsley", 0.5 * tall, words, 2.0, 0.2)]


def _sage(soil: Hollow, around: Obstacles, tall: float, words: Words) -> list[GrownPlants]:
    return [mound(soil, around, "sage", 0.55 * tall, words, 0.9, 0.15)]


def _chives(soil: Hollow, around: Obstacles, tall: float, words: Words) -> list[GrownPlants]:
    heads = [ball(_CHIVE, (0.80, 0.70, 0.86), (*words, i)) for i in range(2)]
    spots = Spots(9, 0.0, 0.6, ("chive", *words))
    return [
        blooming(
            Blooms("chive", heads, spots, (0.7 * tall, 0.95 * tall), lean=0.2, size=0.34, nod=0.1,
                   leaf=("chive", 16), thick=2.2),
            soil, around,
        ),
        mound(soil, around, "thyme", 0.12 * tall, words, 2.0, 0.1),
    ]  # fmt: skip


def _rosemary(soil: Hollow, around: Obstacles, tall: float, words: Words) -> list[GrownPlants]:
    sprigs = [spike(_ROSEMARY, (*words, i)) for i in range(3)]
    grown = []
    # one above the other: a sprig is needled down to its foot
    for k, (low, high) in enumerate(((0.05, 0.12), (0.3, 0.42), (0.55, 0.8))):
        spots = Spots(16, 0.0, 0.75, ("rosemary", *words))
        grown.append(
            blooming(
                Blooms(f"rosemary-{k}", sprigs, spots, (low * tall, high * tall), lean=0.2,
                       nod=0.02, thick=3.0),
                soil, around,
            )
        )  # fmt: skip
    return [*grown, mound(soil, around, "thyme", 0.15 * tall, words, 2.0, 0.1)]


_KINDS: tuple[_Kind, ...] = (_rosemary, _basil, _chives, _parsley, _sage)
"""Kinds by turns: tall and low, light and dark side by side."""
