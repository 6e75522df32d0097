"""How far a wall of staves swells and shrinks between the yard, the wet and the dry weeks."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.catalogue.wood_moisture import is_estimate
from palewright.construction.box_layout import Box
from palewright.construction.outdoor_wood import OutdoorWood, outdoor_wood, stave_movement


@dataclass(frozen=True, slots=True)
class WallMovement:
    """What the widest stave does across its grain, mm, flat-sawn: the most it can.

    Attributes:
        stave: its width.
        staves: how many the widest wall has.
        bought: percent of moisture at which it is cut.
        wood: where it goes from there.
        swelling: wider than when cut; 0 or more.
        shrinking: narrower than when cut; 0 or more.
        estimate: whether the formula is used outside the range it is for.
    """

    stave: float
    staves: int
    bought: float
    wood: OutdoorWood
    swelling: float
    shrinking: float
    estimate: bool

    @property
    def whole_wall(self) -> float:
        """How far a wall without gaps would swell, mm."""
        return self.staves * self.swelling


def wall_movement(box: Box) -> WallMovement | None:
    """Return the movement of the staves; None where the wood's shrinkage is not known."""
    walls: dict[str, list[float]] = {}
    for board in box.boards.values():
        if board.role in ("stave", "filler"):
            walls.setdefault(board.panel, []).append(board.width)
    widest = max(width for wall in walls.values() for width in wall)
    bought, wood = float(box.parameters.site.bought_at), outdoor_wood(box.parameters)
    wetted = stave_movement(widest, wood.wettest, box.parameters)
    dried = stave_movement(widest, wood.driest, box.parameters)
    if wetted is None or dried is None:
        return None
    return WallMovement(
        stave=widest,
        staves=max(len(wall) for wall in walls.values()),
        bought=bought,
        wood=wood,
        swelling=max(wetted, 0.0),
        shrinking=max(-dried, 0.0),
        estimate=is_estimate(min(bought, wood.driest), max(bought, wood.wettest)),
    )
