"""How a box stands: what it presses on a deck, what wind and what pull tip it, who can lift it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from palewright.boxes import Box
from palewright.loads.stability import (
    DRAG,
    OVERTURNING,
    lifting_limit,
    sliding_pull,
    tipping_pull,
    tipping_speed,
)
from palewright.loads.weights import Weights
from palewright.measures import GRAVITY
from palewright.units import INCH

WAIST = 30 * INCH
"""Height (mm) to which something is lifted to be carried."""


@dataclass(frozen=True, slots=True)
class Crown:
    """What stands above the box in the wind, mm: a trellis full of leaves, or a small tree."""

    width: float
    height: float


def crown_of(box: Box) -> Crown:
    """Return the crown that the variant asks for, or the trellis that it has."""
    site, trellis = box.parameters.site, box.parameters.trellis
    height = site.plant_height
    if height is None:
        height = trellis.height if trellis.fit else 0.0
    width = site.plant_width
    if width is None:
        bars = [b.length for b in box.boards.values() if b.panel == "trellis" and b.role == "bar"]
        width = max(bars, default=height / 2)
    return Crown(width if height > 0 else 0.0, height)


@dataclass(frozen=True, slots=True)
class Stance:
    """How a box stands, watered unless it says otherwise.

    Attributes:
        deck_pressure: of the soaked box on its footprint, kPa.
        crown: what stands above it.
        wind: speed at which it begins to tip, m/s; infinite where nothing bears on it.
        steady_wind: the same with the factor against overturning.
        dry_wind: speed at which it tips with its filling dried out, m/s.
        pull: level pull at its highest part that begins to tip it, N.
        pull_height: where, mm.
        slides_first: whether such a pull moves it rather than tips it.
        alone, by_two: what one and what two people should lift of it, kg.
    """

    deck_pressure: float
    crown: Crown
    wind: float
    steady_wind: float
    dry_wind: float
    pull: float
    pull_height: float
    slides_first: bool
    alone: float
    by_two: float


def stance_of(box: Box, weights: Weights) -> Stance:
    """Return how a box stands."""
    sizes, whole = box.sizes, box.parameters.box
    crown = crown_of(box)
    base = min(sizes.width, sizes.depth)
    moist, dry = weights.moist.mass, weights.dry.mass
    wind, dried = (_tips_at(mass, box, crown) for mass in (moist, dry))
    ladder = [p[2] for b in box.boards.values() if b.panel == "trellis" for p in b.corners]
    height = max([whole.height, *ladder])
    pull = tipping_pull(moist, base, height)
    footprint = sizes.width * sizes.depth * 1e-6
    grip = sizes.top
    travel = abs(WAIST - grip)
    return Stance(
        deck_pressure=weights.saturated.mass * GRAVITY / footprint * 1e-3,
        crown=crown,
        wind=wind,
        steady_wind=wind / math.sqrt(OVERTURNING),
        dry_wind=dried,
        pull=pull,
        pull_height=height,
        slides_first=sliding_pull(moist) <= pull,
        # alone the hands are half a box away (NIOSH 94-110, H = 8 + W/2 in); two stand beside it
        alone=lifting_limit(8 * INCH + base / 2, grip, travel),
        by_two=2 * lifting_limit(10 * INCH, grip, travel),
    )


def _tips_at(mass: float, box: Box, crown: Crown) -> float:
    """Return the wind (m/s) that tips a box over its front or its side, whichever is less."""
    sizes, top = box.sizes, box.parameters.box.height
    leaves = crown.width * crown.height * (top + crown.height / 2)
    speeds = []
    for base, broad in ((sizes.depth, sizes.width), (sizes.width, sizes.depth)):
        moment = DRAG * (broad * top * top / 2 + leaves) * 1e-9
        speeds.append(tipping_speed(mass, base, moment))
    return min(speeds)
