"""``plan.pdf``: the printed plan, for the bench and to sell."""

from __future__ import annotations

from palewright.design import Design
from palewright_drawings.plan_content import plan_content
from palewright_drawings.progress import Progress, Silent
from palewright_drawings.typst_files import pdf_of


def plan_pdf(design: Design, progress: Progress | None = None) -> bytes:
    """Return the plan as PDF/UA-1.

    Raises:
        InputError: if a part does not fit its stock.
    """
    progress = progress or Silent()
    progress.begin("plan.pdf", 6)
    content = pdf_of("plan", plan_content(design, progress))
    progress.advance()
    return content
