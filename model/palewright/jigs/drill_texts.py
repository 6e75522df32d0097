"""What a jig says of the drill: engraved on its plate, and in its steps of use."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.jigs.records import DrillStop
from palewright.jigs.registry import Bench


def stop_lines(bench: Bench, stops: tuple[DrillStop, ...]) -> list[str]:
    """Return the drill's settings as they are engraved: bit, and how far it stands out."""
    found = []
    for stop in stops:
        use = "CLEAR" if stop.use == "clearance" else "PILOT"
        line = f"{use} {bench.engraved(stop.diameter, 64)}  STOP {bench.engraved(stop.stop)}"
        if not stop.reaches:
            line += f"  OFF JIG {bench.engraved(stop.below)}"
        found.append(line)
    return found


def drill_steps(bench: Bench, stops: tuple[DrillStop, ...]) -> Iterator[str]:
    """Yield how the drill is set and used, clearance before pilot."""
    for stop in stops:
        clear = stop.use == "clearance"
        name = "Clearance" if clear else "Pilot"
        bit, out = bench.length(stop.diameter, 64), bench.length(stop.stop)
        if stop.reaches:
            centred = (
                "through every guide hole"
                if clear
                else "through the same holes; the cone that the first bit left centres it"
            )
            yield f"{name}: {bit} bit, standing {out} out of its stop collar, {centred}."
            continue
        depth = (
            f"set the bit {bench.length(stop.below)} out"
            if stop.reaches_alone
            else f"let the bit reach {bench.length(stop.ordinary)} and the screw do the rest "
            f"(a long bit: {bench.length(stop.below)})"
        )
        where = "where the jig marked the wood" if clear else "in the cones of the first bit"
        yield (
            f"{name}: an ordinary {bit} bit is too short for the jig ({out} out of its stop "
            f"collar). Take the jig off, {depth}, and drill {where}."
        )
