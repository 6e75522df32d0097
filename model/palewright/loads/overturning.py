"""Wind, tipping, pulling, sliding and lifting: statics and published coefficients."""

from __future__ import annotations

import math

from palewright.reading.lengths import INCH
from palewright.reading.quantities import GRAVITY, MILE_AN_HOUR, POUND, PSF

VELOCITY_PRESSURE = 0.00256 * PSF * 1e3 / MILE_AN_HOUR**2
"""Pa a (m/s)²: q = .00256 V² in psf and mph (ASCE 7, 26.10, all factors 1)."""

DRAG = 1.0
"""Drag factor of a leafy crown or trellis, full area, no give (judgement)."""

OVERTURNING = 1.5
"""Factor against overturning (common retaining-wall practice, from memory)."""

FRICTION = 0.5
"""Wood on concrete: middle of .4 to .6 (from memory)."""

LIFT = 51 * POUND
"""Load constant of the NIOSH lifting equation, kg (NIOSH 94-110)."""


def velocity_pressure(speed: float) -> float:
    """Return the pressure (Pa) of wind of a speed in m/s. Source: ASCE 7, 26.10."""
    return VELOCITY_PRESSURE * speed**2


def tipping_speed(mass: float, base: float, moment_area: float) -> float:
    """Return the wind speed (m/s) at which a box begins to tip; infinite where no wind bears.

    Args:
        mass: of the box, kg, its centre over the middle of the base.
        base: depth of the base in the wind's direction, mm.
        moment_area: sum of drag factor x area x height of its centre, m³.

    Source: statics: m g b / 2 against q times the moment of the areas.
    """
    if moment_area <= 0.0:
        return math.inf
    return math.sqrt(mass * GRAVITY * base * 1e-3 / 2 / (velocity_pressure(1.0) * moment_area))


def tipping_pull(mass: float, base: float, height: float) -> float:
    """Return the level pull (N) at a height (mm) that begins to tip a box: m g b / 2 h."""
    return mass * GRAVITY * base / (2 * height)


def sliding_pull(mass: float) -> float:
    """Return the level pull (N) at which a box slides on concrete: friction x weight."""
    return FRICTION * mass * GRAVITY


def lifting_limit(
    reach: float, height: float, travel: float, frequency: float = 1.0, grip: float = 0.95
) -> float:
    """Return the mass (kg) that one healthy adult should lift at most, now and then.

    Args:
        reach: of the hands from the ankles, mm; less than 10 in counts as 10 in.
        height: of the hands at the start, mm.
        travel: how far it is lifted, mm; less than 10 in counts as 10 in.
        frequency: multiplier; 1 is now and then (table from memory).
        grip: multiplier; .95 is a fair grip (table from memory).

    Source: NIOSH 94-110: 51 lb (10/H)(1 - .0075 |V - 30|)(.82 + 1.8/D), no twist, inches.
    """
    h, v, d = max(reach / INCH, 10.0), height / INCH, max(travel / INCH, 10.0)
    level = max(1 - 0.0075 * abs(v - 30), 0.0)
    return LIFT * (10 / h) * level * min(0.82 + 1.8 / d, 1.0) * frequency * grip
