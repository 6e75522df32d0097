"""``plan.pdf``: the printed plan, for the bench and to sell."""

from __future__ import annotations

from palewright.design import Design
from palewright.families import Relatives
from palewright_drawings.plan_content import plan_content
from palewright_drawings.progress import Progress, Silent
from palewright_drawings.typst_files import pdf_of


def plan_pdf(
    design: Design, progress: Progress | None = None, relatives: Relatives = tuple
) -> bytes:
    """Return the plan as PDF/UA-1; it tells the sizes of the variants of one family.

    Raises:
        InputError: if a part does not fit its stock.
    """
    progress = progress or Silent()
    progress.begin("plan.pdf", 6)
    content = pdf_of("plan", plan_content(design, progress, relatives))
    progress.advance()
    return content
