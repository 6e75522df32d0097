"""Check that the floor drains, holds the soil, and bears on enough wood."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from palewright.construction.floors import refuse_floor_outside
from palewright.construction.joints import Joint
from palewright.fit.cases import FitCase, check, design_check
from palewright.fit.findings import Finding
from palewright.fit.remedies import Remedy, lowered, raised, set_to, words
from palewright.loads.screw_forces import HUNG, in_end_grain
from palewright.reading.errors import InputError
from palewright.reading.lengths import both_units
from palewright.reading.quantities import print_quantity


def corner_openings(fit: FitCase) -> list[tuple[float, tuple[str, ...]]]:
    """Return how wide (mm) each corner is open beside the floor, with the boards round it.

    Where the outermost staves lap their stiles but little, a shaft stands open before both stiles.
    Its width is its shorter side, from a stile's face to the stave of the other panel.
    """
    found: list[tuple[float, tuple[str, ...]]] = []
    for seat in fit.seats:
        outer, side = (fit.box.boards[name].thickness for name in seat.boards[:2])
        found.append((min(seat.lip + side, seat.setback + outer), seat.boards))
    return found


def measured_gaps(fit: FitCase) -> list[tuple[float, tuple[str, str]]]:
    """Return the gaps (mm) between neighbouring slats as they lie, with the two slats."""
    slats = [b for b in fit.box.boards.values() if b.role == "slat"]
    found = []
    for first, second in pairwise(slats):
        low, high = fit.prisms[first.name], fit.prisms[second.name]
        axis = max(range(3), key=lambda k: abs(second.placement.across[k]))
        gap = max(low.low[axis], high.low[axis]) - min(low.high[axis], high.high[axis])
        found.append((float(gap), (first.name, second.name)))
    return found


@design_check("PW501", "PW502")
def drain_gaps(fit: FitCase) -> Iterator[Finding]:
    """Find gaps that clog (PW501), or that lose soil without a liner (PW502)."""
    gaps = measured_gaps(fit)
    limits, floor = fit.tolerances, fit.box.parameters.floor
    system = fit.box.parameters.product.units
    yield from _open_corners(fit)
    if not gaps:
        return
    narrow, widest = min(gaps), max(gaps)
    if narrow[0] < limits.drain_gap - 1e-6:
        yield Finding(
            "PW501",
            narrow[1],
            narrow[0],
            limits.drain_gap,
            "mm",
            f"drain gaps of {both_units(narrow[0])} clog",
            *raised("floor.gap", floor.gap, limits.drain_gap - narrow[0], system),
        )
    falls = fit.loads.weights.loose and not fit.box.parameters.liner.fit
    if falls and widest[0] > limits.soil_gap + 1e-6:
        yield Finding(
            "PW502",
            widest[1],
            widest[0],
            limits.soil_gap,
            "mm",
            f"soil falls through gaps of {both_units(widest[0])} where there is no liner",
            *lowered("floor.gap", floor.gap, widest[0] - limits.soil_gap, system),
        )


def _open_corners(fit: FitCase) -> Iterator[Finding]:
    """Find corners that soil falls through beside the floor (PW502)."""
    parameters = fit.box.parameters
    width, boards = max(corner_openings(fit))
    limit = fit.tolerances.soil_gap
    kept_in = parameters.liner.fit or parameters.floor.kind == "none"
    if kept_in or not fit.loads.weights.loose or width <= limit + 1e-6:
        return
    yield Finding(
        "PW502",
        boards,
        width,
        limit,
        "mm",
        f"soil falls through corners {both_units(width)} wide beside the floor where there is no "
        "liner",
        *set_to("liner.fit", "true"),
        group="corners",
    )


@design_check("PW503")
def hung_floors(fit: FitCase) -> Iterator[Finding]:
    """Find a floor whose load hangs on screws in end grain (PW503), whatever that load is.

    An empty box's slats may hang: nothing of weight can stand in it.
    """
    box = fit.box
    for one in (group for group in fit.loads.screws if group.use == HUNG):
        into_ends = [s for s in box.screws if s.name in one.screws and in_end_grain(s, box)]
        if not into_ends:
            continue
        yield Finding(
            "PW503",
            tuple(dict.fromkeys(screw.stack[0] for screw in into_ends)),
            one.pulled,
            0.0,
            "N",
            f"each of {len(into_ends)} floor screws ({one.kind}) holds up "
            f"{print_quantity(one.pulled, 'force')} of {fit.loads.weights.mix.meaning}, soaked, by "
            "its thread in end grain, which is given nothing",
            *_on_cleats(fit),
            group="hung",
            brief=f"{len(into_ends)} floor screws each hold up "
            f"{print_quantity(one.pulled, 'force')} by end grain, which holds nothing",
        )


def _on_cleats(fit: FitCase) -> Remedy:
    """Return what makes a floor bear on wood: cleats, where they have room."""
    try:
        refuse_floor_outside(fit.box.parameters, fit.box.sizes)
    except InputError as error:
        return words(f"lay it on cleats, where {error.key} leaves room for them")
    return set_to("floor.kind", "cleats")


@check("PW504")
def bearing_lengths(fit: FitCase) -> Iterator[Finding]:
    """Find slats that bear on too little of a cleat (PW504)."""
    limit, floor = fit.tolerances.bearing_length, fit.box.parameters.floor
    system = fit.box.parameters.product.units
    for joint in fit.box.joints:
        if joint.kind != "bearing" or fit.box.boards[joint.boards[0]].role != "slat":
            continue
        length, slat, cleat = bearing_of(joint, fit), joint.boards[0], joint.onto[0]
        if length < limit - 1e-6:
            told = f"{slat} bears on {both_units(length)} of {cleat}"
            if length < 0:
                told = f"{slat} ends {both_units(-length)} before {cleat}, on which it should bear"
            yield Finding(
                "PW504",
                (*joint.boards, *joint.onto),
                length,
                limit,
                "mm",
                told,
                *longer_slat(floor.play, limit - length, system),
                group="slats",
            )


def bearing_of(joint: Joint, fit: FitCase) -> float:
    """Return how much (mm) of a cleat a slat bears on; negative: how far it ends before it."""
    slat = fit.box.boards[joint.boards[0]]
    length = sum(fit.contacts[joint.name].values()) / slat.width
    if length > 0.0:
        return length
    axis = max(range(3), key=lambda k: abs(slat.placement.grain[k]))
    first, second = fit.prisms[slat.name], fit.prisms[joint.onto[0]]
    lapped = min(first.high[axis], second.high[axis]) - max(first.low[axis], second.low[axis])
    return min(float(lapped), 0.0)


def longer_slat(play: float, short: float, system: str) -> Remedy:
    """Return what makes slats bear on more of their cleats."""
    if short <= play + 1e-6:
        return lowered("floor.play", play, short, system)
    return words("take lumber that varies less")


@design_check("PW505")
def drain_heights(fit: FitCase) -> Iterator[Finding]:
    """Find a floor so near the ground that water cannot leave (PW505)."""
    slats = [fit.prisms[b.name] for b in fit.box.boards.values() if b.role == "slat"]
    if not slats:
        return
    limit, system = fit.tolerances.drain_height, fit.box.parameters.product.units
    clear = min(float(prism.low[2]) for prism in slats)
    foot = fit.box.sizes.foot
    way_out = min(clear, foot if fit.box.parameters.floor.kind == "cleats" else clear)
    if way_out < limit - 1e-6:
        yield Finding(
            "PW505",
            tuple(b.name for b in fit.box.boards.values() if b.role == "slat"),
            way_out,
            limit,
            "mm",
            f"water has {both_units(way_out)} to run off under the box",
            *raised("box.foot", foot, limit - way_out, system),
        )
