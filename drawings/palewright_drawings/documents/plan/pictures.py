"""Pictures for printed documents: lines as SVG, letters as text, at their size on paper."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any
from unicodedata import bidirectional

from palewright_drawings.paper.figure import Figure
from palewright_drawings.paper.figure_placement import place
from palewright_drawings.paper.marks import Mark, Placed, TextMark
from palewright_drawings.paper.svg import marks_svg
from palewright_drawings.paper.text_metrics import font_size

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


_LEFTWARD = ("R", "AL", "AN")
"""Letters that run to the left. The typesetter breaks down over them where kerning is switched off
(krilla 0.8.2), so that theirs stays on and they take a hair more or less room than was measured."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing on paper.

    Lines and areas are SVG; letters are left to the typesetter, so that they can be searched,
    copied and read, and whatever a maker writes comes out right.

    Attributes:
        svg: lines and areas.
        texts: lines of text over them.
        width, height: mm of paper.
        alt: what it shows, in words.
    """

    svg: bytes
    texts: tuple[TextMark, ...]
    width: float
    height: float
    alt: str

    def as_json(self) -> dict[str, Any]:
        """Return it as a template takes it: mm of paper, sizes of fonts too."""
        return {
            "svg": self.svg.decode("utf-8"),
            "texts": [_text_as_json(text) for text in self.texts],
            "width": round(self.width, 3),
            "height": round(self.height, 3),
            "alt": self.alt,
        }


def _text_as_json(text: TextMark) -> dict[str, Any]:
    """Return a line of text: where its base line begins, how large, which way it runs."""
    x, y = text.start
    return {
        "text": text.text,
        "x": round(x, 3),
        "y": round(y, 3),
        "size": round(font_size(text.capitals, text.face), 4),
        "bold": text.face == "bold",
        "oblique": text.face == "oblique",
        "angle": round(text.angle, 3),
        "measured": not any(bidirectional(letter) in _LEFTWARD for letter in text.text),
        "colour": text.colour,
    }


def picture_of_marks(marks: Sequence[Mark], width: float, height: float, alt: str) -> Picture:
    """Return marks, mm from the upper left corner, as a picture of so many mm.

    Args:
        marks: mm from the upper left corner.
        width: mm of paper.
        height: mm of paper.
        alt: what it shows, in words.
    """
    lines = [mark for mark in marks if not isinstance(mark, TextMark)]
    texts = tuple(mark for mark in marks if isinstance(mark, TextMark) and mark.text.strip())
    return Picture(marks_svg(lines, width, height, "", alt), texts, width, height, alt)


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
        width: mm of paper that it must not exceed.
        height: the same.
        largest: no larger scale than this.

    Raises:
        ValueError: if it is empty, or does not fit even at the least scale.
    """
    return fitted_at(figure.bounds, lambda _: figure, width, height, largest)


def fitted_at(
    bounds: tuple[float, float, float, float],
    at: Callable[[float], Figure],
    width: float,
    height: float,
    largest: float = 1.0,
) -> Placed:
    """Return ``fitted`` of a figure whose marks depend on the scale.

    Args:
        bounds: of its drawing, mm of the model.
        at: gives the figure for a scale.
        width: mm of paper that it must not exceed.
        height: the same.
        largest: no larger scale than this.

    Raises:
        ValueError: if it does not fit even at the least scale.
    """
    x0, y0, x1, y1 = bounds
    for denominator in DENOMINATORS:
        scale = 1 / denominator
        if scale > largest or (x1 - x0) * scale > width or (y1 - y0) * scale > height:
            continue
        placed = place(at(scale), scale)
        if placed.width <= width and placed.height <= height:
            return placed
    raise ValueError(f"a figure of {x1 - x0:g} x {y1 - y0:g} mm fits no {width:g} x {height:g} mm")


def filling(figure: Figure, width: float, height: float) -> Placed:
    """Return a figure without dimensions as large as it can be within a size on paper, mm.

    For pictures that nobody measures. Raises ValueError if it is empty.
    """
    x0, y0, x1, y1 = figure.bounds
    room = 1.0  # half the widest pen, both sides
    return place(figure, min((width - room) / (x1 - x0), (height - room) / (y1 - y0)))
