"""Pictures for printed documents: SVG with its size on paper and its words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from unicodedata import bidirectional

from palewright_drawings.figure_svg import marks_svg
from palewright_drawings.figures import Figure
from palewright_drawings.paper_marks import Mark, Placed, TextMark
from palewright_drawings.placed_figures import place

DENOMINATORS = (
    1,
    1.5,
    2,
    2.5,
    3,
    4,
    5,
    6,
    8,
    10,
    12,
    15,
    20,
    25,
    30,
    40,
    50,
    60,
    80,
    100,
    150,
    200,
)
"""A picture is drawn at 1 to one of these: what a scale rule has, and a few between."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing on paper: SVG, its size in mm, and what it shows in words."""

    svg: bytes
    width: float
    height: float
    alt: str

    def as_json(self) -> dict[str, object]:
        """Return it as a template takes it."""
        return {
            "svg": self.svg.decode("utf-8"),
            "width": round(self.width, 3),
            "height": round(self.height, 3),
            "alt": self.alt,
        }


def picture_of_marks(marks: Sequence[Mark], width: float, height: float, alt: str) -> Picture:
    """Return marks, mm from the upper left corner, as a picture of so many mm."""
    safe = [_left_to_right(mark) for mark in marks]
    return Picture(marks_svg(safe, width, height, "", alt), width, height, alt)


def _left_to_right(mark: Mark) -> Mark:
    """Return a mark without letters that are written from right to left.

    The typesetter breaks down over them in pictures (usvg 0.47).
    """
    if not isinstance(mark, TextMark) or mark.text.isascii():
        return mark
    text = "".join("□" if bidirectional(x) in ("R", "AL", "AN") else x for x in mark.text)
    return replace(mark, text=text)


def picture_of(placed: Placed) -> Picture:
    """Return a figure as it was placed."""
    return picture_of_marks(placed.marks, placed.width, placed.height, placed.figure.alt)


def scale_text(scale: float) -> str:
    """Return a scale as it stands beside a drawing: ``1 : 8``."""
    return f"1 : {round(1 / scale, 1):g}"


def fitted(figure: Figure, width: float, height: float, largest: float = 1.0) -> Placed:
    """Return a figure at the largest scale of the list at which it keeps within a size on paper.

    Args:
        figure: what to draw.
        width, height: mm of paper that it must not exceed.
        largest: no larger scale than this.

    Raises:
        ValueError: if it is empty, or does not fit even at the least scale.
    """
    x0, y0, x1, y1 = figure.bounds
    for denominator in DENOMINATORS:
        scale = 1 / denominator
        if scale > largest or (x1 - x0) * scale > width or (y1 - y0) * scale > height:
            continue
        placed = place(figure, scale)
        if placed.width <= width and placed.height <= height:
            return placed
    raise ValueError(f"figure {figure.name} does not fit {width:g} x {height:g} mm")


def filling(figure: Figure, width: float, height: float) -> Placed:
    """Return a figure without dimensions as large as it can be within a size on paper, mm.

    For pictures that nobody measures. Raises ValueError if it is empty.
    """
    x0, y0, x1, y1 = figure.bounds
    room = 1.0  # half the widest pen, both sides
    return place(figure, min((width - room) / (x1 - x0), (height - room) / (y1 - y0)))
