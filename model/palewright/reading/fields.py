"""Field types of the parameter records: read from text, ranged, and described for people.

A field made here carries its default, unit, range and meaning in its metadata. The template
file, the JSON Schema, the reference table and the page's controls are made from that metadata.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Sequence
from decimal import Decimal, InvalidOperation
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from palewright.reading.errors import InputError
from palewright.reading.lengths import read_length
from palewright.reading.quantities import Quantity, read_quantity

AUTO = "auto"
LONGEST_LINE = 200
"""Letters of a text in a file: a judgement."""

ONE_LINE = r"^[^\x00-\x1f\x7f]*$"
"""Text of one line: no control characters."""


def _length_or_auto(value: object) -> float | None:
    """Read a length, or ``auto`` as None: the tool works the value out."""
    return None if value is None or value == AUTO else read_length(value)


Length = Annotated[float, BeforeValidator(read_length)]
"""A length in mm, written in a file as text with its unit."""

AutoLength = Annotated[float | None, BeforeValidator(_length_or_auto)]
"""A length in mm, or None when the file says ``auto``."""


def read_amount(value: object) -> Decimal:
    """Read an amount written as text or a whole number; a float would lose cents in silence.

    Raises:
        InputError: if it is no amount, or out of range.
    """
    if isinstance(value, Decimal):
        return value
    if isinstance(value, bool) or not isinstance(value, str | int):
        raise InputError("write a price in quotes, such as '3.40'")
    try:
        amount = Decimal(value if str(value).isascii() else "")  # it takes digits of any script
    except InvalidOperation:
        raise InputError(f"'{value}' is not a price; write it like '3.40'") from None
    if not amount.is_finite() or not 0 <= amount <= LARGEST_AMOUNT:
        raise InputError(f"a price lies between 0 and {LARGEST_AMOUNT}")
    return amount


LARGEST_AMOUNT = 100_000
"""Dearer than anything a shop buys: a slip of the finger is told."""

Amount = Annotated[Decimal, BeforeValidator(read_amount)]
"""An amount of money in the shop's currency, written in a file as text, such as "3.40"."""


def _quantity_reader(quantity: Quantity) -> Callable[[object], float | None]:
    """Return what reads one quantity from text; None stays None: it was not said."""
    return lambda value: None if value is None else read_quantity(value, quantity)


Speed = Annotated[float, BeforeValidator(_quantity_reader("speed"))]
"""A speed in m/s, written as text with its unit."""

Pressure = Annotated[float, BeforeValidator(_quantity_reader("pressure"))]
"""A pressure in kPa, written as text with its unit."""

Force = Annotated[float, BeforeValidator(_quantity_reader("force"))]
"""A force in N, written as text with its unit."""

Temperature = Annotated[float, BeforeValidator(_quantity_reader("temperature"))]
"""A temperature in °C, written as text with its unit."""

Stress = Annotated[float | None, BeforeValidator(_quantity_reader("stress"))]
"""A stress in MPa, written as text with its unit; None where nobody said it."""


class Record(BaseModel):
    """A frozen record that forbids unknown keys and never coerces a type in silence."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


def length_field(default: str | None, low: str, high: str, meaning: str) -> Any:
    """Return a length field.

    Args:
        default: the default as a shop writes it, ``auto``, or None when the file must say it.
        low: least allowed value, as text with its unit.
        high: greatest allowed value, as text with its unit.
        meaning: one sentence for the template and the reference table.
    """
    if default is None:
        value: Any = PydanticUndefined
    else:
        value = None if default == AUTO else read_length(default)
    shown: dict[str, Any] = {"kind": "length", "shown": default, "low": low, "high": high}
    return Field(
        default=value,
        ge=read_length(low),
        le=read_length(high),
        description=meaning,
        json_schema_extra=shown,
    )


def quantity_field(
    default: str | None, low: str, high: str, quantity: Quantity, meaning: str
) -> Any:
    """Return a field of a quantity that is no length.

    Args:
        default: as a shop writes it, such as ``40 psf``; None: it may be left out.
        low: least allowed value, as text with its unit.
        high: greatest allowed value, as text with its unit.
        quantity: which quantity it is.
        meaning: one sentence for the template and the reference table.
    """
    shown: dict[str, Any] = {
        "kind": "quantity", "shown": default, "low": low, "high": high, "quantity": quantity
    }  # fmt: skip
    return Field(
        default=None if default is None else read_quantity(default, quantity),
        ge=read_quantity(low, quantity),
        le=read_quantity(high, quantity),
        description=meaning,
        json_schema_extra=shown,
    )


def optional_number_field(low: float, high: float, meaning: str) -> Any:
    """Return a field that holds a plain number, or None where the file says none."""
    extra: dict[str, Any] = {"kind": "number", "shown": None, "low": low, "high": high}
    return Field(default=None, ge=low, le=high, description=meaning, json_schema_extra=extra)


def choice_field(default: str, meaning: str, among: Sequence[str] = ()) -> Any:
    """Return a field that takes one of some words; ``among`` empty: any name of a kind."""
    extra: dict[str, Any] = {"kind": "choice", "shown": default, "among": list(among)}
    return Field(default=default, description=meaning, json_schema_extra=extra)


def text_field(default: str, meaning: str) -> Any:
    """Return a field of free text of one line."""
    extra: dict[str, Any] = {"kind": "text", "shown": default}
    return Field(
        default=default,
        description=meaning,
        max_length=LONGEST_LINE,
        pattern=ONE_LINE,
        json_schema_extra=extra,
    )


def count_field(default: int, low: int, high: int, meaning: str) -> Any:
    """Return a field that counts something."""
    extra: dict[str, Any] = {"kind": "count", "shown": default, "low": low, "high": high}
    return Field(default=default, ge=low, le=high, description=meaning, json_schema_extra=extra)


def yes_no_field(default: bool, meaning: str) -> Any:
    """Return a field that is true or false."""
    extra: dict[str, Any] = {"kind": "yes or no", "shown": default}
    return Field(default=default, description=meaning, json_schema_extra=extra)


def number_field(
    default: float | None, low: float, high: float, meaning: str, optional: bool = False
) -> Any:
    """Return a field that holds a number whose unit ``meaning`` names.

    Without a default the file must say it, unless it is optional.
    """
    extra: dict[str, Any] = {"kind": "number", "shown": default, "low": low, "high": high}
    value = PydanticUndefined if default is None and not optional else default
    return Field(default=value, ge=low, le=high, description=meaning, json_schema_extra=extra)


def amount_field(default: str | None, meaning: str) -> Any:
    """Return a field that holds an amount of money, 0 or more; None: the file must say it."""
    most = str(LARGEST_AMOUNT)
    extra: dict[str, Any] = {"kind": "amount", "shown": default, "low": "0", "high": most}
    value = PydanticUndefined if default is None else Decimal(default)
    return Field(default=value, description=meaning, json_schema_extra=extra)


def date_field(meaning: str, default: datetime.date | None = None) -> Any:
    """Return a field that holds a day; without a default the file must say it."""
    shown = default.isoformat() if default else None
    extra: dict[str, Any] = {"kind": "date", "shown": shown}
    value = PydanticUndefined if default is None else default
    return Field(default=value, description=meaning, json_schema_extra=extra)


def extra_of(info: FieldInfo) -> dict[str, Any]:
    """Return the metadata that the functions above put into a field."""
    extra = info.json_schema_extra
    if not isinstance(extra, dict):
        raise InputError("this field was not made by palewright.reading.fields")
    return dict(extra)
