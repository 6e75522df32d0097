"""What each group of screws carries, and what the standard lets it carry in wet wood.

The soil pushes the walls out: outer panels pull on the corner screws by their thread, side panels
push across them; rails hang on the screws of their end staves; the floor rests on the cleats'
screws; an empty box is lifted by its cap. The worst screw of each group is told.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from palewright.catalogue.lumber import Species
from palewright.construction.box_layout import Box
from palewright.construction.joints import Screw
from palewright.loads.beams import tributaries
from palewright.loads.board_bending import (
    floor_pressure,
    pressed_between,
    rail_pushes,
    stave_load,
)
from palewright.loads.screw_design_values import (
    DURATION,
    END_GRAIN_LATERAL,
    FULL_PENETRATION,
    GRAVITY_RANGE,
    TIP,
    WET,
    combined,
    lateral,
    pull_through,
    thread_length,
    withdrawal,
    withdrawal_breaking,
    yield_modes,
)
from palewright.loads.weights import Weights
from palewright.reading.quantities import GRAVITY

JERK = 2.0
"""A box that is picked up quickly pulls so many times its weight (judgement)."""

HUNG = "hung floor"
"""Use of the screws by which a floor hangs."""

_OPPOSITE = (("front", "back"), ("left", "right"))


@dataclass(frozen=True, slots=True)
class ScrewValues:
    """What one screw is given, N; None where the standard gives nothing.

    Attributes:
        out: by thread or head, whichever is less; 0 in end grain; None where the last board holds
            no more than the tip.
        out_whole: the same were a tip alone thread like the rest.
        across: in shear; None when the point is too short for the standard.
        across_whole: what the same screw would be given with the point fully in.
        breaking: force at which threads came out in tests, on average; None: wood not known.
        penetration: of the point, in diameters.
    """

    out: float | None
    out_whole: float
    across: float | None
    across_whole: float
    breaking: float | None
    penetration: float


@dataclass(frozen=True, slots=True)
class LoadedScrews:
    """One group of screws and what the worst of them carries.

    Attributes:
        use: corner, post, rail, cleat or hung floor; cap or top rail, by which it is lifted;
            trellis bar, trellis upright or packer.
        setting: which ``screws.…`` key chose them.
        screws: their names.
        kind: what is bought, as text.
        pulled, pushed: force along and across the worst one, N.
        values: what one is given; None where the wood is not known.
    """

    use: str
    setting: str
    screws: tuple[str, ...]
    kind: str
    diameter: float
    pulled: float
    pushed: float
    values: ScrewValues | None

    @property
    def force(self) -> float:
        """The whole force on the worst one, N."""
        return math.hypot(self.pulled, self.pushed)

    @property
    def in_scope(self) -> bool:
        """Whether the standard gives a value for the way it is loaded."""
        return self.value is not None

    @property
    def value(self) -> float | None:
        """What the standard lets one carry at that angle, N; None outside its scope."""
        values = self.values
        return None if values is None else self._given(values.out, values.across)

    @property
    def limit(self) -> float | None:
        """What one carries too much above, N: its value, or what none so short is given more than.

        Outside the standard's scope: what it would be given were a tip alone thread, and a point
        in shear as deep as counts fully. None where the wood is not known.
        """
        values = self.values
        if values is None or self.in_scope:
            return self.value
        return self._given(values.out_whole, values.across_whole)

    @property
    def whose(self) -> str:
        """Which of both the limit is, in words before the number."""
        return "it is given" if self.in_scope else "even a point that counts whole would be given"

    def _given(self, out: float | None, across: float | None) -> float | None:
        """Return what it is given at its angle from what it is given along and across."""
        if self.pushed <= 0.0:
            return out
        if self.pulled <= 0.0 or out is None or across is None:
            return None if self.pulled > 0.0 else across
        angle = math.atan2(self.pulled, self.pushed)
        return combined(out, across, angle) if out > 0.0 else 0.0


def known_to_screws(*species: Species) -> bool:
    """Return whether the standard's screw formulas cover these woods."""
    low, high = GRAVITY_RANGE
    return all(one.gravity is not None and low <= one.gravity <= high for one in species)


def in_end_grain(screw: Screw, box: Box) -> bool:
    """Return whether a screw's point runs along the grain of the board that holds it."""
    held = box.boards[screw.stack[-1]]
    return abs(held.placement.direction_into(screw.axis)[0]) > math.sqrt(0.5)


def screw_values(screw: Screw, box: Box, duration: float) -> ScrewValues | None:
    """Return what one screw is given in wet wood, whatever the lumber: the worst of each number.

    Args:
        screw: the screw.
        box: where it is.
        duration: C_D of the load.
    """
    boards = [box.boards[name] for name in screw.stack]
    under, held = boards[0], boards[-1]
    woods = [box.parameters.materials.species[board.stock] for board in (under, held)]
    if not known_to_screws(*woods):
        return None
    g_side, g_main = (float(wood.gravity or 0.0) for wood in woods)
    kind = screw.kind
    through = sum(board.stock.thickest for board in boards[:-1])
    side = sum(board.stock.thinnest for board in boards[:-1])
    deep = max(kind.length - through, 0.0)
    thread = min(thread_length(kind.length, kind.diameter), deep)
    factor = duration * WET
    out = factor * min(
        withdrawal(g_main, kind.diameter, thread),
        pull_through(g_side, kind.gauge.head, under.stock.thinnest),
    )
    across = lateral(kind.gauge, side, deep, g_side, g_main)
    whole = yield_modes(
        kind.gauge, side, (FULL_PENETRATION - 1) * kind.diameter, g_side, g_main
    ).least
    wood, end_grain = woods[1].gravity_12, in_end_grain(screw, box)
    sideways = factor * (END_GRAIN_LATERAL if end_grain else 1.0)
    if end_grain:
        out = 0.0
    return ScrewValues(
        out=out if end_grain or deep > TIP * kind.diameter + 1e-9 else None,
        out_whole=out,
        across=None if across is None else across * sideways,
        across_whole=whole * sideways,
        breaking=None if wood is None else withdrawal_breaking(wood, kind.diameter, thread),
        penetration=deep / kind.diameter,
    )


def loaded_group(
    use: str,
    setting: str,
    screws: Sequence[Screw],
    pulled: float,
    pushed: float,
    box: Box,
    duration: float = DURATION["permanent"],
) -> LoadedScrews:
    """Return the record of screws of one kind and place.

    Args:
        use: of the screws, as in the settings.
        setting: where they are.
        screws: that share the load.
        pulled: load along the screws, N.
        pushed: load across them, N.
        box: whose boards they hold.
        duration: C_D of the load.
    """
    first = screws[0]
    return LoadedScrews(
        use=use,
        setting=f"screws.{setting}",
        screws=tuple(screw.name for screw in screws),
        kind=first.kind.label,
        diameter=first.kind.diameter,
        pulled=pulled,
        pushed=pushed,
        values=screw_values(first, box, duration),
    )


def loaded_screws(box: Box, weights: Weights) -> tuple[LoadedScrews, ...]:
    """Return every group of screws that soil, floor or lifting loads."""
    found: list[LoadedScrews] = []
    for make in (_corners, _rails, _floor, _handles):
        found += make(box, weights)
    return tuple(found)


def _corners(box: Box, weights: Weights) -> list[LoadedScrews]:
    """Return the corner or post screws: each holds the walls halfway to its neighbours."""
    if not weights.loose:
        return []
    pressed, sizes, soil = pressed_between(weights), box.sizes, weights.soil
    edge = box.parameters.corner.style == "edge"
    found = []
    stiles = dict.fromkeys(s.stack[0] for s in box.screws if s.use in ("corner", "post"))
    worst: dict[str, LoadedScrews] = {}
    for stile in stiles:
        screws = [s for s in box.screws if s.use in ("corner", "post") and s.stack[0] == stile]
        outer = box.boards[stile].panel in ("front", "back")
        across = (soil.width if outer else soil.depth) / 2
        cells = tributaries([s.head[2] for s in screws], sizes.foot, sizes.top)
        most = max(pressed(low, high) for low, high in cells)
        use, pushed = ("corner", most * soil.depth / 2) if edge else ("post", 0.0)
        one = loaded_group(use, use, screws, most * across, pushed, box)
        kept = worst.get(use)
        if kept is None or one.force > kept.force:
            worst[use] = one
    found += list(worst.values())
    return found


def _rails(box: Box, weights: Weights) -> list[LoadedScrews]:
    """Return the screws by which a rail's ends hang on the staves behind the stiles."""
    worst: LoadedScrews | None = None
    for panel in ("front", "left"):
        load = stave_load(panel, box, weights)
        if load is None:
            continue
        sizes = box.sizes
        outer = panel == "front"
        whole, stile = (
            (sizes.width, sizes.stile) if outer else (sizes.side_length, sizes.side_stile)
        )
        for place, push in rail_pushes(panel, load, box, weights).items():
            rail = f"{panel}.rail-{place}"
            screws = [s for s in box.screws if s.use == "wall" and s.stack[-1] == rail]
            ends = _end_screws(screws, panel, box)
            if not ends:  # an end that hangs on nothing is a fault of its own
                continue
            one = loaded_group(
                "rail", "wall", screws, push * (whole - 2 * stile) / 2 / ends, 0.0, box
            )
            if worst is None or one.force > worst.force:
                worst = one
    return [worst] if worst else []


def _end_screws(screws: Sequence[Screw], panel: str, box: Box) -> float:
    """Return how many of a rail's screws hold the end that fewer hold.

    An end hangs on the staves that are screwed to its stile too; one stave alone holds both ends.
    """
    ends = [
        {s.stack[0] for s in box.screws if s.use == "wall" and s.stack[-1] == f"{panel}.stile-{at}"}
        for at in ("left", "right")
    ]
    if ends[0] & ends[1]:
        return len(screws) / 2
    return min(sum(screw.stack[0] in staves for screw in screws) for staves in ends)


def _floor(box: Box, weights: Weights) -> list[LoadedScrews]:
    """Return the cleats' screws, or those by which a hung floor hangs."""
    whole = floor_pressure(weights) * weights.soil.width * weights.soil.depth
    if whole <= 0.0:
        return []
    if box.parameters.floor.kind == "hung":
        screws = [s for s in box.screws if s.use == "floor"]
        return (
            [loaded_group(HUNG, "floor", screws, whole / len(screws), 0.0, box)] if screws else []
        )
    cleats = [b.name for b in box.boards.values() if b.role == "cleat"]
    held = [[s for s in box.screws if s.use == "cleat" and s.stack[0] == name] for name in cleats]
    fewest = min(held, key=len, default=[])
    if not fewest:  # a cleat that hangs on nothing is a fault of its own
        return []
    # thin screws in a row share alike: C_g = 1 below 1/4 in (NDS 2018, 11.3.6.1)
    each = whole / len(cleats) / len(fewest)
    return [loaded_group("cleat", "wall", fewest, 0.0, each, box)]


def _handles(box: Box, weights: Weights) -> list[LoadedScrews]:
    """Return the screws that hold when an empty box is picked up by two opposite sides.

    By the cap, whose screws are then pulled; without a cap by the top rails, whose screws slide.
    """
    capped = box.parameters.cap.style != "none"
    sides: dict[str, list[Screw]] = {}
    for screw in box.screws:
        side = screw.stack[0].removeprefix("cap.") if screw.use == "cap" else ""
        if not capped and screw.use == "wall":
            panel, _, board = screw.stack[-1].partition(".")
            side = panel if board == "rail-top" else ""
        if side:
            sides.setdefault(side, []).append(screw)
    pairs = [sides.get(a, []) + sides.get(b, []) for a, b in _OPPOSITE if a in sides and b in sides]
    fewest = min(pairs, key=len, default=[])
    if not fewest:
        return []
    force, brief = JERK * weights.empty.mass * GRAVITY / len(fewest), DURATION["seven days"]
    if capped:
        return [loaded_group("cap", "cap", fewest, force, 0.0, box, brief)]
    return [loaded_group("top rail", "wall", fewest, 0.0, force, box, brief)]
