"""Stop blocks for the braces: wedges on the saw's mitre gauge, one for each angle that is cut."""

from __future__ import annotations

import math
from collections.abc import Iterator

from palewright.geometry.contours import Contour, extent, relief_radius, relieved
from palewright.geometry.polygons import Point
from palewright.jigs.records import Jig, JigNote, JigPart
from palewright.jigs.registry import Bench, jig_kind
from palewright.jigs.spacers import FLAT
from palewright.jigs.text_places import Room
from palewright.reading.lengths import degrees
from palewright.sawing.cut_parts import cut_parts

_LEAST_ANGLE = 0.5
_STEEPEST = 70.0
"""Beyond it (degrees off square) a wedge is too slender to hold a board at the blade (practice)."""

_SLOPE = 180.0
"""The board bears on so much (mm) of the wedge."""

_FOOT = 30.0
"""Height of the strip under the slant, mm: a clamp holds it. Judgement."""
_HEEL = 30.0
"""The jig reaches so far behind the brace, mm. Judgement."""
_SAME = 0.05
"""Degrees: braces nearer to each other than the saw can be set share a jig."""


@jig_kind("brace")
def brace_blocks(bench: Bench) -> Iterator[Jig | JigNote]:
    """Yield a block for each angle of the braces' ends, in the order in which they occur."""
    for angle, marks in brace_angles(bench):
        if angle > _STEEPEST:
            yield JigNote(
                f"stop block {angle:.1f}°",
                "the cut is too far off square for a wedge: mark it and saw it by hand",
            )
            continue
        yield _block(bench, angle, marks)


def brace_angles(bench: Bench) -> list[tuple[float, list[str]]]:
    """Return (degrees off square, marks of the parts) of each angle that braces are cut to."""
    found: list[tuple[float, list[str]]] = []
    for part in cut_parts(bench.boards, bench.parameters.product.units):
        if part.role != "brace":
            continue
        for angle in (abs(a) for a in (*part.left_angles, *part.right_angles)):
            known = next((marks for other, marks in found if abs(other - angle) < _SAME), None)
            if angle < _LEAST_ANGLE:
                continue
            if known is None:
                found.append((angle, [part.mark]))
            elif part.mark not in known:
                known.append(part.mark)
    return found


def _block(bench: Bench, angle: float, marks: list[str]) -> Jig:
    """Return the block for one angle."""
    told = degrees(angle)
    radius = relief_radius(bench.parameters.saw.tool)
    contour = wedge(angle, radius)
    low, _, wide, _ = extent(contour)
    low = max(low, contour[4][0])  # beside the heel, where the wedge is high enough everywhere
    letter = min(bench.parameters.jig.letter, _FOOT / 5)
    room = Room((low, 0.0), (wide, _FOOT - radius), ())
    words = room.write(["GAUGE SIDE"], letter * 0.8, ((low + wide) / 2, 0.0))
    words += room.write(
        [f"{told}°  PART{'S' * (len(marks) > 1)} {' '.join(marks)}"],
        letter,
        ((low + wide) / 2, _FOOT),
    )
    whole, _, tenth = told.partition(".")
    return Jig(
        name=f"brace-{whole}-{tenth or 0}",
        kind="brace",
        title=f"Stop block {told}°",
        purpose=f"holds part{'s' * (len(marks) > 1)} {', '.join(marks)} at the saw, {told}° off "
        "square",
        parts=(JigPart("plate", contour, bench.thickness, FLAT, (), tuple(words)),),
        material=bench.material,
        steps=(
            "Set the mitre gauge square to the blade and fix the block to its fence, gauge side "
            "against the fence.",
            "Lay the board's edge on the slope and its end against the heel, clamp it, and cut. "
            "For a cut that leans the other way turn the block over.",
            "Cut a scrap and hold it against the paper template first. A short piece is clamped, "
            "never held by hand.",
        ),
        fixed={"angle": angle},
        reversal="turned over",
    )


def wedge(degrees: float, radius: float) -> Contour:
    """Return a wedge whose slope rises by an angle from its gauge side, with a heel below it.

    The gauge side lies on y = 0 from x = 0 on; the heel stands square on the slope. Both mm.
    """
    angle = math.radians(degrees)
    up = (math.cos(angle), math.sin(angle))
    out = (-up[1], up[0])
    heel_high = max(14.0, 2 * radius + 6.0)
    behind = min(_HEEL, (_FOOT - 6.0) / max(up[1], 1e-9))
    foot: Point = (0.0, _FOOT)
    tip: Point = (foot[0] + _SLOPE * up[0], foot[1] + _SLOPE * up[1])
    heel: Point = (foot[0] + heel_high * out[0], foot[1] + heel_high * out[1])
    back: Point = (heel[0] - behind * up[0], heel[1] - behind * up[1])
    shift = -back[0]
    corners: list[tuple[Point, str]] = [
        ((back[0], 0.0), ""),
        ((tip[0], 0.0), ""),
        (tip, ""),
        (foot, "before"),
        (heel, ""),
        (back, ""),
    ]
    return relieved([((x + shift, y), hollow) for (x, y), hollow in corners], radius)
