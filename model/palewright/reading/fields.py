"""Field types of the parameter records: read from text, ranged, and described for people.

A field made here carries its default, unit, range and meaning in its metadata. The template
file, the JSON Schema, the reference table and the page's controls are made from that metadata.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from palewright.reading.errors import InputError
from palewright.reading.lengths import length_pattern, read_length
from palewright.reading.quantities import Quantity, quantity_pattern, read_quantity

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

_AMOUNT = r"^\s*[0-9][0-9_]*(\.[0-9]+)?\s*$"
"""What an editor can tell of an amount in quotes."""

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


SettingKind = Literal[
    "length", "choice", "text", "count", "number", "amount", "quantity", "date", "yes or no"
]
"""What a setting holds; an amount is money, a quantity any other number with its unit."""


@dataclass(frozen=True, slots=True)
class Setting:
    """One field as a person sees it: how it is written and what it means.

    ``default``, ``low`` and ``high`` are as a person writes them; ``key`` is the dotted key.
    """

    kind: SettingKind
    meaning: str
    default: str | float | bool | None
    low: str | float | None = None
    high: str | float | None = None
    among: tuple[str, ...] = ()
    quantity: Quantity | None = None
    key: str = ""

    @property
    def may_be_auto(self) -> bool:
        """Whether ``auto`` is allowed."""
        return self.kind == "length" and self.default == AUTO

    @property
    def allowed(self) -> str:
        """Return in words what is allowed."""
        if self.kind == "length":
            return f"{self.low} to {self.high}" + (", or auto" if self.may_be_auto else "")
        if self.kind == "quantity":
            return f"{self.low} to {self.high}"
        if self.kind == "count":
            return f"a whole number, {self.low} to {self.high}"
        if self.kind == "yes or no":
            return "true or false"
        if self.kind in ("number", "amount"):
            quoted = ", in quotes" if self.kind == "amount" else ""
            return f"{self.low} to {self.high}{quoted}"
        if self.kind == "date":
            return "a date such as 2027-04-24, without quotes"
        if self.kind == "text":
            return f"one line of at most {LONGEST_LINE} letters, in quotes"
        return ", ".join(self.among) if self.among else "text in quotes"

    def __call__(self, schema: dict[str, Any]) -> None:
        """Make of pydantic's JSON Schema of the value that of what stands in a file."""
        written: dict[str, Any] = {}
        if self.kind == "length":
            written["pattern"] = length_pattern(AUTO if self.may_be_auto else "")
        elif self.quantity:
            written["pattern"] = quantity_pattern(self.quantity)
        elif self.kind == "amount":
            written["pattern"] = _AMOUNT
        if written:
            schema.clear()
            schema.update(type=["string", "integer"] if self.kind == "amount" else "string")
            schema.update(written)
        if self.among:
            schema["enum"] = list(self.among)
        schema["description"] = f"{self.meaning}; {self.allowed}"
        if self.default is not None:
            schema["default"] = self.default


def _field(setting: Setting, default: Any, **limits: Any) -> Any:
    """Return the field of a setting; ``default`` is the value inside, undefined: must be said."""
    return Field(default=default, description=setting.meaning, json_schema_extra=setting, **limits)


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
    setting = Setting("length", meaning, default, low, high)
    return _field(setting, value, ge=read_length(low), le=read_length(high))


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
    return _field(
        Setting("quantity", meaning, default, low, high, quantity=quantity),
        None if default is None else read_quantity(default, quantity),
        ge=read_quantity(low, quantity),
        le=read_quantity(high, quantity),
    )


def choice_field(default: str, meaning: str, among: Sequence[str] = ()) -> Any:
    """Return a field that takes one of some words; ``among`` empty: any name of a kind."""
    return _field(Setting("choice", meaning, default, among=tuple(among)), default)


def text_field(default: str, meaning: str) -> Any:
    """Return a field of free text of one line."""
    setting = Setting("text", meaning, default)
    return _field(setting, default, max_length=LONGEST_LINE, pattern=ONE_LINE)


def count_field(default: int, low: int, high: int, meaning: str) -> Any:
    """Return a field that counts something.

    Args:
        default: a whole number.
        low: least allowed.
        high: greatest allowed.
        meaning: one sentence for the template and the reference table.
    """
    return _field(Setting("count", meaning, default, low, high), default, ge=low, le=high)


def yes_no_field(default: bool, meaning: str) -> Any:
    """Return a field that is true or false."""
    return _field(Setting("yes or no", meaning, default), default)


def number_field(
    default: float | None, low: float, high: float, meaning: str, optional: bool = False
) -> Any:
    """Return a field that holds a number.

    Args:
        default: None: the file must say it, unless it is optional.
        low: least allowed.
        high: greatest allowed.
        meaning: one sentence for the template and the reference table; names the unit.
        optional: the value is None where the file says none.
    """
    value = PydanticUndefined if default is None and not optional else default
    return _field(Setting("number", meaning, default, low, high), value, ge=low, le=high)


def amount_field(default: str | None, meaning: str) -> Any:
    """Return a field that holds an amount of money, 0 or more; None: the file must say it."""
    setting = Setting("amount", meaning, default, "0", str(LARGEST_AMOUNT))
    return _field(setting, PydanticUndefined if default is None else Decimal(default))


def date_field(meaning: str) -> Any:
    """Return a field that holds a day, which the file must say."""
    return _field(Setting("date", meaning, None), PydanticUndefined)


def setting_of(info: FieldInfo) -> Setting:
    """Return the setting of a field that the functions above made."""
    if not isinstance(info.json_schema_extra, Setting):
        raise InputError("this field was not made by palewright.reading.fields")
    return info.json_schema_extra
