"""A board layout drawn to scale on paper: pieces, kerfs, and the number of every cut.

The board lies with its square end to the left and its trued edge below. Cuts right across a board
carry their number above it, rips and cuts within a strip on the kerf. Mm of paper between letters
and lines are judged by eye.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from palewright.cutting_stock import Cut, Layout, Piece, StockBoard
from palewright.geometry.polygons import Point, Polygon
from palewright.reading.lengths import tape_text
from palewright.sawing.numbered_plans import NumberedLayout
from palewright.sawing.saw_lists import block_label, board_label
from palewright_drawings.documents.plan.numbered_cuts import boards_text
from palewright_drawings.documents.plan.pictures import Picture, picture_of_marks
from palewright_drawings.paper.marks import Mark, PathMark, TextMark
from palewright_drawings.paper.styles import STYLE
from palewright_drawings.paper.text_metrics import Edges, Face, text_ink, text_width

MARGIN_LEFT = 9.0
"""Left of the board (mm of paper): the number of the rip to true width stands here."""

ABOVE = 5.0
"""Above the board (mm of paper): numbers of the cuts right across."""

_ACCENT = "#2d5d7b"
_KERF = 0.35
"""A kerf is drawn no narrower than this, mm of paper."""

_MARK, _DETAIL, _TAG = 2.6, 1.9, 1.8
"""Height of capitals of marks, sizes and numbers of cuts, mm of paper: judged by eye."""

_LEAST_LETTERS = 1.3
"""Letters of a mark shrink to this height of capitals (mm of paper), no further: judged by eye."""

_EDGE = 0.8
"""A mark keeps so far (mm of paper) from the ends of its piece."""

_AIR = 0.3
"""Letters keep so far (mm of paper) from each other."""

_SWEEPS = 1000
"""Numbers and marks are pushed apart so often at most; boards of the trade take some tens."""

_SAME, _SAME_ANGLE = 2e-3, 0.02
"""Cuts nearer than this (mm), angles nearer than this (degrees), are one on the saw."""


@dataclass(frozen=True, slots=True)
class _Tag:
    """A cut's number: its middle on paper and the box it takes."""

    text: str
    middle: Point

    @property
    def box(self) -> Edges:
        """What it covers, mm of paper."""
        x0, _, x1, _ = text_ink(self.text, _TAG, "bold")
        half = (x1 - x0) / 2 + 0.6
        x, y = self.middle
        return x - half, y - _TAG / 2 - 0.6, x + half, y + _TAG / 2 + 0.6


@dataclass(slots=True)
class _Item:
    """A cut's number or a piece's mark on its way to a place of its own, mm of paper.

    Attributes:
        x: its middle.
        half: half its width.
        low, high: how far down the paper it reaches.
        least, most: what its ends keep between.
    """

    x: float
    half: float
    low: float
    high: float
    least: float = -math.inf
    most: float = math.inf

    def to(self, x: float) -> None:
        """Move its middle, as far as its bounds let it."""
        self.x = max(self.least + self.half, min(self.most - self.half, x))

    @property
    def box(self) -> Edges:
        """What it covers."""
        return self.x - self.half, self.low, self.x + self.half, self.high


class _Drawer:
    """Draws one layout; ``at`` turns mm of the board into mm of paper."""

    def __init__(self, one: NumberedLayout, board: StockBoard, kerf: float, scale: float) -> None:
        self.one, self.board, self.kerf, self.scale = one, board, kerf, scale
        self.layout: Layout = one.layout
        self.width = MARGIN_LEFT + self.layout.stock_length * scale + 1.0
        self.height = ABOVE + self.layout.stock_width * scale + 0.5
        self.tags: list[_Tag] = []
        self._settle()

    def at(self, x: float, y: float) -> Point:
        """Return a place of the board on paper."""
        x += self.layout.trim  # what squaring takes off lies left of x = 0
        return MARGIN_LEFT + x * self.scale, self.height - 0.5 - y * self.scale

    def ring(self, *points: Point) -> Polygon:
        """Return corners of the board on paper."""
        return tuple(self.at(x, y) for x, y in points)

    def blank(self) -> PathMark:
        """Return the board, its dog ears clipped at the right end."""
        length, width = self.layout.stock_length, self.layout.stock_width
        start, length = -self.layout.trim, length - self.layout.trim
        along = 0.0 if self.layout.on_hand else self.board.clipped_end
        across = min(self.board.corner_depth, width / 2) if along else 0.0
        ring = self.ring(
            (start, 0), (length - along, 0), (length, across), (length, width - across),
            (length - along, width), (start, width),
        )  # fmt: skip
        return PathMark("fill", (ring,), True, 0.25, "#8d867c", fill=STYLE.tones["waste"])

    def pieces(self) -> Iterator[PathMark]:
        """Yield the pieces."""
        for piece in self.layout.pieces:
            ring = self.ring(*piece_outline(piece))
            yield PathMark("fill", (ring,), True, 0.18, STYLE.ink, fill=STYLE.tones["wood"])

    def kerfs(self) -> Iterator[PathMark]:
        """Yield the kerfs."""
        for cut in self.layout.cuts:
            yield PathMark("fill", (self.ring(*self._kerf(cut)[0]),), True, fill="#ffffff")

    def _settle(self) -> None:
        """Place the cuts' numbers: beside each other, and beside every piece's least mark.

        Rips have the whole of their line to stand on: they choose last, and where none is free all
        others make room.
        """
        marks = [
            _Item((x0 + x1) / 2, (x1 - x0) / 2, y0, y1, *self._reach(piece, _LEAST_LETTERS))
            for piece, mark in self._marked()
            for x0, y0, x1, y1 in [self._least_box(piece, mark)]
        ]
        numbers: list[tuple[_Tag, _Item]] = []
        pairs = list(zip(self.layout.cuts, map(str, self.one.cuts), strict=True))
        for rips in (False, True):
            for cut, text in pairs:
                if (cut.stage == 2) != rips:
                    continue
                tag = _Tag(text, self._kerf(cut)[1])
                if rips:
                    taken = [item.box for item in (*marks, *(item for _, item in numbers))]
                    tag = self._free(tag, cut, taken)
                numbers.append((tag, _item(tag.box)))
            _push_apart([*(item for _, item in numbers), *marks])
        self.tags = [_Tag(tag.text, (item.x, tag.middle[1])) for tag, item in numbers]

    def _marked(self) -> Iterator[tuple[Piece, str]]:
        """Yield the pieces with their marks."""
        for piece, numbers in zip(self.layout.pieces, self.one.pieces, strict=True):
            yield piece, f"{piece.part}{board_label(numbers)}"

    def _least_box(self, piece: Piece, mark: str) -> Edges:
        """Return what a piece's mark takes in its middle when its letters are smallest."""
        x, y = self.at(piece.x + piece.length / 2, piece.y + piece.width / 2)
        half = text_width(mark, _LEAST_LETTERS, "bold") / 2
        return x - half, y - _LEAST_LETTERS / 2, x + half, y + _LEAST_LETTERS / 2

    def _reach(self, piece: Piece, size: float) -> tuple[float, float]:
        """Return from where to where (mm of paper) letters so high stay within a piece."""
        slant = max(abs(piece.width * math.tan(math.radians(a))) for a in piece.end_angles)
        inset = slant * (0.5 + size / (2 * piece.width * self.scale))
        x0, _ = self.at(piece.x + inset, 0.0)
        x1, _ = self.at(piece.x + piece.length - inset, 0.0)
        return x0 + _EDGE, x1 - _EDGE

    def _kerf(self, cut: Cut) -> tuple[Polygon, Point]:
        """Return the kerf of a cut on the board, and where its number stands on paper."""
        wide = max(self.kerf, _KERF / self.scale)
        if cut.stage == 1:
            x, top = cut.position + self.kerf / 2, self.layout.stock_width
            low, high = x - wide / 2, x + wide / 2
            px, _ = self.at(x, top)
            return ((low, 0), (high, 0), (high, top), (low, top)), (px, ABOVE / 2 - 0.2)
        if cut.stage == 2:
            start, end = self._block(cut.block)
            y = cut.position + self.kerf / 2
            low, high = y - wide / 2, y + wide / 2
            return ((start, low), (end, low), (end, high), (start, high)), self.at(start, y)
        return self._strip_kerf(cut, wide)

    def _strip_kerf(self, cut: Cut, wide: float) -> tuple[Polygon, Point]:
        """Return the kerf of a cut across a strip."""
        strip = [p for p in self.layout.pieces if (p.block, p.strip) == (cut.block, cut.strip)]
        y0, y1 = strip[0].y, strip[0].y + strip[0].width
        middle, lean = cut.position + self.kerf / 2, 0.0
        for piece in strip if cut.angle else ():
            # the end that is cut here; lean: how far its lower corner lies right of the upper
            left, right = (piece.width * math.tan(math.radians(a)) for a in piece.end_angles)
            tilt = abs(cut.angle)
            if _at_end(piece.x, cut.position) and _same_angle(piece.end_angles[0], tilt):
                middle, lean = piece.x + abs(left) / 2 - self.kerf / 2, -left
                break
            if _at_end(piece.x + piece.length, cut.position) and _same_angle(
                piece.end_angles[1], tilt
            ):
                middle = piece.x + piece.length - abs(right) / 2 + self.kerf / 2
                lean = right
                break
        half = wide / 2
        ring = (
            (middle + lean / 2 - half, y0), (middle + lean / 2 + half, y0),
            (middle - lean / 2 + half, y1), (middle - lean / 2 - half, y1),
        )  # fmt: skip
        return ring, self.at(middle, (y0 + y1) / 2)

    def _block(self, block: int) -> tuple[float, float]:
        """Return where a block begins and ends, mm of the board."""
        inside = [p for p in self.layout.pieces if p.block == block]
        across = sorted(c.position for c in self.layout.cuts if c.stage == 1)
        place = min(p.x for p in inside) + 1.0
        start = max((x + self.kerf for x in across if x < place), default=0.0)
        end = min((x for x in across if x > place), default=self.layout.stock_length)
        return start, end

    def _free(self, tag: _Tag, cut: Cut, taken: list[Edges]) -> _Tag:
        """Return a rip's number at the first place on its line that is free, or at the first."""
        tags = [_Tag(tag.text, place) for place in self._along(cut, tag.middle[1])]
        return next((t for t in tags if not any(meet(t.box, b) for b in taken)), tags[0])

    def _along(self, cut: Cut, y: float) -> list[Point]:
        """Return where the number of a rip may stand on its line, the best place first."""
        start, end = self._block(cut.block)
        near, far = self.at(start, 0)[0] + 3.0, self.at(end, 0)[0] - 3.0
        steps = max(1, int((far - near) / 0.5))
        return [(near + (far - near) * i / steps, y) for i in range(steps + 1)]

    def tag_marks(self) -> Iterator[Mark]:
        """Yield the numbers of the cuts, and of the rip to true width left of the board."""
        x, y = self.at(-self.layout.trim, self.layout.stock_width / 2)
        first = [_Tag(str(self.one.rip_number), (x - 4.5, y))] if self.one.rip_number else []
        for tag in (*first, *self.tags):
            x0, y0, x1, y1 = tag.box
            ring = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
            yield PathMark("fill", (ring,), True, 0.18, _ACCENT, fill="#ffffff")
            yield _centred(tag.text, tag.middle, _TAG, "bold", _ACCENT)

    def labels(self, system: str) -> Iterator[Mark]:
        """Yield the label of each piece: as much as finds room between the numbers."""
        for piece, mark in self._marked():
            yield from self._label(piece, mark, system)

    def block_labels(self) -> Iterator[Mark]:
        """Yield the label of each block, above it; none where a board is not cut into blocks."""
        if not any(cut.stage == 1 for cut in self.layout.cuts):
            return
        for block in dict.fromkeys(piece.block for piece in self.layout.pieces):
            start, end = self._block(block)
            x, _ = self.at((start + end) / 2, 0)
            text = block_label(self.layout, self.one.boards, block)
            yield _centred(text, (x, ABOVE / 2 - 0.2), _DETAIL, "oblique", STYLE.ink)

    def _label(self, piece: Piece, mark: str, system: str) -> list[Mark]:
        """Return the letters of one piece: mark, panel, length; or less where it is small."""
        size = min(_MARK, piece.width * self.scale * 0.62)
        (_, y), small = self.at(0.0, piece.y + piece.width / 2), min(_DETAIL, size)
        length = tape_text(piece.length, system)
        for detail in (f"{piece.kit}  {length}", length, piece.kit, ""):
            wide = text_width(mark, size, "bold")
            wide += 1.4 + text_width(detail, small) if detail else 0.0
            span = self._span(piece, y, size, wide)
            if span:
                break
        while span is None and size > _LEAST_LETTERS:
            size = max(_LEAST_LETTERS, size - 0.1)
            wide = text_width(mark, size, "bold")
            span = self._span(piece, y, size, wide)
        start = span if span is not None else self.at(piece.x + piece.length / 2, 0)[0] - wide / 2
        base = y + size / 2
        marks: list[Mark] = [TextMark(mark, (start, base), size, "bold", colour=STYLE.ink)]
        if detail:
            x = start + text_width(mark, size, "bold") + 1.4
            marks.append(TextMark(detail, (x, base), small, colour=STYLE.ink))
        return marks

    def _span(self, piece: Piece, y: float, size: float, wide: float) -> float | None:
        """Return where a line so wide begins between the numbers on a piece, near its middle.

        None where it finds no room. All mm of paper.
        """
        x0, x1 = self._reach(piece, size)
        box = (x0, y - size / 2 - _AIR, x1, y + size / 2 + _AIR)
        free = _free_spans(box, [tag.box for tag in self.tags])
        middle = (x0 + x1) / 2
        starts = [min(max(middle - wide / 2, a), b - wide) for a, b in free if b - a >= wide - 1e-6]
        return min(starts, key=lambda x: abs(x + wide / 2 - middle), default=None)


def _at_end(end: float, position: float) -> bool:
    """Return whether a cut is where a piece ends."""
    return abs(end - position) < _SAME


def _same_angle(angle: float, tilt: float) -> bool:
    """Return whether an end leans as much as the blade does."""
    return abs(abs(angle) - tilt) < _SAME_ANGLE


def _item(box: Edges) -> _Item:
    """Return what takes a box, free to move along the board."""
    x0, y0, x1, y1 = box
    return _Item((x0 + x1) / 2, (x1 - x0) / 2, y0, y1)


def _push_apart(items: list[_Item]) -> None:
    """Move what stands at one height of the paper apart along the board, each in its order.

    Two that meet move aside by half of what they lack, until none does.
    """
    rows = sorted(items, key=lambda one: one.x)
    pairs = [
        (a, b)
        for i, a in enumerate(rows)
        for b in rows[i + 1 :]
        if a.low < b.high + _AIR and b.low < a.high + _AIR
    ]
    for _ in range(_SWEEPS):
        met = False
        for a, b in pairs:
            lack = a.half + b.half + 1.1 * _AIR - (b.x - a.x)  # a hair more, so that the last holds
            if lack > 0.1 * _AIR:
                met = True
                a.to(a.x - lack / 2)
                b.to(b.x + lack / 2)
        if not met:
            break


def meet(a: Edges, b: Edges, air: float = _AIR) -> bool:
    """Return whether two boxes come nearer to each other than ``air`` (mm)."""
    return a[0] < b[2] + air and b[0] < a[2] + air and a[1] < b[3] + air and b[1] < a[3] + air


def _free_spans(box: Edges, taken: list[Edges]) -> list[tuple[float, float]]:
    """Return the stretches (x from, x to) of a box that no other box reaches into."""
    inside = sorted((t for t in taken if meet(box, t, 0.0)), key=lambda t: t[0])
    free, start = [], box[0]
    for t in inside:
        if t[0] - _AIR > start:
            free.append((start, t[0] - _AIR))
        start = max(start, t[2] + _AIR)
    if box[2] > start:
        free.append((start, box[2]))
    return free


def _centred(text: str, middle: Point, size: float, face: Face, colour: str) -> TextMark:
    """Return a text whose ink is centred at a place of the paper."""
    x0, _, x1, _ = text_ink(text, size, face)
    start = (middle[0] - (x0 + x1) / 2, middle[1] + size / 2)
    return TextMark(text, start, size, face, colour=colour)


def piece_outline(piece: Piece) -> Polygon:
    """Return a piece's corners on its board, mm, anticlockwise from the lower left."""
    left, right = (piece.width * math.tan(math.radians(a)) for a in piece.end_angles)
    x0, x1 = piece.x, piece.x + piece.length
    y0, y1 = piece.y, piece.y + piece.width
    return (
        (x0 + max(0.0, -left), y0),
        (x1 - max(0.0, -right), y0),
        (x1 - max(0.0, right), y1),
        (x0 + max(0.0, left), y1),
    )


def layout_marks(
    one: NumberedLayout, board: StockBoard, kerf: float, scale: float, system: str
) -> tuple[list[Mark], float, float]:
    """Return the marks of a layout on paper, and their width and height in mm.

    Args:
        one: the layout with its numbers.
        board: what it is cut from.
        kerf: of the saw, mm.
        scale: mm of paper for one mm of board.
        system: ``inch`` or ``metric``.
    """
    drawer = _Drawer(one, board, kerf, scale)
    marks: list[Mark] = [drawer.blank(), *drawer.pieces(), *drawer.kerfs()]
    marks += [*drawer.block_labels(), *drawer.tag_marks()]
    marks += drawer.labels(system)
    return marks, drawer.width, drawer.height


def layout_picture(
    one: NumberedLayout, board: StockBoard, kerf: float, scale: float, system: str
) -> Picture:
    """Return a layout as a picture; arguments as for ``layout_marks``.

    Args:
        one: the layout with its numbers.
        board: what it is cut from.
        kerf: of the saw, mm.
        scale: mm of paper for one mm of board.
        system: ``inch`` or ``metric``.
    """
    marks, width, height = layout_marks(one, board, kerf, scale, system)
    pieces = ", ".join(
        f"{piece.part}{board_label(numbers)}"
        for piece, numbers in zip(one.layout.pieces, one.pieces, strict=True)
    )
    alt = f"How {boards_text(one.boards)} is cut, from the square end: {pieces}"
    return picture_of_marks(marks, width, height, alt)
