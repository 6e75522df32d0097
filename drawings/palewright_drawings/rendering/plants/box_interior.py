"""The room in a box where things grow: walls inside, the opening in its cap, height of soil."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from palewright.construction.boards import Board
from palewright.design import Design

_BELOW_RIM = 28.0
"""Soil ends so far below the top of the walls, mm, for water: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Hollow:
    """A level rectangle, mm: the clear room between the walls and the height of the soil.

    ``opening`` is what the cap leaves free: x0, y0, x1, y1; ``rim`` is the cap's upper face.
    """

    x0: float
    y0: float
    x1: float
    y1: float
    soil: float
    opening: tuple[float, float, float, float]
    rim: float

    @property
    def width(self) -> float:
        """Along x, of the opening."""
        return self.opening[2] - self.opening[0]

    @property
    def depth(self) -> float:
        """Along y, of the opening."""
        return self.opening[3] - self.opening[1]

    def above(self, height: float, share: float = 1.0) -> NDArray[np.float64]:
        """Return the opening's corners (4, 3) at a height, scaled about its middle."""
        x0, y0, x1, y1 = self.opening
        middle = np.array([x0 + x1, y0 + y1]) / 2
        flat = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
        return np.column_stack([middle + share * (flat - middle), np.full(4, height)])


def hollow_of(design: Design) -> Hollow:
    """Return the room in a box."""
    boards = list(design.box.boards.values())
    walls = [board for board in boards if board.panel in ("front", "back", "left", "right")]
    x0 = max(_high(board, 0) for board in walls if board.panel == "left")
    x1 = min(_low(board, 0) for board in walls if board.panel == "right")
    y0 = max(_high(board, 1) for board in walls if board.panel == "front")
    y1 = min(_low(board, 1) for board in walls if board.panel == "back")
    top = min(max(_high(b, 2) for b in walls if b.panel == side) for side in ("front", "left"))
    opening = [x0, y0, x1, y1]
    caps = [board for board in boards if board.panel == "cap"]
    for board in caps:
        middle = np.array(board.corners).mean(axis=0)
        across = abs(middle[0]) * (y1 - y0) > abs(middle[1]) * (x1 - x0)
        axis = 0 if across else 1
        if middle[axis] < 0:
            opening[axis] = max(opening[axis], _high(board, axis))
        else:
            opening[axis + 2] = min(opening[axis + 2], _low(board, axis))
    rim = max((_high(board, 2) for board in caps), default=top)
    a, b, c, d = opening
    return Hollow(x0, y0, x1, y1, top - _BELOW_RIM, (a, b, c, d), rim)


def _high(board: Board, axis: int) -> float:
    return max(corner[axis] for corner in board.corners)


def _low(board: Board, axis: int) -> float:
    return min(corner[axis] for corner in board.corners)
