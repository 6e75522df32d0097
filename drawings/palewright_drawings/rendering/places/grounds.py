"""What a box stands on and before: paving, decks, walls, a hedge, as large as needed."""

from __future__ import annotations

import math

import numpy as np

from palewright.catalogue.lumber import Stock
from palewright.construction.boards import Placement
from palewright_drawings.rendering.plants.leaves import LEAVES, leaf
from palewright_drawings.rendering.scene.meshes import (
    aimed,
    block,
    grid_triangles,
    joined,
    moved,
)
from palewright_drawings.rendering.scene.noise import seeded
from palewright_drawings.rendering.scene.scene import Flock, Mesh, Rgb, Solid, Surface, Wood
from palewright_drawings.rendering.wood.planks import planks
from palewright_drawings.rendering.wood.species_looks import LOOKS, SurfaceFinish

_DECK = SurfaceFinish((0.50, 0.49, 0.47), cover=0.50, tint=0.55, grain=1.2, gloss=0.2)
"""A weathered deck: judged by eye."""

_JOINT = Surface((0.34, 0.31, 0.27), rough=1.0)
"""Sand between slabs: judged by eye."""

_FAR_LEAF = Surface((0.2, 0.33, 0.14), rough=0.6, both=True)
"""No light passes: nobody sees it so far off, and it takes a third of the time to trace."""


def paving(reach: float, seed: int, slab: float = 440.0) -> tuple[Solid, ...]:
    """Return stone slabs in broken bond over ``reach`` mm all round, tops at z = 0, with joints."""
    draw = seeded("paving", seed)
    slabs: list[Mesh] = []
    rows = int(2 * reach / slab) + 1
    for row in range(rows):
        y = -reach + row * slab
        x = -reach - float(draw.uniform(0.0, slab))
        while x < reach:
            length = slab * float(draw.choice([1.0, 1.35, 1.7]))
            shade, warm = float(draw.normal(0, 0.035)), float(draw.normal(0, 0.012))
            colour = (0.62 + shade + warm, 0.59 + shade, 0.54 + shade - warm)
            # a box stands level: slabs differ by less than a joint shows
            sink = float(draw.uniform(0.0, 1.5))
            slabs.append(_slab(x + 5, y + 5, x + length - 5, y + slab - 5, -sink, colour, draw))
            x += length
    far = reach + slab
    bed = block((-far, -far, -60), (far, far, -9.0))
    stone = Surface((0.6, 0.57, 0.52), rough=0.85)
    return (Solid("slabs", joined(slabs), stone), Solid("joints", bed, _JOINT))


def _slab(
    x0: float, y0: float, x1: float, y1: float, top: float, colour: Rgb, draw: np.random.Generator
) -> Mesh:
    """Return a slab with eased edges and clouds of colour."""
    nx, ny = 14, 10
    e = 4.0
    x = np.concatenate([[x0, x0 + e], np.linspace(x0 + 3 * e, x1 - 3 * e, nx), [x1 - e, x1]])
    y = np.concatenate([[y0, y0 + e], np.linspace(y0 + 3 * e, y1 - 3 * e, ny), [y1 - e, y1]])
    px, py = np.meshgrid(x, y, indexing="ij")
    rim = np.minimum(np.minimum(px - x0, x1 - px), np.minimum(py - y0, y1 - py))
    pz = top - np.where(rim < 0.5, 14.0, np.where(rim < e + 0.5, 1.2, 0.0))
    clouds = np.zeros_like(px)
    for size in (320.0, 130.0, 55.0):
        ax, ay, phase = draw.uniform(-1, 1, 3)
        clouds += 0.010 * np.sin((px * ax + py * (1 - abs(ay))) / size * 6.28 + 6 * phase)
    clouds += draw.normal(0, 0.008, px.shape)
    tint = np.asarray(colour) + clouds[..., None]
    points = np.stack([px, py, pz], axis=-1).reshape(-1, 3)
    up = grid_triangles(len(x), len(y))[:, ::-1]
    return Mesh(points, up, False, np.clip(tint, 0, 1).reshape(-1, 3))


def deck(
    reach: float,
    front: float,
    back: float,
    seed: int,
    stock: Stock,
    density: float,
    finish: SurfaceFinish = _DECK,
    width: float = 138.0,
) -> tuple[Wood, ...]:
    """Return floor planks along x, ``reach`` mm to each side, from y = -``front`` to ``back``.

    Their tops are at z = 0. They have fewer dots than the box, of ``density`` pixels a mm:
    nobody buys the floor.

    Args:
        reach: mm to each side.
        front: mm from the middle to the eye's side.
        back: mm from the middle to the other side.
        seed: of the grain.
        stock: lumber that the planks are made of.
        density: pixels a mm of the box's boards.
        finish: of the planks.
        width: of a plank, mm.
    """
    dots = float(np.clip(0.3 * density, 0.25, 1.0))
    count = int((back + front) / (width + 5.0)) + 1
    first = Placement((-reach, back - width, -26.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    size = (2 * reach, width, 26.0)
    return tuple(planks("deck", seed, first, (0.0, -(width + 5.0), 0.0), count, size, stock,
                        LOOKS["spruce"], finish, dots))  # fmt: skip


def siding(
    reach: float, at: float, height: float, colour: Rgb, lap: float = 150.0
) -> tuple[Solid, ...]:
    """Return a wall of lapped boards facing -y, its face at ``at`` mm along y.

    Args:
        reach: mm to each side.
        at: y of its face, mm.
        height: mm.
        colour: of the paint.
        lap: from board to board, mm.
    """
    points: list[tuple[float, float, float]] = []
    triangles: list[tuple[int, int, int]] = []
    for i in range(math.ceil(height / lap)):
        z0, z1 = i * lap, (i + 1) * lap
        first = len(points)
        for z, y in ((z0, at + 14.0), (z0, at - 4.0), (z0 + 3.0, at - 5.0), (z1, at + 13.0)):
            points += [(-reach, y, z), (reach, y, z)]
        for k in range(3):
            a, b, c, d = (first + 2 * k + j for j in range(4))
            triangles += [(a, b, d), (a, d, c)]
    return (Solid("siding", Mesh(np.array(points), np.array(triangles)),
                  Surface(colour, rough=0.55)),)  # fmt: skip


def plaster(
    reach: float, at: float, height: float, colour: Rgb, skirting: Rgb
) -> tuple[Solid, ...]:
    """Return a plastered wall facing -y with a skirting board.

    Args:
        reach: mm to each side.
        at: y of its face, mm.
        height: mm.
        colour: of the wall.
        skirting: colour of the board at its foot.
    """
    wall = block((-reach, at, -30.0), (reach, at + 60.0, height))
    foot = block((-reach, at - 16.0, 0.0), (reach, at - 0.2, 128.0))
    lip = block((-reach, at - 10.0, 128.0), (reach, at - 0.2, 146.0))
    wood = Surface(skirting, rough=0.45)
    return (
        Solid("plaster", wall, Surface(colour, rough=0.95)),
        Solid("skirting", foot, wood),
        Solid("lip", lip, wood),
    )


_TILE = 960.0
"""Side of a piece of hedge, mm."""


def hedge(reach: float, at: float, height: float, seed: int) -> tuple[tuple[Solid, ...], Flock]:
    """Return a clipped hedge facing -y: a dark core under pieces that are full of leaves.

    Few large pieces that hardly overlap are found sooner by a ray than thousands of sprigs.

    Args:
        reach: mm to each side.
        at: y of its face, mm.
        height: mm.
        seed: of its leaves.
    """
    draw = seeded("hedge", seed)
    blades = [leaf(LEAVES["hedge"], ("hedge", seed, i), 3, 3) for i in range(8)]
    count = int(_TILE * _TILE / 140.0)
    spots = np.column_stack([
        draw.uniform(-0.53, 0.53, count) * _TILE,
        30.0 * draw.normal(0, 1, count),
        draw.uniform(-0.53, 0.53, count) * _TILE,
    ])  # fmt: skip
    along = draw.normal(0, 1, (count, 3)) * [0.5, 0.6, 0.5] + [0.0, -0.5, 0.1]
    face = draw.normal(0, 0.4, (count, 3)) + np.array([0.0, -0.8, 0.9])
    places = aimed(spots, along, face, draw.uniform(0.7, 1.2, count))
    piece = joined([moved(blades[i % 8], place) for i, place in enumerate(places)])
    x = np.arange(-reach, reach + _TILE, _TILE)
    z = np.arange(0.45 * _TILE, height, _TILE)
    middles = np.array([(a, at + 14.0 * float(draw.normal()), b) for a in x for b in z])
    top = np.array([(a, at + 0.4 * _TILE, float(z[-1]) + 0.5 * _TILE) for a in x])
    # pieces turned end for end: no two neighbours look alike
    flip = draw.choice([-1.0, 1.0], len(middles))[:, None]
    front = aimed(middles, flip * [1.0, 0.0, 0.0], flip * [0.0, 0.0, 1.0], np.ones(len(middles)))
    lid = aimed(top, np.tile([1.0, 0.0, 0.0], (len(top), 1)),
                np.tile([0.0, 1.0, 0.0], (len(top), 1)), np.ones(len(top)))  # fmt: skip
    # it stands behind the leaves, so that a slanting look ends further out on it
    far, over = reach + _TILE, float(z[-1]) + 0.5 * _TILE
    core = block((-far, at + 30.0, 0.0), (far, at + 500.0, over - 20.0))
    dark = Solid("hedge-core", core, Surface((0.05, 0.08, 0.04), rough=1.0))
    group = (Solid("piece", piece, _FAR_LEAF),)
    return (dark,), Flock("hedge", group, np.concatenate([front, lid]))
