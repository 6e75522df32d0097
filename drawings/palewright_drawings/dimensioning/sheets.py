"""Sheets of dimensioned views: third-angle order, the largest standard scale that fits the paper.

The top stands above the front and the right side to its right, drawn from shared lines: what is
level with each other on the box is level on the sheet. A set that would be too small on one page
takes more. Nothing is printed outside the frame.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from palewright.design import Design
from palewright_drawings.dimensioning.box_chains import dimensioned, sizes_given
from palewright_drawings.paper.figure import Figure
from palewright_drawings.paper.figure_placement import place
from palewright_drawings.paper.marks import Mark, Placed, TextMark, edges_of
from palewright_drawings.paper.pages import FootStrip, Page, page_marks, page_of, scale_text
from palewright_drawings.paper.styles import STYLE
from palewright_drawings.paper.svg import marks_svg
from palewright_drawings.paper.text_metrics import Edges, text_width

SCALES: dict[str, tuple[float, ...]] = {
    "inch": (1, 2, 3, 4, 6, 8, 12, 16, 24, 32, 48),
    "metric": (1, 2, 2.5, 4, 5, 8, 10, 15, 20, 25, 40, 50),
}
"""How many times smaller a drawing may be: what carpenters' and metric scale rules carry
(common practice; 1, 2, 5, 10, 20 and 50 are those of ISO 5455, from memory)."""

_TITLE, _TITLE_GAP = 3.0, 5.5
"""Height of the capitals of a view's title, and from what is above it to its base line, mm."""

_APART = 7.0
"""Least clear space between two views, mm."""

_WORTH = (1.0, 0.75)
"""What a scale is worth on one page and on two: a page more must show more."""

Cell = tuple[int, int]
"""Column from the left and row from above."""

PageGrid = Mapping[Cell, str]
"""Which view stands where on a page."""

_GRIDS: tuple[tuple[PageGrid, ...], ...] = (
    ({(0, 0): "top", (1, 0): "level", (0, 1): "front", (1, 1): "right", (2, 1): "back"},),
    (
        {(0, 0): "top", (0, 1): "front", (1, 1): "right"},
        {(0, 0): "level", (0, 1): "back"},
    ),
    (
        {(0, 1): "front", (1, 1): "right", (2, 1): "back"},
        {(0, 0): "top", (0, 1): "level"},
    ),
    (
        {(0, 1): "front", (1, 1): "right", (2, 1): "back"},
        {(0, 0): "top", (1, 0): "level"},
    ),
)
"""Orders in which views may stand on one page or two."""


@dataclass(frozen=True)
class Sheet:
    """One page of views.

    Attributes:
        page: its paper.
        scale: mm of paper for a mm of the model.
        views: each view as it is placed, with its place's shift to the right and down, mm.
        marks: everything that is printed, mm from the upper left corner.
        title, alt: what it is called and shows, for who does not see it.
    """

    page: Page
    scale: float
    views: tuple[tuple[Placed, float, float], ...]
    marks: tuple[Mark, ...]
    title: str
    alt: str

    def svg(self) -> bytes:
        """Return the page as SVG of the paper's exact size."""
        return marks_svg(self.marks, self.page.width, self.page.height, self.title, self.alt)


@dataclass(frozen=True)
class _PageLayout:
    """Views on one page: their scale, and where each comes to lie."""

    page: Page
    scale: float
    views: tuple[tuple[Placed, float, float], ...]


def paper_for(design: Design) -> str:
    """Return the paper that a variant asks for: by itself Letter for inches, A4 for metric."""
    asked = design.parameters.plan.paper
    if asked != "auto":
        return asked
    return "letter" if design.parameters.product.units == "inch" else "a4"


def sheet_figures(design: Design) -> dict[str, Figure]:
    """Return the dimensioned views that a set of sheets needs, by name.

    The back is among them only where it has sizes of its own.
    """
    given = sizes_given(design)
    own_back = given.dimensions.get("back") or given.angles.get("back") or given.widths.get("back")
    names = ("front", "right", "top", "level", *(("back",) if own_back else ()))
    return {name: dimensioned(design, name) for name in names}


def view_sheets(
    design: Design,
    paper: str | None = None,
    first: int = 1,
    sheets: int | None = None,
    named: bool = True,
) -> list[Sheet]:
    """Return all dimensioned views on as few pages as show them well.

    Args:
        design: the box.
        paper: a name of ``pages.PAPERS``; None takes the variant's.
        first: number of the first page, in a set of more.
        sheets: how many pages the whole set has; None: these.
        named: whether the variant's name in the shop stands on them.

    Raises:
        KeyError: if there is no such paper.
        ValueError: if a view does not fit a page at any scale.
    """
    paper = paper_for(design) if paper is None else paper
    figures = sheet_figures(design)
    system = design.parameters.product.units
    pages = _best(_Placer(figures), paper, SCALES[system])
    title, count = design.parameters.product.title, sheets or len(pages)
    return [
        _finished(layout, title, design.name if named else "", system, number, count)
        for number, layout in enumerate(pages, start=first)
    ]


def _finished(
    layout: _PageLayout, title: str, variant: str, system: str, number: int, count: int
) -> Sheet:
    """Return a page with its frame, its strip and the titles of its views."""
    subject = ", ".join(placed.figure.title.lower() for placed, _, _ in layout.views).capitalize()
    strip = FootStrip(title, variant, subject, layout.scale, system, number, count)
    marks = page_marks(layout.page, strip)
    for placed, dx, dy in layout.views:
        marks += [mark.moved(dx, dy) for mark in _with_title(placed)]
    alt = " ".join(
        f"{placed.figure.alt}, with {len(placed.figure.dimensions)} sizes."
        for placed, _, _ in layout.views
    )
    told = f"{title}: {subject}, {scale_text(layout.scale)}"
    return Sheet(layout.page, layout.scale, layout.views, tuple(marks), told, alt)


def _with_title(placed: Placed) -> list[Mark]:
    """Return a view's marks and its title, centred below the drawing."""
    x0, _, x1, _ = placed.figure.bounds
    middle = placed.at(((x0 + x1) / 2, 0.0))[0]
    wide = text_width(placed.figure.title, _TITLE, "bold")
    at = middle - wide / 2, placed.height + _TITLE_GAP
    title = TextMark(placed.figure.title, at, _TITLE, "bold", colour=STYLE.ink, what="title")
    return [*placed.marks, title]


class _Placer:
    """Figures on paper, each placed once a scale."""

    def __init__(self, figures: Mapping[str, Figure]) -> None:
        self.figures = figures
        self._placed: dict[tuple[str, float], Placed] = {}

    def at(self, name: str, scale: float) -> Placed:
        """Return a figure at a scale."""
        found = self._placed.get((name, scale))
        if found is None:
            found = self._placed[name, scale] = place(self.figures[name], scale)
        return found


def _best(placer: _Placer, paper: str, scales: Sequence[float]) -> list[_PageLayout]:
    """Return the pages of the order that shows most: the largest scale, on few pages."""
    found: list[tuple[float, list[_PageLayout]]] = []
    for grids in _GRIDS:
        there = [_only(grid, placer.figures) for grid in grids]
        pages = [_fitted(grid, placer, paper, scales) for grid in there if grid]
        fitting = [page for page in pages if page is not None]
        if len(fitting) == len(pages):
            worth = min(page.scale for page in fitting) * _WORTH[len(fitting) - 1]
            found.append((worth, fitting))
    if not found:
        raise ValueError(f"no scale of {paper} fits these views")
    return max(found, key=lambda pair: pair[0])[1]


def _only(grid: PageGrid, figures: Mapping[str, Figure]) -> PageGrid:
    """Return a grid without the views that there are not."""
    return {cell: name for cell, name in grid.items() if name in figures}


def _fitted(
    grid: PageGrid, placer: _Placer, paper: str, scales: Sequence[float]
) -> _PageLayout | None:
    """Return a page of views at the largest scale that fits, upright or landscape."""
    for smaller in scales:
        scale = 1 / smaller
        pages = [page_of(paper, landscape) for landscape in (False, True)]
        pages = [page for page in pages if _drawings_fit(grid, placer.figures, page, scale)]
        if pages:
            placed = {cell: placer.at(name, scale) for cell, name in grid.items()}
            for page in pages:
                views = _arranged(placed, page)
                if views is not None:
                    return _PageLayout(page, scale, views)
    return None


def _drawings_fit(grid: PageGrid, figures: Mapping[str, Figure], page: Page, scale: float) -> bool:
    """Return whether the bare drawings fit a page: a quick look before they are placed."""
    x0, y0, x1, y1 = page.room
    sizes = {cell: figures[name].bounds for cell, name in grid.items()}
    for axis, room in ((0, x1 - x0), (1, y1 - y0)):
        lines = {cell[axis] for cell in grid}
        needed = _APART * (len(lines) - 1)
        for line in lines:
            needed += max(
                (b[axis + 2] - b[axis]) * scale + _rows_room(figures[grid[cell]], axis)
                for cell, b in sizes.items()
                if cell[axis] == line
            )
        if needed > room:
            return False
    return True


def _rows_room(figure: Figure, axis: int) -> float:
    """Return the least room (mm) that the rows of dimensions take along an axis."""
    room = 0.0
    for side in ("left", "right") if axis == 0 else ("above", "below"):
        rows = {dimension.row for dimension in figure.dimensions if dimension.side == side}
        if rows:
            room += STYLE.first_row + (len(rows) - 1) * STYLE.row
    return room


def _arranged(
    placed: Mapping[Cell, Placed], page: Page
) -> tuple[tuple[Placed, float, float], ...] | None:
    """Return views with their shifts, their origins in line; None where they do not fit."""
    boxes = {cell: edges_of(_with_title(one)) for cell, one in placed.items()}
    x0, y0, x1, y1 = page.room
    across = _lines(0, x0, x1, placed, boxes)
    down = _lines(1, y0, y1, placed, boxes)
    if across is None or down is None:
        return None
    return tuple(
        (one, across[cell[0]] - one.origin[0], down[cell[1]] - one.origin[1])
        for cell, one in placed.items()
    )


def _lines(
    axis: int,
    start: float,
    end: float,
    placed: Mapping[Cell, Placed],
    boxes: Mapping[Cell, Edges],
) -> dict[int, float] | None:
    """Return where the origins of each column (0) or row (1) lie; None where there is no room.

    What is left over is shared out between the views and round them.
    """
    before: dict[int, float] = {}
    after: dict[int, float] = {}
    for cell, one in placed.items():
        line, origin = cell[axis], one.origin[axis]
        before[line] = max(before.get(line, 0.0), origin - boxes[cell][axis])
        after[line] = max(after.get(line, 0.0), boxes[cell][axis + 2] - origin)
    lines = sorted(before)
    needed = sum(before[line] + after[line] for line in lines)
    spare = end - start - needed
    if spare < _APART * (len(lines) - 1):
        return None
    gap = spare / (len(lines) + 1)
    if gap < _APART and len(lines) > 1:
        gap = _APART
    edge = (spare - gap * (len(lines) - 1)) / 2
    found, at = {}, start + edge
    for line in lines:
        found[line] = at + before[line]
        at += before[line] + after[line] + gap
    return found
