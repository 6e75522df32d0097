"""Sheets of labels by their measures: paper, columns and rows, label size, margins, pitch. All mm.

The measures are those that such sheets commonly have (common practice, no source); hold a sheet
against a first print on plain paper before you print on labels.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from palewright.parameters.tables import Parameters
from palewright.reading.lengths import INCH
from palewright_drawings.paper.pages import PAPERS

UNPRINTED = 5.5
"""Printers leave so much of the paper's edge blank (mm, common practice, no source)."""

_INSET_X, _INSET_Y = 2.4, 2.0
"""Clear space inside a label's edge, mm: sheets shift in a printer (judged by eye)."""


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """A sheet of labels, mm.

    Attributes:
        paper: its name.
        columns, rows: how many labels.
        width, height: of one label.
        left, top: from the paper's edge to the first label.
        step_x, step_y: from one label to the next.
    """

    paper: str
    columns: int
    rows: int
    width: float
    height: float
    left: float
    top: float
    step_x: float
    step_y: float

    @property
    def count(self) -> int:
        """How many labels a sheet has."""
        return self.columns * self.rows

    @property
    def inset_x(self) -> float:
        """What stays blank at both sides of a label."""
        return max(_INSET_X, UNPRINTED - self.left)

    @property
    def inset_y(self) -> float:
        """What stays blank above and below in a label."""
        return max(_INSET_Y, UNPRINTED - self.top)

    def corners(self) -> Iterator[tuple[float, float]]:
        """Yield the upper left corner of each label, row by row, from the paper's corner."""
        for row in range(self.rows):
            for column in range(self.columns):
                yield self.left + column * self.step_x, self.top + row * self.step_y


def _sheet(
    paper: str, columns: int, rows: int, width: float, height: float, step_x: float
) -> LabelSheet:
    """Return a sheet whose labels lie in the middle of the paper, rows without gaps."""
    wide, high = PAPERS[paper]
    left = (wide - width - (columns - 1) * step_x) / 2
    top = (high - rows * height) / 2
    return LabelSheet(
        paper, columns, rows, width, height, round(left, 4), round(top, 4), step_x, height
    )


LABEL_SHEETS = {
    "letter-3x10": _sheet("letter", 3, 10, 2.625 * INCH, 1 * INCH, 2.75 * INCH),
    "letter-2x10": _sheet("letter", 2, 10, 4 * INCH, 1 * INCH, 4.1875 * INCH),
    "letter-2x5": _sheet("letter", 2, 5, 4 * INCH, 2 * INCH, 4.1875 * INCH),
    "a4-3x8": _sheet("a4", 3, 8, 70.0, 37.0, 70.0),
    "a4-3x7": _sheet("a4", 3, 7, 63.5, 38.1, 66.04),
    "a4-2x7": _sheet("a4", 2, 7, 99.1, 38.1, 101.6),
}
"""The sheets that ``plan.labels`` names."""


def label_sheet_of(parameters: Parameters) -> LabelSheet:
    """Return the label sheet of a variant."""
    chosen = parameters.plan.labels
    if chosen == "auto":
        chosen = "letter-3x10" if parameters.product.units == "inch" else "a4-3x8"
    return LABEL_SHEETS[chosen]
