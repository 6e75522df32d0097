"""Remedies: advice in words, and which keys to change, by how much: a guess until it is tried."""

from __future__ import annotations

from palewright.fit.findings import Change
from palewright.reading.lengths import (
    INCH,
    down_to_shop,
    millimetres,
    print_length,
    shop_inches,
    up_to_shop,
)

SOLD = {"inch": INCH / 8, "metric": 5.0}
"""Screws are sold in steps of so much (mm), by the units of the box."""

Remedy = tuple[str, tuple[Change, ...]]


def raised(key: str, now: float, by: float, system: str) -> Remedy:
    """Return the remedy that raises one length by at least so much (mm).

    Args:
        key: of the setting.
        now: what it is, mm.
        by: how much is lacking, mm: the shop's next step up is taken.
        system: ``inch`` or ``metric``.
    """
    return set_to(key, print_length(up_to_shop(now + by, system), system))


def lowered(key: str, now: float, by: float, system: str) -> Remedy:
    """Return the remedy that lowers one length by at least so much (mm).

    Args:
        key: of the setting.
        now: what it is, mm.
        by: how much is too much, mm: the shop's next step down is taken.
        system: ``inch`` or ``metric``.
    """
    return set_to(key, print_length(down_to_shop(now - by, system), system))


def set_to(key: str, value: str) -> Remedy:
    """Return the remedy that sets one key."""
    return "", (Change(key, value),)


def other_screw(key: str, number: int, length: float, system: str) -> Remedy:
    """Return the remedy that takes another screw: its gauge, and its length (mm).

    Args:
        key: of the setting.
        number: its gauge.
        length: mm.
        system: ``inch`` or ``metric``.
    """
    long = shop_inches(length, 16) if system == "inch" else millimetres(length)
    return set_to(key, f"#{number} x {long}")


def words(text: str) -> Remedy:
    """Return advice that is no setting."""
    return text, ()
