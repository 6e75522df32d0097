"""The frame that the papers of a batch share."""

from __future__ import annotations

from palewright_drawings.documents.batch.batch_pieces import PrintedBatch
from palewright_drawings.documents.plan.content import MARGIN, paper_of
from palewright_drawings.documents.plan.texts import SMALL
from palewright_drawings.output.json_data import Json
from palewright_drawings.paper.text_metrics import FAMILY, cap_share, shortened


def page_of(batch: PrintedBatch, what: str) -> Json:
    """Return a page's frame, title and foot.

    Args:
        batch: whose page.
        what: is on it, in a word or two.
    """
    width, height = paper_of(batch.first)
    room = width - 2 * MARGIN - 30.0  # the page's number stands beside it
    return {
        "paper": {"width": width, "height": height, "margin": MARGIN},
        "family": FAMILY,
        "what": what,
        "title": f"{batch.title}: {what}",
        "name": batch.title,
        "maker": batch.first.parameters.plan.maker,
        "foot": shortened(f"{batch.title}: {what}", SMALL * cap_share(), "regular", room),
    }
