"""Remedies: which key to change, and by how much, as text and as data."""

from __future__ import annotations

from palewright.findings import Change
from palewright.units import both_units, down_to_shop, print_length, up_to_shop

Remedy = tuple[str, Change | None]


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
