"""The loads of a design as JSON-ready data: weights, bending, screws, movement, how it stands.

Units are in the keys: kg, mm, N, MPa, kPa, m/s, percent. What is not known is null.
"""

from __future__ import annotations

import math

from typing_extensions import TypedDict

from palewright.design import Design
from palewright.loads.board_bending import BentBoard
from palewright.loads.box_loads import DEFERS, NOT_COVERED, BoxLoads
from palewright.loads.overturning import OVERTURNING
from palewright.loads.screw_forces import LoadedScrews
from palewright.loads.sources import BASES
from palewright.loads.standing import BOX_ALONE, HELD_UP, STATES
from palewright.loads.weights import Heap, foot_pressures


class HeapJson(TypedDict):
    """A mass and its middle, in the box's coordinates."""

    mass_kg: float | None
    centre_mm: list[float | None]


class FreshJson(TypedDict):
    """A mass alone."""

    mass_kg: float | None


class WeightsJson(TypedDict):
    """The box empty, with soil in three states, and of fresh, wet lumber."""

    empty: HeapJson
    dry: HeapJson
    watered: HeapJson
    soaked: HeapJson
    fresh: FreshJson


class SoilJson(TypedDict):
    """What fills the box, and how it presses on the walls at its bottom."""

    kind: str
    source: str
    volume_l: float | None
    depth_mm: float | None
    dry_kg_m3: float | None
    watered_kg_m3: float | None
    soaked_kg_m3: float | None
    side_pressure_kpa: float | None
    flooded_pressure_kpa: float | None


class BendingJson(TypedDict):
    """The worst board of one role."""

    role: str
    boards: list[str]
    span_mm: float | None
    stress_mpa: float | None
    assumed_mpa: float | None
    breaking_mpa: float | None
    sag_mm: float | None


class ScrewLoadJson(TypedDict):
    """One group of screws; ``value_n`` only where the standard gives one (``in_scope``)."""

    use: str
    screw: str
    count: int
    pulled_n: float | None
    pushed_n: float | None
    penetration_d: float | None
    in_scope: bool
    value_n: float | None


class MovementJson(TypedDict):
    """How the staves swell and shrink over the year."""

    stave_mm: float | None
    cut_at_percent: float
    driest_percent: float | None
    wettest_percent: float | None
    source: str
    season_known: bool
    swells_mm: float | None
    shrinks_mm: float | None
    gap_to_leave_mm: float | None
    gap_mm: float | None
    estimate: bool


class StanceJson(TypedDict):
    """How the box stands: on a deck, in wind, against a pull, in the arms of one or two people."""

    state: str
    covers: str
    deck_pressure_kpa: float | None
    crown_mm: list[float | None]
    tips_in_wind_m_s: float | None
    stands_wind_m_s: float | None
    tips_when_dry_m_s: float | None
    stands_wind_when_dry_m_s: float | None
    overturning_factor: float
    tips_by_pull_n: float | None
    pull_height_mm: float | None
    slides_first: bool
    one_person_lifts_kg: float | None
    two_people_lift_kg: float | None


class TrellisLoadJson(TypedDict):
    """What wind does to the trellis."""

    wind_n: float | None
    height_mm: float | None
    screws: list[ScrewLoadJson]
    stress_mpa: float | None
    assumed_mpa: float | None


class WoodLifeJson(TypedDict):
    """One wood: what is known of its life, and where its numbers come from."""

    species: str
    treated: bool
    ground_contact: bool
    life: str
    strength_source: str
    shrinkage_source: str


class LoadsJson(TypedDict):
    """Loads of one box. ``bases`` say where a number comes from, by its key; null: not known."""

    note: str
    not_covered: list[str]
    soil: SoilJson
    weights: WeightsJson
    bending: list[BendingJson]
    screws: list[ScrewLoadJson]
    movement: MovementJson | None
    stance: StanceJson
    trellis: TrellisLoadJson | None
    woods: list[WoodLifeJson]
    bases: dict[str, str]


def loads_as_json(design: Design) -> LoadsJson:
    """Return the loads of a design; ``bases`` say where a number comes from, by its key.

    Raises:
        InputError: if the parameters cannot be built at all.
    """
    loads = design.loads
    return {
        "note": DEFERS,
        "not_covered": list(NOT_COVERED),
        "soil": _soil(loads),
        "weights": {
            "empty": _heap(loads.weights.empty),
            "dry": _heap(loads.weights.dry),
            "watered": _heap(loads.weights.moist),
            "soaked": _heap(loads.weights.saturated),
            "fresh": {"mass_kg": _number(loads.weights.fresh)},
        },
        "bending": [_bent(one) for one in loads.bent],
        "screws": [_screws(one) for one in loads.screws],
        "movement": _movement(loads),
        "stance": _stance(loads),
        "trellis": _trellis(loads),
        "woods": _woods(design),
        "bases": dict(BASES),
    }


def _number(value: float | None, digits: int = 3) -> float | None:
    """Return a rounded number; None for what is not known or without end."""
    if value is None or not math.isfinite(value):
        return None
    return round(value, digits) + 0.0


def _heap(heap: Heap) -> HeapJson:
    """Return a mass with its middle."""
    return {
        "mass_kg": _number(heap.mass),
        "centre_mm": [_number(x, 1) for x in heap.centre],
    }


def _soil(loads: BoxLoads) -> SoilJson:
    """Return what fills the box, and how it presses at its bottom."""
    soil, mix = loads.weights.soil, loads.weights.mix
    pressed, flooded = foot_pressures(loads.weights)
    return {
        "kind": mix.meaning,
        "source": mix.source,
        "volume_l": _number(soil.volume),
        "depth_mm": _number(soil.height, 1),
        "dry_kg_m3": _number(mix.dry, 1),
        "watered_kg_m3": _number(mix.moist, 1),
        "soaked_kg_m3": _number(mix.saturated, 1),
        "side_pressure_kpa": _number(pressed),
        "flooded_pressure_kpa": _number(flooded),
    }


def _bent(one: BentBoard) -> BendingJson:
    """Return the worst board of one role."""
    return {
        "role": one.role,
        "boards": list(one.boards),
        "span_mm": _number(one.span, 1),
        "stress_mpa": _number(one.stress),
        "assumed_mpa": _number(one.allowed),
        "breaking_mpa": _number(one.breaking),
        "sag_mm": _number(one.sag, 2),
    }


def _screws(one: LoadedScrews) -> ScrewLoadJson:
    """Return one group of screws; a value only where the standard gives one."""
    values = one.values
    return {
        "use": one.use,
        "screw": one.kind,
        "count": len(one.screws),
        "pulled_n": _number(one.pulled, 1),
        "pushed_n": _number(one.pushed, 1),
        "penetration_d": _number(None if values is None else values.penetration, 2),
        "in_scope": one.in_scope,
        "value_n": _number(one.value, 1),
    }


def _movement(loads: BoxLoads) -> MovementJson | None:
    """Return how the staves move; None where the wood is not known."""
    wall = loads.wall
    if wall is None:
        return None
    return {
        "stave_mm": _number(wall.stave, 2),
        "cut_at_percent": wall.bought,
        "driest_percent": _number(wall.wood.driest, 1),
        "wettest_percent": _number(wall.wood.wettest, 1),
        "source": wall.wood.source,
        "season_known": wall.wood.season_known,
        "swells_mm": _number(wall.swelling, 2),
        "shrinks_mm": _number(wall.shrinking, 2),
        "gap_to_leave_mm": _number(wall.swelling, 2),
        "gap_mm": _number(loads.box.sizes.gap, 2),
        "estimate": wall.estimate,
    }


def _stance(loads: BoxLoads) -> StanceJson:
    """Return how the box stands."""
    stance, filled = loads.stance, loads.weights.filled
    tree = loads.box.parameters.box.kind == "tree"
    return {
        "state": STATES[filled],
        "covers": BOX_ALONE if tree else HELD_UP,
        "deck_pressure_kpa": _number(stance.deck_pressure),
        "crown_mm": [_number(stance.crown.width, 1), _number(stance.crown.height, 1)],
        "tips_in_wind_m_s": _number(stance.wind, 2),
        "stands_wind_m_s": _number(stance.steady_wind, 2),
        "tips_when_dry_m_s": _number(stance.dry_wind, 2) if filled else None,
        "stands_wind_when_dry_m_s": _number(stance.steady_dry_wind, 2) if filled else None,
        "overturning_factor": OVERTURNING,
        "tips_by_pull_n": _number(stance.pull, 1),
        "pull_height_mm": _number(stance.pull_height, 1),
        "slides_first": stance.slides_first,
        "one_person_lifts_kg": _number(stance.alone),
        "two_people_lift_kg": _number(stance.by_two),
    }


def _trellis(loads: BoxLoads) -> TrellisLoadJson | None:
    """Return what wind does to the trellis; None without one."""
    wind = loads.trellis
    if wind is None:
        return None
    return {
        "wind_n": _number(wind.force, 1),
        "height_mm": _number(wind.height, 1),
        "screws": [_screws(one) for one in wind.screws],
        "stress_mpa": _number(wind.stress),
        "assumed_mpa": _number(wind.allowed),
    }


def _woods(design: Design) -> list[WoodLifeJson]:
    """Return each wood with what is known of its life and where its numbers come from."""
    names = dict.fromkeys(board.stock.species for board in design.box.boards.values())
    stocks = {board.stock.species: board.stock for board in design.box.boards.values()}
    found: list[WoodLifeJson] = []
    for name in names:
        species = design.parameters.materials.species[stocks[name]]
        found.append(
            {
                "species": name,
                "treated": species.treated,
                "ground_contact": species.ground_contact,
                "life": species.life,
                "strength_source": species.strength_source,
                "shrinkage_source": species.shrinkage_source,
            }
        )
    return found
