"""What the plan says of weight, strength, wind and moving wood. Costs never: the plan is sold."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from palewright.catalogue.fillings import FRICTION_ANGLE
from palewright.design import Design
from palewright.fit.findings import Finding
from palewright.loads.box_loads import DEFERS, NOT_COVERED
from palewright.loads.overturning import DRAG, OVERTURNING
from palewright.loads.screw_forces import JERK, LoadedScrews
from palewright.loads.sources import JUDGED, RECALLED
from palewright.loads.standing import STATES
from palewright.loads.weights import Heap, foot_pressures
from palewright.reading.lengths import both_units, in_one_unit, print_length, tape_text
from palewright.reading.quantities import print_mass, print_quantity
from palewright_drawings.output.json_data import Json

TextRows = list[tuple[str, str]]


_TOLD_NOTES = ("PW904", "PW907", "PW921", "PW925", "PW932")
"""Notes that whoever builds or places the box needs on paper."""


def loads(design: Design) -> Json:
    """Return the section: rows of (what, how much), warnings, and what is not covered."""
    found = [f for f in design.verdict.findings if f.code.startswith("PW9")]
    section = _section(design, found)
    return _metric(section) if design.parameters.product.units == "metric" else section


def _metric(told: Any) -> Any:
    """Return data with every text of it in metric units alone."""
    if isinstance(told, str):
        return in_one_unit(told, "metric")
    if isinstance(told, dict):
        return {key: _metric(value) for key, value in told.items()}
    return [_metric(value) for value in told]


def _section(design: Design, found: Sequence[Finding]) -> Json:
    """Return the section with both units in its texts."""
    return {
        "rows": [
            *_weights(design),
            *_middles(design),
            *_pressures(design),
            *_strength(design),
            *_stance(design),
            *_trellis(design),
            *_movement(design),
        ],
        "warnings": [f.message for f in found if f.severity != "note" or f.code in _TOLD_NOTES],
        "woods": _woods(design),
        "not-covered": list(NOT_COVERED),
        "defers": DEFERS,
    }


def _weights(design: Design) -> TextRows:
    """Return what it weighs, and what people should lift."""
    weights, stance = design.loads.weights, design.loads.stance
    bought = design.parameters.site.bought_at
    rows = [
        ("empty", print_mass(weights.empty.mass)),
        (f"empty, its boards at {bought} % as cut ({RECALLED})", print_mass(weights.fresh)),
    ]
    if weights.filled:
        rows += [
            ("filled, dry", print_mass(weights.dry.mass)),
            ("filled, watered", f"{print_mass(weights.moist.mass)} ({JUDGED})"),
            ("filled, soaked", print_mass(weights.saturated.mass)),
        ]
    rows += [
        (
            f"of which one person should lift at most (NIOSH, in part {RECALLED})",
            print_mass(stance.alone),
        ),
        ("two people (likewise)", print_mass(stance.by_two)),
    ]
    return rows


def _middles(design: Design) -> TextRows:
    """Return where its weight has its middle, empty and as it stands."""
    weights = design.loads.weights
    heaps = [("empty", weights.empty)]
    if weights.filled:
        heaps.append(("watered", weights.moist))
    return [(f"centre of gravity, {state}", _place(heap, design)) for state, heap in heaps]


def _place(heap: Heap, design: Design) -> str:
    """Return how high a middle lies, and how far from the box's own; less than 1 mm is none."""
    system = design.parameters.product.units
    x, y, z = heap.centre
    aside = [
        f"{tape_text(abs(by), system)} to the {way}"
        for by, way in ((x, "right" if x > 0 else "left"), (y, "back" if y > 0 else "front"))
        if abs(by) >= 1.0
    ]
    return f"{tape_text(z, system)} up, {' and '.join(aside) or 'in the middle'}"


def _pressures(design: Design) -> TextRows:
    """Return how hard soil presses on the staves at their feet; nothing where none does."""
    weights = design.loads.weights
    if not weights.loose:
        return []
    watered, flooded = (print_quantity(x, "pressure") for x in foot_pressures(weights))
    told = f"{FRICTION_ANGLE:g}° of friction, a {JUDGED}"
    return [
        (f"watered soil presses on the staves, at its foot ({told}), with", watered),
        ("were it flooded, water alone, with", flooded),
    ]


def _strength(design: Design) -> TextRows:
    """Return how hard boards and screws work, as shares of what they are given."""
    rows, worst = [], dict[str, float]()
    for bent in design.loads.bent:
        if bent.allowed is not None:
            worst[bent.role] = max(worst.get(bent.role, 0.0), bent.stress / bent.allowed)
    for role, share in worst.items():
        told = f"{100 * share:.0f} % of what ungraded wet boards are given ({JUDGED})"
        rows.append((f"worst {role}, bending", told))
    for screws in design.loads.screws:
        if screws.force <= 0 or screws.values is None:
            continue
        lifted = screws.use in ("cap", "top rail")
        jerk = f", lifted with {JERK:g} times its weight ({JUDGED})" if lifted else ""
        rows.append((f"worst {screws.use} screw{jerk}", _shares([screws])))
    return rows


def _shares(groups: Sequence[LoadedScrews]) -> str:
    """Return the greatest share of its value that a screw takes; one too short for any is told."""
    told = "told, not judged: too short to count"
    if not all(one.in_scope for one in groups):
        return told
    if not all(one.value for one in groups):
        return "given nothing: it hangs in end grain"
    most = max(one.force / one.value for one in groups if one.value)
    return f"{100 * most:.0f} % of what the standard lets one carry"


def _stance(design: Design) -> TextRows:
    """Return how it presses on the ground, and what tips it."""
    weights, stance = design.loads.weights, design.loads.stance
    state, site = STATES[weights.filled], design.parameters.site
    pressed = "soaked" if weights.filled else state
    rows = [(f"{pressed}, it presses with", print_quantity(stance.deck_pressure, "pressure"))]
    if site.stands_on != "ground":
        rows.append(("a deck is designed for", print_quantity(site.deck_load, "pressure")))
    if math.isfinite(stance.wind):
        told = f"{print_quantity(stance.wind, 'speed')}; drag of {DRAG:g}, a {JUDGED}"
        rows.append((f"{state}, a wind tips it from", told))
        steady = print_quantity(stance.steady_wind, "speed")
        rows.append((f"with a factor of {OVERTURNING:g} ({RECALLED}), from", steady))
    if math.isfinite(stance.pull):
        at = print_length(stance.pull_height, design.parameters.product.units)
        told = f"slides it before it tips ({RECALLED})"
        if not stance.slides_first:
            told = f"tips it from {print_quantity(stance.pull, 'force')}"
        rows.append((f"{state}, a level pull {at} up", told))
    return rows


def _trellis(design: Design) -> TextRows:
    """Return how hard a gust works on the trellis, as shares of what it is given."""
    wind = design.loads.trellis
    if wind is None:
        return []
    gust = print_quantity(design.parameters.site.wind, "speed")
    force = f"{print_quantity(wind.force, 'force')}; drag of {DRAG:g}, a {JUDGED}"
    rows = [(f"a gust of {gust} pushes the trellis with", force)]
    known = [one for one in wind.screws if one.values is not None]
    if known:
        rows.append((f"worst screw of the trellis (shares a {JUDGED}), then", _shares(known)))
    if wind.allowed is not None:
        share = 100 * wind.stress / wind.allowed
        told = f"{share:.0f} % of what ungraded wet strips are given ({JUDGED})"
        rows.append(("worst upright, bending, then", told))
    return rows


def _movement(design: Design) -> TextRows:
    """Return how the widest stave moves, where its wood is known."""
    wall = design.loads.wall
    if wall is None:
        return []
    system = design.parameters.product.units
    about = "about " if wall.estimate else ""
    stave = tape_text(wall.stave, system)
    ways = (("swells", wall.swelling), ("shrinks", wall.shrinking))
    told = [f"{way} {about}{both_units(by)}" for way, by in ways if by >= 0.05]
    needs = both_units(wall.swelling) if wall.swelling >= 0.05 else "none"
    cut = design.box.sizes.gap
    return [
        (f"a stave {stave} wide, after the saw, outdoors", ", ".join(told) or "hardly moves"),
        ("gap that staves need for swelling", needs),
        ("gap between staves, as cut", both_units(cut) if cut > 0 else "none"),
    ]


def _woods(design: Design) -> list[str]:
    """Return how long each wood lasts outdoors, and where strength and movement come from."""
    stocks = {board.stock.species: board.stock for board in design.box.boards.values()}
    found = []
    for name, stock in stocks.items():
        wood = design.parameters.materials.species[stock]
        told = [wood.life, wood.strength_source and f"strength: {wood.strength_source}"]
        if any(told):
            found.append(f"{name}: {'; '.join(text for text in told if text)}")
    wall = design.loads.wall
    if wall is not None:
        about = ", an estimate: beyond the moistures the formula is for" if wall.estimate else ""
        found.append(f"staves move in {wall.wood.source}{about}")
    return found
