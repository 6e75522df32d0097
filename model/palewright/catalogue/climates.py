"""Moisture content that wood comes to outdoors, by city and season."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

CityName = Literal[
    "own", "atlanta", "burlington", "casper", "cheyenne", "chicago", "denver", "miami",
    "minneapolis", "phoenix", "portland", "seattle", "sheridan",
]  # fmt: skip
"""What ``site.city`` takes: a city, or the maker's own air."""

SeasonName = Literal["all", "winter", "spring", "summer", "autumn"]

_MEMORY = "Wood Handbook Table 13-1 and FPL-RN-0268 (1998), from memory"
_READ = "columns that cite FPL-RN-0268 (1998)"


_ORDER: tuple[SeasonName, ...] = ("winter", "spring", "summer", "autumn")
Percents = tuple[float, float]
"""Lowest and highest moisture content, percent."""


@dataclass(frozen=True, slots=True)
class City:
    """Outdoor equilibrium moisture content of one city, percent.

    Attributes:
        meaning: its name with the state.
        seasons: lowest and highest in winter, spring, summer and autumn; or of the whole year
            where no more is known.
        source: where they come from.
        months: what the seasons are read from, in words.
    """

    meaning: str
    seasons: tuple[Percents, ...]
    source: str
    months: str = ""

    def knows(self, season: SeasonName) -> bool:
        """Return whether it has numbers of its own for a season, or for the year."""
        return season == "all" or len(self.seasons) == len(_ORDER)

    def range_in(self, season: SeasonName) -> Percents:
        """Return the lowest and highest moisture content, percent, of a season or the year.

        The year's where nothing is known of the season.
        """
        if season == "all" or not self.knows(season):
            return min(low for low, _ in self.seasons), max(high for _, high in self.seasons)
        return self.seasons[_ORDER.index(season)]

    def told(self, season: SeasonName) -> str:
        """Return whose air it is, for which season, and who says so."""
        if season == "all":
            return f"{self.meaning}, {self.source}"
        if not self.knows(season):
            return f"{self.meaning}, the whole year, as no {season} is known of it, {self.source}"
        return f"{self.meaning}, {season} ({self.months}), {self.source}"


def _by_quarter(meaning: str, *percents: float) -> City:
    """Return a city known by the middles of January, April, July and October."""
    seasons = tuple((one, one) for one in percents)
    return City(meaning, seasons, _MEMORY, "as in mid-January, April, July and October")


def _by_half(meaning: str, november_to_june: Percents, july_to_october: Percents) -> City:
    """Return a city known by two parts of the year; a season is where its middle month is."""
    seasons = (november_to_june, november_to_june, july_to_october, july_to_october)
    return City(meaning, seasons, _READ, "as in November to June, or July to October")


CITIES: dict[CityName, City] = {
    "atlanta": _by_quarter("Atlanta, Georgia", 13.3, 11.8, 13.8, 13.0),
    "burlington": City("Burlington, Vermont", ((11.7, 14.2),), _READ),
    "casper": _by_half("Casper, Wyoming", (10.1, 12.3), (9.0, 10.3)),
    "cheyenne": _by_half("Cheyenne, Wyoming", (10.5, 10.8), (9.7, 9.9)),
    "chicago": _by_quarter("Chicago, Illinois", 14.2, 12.5, 12.8, 12.9),
    "denver": _by_quarter("Denver, Colorado", 10.7, 9.6, 9.4, 9.5),
    "miami": _by_quarter("Miami, Florida", 13.5, 12.3, 13.7, 13.5),
    "minneapolis": _by_quarter("Minneapolis, Minnesota", 13.7, 12.0, 12.5, 13.3),
    "phoenix": _by_quarter("Phoenix, Arizona", 9.4, 6.1, 6.2, 7.0),
    "portland": _by_quarter("Portland, Oregon", 16.5, 13.5, 11.7, 15.0),
    "seattle": _by_quarter("Seattle, Washington", 15.6, 13.7, 12.2, 15.3),
    "sheridan": _by_half("Sheridan, Wyoming", (11.4, 12.9), (9.2, 10.9)),
}
"""By the word that ``site.city`` takes."""
