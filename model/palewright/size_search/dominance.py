"""Part lists compared: whether one takes as many boards as another, or more, without a plan.

Two lists are of one shape where their parts pair off, with equal widths and parallel end cuts at
the same places in both. If then every part of the first is as wide and as long as its partner, in
at least as many copies, every plan of the first turns into a plan of the second: put each partner
where the part was. Strips stay strips, since parts of equal width have partners of equal width.
Rows stay as short: a cut that two parts share in the first, their partners share as well, and
where that saves less (by the end's angle), the partners are shorter by as much; this is what the
lengths without half of each saving are compared for. So no plan of the first takes fewer boards
than the second's bound. Parts that every higher box has too rule sizes out at once.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from palewright.cutting_stock import PartDemand, SawSettings
from palewright.cutting_stock.problem.integer_units import rounded_up
from palewright.cutting_stock.problem.shared_mitres import mitre_ends


@dataclass(frozen=True, slots=True)
class PartShape:
    """A part list: what must be equal in another for the two to be compared, and its numbers.

    Attributes:
        key: roles and kits, which widths are equal, which ends are parallel.
        numbers: for each part copies, width and lengths with and without shared cuts, in units of
            the cut planner; shape (6 x parts,).
    """

    key: tuple[object, ...]
    numbers: NDArray[np.int64]

    def within(self, other: PartShape) -> bool:
        """Return whether every plan of the other is one of this, parts exchanged."""
        return self.key == other.key and bool((self.numbers <= other.numbers).all())


def shape_of(parts: Sequence[PartDemand], saw: SawSettings) -> PartShape:
    """Return the shape of a part list that is cut from one stock."""
    kerf = rounded_up(saw.kerf)
    ordered = sorted(parts, key=lambda part: (part.kit, part.role, -part.width, -part.length))
    widths: dict[int, int] = {}
    slopes: dict[int, int] = {0: 0}
    key, numbers = [], []
    for part in ordered:
        left, right = part.end_angles
        width, length = rounded_up(part.width), rounded_up(part.length)
        ends = mitre_ends(max((left, right), (-right + 0.0, -left + 0.0)), width, kerf)
        lines = tuple(slopes.setdefault(slope, len(slopes)) for slope in ends.slopes)
        key.append((part.kit, part.role, widths.setdefault(width, len(widths)), lines))
        one, two = ends.savings
        double = 2 * length
        numbers += [part.count, width, double, double - one, double - two, double - one - two]
    return PartShape(tuple(key), np.array(numbers, dtype=np.int64))


_SURE = ("stave", "filler", "stile", "slat", "cleat", "cap", "rail", "bar", "brace")
"""Roles of the boards that a higher box has as well: as many, as wide, as long or longer."""

WALL = ("stave", "filler")
"""Roles of the boards of a wall."""

UPRIGHT = (*WALL, "stile")
"""Roles of boards that are longer by as much as a box is higher."""


_UNSURE = 0.02
"""mm that a slanted part is taken for shorter: what rounding to the planner's units may add."""


def sure_parts(parts: Sequence[PartDemand], higher: float) -> list[PartDemand]:
    """Return parts that a box ``higher`` by so much (mm) needs no less room for than for its own.

    Stiles reach from the ground to the top, staves and fillers from rail to rail as far as they
    lap them; how a wall is divided does not depend on its height; neither do floor and cap, nor the
    rails of a panel. Of level bars there are more, upright ones are longer. A brace is steeper, and
    both its edges are longer: it is taken as square, as long as they are here on average, since
    ends that share a cut save no more than the slant. A middle stile (shorter than staves) turns
    into a rail where the opening becomes higher than wide, and that is longer.
    """
    shortest = min((part.length for part in parts if part.role in WALL), default=math.inf)
    sure = []
    for part in parts:
        if part.role not in _SURE:
            continue
        length = part.length
        if any(part.end_angles):
            length = sum(part.edge_lengths()) / 2 - _UNSURE
        if part.role in UPRIGHT and part.length >= shortest - 1e-6:
            length += higher
        if length > 0:
            sure.append(
                PartDemand(part.name, length, part.width, part.count, kit=part.kit, role=part.role)
            )
    return sure
