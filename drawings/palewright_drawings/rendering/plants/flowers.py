"""Heads of flowers, each a group to be copied: they stand on the origin and look along z."""

from __future__ import annotations

import math

import numpy as np

from palewright_drawings.rendering.scene.meshes import (
    aimed,
    globe,
    grid_triangles,
    joined,
    moved,
    standing,
)
from palewright_drawings.rendering.scene.noise import seeded
from palewright_drawings.rendering.scene.scene import Mesh, Rgb, Solid, Surface

PETAL = Surface((0.9, 0.9, 0.9), rough=0.6, through=0.28, both=True)
"""A petal lets light through; its colours are in the mesh. Judged by eye."""

_HEART = Surface((0.85, 0.65, 0.15), rough=0.9)
"""The yellow middle of a flower: judged by eye."""

_BUDS = Surface((0.66, 0.72, 0.50), rough=0.9)
"""Closed buds at a spike's tip: judged by eye."""


def petal(
    length: float, width: float, cup: float, bend: float, foot: Rgb, rim: Rgb, wave: float = 0.0
) -> Mesh:
    """Return one petal along x; ``cup`` lifts its sides, ``bend`` its tip, as shares.

    Args:
        length: mm.
        width: mm.
        cup: lifts its sides, as a share of half the width.
        bend: lifts its tip, as a share of the length.
        foot: colour where it grows.
        rim: colour of its edge.
        wave: of its surface, as a share of the width.
    """
    t = np.linspace(0.0, 1.0, 8)[:, None]
    v = np.linspace(-1.0, 1.0, 5)[None, :]
    half = 0.5 * width * np.sin(np.pi * np.clip(0.06 + 0.90 * t, 0, 1) ** 0.8) ** 0.7
    y = v * half
    z = cup * v**2 * half + bend * length * t**2 + wave * width * np.sin(6 * v + 4 * t) * t
    x = length * t * (1 - 0.25 * abs(bend) * t) - 0.06 * length * v**2 * t
    share = np.clip(t + 0.12 * np.abs(v), 0, 1)[..., None]
    colours = np.asarray(foot) * (1 - share) + np.asarray(rim) * share
    colours = colours * (1.0 - 0.05 * np.cos(7 * v))[..., None]
    points = np.stack([x + 0 * v, y, z], axis=-1).reshape(-1, 3)
    return Mesh(points, grid_triangles(8, 5), True, np.clip(colours, 0, 1).reshape(-1, 3))


def _ring(
    petals: list[Mesh], lean: float, out: float, turn: float, rise: float = 0.0
) -> list[Mesh]:
    """Return petals all round: ``lean`` degrees above level, ``out`` mm from the middle."""
    found, count, up = [], len(petals), math.radians(lean)
    for i, one in enumerate(petals):
        a = turn + 2 * math.pi * i / count
        away = np.array([math.cos(a), math.sin(a), 0.0])
        along = away * math.cos(up) + np.array([0.0, 0.0, math.sin(up)])
        face = np.array([0.0, 0.0, math.cos(up)]) - away * math.sin(up)
        at = away * out + np.array([0.0, 0.0, rise])
        found.append(moved(one, aimed(at[None], along[None], face[None], np.ones(1))[0]))
    return found


def _dome(radius: float, height: float, low: Rgb, high: Rgb, seed: tuple[object, ...]) -> Mesh:
    """Return a seedy heart: a rough dome."""
    rows, columns = 5, 14
    draw = seeded("heart", *seed)
    points, colours = [], []
    for i in range(rows):
        up = i / (rows - 1) * math.pi / 2
        for j in range(columns):
            a = 2 * math.pi * (j + 0.5 * (i % 2)) / columns
            bump = 1.0 + 0.10 * float(draw.normal())
            r = radius * math.cos(up) * bump
            points.append((r * math.cos(a), r * math.sin(a), height * math.sin(up) * bump))
            mix = float(np.clip(0.5 + 0.35 * draw.normal(), 0, 1))
            colours.append(np.asarray(low) * (1 - mix) + np.asarray(high) * mix)
    return Mesh(np.array(points), grid_triangles(rows, columns, True), True, np.array(colours))


def tulip(colour: Rgb, foot: Rgb, seed: tuple[object, ...]) -> tuple[Solid, ...]:
    """Return a tulip's cup, about 62 mm high; some are more open than others."""
    draw = seeded("tulip", *seed)
    opened = float(draw.uniform(0.0, 1.0))
    outer = [petal(60, 42, 0.85, 0.10 - 0.16 * opened, foot, colour, 0.02) for _ in range(3)]
    inner = [petal(58, 40, 0.9, 0.14 - 0.12 * opened, foot, colour, 0.02) for _ in range(3)]
    lean = 78 - 14 * opened
    rings = _ring(outer, lean, 9.0, 0.0) + _ring(inner, lean + 4, 7.0, math.pi / 3, 2.0)
    return (Solid("petals", joined(rings), PETAL),)


def daisy(colour: Rgb, seed: tuple[object, ...]) -> tuple[Solid, ...]:
    """Return a daisy of about 46 mm with a yellow heart."""
    draw = seeded("daisy", *seed)
    pale = tuple(min(1.0, 0.9 * c + 0.1) for c in colour)
    rings = []
    for k, (count, lean) in enumerate(((15, 10.0), (13, 20.0))):
        petals = [
            petal(float(draw.uniform(18, 21)), 6.4, 0.3, float(draw.normal(-0.10, 0.08)),
                  (pale[0], pale[1], pale[2]), colour)
            for _ in range(count)
        ]  # fmt: skip
        rings += _ring(petals, lean, 3.5, 0.3 * k)
    heart = _dome(6.2, 4.5, (0.80, 0.55, 0.08), (0.98, 0.80, 0.18), seed)
    return (Solid("petals", joined(rings), PETAL), Solid("heart", heart, _HEART))


def trumpet(colour: Rgb, throat: Rgb, seed: tuple[object, ...]) -> tuple[Solid, ...]:
    """Return an open five-petalled flower of about 55 mm, ruffled, with a darker throat."""
    draw = seeded("trumpet", *seed)
    petals = [
        petal(28, 31, 0.10, float(draw.normal(-0.22, 0.05)), throat, colour, 0.05) for _ in range(5)
    ]
    heart = _dome(3.0, 4.0, (0.75, 0.72, 0.30), (0.9, 0.85, 0.45), seed)
    mesh = joined(_ring(petals, 32.0, 2.5, float(draw.uniform(0, 6))))
    return (Solid("petals", mesh, PETAL), Solid("heart", heart, _HEART))


def ball(colour: Rgb, pale: Rgb, seed: tuple[object, ...]) -> tuple[Solid, ...]:
    """Return a ball of small four-petalled florets, about 75 mm across.

    Between them green buds are seen, not what is behind the ball.
    """
    draw = seeded("ball", *seed)
    florets, count, radius = [], 76, 33.0
    for i in range(count):
        z = 1.0 - 1.55 * (i + 0.5) / count
        a, r = 2.399963 * i, math.sqrt(max(0.0, 1 - z * z))
        axis = np.array([r * math.cos(a), r * math.sin(a), z]) + draw.normal(0, 0.10, 3)
        mix = float(np.clip(draw.normal(0.5, 0.3), 0, 1))
        tint = np.asarray(colour) * (1 - mix) + np.asarray(pale) * mix
        rim = (float(tint[0]), float(tint[1]), float(tint[2]))
        four = _ring([petal(8.5, 9.0, 0.15, -0.15, pale, rim) for _ in range(4)], 14.0, 0.8, 0.0)
        at = radius * axis * float(draw.uniform(0.92, 1.06)) + np.array([0.0, 0.0, 24.0])
        turn = draw.uniform(0, 6, 1)
        florets.append(moved(joined(four), standing(at[None], axis[None], turn, np.ones(1))[0]))
    buds = globe((0.0, 0.0, 24.0), 0.86 * radius)
    return (Solid("petals", joined(florets), PETAL), Solid("buds", buds, _BUDS))


def spike(colour: Rgb, seed: tuple[object, ...]) -> tuple[Solid, ...]:
    """Return a spike of small bells, about 90 mm high."""
    draw = seeded("spike", *seed)
    bells = []
    for i in range(54):
        t = i / 54
        a, r = 2.399963 * i, 9.0 * (1 - 0.75 * t)
        away = np.array([math.cos(a), math.sin(a), 0.25 + 0.6 * t])
        shade = float(draw.uniform(0.75, 1.1))
        rim = (
            min(1.0, colour[0] * shade),
            min(1.0, colour[1] * shade),
            min(1.0, colour[2] * shade),
        )
        size = 1.0 - 0.45 * t
        one = petal(8.5 * size, 7.0 * size, 0.9, 0.25, rim, rim)
        at = np.array([0.25 * r * away[0], 0.25 * r * away[1], 88 * t])
        face = np.array([[0.0, 0.0, 1.0]])
        bells.append(moved(one, aimed(at[None], away[None], face, np.ones(1))[0]))
    return (Solid("bells", joined(bells), PETAL),)
