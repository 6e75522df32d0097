"""Parallel projections: which way is right, up and towards the eye on a drawing."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from palewright.construction.boards import Vector, cross, dot
from palewright.geometry.arrays import Floats

CORNER_TURN, CORNER_RISE = 34.0, 25.0
"""Degrees: the corner view looks from right of the front and from above. Our own choice: unequal
turns keep the mitres of a square box from falling on its corners' upright lines."""


@dataclass(frozen=True, slots=True)
class Projection:
    """A parallel projection.

    Attributes:
        right, up: unit vectors of the box that are drawn to the right and upward.
        toward: unit vector from the box to the eye; right × up.
    """

    right: Vector
    up: Vector
    toward: Vector

    def __post_init__(self) -> None:
        """Refuse directions that are not square: our own mistake."""
        if math.dist(cross(self.right, self.up), self.toward) > 1e-9:
            raise ValueError("a projection is a right-handed set of unit vectors")

    @property
    def matrix(self) -> Floats:
        """Rows right, up, toward: what turns box coordinates into (u, v, w)."""
        return np.array((self.right, self.up, self.toward))

    def flat(self, point: Vector) -> tuple[float, float]:
        """Return where a point or a direction of the box is drawn, mm."""
        return dot(self.right, point), dot(self.up, point)


def from_above(turn: float, rise: float) -> Projection:
    """Return a view with uprights upright.

    Args:
        turn: degrees from the front towards the right side (90: from the right, 180: the back).
        rise: degrees above the level, up to 90.
    """
    a, e = math.radians(turn), math.radians(rise)
    right = _snapped((math.cos(a), math.sin(a), 0.0))
    toward = _snapped((math.sin(a) * math.cos(e), -math.cos(a) * math.cos(e), math.sin(e)))
    return Projection(right, cross(toward, right), toward)


def on_bench(up: Vector, turn: float, rise: float) -> Projection:
    """Return a view from above of a box that lies with ``up`` upward.

    Lying on a side, its own top is away from the eye; lying on its top, its front is at the left.

    Args:
        up: unit vector of the box, along one of its axes.
        turn: degrees, as in ``from_above``, for who stands at the bench.
        rise: the same.
    """
    if abs(up[2]) > 0.5:
        back: Vector = (0.0, up[2], 0.0)
    else:
        back = (0.0, 0.0, 1.0)
    right = cross(back, up)
    rows = from_above(turn, rise)
    found = [_snapped(_mixed(row, right, back, up)) for row in (rows.right, rows.up, rows.toward)]
    return Projection(*found)


def _mixed(row: Vector, right: Vector, back: Vector, up: Vector) -> Vector:
    """Return the direction that is ``row`` in a frame of three unit vectors."""
    x, y, z = (row[0] * right[i] + row[1] * back[i] + row[2] * up[i] for i in range(3))
    return x, y, z


def _snapped(v: Vector) -> Vector:
    """Return a unit vector with the last rounding taken off, so that square views are exact."""
    x, y, z = (round(value, 15) + 0.0 for value in v)
    return x, y, z


VIEWS = {
    "front": from_above(0, 0),
    "right": from_above(90, 0),
    "back": from_above(180, 0),
    "left": from_above(270, 0),
    "top": from_above(0, 90),
    "corner": from_above(CORNER_TURN, CORNER_RISE),
}
"""The views of a box by name. In third-angle order the top stands above the front, the right
side to its right."""
