"""A scene as a few large meshes: one a surface, one for all boards of a gloss.

What the path tracer has to tell about each pixel for the denoiser takes as long as the scene has
meshes and copies (measured with mitsuba 3.9: 0.05 µs each, for every ray), so a thousand copied
leaves cost ten times what lighting them does. One mesh of all leaves costs nothing.

Colours of a mesh's points become a picture: the path tracer reads colours of copies only from one.
A colour kept with a point is looked up by place, which is wrong in a copy that stands elsewhere
(measured with mitsuba 3.9: colours far below zero). A place in a picture travels with the copy.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from palewright.geometry.arrays import Floats, Ints, Singles
from palewright_drawings.cad_files.colours import linear
from palewright_drawings.rendering.scene.meshes import globe, joined
from palewright_drawings.rendering.scene.scene import (
    Flock,
    Lamp,
    Mesh,
    Rgb,
    Solid,
    Surface,
    Wood,
)


@dataclass(frozen=True, eq=False)
class Patched:
    """A mesh cut into its triangles, and a picture that colours them.

    Attributes:
        corners: (3 m,), the point that each corner was.
        triangles: (m, 3).
        places: (3 m, 2), from the left and from the top, 0 to 1.
        picture: (height, width, 3).
    """

    corners: Ints
    triangles: Ints
    places: Floats
    picture: Floats


def patched(triangles: Ints, colours: Floats) -> Patched:
    """Return a picture of two by two dots a triangle.

    Read between the middles of its dots such a patch is linear where its fourth dot completes the
    plane through the other three: so colours run over a triangle as they do between its corners.

    Args:
        triangles: (m, 3) indices.
        colours: (n, 3) of the points.
    """
    count = len(triangles)
    across = max(1, math.ceil(math.sqrt(count)))
    down = math.ceil(count / across)
    picture = np.zeros((2 * down, 2 * across, 3))
    row, column = np.divmod(np.arange(count), across)
    a, b, c = (colours[triangles[:, i]] for i in range(3))
    picture[2 * row, 2 * column] = a
    picture[2 * row, 2 * column + 1] = b
    picture[2 * row + 1, 2 * column] = c
    picture[2 * row + 1, 2 * column + 1] = np.maximum(b + c - a, 0.0)
    places = np.zeros((count, 3, 2))
    for i, (right, low) in enumerate(((0, 0), (1, 0), (0, 1))):
        places[:, i, 0] = (2 * column + right + 0.5) / (2 * across)
        places[:, i, 1] = (2 * row + low + 0.5) / (2 * down)
    corners = triangles.reshape(-1)
    return Patched(corners, np.arange(3 * count).reshape(-1, 3), places.reshape(-1, 2), picture)


_HEAVY, _FEW = 10_000, 60
"""Few copies of so many triangles stay copies: merged, they would fill the memory."""


@dataclass(frozen=True, eq=False, slots=True)
class TexturedMesh:
    """A mesh of one surface with a picture of its colours.

    Attributes:
        surface: what it is made of; its own colour is not read.
        points, normals: (n, 3), mm and unit vectors.
        places: (n, 2) in the picture: from the left and from the top, 0 to 1.
        triangles: (m, 3).
        picture: (height, width, 3), linear light.
    """

    surface: Surface
    points: Singles
    normals: Singles
    places: Singles
    triangles: NDArray[np.uint32]
    picture: Singles


@dataclass(frozen=True, eq=False, slots=True)
class Planking:
    """Boards of one gloss as one mesh; as ``TexturedMesh``, but its picture is sRGB bytes."""

    gloss: float
    points: Floats
    normals: Floats
    places: Floats
    triangles: NDArray[np.int64]
    picture: NDArray[np.uint8]


def stays_copied(flock: Flock) -> bool:
    """Return whether a flock is lighter as copies than as one mesh."""
    triangles = sum(len(solid.mesh.triangles) for solid in flock.group)
    return triangles > _HEAVY and len(flock.places) <= _FEW


def merged(solids: Iterable[Solid], flocks: Iterable[Flock] = ()) -> list[TexturedMesh]:
    """Return solids and all copies in flocks as one body a surface."""
    here = np.eye(4)[None]
    kinds: dict[Surface, list[tuple[Solid, Floats]]] = {}
    placed = [(solid, here) for solid in solids]
    placed += [(solid, flock.places) for flock in flocks for solid in flock.group]
    for solid, places in placed:
        if len(places):
            kind = replace(solid.surface, colour=(1.0, 1.0, 1.0))
            kinds.setdefault(kind, []).append((solid, places))
    return [_body(kind, found) for kind, found in kinds.items()]


def bulbs_of(lamps: Iterable[Lamp]) -> list[tuple[Rgb, TexturedMesh]]:
    """Return round lamps as one mesh a strength: to the path tracer each is one light, not many."""
    kinds: dict[Rgb, list[Mesh]] = {}
    for lamp in lamps:
        if lamp.ball:
            kinds.setdefault(lamp.strength, []).append(globe(lamp.at, lamp.half))
    glass = Surface((1.0, 1.0, 1.0))
    return [
        (strength, merged([Solid("bulbs", joined(found), glass)])[0])
        for strength, found in kinds.items()
    ]


def _body(kind: Surface, placed: Sequence[tuple[Solid, Floats]]) -> TexturedMesh:
    """Return copies of solids of one kind of surface as one mesh."""
    colours = np.concatenate([_corner_colours(solid) for solid, _ in placed])
    cut = patched(np.arange(len(colours)).reshape(-1, 3), colours)
    points, normals, spots = [], [], []
    first = 0
    for solid, places in placed:
        mesh = solid.mesh
        corners = mesh.triangles.reshape(-1)
        turned = places[:, :3, :3]
        scale = np.linalg.norm(turned[:, :, 0], axis=1)[:, None, None]
        own = np.swapaxes(turned, 1, 2)
        points.append((mesh.points[corners] @ own + places[:, None, :3, 3]).reshape(-1, 3))
        normals.append((_corner_normals(mesh) @ (own / scale)).reshape(-1, 3))
        spots.append(np.tile(cut.places[first : first + len(corners)], (len(places), 1)))
        first += len(corners)
    whole = np.concatenate(points).astype(np.float32)
    return TexturedMesh(
        kind,
        whole,
        np.concatenate(normals).astype(np.float32),
        np.concatenate(spots).astype(np.float32),
        np.arange(len(whole), dtype=np.uint32).reshape(-1, 3),
        cut.picture.astype(np.float32),
    )


def _corner_colours(solid: Solid) -> Floats:
    """Return the colours of all triangles' corners in linear light, (3 m, 3)."""
    mesh = solid.mesh
    corners = mesh.triangles.reshape(-1)
    if mesh.colours is None:
        return np.tile(linear(solid.surface.colour), (len(corners), 1))
    return linear_colours(mesh.colours)[corners]


def _corner_normals(mesh: Mesh) -> Floats:
    """Return the unit normals at all triangles' corners, (3 m, 3)."""
    if mesh.smooth:
        return smooth_normals(mesh)[mesh.triangles.reshape(-1)]
    face = _face_normals(mesh)
    face /= np.maximum(np.linalg.norm(face, axis=1, keepdims=True), 1e-12)
    return np.repeat(face, 3, axis=0)


def _face_normals(mesh: Mesh) -> Floats:
    """Return the triangles' normals, as long as twice their area."""
    a, b, c = (mesh.points[mesh.triangles[:, i]] for i in range(3))
    return np.asarray(np.cross(b - a, c - a))


def smooth_normals(mesh: Mesh) -> Floats:
    """Return unit normals at the points, shape (n, 3), weighed by the triangles' areas."""
    face = _face_normals(mesh)
    total = np.zeros_like(mesh.points)
    for i in range(3):
        np.add.at(total, mesh.triangles[:, i], face)
    length = np.linalg.norm(total, axis=1, keepdims=True)
    return np.asarray(total / np.maximum(length, 1e-12))


def linear_colours(colours: Floats) -> Floats:
    """Return sRGB colours in linear light. Source: IEC 61966-2-1."""
    return np.asarray(
        np.where(colours <= 0.04045, colours / 12.92, ((colours + 0.055) / 1.055) ** 2.4)
    )


def planked(woods: Iterable[Wood]) -> list[Planking]:
    """Return boards as one mesh a gloss, their pictures laid out in one."""
    kinds: dict[float, list[Wood]] = {}
    for wood in woods:
        kinds.setdefault(wood.gloss, []).append(wood)
    return [_planking(gloss, found) for gloss, found in kinds.items()]


def _planking(gloss: float, woods: Sequence[Wood]) -> Planking:
    """Return boards of one gloss as one mesh."""
    sizes = [(w.skin.picture.shape[1], w.skin.picture.shape[0]) for w in woods]
    corners, (width, height) = shelved(sizes)
    picture = np.zeros((height, width, 3), dtype=np.uint8)
    places, triangles, first = [], [], 0
    for wood, (x, y), (w, h) in zip(woods, corners, sizes, strict=True):
        skin = wood.skin
        picture[y : y + h, x : x + w] = skin.picture
        places.append((skin.places * (w, h) + (x, y)) / (width, height))
        triangles.append(skin.triangles + first)
        first += len(skin.points)
    return Planking(
        gloss,
        np.concatenate([wood.skin.points for wood in woods]),
        np.concatenate([wood.skin.normals for wood in woods]),
        np.concatenate(places),
        np.concatenate(triangles),
        picture,
    )


def shelved(sizes: Sequence[tuple[int, int]]) -> tuple[list[tuple[int, int]], tuple[int, int]]:
    """Return where rectangles (width, height) lie on shelves, highest first, and the whole's size.

    The whole is about square; nothing overlaps.
    """
    area = sum(width * height for width, height in sizes)
    whole = max(max(width for width, _ in sizes), math.ceil(math.sqrt(area)))
    found = [(0, 0)] * len(sizes)
    x = y = shelf = 0
    for i in sorted(range(len(sizes)), key=lambda i: -sizes[i][1]):
        width, height = sizes[i]
        if x + width > whole:
            x, y, shelf = 0, y + shelf, 0
        found[i] = (x, y)
        x, shelf = x + width, max(shelf, height)
    return found, (whole, y + shelf)
