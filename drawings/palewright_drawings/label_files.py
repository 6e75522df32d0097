"""``labels.pdf``: a label a piece, sorted into trays, on a sheet of labels."""

from __future__ import annotations

from palewright.design import Design
from palewright_drawings.label_content import piece_labels, set_label
from palewright_drawings.label_sheets import label_sheet_of
from palewright_drawings.pages import PAPERS
from palewright_drawings.plan_texts import title_of
from palewright_drawings.print_fonts import FAMILY
from palewright_drawings.progress import Progress, Silent
from palewright_drawings.square_codes import code_svg
from palewright_drawings.typst_files import pdf_of

Json = dict[str, object]


def labels_pdf(design: Design, progress: Progress | None = None) -> bytes:
    """Return the labels of one box as PDF/UA-1.

    Raises:
        InputError: if a part does not fit its stock.
    """
    progress = progress or Silent()
    progress.begin("labels.pdf", 2)
    data = labels_data(design)
    progress.advance()
    content = pdf_of("labels", data)
    progress.advance()
    return content


def labels_data(design: Design) -> Json:
    """Return what the template of the labels takes: pages of labels with their places, mm."""
    sheet = label_sheet_of(design.parameters)
    width, height = PAPERS[sheet.paper]
    labels = [set_label(label, sheet) for label in piece_labels(design)]
    corners = list(sheet.corners())
    pages = []
    for first in range(0, len(labels), sheet.count):
        group = labels[first : first + sheet.count]
        pages.append(
            [
                {
                    "x": round(x, 4),
                    "y": round(y, 4),
                    "header": not one.label.mark,
                    "lines": [line.as_json() for line in one.lines],
                    "code": code_svg(one.label.code).decode(),
                    "code-x": round(one.code_x, 3),
                    "code-y": round(one.code_y, 3),
                    "code-size": round(one.code_size, 3),
                    "alt": f"Code: {one.label.code}",
                }
                for one, (x, y) in zip(group, corners, strict=False)
            ]
        )
    return {
        "title": f"{title_of(design)}: labels",
        "maker": design.parameters.plan.maker,
        "family": FAMILY,
        "paper": {"width": width, "height": height, "margin": 0.0},
        "label": {"width": sheet.width, "height": sheet.height},
        "pages": pages,
    }
