"""Moisture and movement of wood: what the air leads to, and how far a board moves.

Moisture contents are percent of the dry weight. WH: USDA Wood Handbook, FPL-GTR-190 (2010) and
FPL-GTR-282 (2021).
"""

from __future__ import annotations

from typing import Literal

FIBRE_SATURATION = 30.0
"""Percent above which wood neither swells nor shrinks (WH ch. 4; redcedar and some others 22)."""

LINEAR_RANGE = (6.0, 14.0)
"""Percent between which the linear movement formula is meant (WH Eq. 13-1)."""

Coefficients = tuple[float, float, float]

_EMC: dict[Literal["F", "C"], tuple[Coefficients, Coefficients, Coefficients, Coefficients]] = {
    # W, K, K1, K2 as polynomials of the temperature: WH Eq. 4-5
    "F": (
        (330.0, 0.452, 0.00415),
        (0.791, 0.000463, -0.000000844),
        (6.34, 0.000775, -0.0000935),
        (1.09, 0.0284, -0.0000904),
    ),
    "C": (
        (349.0, 1.29, 0.0135),
        (0.805, 0.000736, -0.00000273),
        (6.27, -0.00938, -0.000303),
        (1.91, 0.0407, -0.000293),
    ),
}


def equilibrium_moisture(
    humidity: float, temperature: float, scale: Literal["F", "C"] = "C"
) -> float:
    """Return the moisture content, percent, that wood comes to in still air.

    Args:
        humidity: relative, percent.
        temperature: in °F or °C, as ``scale`` says.
        scale: which of the two published sets of coefficients is used.

    Source: WH Eq. 4-5. A tenth of a percent is good for trends alone: species differ (p. 4-4).
    """
    w, k, k1, k2 = (a + b * temperature + c * temperature**2 for a, b, c in _EMC[scale])
    kh = k * humidity / 100
    bound = kh / (1 - kh)
    first, second = k1 * kh, k1 * k2 * kh**2
    return 1800 / w * (bound + (first + 2 * second) / (1 + first + second))


def density_at(density_12: float, moisture: float) -> float:
    """Return the density (kg/m³) of a wood at a moisture in percent from that at 12 %.

    Source: density = 1000 G (1 + M/100), G = G_b / (1 - .265 G_b (1 - M/30)) up to fibre
    saturation, G_b beyond (WH ch. 4, from memory); G is of oven-dry weight and volume at M.
    """
    gravity_12 = density_12 / 1120
    basic = gravity_12 / (1 + 0.265 * gravity_12 * (1 - 12 / 30))
    dried = max(1 - moisture / 30, 0.0)
    return 1000 * basic / (1 - 0.265 * basic * dried) * (1 + moisture / 100)


def movement_coefficient(shrinkage: float, saturation: float = FIBRE_SATURATION) -> float:
    """Return the movement of a board a percent of moisture, as a share of its width.

    Args:
        shrinkage: green to oven-dry, percent (WH Table 4-3).
        saturation: fibre saturation that the table's coefficients were worked with, percent.

    Source: inferred from the footnotes of WH Table 13-5; it gives the rows of that table back.
    """
    s = shrinkage / 100
    return (s / saturation) / (1 - s * (saturation - 10) / saturation)


def movement(
    width: float,
    coefficient: float,
    before: float,
    after: float,
    saturation: float = FIBRE_SATURATION,
) -> float:
    """Return how much wider (mm) a board gets between two moisture contents; narrower is negative.

    Moisture above fibre saturation moves nothing; contents are percent. Source: ΔD = D C (M_F -
    M_I), WH Eq. 13-1, meant for 6 to 14 %; beyond that it is an estimate.

    Args:
        width: of the board, mm.
        coefficient: change of size for one percent of moisture, a share of the width.
        before: moisture, percent.
        after: moisture, percent.
        saturation: fibre saturation, percent: above it nothing moves.
    """
    return width * coefficient * (min(after, saturation) - min(before, saturation))


def is_estimate(before: float, after: float) -> bool:
    """Return whether two moisture contents leave the range that the movement formula is for."""
    low, high = LINEAR_RANGE
    return min(before, after) < low - 1e-9 or max(before, after) > high + 1e-9
