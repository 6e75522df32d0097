"""How dry and how wet a box's boards become, and the gap that its staves need to swell."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from palewright.catalogue.climates import CITIES
from palewright.catalogue.fillings import MIXES
from palewright.catalogue.wood_moisture import equilibrium_moisture, movement, movement_coefficient
from palewright.parameters.schema import settings
from palewright.parameters.tables import Parameters
from palewright.reading.lengths import read_length, up_to_shop
from palewright.reading.quantities import fahrenheit


@dataclass(frozen=True, slots=True)
class OutdoorWood:
    """Moisture contents, percent, between which boards live, and who says so.

    ``season_known`` is false where ``site.season`` asks for a season that has no numbers.
    """

    driest: float
    wettest: float
    source: str
    season_known: bool = True


def outdoor_wood(parameters: Parameters) -> OutdoorWood:
    """Return what the boards of a box come to where it stands.

    Rain, or loose soil without a liner, wets them to fibre saturation, whatever the air (judgement,
    after WH ch. 4: water on a face fills the cell walls there, air alone never does).

    Raises:
        InputError: if a stock names a species that nobody keeps.
    """
    site = parameters.site
    if site.city == "own":
        driest, wettest, source = _own_air(parameters)
        known = site.season == "all"
    else:
        city = CITIES[site.city]
        driest, wettest = city.range_in(site.season)
        known, source = city.knows(site.season), city.told(site.season)
    wet = [text for wets, text in ((site.rain, "rain"), (wets_boards(parameters), _SOIL)) if wets]
    if wet:
        materials = parameters.materials
        wettest = max(wettest, materials.species[materials.stock["board"]].saturation)
        source = f"wet through by {' and '.join(wet)} (judgement); {source}"
    return OutdoorWood(driest, wettest, source, known)


_SOIL = "wet soil without a liner"


def _own_air(parameters: Parameters) -> tuple[float, float, str]:
    """Return the driest and the wettest that the maker's own air leads to, percent, and why."""
    site = parameters.site
    low, high = sorted((site.driest_air, site.dampest_air))
    scale: Literal["F", "C"] = "F" if parameters.product.units == "inch" else "C"
    degrees = fahrenheit(site.temperature) if scale == "F" else site.temperature
    driest, wettest = (equilibrium_moisture(air, degrees, scale) for air in (low, high))
    source = f"air of {low} and {high} % humidity, Wood Handbook Eq. 4-5"
    if site.season != "all":
        source += f"; own air is the year's, site.season ({site.season}) is for a site.city"
    return driest, wettest, source


def wets_boards(parameters: Parameters) -> bool:
    """Return whether wet soil lies against bare boards."""
    loose = MIXES[parameters.site.soil].loose
    return parameters.box.kind == "planter" and loose and not parameters.liner.fit


def stave_movement(width: float, after: float, parameters: Parameters) -> float | None:
    """Return how much wider (mm) a stave gets from when it is cut to a moisture in percent.

    Flat-sawn, the most it can; narrower is negative. None where the wood's shrinkage is not known.

    Raises:
        InputError: if a stock names a species that nobody keeps.
    """
    materials = parameters.materials
    species = materials.species[materials.stock["board"]]
    if species.shrink_tangential is None:
        return None
    coefficient = movement_coefficient(species.shrink_tangential, species.saturation)
    before = float(parameters.site.bought_at)
    return movement(width, coefficient, before, after, species.saturation)


def widest_stave(parameters: Parameters) -> float:
    """Return the width (mm) that no stave exceeds."""
    asked = parameters.wall.stave_width
    return parameters.materials.stock["board"].true_width if asked is None else asked


def swelling_gap(parameters: Parameters) -> float:
    """Return the gap (mm) that lets every stave swell: up to the shop's step, in the key's range.

    What the widest stave needs, mostly a full board: so one gap, and one spacer, serves every size
    of a box. 0 where the wood's shrinkage is not known.

    Raises:
        InputError: if a stock names a species that nobody keeps.
    """
    swells = stave_movement(widest_stave(parameters), outdoor_wood(parameters).wettest, parameters)
    if swells is None or swells <= 0.0:
        return 0.0
    return min(up_to_shop(swells, parameters.product.units), _widest_gap())


@cache
def _widest_gap() -> float:
    """Return the widest gap (mm) that the schema allows between staves."""
    return read_length(settings()["wall.gap"].high)
