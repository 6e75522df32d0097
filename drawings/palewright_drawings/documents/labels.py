"""``labels.pdf``: a label a piece, sorted into trays, on a sheet of labels. Lengths in mm.

One label a piece, kit by kit (a kit is a panel: one tray at the bench), each kit behind the header
of its tray. The square code tells more: the step that takes the piece, its tray, which box of a
batch; a list of what is scanned is a list of what is there. All pieces of a print have letters of
one size. Shares of a label's sides are judged by eye.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from palewright.assembly.assembly_steps import assembly_steps
from palewright.assembly.step_facts import boards_in_hand
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

_WORDS = 14
"""Letters of a piece's name at most: more would make the letters of all labels small."""

_MARK_MOST, _LINE_MOST, _LINE_LEAST = 11.0, 3.0, 1.5
"""Greatest height of a mark; greatest and least height of capitals in lines, mm: judged by eye."""

_LEADING = 1.75
"""From one line to the next, in heights of capitals."""

_FIRST = 1.25
"""The first line is so much larger than the others."""

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


@dataclass(frozen=True, slots=True)
class LetterSizes:
    """Heights of capitals on labels of one kind, mm: the mark's and that of lines."""

    mark: float
    line: float


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
    steps = steps_of(design)
    order = {part.mark: i for i, part in enumerate(design.parts)}
    for tray, (kit, names) in enumerate(design.tree.items(), start=1):
        marks = Counter(f"{tag}{part_of[name].mark}" for name in names)
        yield _header(design, kit, marks, tray, box)
        for name in sorted(names, key=lambda n: (order[part_of[n].mark], found_in[n].piece)):
            of = f"tray {tray} {kit}, step {steps[name]}"
            yield _piece(design, name, part_of[name], found_in[name], (box, tag, of))


def steps_of(design: Design) -> dict[str, int]:
    """Return for each board the step, numbered as in the plan, in which it is taken up.

    Panels that are alike are made in the same steps: the boards of one stand for the others'.
    """
    part_of = {name: part for part in design.parts for name in part.boards}
    found: dict[str, int] = {}
    for number, step in enumerate(assembly_steps(design.box), 1):
        hand = boards_in_hand(step, design.box)
        marks = {part_of[name].mark for name in hand}
        for name, board in design.box.boards.items():
            alike = board.panel in step.panels[1:] and part_of[name].mark in marks
            if name in hand or alike:
                found.setdefault(name, number)
    return found


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
    design: Design, name: str, part: CutPart, origin: Origin, told: tuple[str, str, str]
) -> PieceLabel:
    """Return the label of one piece; ``told``: which box, the marks' tag, tray and step."""
    box, tag, of = told
    system = design.parameters.product.units
    kit, _, which = name.partition(".")
    words = which.replace("-", " ")
    # which of equal pieces it is matters less than letters that are read: cap boards say their side
    words = words if part.role in words else f"{part.role} {words}"
    words = words if len(words) <= _WORDS else part.role
    size = size_line((part.length, part.width), system)
    where = [*([box] if box else []), kit, f"board {origin.board}"]
    lines = (words, size, short_ends(part), " · ".join(where))
    mark = f"{tag}{part.mark}{origin.piece}"
    number = f" {box}" if box else ""
    code = _plain(f"{title_of(design)}{number}: {mark}, {of}, board {origin.board}, {size}")
    return PieceLabel(kit, mark, (*lines, _face(part.role, kit)), code)


def _face(role: str, kit: str) -> str:
    """Return the face that a label goes on, and what its arrow points to: never a face seen."""
    if role == "cap":
        return "underside ↑ inside"
    if role == "slat":
        return "underside"
    return "back ↑ top" if kit == "trellis" else "inner face ↑ top"


def _plain(text: str) -> str:
    """Return a text for a code: readers guess what letters beyond the plain ones mean."""
    return text.replace("×", "x")


def short_ends(part: CutPart) -> str:
    """Return how a part's ends are cut, in a few letters: ``ends 26° / 38°``."""
    sides = ["+".join(f"{degrees(a)}°" for a in angles if a >= 0.05) or "0°"
             for angles in (part.left_angles, part.right_angles)]  # fmt: skip
    return "ends square" if sides == ["0°", "0°"] else f"ends {' / '.join(sides)}"


def letter_sizes(labels: Iterable[PieceLabel], sheet: LabelSheet) -> LetterSizes:
    """Return the greatest letters at which all of some labels find room on a sheet's."""
    high = sheet.height - 2 * sheet.inset_y
    mark, line = min(_MARK_MOST, 0.42 * high), _LINE_MOST
    for label in labels:
        column, room = _columns(label, sheet)
        if label.mark:
            mark = min(mark, mark * column / text_width(label.mark, mark, "bold"))
        line = min(line, high / (_LEADING * (len(label.lines) - 1) + _FIRST))
        for i, text in enumerate(label.lines):
            face: Face = "regular" if i else "bold"
            share = 1.0 if i else _FIRST
            line = min(line, room / text_width(text, share, face)) if text else line
    return LetterSizes(mark, max(_LINE_LEAST, line))


def _columns(label: PieceLabel, sheet: LabelSheet) -> tuple[float, float]:
    """Return how wide the mark may be, and the lines beside it."""
    wide, high = sheet.width - 2 * sheet.inset_x, sheet.height - 2 * sheet.inset_y
    column = min(0.2 * wide, 1.4 * min(_MARK_MOST, 0.42 * high)) if label.mark else 0.0
    room = wide - _code_size(sheet) - _GAP - (column + _GAP if label.mark else 0.0)
    return column, room


def _code_size(sheet: LabelSheet) -> float:
    """Return the side of a label's code."""
    return min(
        sheet.height - 2 * sheet.inset_y, _CODE_MOST, 0.25 * (sheet.width - 2 * sheet.inset_x)
    )


def set_label(label: PieceLabel, sheet: LabelSheet, sizes: LetterSizes) -> SetLabel:
    """Return a label with the place of everything on it, within the sheet's insets."""
    left, code = sheet.inset_x, _code_size(sheet)
    column, room = _columns(label, sheet)
    start, lines = left, []
    if label.mark:
        ink = text_ink(label.mark, sizes.mark, "bold")[0]  # a J begins left of its place
        middle = (sheet.height + sizes.mark) / 2
        lines.append(LabelLine(label.mark, left - ink, middle, sizes.mark, "bold"))
        start += column + _GAP
    tall = sizes.line * (_FIRST + _LEADING * (len(label.lines) - 1))
    y = (sheet.height - tall) / 2 + _FIRST * sizes.line
    for i, text in enumerate(label.lines):
        face: Face = "regular" if i else "bold"
        size = sizes.line if i else _FIRST * sizes.line
        text = shortened(text, size, face, room)
        ink = min(0.0, text_ink(text, size, face)[0])
        lines.append(LabelLine(text, start - ink, y, size, face))
        y += _LEADING * sizes.line
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
    every = list(told)
    headers = letter_sizes([label for label in every if not label.mark], sheet)
    pieces = letter_sizes([label for label in every if label.mark], sheet)
    labels = [set_label(label, sheet, pieces if label.mark else headers) for label in every]
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
