"""``boards.dxf``: all parts of one box nested on board blanks, for a CNC router.

One frame a blank, parts placed with the tool's diameter between them. A part lies with the face up
that most of its holes are drilled from, where its slanted ends allow it; holes that are drilled
from below are drawn on a layer of their own, to be drilled by hand.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from palewright.construction.boards import Board, Hole
from palewright.cutting_stock import Layout, Piece
from palewright.design import Design
from palewright.geometry.polygons import Point, Polygon, bounds, moved, rectangle
from palewright.reading.lengths import print_length
from palewright.sawing.stock_demands import demands_of, saw_of
from palewright.sawing.stock_plans import StockPlan, plan_demands
from palewright_drawings.cad_files.dxf_writer import Circle, FlatDrawing, Loop, Text, sheet_bytes
from palewright_drawings.output.progress import Progress, Silent

LAYERS = {
    "BLANK": 8,
    "CUT_OUTSIDE": 7,
    "DRILL_THROUGH": 1,
    "DRILL_BLIND": 5,
    "SINK": 30,
    "FROM_BELOW": 6,
    "LABEL": 3,
}
"""Layers by name, one an operation, each with its colour number."""

_BETWEEN = 50.0
"""Room between two boards of the drawing, mm: judged by eye."""

_SAME = 1e-3
"""Corners nearer than this (mm) to a board's edge lie on it."""


@dataclass(frozen=True, slots=True)
class Lying:
    """How a board lies on a blank: which way its frame goes over into the blank's.

    ``along`` and ``over`` are 1 or -1: end for end, and edge for edge. One of them alone turns the
    board over, so that its datum face is up.
    """

    along: int
    over: int

    @property
    def datum_up(self) -> bool:
        """Whether the board is turned over."""
        return self.along * self.over < 0

    def point(self, board: Board, x: float, y: float) -> Point:
        """Return where a point of the board's frame comes to lie, from the piece's corner."""
        return (
            x if self.along > 0 else board.length - x,
            y if self.over > 0 else board.width - y,
        )


WAYS = (Lying(1, 1), Lying(-1, -1), Lying(-1, 1), Lying(1, -1))
"""The four ways to lay a flat piece on a board with its grain along the board's."""


def boards_file(design: Design, progress: Progress | None = None) -> bytes:
    """Return the nest of one box as DXF R2010, in inches or mm as the variant says."""
    progress = progress or Silent()
    progress.begin("boards.dxf", 2)
    plans = nest_plans(design)
    progress.advance()
    content = sheet_bytes(nest_sheet(design, plans), design.parameters.product.units)
    progress.advance()
    return content


def nest_plans(design: Design) -> list[StockPlan]:
    """Return the plans of one box with the router's bit as the kerf."""
    saw = replace(saw_of(design.parameters), kerf=design.parameters.saw.tool)
    return plan_demands(demands_of([(design, 1)]), saw, setup_seconds=0.0)


def nest_sheet(design: Design, plans: list[StockPlan]) -> FlatDrawing:
    """Return the drawing of all blanks, one above the other, mm."""
    loops: list[Loop] = []
    circles: list[Circle] = []
    texts: list[Text] = []
    waiting = boards_by_piece(design)
    base, number = 0.0, 0
    for plan in plans:
        for layout in plan.plan.layouts:
            for _ in range(layout.count):
                number += 1
                loops.append(Loop("BLANK", _blank(layout, base)))
                size = blank_size(layout, design.parameters.product.units)
                told = f"blank {number}: {plan.demand.name}, {size}, square end at the left"
                texts.append(Text("LABEL", told, (0.0, base - 14.0), 8.0, "left"))
                for piece in layout.pieces:
                    board = waiting[piece.part, piece.kit].pop(0)
                    lying = way_to_lie(board, piece)
                    loops.append(_outline(board, piece, lying, base))
                    circles += _holes(board, piece, lying, base)
                    texts.append(_label(board, piece, base))
                base += layout.stock_width + _BETWEEN
    return FlatDrawing(LAYERS, tuple(loops), tuple(dict.fromkeys(circles)), (), tuple(texts))


def boards_by_piece(design: Design) -> dict[tuple[str, str], list[Board]]:
    """Return the boards that each (part mark, panel) of the plan stands for, in order."""
    waiting: dict[tuple[str, str], list[Board]] = {}
    for part in design.parts:
        for name in part.boards:
            board = design.box.boards[name]
            waiting.setdefault((part.mark, board.panel), []).append(board)
    return waiting


def _blank(layout: Layout, base: float) -> Polygon:
    """Return the outline of one blank."""
    return moved(rectangle(0.0, 0.0, layout.stock_length, layout.stock_width), 0.0, base)


def blank_size(layout: Layout, system: str) -> str:
    """Return the size of one blank, such as ``71-3/4 in x 5-3/8 in``."""
    length, width = layout.stock_length, layout.stock_width
    return f"{print_length(length, system)} x {print_length(width, system)}"


def _slants(outline: Polygon) -> tuple[float, float]:
    """Return how far the lower edge reaches beyond the upper: at the left and right end, mm."""
    _, low, _, high = bounds(outline)
    below = [x for x, y in outline if y < low + _SAME]
    above = [x for x, y in outline if y > high - _SAME]
    return min(above) - min(below), max(below) - max(above)


def expected_outline(piece: Piece) -> tuple[float, float]:
    """Return the slants (mm) that the plan counts on, in the sense of `_slants`."""
    left, right = (piece.width * math.tan(math.radians(a)) for a in piece.end_angles)
    return left, right


def laid_outline(board: Board, lying: Lying) -> Polygon:
    """Return a board's outline as it lies, from the corner of its bounds."""
    points = [lying.point(board, x, y) for x, y in board.outline]
    return tuple(points) if not lying.datum_up else tuple(reversed(points))


def way_to_lie(board: Board, piece: Piece) -> Lying:
    """Return how a board lies so that its slanted ends are where the plan counts on them.

    Of the ways that do, the one that drills most holes from above.

    Raises:
        ValueError: if there is none: the plan's piece is not this board.
    """
    wanted = expected_outline(piece)
    ways = [
        way
        for way in WAYS
        if all(
            abs(a - b) < 0.01
            for a, b in zip(_slants(laid_outline(board, way)), wanted, strict=True)
        )
    ]
    if not ways:
        raise ValueError(f"{board.name} does not lie as piece {piece.part} was planned")
    return min(ways, key=lambda way: sum(_from_below(h, way) for h in board.holes if h.square))


def _from_below(hole: Hole, lying: Lying) -> bool:
    """Return whether a hole has to be drilled, or sunk, from the side that lies below."""
    from_datum = hole.axis[2] > 0
    return from_datum != lying.datum_up and (not hole.through or hole.sink > 0)


def _outline(board: Board, piece: Piece, lying: Lying, base: float) -> Loop:
    """Return the outside cut of one board on its blank."""
    return Loop("CUT_OUTSIDE", moved(laid_outline(board, lying), piece.x, base + piece.y))


def _holes(board: Board, piece: Piece, lying: Lying, base: float) -> Iterator[Circle]:
    """Yield the circles of the holes square to the face; holes into edges are left to the bench."""
    for hole in board.holes:
        if not hole.square:
            continue
        x, y = lying.point(board, hole.start[0], hole.start[1])
        centre = (round(piece.x + x, 4), round(base + piece.y + y, 4))
        below = _from_below(hole, lying)
        if hole.through:
            yield Circle("DRILL_THROUGH", centre, round(hole.diameter / 2, 4))
        else:
            layer = "FROM_BELOW" if below else "DRILL_BLIND"
            yield Circle(layer, centre, round(hole.diameter / 2, 4))
        if hole.sink > hole.diameter:
            yield Circle("FROM_BELOW" if below else "SINK", centre, round(hole.sink / 2, 4))


def _label(board: Board, piece: Piece, base: float) -> Text:
    """Return the label of one board, inside its outline."""
    height = min(7.0, board.width / 5, board.length / (0.95 * (len(board.name) + 8)))
    middle = base + piece.y + board.width / 2
    slant = max(abs(s) for s in expected_outline(piece))
    # where the slanted end is at the label's upper or lower edge
    clear = slant * (0.5 + height / 2 / board.width)
    place = (piece.x + clear + 3.0, middle)
    return Text("LABEL", f"{piece.part}  {board.name}", place, height, "left")
