"""Planks that are no part of the box: floors of the scenes, of wood like its boards."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from palewright.catalogue.lumber import Stock
from palewright.construction.boards import Board, Placement, Vector
from palewright_drawings.rendering.scene.noise import seeded
from palewright_drawings.rendering.scene.scene import Wood
from palewright_drawings.rendering.wood.board_meshes import FLOORING, board_skin
from palewright_drawings.rendering.wood.grain_textures import Grain
from palewright_drawings.rendering.wood.logs import log_of
from palewright_drawings.rendering.wood.species_looks import Look, SurfaceFinish


def plank(
    name: str,
    seed: int,
    size: Vector,
    place: Placement,
    stock: Stock,
    look: Look,
    finish: SurfaceFinish,
    density: float,
) -> Wood:
    """Return one plank of (length, width, thickness) mm with a grain of its own.

    Args:
        name: of the plank.
        seed: of its grain.
        size: length, width, thickness, mm.
        place: where it lies.
        stock: lumber that it is made of.
        look: of its wood.
        finish: of its surface.
        density: pixels a mm of its picture.
    """
    length, width, thickness = size
    outline = ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))
    board = Board(name, "plank", FLOORING, stock, outline, thickness, place)
    grain = Grain(log_of(name, seed, look.growth, size), look, finish, size)
    return Wood(name, board_skin(board, grain, density, 2.0), finish.gloss)


def planks(
    name: str,
    seed: int,
    first: Placement,
    step: Vector,
    count: int,
    size: Vector,
    stock: Stock,
    look: Look,
    finish: SurfaceFinish,
    density: float,
) -> Iterator[Wood]:
    """Yield planks side by side: the first at a placement, each ``step`` mm farther.

    Args:
        name: of all; each adds its number.
        seed: of their grain.
        first: where the first lies.
        step: from one to the next, mm.
        count: how many.
        size: length, width, thickness, mm.
        stock: lumber that they are made of.
        look: of their wood.
        finish: of their surface.
        density: pixels a mm of their pictures.
    """
    for i in range(count):
        shift = float(seeded(name, seed, i).uniform(-40.0, 0.0))
        at = tuple(o + i * s + shift * g
                   for o, s, g in zip(first.origin, step, first.grain, strict=True))  # fmt: skip
        place = replace(first, origin=(at[0], at[1], at[2]))
        yield plank(f"{name}-{i}", seed, size, place, stock, look, finish, density)
