"""Quantities that are not lengths: read as a shop writes them, SI inside, printed at the edge.

Inside: forces in N, pressures in kPa, stresses in MPa, speeds in m/s, temperatures in °C, masses
in kg. A number without a unit is refused, as a length is.
"""

from __future__ import annotations

import re
from typing import Literal

from palewright.reading.errors import InputError
from palewright.reading.lengths import FOOT, INCH

Quantity = Literal["speed", "pressure", "force", "stress", "temperature"]

GRAVITY = 9.80665
"""Standard gravity, m/s² (3rd General Conference on Weights and Measures, 1901)."""

POUND = 0.45359237
"""The international pound, kg (exact, 1959)."""

POUND_FORCE = POUND * GRAVITY
"""The pound-force, N."""

PSI = POUND_FORCE / INCH**2
"""Pound-force a square inch, MPa."""

PSF = 1e3 * POUND_FORCE / FOOT**2
"""Pound-force a square foot, kPa."""

POUND_A_CUBIC_FOOT = POUND / (FOOT * 1e-3) ** 3
"""kg/m³."""

MILE_AN_HOUR = 0.44704
"""m/s."""

GALLON = 231 * INCH**3 * 1e-6
"""The U.S. gallon, litres (231 cubic inches, exact: NIST Handbook 44, from memory)."""

CUBIC_FOOT = FOOT**3 * 1e-6
"""Litres."""

_FEW_GALLONS = 3.0
"""Below so many gallons a shop speaks of quarts (common practice, no source)."""

_SCALES: dict[Quantity, dict[str, float]] = {
    "speed": {"mph": MILE_AN_HOUR, "km/h": 1 / 3.6, "m/s": 1.0},
    "pressure": {"psf": PSF, "kPa": 1.0},
    "force": {"lbf": POUND_FORCE, "lb": POUND_FORCE, "N": 1.0},
    "stress": {"psi": PSI, "ksi": 1e3 * PSI, "MPa": 1.0},
    "temperature": {"F": 5 / 9, "C": 1.0},
}
"""What one of each unit is inside; °F are shifted besides."""

_FREEZING_F = 32.0
"""°F at 0 °C."""

_NUMBER = r"-?(?:\d{1,9}(?:\.\d{1,9})?|\.\d{1,9})"
_LONGEST_TEXT = 40
"""Letters of a quantity: longer texts are refused."""


def quantity_pattern(quantity: Quantity) -> str:
    """Return the regular expression of what ``read_quantity`` reads."""
    units = "|".join(re.escape(unit) for unit in _SCALES[quantity])
    return rf"^\s*{_NUMBER}\s*°?({units})\s*$"


def read_quantity(text: object, quantity: Quantity) -> float:
    """Return the quantity that ``text`` writes, such as ``90 mph`` or ``21 C``.

    Returns:
        m/s, kPa, N, MPa or °C.

    Raises:
        InputError: if it is no text, or has no unit of the quantity.
    """
    units = list(_SCALES[quantity])
    ways = f"write it with its unit: {', '.join(units)}"
    if not isinstance(text, str):
        raise InputError(f"{str(text)[:20]} has no unit; {ways}")
    plain = " ".join(text.split())
    match = re.fullmatch(quantity_pattern(quantity), plain, re.ASCII)
    if not match or len(plain) > _LONGEST_TEXT:
        raise InputError(f"'{text[:_LONGEST_TEXT]}' is no {quantity}; {ways}")
    number = float(plain.removesuffix(match[1]).strip(" °"))
    if match[1] == "F":
        number -= _FREEZING_F
    return number * _SCALES[quantity][match[1]]


def fahrenheit(celsius: float) -> float:
    """Return a temperature in °F."""
    return celsius * 9 / 5 + _FREEZING_F


INSIDE: dict[Quantity, str] = {
    "speed": "m/s", "pressure": "kPa", "force": "N", "stress": "MPa", "temperature": "degC"
}  # fmt: skip
"""The unit in which each quantity is kept."""


def print_quantity(value: float, quantity: Quantity) -> str:
    """Return a quantity in the yard's units and in SI, such as ``40 psf (1.92 kPa)``."""
    if quantity == "temperature":
        return f"{fahrenheit(value):.0f} °F ({value:.0f} °C)"
    if quantity == "force":
        digits = 0 if abs(value) >= 45 else 1
        return f"{value / POUND_FORCE:.{digits}f} lbf ({value:.{digits}f} N)"
    if quantity == "stress":
        return f"{value / PSI:.0f} psi ({value:.2f} MPa)"
    if quantity == "pressure":
        return f"{value / PSF:.0f} psf ({value:.2f} kPa)"
    return f"{value / MILE_AN_HOUR:.0f} mph ({value * 3.6:.0f} km/h)"


def print_mass(kilograms: float, system: str = "") -> str:
    """Return a mass as a shop reads it, such as ``110 lb (50 kg)``.

    Args:
        kilograms: kg.
        system: ``inch`` for pounds alone, ``metric`` for kilograms alone; both by default.
    """
    digits = 0 if kilograms >= 10 else 1
    pounds, metric = f"{kilograms / POUND:.{digits}f} lb", f"{kilograms:.{digits}f} kg"
    return {"inch": pounds, "metric": metric}.get(system, f"{pounds} ({metric})")


_IN_INCH_SHOPS = {
    "ml": (GALLON * 1e3 / 128, "fl oz"),
    "l": (GALLON, "gal"),
    "m²": (FOOT**2 * 1e-6, "sq ft"),
}
"""What supplies are sold by where lumber is in inches, and how much of the metric unit one is."""


def print_supply(amount: float, unit: str, system: str) -> str:
    """Return an amount of a supply as it is sold there: ``470 ml``, or ``15.9 fl oz``.

    Args:
        amount: how much, in the unit.
        unit: ``ml``, ``l``, ``m²``; anything else is only counted.
        system: ``inch`` or ``metric``.
    """
    if system == "inch" and unit in _IN_INCH_SHOPS:
        size, unit = _IN_INCH_SHOPS[unit]
        amount /= size
        if unit == "gal" and amount < 1 - 1e-9:
            amount, unit = 4 * amount, "qt"
    return f"{round(amount) if amount >= 100 else float(f'{amount:.3g}'):g} {unit}"


def print_volume(litres: float, system: str) -> str:
    """Return a volume in the units of a system: ``14 gallons (1.9 cubic feet)`` or ``54 litres``.

    Args:
        litres: litres.
        system: ``inch`` or ``metric``.
    """
    if system == "metric":
        return f"{litres:.{0 if litres >= 10 else 1}f} litres"
    gallons = litres / GALLON
    few = f"{4 * gallons:.0f} quarts" if gallons < _FEW_GALLONS else f"{gallons:.0f} gallons"
    return f"{few} ({litres / CUBIC_FOOT:.1f} cubic feet)"
