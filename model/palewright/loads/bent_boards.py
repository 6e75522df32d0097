"""How hard soil bends staves, rails, slats and cleats: stress and sag of the worst of each.

Statics of simple beams: staves span from rail to rail, rails from stile to stile, slats from cleat
to cleat, cleats from screw to screw. Braces, bars and glue are left out, which is on the safe side.
The thinnest board of the stock is counted.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from palewright.boards import Board
from palewright.boxes import Box
from palewright.loads.beams import LineLoad, even_load, second_moment, section_modulus
from palewright.loads.screw_values import DURATION
from palewright.loads.soils import FRICTION_ANGLE, at_rest, side_pressure
from palewright.loads.weights import Weights
from palewright.measures import GRAVITY

LASTING = DURATION["permanent"]
"""C_D of a load that never goes: soil."""

CREEP = 2.0
"""Wet wood under a lasting load sags about so many times its first sag (judgement)."""


@dataclass(frozen=True, slots=True)
class BentBoard:
    """The worst board of one role.

    Attributes:
        role: stave, rail, slat or cleat.
        boards: names of the boards of that role and panel.
        span: mm.
        stress: in bending, MPa.
        allowed: what an ungraded wet board is assumed to carry for good, MPa; None: not known.
        breaking: at which clear green wood breaks on average, MPa; None: not known.
        sag: after years (creep counted), mm; None where the stiffness is not known.
        thickness: of the board as counted, mm.
    """

    role: str
    boards: tuple[str, ...]
    span: float
    stress: float
    allowed: float | None
    breaking: float | None
    sag: float | None
    thickness: float


def stave_load(panel: str, box: Box, weights: Weights) -> LineLoad | None:
    """Return what soil presses on 1 mm of a wall's width, from bottom rail up to top rail.

    None where no soil lies between the rails' middles, or nothing presses: pots do not.
    """
    if not weights.filled or box.parameters.site.soil == "pots":
        return None
    sizes, soil = box.sizes, weights.soil
    rail = sizes.rail if panel in ("front", "back") else sizes.side_rail
    low, high = sizes.foot + rail / 2, sizes.top - rail / 2
    start, end = max(soil.bottom, low), min(soil.top, high)
    if end <= start or high <= low:
        return None
    share = at_rest(FRICTION_ANGLE)
    first, last = (
        side_pressure(weights.mix.moist, soil.top - z, share) * 1e-3 for z in (start, end)
    )
    return LineLoad(high - low, start - low, end - low, first, last)


def floor_pressure(weights: Weights) -> float:
    """Return what a soaked filling presses on the floor, MPa."""
    soil = weights.soil
    if not weights.filled:
        return 0.0
    return (weights.saturated.mass - weights.empty.mass) * GRAVITY / (soil.width * soil.depth)


def bent_boards(box: Box, weights: Weights) -> tuple[BentBoard, ...]:
    """Return the worst stave and rail of each kind of panel, the slats and the cleats."""
    found: list[BentBoard] = []
    for panel in ("front", "left"):
        load = stave_load(panel, box, weights)
        if load is None:
            continue
        found.append(_stave(panel, load, box))
        # a cap, flat on the top rail and screwed to it, keeps it straight
        ends = ("bottom", "top") if box.parameters.cap.style == "none" else ("bottom",)
        found += [_rail(panel, end, load, box) for end in ends]
    pressure = floor_pressure(weights)
    if pressure > 0.0 and box.parameters.floor.kind != "none":
        found.append(_slats(pressure, box))
        if box.parameters.floor.kind == "cleats":
            found += _cleats(pressure, weights, box)
    return tuple(found)


def _bent(
    role: str, boards: list[Board], load: LineLoad, width: float, depth: float, box: Box
) -> BentBoard:
    """Return what a load does to a section of ``width`` bent over its ``depth``, mm."""
    species = box.parameters.species_of(boards[0].stock)
    sag = None
    if species.stiffness is not None:
        sag = CREEP * load.sag_at_middle(species.stiffness * second_moment(width, depth))
    return BentBoard(
        role=role,
        boards=tuple(board.name for board in boards),
        span=load.span,
        stress=load.greatest_moment / section_modulus(width, depth),
        allowed=None if species.bending is None else LASTING * species.bending,
        breaking=species.breaking,
        sag=sag,
        thickness=depth,
    )


def _of(box: Box, panels: tuple[str, ...], *roles: str) -> list[Board]:
    """Return the boards of some roles in some panels."""
    return [b for b in box.boards.values() if b.panel in panels and b.role in roles]


def _alike(panel: str) -> tuple[str, str]:
    """Return the two panels that are made alike."""
    return ("front", "back") if panel == "front" else ("left", "right")


def _stave(panel: str, load: LineLoad, box: Box) -> BentBoard:
    """Return the staves: each mm of their width carries the same."""
    staves = _of(box, _alike(panel), "stave", "filler")
    return _bent("stave", staves, load, 1.0, box.sizes.board.thinnest, box)


def _rail(panel: str, end: str, load: LineLoad, box: Box) -> BentBoard:
    """Return a rail that holds the staves' ends from stile to stile."""
    sizes, outer = box.sizes, panel == "front"
    whole, stile = (sizes.width, sizes.stile) if outer else (sizes.side_length, sizes.side_stile)
    width = sizes.rail if outer else sizes.side_rail
    rails = [box.boards[f"{name}.rail-{end}"] for name in _alike(panel)]
    push = load.left if end == "bottom" else load.right
    carried = even_load(whole - 2 * stile, push)
    return _bent("rail", rails, carried, width, sizes.board.thinnest, box)


def _slats(pressure: float, box: Box) -> BentBoard:
    """Return the floor's slats, from cleat to cleat or from wall to wall."""
    slats = _of(box, ("floor",), "slat")
    longest = max(slats, key=lambda board: board.length)
    bearing = box.sizes.board.thinnest  # half a cleat, or half a stave, at either end
    load = even_load(max(longest.length - bearing, 1.0), pressure)
    return _bent("slat", slats, load, 1.0, box.sizes.board.thinnest, box)


def _cleats(pressure: float, weights: Weights, box: Box) -> list[BentBoard]:
    """Return each pair of cleats, edgewise, between the screws that are furthest apart."""
    cleats = [b for b in box.boards.values() if b.role == "cleat"]
    found = []
    for cleat in cleats[:1]:
        along = cleat.placement.grain
        places = sorted(
            sum(s.head[k] * along[k] for k in range(3))
            for s in box.screws
            if s.use == "cleat" and s.stack[0] == cleat.name
        )
        gaps = [b - a for a, b in pairwise(places)]
        span = max(gaps, default=cleat.length)
        share = pressure * weights.soil.width * weights.soil.depth / 2 / cleat.length
        load = even_load(max(span, 1.0), share)
        found.append(_bent("cleat", cleats, load, box.sizes.board.thinnest, cleat.width, box))
    return found
