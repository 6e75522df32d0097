"""What fills a box: weights of planting mixes, and how they press on its walls."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from palewright.reading.quantities import GRAVITY, POUND_A_CUBIC_FOOT

Filling = Literal["light", "usual", "heavy", "pots"]

WATER = 1000.0
"""kg/m³ (62.4 lb/ft³)."""

FRICTION_ANGLE = 30.0
"""Degrees, of a loose mix (judgement)."""


def at_rest(friction_angle: float) -> float:
    """Return K0, the level pressure as a share of the weight above: 1 - sin φ (Jaky 1944).

    Args:
        friction_angle: degrees.
    """
    return 1.0 - math.sin(math.radians(friction_angle))


@dataclass(frozen=True, slots=True)
class Mix:
    """A planting mix by weight, kg/m³.

    Attributes:
        meaning: what it is, in words.
        dry: oven-dry.
        moist: watered and drained; what is designed for.
        saturated: every pore full of water.
        source: where the numbers come from.
        loose: whether it presses on the walls, wets them and falls through gaps; pots do not.
    """

    meaning: str
    dry: float
    moist: float
    saturated: float
    source: str
    loose: bool = True


def wet_weight(dry: float, water: float) -> float:
    """Return the weight (kg/m³) of a mix from its dry bulk density (g/cm³) and share of water."""
    return WATER * (dry + water)


_CHOSEN = "moist weight chosen from measured mixes (judgement)"
_MEASURED = "Int. J. Agronomy 2012, 978528, Table 1"

MIXES: dict[Filling, Mix] = {
    "light": Mix(
        "bark mix",
        wet_weight(0.18, 0.0),
        45 * POUND_A_CUBIC_FOOT,
        wet_weight(0.18, 0.79),
        f"{_MEASURED}, pine bark; {_CHOSEN}",
    ),
    "usual": Mix(
        "potting mix of peat, bark and chip",
        wet_weight(0.22, 0.0),
        60 * POUND_A_CUBIC_FOOT,
        wet_weight(0.22, 0.85),
        f"{_MEASURED}, chip residual; {_CHOSEN}",
    ),
    "pots": Mix(
        "pots that stand in it",
        wet_weight(0.18, 0.0),
        45 * POUND_A_CUBIC_FOOT,
        wet_weight(0.18, 0.79),
        "pots with a light mix, counted as if they filled the box (judgement)",
        loose=False,
    ),
    "heavy": Mix(
        "mix with sand, compost or garden soil",
        wet_weight(0.70, 0.0),
        85 * POUND_A_CUBIC_FOOT,
        wet_weight(0.70, 1 - 0.70 / 2.65),
        "nursery ranges .19 to .70 g/cm3, grains 2.65 g/cm3 (from memory)",
    ),
}
"""By the word that ``site.soil`` takes."""


def side_pressure(weight: float, depth: float, share: float) -> float:
    """Return the level pressure (kPa) at a depth (mm) of soil of a weight in kg/m³.

    Source: p = K γ h (statics). With ``WATER`` and a share of 1 it is what flooded soil's water
    adds up to.
    """
    return share * weight * GRAVITY * depth * 1e-6
