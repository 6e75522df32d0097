"""How hard soil bends staves, rails, slats and cleats: stress and sag of the worst of each.

Statics of simple beams: staves span from rail to rail, rails from stile to stile, slats from cleat
to cleat, cleats from screw to screw. A stave or slat carries what presses on its own width and on
half of the gap at either side, the outermost all that presses beyond it. Braces, bars and glue are
left out, which is on the safe side. The thinnest board of the stock is counted.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from palewright.catalogue.fillings import FRICTION_ANGLE, at_rest, side_pressure
from palewright.construction.boards import Board
from palewright.construction.box_layout import Box
from palewright.loads.beams import LineLoad, even_load, second_moment, section_modulus, shares
from palewright.loads.screw_design_values import DURATION
from palewright.loads.weights import Weights
from palewright.reading.quantities import GRAVITY

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

    None where no soil lies between the middles of the laps, or nothing presses: pots do not.
    """
    if not weights.loose:
        return None
    sizes, soil = box.sizes, weights.soil
    outer = panel in ("front", "back")
    lap = sizes.rail_lap if outer else sizes.side_rail_lap
    ends = sizes.stave_ends(outer)
    low, high = ends[0] + lap / 2, ends[1] - lap / 2
    start, end = max(soil.bottom, low), min(soil.top, high)
    if end <= start or high <= low:
        return None
    share = at_rest(FRICTION_ANGLE)
    first, last = (
        side_pressure(weights.mix.moist, soil.top - z, share) * 1e-3 for z in (start, end)
    )
    return LineLoad(high - low, start - low, end - low, first, last)


def pressed_between(weights: Weights) -> Callable[[float, float], float]:
    """Return what soil presses on a mm of wall between two heights (mm), N/mm."""
    soil, share = weights.soil, at_rest(FRICTION_ANGLE)

    def pressed(low: float, high: float) -> float:
        low, high = max(low, soil.bottom), min(high, soil.top)
        if high <= low:
            return 0.0
        middle = side_pressure(weights.mix.moist, soil.top - (low + high) / 2, share)
        return middle * 1e-3 * (high - low)

    return pressed


def rail_pushes(panel: str, load: LineLoad, box: Box, weights: Weights) -> dict[str, float]:
    """Return what pushes a wall's bottom and top rail out, N/mm of their length.

    The staves' ends, and below them what soil presses on a bottom rail that they leave free. No
    soil reaches above the staves.

    Args:
        panel: which wall.
        load: on the staves between the rails; its supports are these.
        box: laid out.
        weights: of the box and its filling.
    """
    low = box.sizes.stave_ends(panel in ("front", "back"))[0]
    bare = pressed_between(weights)(box.sizes.foot, low)
    return {"bottom": load.left + bare, "top": load.right}


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
        found.append(_stave(panel, load, weights, box))
        # a cap, flat on the top rail and screwed to it, keeps it straight
        ends = ("bottom", "top") if box.parameters.cap.style == "none" else ("bottom",)
        pushes = rail_pushes(panel, load, box, weights)
        found += [_rail(panel, end, pushes[end], box) for end in ends]
    pressure = floor_pressure(weights)
    if pressure > 0.0 and box.parameters.floor.kind != "none":
        found.append(_slats(pressure, weights, box))
        if box.parameters.floor.kind == "cleats":
            found += _cleats(pressure, weights, box)
    return tuple(found)


def _bent(
    role: str, boards: list[Board], load: LineLoad, width: float, depth: float, box: Box
) -> BentBoard:
    """Return what a load does to a section of ``width`` bent over its ``depth``, mm."""
    species = box.parameters.materials.species[boards[0].stock]
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


def loaded_widths(boards: Sequence[Board], wide: float) -> list[tuple[Board, float]]:
    """Return boards side by side, each with the strip (mm) of a load that it carries.

    Args:
        boards: of one wall or one floor.
        wide: how broad the load lies, mm, its middle over the box's.
    """
    axis = max(range(3), key=lambda k: abs(boards[0].placement.across[k]))
    edges = {b.name: [p[axis] for p in b.corners] for b in boards}
    order = sorted(boards, key=lambda b: min(edges[b.name]))
    places = [(min(edges[b.name]), max(edges[b.name])) for b in order]
    return list(zip(order, shares(places, -wide / 2, wide / 2), strict=True))


def _hardest(boards: Sequence[Board], wide: float) -> tuple[Board, float]:
    """Return the board that carries the most for its width, with the strip (mm) it carries."""
    return max(loaded_widths(boards, wide), key=lambda one: one[1] / one[0].width)


def _stave(panel: str, load: LineLoad, weights: Weights, box: Box) -> BentBoard:
    """Return the staves: the worst is the one with the most gap for its width."""
    soil = weights.soil
    wide = soil.width if panel == "front" else soil.depth
    worst, strip = _hardest(_of(box, (panel,), "stave", "filler"), wide)
    staves = _of(box, _alike(panel), "stave", "filler")
    return _bent("stave", staves, load.on(strip), worst.width, box.sizes.board.thinnest, box)


def _rail(panel: str, end: str, push: float, box: Box) -> BentBoard:
    """Return a rail that holds the staves' ends from stile to stile."""
    sizes, outer = box.sizes, panel == "front"
    whole, stile = (sizes.width, sizes.stile) if outer else (sizes.side_length, sizes.side_stile)
    width = sizes.rail if outer else sizes.side_rail
    rails = [box.boards[f"{name}.rail-{end}"] for name in _alike(panel)]
    carried = even_load(whole - 2 * stile, push)
    return _bent("rail", rails, carried, width, sizes.board.thinnest, box)


def _slats(pressure: float, weights: Weights, box: Box) -> BentBoard:
    """Return the floor's slats, from cleat to cleat or from wall to wall."""
    slats = _of(box, ("floor",), "slat")
    longest = max(slats, key=lambda board: board.length)
    bearing = box.sizes.board.thinnest  # half a cleat, or half a stave, at either end
    worst, strip = _hardest(slats, _breadth(slats[0], weights))
    load = even_load(max(longest.length - bearing, 1.0), pressure).on(strip)
    return _bent("slat", slats, load, worst.width, box.sizes.board.thinnest, box)


def _breadth(slat: Board, weights: Weights) -> float:
    """Return how broad the soil lies across the slats, mm."""
    along_front = abs(slat.placement.across[0]) > 0.5
    return weights.soil.width if along_front else weights.soil.depth


def _cleats(pressure: float, weights: Weights, box: Box) -> list[BentBoard]:
    """Return the cleats, edgewise, by the one that spans furthest from screw to screw.

    Slats bring their load where they lie: it is counted as if they lay all along as heavily as the
    heaviest does, which is on the safe side. An end that stands out beyond its last screw is bent
    as a span twice as long: w a² / 2 = w (2 a)² / 8.
    """
    cleats = [b for b in box.boards.values() if b.role == "cleat"]
    slats = _of(box, ("floor",), "slat")
    worst, strip = _hardest(slats, _breadth(slats[0], weights))
    soil, along_front = weights.soil, abs(worst.placement.grain[0]) > 0.5
    long = soil.width if along_front else soil.depth
    share = pressure * strip * long / len(cleats) / worst.width
    load = even_load(max(_unheld(cleat, box) for cleat in cleats), share)
    return [_bent("cleat", cleats, load, box.sizes.board.thinnest, cleats[0].width, box)]


def _unheld(cleat: Board, box: Box) -> float:
    """Return the span (mm) over which a cleat is bent hardest between or beyond its screws."""
    screws = [s for s in box.screws if s.use == "cleat" and s.stack[0] == cleat.name]
    places = sorted(cleat.placement.into(screw.head)[0] for screw in screws)
    if not places:
        return cleat.length
    low, high = min(x for x, _ in cleat.outline), max(x for x, _ in cleat.outline)
    beyond = (2 * (places[0] - low), 2 * (high - places[-1]))
    return max(*beyond, *(b - a for a, b in pairwise(places)))
