"""Moisture content that wood comes to outdoors, by city and season."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

CityName = Literal[
    "own", "atlanta", "burlington", "casper", "cheyenne", "chicago", "denver", "miami",
    "minneapolis", "phoenix", "portland", "seattle", "sheridan",
]  # fmt: skip
"""What ``site.city`` takes: a city, or the maker's own air."""

Season = Literal["all", "winter", "spring", "summer", "autumn"]

_MEMORY = "Wood Handbook Table 13-1 and FPL-RN-0268 (1998), from memory"
_READ = "columns that cite FPL-RN-0268 (1998)"


@dataclass(frozen=True, slots=True)
class City:
    """Outdoor equilibrium moisture content of one city, percent.

    Attributes:
        meaning: its name with the state.
        seasons: mid-January, mid-April, mid-July and mid-October; or the lowest and highest
            month of the year where no more is known.
        source: where they come from.
    """

    meaning: str
    seasons: tuple[float, ...]
    source: str = _MEMORY

    def range_in(self, season: Season) -> tuple[float, float]:
        """Return the lowest and highest moisture content, percent, of a season or the year."""
        order = ("winter", "spring", "summer", "autumn")
        if season == "all" or len(self.seasons) < len(order):
            return min(self.seasons), max(self.seasons)
        there = self.seasons[order.index(season)]
        return there, there


CITIES: dict[CityName, City] = {
    "atlanta": City("Atlanta, Georgia", (13.3, 11.8, 13.8, 13.0)),
    "burlington": City("Burlington, Vermont", (11.7, 14.2), _READ),
    "casper": City("Casper, Wyoming", (9.0, 12.3), _READ),
    "cheyenne": City("Cheyenne, Wyoming", (9.7, 10.8), _READ),
    "chicago": City("Chicago, Illinois", (14.2, 12.5, 12.8, 12.9)),
    "denver": City("Denver, Colorado", (10.7, 9.6, 9.4, 9.5)),
    "miami": City("Miami, Florida", (13.5, 12.3, 13.7, 13.5)),
    "minneapolis": City("Minneapolis, Minnesota", (13.7, 12.0, 12.5, 13.3)),
    "phoenix": City("Phoenix, Arizona", (9.4, 6.1, 6.2, 7.0)),
    "portland": City("Portland, Oregon", (16.5, 13.5, 11.7, 15.0)),
    "seattle": City("Seattle, Washington", (15.6, 13.7, 12.2, 15.3)),
    "sheridan": City("Sheridan, Wyoming", (9.2, 12.9), _READ),
}
"""By the word that ``site.city`` takes."""
