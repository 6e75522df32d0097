"""What a board amounts to with its holes taken out: volume and centre of mass, in closed form."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from palewright.construction.boards import Board, Hole, Vector, plus
from palewright.geometry.polygons import centroid

SINK_ANGLE = 82.0
"""Included angle of a countersink, degrees: inch-series flat heads (common practice, no source)."""


@dataclass(frozen=True)
class Drilled:
    """What a board amounts to with its holes taken out, in closed form.

    Attributes:
        board: the board.
        volume: mm³, as if no hole met another hole or an edge.
        centre: centre of mass in the board's frame, mm.
    """

    board: Board
    volume: float
    centre: Vector

    @cached_property
    def unsure(self) -> float:
        """Volume (mm³) that holes which do meet something may be wrong by, either way."""
        found = 0.0
        for hole, free in zip(self.board.holes, _free_holes(self.board), strict=True):
            found += 0.0 if free else sum(taken for taken, _ in _pieces(hole))
        return found


def drilled(board: Board) -> Drilled:
    """Return volume and centre of mass of a board with its holes, from its data alone."""
    whole = board.volume
    x, y = centroid(board.outline)
    moment = [whole * x, whole * y, whole * board.thickness / 2]
    volume = whole
    for hole in board.holes:
        for taken, deep in _pieces(hole):
            volume -= taken
            at = plus(hole.start, hole.axis, deep)
            moment = [m - taken * c for m, c in zip(moment, at, strict=True)]
    return Drilled(board, volume, (moment[0] / volume, moment[1] / volume, moment[2] / volume))


def _pieces(hole: Hole) -> Iterator[tuple[float, float]]:
    """Yield (volume, depth of its centre) of the bore and of the countersink's ring, mm³ and mm."""
    r, big = hole.diameter / 2, hole.sink / 2
    yield math.pi * r * r * hole.depth, hole.depth / 2
    if big > r:
        deep = sink_depth(hole)
        cone = math.pi * deep / 3 * (big * big + big * r + r * r)
        low = deep / 4 * (big * big + 2 * big * r + 3 * r * r) / (big * big + big * r + r * r)
        bore = math.pi * r * r * deep
        yield cone - bore, (cone * low - bore * deep / 2) / (cone - bore)


def _free_holes(board: Board) -> list[bool]:
    """Return for each hole whether it meets neither another hole nor an edge it does not enter."""
    boxes = [_bounds(hole) for hole in board.holes]
    free = []
    for i, (hole, box) in enumerate(zip(board.holes, boxes, strict=True)):
        alone = not any(_meet(box, other) for j, other in enumerate(boxes) if j != i)
        free.append(alone and _inside(hole, board))
    return free


def _bounds(hole: Hole) -> list[tuple[float, float]]:
    """Return the least and greatest x, y, z that a hole may reach."""
    r = max(hole.diameter, hole.sink) / 2
    end = plus(hole.start, hole.axis, hole.depth)
    return [(min(a, b) - r, max(a, b) + r) for a, b in zip(hole.start, end, strict=True)]


def _meet(one: list[tuple[float, float]], other: list[tuple[float, float]]) -> bool:
    """Return whether two bounds overlap."""
    return all(a[0] < b[1] and b[0] < a[1] for a, b in zip(one, other, strict=True))


def _inside(hole: Hole, board: Board) -> bool:
    """Return whether a hole keeps off every edge but those it is drilled square into."""
    r = max(hole.diameter, hole.sink) / 2
    ends = (hole.start, plus(hole.start, hole.axis, hole.depth))
    if not hole.square and not all(r <= end[2] <= board.thickness - r for end in ends):
        return False
    corners = board.outline
    for a, b in zip(corners, corners[1:] + corners[:1], strict=True):
        length = math.dist(a, b)
        if length < 1e-6:
            continue
        nx, ny = -(b[1] - a[1]) / length, (b[0] - a[0]) / length
        if abs(nx * hole.axis[0] + ny * hole.axis[1]) > 1 - 1e-9:
            continue  # entered, or left, squarely
        if any((p[0] - a[0]) * nx + (p[1] - a[1]) * ny < r for p in ends):
            return False
    return True


def sink_depth(hole: Hole) -> float:
    """Return how deep (mm) a countersink goes until it is as narrow as its hole."""
    return (hole.sink - hole.diameter) / 2 / math.tan(math.radians(SINK_ANGLE / 2))
