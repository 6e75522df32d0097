"""Check what a box weighs where it stands: lifting, the deck below it, wind and pull."""

from __future__ import annotations

import math
from collections.abc import Iterator

from palewright.findings import Finding
from palewright.fit_cases import FitCase, design_check
from palewright.loads.stability import OVERTURNING
from palewright.measures import print_mass, print_quantity
from palewright.remedies import words
from palewright.units import both_units

_SHIFT = 1e-9


@design_check
def lifting(fit: FitCase) -> Iterator[Finding]:
    """Find a box that one (PW901) or, even empty, two (PW902) people should not lift."""
    weights, stance = fit.loads.weights, fit.loads.stance
    heaviest = weights.saturated.mass
    if heaviest > stance.alone:
        states = f"weighs {print_mass(weights.empty.mass)} empty"
        if weights.filled:
            states += (
                f", {print_mass(weights.moist.mass)} watered ({weights.mix.meaning}) and "
                f"{print_mass(heaviest)} soaked"
            )
        yield Finding(
            "PW901",
            (),
            heaviest,
            stance.alone,
            "kg",
            f"it {states}; one person should lift at most {print_mass(stance.alone)} of so wide "
            "a box",
            *words(
                "lift it empty and by two, and fill it where it stands; a lighter site.soil or a "
                "false floor (floor.rise) takes weight off"
                if weights.filled
                else "lift it by two, or carry it in panels; a smaller box.width weighs less"
            ),
        )
    if weights.empty.mass > stance.by_two:
        yield Finding(
            "PW902",
            (),
            weights.empty.mass,
            stance.by_two,
            "kg",
            f"empty it weighs {print_mass(weights.empty.mass)}; two people should lift at most "
            f"{print_mass(stance.by_two)}",
            *words("carry it in panels, or on a dolly; or make box.width or box.height smaller"),
        )


@design_check
def deck_loads(fit: FitCase) -> Iterator[Finding]:
    """Find a box that presses more than a deck's even load (PW903, PW904)."""
    site, stance = fit.box.parameters.site, fit.loads.stance
    pressure, limit = stance.deck_pressure, site.deck_load
    if site.stands_on == "ground" or pressure <= limit + _SHIFT:
        return
    yield Finding(
        "PW903" if site.stands_on == "deck" else "PW904",
        (),
        pressure,
        limit,
        "kPa",
        f"soaked it presses {print_quantity(pressure, 'pressure')} on what it covers; a deck is "
        f"designed for {print_quantity(limit, 'pressure')} over its whole floor",
        *words(
            "ask the local building official or an engineer before it stands on a deck, balcony "
            "or roof; a lighter site.soil or a false floor (floor.rise) takes weight off"
        ),
    )


@design_check
def tipping_winds(fit: FitCase) -> Iterator[Finding]:
    """Find a box that the wind tips (PW905)."""
    site, stance = fit.box.parameters.site, fit.loads.stance
    if stance.steady_wind >= site.wind - _SHIFT:
        return
    base = min(fit.box.sizes.width, fit.box.sizes.depth)
    needed = base * (site.wind / stance.steady_wind) ** 2
    crown = stance.crown
    bears = "on the box alone"
    if crown.height > 0:
        bears = f"on a crown of {both_units(crown.width)} x {both_units(crown.height)} above it"
    ladder = fit.box.parameters.trellis.fit and site.plant_height is None
    lower = "trellis.height" if ladder else "site.plant_height"
    yield Finding(
        "PW905",
        (),
        stance.steady_wind,
        site.wind,
        "m/s",
        f"watered, it stands wind of {print_quantity(stance.steady_wind, 'speed')} {bears}, with a "
        f"factor of {OVERTURNING:g} (from memory) and drag of 1.0 (judgement); it should stand "
        f"{print_quantity(site.wind, 'speed')}, and dried out it falls at "
        f"{print_quantity(stance.dry_wind, 'speed')}",
        *words(
            f"tie it to something firm; or lower {lower}, take a heavier site.soil, or a base of "
            f"{both_units(needed)} (box.width, box.depth)"
        ),
    )


@design_check
def tipping_pulls(fit: FitCase) -> Iterator[Finding]:
    """Find a box that a pull at its highest part tips rather than slides (PW906)."""
    site, stance = fit.box.parameters.site, fit.loads.stance
    if not fit.loads.weights.filled or stance.slides_first or not math.isfinite(stance.pull):
        return
    if stance.pull >= site.pull - _SHIFT:
        return
    yield Finding(
        "PW906",
        (),
        stance.pull,
        site.pull,
        "N",
        f"a level pull of {print_quantity(stance.pull, 'force')} at "
        f"{both_units(stance.pull_height)} tips it, watered; it should stand "
        f"{print_quantity(site.pull, 'force')} (judgement)",
        *words(
            "tie it to something firm and keep children from climbing; or lower trellis.height "
            "or box.height, or raise box.depth"
        ),
    )
