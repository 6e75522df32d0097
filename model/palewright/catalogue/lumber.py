"""Lumber as the yard sells it: stock, species, and how thick a board may turn out."""

from __future__ import annotations

import random
import tomllib
from collections.abc import Callable, Mapping
from functools import cache
from importlib import resources
from typing import Any, Literal, Self

from pydantic import Field, model_validator

from palewright.reading.errors import InputError
from palewright.reading.fields import (
    Amount,
    Length,
    Record,
    Stress,
    amount_field,
    length_field,
    number_field,
    quantity_field,
    text_field,
    yes_no_field,
)
from palewright.reading.lengths import both_units

LumberCase = Literal["thin", "nominal", "thick", "mixed"]
LUMBER_CASES: tuple[LumberCase, ...] = ("thin", "nominal", "thick", "mixed")


class Species(Record):
    """A wood: density, colour, and what the checks of strength and movement need of it.

    What is left out is not judged. Stresses are MPa; moisture and shrinkage percent.
    """

    meaning: str = text_field("", "what it is, in words")
    density: int = Field(ge=50, le=1500, description="kg/m³ at 12 % moisture")
    color: str = Field(pattern=r"^#[0-9a-f]{6}$", description="sRGB, such as #b4764e")
    treated: bool = yes_no_field(False, "treated with a preservative: its dust needs care")
    ground_contact: bool = yes_no_field(
        False, "its treatment or heartwood is rated for wet soil against it (AWPA UC4A or better)"
    )
    gravity: float | None = number_field(
        None,
        0.1,
        1.2,
        "specific gravity for screws: NDS Table 12.3.3A, oven-dry weight and volume",
        optional=True,
    )
    gravity_12: float | None = number_field(
        None,
        0.1,
        1.3,
        "specific gravity of the Wood Handbook: volume at 12 % moisture",
        optional=True,
    )
    bending: Stress = quantity_field(
        None, "50 psi", "5000 psi", "stress", "bending stress that an ungraded wet board may carry"
    )
    breaking: Stress = quantity_field(
        None, "500 psi", "40000 psi", "stress", "bending stress at which clear green wood breaks"
    )
    stiffness: Stress = quantity_field(
        None, "100 ksi", "4000 ksi", "stress", "modulus of elasticity, green"
    )
    shrink_tangential: float | None = number_field(
        None, 0.1, 20, "percent, green to oven-dry, tangential (along the rings)", optional=True
    )
    saturation: float = number_field(
        30.0, 15, 35, "fibre saturation, percent, that goes with the shrinkage"
    )
    strength_source: str = text_field("", "where gravity, bending, breaking, stiffness come from")
    shrinkage_source: str = text_field("", "where the shrinkage comes from")
    life: str = text_field("", "what to know of how it lasts outdoors")


class Stock(Record):
    """A board as sold: size, spread, species and price.

    Lengths in mm.
    """

    meaning: str = text_field("", "what it is, in words")
    thickness: Length = length_field(None, "1/4 in", "4 in", "what most boards measure")
    thickness_spread: Length = length_field("0 in", "0 in", "1/2 in", "either way")
    width: Length = length_field(None, "1/2 in", "16 in", "what most boards measure")
    width_spread: Length = length_field("0 in", "0 in", "1 in", "either way")
    length: Length = length_field(None, "12 in", "40 ft", "what most boards measure")
    length_spread: Length = length_field("0 in", "0 in", "3 in", "how much shorter one may be")
    clipped_end: Length = length_field("0 in", "0 in", "6 in", "length lost to clipped corners")
    species: str = text_field("treated-pine", "a species by name")
    price: Amount = amount_field(None, "for one board")

    @model_validator(mode="after")
    def _leaves_a_board(self) -> Self:
        """Refuse a spread that may leave nothing of the board."""
        for name in ("thickness", "width", "length"):
            size, spread = getattr(self, name), getattr(self, f"{name}_spread")
            if spread > size / 2:
                raise InputError(
                    f"{name}_spread of {both_units(spread)} is not allowed; allowed: at most half "
                    f"the {name}, {both_units(size / 2)}"
                )
        return self

    def __hash__(self) -> int:
        """Hash what tells most stocks apart: a box asks for it hundreds of times."""
        return hash((self.thickness, self.width, self.length, self.price))

    @property
    def thinnest(self) -> float:
        """Thickness of the thinnest board, mm."""
        return self.thickness - self.thickness_spread

    @property
    def thickest(self) -> float:
        """Thickness of the thickest board, mm."""
        return self.thickness + self.thickness_spread

    @property
    def true_width(self) -> float:
        """Width that every board of this stock can be ripped to, mm."""
        return self.width - self.width_spread

    @property
    def true_length(self) -> float:
        """Length that every board of this stock has, mm."""
        return self.length - self.length_spread


@cache
def shipped_lumber() -> Mapping[str, Any]:
    """Return the lumber tables that ship with the model, as parsed TOML."""
    source = resources.files("palewright.catalogue.data").joinpath("lumber.toml")
    return tomllib.loads(source.read_text(encoding="utf-8"))


@cache
def shipped_stock() -> Mapping[str, Stock]:
    """Return the shipped stock by name."""
    return {name: Stock(**table) for name, table in shipped_lumber()["stock"].items()}


@cache
def shipped_species() -> Mapping[str, Species]:
    """Return the shipped species by name."""
    return {name: Species(**table) for name, table in shipped_lumber()["species"].items()}


PILES = 3
"""Piles of mixed lumber that a box is tried in: whatever one joint can meet is covered by the
thinnest and the thickest boards, and by the bounds of ``ties``; piles show how joints add up."""


def piles_of(case: LumberCase) -> range:
    """Return the piles that a lumber case is tried in: several of mixed lumber, else one."""
    return range(PILES if case == "mixed" else 1)


ThicknessOf = Callable[[str, Stock], float]
"""Tells how thick (mm) the board of a given name turned out, cut from a given stock."""


def thickness_rule(case: LumberCase, seed: int = 1) -> ThicknessOf:
    """Return the rule that gives each board its thickness in one lumber case.

    Args:
        case: all boards ``thin``, ``nominal`` or ``thick``, or each its own (``mixed``).
        seed: what the mixed case draws from; a board's draw depends on its name alone, so
            that adding a board changes no other.
    """
    if case == "thin":
        return lambda _name, stock: stock.thinnest
    if case == "thick":
        return lambda _name, stock: stock.thickest
    if case == "nominal":
        return lambda _name, stock: stock.thickness

    def drawn(name: str, stock: Stock) -> float:
        """Draw one board of the pile."""
        return random.Random(f"{seed}:{name}").uniform(stock.thinnest, stock.thickest)

    return drawn
