"""The sheets of ``templates.pdf``: drawings at full size, and on every sheet a ruler to check it.

Drawings share sheets; the first sheet says what is where and how strips are joined. All
lengths in mm of paper, x to the right and y down from the sheet's upper left corner; those of
letters and strokes are judged by eye.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from palewright.design import Design
from palewright.reading.lengths import INCH
from palewright_drawings.documents.jig_templates import KeyedPart, jig_templates
from palewright_drawings.documents.plan.content import paper_of
from palewright_drawings.documents.plan.pictures import picture_of_marks
from palewright_drawings.documents.plan.texts import foot_text, title_of
from palewright_drawings.documents.template_key import key_marks
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

_BETWEEN = 6.0
"""Room between two templates on a sheet, mm: judged by eye."""


@dataclass(frozen=True, slots=True)
class TemplateSheet:
    """One sheet.

    Attributes:
        marks: what is drawn, from the paper's upper left corner.
        alt: in words.
        keys: numbers in the key of what it holds.
    """

    marks: tuple[Mark, ...]
    alt: str
    keys: tuple[str, ...] = ()


def template_sheets(
    templates: Sequence[Template],
    paper: tuple[float, float],
    parts: Sequence[KeyedPart] = (),
    system: str = "inch",
) -> list[TemplateSheet]:
    """Return the sheets of some templates, the key to the parts of jigs first.

    Args:
        templates: drawings that each fit a sheet.
        paper: width and height of a sheet.
        parts: of jigs, whose templates are among them.
        system: ``inch`` or ``metric``.
    """
    room = room_on(paper)
    found = list(_shared_sheets(templates, room))
    if parts:
        held = {
            part.number: [i for i, sheet in enumerate(found, 2) if part.number in sheet.keys]
            for part in parts
        }
        marks = tuple(key_marks(parts, held, room, system))
        found.insert(0, TemplateSheet(marks, "Key: which part of which jig is on which sheet"))
    return [
        TemplateSheet(
            (*moved_marks(sheet.marks, MARGIN, MARGIN), *_foot(paper, i, len(found))),
            sheet.alt,
            sheet.keys,
        )
        for i, sheet in enumerate(found, start=1)
    ]


def room_on(paper: tuple[float, float]) -> tuple[float, float]:
    """Return width and height that a sheet of some paper has for drawings."""
    return paper[0] - 2 * MARGIN, paper[1] - 2 * MARGIN - FOOT


@dataclass
class _Shelf:
    """A row of templates on a sheet: where it begins, how high it is, how far it is filled."""

    top: float
    high: float
    filled: float


def _shared_sheets(
    templates: Sequence[Template], room: tuple[float, float]
) -> Iterator[TemplateSheet]:
    """Yield sheets with templates in rows, the highest first, each where it first finds room."""
    sheets: list[tuple[list[_Shelf], list[tuple[Template, float, float]]]] = []
    for one in sorted(templates, key=lambda t: -t.height):
        shelf = _room_for(one, sheets, room)
        if shelf is None:
            sheets.append(([], []))
            shelf = _room_for(one, sheets, room)
        assert shelf is not None, f"{one.title} fits no sheet"
        held = next(laid for shelves, laid in sheets if shelf in shelves)
        held.append((one, shelf.filled, shelf.top))
        shelf.filled += one.width + _BETWEEN
    for _, held in sheets:
        marks = tuple(m for one, x, y in held for m in moved_marks(one.marks, x, y))
        told = "; ".join(one.title for one, _, _ in held)
        keys = tuple(one.key for one, _, _ in held)
        yield TemplateSheet(marks, f"Full size: {told}", keys)


def _room_for(
    one: Template,
    sheets: Sequence[tuple[list[_Shelf], list[tuple[Template, float, float]]]],
    room: tuple[float, float],
) -> _Shelf | None:
    """Return the first shelf that has room for a template, a new one where a sheet has; or None."""
    for shelves, _ in sheets:
        for shelf in shelves:
            if one.height <= shelf.high + 1e-6 and shelf.filled + one.width <= room[0] + 1e-6:
                return shelf
        top = shelves[-1].top + shelves[-1].high + _BETWEEN if shelves else 0.0
        if top + one.height <= room[1] + 1e-6:
            shelves.append(_Shelf(top, one.height, 0.0))
            return shelves[-1]
    return None


def _foot(paper: tuple[float, float], number: int, count: int) -> Iterator[Mark]:
    """Yield the strip at a sheet's foot, but for the title: the document writes it itself."""
    left, right = MARGIN, paper[0] - MARGIN
    top = paper[1] - MARGIN - FOOT + 6.0
    yield PathMark(
        "frame", (((left, top - 3.0), (right, top - 3.0)),), width=0.25, colour=STYLE.ink
    )
    yield from _rulers(left, top + 6.0)
    yield _text(f"sheet {number} of {count}", right, top + 2.5, 2.4, True)
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


def sheets_of(design: Design) -> list[TemplateSheet]:
    """Return the sheets of one box: the key, its slanted ends and its jigs."""
    paper = _paper(design)
    parts = jig_templates(design, room_on(paper))
    templates = [*end_templates(design), *(t for part in parts for t in part.templates)]
    return template_sheets(templates, paper, parts, design.parameters.product.units)


def _paper(design: Design) -> tuple[float, float]:
    """Return width and height of the sheets, which lie on their side: plates are wide."""
    width, height = paper_of(design)
    return height, width


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
    width, height = _paper(design)
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
