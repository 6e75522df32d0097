"""Check how a box stands: lifting, the deck below it, wind and pull, and its trellis in wind."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.fit.cases import FitCase, design_check
from palewright.fit.checks.stability_remedies import steadier_in_wind, steadier_when_pulled
from palewright.fit.findings import Finding
from palewright.fit.remedies import words
from palewright.loads.overturning import DRAG, OVERTURNING, velocity_pressure
from palewright.loads.standing import STATES, tree_crown
from palewright.loads.trellis_wind import TrellisWind
from palewright.reading.lengths import both_units
from palewright.reading.quantities import print_mass, print_quantity

_SHIFT = 1e-9
"""A limit that is just met is met."""
_LADDER = "tie its top to something firm"


@design_check("PW901", "PW902")
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
            *words("carry it in panels, or on a dolly"),
        )


@design_check("PW903", "PW904")
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
        *words("ask the local building official or an engineer before it stands on a deck"),
        brief=f"soaked it presses {print_quantity(pressure, 'pressure')}; a deck is designed for "
        f"{print_quantity(limit, 'pressure')}",
    )


@design_check("PW905")
def tipping_winds(fit: FitCase) -> Iterator[Finding]:
    """Find a box that the wind tips (PW905)."""
    if not fit.loads.falls_in_wind:
        return
    wind, stance = fit.box.parameters.site.wind, fit.loads.stance
    crown, filled = stance.crown, fit.loads.weights.filled
    bears = "on the box alone"
    if crown.height > 0:
        bears = f"on a crown of {both_units(crown.width)} x {both_units(crown.height)} above it"
    dried = f", dried out {_speed(stance.steady_dry_wind)}" if filled else ""
    tips = f", dried out at {_speed(stance.dry_wind)}" if filled else ""
    yield Finding(
        "PW905",
        (),
        stance.steady_wind,
        wind,
        "m/s",
        f"{STATES[filled]}, it withstands wind of {_speed(stance.steady_wind)}{dried}, {bears}, "
        f"with a factor of {OVERTURNING:g} (from memory) and drag of {DRAG:.1f} (judgement); it "
        f"should withstand {_speed(wind)}. Without the factor it tips at "
        f"{_speed(stance.wind)}{tips}{_tree_said(fit)}",
        *steadier_in_wind(fit),
        brief=f"it withstands wind of {_speed(stance.steady_wind)} and tips at "
        f"{_speed(stance.wind)}; it should withstand {_speed(wind)}",
    )


def _speed(metres_a_second: float) -> str:
    """Return a speed as text."""
    return print_quantity(metres_a_second, "speed")


def _tree_said(fit: FitCase) -> str:
    """Return what is left out of a tree box's wind; empty for a planter."""
    if fit.box.parameters.box.kind != "tree":
        return ""
    return ". The tree in its own stand is not counted"


@design_check("PW907")
def trees_in_wind(fit: FitCase) -> Iterator[Finding]:
    """Tell what wind a tree catches, which its own stand has to carry (PW907)."""
    tree, wind = tree_crown(fit.box), fit.box.parameters.site.wind
    if tree is None or wind <= 0.0:
        return
    force = velocity_pressure(wind) * DRAG * tree.width * tree.height * 1e-6
    yield Finding(
        "PW907",
        (),
        force,
        0.0,
        "N",
        f"wind of {_speed(wind)} pushes a tree of {both_units(tree.width)} x "
        f"{both_units(tree.height)} with {print_quantity(force, 'force')} at drag of {DRAG:.1f} "
        "(judgement): told, not judged. The box carries none of it, it only hides the stand",
        *words(
            "take a stand whose maker rates it for such a tree, and tie the trunk to something "
            "firm; set site.plant_height to 0 in where no wind comes"
        ),
    )


@design_check("PW906")
def tipping_pulls(fit: FitCase) -> Iterator[Finding]:
    """Find a box that a pull at its highest part tips rather than slides (PW906)."""
    if not fit.loads.falls_by_pull:
        return
    site, stance = fit.box.parameters.site, fit.loads.stance
    yield Finding(
        "PW906",
        (),
        stance.pull,
        site.pull,
        "N",
        f"a level pull of {print_quantity(stance.pull, 'force')} at "
        f"{both_units(stance.pull_height)} tips it, {STATES[fit.loads.weights.filled]}; it should "
        f"withstand {print_quantity(site.pull, 'force')} (judgement){_tree_said(fit)}",
        *steadier_when_pulled(fit),
        brief=f"a pull of {print_quantity(stance.pull, 'force')} at "
        f"{both_units(stance.pull_height)} tips it; {print_quantity(site.pull, 'force')} must not",
    )


@design_check("PW914", "PW927")
def trellis_winds(fit: FitCase) -> Iterator[Finding]:
    """Find a trellis whose screws (PW927) or uprights (PW914) a gust asks too much of."""
    wind = fit.loads.trellis
    if wind is None:
        return
    said = (
        f"wind of {print_quantity(fit.box.parameters.site.wind, 'speed')} on a trellis full of "
        f"leaves, {print_quantity(wind.force, 'force')} with drag of 1.0 (judgement)"
    )
    held = [(one, one.limit) for one in wind.screws if one.limit is not None]
    over = [(one, limit) for one, limit in held if one.pulled > limit]
    if over:
        worst, limit = max(over, key=lambda row: row[0].pulled / max(row[1], 1e-9))
        others = dict.fromkeys(one.use for one, _ in over if one.use != worst.use)
        also = f"; more than they hold pulls at {' and '.join(others)} screws too" if others else ""
        yield Finding(
            "PW927",
            tuple(name for one, _ in over for name in one.screws),
            worst.pulled,
            limit,
            "N",
            f"{said}, pulls the worst {worst.use} screw ({worst.kind}) with "
            f"{print_quantity(worst.pulled, 'force')}, shared by distance (judgement); "
            f"{worst.whose} {print_quantity(limit, 'force')} in wet wood{also}",
            *words(_LADDER),
            group="screws",  # one gust, one finding
            brief=f"wind pulls a trellis's {worst.use} screw with "
            f"{print_quantity(worst.pulled, 'force')}; {print_quantity(limit, 'force')} hold",
        )
    yield from _bent_uprights(wind, said)


def _bent_uprights(wind: TrellisWind, said: str) -> Iterator[Finding]:
    """Find uprights that are bent too hard where they leave the packers (PW914)."""
    if wind.allowed is None or wind.stress <= wind.allowed:
        return
    yield Finding(
        "PW914",
        wind.uprights,
        wind.stress,
        wind.allowed,
        "MPa",
        f"{said}, bends an upright to {print_quantity(wind.stress, 'stress')}; an ungraded wet "
        f"strip is assumed to carry {print_quantity(wind.allowed, 'stress')} in a gust (judgement: "
        "half of No. 2, x 1.6)",
        *words(_LADDER),
        group="uprights",
        brief=f"wind bends the trellis's uprights to {print_quantity(wind.stress, 'stress')}; "
        f"{print_quantity(wind.allowed, 'stress')} is assumed to hold",
    )
