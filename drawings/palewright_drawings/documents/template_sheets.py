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


_Box = tuple[float, float, float, float]
"""Left, upper, right and lower edge of a rectangle on a sheet, mm."""


@dataclass
class _Held:
    """A sheet being filled: what lies where, and the largest free rectangles, which may overlap."""

    free: list[_Box]
    laid: list[tuple[Template, float, float]]


def _shared_sheets(
    templates: Sequence[Template], room: tuple[float, float]
) -> Iterator[TemplateSheet]:
    """Yield sheets with templates, on the fewest that a few orders of laying them give."""
    orders = [
        sorted(templates, key=key)
        for key in (
            lambda t: -t.height,
            lambda t: (-t.width, -t.height),
            lambda t: -t.width * t.height,
            lambda t: -max(t.width, t.height),
        )
    ]
    sheets = min((_packed(order, room) for order in orders), key=len)
    for sheet in sheets:
        held = sorted(sheet.laid, key=lambda one: (one[2], one[1]))
        marks = tuple(m for one, x, y in held for m in moved_marks(one.marks, x, y))
        told = "; ".join(one.title for one, _, _ in held)
        keys = tuple(dict.fromkeys(key for one, _, _ in held for key in one.keys))
        yield TemplateSheet(marks, f"Full size: {told}", keys)


def _packed(templates: Sequence[Template], room: tuple[float, float]) -> list[_Held]:
    """Return sheets with templates laid in order, each where it fits a free rectangle most closely.

    Maximal rectangles, best short side (J. Jylänki, "A thousand ways to pack the bin", 2010, from
    memory); a template is never turned, since its words are read.
    """
    wide, high = room[0] + _BETWEEN + 1e-6, room[1] + _BETWEEN + 1e-6
    sheets: list[_Held] = []
    for one in templates:
        width, height = one.width + _BETWEEN, one.height + _BETWEEN
        assert width <= wide and height <= high, f"{one.title} fits no sheet"
        fits = [
            (min(x1 - x0 - width, y1 - y0 - height), i, x0, y0)
            for i, sheet in enumerate(sheets)
            for x0, y0, x1, y1 in sheet.free
            if width <= x1 - x0 and height <= y1 - y0
        ]
        if not fits:
            sheets.append(_Held([(0.0, 0.0, wide, high)], []))
            fits = [(0.0, len(sheets) - 1, 0.0, 0.0)]
        _, i, x, y = min(fits)
        sheets[i].laid.append((one, x, y))
        sheets[i].free = _left_free(sheets[i].free, (x, y, x + width, y + height))
    return sheets


def _left_free(free: Sequence[_Box], taken: _Box) -> list[_Box]:
    """Return the largest free rectangles once one is taken."""
    a, b, c, d = taken
    parts: list[_Box] = []
    for x0, y0, x1, y1 in free:
        if a >= x1 or c <= x0 or b >= y1 or d <= y0:
            parts.append((x0, y0, x1, y1))
            continue
        around = ((x0, y0, a, y1), (c, y0, x1, y1), (x0, y0, x1, b), (x0, d, x1, y1))
        parts += [one for one in around if one[2] > one[0] and one[3] > one[1]]
    parts = list(dict.fromkeys(parts))
    return [one for one in parts if not any(other != one and _holds(other, one) for other in parts)]


def _holds(outer: _Box, inner: _Box) -> bool:
    """Whether a rectangle lies within another."""
    return (
        outer[0] <= inner[0] and outer[1] <= inner[1]
        and inner[2] <= outer[2] and inner[3] <= outer[3]
    )  # fmt: skip


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
    drawn = dict.fromkeys(t for part in parts for t in part.templates)  # shared ones once
    templates = [*end_templates(design), *drawn]
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
