"""How far a wall of staves swells and shrinks between the yard, the damp and the dry weeks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from palewright.boxes import Box
from palewright.loads.climates import CITIES
from palewright.loads.moisture import (
    FIBRE_SATURATION,
    equilibrium_moisture,
    is_estimate,
    movement,
    movement_coefficient,
)
from palewright.measures import fahrenheit

WET_SOIL = FIBRE_SATURATION
"""Percent in a board that wet soil lies against, whatever the air (judgement)."""


@dataclass(frozen=True, slots=True)
class OutdoorWood:
    """Moisture contents, percent, between which boards live, and who says so.

    ``season_known`` is false where ``site.season`` asks for a season that has no numbers.
    """

    driest: float
    wettest: float
    source: str
    season_known: bool = True


def outdoor_wood(box: Box) -> OutdoorWood:
    """Return what the boards of a box come to outdoors.

    Loose soil without a liner keeps them at fibre saturation on its side.
    """
    site = box.parameters.site
    known = site.season == "all"
    if site.city == "own":
        low, high = sorted((site.driest_air, site.dampest_air))
        scale: Literal["F", "C"] = "F" if box.parameters.product.units == "inch" else "C"
        degrees = fahrenheit(site.temperature) if scale == "F" else site.temperature
        driest, wettest = (equilibrium_moisture(air, degrees, scale) for air in (low, high))
        source = f"air of {low} and {high} % humidity, Wood Handbook Eq. 4-5"
        if site.season != "all":
            source += f"; own air is the year's, site.season ({site.season}) is for a site.city"
    else:
        city = CITIES[site.city]
        driest, wettest = city.range_in(site.season)
        known = city.knows(site.season)
        source = city.told(site.season)
    if wets_boards(box):
        source = f"wet soil without a liner (judgement); {source}"
        return OutdoorWood(driest, WET_SOIL, source, known)
    return OutdoorWood(driest, wettest, source, known)


def wets_boards(box: Box) -> bool:
    """Return whether wet soil lies against bare boards."""
    parameters = box.parameters
    loose = parameters.site.soil != "pots"
    return parameters.box.kind == "planter" and loose and not parameters.liner.fit


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
        widest: how a full board of the stock swells.
        estimate: whether the formula is used outside the range it is for.
    """

    stave: float
    staves: int
    bought: float
    wood: OutdoorWood
    swelling: float
    shrinking: float
    widest: float
    estimate: bool

    @property
    def whole_wall(self) -> float:
        """How far a wall without gaps would swell, mm."""
        return self.staves * self.swelling


def wall_movement(box: Box) -> WallMovement | None:
    """Return the movement of the staves; None where the wood's shrinkage is not known."""
    species = box.parameters.species_of(box.sizes.board)
    if species.shrink_tangential is None:
        return None
    coefficient = movement_coefficient(species.shrink_tangential, species.saturation)
    walls: dict[str, list[float]] = {}
    for board in box.boards.values():
        if board.role in ("stave", "filler"):
            walls.setdefault(board.panel, []).append(board.width)
    widest = max(width for wall in walls.values() for width in wall)
    bought, wood = float(box.parameters.site.bought_at), outdoor_wood(box)

    def moved(width: float, after: float) -> float:
        return movement(width, coefficient, bought, after, species.saturation)

    return WallMovement(
        stave=widest,
        staves=max(len(wall) for wall in walls.values()),
        bought=bought,
        wood=wood,
        swelling=max(moved(widest, wood.wettest), 0.0),
        shrinking=max(-moved(widest, wood.driest), 0.0),
        widest=max(moved(box.sizes.board.true_width, wood.wettest), 0.0),
        estimate=is_estimate(min(bought, wood.driest), max(bought, wood.wettest)),
    )
