"""How each side panel seats in the outer panels' lips, corner by corner, measured on the boards."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from palewright.construction.boards import Board
from palewright.construction.corners import CORNERS, CornerPlace, end_stave


@dataclass(frozen=True, slots=True)
class Seat:
    """One corner's clearances, mm; negative where boards would have to be forced.

    Attributes:
        corner: its name.
        frame: from the edge of the outer panel's staves to the inner face of the side stile: the
            side panel's frame runs the whole length of its panel, so that this must never be less
            than nothing.
        lip: from the inner face of the side panel to the edge of the outer panel's staves.
        setback: from the edge of the side panel's staves to the inner face of the outer's.
        outer_stile, side_stile: visible widths of the two stiles, the side one with the outer
            stile's thickness that is seen beside it.
        boards: outer stave, side stave, outer stile, side stile.
    """

    corner: str
    frame: float
    lip: float
    setback: float
    outer_stile: float
    side_stile: float
    boards: tuple[str, str, str, str]

    @property
    def clearance(self) -> float:
        """How far the side panel keeps clear of the outer panel's staves, mm.

        Its staves are apart from them as soon as they are in one direction: a clash needs both.
        """
        return min(max(self.lip, self.setback), self.frame)


def seats_of(boards: Mapping[str, Board]) -> list[Seat]:
    """Return the seat at each of the four corners."""
    return [_seat(corner, boards) for corner in CORNERS]


def _seat(corner: CornerPlace, boards: Mapping[str, Board]) -> Seat:
    """Measure one corner."""
    outer_stile, side_stile = boards[corner.outer_stile], boards[corner.inner_stile]
    outer_stave = end_stave(corner.outer, corner.outer_stile, boards)
    side_stave = end_stave(corner.inner, corner.inner_stile, boards)
    lip = _reach(side_stave, 0)[0] - _reach(outer_stave, 0)[1]
    setback = _reach(outer_stave, 1)[0] - _reach(side_stave, 1)[1]
    frame = _reach(side_stile, 0)[0] - _reach(outer_stave, 0)[1]
    return Seat(
        corner.name,
        frame,
        lip,
        setback,
        outer_stile.width,
        side_stile.width + outer_stile.thickness,
        (outer_stave.name, side_stave.name, outer_stile.name, side_stile.name),
    )


def _reach(board: Board, axis: int) -> tuple[float, float]:
    """Return the least and greatest distance from the middle of the box along an axis."""
    away = [abs(point[axis]) for point in board.corners]
    return min(away), max(away)
