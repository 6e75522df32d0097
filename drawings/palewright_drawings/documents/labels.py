"""``labels.pdf``: a label a piece, sorted into trays, on a sheet of labels. Lengths in mm.

One label a piece, kit by kit (a kit is a panel: one tray at the bench), each kit behind the header
of its tray. The square code holds the label's own words, so that a telephone reads it to who has
sawdust on the glasses, and a list of what is scanned is a list of what is there. Shares of a
label's sides are judged by eye.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from palewright.design import Design
from palewright.reading.lengths import degrees
from palewright.sawing.cut_parts import CutPart
from palewright.sawing.numbered_plans import numbered_plans
from palewright_drawings.documents.label_sheet_formats import LabelSheet, label_sheet_of
from palewright_drawings.documents.plan.numbered_cuts import Origin, origins
from palewright_drawings.documents.plan.texts import size_line, title_of
from palewright_drawings.documents.typst_pdf import pdf_of
from palewright_drawings.output.json_data import Json
from palewright_drawings.output.progress import Progress, Silent
from palewright_drawings.paper.pages import PAPERS
from palewright_drawings.paper.qr_codes import code_svg
from palewright_drawings.paper.text_metrics import (
    FAMILY,
    Face,
    font_size,
    shortened,
    text_ink,
    text_width,
)

_GAP = 2.2
"""Clear space between mark, words and code, mm: judged by eye."""

_MARK_MOST, _LINE_MOST, _LINE_LEAST = 11.0, 3.0, 1.0
"""Greatest height of a mark; greatest and least height of capitals in lines, mm: judged by eye."""

_LEADING = 1.75
"""From one line to the next, in heights of capitals."""

_CODE_MOST = 21.0
"""Greatest side of a square code, mm: judged by eye."""


@dataclass(frozen=True, slots=True)
class PieceLabel:
    """What one label says.

    Attributes:
        kit: the panel, which is the tray.
        mark: the part's mark and the piece's number; empty on a tray's header.
        lines: from the top; the first is the strongest.
        code: what the square code holds.
    """

    kit: str
    mark: str
    lines: tuple[str, ...]
    code: str


@dataclass(frozen=True, slots=True)
class LabelLine:
    """A line of text on a label: left end of its base line, height of capitals, mm."""

    text: str
    x: float
    y: float
    capitals: float
    face: Face

    def as_json(self) -> dict[str, object]:
        """Return it as the template takes it: size of the font in mm."""
        return {
            "text": self.text,
            "x": round(self.x, 3),
            "y": round(self.y, 3),
            "size": round(font_size(self.capitals, self.face), 4),
            "bold": self.face == "bold",
        }


@dataclass(frozen=True, slots=True)
class SetLabel:
    """A label set for a sheet: its lines and its code, from the label's upper left corner."""

    label: PieceLabel
    lines: tuple[LabelLine, ...]
    code_x: float
    code_y: float
    code_size: float


def piece_labels(design: Design) -> list[PieceLabel]:
    """Return the labels of one box: tray headers, and a label a piece.

    Raises:
        InputError: if a part does not fit its stock.
    """
    return list(box_labels(design, origins(design, numbered_plans(design.saw_plans))))


def box_labels(
    design: Design, found_in: Mapping[str, Origin], box: str = "", tag: str = ""
) -> Iterator[PieceLabel]:
    """Yield the labels of one box: tray headers, and a label a piece.

    Args:
        design: the box.
        found_in: where each board comes from, by its name.
        box: which one of a batch, in words.
        tag: stands before its marks where a batch has several variants.
    """
    part_of = {name: part for part in design.parts for name in part.boards}
    order = {part.mark: i for i, part in enumerate(design.parts)}
    for tray, (kit, names) in enumerate(design.tree.items(), start=1):
        marks = Counter(f"{tag}{part_of[name].mark}" for name in names)
        yield _header(design, kit, marks, tray, box)
        for name in sorted(names, key=lambda n: (order[part_of[n].mark], found_in[n].piece)):
            yield _piece(design, name, part_of[name], found_in[name], box, tag)


def _header(design: Design, kit: str, counted: Counter[str], tray: int, box: str) -> PieceLabel:
    """Return the header of a kit's tray."""
    marks = [f"{mark} × {counted[mark]}" for mark in sorted(counted, key=_by_mark)]
    half = math.ceil(len(marks) / 2) if len(marks) > 3 else len(marks)
    title = title_of(design)
    count = counted.total()
    where = f"{box}, {kit}" if box else kit
    lines = (
        f"{where}: {count} {'piece' if count == 1 else 'pieces'}",
        f"{title}, tray {tray} of {len(design.tree)}",
        *("  ".join(row) for row in (marks[:half], marks[half:]) if row),
    )
    return PieceLabel(kit, "", lines, _plain(f"{design.name} {where}: {', '.join(marks)}"))


def _by_mark(mark: str) -> tuple[int, str]:
    """Return what sorts marks as they are counted: Z before AA."""
    return len(mark), mark


def _piece(
    design: Design, name: str, part: CutPart, origin: Origin, box: str, tag: str
) -> PieceLabel:
    """Return the label of one piece."""
    system = design.parameters.product.units
    kit, _, piece = name.partition(".")
    size = size_line((part.length, part.width), system)
    ends = short_ends(part)
    where = [*([box] if box else []), kit, f"board {origin.board}"]
    lines = (piece.replace("-", " "), size, ends, "  ·  ".join(where))
    mark = f"{tag}{part.mark}{origin.piece}"
    which = f" {box}" if box else ""
    code = _plain(f"{design.name}{which} {mark} {name} {size} board {origin.board}")
    return PieceLabel(kit, mark, lines, code)


def _plain(text: str) -> str:
    """Return a text for a code: readers guess what letters beyond the plain ones mean."""
    return text.replace("×", "x")


def short_ends(part: CutPart) -> str:
    """Return how a part's ends are cut, in a few letters: ``ends 26° / 38°``."""
    sides = ["+".join(f"{degrees(a)}°" for a in angles if a >= 0.05) or "0°"
             for angles in (part.left_angles, part.right_angles)]  # fmt: skip
    return "ends square" if sides == ["0°", "0°"] else f"ends {' / '.join(sides)}"


def set_label(label: PieceLabel, sheet: LabelSheet) -> SetLabel:
    """Return a label with the place of everything on it, within the sheet's insets."""
    left, top = sheet.inset_x, sheet.inset_y
    wide, high = sheet.width - 2 * left, sheet.height - 2 * top
    code = min(high, _CODE_MOST, 0.25 * wide)
    start, lines = left, []
    if label.mark:
        mark = min(_MARK_MOST, 0.42 * high)
        column = min(0.2 * wide, 1.4 * mark)
        mark *= min(1.0, column / text_width(label.mark, mark, "bold"))
        ink = text_ink(label.mark, mark, "bold")[0]  # a J begins left of its place
        lines.append(LabelLine(label.mark, left - ink, (sheet.height + mark) / 2, mark, "bold"))
        start += column + _GAP
    room = left + wide - code - _GAP - start
    most = min(_LINE_MOST, high / (_LEADING * (len(label.lines) - 1) + 1.25))
    tall = most * (1.25 + _LEADING * (len(label.lines) - 1))
    y = (sheet.height - tall) / 2 + 1.25 * most
    for i, text in enumerate(label.lines):
        face: Face = "regular" if i else "bold"
        size = most if i else 1.25 * most
        size = max(_LINE_LEAST, size * min(1.0, room / text_width(text, size, face)))
        text = shortened(text, size, face, room)
        ink = min(0.0, text_ink(text, size, face)[0])
        lines.append(LabelLine(text, start - ink, y, size, face))
        y += _LEADING * most
    x = sheet.width - left - code
    return SetLabel(label, tuple(lines), x, (sheet.height - code) / 2, code)


def labels_pdf(design: Design, progress: Progress | None = None) -> bytes:
    """Return the labels of one box as PDF/UA-1.

    Raises:
        InputError: if a part does not fit its stock.
    """
    progress = progress or Silent()
    progress.begin("labels.pdf", 2)
    data = labels_data(piece_labels(design), design, title_of(design))
    progress.advance()
    content = pdf_of("labels", data)
    progress.advance()
    return content


def labels_data(told: Iterable[PieceLabel], design: Design, title: str) -> Json:
    """Return what the template of the labels takes: pages of labels with their places, mm.

    Args:
        told: the labels, in order.
        design: whose sheets of labels they are printed on.
        title: of what they are.
    """
    sheet = label_sheet_of(design.parameters)
    width, height = PAPERS[sheet.paper]
    labels = [set_label(label, sheet) for label in told]
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
        "title": f"{title}: labels",
        "maker": design.parameters.plan.maker,
        "family": FAMILY,
        "paper": {"width": width, "height": height, "margin": 0.0},
        "label": {"width": sheet.width, "height": sheet.height},
        "pages": pages,
    }
