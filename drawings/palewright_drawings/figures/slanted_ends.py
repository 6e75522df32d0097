"""Full-size drawings of slanted ends: to set a gauge by, or to knife a line by. Lengths in mm.

A short part is drawn whole; of a long one the end with a hand's length of board. Ends that are
the same, turned over or not, are drawn once.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from palewright.design import Design
from palewright.geometry.polygons import Point, Polygon, clip, rectangle
from palewright.reading.lengths import degrees, noiseless
from palewright.sawing.cut_parts import CutPart
from palewright_drawings.paper.marks import Mark, PathMark, TextMark
from palewright_drawings.paper.styles import STYLE
from palewright_drawings.paper.text_metrics import text_ink, text_width

WHOLE = 170.0
"""Parts up to this length (mm) are drawn whole."""

_HAND = 75.0
"""Beyond the slant so much of a board is drawn, mm."""

TITLE = 3.0
"""Height of the capitals of a template's title, mm."""

HEAD = 7.0
"""Height of the line that the title stands in, mm."""

_AIR = 2.0
"""The square line across a template stands so far (mm) before its open end: judged by eye."""


@dataclass(frozen=True, slots=True)
class Template:
    """A drawing at full size.

    Attributes:
        title: what it is.
        marks: from the upper left corner, mm.
        width, height: of all marks.
        keys: numbers in the key of what it is part of.
    """

    title: str
    marks: tuple[Mark, ...]
    width: float
    height: float
    keys: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _CutEnd:
    """An end, cut to the left: its outline from the long point, and what it is."""

    outline: Polygon
    angles: tuple[float, ...]
    whole: bool
    wide: float


def end_templates(design: Design) -> list[Template]:
    """Return the templates of all slanted ends, in the order of the parts."""
    found: dict[object, tuple[_CutEnd, list[CutPart]]] = {}
    for part in design.parts:
        outline = design.box.boards[part.boards[0]].outline
        if part.length <= WHOLE and any(a >= 0.05 for a in (*part.left_angles, *part.right_angles)):
            angles = (*part.left_angles, *part.right_angles)
            _keep(found, _CutEnd(outline, angles, True, part.width), part)
            continue
        mirrored = tuple((part.length - x, y) for x, y in reversed(outline))
        for ring, angles in ((outline, part.left_angles), (mirrored, part.right_angles)):
            if any(angle >= 0.05 for angle in angles):
                _keep(found, _end(ring, angles, part.width), part)
    return [_template(end, parts) for end, parts in found.values()]


def _keep(found: dict[object, tuple[_CutEnd, list[CutPart]]], end: _CutEnd, part: CutPart) -> None:
    """Keep an end under its width, its angles and where its tip is, however it is turned over."""
    tilts = tuple(sorted(degrees(angle) for angle in end.angles))
    tip = min(end.outline)[1]
    reach = max(x for x, _ in end.outline) if end.whole else 0.0
    key = (
        noiseless(end.wide, 1),
        tilts,
        noiseless(min(tip, end.wide - tip), 0),
        noiseless(reach, 0),
    )
    parts = found.setdefault(key, (end, []))[1]
    if part not in parts:
        parts.append(part)


def _end(outline: Polygon, angles: tuple[float, ...], wide: float) -> _CutEnd:
    """Return the left end of a board."""
    slant = max(wide * math.tan(math.radians(angle)) for angle in angles)
    ring = clip(outline, rectangle(-1.0, -1.0, slant + _HAND, wide + 1.0))
    return _CutEnd(ring, angles, False, wide)


def _template(end: _CutEnd, parts: list[CutPart]) -> Template:
    """Return the drawing of an end, its words above and within."""
    reach = max(x for x, _ in end.outline)
    marks = ", ".join(part.mark for part in parts)
    roles = " and ".join(dict.fromkeys(part.role for part in parts))
    tilt = " and ".join(f"{degrees(a)}°" for a in dict.fromkeys(end.angles) if a >= 0.05)
    what = "whole" if end.whole else "end"
    title = f"{marks}  {roles}, {what}: {tilt} off square"
    width = max(reach, text_width(title, TITLE, "bold"))
    ring = tuple((x, HEAD + end.wide - y) for x, y in end.outline)
    drawn: list[Mark] = [title_mark(title)]
    if end.whole:
        drawn.append(PathMark("stroke", (ring,), True, 0.25, STYLE.ink))
    else:
        drawn += _open_end(ring, reach)
    return Template(title, tuple(drawn), width + 0.2, HEAD + end.wide + 0.2)


def title_mark(title: str) -> TextMark:
    """Return a template's title, in its upper left corner."""
    start = -min(0.0, text_ink(title, TITLE, "bold")[0])  # a J begins left of its place
    return TextMark(title, (start, TITLE + 0.4), TITLE, "bold", colour=STYLE.ink)


def _open_end(ring: tuple[Point, ...], reach: float) -> list[Mark]:
    """Return the lines of an end whose board goes on to the right, and a square line across."""
    start = next(
        i
        for i, (a, b) in enumerate(zip(ring, ring[1:] + ring[:1], strict=True))
        if abs(a[0] - reach) < 1e-6 and abs(b[0] - reach) < 1e-6
    )
    run = ring[start + 1 :] + ring[: start + 1]
    top, low = min(y for _, y in ring), max(y for _, y in ring)
    square = ((reach - _AIR, top), (reach - _AIR, low))
    return [
        PathMark("stroke", (run,), False, 0.25, STYLE.ink),
        PathMark("stroke", (square,), False, 0.18, STYLE.ink, dashes=(3.0, 1.5)),
    ]
