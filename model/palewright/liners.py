"""The liner: the sheet that keeps wet soil off the boards."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.floors import floor_bottom
from palewright.parameters import Parameters
from palewright.sizes import Sizes


@dataclass(frozen=True, slots=True)
class Liner:
    """A bottom and four walls, or a band of four walls. Inside sizes of nominal boards, mm.

    Attributes:
        has_bottom: whether there is a floor to lie on.
        width, depth: inside the staves.
        wall_height: from the floor's top to ``liner.drop`` below the panels' top.
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
    thick = sizes.board.thickness
    rises_from = parameters.box.foot
    if parameters.floor.kind == "cleats":
        rises_from = floor_bottom(parameters) + thick
    liner = Liner(
        has_bottom=parameters.floor.kind != "none",
        width=sizes.width - 4 * thick,
        depth=sizes.depth - 4 * thick,
        wall_height=sizes.top - parameters.liner.drop - rises_from,
    )
    if not parameters.liner.fit or min(liner.width, liner.depth, liner.wall_height) <= 0:
        return None
    return liner
