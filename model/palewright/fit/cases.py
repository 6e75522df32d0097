"""One box in one lumber case, with what the checks measure on it, each worked out once."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, partial

from palewright.catalogue.lumber import LumberCase
from palewright.catalogue.tolerances import TOLERANCES, Tolerances
from palewright.construction.box_layout import Box
from palewright.construction.joints import Joint
from palewright.fit.findings import Finding
from palewright.fit.screw_spans import ScrewSpans
from palewright.fit.seats import Seat, seats_of
from palewright.fit.ties import Ties
from palewright.loads.box_loads import BoxLoads
from palewright.solids.convex_prisms import Overlap, Prism, PrismSet, cylinder

_ROUNDING = 1e-6
"""Of the unit: a limit that is just met is met."""


@dataclass(frozen=True)
class FitCase:
    """A laid-out box and the lumber case it was laid out in."""

    box: Box
    case: LumberCase
    tolerances: Tolerances = TOLERANCES

    @cached_property
    def prisms(self) -> PrismSet:
        """All boards as prisms."""
        return PrismSet(self.box.boards)

    @cached_property
    def obstacles(self) -> dict[str, Prism]:
        """Stand and trunk as prisms, by name."""
        return {o.name: cylinder(o.radius, o.bottom, o.top) for o in self.box.obstacles}

    @cached_property
    def spans(self) -> ScrewSpans:
        """Where every screw runs in every board."""
        return ScrewSpans(self.box)

    @cached_property
    def ties(self) -> Ties:
        """Which screws hold their boards together."""
        return Ties(self.spans)

    @cached_property
    def clashes(self) -> list[tuple[str, str, Overlap]]:
        """Pairs of boards that share volume, and what they share."""
        prisms, limit, found = self.prisms, self.tolerances.clash_volume, []
        for i, j in prisms.near_pairs:
            shared = prisms.prisms[i].overlap(prisms.prisms[j])
            if shared.volume > limit:
                found.append((prisms.names[i], prisms.names[j], shared))
        return found

    @cached_property
    def blocked(self) -> frozenset[tuple[str, str]]:
        """Outer stave and what it meets of a side panel that does not enter its lip, both ways."""
        tight = [seat for seat in self.seats if seat.clearance < -_ROUNDING]
        pairs = [(seat.boards[0], other) for seat in tight for other in seat.boards[1::2]]
        return frozenset(way for a, b in pairs for way in ((a, b), (b, a)))

    @cached_property
    def loads(self) -> BoxLoads:
        """What the box weighs and carries."""
        return BoxLoads(self.box)

    @cached_property
    def seats(self) -> list[Seat]:
        """The seat at each of the four corners."""
        return seats_of(self.box.boards)

    @cached_property
    def clear_inside(self) -> tuple[float, float]:
        """The clear width and depth between the staves, mm."""
        staves = [b for b in self.box.boards.values() if b.role in ("stave", "filler")]
        sides = [self.prisms[b.name] for b in staves if b.panel in ("left", "right")]
        walls = [self.prisms[b.name] for b in staves if b.panel in ("front", "back")]
        wide = min(min(abs(float(p.low[0])), abs(float(p.high[0]))) for p in sides)
        deep = min(min(abs(float(p.low[1])), abs(float(p.high[1]))) for p in walls)
        return 2 * wide, 2 * deep

    @cached_property
    def contacts(self) -> dict[str, dict[tuple[str, str], float]]:
        """Contact areas (mm²) by joint, then by (pressed board, board it touches)."""
        return {joint.name: self._contacts_of(joint) for joint in self.box.joints}

    def _contacts_of(self, joint: Joint) -> dict[tuple[str, str], float]:
        """Return the contact areas of one joint: press by a hair, measure what is shared."""
        hair = self.tolerances.touch
        found = {}
        for name in joint.boards:
            pressed = self.prisms[name].moved([hair * x for x in joint.direction])
            for other in joint.onto:
                shared = pressed.overlap(self.prisms[other]).volume
                if shared > 0:
                    found[name, other] = shared / hair
        return found


Check = Callable[[FitCase], Iterator[Finding]]
CHECKS: dict[Check, frozenset[str]] = {}
"""Checks that run in every lumber case, each with the codes that it may tell."""

DESIGN_CHECKS: dict[Check, frozenset[str]] = {}
"""Checks that look at cut sizes alone, likewise: they run once, on nominal lumber."""


def check(*codes: str) -> Callable[[Check], Check]:
    """Register a check that runs in every lumber case and tells these codes."""
    return partial(_registered, CHECKS, codes)


def design_check(*codes: str) -> Callable[[Check], Check]:
    """Register a check that does not depend on how thick the lumber turned out."""
    return partial(_registered, DESIGN_CHECKS, codes)


def _registered(checks: dict[Check, frozenset[str]], codes: Sequence[str], one: Check) -> Check:
    """Return a check, written down among those of its kind."""
    checks[one] = frozenset(codes)
    return one
