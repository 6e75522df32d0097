"""A season as the maker writes it: when to work, which markets, what is offered at each."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from functools import cached_property
from importlib import resources
from pathlib import Path
from typing import Self

from pydantic import Field, model_validator

from palewright.parameters.toml_reader import FileLine, read_table, record_from
from palewright.reading.errors import InputError, nearest
from palewright.reading.fields import (
    Amount,
    Record,
    amount_field,
    count_field,
    date_field,
    number_field,
    text_field,
)
from palewright.season.demand_distribution import Buyers, bell, triangle

_MOST_BUYERS = 400
"""Of one box at one market: a shop of one builds no more."""
_LONGEST = datetime.timedelta(days=731)
"""A season of more than two years is a mistake in a date."""


class Season(Record):
    """When you work, and what is scarce."""

    title: str = text_field("My season", "what it is called")
    start: datetime.date = date_field("first day at the bench; weeks are counted from it")
    hours: float = number_field(12, 0.5, 112, "hours at the bench in a week")
    boards: int = count_field(0, 0, 100_000, "most boards you can buy or store; 0: no limit")
    ready_days: int = count_field(7, 0, 90, "all is finished so many days before a market opens")


class WeekOff(Record):
    """A week without work."""

    day: datetime.date = date_field("any day of that week")


class Market(Record):
    """Where and when you sell."""

    title: str = text_field("", "what it is called")
    opens: datetime.date = date_field("its first day")
    days: int = count_field(1, 1, 60, "how many days: each costs a stall")


class Offer(Record):
    """One variant at one market: its price, and how many buyers may come for it.

    Either ``low``, ``likely`` and ``high``, or ``mean`` and ``spread``.
    """

    variant: str = text_field("", "a shipped variant's name, or a file beside the season's")
    market: str = text_field("", "a market of this file by name")
    price: Amount = amount_field(None, "a piece")
    left_over: Amount = amount_field("0", "what one that is not sold is still worth to you")
    made_before: int = count_field(0, 0, 100_000, "of this kind: you know it already")
    low: float | None = number_field(None, 0, _MOST_BUYERS, "no fewer buyers", optional=True)
    likely: float | None = number_field(None, 0, _MOST_BUYERS, "most likely", optional=True)
    high: float | None = number_field(None, 0, _MOST_BUYERS, "no more buyers", optional=True)
    mean: float | None = number_field(None, 0, _MOST_BUYERS, "buyers on average", optional=True)
    spread: float | None = number_field(
        None, 0, _MOST_BUYERS, "standard deviation: two years of three lie so near", optional=True
    )

    @model_validator(mode="after")
    def _says_how_many_buyers(self) -> Self:
        """Refuse an offer whose buyers are not told in exactly one way."""
        three, two = (self.low, self.likely, self.high), (self.mean, self.spread)
        if (None in three or any(x is not None for x in two)) and (
            None in two or any(x is not None for x in three)
        ):
            raise InputError("takes low, likely and high, or mean and spread, and not both")
        if self.low is not None and not self.low <= (self.likely or 0) <= (self.high or 0):
            raise InputError("low, likely and high must not fall")
        return self

    @cached_property
    def buyers(self) -> Buyers:
        """How many may come."""
        if self.mean is not None and self.spread is not None:
            return bell(self.mean, self.spread)
        return triangle(self.low or 0.0, self.likely or 0.0, self.high or 0.0)


class SeasonFile(Record):
    """Everything that one season file says."""

    season: Season
    market: Mapping[str, Market] = Field(default_factory=dict, description="markets by name")
    offer: Mapping[str, Offer] = Field(default_factory=dict, description="offers by name")
    week_off: Mapping[str, WeekOff] = Field(default_factory=dict, description="weeks without work")

    @model_validator(mode="after")
    def _hangs_together(self) -> Self:
        """Refuse what names no market, lies outside the season or is worth more unsold."""
        if not self.market or not self.offer:
            missing = "market" if not self.market else "offer"
            raise InputError(f"a season needs a table [{missing}.NAME]", key=missing)
        for name, market in self.market.items():
            if not self.season.start < market.opens <= self.season.start + _LONGEST:
                raise InputError(
                    f"{market.opens} is not allowed; allowed: after the season's start, "
                    f"{self.season.start}, and within two years",
                    key=f"market.{name}.opens",
                )
        for name, offer in self.offer.items():
            if offer.market not in self.market:
                raise InputError(
                    f"no market '{offer.market}'{nearest(offer.market, self.market)}; allowed: "
                    f"{', '.join(self.market)}",
                    key=f"offer.{name}.market",
                )
            if offer.left_over > offer.price:
                raise InputError(
                    f"{offer.left_over} is not allowed; allowed: no more than the price, "
                    f"{offer.price}: nobody would sell what is worth more unsold",
                    key=f"offer.{name}.left_over",
                )
        last = max(market.opens for market in self.market.values())
        for name, off in self.week_off.items():
            if not self.season.start <= off.day <= last:
                raise InputError(
                    f"{off.day} is not allowed; allowed: {self.season.start}, when the season "
                    f"starts, to {last}, when the last market opens",
                    key=f"week_off.{name}.day",
                )
        return self

    def ready_by(self, market: str) -> datetime.date:
        """Return the day before which everything for a market is finished."""
        return self.market[market].opens - datetime.timedelta(days=self.season.ready_days)


def shipped_seasons() -> dict[str, str]:
    """Return the text of the shipped seasons by name; their figures are invented."""
    folder = resources.files("palewright.catalogue.data").joinpath("seasons")
    return {
        entry.name.removesuffix(".toml"): entry.read_text(encoding="utf-8")
        for entry in sorted(folder.iterdir(), key=lambda entry: entry.name)
        if entry.name.endswith(".toml")
    }


def find_season(name: str) -> Path:
    """Return the file of a season given by path or shipped name.

    Raises:
        InputError: if there is none, naming the nearest shipped one.
    """
    if name.endswith(".toml") or "/" in name or "\\" in name:
        return Path(name)
    shipped = shipped_seasons()
    if name not in shipped:
        raise InputError(f"no season '{name}'{nearest(name, shipped)}; see: palewright season -h")
    folder = resources.files("palewright.catalogue.data") / "seasons"
    with resources.as_file(folder / f"{name}.toml") as file:
        return file


def season_source(named: str, path: Path) -> str:
    """Return where markets and buyers come from, in words."""
    if named in shipped_seasons():
        return f"{named}, invented; start yours: palewright season --template > my-season.toml"
    return path.name


def load_season(path: Path) -> tuple[SeasonFile, dict[str, FileLine]]:
    """Return the season of a file, and where each of its keys was said.

    Raises:
        InputError: for anything that cannot be used, with file, line, key and what is allowed.
    """
    said, lines = read_table(path, "season")
    places = {key: (str(path), line) for key, line in lines.items()}
    try:
        return record_from(SeasonFile, said, places), places
    except InputError as error:
        raise error.at(file=str(path)) from None
