"""Where letters find a place among lines that are drawn already."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from palewright.geometry.polygons import Point
from palewright_drawings.paper.marks import Mark, PathMark, TextMark
from palewright_drawings.paper.overlap_check import segment_in_box
from palewright_drawings.paper.styles import Style
from palewright_drawings.paper.text_metrics import Edges, text_width


@dataclass(frozen=True, slots=True)
class Wish:
    """A place that letters may take: their middle, mm of paper; dearer places are taken later."""

    cost: float
    middle: Point


def set_free(
    text: str,
    what: str,
    wishes: Iterable[Wish],
    starts: Sequence[Point],
    most: float,
    style: Style,
    drawn: Sequence[Mark],
) -> list[Mark]:
    """Return letters at the cheapest place where they touch nothing, and a leader to them.

    Args:
        text: what is written, level.
        what: what it tells of.
        wishes: places to try; where none is free, letters stand right of everything.
        starts: points of which the nearest is where a leader begins.
        most: mm that letters may stand off without a leader.
        style: size and colour of letters, and how clear they stand.
        drawn: what is on the paper already; a leader crosses none of its letters.
    """
    wide = text_width(text, style.text)
    tried = sorted(wishes, key=lambda wish: (wish.cost, wish.middle))
    written = [mark for mark in drawn if isinstance(mark, TextMark)]
    for wish in tried:
        mark = _letters(text, what, wish.middle, wide, style)
        if _clear(mark, drawn, style.clear):
            leader = _leader(mark, starts, most, style)
            if not any(_cuts(line, written, style.clear) for line in leader):
                return [*leader, mark]
    right = max(mark.edges[2] for mark in drawn)
    y = starts[0][1]
    while True:
        mark = _letters(text, what, (right + 3.0 + wide / 2, y), wide, style)
        if _clear(mark, drawn, style.clear):
            return [*_leader(mark, starts, most, style), mark]
        y += 2 * style.text


def _leader(text: TextMark, starts: Sequence[Point], most: float, style: Style) -> list[PathMark]:
    """Return a leader to letters that stand further off than ``most`` mm."""
    x0, y0, x1, y1 = text.edges
    by = style.clear
    found = []
    for x, y in starts:
        end = min(max(x, x0 - by), x1 + by), min(max(y, y0 - by), y1 + by)
        found.append((math.dist((x, y), end), (x, y), end))
    away, start, end = min(found)
    if away <= most:
        return []
    pen = style.dimension_pen
    return [PathMark("leader", ((start, end),), width=pen.width, colour=pen.colour)]


def _cuts(line: PathMark, written: Sequence[TextMark], clear: float) -> bool:
    """Return whether a line comes near letters."""
    return any(
        segment_in_box(a, b, mark.box, clear) for mark in written for a, b in line.segments()
    )


def _letters(text: str, what: str, middle: Point, wide: float, style: Style) -> TextMark:
    """Return letters about a place."""
    start = (middle[0] - wide / 2, middle[1] + style.text / 2)
    return TextMark(text, start, style.text, colour=style.ink, what=what)


def _clear(text: TextMark, drawn: Sequence[Mark], clear: float) -> bool:
    """Return whether letters keep clear of all lines and letters that are drawn."""
    edges, box = text.edges, text.box
    for mark in drawn:
        if isinstance(mark, TextMark):
            if _near(edges, mark.edges, 2 * clear):
                return False
        elif mark.kind != "fill" and _near(edges, mark.edges, clear):
            by = clear + mark.width / 2
            if mark.fill or any(segment_in_box(a, b, box, by) for a, b in mark.segments()):
                return False
    return True


def _near(one: Edges, other: Edges, by: float) -> bool:
    """Return whether two upright boxes come nearer than ``by``."""
    return (
        one[0] - by < other[2]
        and other[0] - by < one[2]
        and one[1] - by < other[3]
        and other[1] - by < one[3]
    )
