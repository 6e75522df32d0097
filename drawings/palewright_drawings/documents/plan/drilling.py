"""How screws are drilled for: which bits, how deep from the face that the head sits in."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from palewright.construction.joints import Screw
from palewright.design import Design
from palewright.jigs.drill_stops import drill_stops, thicknesses
from palewright.jigs.registry import Bench
from palewright.reading.lengths import drill_size, tape_text
from palewright_drawings.documents.plan.texts import screw_text


def drilled(design: Design, screws: Iterable[Screw]) -> list[tuple[str, int, str]]:
    """Return for each kind of screw and stack of boards: its name, how many, how it is drilled for.

    Depths are counted from the face that the head sits in.
    """
    bench = Bench(design.name, design.box)
    margin = design.parameters.jig.margin
    found: Counter[tuple[str, str]] = Counter()
    for screw in screws:
        stack = thicknesses(screw, design.box.boards)
        stops = drill_stops(screw.kind, stack, 0.0, margin, bench.step)
        told = ", then ".join(_bit(s.use, s.diameter, s.below, bench) for s in stops)
        told = told or "too little wood for a safe depth: try each bit in an offcut"
        found[screw_text(screw.kind), told] += 1
    return [(kind, count, told) for (kind, told), count in found.items()]


def _bit(use: str, diameter: float, depth: float, bench: Bench) -> str:
    """Return one bit with how deep it goes, from the face that the head sits in."""
    system = bench.parameters.product.units
    what = "for the shank" if use == "clearance" else "for the thread"
    return f"{drill_size(diameter, system)} {what}, {tape_text(depth, system)} deep"
