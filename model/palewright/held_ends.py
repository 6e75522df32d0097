"""How near to a board's end a screw has to be for that end to be held."""

from __future__ import annotations

from palewright.tolerances import TOLERANCES

HELD = ("stile", "rail", "stave", "filler")
"""Roles that are held at both ends; what stands between them is held where it can be."""


def held_reach(length: float, diameter: float) -> float:
    """Return how far (mm) from an end a screw still holds it.

    Args:
        length: of the board along its grain, mm.
        diameter: of the screw, mm.

    A third of the length: what stands out freely beyond the screw is then no longer than what is
    held. On a short board twice the advised end distance, since no nearer place is asked of a
    screw. Both a judgement.
    """
    return max(length * TOLERANCES.end_held, diameter * TOLERANCES.end_held_diameters)
