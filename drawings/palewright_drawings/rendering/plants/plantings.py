"""What grows in the boxes of the scenes: mixtures of plants sized by the box."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from palewright.design import Design
from palewright_drawings.rendering.plants.beds import Bed
from palewright_drawings.rendering.plants.box_interior import Hollow
from palewright_drawings.rendering.plants.clearances import Obstacles
from palewright_drawings.rendering.plants.flowers import ball, daisy, spike, trumpet, tulip
from palewright_drawings.rendering.plants.herbs import herbs
from palewright_drawings.rendering.plants.plants import (
    Blooms,
    GrownPlants,
    Spots,
    blooming,
    mound,
    together,
)
from palewright_drawings.rendering.plants.trailers import climbing, trailing
from palewright_drawings.rendering.scene.scene import Rgb

_PINKS: tuple[tuple[Rgb, Rgb], ...] = (
    ((0.90, 0.42, 0.50), (0.96, 0.80, 0.72)),
    ((0.95, 0.62, 0.62), (0.97, 0.90, 0.80)),
    ((0.80, 0.22, 0.36), (0.90, 0.60, 0.45)),
)
"""Rim and foot of tulips, red, green, blue: judged by eye."""

_WHITE: Rgb = (0.96, 0.95, 0.92)  # daisies; all four judged by eye
_VIOLET: Rgb = (0.45, 0.36, 0.70)  # spikes
_PLUM: Rgb = (0.50, 0.22, 0.52)  # trumpets
_PLUM_DEEP: Rgb = (0.30, 0.10, 0.30)  # their throats


def _many(hollow: Hollow, each: float, least: int, most: int) -> int:
    """Return one plant an ``each`` by ``each`` mm of soil, within limits."""
    return int(np.clip(round(hollow.width * hollow.depth / each**2), least, most))


def tallest(hollow: Hollow) -> float:
    """Return how high the tallest flowers stand above the soil, mm: in proportion to the box."""
    return float(np.clip(0.62 * min(hollow.width, hollow.depth) + 90.0, 170.0, 340.0))


def spring_planting(design: Design, bed: Bed, around: Obstacles, seed: int) -> GrownPlants:
    """Return tulips over daisies and violet spikes, with stems that trail over the edge.

    Nothing trails from pots: they stand deep in the box. Herbs where the box is for herbs.

    Args:
        design: the box.
        bed: where plants stand.
        around: what they keep off.
        seed: what they are drawn from.
    """
    hollow, tall = bed.hollow, tallest(bed.hollow)
    if design.parameters.product.grows == "herbs":
        return together([*_kitchen(bed, around, tall, seed)])
    grown = [bed.growth]
    for soil, words in _rooms(bed, seed):
        grown.append(mound(soil, around, "bedding", 0.34 * tall, ("spring", *words)))
        grown += [blooming(flower, soil, around) for flower in _spring(soil, tall, words)]
    if bed.loose:
        edge = hollow.width + 2 * hollow.depth
        length = (0.25 * hollow.rim, 0.72 * hollow.rim)
        grown += [
            trailing(hollow, around, "ivy", int(edge / 75), length, ("ivy", seed)),
            trailing(hollow, around, "coin", int(edge / 55), (0.6 * length[0], 0.7 * length[1]),
                     ("coin", seed), 8.0),
        ]  # fmt: skip
    return together(grown)


def _rooms(bed: Bed, seed: int) -> Iterator[tuple[Hollow, tuple[int, ...]]]:
    """Yield each soil with what its plants are drawn from: no two pots alike."""
    for i, soil in enumerate(bed.roots):
        yield soil, (seed, i) if i else (seed,)


def _kitchen(bed: Bed, around: Obstacles, tall: float, seed: int) -> Iterator[GrownPlants]:
    """Yield herbs, and thyme that trails over the edge."""
    yield bed.growth
    for soil, words in _rooms(bed, seed):
        yield from herbs(soil, around, tall, words)
    if bed.loose:
        edge = bed.hollow.width + 2 * bed.hollow.depth
        length = (0.15 * bed.hollow.rim, 0.45 * bed.hollow.rim)
        count = int(edge / 60)
        yield trailing(bed.hollow, around, "thyme", count, length, ("thyme", seed), 5.0)


def _spring(soil: Hollow, tall: float, words: tuple[int, ...]) -> tuple[Blooms, ...]:
    tulips = [tulip(rim, foot, (*words, i)) for i, (rim, foot) in enumerate(_PINKS * 2)]
    daisies = [daisy(_WHITE, (*words, i)) for i in range(4)]
    spikes = [spike(_VIOLET, (*words, i)) for i in range(3)]
    return (
        Blooms("tulip", tulips, Spots(_many(soil, 74, 5, 60), 0.0, 0.74, ("tulip", *words)),
               (0.82 * tall, 1.08 * tall), lean=0.13, nod=0.05, leaf=("tulip", 3), thick=6.0),
        Blooms("spike", spikes, Spots(_many(soil, 92, 4, 50), 0.35, 0.85, ("spike", *words)),
               (0.36 * tall, 0.50 * tall), lean=0.25, nod=0.05),
        Blooms("daisy", daisies, Spots(_many(soil, 50, 8, 140), 0.45, 0.98, ("daisy", *words)),
               (0.24 * tall, 0.42 * tall), lean=0.55, nod=0.4, thick=2.4),
    )  # fmt: skip


def summer_planting(design: Design, bed: Bed, around: Obstacles, seed: int) -> GrownPlants:
    """Return ruffled flowers and balls under a climber, where the box has a trellis.

    Args:
        design: the box.
        bed: where plants stand.
        around: what they keep off.
        seed: what they are drawn from.
    """
    hollow, tall = bed.hollow, tallest(bed.hollow)
    if design.parameters.product.grows == "herbs":
        grown = [*_kitchen(bed, around, tall, seed)]
    else:
        grown = [*_flowering(bed, around, tall, seed)]
    uprights = [board for board in design.box.boards.values() if board.role == "upright"]
    if uprights:
        flower = trumpet(_PLUM, _PLUM_DEEP, (seed, 0))
        grown.append(climbing(uprights, hollow, around, "bean", ("bean", seed), flower))
    return together(grown)


def _flowering(bed: Bed, around: Obstacles, tall: float, seed: int) -> Iterator[GrownPlants]:
    """Yield the flowers of summer."""
    hollow = bed.hollow
    yield bed.growth
    for soil, words in _rooms(bed, seed):
        yield mound(soil, around, "bedding", 0.42 * tall, ("summer", *words), spill=0.2)
        for flower in _summer(soil, tall, words):
            yield blooming(flower, soil, around)
    if bed.loose:
        edge = hollow.width + 2 * hollow.depth
        length = (0.3 * hollow.rim, 0.8 * hollow.rim)
        yield trailing(hollow, around, "coin", int(edge / 40), length, ("coin", seed), 8.0)


def _summer(soil: Hollow, tall: float, words: tuple[int, ...]) -> tuple[Blooms, ...]:
    trumpets = [trumpet(_PLUM, _PLUM_DEEP, (*words, i)) for i in range(2)]
    trumpets += [trumpet((0.90, 0.55, 0.66), (0.70, 0.25, 0.42), (*words, i)) for i in range(2)]
    balls = [ball((0.93, 0.90, 0.86), (0.80, 0.86, 0.68), (*words, i)) for i in range(2)]
    return (
        Blooms("ball", balls, Spots(_many(soil, 130, 3, 40), 0.0, 0.6, ("ball", *words)),
               (0.45 * tall, 0.75 * tall), lean=0.25, nod=0.2, thick=5.0),
        Blooms("trumpet", trumpets,
               Spots(_many(soil, 58, 8, 120), 0.3, 0.98, ("trumpet", *words)),
               (0.26 * tall, 0.5 * tall), lean=0.6, nod=0.55, thick=3.0),
    )  # fmt: skip
