"""What a shop pays, how long its hands take and how it sells: one file, ``shop.toml``.

Every figure shipped here is invented; a maker writes their own into a file of the same form.
Amounts are in the shop's currency, read as decimals. Minutes are those of one person.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from decimal import Decimal
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, field_validator

from palewright.catalogue.screws import read_screw
from palewright.costing.currency import Currency, exactly
from palewright.costing.learning_curves import LearningCurve, LearningModel
from palewright.costing.package_sizes import Pack
from palewright.costing.selling_price import Fees
from palewright.parameters.toml_reader import FileLine, read_table, record_from
from palewright.reading.errors import InputError
from palewright.reading.fields import (
    Amount,
    Length,
    Record,
    amount_field,
    choice_field,
    count_field,
    length_field,
    number_field,
    text_field,
)

SHOP_FILE = "shop.toml"
FinishFaces = Literal["outside", "all", "none"]


class Money(Record):
    """How amounts are counted."""

    currency: str = text_field("USD", "what amounts are in: printed beside them, never converted")
    places: int = count_field(2, 0, 4, "digits behind the point of the smallest coin")


class Rates(Record):
    """What an hour costs."""

    wage: Amount = amount_field("22.00", "your own hour at the bench")
    overhead: Amount = amount_field("240.00", "a month's rent, power, insurance, tools")
    hours: float = number_field(60, 1, 744, "hours a month at the bench: they carry the overhead")


class Minutes(Record):
    """Minutes that hands need, once you know the box (see learning.timed_at)."""

    batch: float = number_field(25, 0, 600, "a batch: clear the bench, fetch the jigs, sweep up")
    saw_setting: float = number_field(2.5, 0, 120, "each setting of fence, stop or blade")
    bit_change: float = number_field(1, 0, 60, "each drill and driver bit that a batch changes to")
    board: float = number_field(0.8, 0, 60, "fetch, look over and mark a board")
    crosscut: float = number_field(0.25, 0, 60, "a crosscut")
    rip: float = number_field(0.5, 0, 60, "a rip along a board or block")
    hole: float = number_field(0.12, 0, 60, "drill a hole")
    screw: float = number_field(0.15, 0, 60, "drive a screw")
    glue_joint: float = number_field(0.8, 0, 60, "glue and clamp a joint")
    piece: float = number_field(0.35, 0, 60, "lay a board in its place")
    liner: float = number_field(7, 0, 120, "cut, fold and staple a liner")
    sanding: float = number_field(9, 0, 240, "sand a square metre")
    coat: float = number_field(6, 0, 240, "a coat on a square metre")
    coat_setup: float = number_field(12, 0, 240, "each coat of a batch: stir, lay out, clean up")
    packing: float = number_field(6, 0, 240, "wrap and label a piece")


class Learning(Record):
    """How work gets quicker: the curve's model and rate; set-ups are not learned."""

    model: LearningModel = choice_field(
        "unit",
        "which time falls: each box's (Crawford), or the average of all so far (Wright)",
        ("unit", "cumulative-average"),
    )
    rate: float = number_field(93, 60, 100, "percent of the time left when the count doubles")
    timed_at: int = count_field(
        10, 1, 1000, "the minutes above are those of this very box, in either model"
    )
    levels_off_at: int = count_field(40, 1, 100_000, "after so many boxes nothing gets quicker")
    made_before: int = count_field(0, 0, 100_000, "boxes of this kind made before the batch")


class Glue(Record):
    """Glue, charged by what is used."""

    joint: float = number_field(4, 0, 100, "ml a glued joint")
    pack: float = number_field(470, 1, 20_000, "ml in a bottle")
    price: Amount = amount_field("8.40", "a bottle")


class Finish(Record):
    """Oil, stain or paint, charged by what is used."""

    faces: FinishFaces = choice_field(
        "outside",
        "outside: walls, cap and trellis as seen; all: every board before assembly; or none",
        ("outside", "all", "none"),
    )
    coats: int = count_field(2, 0, 9, "how many")
    spread: float = number_field(9, 0.5, 50, "square metres a litre covers once")
    lost: float = number_field(25, 0, 200, "percent on top: edges, end grain, brush")
    pack: float = number_field(3.8, 0.05, 200, "litres in a can")
    price: Amount = amount_field("46.00", "a can")


class LinerSheet(Record):
    """Sheet for liners, charged by what is used."""

    pack: float = number_field(28, 0.1, 10_000, "square metres on a roll")
    lost: float = number_field(20, 0, 200, "percent on top: corners and ends of the roll")
    price: Amount = amount_field("31.00", "a roll")


class Wear(Record):
    """Blades, bits and paper, charged by what is used."""

    blade: Amount = amount_field("52.00", "a saw blade, or to have one sharpened twice")
    blade_cuts: int = count_field(7000, 1, 10_000_000, "cuts it makes")
    drill: Amount = amount_field("4.60", "a drill")
    drill_holes: int = count_field(1200, 1, 10_000_000, "holes it makes")
    driver: Amount = amount_field("1.40", "a driver bit")
    driver_screws: int = count_field(900, 1, 10_000_000, "screws it drives")
    paper: Amount = amount_field("0.95", "a sheet or disc of sandpaper")
    paper_area: float = number_field(1.5, 0.01, 1000, "square metres it sands")


class OtherScrews(Record):
    """What a screw costs that no screw_box below holds."""

    count: int = count_field(100, 1, 10_000, "screws in a box")
    price: Amount = amount_field("9.80", "a box")


class Selling(Record):
    """What selling costs, and what is to be left. Sales tax is yours to add."""

    margin: float = number_field(20, 0, 95, "percent of the price that is left after all costs")
    step: Amount = amount_field("1.00", "prices are rounded up to a multiple of this")
    fee: float = number_field(3, 0, 60, "percent of the price: card or platform")
    fee_fixed: Amount = amount_field("0.15", "and so much a sale")
    stall: Amount = amount_field("75.00", "a market day's stall")
    packing: Amount = amount_field("1.80", "wrap, tag and leaflet for a piece")


class Parcel(Record):
    """A piece sent by parcel, put together; not in its price. Ask your carrier for its figures."""

    padding: Length = length_field("1-1/2 in", "0 in", "12 in", "on each side")
    wrapping: float = number_field(1.4, 0, 100, "kg of carton and padding")
    wetter: float = number_field(8, 0, 100, "percent: boards from the yard weigh more than dry")
    divisor: float = number_field(5000, 1000, 10_000, "cm³ that count as a kilogram")
    step: float = number_field(0.5, 0.01, 50, "kg: billed mass is rounded up to a multiple")
    first: Amount = amount_field("9.50", "a parcel")
    each: Amount = amount_field("1.35", "a billed kilogram")
    most_mass: float = number_field(68, 1, 2000, "kg: the carrier takes no more")
    most_girth: Length = length_field("165 in", "12 in", "40 ft", "length and girth: no more")


def _screw_name(value: object) -> str:
    """Return a screw's label, however it was written."""
    if not isinstance(value, str):
        raise InputError("write a screw in quotes, such as '#8 x 1 in'")
    return read_screw(value).label


class ScrewBox(Record):
    """A box of screws as sold."""

    screw: Annotated[str, BeforeValidator(_screw_name)] = text_field("", "such as '#8 x 1 in'")
    count: int = count_field(100, 1, 10_000, "screws in it")
    price: Amount = amount_field(None, "the box")


class BoardPrice(Record):
    """What one board of a stock costs here, instead of its own price."""

    price: Amount = amount_field(None, "a board")


class Shop(Record):
    """Everything a shop file says, with the shipped figures for what it leaves out."""

    money: Money = Money()
    rates: Rates = Rates()
    minutes: Minutes = Minutes()
    learning: Learning = Learning()
    glue: Glue = Glue()
    finish: Finish = Finish()
    liner: LinerSheet = LinerSheet()
    wear: Wear = Wear()
    other_screws: OtherScrews = OtherScrews()
    selling: Selling = Selling()
    parcel: Parcel = Parcel()
    screw_box: Mapping[str, ScrewBox] = Field(default_factory=dict, description="screws as sold")
    board_price: Mapping[str, BoardPrice] = Field(default_factory=dict, description="by stock")

    @field_validator("selling")
    @classmethod
    def _there_is_a_price(cls, selling: Selling) -> Selling:
        """Refuse a step of nothing, and a margin and fees that leave nothing for the cost."""
        if selling.margin + selling.fee >= 100:
            raise InputError(
                f"a margin of {selling.margin:g} % and fees of {selling.fee:g} % leave nothing "
                "for the cost; allowed: together below 100 %",
                key="selling.margin",
            )
        if not selling.step:
            raise InputError(
                "0 is not allowed; allowed: the smallest coin or more", key="selling.step"
            )
        return selling

    @property
    def coins(self) -> Currency:
        """The currency."""
        return Currency(self.money.currency, self.money.places)

    @property
    def overhead_an_hour(self) -> Decimal:
        """The overhead that an hour at the bench carries, exact."""
        return self.rates.overhead / exactly(self.rates.hours)

    @property
    def curve(self) -> LearningCurve:
        """The learning curve."""
        told = self.learning
        return LearningCurve(told.model, told.rate / 100, told.timed_at, told.levels_off_at)

    @property
    def fees(self) -> Fees:
        """What one sale costs."""
        return Fees(exactly(self.selling.fee) / 100, self.selling.fee_fixed)

    def packs_of(self, screw: str) -> tuple[Pack, ...]:
        """Return the boxes in which a screw is sold; none where the file lists no such screw."""
        return tuple(
            Pack(name, box.count, box.price)
            for name, box in sorted(self.screw_box.items())
            if box.screw == screw
        )


@cache
def shipped_text() -> str:
    """Return the shipped shop file, figures invented, every key with its meaning and range."""
    folder = resources.files("palewright.catalogue.data")
    return folder.joinpath(SHOP_FILE).read_text(encoding="utf-8")


def find_shop(named: str, beside: Path | None) -> Path | None:
    """Return the shop file to use; None for the shipped figures.

    Args:
        named: a path that was typed, or nothing.
        beside: folder of the variant file; then the present folder is looked into.

    Raises:
        InputError: if a named file is not there.
    """
    if named:
        if not Path(named).is_file():
            raise InputError(
                "no such shop file; start one: palewright shop > shop.toml", file=named
            )
        return Path(named)
    folders = [beside] if beside is not None else []
    for folder in [*folders, Path()]:
        if (folder / SHOP_FILE).is_file():
            return folder / SHOP_FILE
    return None


SHIPPED = "invented ones that ship with palewright; put yours in: palewright shop > shop.toml"
"""Where the shipped figures come from, in words."""


def find_figures(named: str, beside: Path | None) -> tuple[Shop, str]:
    """Return the shop's figures, and the name of their file or that they are invented.

    Args:
        named: a path that was typed, or nothing.
        beside: folder of the variant file; then the present folder is looked into.

    Raises:
        InputError: if a named file is not there, or cannot be used.
    """
    path = find_shop(named, beside)
    return load_shop(path), path.name if path else SHIPPED


ShopFigures = Callable[[], tuple[Shop, str]]
"""Gives what the shop pays and how long it takes, and where that comes from in words."""


def shipped_figures() -> tuple[Shop, str]:
    """Return the shop's figures that ship, and in words that they are invented."""
    return load_shop(None), SHIPPED


def load_shop(path: Path | None) -> Shop:
    """Return the shop of a file; what it leaves out is as shipped. None: as shipped altogether.

    The maker's own ``screw_box`` tables, if any, stand instead of all shipped ones.

    Raises:
        InputError: for anything that cannot be used, with file, line, key and what is allowed.
    """
    shipped: dict[str, Any] = tomllib.loads(shipped_text())
    if path is None:
        return record_from(Shop, shipped, {})
    said, lines = read_table(path, "shop")
    places: dict[str, FileLine] = {key: (str(path), line) for key, line in lines.items()}
    return record_from(Shop, {"screw_box": shipped["screw_box"], **said}, places)
