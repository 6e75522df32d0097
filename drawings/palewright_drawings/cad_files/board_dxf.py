"""``flat/*.dxf``: each board flat, one layer an operation, for the bench and the router.

A board is drawn as it lies with its datum face down: seen from the far face, x along the grain,
the outline's lower left corner at the origin. Holes drilled from the datum face are drawn where
they are seen through the board, on layers of their own.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from palewright.construction.boards import Board, Hole
from palewright.geometry.polygons import Point
from palewright.reading.lengths import degrees, drill_size, print_length
from palewright_drawings.cad_files.dxf_writer import (
    Circle,
    DxfLine,
    FlatDrawing,
    Loop,
    Text,
    sheet_bytes,
)

LAYERS = {
    "OUTLINE": 7,
    "DRILL_THROUGH": 1,
    "PILOT_DATUM": 5,
    "PILOT_FAR": 4,
    "SINK_DATUM": 6,
    "SINK_FAR": 30,
    "EDGE_DRILL": 3,
    "END_ANGLE": 12,
    "LABEL": 8,
    "DRILL_NOTE": 8,
}
"""Layers by name, one an operation, each with its colour number."""

_TEXT_SHARE = 1 / 8
"""Height of letters as a share of a board's width: judged by eye."""

_TEXT_LEAST, _TEXT_MOST = 3.0, 9.0
"""Least and greatest height of letters, mm: judged by eye."""

_LETTER = 0.9
"""A letter is so wide at most, in text heights: what keeps a line as short as its board."""

_SAME = 4
"""Decimals (mm) to which two circles or lines are one."""


@dataclass(frozen=True, slots=True)
class FlatView:
    """A board drawn flat, as data: mm, seen from the far face, datum face down."""

    outline: tuple[Point, ...]
    circles: tuple[Circle, ...]
    lines: tuple[DxfLine, ...]
    texts: tuple[Text, ...]


def flat_view(board: Board, mark: str, system: str) -> FlatView:
    """Return the flat drawing of a board.

    Args:
        board: what to draw.
        mark: its part's mark in the cut list.
        system: ``inch`` or ``metric``: how lengths are printed.
    """
    circles = dict.fromkeys(circle for hole in board.holes for circle in _circles(hole))
    lines = dict.fromkeys(_line(hole) for hole in board.holes if not hole.square)
    height = min(_TEXT_MOST, max(_TEXT_LEAST, board.width * _TEXT_SHARE))
    return FlatView(
        _corners(board),
        tuple(circles),
        tuple(lines),
        (*_end_texts(board, height), *_label(board, mark, system, height)),
    )


def _corners(board: Board) -> tuple[Point, ...]:
    """Return the outline without a corner that repeats the one before it."""
    found: list[Point] = []
    for x, y in board.outline:
        corner = _at(x, y)
        if not found or math.dist(found[-1], corner) > 10.0**-_SAME:
            found.append(corner)
    if len(found) > 1 and math.dist(found[0], found[-1]) <= 10.0**-_SAME:
        found.pop()
    return tuple(found)


def _at(x: float, y: float) -> Point:
    """Return a point to 0.1 µm, without negative zeros."""
    return round(x, _SAME) + 0.0, round(y, _SAME) + 0.0


def _circles(hole: Hole) -> Iterator[Circle]:
    """Yield the circles of a hole square to a face: its bore, its countersink."""
    if not hole.square:
        return
    # a drill that goes up (+z) entered at the datum face
    side = "DATUM" if hole.axis[2] > 0 else "FAR"
    centre = _at(hole.start[0], hole.start[1])
    layer = "DRILL_THROUGH" if hole.through else f"PILOT_{side}"
    yield Circle(layer, centre, round(hole.diameter / 2, _SAME))
    if hole.sink > hole.diameter:
        yield Circle(f"SINK_{side}", centre, round(hole.sink / 2, _SAME))


def _line(hole: Hole) -> DxfLine:
    """Return the centre line of a hole drilled into an edge or an end."""
    start, axis, deep = hole.start, hole.axis, hole.depth
    end = _at(start[0] + axis[0] * deep, start[1] + axis[1] * deep)
    return DxfLine("EDGE_DRILL", _at(start[0], start[1]), end)


def _end_texts(board: Board, height: float) -> Iterator[Text]:
    """Yield the angle of each end cut that is not square, beside the end, off the wood."""
    middle = board.width / 2
    for x, angles, align in (
        (-height, board.left_angles, "right"),
        (board.length + height, board.right_angles, "left"),
    ):
        if any(angle >= 0.05 for angle in angles):
            # the format's own code for the degree sign: readers differ on UTF-8 in text
            told = " and ".join(f"{degrees(angle)}%%d" for angle in angles)
            yield Text("END_ANGLE", f"{told} off square", (x, middle), height, align)


def _label(board: Board, mark: str, system: str, height: float) -> Iterator[Text]:
    """Yield the label and the drilling notes, in lines below the board."""
    size = " x ".join(print_length(x, system) for x in (board.length, board.width, board.thickness))
    lines = [("LABEL", f"{mark}  {board.name}"), ("LABEL", size)]
    lines += [("DRILL_NOTE", note) for note in drill_notes(board, system)]
    longest = max(len(text) for _, text in lines)
    small = max(_TEXT_LEAST * 0.7, min(height, board.length / (longest * _LETTER)))
    y = -1.6 * small
    for layer, text in lines:
        yield Text(layer, text, (0.0, y), small, "left")
        y -= 1.6 * small


def drill_notes(board: Board, system: str) -> list[str]:
    """Return one line for each kind of hole: how many, which drill, how deep, from which face."""
    counted: dict[str, int] = {}
    for hole in board.holes:
        told = _note(hole, system)
        counted[told] = counted.get(told, 0) + 1
    notes = [f"{count} x {told}" for told, count in sorted(counted.items())]
    return [*notes, "datum face down"] if notes else ["datum face down"]


def _note(hole: Hole, system: str) -> str:
    """Return what is drilled for one hole."""
    drill = drill_size(hole.diameter, system)
    deep = "right through" if hole.through else f"{print_length(hole.depth, system)} deep"
    if not hole.square:
        up = print_length(hole.start[2], system)
        return f"drill {drill}, {deep}, into the edge, {up} above the datum face"
    side = "datum" if hole.axis[2] > 0 else "far"
    sunk = f", sunk {drill_size(hole.sink, system)}" if hole.sink > hole.diameter else ""
    return f"drill {drill}, {deep}, from the {side} face{sunk}"


def dxf_bytes(view: FlatView, system: str) -> bytes:
    """Return a flat view as DXF R2010, UTF-8, in inches or mm as ``system`` says."""
    sheet = FlatDrawing(
        LAYERS,
        (Loop("OUTLINE", view.outline),),
        view.circles,
        view.lines,
        view.texts,
        dashes={"EDGE_DRILL": (6.0, 1.5, 1.0, 1.5)},
    )
    return sheet_bytes(sheet, system)
