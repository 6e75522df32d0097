"""``templates.pdf``: paper templates at full size, with a ruler on every sheet."""

from __future__ import annotations

from palewright.design import Design
from palewright_drawings.end_templates import end_templates
from palewright_drawings.jig_templates import jig_templates
from palewright_drawings.plan_content import paper_of
from palewright_drawings.plan_pictures import picture_of_marks
from palewright_drawings.plan_texts import foot_text, title_of
from palewright_drawings.print_fonts import FAMILY
from palewright_drawings.progress import Progress, Silent
from palewright_drawings.template_sheets import (
    FOOT,
    MARGIN,
    RULER_IN,
    TITLE_AT,
    TemplateSheet,
    room_on,
    template_sheets,
)
from palewright_drawings.typst_files import pdf_of


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
