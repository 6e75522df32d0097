"""``boards.dxf`` and ``boards-turned.dxf``: all parts of a box nested on blanks, for a CNC router.

One frame a blank, parts placed with the tool's diameter between them, a margin for clamps at both
ends. A part lies with the face up that most of its holes are drilled from, where its slanted ends
allow it. What is drilled or sunk from the other face stands in the second file, as it is seen when
the blank was turned over its long middle line, onto pins in two holes that lie on that line. Such a
blank is cut out last, from that side: parts that are loose cannot be turned.

A layer is one operation with one tool to one depth, its name begins with its turn. No text: it
would be cut.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from palewright.construction.boards import Board, Hole
from palewright.cutting_stock import Layout, Piece
from palewright.design import Design
from palewright.geometry.polygons import Point, Polygon, bounds, moved, rectangle
from palewright.reading.errors import InputError
from palewright.reading.lengths import INCH, print_length, rounded
from palewright.sawing.stock_demands import StockDemand, demands_of, saw_of
from palewright.sawing.stock_plans import StockPlan, plan_demands
from palewright.solids.drilled_boards import SINK_ANGLE
from palewright_drawings.cad_files.dxf_writer import Circle, FlatDrawing, Loop, sheet_bytes

_COLOURS = {"0": 8, "1": 4, "2": 1, "3": 30, "4": 7}
"""Colour number of a layer by its turn: the frame, pins, drills, sinks, outside cuts."""

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


@dataclass(frozen=True, slots=True)
class LaidBoard:
    """A board on its blank."""

    board: Board
    piece: Piece
    lying: Lying

    def place(self, x: float, y: float) -> Point:
        """Return where a point of the board's frame lies, mm from the plan's corner."""
        px, py = self.lying.point(self.board, x, y)
        return self.piece.x + px, self.piece.y + py


@dataclass(frozen=True, slots=True)
class Blank:
    """One board of the yard as it lies on the router, mm from its lower left corner.

    Attributes:
        number: from 1, through all stocks.
        plan: of its stock.
        layout: which of the plan's layouts.
        base: how high its lower edge lies in the drawing.
        boards: what is cut from it.
    """

    number: int
    plan: StockPlan
    layout: Layout
    base: float
    boards: tuple[LaidBoard, ...]

    @property
    def length(self) -> float:
        """Its length, margins included."""
        return self.layout.stock_length

    @property
    def width(self) -> float:
        """Its true width."""
        return self.layout.stock_width

    @property
    def margin(self) -> float:
        """What is kept free for clamps at each end."""
        return self.layout.trim

    @property
    def pins(self) -> tuple[Point, ...]:
        """Where holes for pins lie: on the line that it is turned over; none without margins."""
        if not self.margin:
            return ()
        middle = self.width / 2
        return (self.margin / 2, middle), (self.length - self.margin / 2, middle)

    @property
    def turned(self) -> bool:
        """Whether something is done from its second face."""
        return any(True for _ in self.holes(second=True))

    def holes(self, second: bool) -> Iterator[tuple[LaidBoard, Hole, bool, bool]]:
        """Yield board, hole, whether it is bored and whether it is sunk, of what one face asks.

        Holes into edges are left to the bench. A hole right through is bored from the first face.
        """
        for laid in self.boards:
            for hole in laid.board.holes:
                if not hole.square:
                    continue
                from_below = from_lower_face(hole, laid.lying)
                bored = second == (from_below and not hole.through)
                sunk = hole.sink > hole.diameter and second == from_below
                if bored or sunk:
                    yield laid, hole, bored, sunk

    def seen(self, place: Point, second: bool) -> Point:
        """Return where a place of the first face is drawn, in the file of one face."""
        x, y = place
        return round(x, 4), round(self.base + (self.width - y if second else y), 4)


def nested_files(design: Design, blanks: Sequence[Blank]) -> Iterator[tuple[str, bytes]]:
    """Yield name and content of the nest of one box as DXF R2010, in inches or mm.

    The second file is there where some blank is turned.
    """
    system, tool = design.parameters.product.units, design.parameters.saw.tool
    yield "boards.dxf", sheet_bytes(face_sheet(blanks, False, tool, system), system)
    if any(blank.turned for blank in blanks):
        yield "boards-turned.dxf", sheet_bytes(face_sheet(blanks, True, tool, system), system)


def nested_blanks(design: Design) -> tuple[Blank, ...]:
    """Return the blanks of one box with everything that is cut from them, one above the other."""
    waiting = boards_by_piece(design)
    found: list[Blank] = []
    base = 0.0
    for plan in nest_plans(design):
        for layout in plan.plan.layouts:
            for _ in range(layout.count):
                boards = []
                for planned in layout.pieces:
                    board = waiting[planned.part, planned.kit].pop(0)
                    # pieces are counted from where squaring ends, here from the end itself
                    piece = replace(planned, x=planned.x + layout.trim)
                    boards.append(LaidBoard(board, piece, way_to_lie(board, piece)))
                found.append(Blank(len(found) + 1, plan, layout, base, tuple(boards)))
                base += layout.stock_width + _BETWEEN
    return tuple(found)


def nest_plans(design: Design) -> list[StockPlan]:
    """Return the plans of one box with the router's bit as the kerf, ends left for clamps."""
    return [_nest_plan(design, demand) for demand in demands_of([(design, 1)])]


def _nest_plan(design: Design, demand: StockDemand) -> StockPlan:
    """Return the plan of one stock; without margins where a part is too long for them."""
    saw = replace(saw_of(design.parameters), kerf=design.parameters.saw.tool)
    clamped = replace(saw, end_trim=design.parameters.saw.clamp)
    try:
        return plan_demands([demand], clamped, setup_seconds=0.0)[0]
    except InputError:
        return plan_demands([demand], replace(saw, end_trim=0.0), setup_seconds=0.0)[0]


def layer_name(turn: int, what: str, diameter: float, depth: float, system: str) -> str:
    """Return the layer of one operation: ``2_DRILL_0_094_DEEP_0_375_IN``.

    Args:
        turn: in the order of work.
        what: the operation.
        diameter: of the tool, of a sink at the face, mm.
        depth: from the face, of a sink that of the bit's point, mm; 0 for right through.
        system: ``inch``: thousandths of an inch; ``metric``: tenths of a mm.
    """

    def told(length: float) -> str:
        # halves up, as the sheet that explains the layers says them
        text = rounded(length / INCH, 3) if system == "inch" else rounded(length, 1)
        return str(text).replace(".", "_")

    deep = f"DEEP_{told(depth)}" if depth else "THROUGH"
    return f"{turn}_{what}_{told(diameter)}_{deep}_{'IN' if system == 'inch' else 'MM'}"


def face_sheet(blanks: Sequence[Blank], second: bool, tool: float, system: str) -> FlatDrawing:
    """Return what is done to one face of the blanks, mm.

    Args:
        blanks: of one box.
        second: whether it is the face that comes up when they are turned.
        tool: diameter of the bit that cuts round the parts and drills for the pins, mm.
        system: ``inch`` or ``metric``: how layers tell sizes.
    """
    loops: list[Loop] = []
    circles: list[Circle] = []
    for blank in blanks:
        if second and not blank.turned:
            continue
        frame = moved(rectangle(0.0, 0.0, blank.length, blank.width), 0.0, blank.base)
        loops.append(Loop("0_BLANK", frame))
        if blank.turned:
            pin = "0_PIN_IN_PLACE" if second else layer_name(1, "PIN_HOLE", tool, 0.0, system)
            circles += [Circle(pin, blank.seen(p, second), round(tool / 2, 4)) for p in blank.pins]
        circles += _holes(blank, second, system)
        if second == blank.turned:
            layer = layer_name(4, "CUT_OUTSIDE", tool, 0.0, system)
            loops += [Loop(layer, _outline(blank, laid, second)) for laid in blank.boards]
    used = sorted({*(loop.layer for loop in loops), *(circle.layer for circle in circles)})
    layers = {name: _COLOURS[name[0]] for name in used}
    return FlatDrawing(layers, tuple(loops), tuple(dict.fromkeys(circles)))


def _holes(blank: Blank, second: bool, system: str) -> Iterator[Circle]:
    """Yield the circles of what is drilled and sunk from one face."""
    for laid, hole, bored, sunk in blank.holes(second):
        centre = blank.seen(laid.place(hole.start[0], hole.start[1]), second)
        if bored:
            deep = 0.0 if hole.through else hole.depth
            layer = layer_name(2, "DRILL", hole.diameter, deep, system)
            yield Circle(layer, centre, round(hole.diameter / 2, 4))
        if sunk:
            point = hole.sink / 2 / math.tan(math.radians(SINK_ANGLE / 2))
            layer = layer_name(3, "SINK", hole.sink, point, system)
            yield Circle(layer, centre, round(hole.sink / 2, 4))


def _outline(blank: Blank, laid: LaidBoard, second: bool) -> Polygon:
    """Return the outside cut of one board in the file of one face, anticlockwise."""
    ring = moved(laid_outline(laid.board, laid.lying), laid.piece.x, laid.piece.y)
    seen = tuple(blank.seen(point, second) for point in ring)
    return tuple(reversed(seen)) if second else seen


def boards_by_piece(design: Design) -> dict[tuple[str, str], list[Board]]:
    """Return the boards that each (part mark, panel) of the plan stands for, in order."""
    waiting: dict[tuple[str, str], list[Board]] = {}
    for part in design.parts:
        for name in part.boards:
            board = design.box.boards[name]
            waiting.setdefault((part.mark, board.panel), []).append(board)
    return waiting


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
    return from_lower_face(hole, lying) and (not hole.through or hole.sink > 0)


def from_lower_face(hole: Hole, lying: Lying) -> bool:
    """Return whether a hole's drill enters the face that lies below."""
    return (hole.axis[2] > 0) != lying.datum_up
