"""How a drawing looks on paper: line widths, dashes, arrows, letters and tones.

Widths are of the series 0.13, 0.18, 0.25, 0.35, 0.5, 0.7 … mm, wide to narrow as 2 to 1; dashes are
multiples of the width d: dash 12 d, long dash 24 d, gap 3 d, dot half a d (ISO 128-2:2020, which
took them over from ISO 128-20:1996; cited from memory). Letters are 2.5, 3.5 or 5 mm high, a series
of ISO 3098-1 (from memory). Colours are our own and chosen by lightness, so that they
stay apart in black and white.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from palewright_drawings.paper.figure import Layer, Tone


@dataclass(frozen=True, slots=True)
class Pen:
    """A line on paper: width (mm), colour, and dash, gap, dash … in widths; () is unbroken."""

    width: float
    colour: str
    pattern: tuple[float, ...] = ()

    @property
    def dashes(self) -> tuple[float, ...]:
        """Dash, gap, dash … in mm."""
        return tuple(round(step * self.width, 4) for step in self.pattern)


_DASHED = (12.0, 3.0)
"""Dash, gap, dash … in widths of the line: see above for their source."""

_LONG_DASH_DOT = (24.0, 3.0, 0.5, 3.0)
"""The same of middle lines."""

_LONG_DASH_TWO_DOTS = (24.0, 3.0, 0.5, 3.0, 0.5, 3.0)
"""The same of paths."""

_BLACK, _SOFT, _PENCIL = "#161412", "#5b5650", "#2d5d7b"


def _pens() -> dict[Layer, Pen]:
    """Return the pen of each layer."""
    return {
        "visible": Pen(0.5, _BLACK),
        "hidden": Pen(0.25, _BLACK, _DASHED),
        "thin": Pen(0.25, _SOFT),
        "cut": Pen(0.7, _BLACK),
        "hatch": Pen(0.18, _SOFT),
        "centre": Pen(0.25, _BLACK, _LONG_DASH_DOT),
        "path": Pen(0.25, _BLACK, _LONG_DASH_TWO_DOTS),
        "mark": Pen(0.35, _PENCIL),
        "frame": Pen(0.5, _BLACK),
    }


def _tones() -> dict[Tone, str]:
    """Return the colour of each tone."""
    return {
        "paper": "#ffffff",
        "wood": "#f4ead9",
        "new": "#e3b47c",
        "grain": "#d8c3a1",
        "waste": "#e4e4e4",
        "steel": "#aab2ba",
        "jig": "#cddfd3",
    }


@dataclass(frozen=True)
class Style:
    """Everything that is chosen where a figure meets paper; lengths in mm of paper.

    Attributes:
        pens: of each layer.
        tones: colour of each tone, ``#rrggbb``.
        dimension_pen: dimension, extension and leader lines.
        ink: colour of letters and arrows.
        text: height of capitals in dimensions and angles.
        arrow: length of an arrow; a third as wide.
        first_row: from the drawing to the nearest row of dimensions.
        row: from one row to the next.
        gap: between the drawing and an extension line.
        overshoot: of an extension line past the dimension line.
        clear: least clear space between letters and anything else.
        text_gap: between a dimension line and the letters on it.
    """

    pens: Mapping[Layer, Pen] = field(default_factory=_pens)
    tones: Mapping[Tone, str] = field(default_factory=_tones)
    dimension_pen: Pen = Pen(0.18, _BLACK)
    ink: str = _BLACK
    text: float = 2.5
    arrow: float = 2.4
    first_row: float = 8.0
    row: float = 6.5
    gap: float = 1.0
    overshoot: float = 1.4
    clear: float = 0.5
    text_gap: float = 1.0

    def __post_init__(self) -> None:
        """Refuse rows so near to each other that their letters would touch."""
        if self.row < self.text + self.text_gap + 2 * self.clear:
            raise ValueError(f"rows {self.row} mm apart leave no room for letters of {self.text}")

    def colour(self, tone: Tone, shade: float = 0.0) -> str:
        """Return the colour of a tone, so much darker from 0 to 1, as ``#rrggbb``."""
        text = self.tones[tone]
        return "#" + "".join(
            f"{round(int(text[i : i + 2], 16) * (1 - shade)):02x}" for i in (1, 3, 5)
        )


STYLE = Style()
"""The style of everything that is printed, unless something else is asked for."""
