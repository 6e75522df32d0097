"""What a picture is made of, as data: meshes with their surfaces, copies of them, lamps, a camera.

All lengths are mm, z up; colours are sRGB from 0 to 1, the strength of lamps is in the renderer's
linear units, where a white sheet under a strength of 1 from all sides is white.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from palewright.geometry.arrays import Floats, Ints

Rgb = tuple[float, float, float]


@dataclass(frozen=True, eq=False)
class Skin:
    """A mesh with one picture.

    Attributes:
        points: (n, 3), mm of the box.
        normals: (n, 3), unit vectors.
        places: (n, 2) in the picture: from the left and from the top, 0 to 1.
        triangles: (m, 3) indices.
        picture: (height, width, 3), sRGB.
    """

    points: Floats
    normals: Floats
    places: Floats
    triangles: Ints
    picture: NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Surface:
    """What a mesh is made of.

    Attributes:
        colour: sRGB.
        rough: 0 a mirror, 1 chalk.
        through: share of light that passes, as through a leaf held to the sun.
        clear: whether it is glass or water.
        metal: whether it shines as metal.
        both: whether both sides are seen (leaves, petals).
    """

    colour: Rgb
    rough: float = 0.7
    through: float = 0.0
    clear: bool = False
    metal: bool = False
    both: bool = False


@dataclass(frozen=True, eq=False, slots=True)
class Mesh:
    """Triangles without a picture.

    ``points`` (n, 3) mm; ``triangles`` (m, 3); ``smooth`` shades over the edges;
    ``colours`` (n, 3), sRGB, gives each point a colour of its own in place of the surface's.
    """

    points: Floats
    triangles: Ints
    smooth: bool = False
    colours: Floats | None = None


@dataclass(frozen=True, eq=False, slots=True)
class Solid:
    """A mesh of one surface, in its place."""

    name: str
    mesh: Mesh
    surface: Surface


def points_of(solids: Iterable[Solid]) -> Floats:
    """Return the points (n, 3), mm, of solids where they stand."""
    return np.concatenate([solid.mesh.points for solid in solids])


@dataclass(frozen=True, eq=False, slots=True)
class Wood:
    """A board with its skin. ``gloss`` 0 dull to 1 shining."""

    name: str
    skin: Skin
    gloss: float = 0.15


@dataclass(frozen=True, eq=False, slots=True)
class Flock:
    """Copies of a few solids: each of ``places`` (n, 4, 4) puts the whole group somewhere, mm."""

    name: str
    group: tuple[Solid, ...]
    places: Floats


@dataclass(frozen=True, slots=True)
class Lamp:
    """A glowing sheet or ball: where, towards what, half its size (mm), colour times strength."""

    at: tuple[float, float, float]
    towards: tuple[float, float, float]
    half: float
    strength: Rgb
    ball: bool = False


@dataclass(frozen=True, slots=True)
class Sky:
    """Light from all around: colour at the top, at the horizon and from below, times strength.

    ``sun`` is its colour times strength, ``sun_from`` the direction it shines from; a sun of
    (0, 0, 0) is none; ``sun_size`` is how wide it glows, degrees.
    """

    top: Rgb
    horizon: Rgb
    ground: Rgb
    sun: Rgb = (0.0, 0.0, 0.0)
    sun_from: tuple[float, float, float] = (-0.5, -0.6, 0.6)
    sun_size: float = 1.5


@dataclass(frozen=True, slots=True)
class Camera:
    """Where from, towards what, how wide (degrees across the longer side), width by height."""

    at: tuple[float, float, float]
    towards: tuple[float, float, float]
    angle: float
    width: int
    height: int
    shift: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, eq=False)
class Scene:
    """All that a picture shows.

    Attributes:
        name: of the scene.
        woods, solids, flocks: what stands in it.
        lamps, sky: what lights it.
        exposure: the linear picture is multiplied by so much before it is shown.
        warmth: white balance: 1 as it is, above it warmer.
        glow: how much lights glow round themselves, as a share of what is brighter than white.
        subject: points (n, 3), mm, that a picture has to hold beside the box.
    """

    name: str
    woods: tuple[Wood, ...] = ()
    solids: tuple[Solid, ...] = ()
    flocks: tuple[Flock, ...] = ()
    lamps: tuple[Lamp, ...] = ()
    sky: Sky = field(default_factory=lambda: Sky((0.6, 0.7, 0.9), (0.9, 0.9, 0.9), (0.4, 0.4, 0.4)))
    exposure: float = 1.0
    warmth: float = 1.0
    glow: float = 0.0
    subject: Floats | None = None
