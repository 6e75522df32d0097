"""Quantities that are not lengths: read as a shop writes them, SI inside, printed at the edge.

Inside: forces in N, pressures in kPa, stresses in MPa, speeds in m/s, temperatures in °C, masses
in kg. A number without a unit is refused, as a length is.
"""

from __future__ import annotations

import re
from typing import Literal

from palewright.errors import InputError
from palewright.units import FOOT, INCH

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

_SCALES: dict[Quantity, dict[str, float]] = {
    "speed": {"mph": MILE_AN_HOUR, "km/h": 1 / 3.6, "m/s": 1.0},
    "pressure": {"psf": PSF, "kPa": 1.0},
    "force": {"lbf": POUND_FORCE, "lb": POUND_FORCE, "N": 1.0},
    "stress": {"psi": PSI, "ksi": 1e3 * PSI, "MPa": 1.0},
    "temperature": {"F": 5 / 9, "C": 1.0},
}
_FREEZING_F = 32.0
_NUMBER = r"-?(?:\d{1,9}(?:\.\d{1,9})?|\.\d{1,9})"
_LONGEST_TEXT = 40


def amount_pattern(quantity: Quantity) -> str:
    """Return the regular expression of what ``read_amount`` reads."""
    units = "|".join(re.escape(unit) for unit in _SCALES[quantity])
    return rf"^\s*{_NUMBER}\s*°?({units})\s*$"


def read_amount(text: object, quantity: Quantity) -> float:
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
    match = re.fullmatch(amount_pattern(quantity), text) if len(text) <= _LONGEST_TEXT else None
    if not match:
        raise InputError(f"'{text[:_LONGEST_TEXT]}' is no {quantity}; {ways}")
    number = float(text.strip().removesuffix(match[1]).strip(" °"))
    if match[1] == "F":
        number -= _FREEZING_F
    return number * _SCALES[quantity][match[1]]


def fahrenheit(celsius: float) -> float:
    """Return a temperature in °F."""
    return celsius * 9 / 5 + _FREEZING_F


def print_temperature(celsius: float) -> str:
    """Return a temperature in °F and °C."""
    return f"{fahrenheit(celsius):.0f} °F ({celsius:.0f} °C)"


def print_mass(kilograms: float) -> str:
    """Return a mass as a shop reads it, such as ``110 lb (50 kg)``."""
    digits = 0 if kilograms >= 10 else 1
    return f"{kilograms / POUND:.{digits}f} lb ({kilograms:.{digits}f} kg)"


def print_force(newtons: float) -> str:
    """Return a force, such as ``25 lbf (111 N)``."""
    digits = 0 if abs(newtons) >= 45 else 1
    return f"{newtons / POUND_FORCE:.{digits}f} lbf ({newtons:.{digits}f} N)"


def print_stress(megapascals: float) -> str:
    """Return a stress, such as ``350 psi (2.41 MPa)``."""
    return f"{megapascals / PSI:.0f} psi ({megapascals:.2f} MPa)"


def print_pressure(kilopascals: float) -> str:
    """Return a pressure, such as ``40 psf (1.92 kPa)``."""
    return f"{kilopascals / PSF:.0f} psf ({kilopascals:.2f} kPa)"


def print_speed(metres_a_second: float) -> str:
    """Return a speed, such as ``40 mph (17.9 m/s)``."""
    return f"{metres_a_second / MILE_AN_HOUR:.0f} mph ({metres_a_second:.1f} m/s)"
