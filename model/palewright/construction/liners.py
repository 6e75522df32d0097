"""The liner: the sheet that keeps wet soil off the boards."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.construction.derived_sizes import Sizes
from palewright.construction.floors import floor_top
from palewright.parameters.tables import Parameters


@dataclass(frozen=True, slots=True)
class Liner:
    """A bottom and four walls, or a band of four walls. Inside sizes of nominal boards, mm.

    Attributes:
        has_bottom: whether there is a floor to lie on.
        width, depth: inside the staves.
        wall_height: from the floor's top to its edge, see ``filling_top``.
    """

    has_bottom: bool
    width: float
    depth: float
    wall_height: float

    @property
    def sheet(self) -> tuple[float, float]:
        """Sides (mm) of the one piece it is folded from, or of the band."""
        if self.has_bottom:
            return self.width + 2 * self.wall_height, self.depth + 2 * self.wall_height
        return 2 * (self.width + self.depth), self.wall_height

    @property
    def area(self) -> float:
        """What it covers, mm²: the folded corners of the sheet are not counted."""
        walls = 2 * (self.width + self.depth) * self.wall_height
        return walls + (self.width * self.depth if self.has_bottom else 0.0)


def liner_of(parameters: Parameters, sizes: Sizes) -> Liner | None:
    """Return the liner; None where none is asked for, or nothing is left for it."""
    width, depth = inside_size(sizes)
    liner = Liner(
        has_bottom=parameters.floor.kind != "none",
        width=width,
        depth=depth,
        wall_height=filling_top(parameters, sizes) - soil_bottom(parameters, sizes),
    )
    if not parameters.liner.fit or min(liner.width, liner.depth, liner.wall_height) <= 0:
        return None
    return liner


def inside_size(sizes: Sizes) -> tuple[float, float]:
    """Return the clear width and depth (mm) between the staves of nominal boards."""
    thick = sizes.board.thickness
    return sizes.width - 4 * thick, sizes.depth - 4 * thick


def filling_top(parameters: Parameters, sizes: Sizes) -> float:
    """Return the height (mm) up to which the box is lined and filled.

    ``liner.drop`` below the panels' top, or the staves' upper ends where those lie lower: a liner
    lies against staves.
    """
    ends = (sizes.stave_ends(outer)[1] for outer in (True, False))
    return min(sizes.top - parameters.liner.drop, *ends)


def soil_bottom(parameters: Parameters, sizes: Sizes) -> float:
    """Return the height (mm) on which soil stands, on nominal boards."""
    return floor_top(parameters, sizes, sizes.board.thickness)
