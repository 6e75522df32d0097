"""The plain studio: a box on a bright floor under a soft sun, for comparing sizes and woods."""

from __future__ import annotations

import numpy as np

from palewright.design import Design
from palewright_drawings.pictures.cameras import Framing
from palewright_drawings.pictures.scene_parts import Mesh, Scene, Sky, Solid, Surface
from palewright_drawings.pictures.wood_looks import Finish
from palewright_drawings.pictures.woods import screw_heads, woods_of

_FAR = 60_000.0

_DAY = Sky(
    top=(0.56, 0.62, 0.82),
    horizon=(0.95, 0.95, 0.95),
    ground=(0.30, 0.28, 0.25),
    sun=(900.0, 840.0, 760.0),
    sun_from=(-0.6, -0.5, 0.75),
    sun_size=2.0,
)


def studio(design: Design, finish: Finish, density: float, _framing: Framing) -> Scene:
    """Return the box alone on a floor of no colour."""
    corners = np.array([[-_FAR, -_FAR, 0], [_FAR, -_FAR, 0], [_FAR, _FAR, 0], [-_FAR, _FAR, 0]])
    floor = Mesh(corners, np.array([[0, 1, 2], [0, 2, 3]]))
    return Scene(
        name="studio",
        woods=woods_of(design, finish, density),
        solids=(Solid("floor", floor, Surface((0.82, 0.81, 0.79), rough=0.9)),),
        flocks=screw_heads(design),
        sky=_DAY,
        exposure=0.74,
    )
