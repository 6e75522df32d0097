"""Values of wood screws after the NDS and the Wood Handbook: withdrawal, head, shear, both at once.

NDS: ANSI/AWC National Design Specification for Wood Construction, 2018 (2024 keeps the equations).
Lengths mm, stresses MPa, forces N. Published coefficients are stresses in psi, so that one formula
serves every system of units.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from palewright.catalogue.screws import Gauge
from palewright.reading.quantities import PSI

WITHDRAWAL = 2850.0 * PSI
"""Coefficient of NDS 2018, Eq. 12.2-2, with G of NDS Table 12.3.3A."""

WITHDRAWAL_BREAKING = 15_700.0 * PSI
"""Coefficient of Wood Handbook Eq. 8-10, with G at 12 % moisture."""

PULL_THROUGH_THIN = 690.0 * PSI
PULL_THROUGH_THICK = 1725.0 * PSI
"""Coefficients of NDS 2018, 12.2.5.1 (boards up to, and over, 2.5 head diameters thick)."""

BEARING = 16_600.0
"""psi, NDS 2018, Table 12.3.3, footnote 2: F_e = 16,600 G^1.84, to the nearest 50 psi."""

GRAVITY_RANGE = (0.31, 0.73)
"""Specific gravities that NDS Table 12.2B covers."""

LEAST_PENETRATION = 6.0
FULL_PENETRATION = 10.0
"""Diameters, point included: below the first there is no lateral value; from the second on it
is whole (NDS 2018, 12.1.5.6 and Table 12L, footnote 3)."""

TIP = 2.0
"""Diameters: how long the tapered tip is (NDS 2018, Table L3, footnote 6).

The standard's values in withdrawal are for an inch of thread, which by that table reaches to the
point; a board that holds no more than the tip holds no thread of full depth, and is given no value
here (judgement: of so short a point the standard says nothing)."""

DURATION = {"permanent": 0.9, "ten years": 1.0, "two months": 1.15, "seven days": 1.25, "wind": 1.6}
"""C_D, NDS 2018, Table 2.3.2."""

WET = 0.7
"""C_M of screws above 19 % moisture in service, withdrawal and lateral (NDS 2018, Table 11.3.3)."""

END_GRAIN_LATERAL = 0.67
"""C_eg for lateral load (NDS 2018, 12.5.2.2); in withdrawal it is 0 (12.2.2.3)."""


def thread_length(length: float, diameter: float) -> float:
    """Return the length of thread, mm, tip included: the greater of 4 D and two thirds.

    Source: NDS 2018, Table L3, footnotes 2 and 3 (least thread of a standard wood screw).
    """
    return min(max(4 * diameter, 2 * length / 3), length)


def withdrawal(gravity: float, diameter: float, thread: float) -> float:
    """Return the reference withdrawal value, N, of a thread in side grain.

    Args:
        gravity: assigned specific gravity of the board that holds the thread.
        diameter: nominal, mm.
        thread: length of thread in that board, mm.

    Source: W = 2850 G² D a length of thread, NDS 2018, Eq. 12.2-2.
    """
    return WITHDRAWAL * gravity * gravity * diameter * thread


def withdrawal_breaking(gravity_12: float, diameter: float, thread: float) -> float:
    """Return the force, N, at which threads came out in tests, on average.

    Source: p = 15,700 G² D L, Wood Handbook Eq. 8-10, G of weight and volume at 12 % moisture.
    """
    return WITHDRAWAL_BREAKING * gravity_12**2 * diameter * thread


def pull_through(gravity: float, head: float, thickness: float) -> float:
    """Return the reference value, N, at which a head is drawn into the board under it.

    Args:
        gravity: assigned specific gravity of the board under the head.
        head: diameter of the head, mm.
        thickness: of that board, mm.

    Source: NDS 2018, 12.2.5.1.
    """
    if thickness <= 2.5 * head:
        return PULL_THROUGH_THIN * math.pi * head * gravity**2 * thickness
    return PULL_THROUGH_THICK * math.pi * head**2 * gravity**2


def bearing_strength(gravity: float) -> float:
    """Return the dowel bearing strength, MPa, of fasteners thinner than 1/4 in.

    Source: NDS 2018, Table 12.3.3, footnote 2, to the nearest 50 psi.
    """
    return round(BEARING * math.pow(gravity, 1.84) / 50) * 50 * PSI


def bending_yield(diameter: float) -> float:
    """Return the bending yield strength, MPa, of a screw by its nominal diameter, mm.

    Source: NDS 2018, Table I1, and footnote 2 of Table 12L.
    """
    inches = diameter / 25.4
    for limit, psi in ((0.142, 100_000.0), (0.177, 90_000.0), (0.236, 80_000.0)):
        if inches <= limit + 1e-9:
            return psi * PSI
    return 70_000.0 * PSI


def reduction_term(root: float) -> float:
    """Return R_d of a screw by its root diameter, mm (NDS 2018, Table 12.3.1B)."""
    inches = root / 25.4
    return 2.2 if inches <= 0.17 else 10.0 * inches + 0.5


@dataclass(frozen=True, slots=True)
class YieldModes:
    """The six single-shear yield values of one screw, N: the least is its reference value."""

    I_m: float
    I_s: float
    II: float
    III_m: float
    III_s: float
    IV: float

    @property
    def least(self) -> float:
        """Reference lateral value at full penetration, N."""
        return min(self.I_m, self.I_s, self.II, self.III_m, self.III_s, self.IV)


def yield_modes(
    gauge: Gauge, side: float, main: float, gravity_side: float, gravity_main: float
) -> YieldModes:
    """Return the yield values in single shear.

    Args:
        gauge: the screw.
        side: thickness of the board under the head, mm.
        main: bearing length in the board at the point, mm: penetration less one diameter.
        gravity_side: assigned specific gravity of the board under the head.
        gravity_main: of the board at the point.

    Source: NDS 2018, Tables 12.3.1A and 12.3.1B, with the root diameter (12.3.7.1).
    """
    d, r_d = gauge.root, reduction_term(gauge.root)
    f_m, f_s = bearing_strength(gravity_main), bearing_strength(gravity_side)
    f_y = bending_yield(gauge.diameter)
    r_e, r_t = f_m / f_s, main / side
    k1 = math.sqrt(r_e + 2 * r_e**2 * (1 + r_t + r_t**2) + r_t**2 * r_e**3)
    k1 = (k1 - r_e * (1 + r_t)) / (1 + r_e)
    k2 = 2 * (1 + r_e) + 2 * f_y * (1 + 2 * r_e) * d**2 / (3 * f_m * main**2)
    k3 = 2 * (1 + r_e) / r_e + 2 * f_y * (2 + r_e) * d**2 / (3 * f_m * side**2)
    return YieldModes(
        I_m=d * main * f_m / r_d,
        I_s=d * side * f_s / r_d,
        II=k1 * d * side * f_s / r_d,
        III_m=(math.sqrt(k2) - 1) * d * main * f_m / ((1 + 2 * r_e) * r_d),
        III_s=(math.sqrt(k3) - 1) * d * side * f_m / ((2 + r_e) * r_d),
        IV=d**2 / r_d * math.sqrt(2 * f_m * f_y / (3 * (1 + r_e))),
    )


def lateral(
    gauge: Gauge, side: float, penetration: float, gravity_side: float, gravity_main: float
) -> float | None:
    """Return the reference lateral value, N; None where the standard has none.

    Args:
        gauge: the screw.
        side: thickness under the head, mm.
        penetration: in the board at the point, tip included, mm.
        gravity_side: assigned specific gravity of the board under the head.
        gravity_main: of the board at the point.

    Source: NDS 2018, 12.1.5.6 and Table 12L, footnote 3: none below 6 D, p/10D of it to 10 D.
    """
    d = gauge.diameter
    if penetration < LEAST_PENETRATION * d - 1e-9:
        return None
    modes = yield_modes(gauge, side, penetration - d, gravity_side, gravity_main)
    return modes.least * min(penetration / (FULL_PENETRATION * d), 1.0)


def combined(withdrawn: float, sideways: float, angle: float) -> float:
    """Return the value, N, of a screw that is pulled at an angle.

    Args:
        withdrawn: adjusted withdrawal value W'p, N.
        sideways: adjusted lateral value Z', N.
        angle: of the load from the face of the wood, radians: 0 is all lateral.

    Source: NDS 2018, Eq. 12.4-1.
    """
    share = withdrawn * math.cos(angle) ** 2 + sideways * math.sin(angle) ** 2
    return withdrawn * sideways / share


def lead_hole(gravity: float, root: float) -> float:
    """Return the least lead hole, mm, for a thread that is to hold without splitting the wood.

    Source: NDS 2018, 12.1.5.2: 90 % of the root from G .6 on, 70 % from .5 on; below it may be
    left out.
    """
    if gravity >= 0.6:
        return 0.9 * root
    return 0.7 * root if gravity >= 0.5 else 0.0


def shear_lead_holes(gravity: float, gauge: Gauge) -> tuple[float, float]:
    """Return the lead holes, mm, for shank and thread, with which lateral values are given.

    Source: NDS 2018, 12.1.5.3: from G .6 on the shank's and the root's diameter, in less dense
    wood about 7/8 of each.
    """
    share = 1.0 if gravity >= 0.6 else 7 / 8
    return share * gauge.diameter, share * gauge.root
