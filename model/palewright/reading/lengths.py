"""Lengths as a shop writes them, and millimetres inside.

Every length inside the project is a float in millimetres. Text is read and printed only here;
a number without a unit is refused, because guessing the unit ruins lumber.
"""

from __future__ import annotations

import re
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from functools import lru_cache

from palewright.reading.errors import InputError

INCH = 25.4
"""mm, exact (international inch, 1959)."""

FOOT = 12 * INCH
"""mm, exact."""

_UNIT_MM = {
    "in": INCH,
    "inch": INCH,
    "inches": INCH,
    '"': INCH,
    "ft": FOOT,
    "foot": FOOT,
    "feet": FOOT,
    "'": FOOT,
    "mm": 1.0,
    "cm": 10.0,
    "m": 1000.0,
}
"""mm of each unit, as a shop writes it."""

_VULGAR = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_NUMBER = r"(?:\d+(?:\.\d+)?|\.\d+)"
_AMOUNT = rf"(?:\d+(?:\s*-\s*|\s+)\d+/\d+|\d+/\d+|{_NUMBER})"
_TERM = re.compile(
    rf"\s*({_AMOUNT})\s*(inches|inch|in|feet|foot|ft|mm|cm|m|\"|')(?![a-z])",
    re.IGNORECASE | re.ASCII,  # without ASCII a long s is an s, and no unit of the table
)
_LONGEST_TEXT = 60
"""Letters of a length: longer ones are refused before the pattern is tried on them."""

_LONGEST_COUNT = 9
"""Digits of a whole number."""

_NOISE_FREE = 6
"""Decimals (mm) that arithmetic with floats leaves true: it errs by some 1e-13 mm, and 1/64 in has
six decimals, so that what falls on half a step of any printed form is known again."""

HOW_TO_WRITE = (
    "write a length with its unit, such as '16 1/2 in', '16-1/2\"', '1 ft 4 in', '419 mm'"
)


def length_pattern(word: str = "") -> str:
    """Return a regular expression of lengths for editors: an amount, then a unit.

    ``read_length`` knows more. ``word`` is taken too. JSON Schema has no flag for capitals.
    """
    units = "|".join("".join(f"[{c}{c.upper()}]" for c in u) for u in _UNIT_MM if u.isalpha())
    plain = rf"[-−]?.*[0-9{''.join(_VULGAR)}].*({units}|[\"'″′])"
    return rf"^\s*({word}|{plain})\s*$" if word else rf"^{plain}\s*$"


def read_length(text: object) -> float:
    """Return the length in millimetres that ``text`` writes.

    Args:
        text: inch fractions (``16 1/2 in``, ``16-1/2"``), decimals (``16.5 in``), feet and
            inches (``1 ft 4 in``), or metric (``419 mm``, ``41.9 cm``, ``1.2 m``).

    Raises:
        InputError: if it is no text, has no unit, or is not a length.
    """
    if not isinstance(text, str):
        shown = repr(text)
        shown = shown if len(shown) <= _LONGEST_TEXT else f"{shown[:20]}…"
        raise InputError(f"{shown} has no unit; {HOW_TO_WRITE}")
    if len(text) > _LONGEST_TEXT:
        raise InputError(f"'{text[:20]}…' is too long for a length; {HOW_TO_WRITE}")
    rest = " ".join(text.split()).replace("″", '"').replace("′", "'")
    for sign, plain in _VULGAR.items():
        rest = rest.replace(sign, f" {plain}")
    negative = rest.startswith(("-", "−"))
    rest = rest[1:] if negative else rest
    total, end, units = 0.0, 0, []
    while term := _TERM.match(rest, end):
        total += _amount(term[1], text) * _UNIT_MM[term[2].lower()]
        units.append(_UNIT_MM[term[2].lower()])
        end = term.end()
    if not units or rest[end:].strip():
        raise InputError(f"'{text}' is not a length; {HOW_TO_WRITE}")
    if len(units) > 1 and units != [FOOT, INCH]:
        raise InputError(f"'{text}' mixes units; only feet and inches go together")
    return -total if negative else total


def _amount(text: str, whole_text: str) -> float:
    """Return the number that one amount writes: ``16.5``, ``3/8``, ``16 3/8``, ``16-3/8``."""
    try:
        parts = re.split(r"\s*-\s*|\s+", text.strip())
        return float(sum((Fraction(part) for part in parts), Fraction(0)))
    except ZeroDivisionError:
        raise InputError(f"'{whole_text}' divides by zero; {HOW_TO_WRITE}") from None


def read_count(text: str, most: int, least: int = 1) -> int | None:
    """Return the whole number from ``least`` to ``most`` that ``text`` writes, None if it is none.

    Only the digits 0 to 9 count: ``²`` is a digit to Python, and no number.
    """
    if not (text.isascii() and text.isdigit()) or len(text) > _LONGEST_COUNT:
        return None
    return int(text) if least <= int(text) <= most else None


def rounded(value: float, digits: int) -> Decimal:
    """Return a number as it is printed: to so many digits, halves away from zero, never ``-0``.

    Halves are halves although a float misses them by its noise: 12-1/2 in is 31.8 cm, and boards
    of one size that was worked out in two ways print one size.
    """
    exact = Decimal(repr(round(value, _NOISE_FREE)))
    shown = exact.quantize(Decimal(1).scaleb(-digits), ROUND_HALF_UP)
    return shown if shown else abs(shown)


def noiseless(value: float, digits: int) -> float:
    """Return a length (mm) to so many digits, as a key under which equal ones are found."""
    return round(round(value, _NOISE_FREE), digits) + 0.0


def shop_inches(length: float, denominator: int = 32) -> str:
    """Return ``length`` (mm) as inch fractions, such as ``16-1/2 in``.

    The value is rounded to the nearest ``1/denominator`` inch.
    """
    steps = int(rounded(abs(length) / INCH * denominator, 0))
    whole, part = divmod(steps, denominator)
    sign = "-" if length < 0 and steps else ""
    if not part:
        return f"{sign}{whole} in"
    fraction = Fraction(part, denominator)
    text = f"{fraction.numerator}/{fraction.denominator}"
    return f"{sign}{whole}-{text} in" if whole else f"{sign}{text} in"


def millimetres(length: float, digits: int = 1) -> str:
    """Return ``length`` (mm) as text, such as ``419.1 mm``; trailing zeros dropped."""
    text = str(rounded(length, digits))
    return f"{text.rstrip('0').rstrip('.') if '.' in text else text} mm"


def centimetres(length: float) -> str:
    """Return ``length`` (mm) as customers read it, such as ``31.8 cm``."""
    return f"{rounded(length / 10, 1)} cm"


def degrees(angle: float) -> str:
    """Return an angle to a tenth of a degree, such as ``27.2`` or ``45``.

    By way of the hundredth that saw settings are kept to, so that one angle prints alike wherever
    it comes from.
    """
    return str(rounded(float(rounded(angle, 2)), 1)).removesuffix(".0")


@lru_cache(maxsize=4096)
def print_length(length: float, system: str = "inch") -> str:
    """Return ``length`` (mm) as the shop reads it: ``system`` is ``inch`` or ``metric``.

    Kept, since the boards of a box share their sizes and a page prints them at every move.
    """
    return shop_inches(length) if system == "inch" else millimetres(length)


def tape_text(length: float, system: str) -> str:
    """Return ``length`` (mm) as it is read off a tape: whole 16ths of an inch, or millimetres.

    What lies a quarter of that beside a line is ``full`` or ``bare``: ``10-7/16 in full`` is a
    hair more. Two sizes that differ in 32nds never read alike.
    """
    reading = tape_reading(length, system)
    number, _, hair = reading.partition(" ")
    return f"{number} {'in' if system == 'inch' else 'mm'} {hair}".rstrip()


def tape_reading(length: float, system: str) -> str:
    """Return what ``tape_text`` does without its unit: ``10-7/16 full``."""
    step = INCH / 16 if system == "inch" else 1.0
    line = float(rounded(length / step, 0)) * step
    told = shop_inches(line, 16) if system == "inch" else millimetres(line, 0)
    # noise of a conversion is no hair; a hair itself is counted up, as halves are
    share = round((length - line) / step, _NOISE_FREE)
    hair = " full" if share >= 0.25 else " bare" if share < -0.25 else ""
    return f"{told.partition(' ')[0]}{hair}"


def both_units(length: float) -> str:
    """Return ``length`` (mm) in inches and millimetres, such as ``16-1/2 in (419.1 mm)``."""
    return f"{shop_inches(length)} ({millimetres(length)})"


_TWO_UNITS = re.compile(
    r"(-?[\d./-]+(?: x [\d./-]+)* (?:in|lbf|lb|mph|psf|psi|°F|cubic feet)) "
    r"\((-?[\d.]+(?: x [\d.]+)* (?:mm|cm|N|kg|km/h|kPa|MPa|°C|litres))\)"
)


def in_one_unit(text: str, system: str) -> str:
    """Return a text that gives its numbers in both units with those of one system alone."""
    return _TWO_UNITS.sub(r"\1" if system == "inch" else r"\2", text)


def own_unit_first(text: str, system: str) -> str:
    """Return a text that gives its numbers in both units, inches first, with a system's own first.

    A metric shop says ``64.0 cm (25-3/16 in)``.
    """
    return text if system == "inch" else _TWO_UNITS.sub(r"\2 (\1)", text)


def shop_step(system: str) -> float:
    """Return the finest step (mm) that a shop sets: 1/32 in or 1 mm."""
    return INCH / 32 if system == "inch" else 1.0


def tape_step(system: str) -> float:
    """Return from one line of a tape to the next (mm) that is easily found: 1/8 in or 1 mm."""
    return INCH / 8 if system == "inch" else 1.0


def up_to_shop(length: float, system: str) -> float:
    """Return a length (mm) rounded up to the shop's step."""
    step = shop_step(system)
    return -(-(length - 1e-6) // step) * step


def down_to_shop(length: float, system: str) -> float:
    """Return a length (mm) rounded down to the shop's step."""
    step = shop_step(system)
    return (length + 1e-6) // step * step


def to_shop(length: float, system: str) -> float:
    """Return a length (mm) rounded to the shop's step."""
    step = shop_step(system)
    return round(length / step) * step


def drill_size(diameter: float, system: str) -> str:
    """Return a drill's diameter as drills are sold: 64ths of an inch, or tenths of a mm."""
    return shop_inches(diameter, 64) if system == "inch" else millimetres(diameter)
