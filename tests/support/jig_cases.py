"""Jigs of all shipped variants, and what tests measure on them in space."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import cache
from itertools import product
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from case_lists import mostly_thorough
from palewright.catalogue.lumber import LumberCase
from palewright.construction.boards import Board
from palewright.construction.box_layout import Box, lay_out
from palewright.construction.joints import Screw
from palewright.design import Design, design
from palewright.geometry.contours import extent
from palewright.jigs.records import Jig, JigPart, Pose
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright.solids.convex_prisms import Prism

Floats = NDArray[np.float64]
VARIANTS = tuple(shipped_variants())
PLATES = ("whole", "half")
QUICK = (
    ("stoop-tub", "whole"),
    ("sill-box", "half"),
    ("bean-tower", "whole"),
    ("terrace-crate", "whole"),
    ("winter-tub", "half"),
)
"""Inch and metric, braces and bars, low and high: what is measured at once."""


@cache
def made(name: str, plate: str = "whole") -> Design:
    """A shipped variant with whole or half plates."""
    return design(load_variant(name, [f"jig.plate={plate}"]).parameters, name)


@cache
def boxed(name: str, case: LumberCase) -> Box:
    """A shipped variant in one lumber case."""
    return lay_out(load_variant(name).parameters, case)


def jigs_of(name: str, plate: str) -> list[tuple[str, Jig]]:
    """Return (variant, jig) for all jigs of a shipped variant."""
    return [(name, jig) for jig in made(name, plate).jigs.jigs]


def over_jigs(
    listed: Callable[[str, str], Iterable[tuple[Any, ...]]] = jigs_of,
    plates: tuple[str, ...] = PLATES,
) -> Callable[[Callable[..., None]], Callable[[str, str], None]]:
    """Make a test of one jig a test of all jigs of each shipped variant and kind of plates.

    Jigs are worked out when the test runs: as parameters they would be made, in every process,
    before any test runs. `listed` gives the test's arguments by variant and plates.
    """

    def over(test: Callable[..., None]) -> Callable[[str, str], None]:
        cases = list(product(VARIANTS, plates))
        quick = [case for case in QUICK if case in cases]

        @pytest.mark.parametrize(("name", "plate"), mostly_thorough(cases, *quick))
        def all_jigs(name: str, plate: str) -> None:
            for one in listed(name, plate):
                test(*one)

        all_jigs.__name__, all_jigs.__doc__ = test.__name__, test.__doc__
        return all_jigs

    return over


def hole_error(jig: Jig, pose: Pose, guide: int, screw: Screw, box: Box) -> tuple[float, float]:
    """Return how far (mm) and how askew (degrees) a laid guide hole is from its screw's axis.

    Measured in space on the hole's two ends, by nothing but its placement.
    """
    place = pose.placement(box.boards, jig.plate.thickness)
    x, y = jig.guides[guide]
    low, high = (np.array(place.out(x, y, z)) for z in (0.0, jig.plate.thickness))
    head, axis = np.array(screw.head), np.array(screw.axis)
    along = (high - low) / np.linalg.norm(high - low)
    lean = float(np.degrees(np.arctan2(np.linalg.norm(np.cross(along, axis)), abs(along @ axis))))
    off = [np.linalg.norm(np.cross(end - head, axis)) for end in (low, high)]
    return float(max(off)), lean


def part_block(jig: Jig, part: JigPart, pose: Pose, box: Box, bite: bool = False) -> Prism:
    """A strip of a laid jig as a block in the box, mm, without its tabs.

    ``bite`` presses it a hair, 0.02 mm, on to what it bears on.
    """
    place = pose.placement(box.boards, jig.plate.thickness)
    x0, y0, x1, y1 = extent(part.contour)
    if "fence" in part.name:
        y1 = shoulder(part)
    corners = [
        part.placement.out(x, y, z)
        for x in (x0, x1)
        for y in (y0, y1)
        for z in (0.0, part.thickness)
    ]
    step = np.zeros(3)
    if bite:
        step[1 if part.name.removeprefix("upper ").startswith(("end", "foot", "far")) else 0] = 0.02
    return Prism(np.array([place.out(*(np.array(corner) + step)) for corner in corners]), (0, 1, 2))


def shoulder(part: JigPart) -> float:
    """Height (mm) of a strip below its tabs."""
    (_, low, _), (_, first, _) = part.contour[1:3]
    return first - low


def along(boards: list[Board], direction: tuple[float, float, float]) -> tuple[float, float]:
    """From and to of some boards along a direction, mm."""
    reach = [np.dot(point, direction) for board in boards for point in board.corners]
    return float(min(reach)), float(max(reach))
