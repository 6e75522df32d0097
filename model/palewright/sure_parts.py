"""The parts of a box that every higher one has too: sizes are ruled out by them at once."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from palewright.cutting import PartDemand

_SURE = ("stave", "filler", "stile", "slat", "cleat", "cap")
"""Roles of the boards that a higher box has as well: as many, as wide, as long or longer."""

_UPRIGHT = ("stave", "filler", "stile")


def sure_parts(parts: Sequence[PartDemand], higher: float) -> list[PartDemand]:
    """Return parts of a box that one ``higher`` by so much (mm) has too, as long as there.

    Stiles, staves and fillers reach from the foot or the ground to the top, and how a wall is
    divided does not depend on its height; neither do floor and cap.
    """
    shortest = min((part.length for part in parts if part.role == "stave"), default=math.inf)
    shortest = min((part.length for part in parts if part.role == "filler"), default=shortest)
    sure = []
    for part in parts:
        if part.role not in _SURE or (part.role == "stile" and part.length < shortest - 1e-6):
            continue
        longer = part.length + higher if part.role in _UPRIGHT else part.length
        sure.append(replace(part, length=longer))
    return sure
