"""A piece as a parcel: packed size, mass, dimensional weight, what a carrier asks."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal

from palewright.costing.box_takeoff import BoxWork
from palewright.costing.currency import exactly
from palewright.costing.shop_file import Parcel, Shop


@dataclass(frozen=True, slots=True)
class Shipment:
    """One piece, packed.

    Attributes:
        sides: length, width, height of the carton, mm, the longest first, up to whole cm.
        mass: kg, packed.
        dimensional: kg that its volume counts for.
        billed: kg that the carrier charges: the greater of both, rounded up to a step.
        girth: length and girth, mm: the longest side and once round the others.
        cost: what it costs to send; None where the carrier does not take it.
        refusal: why not, in words; empty where it goes.
    """

    sides: tuple[float, float, float]
    mass: float
    dimensional: float
    billed: float
    girth: float
    cost: Decimal | None
    refusal: str = ""


def dimensional_mass(sides: tuple[float, float, float], divisor: float) -> float:
    """Return the kilograms that a carton's volume counts for.

    Length x width x height over a divisor that the carrier names: common practice, no source.

    Args:
        sides: mm.
        divisor: cm³ that count as a kilogram.
    """
    return math.prod(sides) / 1000 / divisor


def shipment_of(work: BoxWork, shop: Shop) -> Shipment:
    """Return one piece as a parcel."""
    rates = shop.parcel
    packed = sorted((side + 2 * rates.padding for side in work.outside), reverse=True)
    # a carton is never smaller than the next whole centimetre; rounding dust is no centimetre
    longest, middle, least = (math.ceil(side / 10 - 1e-9) * 10.0 for side in packed)
    sides = (longest, middle, least)
    mass = work.mass_kg * (1 + rates.wetter / 100) + work.screws_kg + rates.wrapping
    dimensional = dimensional_mass(sides, rates.divisor)
    billed = math.ceil(max(mass, dimensional) / rates.step - 1e-9) * rates.step
    girth = longest + 2 * (middle + least)
    refusal = _refusal(rates, mass, girth)
    cost = shop.coins.rounded(rates.first + rates.each * exactly(billed))
    return Shipment(sides, mass, dimensional, billed, girth, None if refusal else cost, refusal)


def _refusal(rates: Parcel, mass: float, girth: float) -> str:
    """Return why a carrier does not take it; empty where it does."""
    if mass > rates.most_mass:
        return "too heavy for a parcel"
    return "too large for a parcel" if girth > rates.most_girth else ""
