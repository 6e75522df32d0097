"""The sheets of ``templates.pdf``: drawings at full size, and on every sheet a ruler to check it.

Small drawings share sheets; what is larger than a sheet goes on several, which overlap. All
lengths in mm of paper, x to the right and y down from the sheet's upper left corner; those of
letters and strokes are judged by eye.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from palewright.design import Design
from palewright.reading.lengths import INCH
from palewright_drawings.documents.jig_templates import jig_templates
from palewright_drawings.documents.plan.content import paper_of
from palewright_drawings.documents.plan.pictures import picture_of_marks
from palewright_drawings.documents.plan.texts import foot_text, title_of
from palewright_drawings.documents.template_tiling import Tile, tiles_of
from palewright_drawings.documents.typst_pdf import pdf_of
from palewright_drawings.figures.slanted_ends import Template, end_templates
from palewright_drawings.output.progress import Progress, Silent
from palewright_drawings.paper.marks import Mark, PathMark, TextMark, moved_marks
from palewright_drawings.paper.styles import STYLE
from palewright_drawings.paper.text_metrics import FAMILY, text_width

MARGIN = 12.0
"""Clear paper all round."""

FOOT = 24.0
"""Height of the strip at the foot: ruler, title, which sheet."""

RULER_MM, RULER_IN = 100.0, 4 * INCH
"""Lengths of the two rulers."""

TITLE_AT = 13.0
"""The title's base line is so far below the upper edge of the strip."""

_BETWEEN = 9.0
"""Room between two templates on a sheet, mm: judged by eye."""

_CELL = 5.0
"""Greatest side of a cell in the small map of sheets, mm: judged by eye."""


@dataclass(frozen=True, slots=True)
class TemplateSheet:
    """One sheet: its marks, and what it shows in words.

    Attributes:
        marks: what is drawn, from the paper's upper left corner.
        alt: in words.
        tile: which part of a large drawing it is; None where it holds small ones whole.
    """

    marks: tuple[Mark, ...]
    alt: str
    tile: Tile | None = None


def template_sheets(
    templates: Sequence[Template], paper: tuple[float, float]
) -> list[TemplateSheet]:
    """Return the sheets of some templates.

    Args:
        templates: drawings at full size.
        paper: width and height of a sheet.
    """
    room = room_on(paper)
    small = [t for t in templates if t.width <= room[0] and t.height <= room[1]]
    large = [t for t in templates if t not in small]
    found = [*_shared_sheets(small, room), *(s for t in large for s in _tiled(t, room))]
    return [
        TemplateSheet(
            (*moved_marks(sheet.marks, MARGIN, MARGIN), *_foot(paper, i, len(found), sheet)),
            sheet.alt,
            sheet.tile,
        )
        for i, sheet in enumerate(found, start=1)
    ]


def room_on(paper: tuple[float, float]) -> tuple[float, float]:
    """Return width and height that a sheet of some paper has for drawings."""
    return paper[0] - 2 * MARGIN, paper[1] - 2 * MARGIN - FOOT


def _shared_sheets(
    templates: Sequence[Template], room: tuple[float, float]
) -> Iterator[TemplateSheet]:
    """Yield sheets of small templates, one below the other in rows."""
    marks: list[Mark] = []
    titles: list[str] = []
    x = y = high = 0.0
    for one in templates:
        if x and x + one.width > room[0]:
            x, y, high = 0.0, y + high + _BETWEEN, 0.0
        if y and y + one.height > room[1]:
            yield TemplateSheet(tuple(marks), f"Full size: {'; '.join(titles)}")
            marks, titles, x, y, high = [], [], 0.0, 0.0, 0.0
        marks += moved_marks(one.marks, x, y)
        titles.append(one.title)
        x += one.width + _BETWEEN
        high = max(high, one.height)
    if marks:
        yield TemplateSheet(tuple(marks), f"Full size: {'; '.join(titles)}")


def _tiled(template: Template, room: tuple[float, float]) -> Iterator[TemplateSheet]:
    """Yield the sheets of a large template."""
    for tile in tiles_of(template.marks, template.width, template.height, room):
        told = f"row {tile.row} of {tile.rows}, column {tile.column} of {tile.columns}"
        yield TemplateSheet(tile.marks, f"Full size: {template.title}, {told}", tile)


def _foot(
    paper: tuple[float, float], number: int, count: int, sheet: TemplateSheet
) -> Iterator[Mark]:
    """Yield the strip at a sheet's foot, but for the title: the document writes it itself."""
    left, right = MARGIN, paper[0] - MARGIN
    top = paper[1] - MARGIN - FOOT + 6.0
    yield PathMark(
        "frame", (((left, top - 3.0), (right, top - 3.0)),), width=0.25, colour=STYLE.ink
    )
    yield from _rulers(left, top + 6.0)
    yield _text(f"sheet {number} of {count}", right, top + 2.5, 2.4, True)
    if sheet.tile:
        tile = sheet.tile
        yield _text(f"row {tile.row} of {tile.rows}", right, top + 11.5, 2.4, True)
        yield _text(f"column {tile.column} of {tile.columns}", right, top + 16.0, 2.4, True)
        yield from _map(tile, left + RULER_IN + 8.0, top)
    else:
        yield _text("full size: print at 100 %", right, top + 11.5, 2.4, False)


def _text(text: str, right: float, base: float, capitals: float, bold: bool) -> TextMark:
    """Return a text that ends at the right."""
    face = "bold" if bold else "regular"
    start = right - text_width(text, capitals, face)
    return TextMark(text, (start, base), capitals, face, colour=STYLE.ink)  # type: ignore[arg-type]


def _rulers(left: float, y: float) -> Iterator[Mark]:
    """Yield two rulers back to back: inches above, millimetres below."""
    runs = [((left, y), (left + RULER_IN, y))]
    for i in range(9):
        x = left + i * INCH / 2
        runs.append(((x, y), (x, y - (4.0 if i % 2 == 0 else 2.5))))
    for i in range(11):
        x = left + i * 10.0
        runs.append(((x, y), (x, y + (4.0 if i % 5 == 0 else 2.5))))
    yield PathMark("frame", tuple(runs), width=0.18, colour=STYLE.ink)
    for i in (1, 2, 3):
        yield _above(str(i), left + i * INCH, y - 5.0)
    yield _above("50", left + 50.0, y + 7.0)
    yield TextMark("0", (left, y - 5.0), 2.0, colour=STYLE.ink)
    for text, x, base in (("4 in", RULER_IN, y - 5.0), ("100 mm", RULER_MM, y + 7.0)):
        yield TextMark(text, (left + x - text_width(text, 2.0), base), 2.0, colour=STYLE.ink)


def _above(text: str, middle: float, base: float) -> TextMark:
    """Return a small text centred over a place."""
    return TextMark(text, (middle - text_width(text, 2.0) / 2, base), 2.0, colour=STYLE.ink)


def _map(tile: Tile, left: float, top: float) -> Iterator[Mark]:
    """Yield a small map of all sheets of a drawing, this one filled."""
    cell = min(_CELL, 16.0 / tile.rows, 28.0 / tile.columns)
    for row in range(tile.rows):
        for column in range(tile.columns):
            x, y = left + column * cell, top + row * cell
            ring = ((x, y), (x + cell, y), (x + cell, y + cell), (x, y + cell))
            here = (row + 1, column + 1) == (tile.row, tile.column)
            yield PathMark(
                "fill", (ring,), True, 0.18, STYLE.ink, fill=STYLE.ink if here else "#ffffff"
            )


def sheets_of(design: Design) -> list[TemplateSheet]:
    """Return the sheets of one box: its slanted ends, then its jigs."""
    paper = paper_of(design)
    templates = [*end_templates(design), *jig_templates(design, room_on(paper))]
    return template_sheets(templates, paper)


def templates_pdf(design: Design, progress: Progress | None = None) -> bytes:
    """Return the templates as PDF/UA-1; empty where there is nothing to draw."""
    progress = progress or Silent()
    progress.begin("templates.pdf", 2)
    sheets = sheets_of(design)
    progress.advance()
    content = _pdf(design, sheets) if sheets else b""
    progress.advance()
    return content


def _pdf(design: Design, sheets: list[TemplateSheet]) -> bytes:
    """Return some sheets as PDF."""
    width, height = paper_of(design)
    data = {
        "title": f"{title_of(design)}: templates",
        "maker": design.parameters.plan.maker,
        "family": FAMILY,
        "paper": {"width": width, "height": height, "margin": 0.0},
        "foot": {
            "text": foot_text(design, width - 2 * MARGIN - RULER_IN - 45.0),
            "right": MARGIN,
            "y": round(height - MARGIN - FOOT + TITLE_AT, 3),
        },
        "sheets": [
            picture_of_marks(sheet.marks, width, height, sheet.alt).as_json() for sheet in sheets
        ],
    }
    return pdf_of("templates", data)
