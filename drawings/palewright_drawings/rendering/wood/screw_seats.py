"""Where screw heads lie in a board's faces: countersinks that its skin opens for them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from palewright.construction.boards import Board, Hole
from palewright.geometry.arrays import Floats
from palewright.geometry.polygons import Polygon

SUNK = 0.4
"""A head is driven so far below the face, mm: common practice, no source."""

_DEPTH = 0.32
"""Depth of the countersink that is modelled, as a share of the head's width: under the recess."""

_SIDES = 32
"""Points round a countersink: at a box's distance it looks round (judged by eye)."""

_ROOM = 0.3
"""Wood that is left between a countersink and the eased edge, mm."""


@dataclass(frozen=True, slots=True)
class Countersink:
    """A countersink of 90 degrees in a face of a board, mm of the board's frame.

    Attributes:
        x, y: its middle.
        far: whether it is in the far face, else in the datum face.
        head: radius of the screw's head, which lies ``SUNK`` below the face.
        thickness: of the board.
    """

    x: float
    y: float
    far: bool
    head: float
    thickness: float

    @property
    def rim(self) -> float:
        """Radius at the face."""
        return self.head + SUNK

    @property
    def depth(self) -> float:
        """How far down it is modelled; the rest is hidden under the head."""
        return min(2 * _DEPTH * self.head + SUNK, 0.5 * self.thickness, 0.8 * self.rim)

    def ring(self, deep: bool) -> Floats:
        """Return its rim, or its lower end, (n, 3), counter-clockwise seen from z above."""
        turn = np.arange(_SIDES) / _SIDES * 2 * math.pi
        radius = self.rim - self.depth if deep else self.rim
        down = self.depth if deep else 0.0
        z = self.thickness - down if self.far else down
        return np.column_stack([
            self.x + radius * np.cos(turn), self.y + radius * np.sin(turn), np.full(_SIDES, z)
        ])  # fmt: skip


def seats_of(board: Board, ease: float) -> dict[str, Countersink]:
    """Return the countersinks of a board by the names of their screws.

    Left out are those for which the face has no room inside its eased edges, ``ease`` mm wide, or
    that would run into one before them: such a head lies on the wood.
    """
    found: dict[str, Countersink] = {}
    for hole in board.holes:
        seat = _seat(hole, board.thickness)
        if seat is None or _inside(seat, board.outline) < seat.rim + ease + _ROOM:
            continue
        others = (one for one in found.values() if one.far == seat.far)
        if all(math.dist((seat.x, seat.y), (o.x, o.y)) > seat.rim + o.rim for o in others):
            found[hole.screw] = seat
    return found


def _seat(hole: Hole, thickness: float) -> Countersink | None:
    """Return the countersink of a hole that has one in a face."""
    x, y, z = hole.start
    far = abs(z - thickness) < 1e-3
    if not hole.sink or not hole.square or not (far or abs(z) < 1e-3):
        return None
    return Countersink(x, y, far, hole.sink / 2, thickness)


def _inside(seat: Countersink, outline: Polygon) -> float:
    """Return how far its middle lies from the nearest edge of a convex outline, mm."""
    least = math.inf
    for (ax, ay), (bx, by) in zip(outline, outline[1:] + outline[:1], strict=True):
        length = math.dist((ax, ay), (bx, by))
        if length > 1e-6:
            least = min(least, ((bx - ax) * (seat.y - ay) - (by - ay) * (seat.x - ax)) / length)
    return least
