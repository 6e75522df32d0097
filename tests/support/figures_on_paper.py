"""What every drawing on paper must pass, and a figure alone on a sheet."""

from __future__ import annotations

from collections.abc import Iterable

from palewright_drawings.paper.figure import Figure
from palewright_drawings.paper.figure_placement import place
from palewright_drawings.paper.marks import Mark, PathMark, RoundMark, TextMark
from palewright_drawings.paper.overlap_check import boxes_meet, segment_in_box
from palewright_drawings.paper.svg import marks_svg


def figure_svg(figure: Figure, scale: float) -> bytes:
    """Return a figure as SVG on a sheet of its own size; scale: mm of paper a mm of the model."""
    placed = place(figure, scale)
    return marks_svg(placed.marks, placed.width, placed.height, figure.title, figure.alt)


def overlaps(marks: Iterable[Mark]) -> list[str]:
    """Return one line for each text that touches another text or a line; empty where all is clear.

    A line touches where any of its width lies within the box of the letters' ink.
    """
    every = list(marks)
    texts = [mark for mark in every if isinstance(mark, TextMark) and mark.text.strip()]
    lines = [
        mark
        for mark in every
        if isinstance(mark, PathMark | RoundMark) and mark.kind != "fill" and mark.width > 0
    ]
    found = []
    for i, text in enumerate(texts):
        found += [
            f"'{text.text}' lies on '{other.text}'"
            for other in texts[i + 1 :]
            if _near(text, other, 0.0) and boxes_meet(text.box, other.box)
        ]
        found += [
            f"'{text.text}' lies on a line: {line.kind}"
            for line in lines
            if _near(text, line, 0.0)
            and any(segment_in_box(a, b, text.box, line.width / 2) for a, b in line.segments())
        ]
    return found


def _near(one: Mark, other: Mark, by: float) -> bool:
    """Return whether the upright boxes of two marks come nearer than ``by``."""
    a, b = one.edges, other.edges
    return a[0] - by < b[2] and b[0] - by < a[2] and a[1] - by < b[3] and b[1] - by < a[3]
