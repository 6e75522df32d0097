"""The four panels as they stand: what corners, floor, cap and trellis are built on to."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from palewright.catalogue.lumber import ThicknessOf
from palewright.construction.boards import Board
from palewright.construction.derived_sizes import Sizes
from palewright.construction.joints import Screw
from palewright.parameters.tables import Parameters


@dataclass(frozen=True, slots=True)
class Walls:
    """The panels of one box, laid out in one lumber case.

    Attributes:
        parameters: what was asked.
        sizes: the sizes that follow from it, mm.
        boards: the panels' boards by name.
        screws: that hold each panel together: new ones keep clear of them.
        thickness: gives each board's own thickness, mm, in that case.
    """

    parameters: Parameters
    sizes: Sizes
    boards: Mapping[str, Board]
    screws: Sequence[Screw]
    thickness: ThicknessOf

    def staves(self, *panels: str) -> list[Board]:
        """Return the uprights between the rails of some panels, fillers among them."""
        uprights = (b for b in self.boards.values() if b.role in ("stave", "filler"))
        return [board for board in uprights if board.panel in panels]
