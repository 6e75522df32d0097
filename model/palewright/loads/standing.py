"""How a box stands: what it presses on a deck, what wind and what pull tip it, who can lift it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from palewright.construction.box_layout import Box
from palewright.loads.overturning import (
    DRAG,
    OVERTURNING,
    lifting_limit,
    sliding_pull,
    tipping_pull,
    tipping_speed,
)
from palewright.loads.weights import Weights
from palewright.reading.lengths import INCH
from palewright.reading.quantities import GRAVITY

WAIST = 30 * INCH
"""Height (mm) to which something is lifted to be carried."""


STATES = {True: "watered", False: "empty"}
"""How a box stands when it is judged, by whether anything fills it."""

HELD_UP = "the box with what fills it, and what grows out of it"
BOX_ALONE = (
    "the box alone, with its trellis if it has one: the tree's own stand has to carry the tree "
    "in wind, and is not judged"
)
"""What is judged of how a planter and how a tree box stands."""


@dataclass(frozen=True, slots=True)
class Crown:
    """What the box holds up in the wind, mm: a trellis full of leaves, or a small tree."""

    width: float
    height: float


def crown_of(box: Box) -> Crown:
    """Return the crown that the variant asks for, or the trellis that it has.

    A tree box holds up its trellis at most: the tree stands in a stand of its own.
    """
    site, trellis = box.parameters.site, box.parameters.trellis
    height = site.plant_height
    if height is None or box.parameters.box.kind == "tree":
        height = trellis.height if trellis.fit else 0.0
    width = site.plant_width
    if width is None:
        bars = [b.length for b in box.boards.values() if b.panel == "trellis" and b.role == "bar"]
        width = max(bars, default=height / 2)
    return Crown(width if height > 0 else 0.0, height)


def tree_crown(box: Box) -> Crown | None:
    """Return the tree that the variant speaks of and its own stand carries; None without one."""
    site = box.parameters.site
    if box.parameters.box.kind != "tree" or not site.plant_height:
        return None
    width = site.plant_height / 2 if site.plant_width is None else site.plant_width
    return Crown(width, site.plant_height)


@dataclass(frozen=True, slots=True)
class TippingWay:
    """One way for wind to tip a box.

    Attributes:
        key: the setting of the base that it turns over.
        base: that base, mm.
        wind: speed at which it begins to tip, m/s; infinite where nothing bears on it.
    """

    key: str
    base: float
    wind: float


@dataclass(frozen=True, slots=True)
class Stance:
    """How a box stands, watered unless it says otherwise; empty where nothing fills it.

    Attributes:
        deck_pressure: of the soaked box on its footprint, kPa.
        crown: what it holds up in the wind.
        wind: speed at which it begins to tip, m/s; infinite where nothing bears on it.
        dry_wind: the same with its filling dried out.
        ways: front to back and side to side, the less steady first.
        pull: level pull at its highest part that begins to tip it, N.
        pull_height: where, mm.
        slides_first: whether such a pull moves it rather than tips it.
        alone, by_two: what one and what two people should lift of it, kg.
    """

    deck_pressure: float
    crown: Crown
    wind: float
    dry_wind: float
    ways: tuple[TippingWay, ...]
    pull: float
    pull_height: float
    slides_first: bool
    alone: float
    by_two: float

    @property
    def steady_wind(self) -> float:
        """Speed (m/s) that it withstands with the factor against overturning."""
        return self.wind / math.sqrt(OVERTURNING)

    @property
    def steady_dry_wind(self) -> float:
        """The same with its filling dried out."""
        return self.dry_wind / math.sqrt(OVERTURNING)


def stance_of(box: Box, weights: Weights) -> Stance:
    """Return how a box stands."""
    sizes = box.sizes
    crown = crown_of(box)
    base = min(sizes.width, sizes.depth)
    moist, dry = weights.moist.mass, weights.dry.mass
    ways = tipping_ways(moist, box, crown)
    ladder = [p[2] for b in box.boards.values() if b.panel == "trellis" for p in b.corners]
    height = max([sizes.height, *ladder])
    pull = tipping_pull(moist, base, height)
    footprint = sizes.width * sizes.depth * 1e-6
    grip = sizes.top
    travel = abs(WAIST - grip)
    return Stance(
        deck_pressure=weights.saturated.mass * GRAVITY / footprint * 1e-3,
        crown=crown,
        wind=ways[0].wind,
        dry_wind=tipping_ways(dry, box, crown)[0].wind,
        ways=ways,
        pull=pull,
        pull_height=height,
        slides_first=sliding_pull(moist) <= pull,
        # alone the hands are half a box away (NIOSH 94-110, H = 8 + W/2 in); two stand beside it
        alone=lifting_limit(8 * INCH + base / 2, grip, travel),
        by_two=2 * lifting_limit(10 * INCH, grip, travel),
    )


def tipping_ways(mass: float, box: Box, crown: Crown) -> tuple[TippingWay, ...]:
    """Return how wind tips a box over its front and over its side, the less steady first.

    Args:
        mass: of the box with what fills it, kg.
        box: the box.
        crown: what it holds up.
    """
    sizes, top = box.sizes, box.sizes.height
    leaves = crown.width * crown.height * (top + crown.height / 2)
    ways = []
    for key, base, broad in (
        ("box.depth", sizes.depth, sizes.width),
        ("box.width", sizes.width, sizes.depth),
    ):
        moment = DRAG * (broad * top * top / 2 + leaves) * 1e-9
        ways.append(TippingWay(key, base, tipping_speed(mass, base, moment)))
    return tuple(sorted(ways, key=lambda way: way.wind))
