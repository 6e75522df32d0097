"""Remedies: which key to change, and by how much, as text and as data."""

from __future__ import annotations

from palewright.findings import Change
from palewright.units import INCH, both_units, print_length

Remedy = tuple[str, Change | None]


def shop_step(system: str) -> float:
    """Return the finest step (mm) that a shop sets: 1/32 in or 1 mm."""
    return INCH / 32 if system == "inch" else 1.0


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


def raised(key: str, now: float, by: float, system: str) -> Remedy:
    """Return the remedy that raises one length by at least so much (mm)."""
    value = up_to_shop(now + by, system)
    text = print_length(value, system)
    return f"raise {key} by {both_units(value - now)}, to {text}", Change(key, text)


def lowered(key: str, now: float, by: float, system: str) -> Remedy:
    """Return the remedy that lowers one length by at least so much (mm)."""
    value = down_to_shop(now - by, system)
    text = print_length(value, system)
    return f"lower {key} by {both_units(now - value)}, to {text}", Change(key, text)


def words(text: str) -> Remedy:
    """Return a remedy that no single key answers."""
    return text, None
