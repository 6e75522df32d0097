"""Where letters find a place among lines that are drawn already."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from palewright.polygons import Point
from palewright_drawings.figure_styles import Style
from palewright_drawings.mark_overlaps import segment_in_box
from palewright_drawings.paper_marks import Edges, Mark, PathMark, TextMark
from palewright_drawings.text_widths import text_width


@dataclass(frozen=True, slots=True)
class Wish:
    """A place that letters may take: their middle, mm of paper; dearer places are taken later."""

    cost: float
    middle: Point


def set_free(
    text: str, what: str, wishes: Iterable[Wish], style: Style, drawn: Sequence[Mark]
) -> TextMark:
    """Return letters at the cheapest place where they touch nothing.

    Args:
        text: what is written, level.
        what: what it tells of.
        wishes: places to try; where none is free, letters stand right of everything.
        style: size and colour of letters, and how clear they stand.
        drawn: what is on the paper already.
    """
    wide = text_width(text, style.text)
    tried = sorted(wishes, key=lambda wish: (wish.cost, wish.middle))
    for wish in tried:
        mark = _letters(text, what, wish.middle, wide, style)
        if _clear(mark, drawn, style.clear):
            return mark
    right = max(mark.edges[2] for mark in drawn)
    y = tried[0].middle[1] if tried else 0.0
    while True:
        mark = _letters(text, what, (right + 3.0 + wide / 2, y), wide, style)
        if _clear(mark, drawn, style.clear):
            return mark
        y += 2 * style.text


def leader_to(mark: TextMark, start: Point, style: Style, most: float) -> list[Mark]:
    """Return a leader from a point to letters that stand further from it than ``most`` mm."""
    x0, y0, x1, y1 = mark.edges
    by = style.clear
    end = min(max(start[0], x0 - by), x1 + by), min(max(start[1], y0 - by), y1 + by)
    away = ((end[0] - start[0]) ** 2 + (end[1] - start[1]) ** 2) ** 0.5
    if away <= most:
        return []
    pen = style.dimension_pen
    return [PathMark("leader", ((start, end),), width=pen.width, colour=pen.colour)]


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
