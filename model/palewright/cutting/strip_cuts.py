"""The crosscuts that turn one strip into parts, in the order of sawing, with their stops.

Slanted neighbours share cuts whose angles differ along the strip, so cutting from one end to the
other would ask for a new angle at almost every cut. Instead each angle is set once, the least
first, and all cuts of that angle are made: what comes off holds several parts as a blank, which
the greater angles cut apart. Every cut is measured along an edge from the fresh end to its left,
which keeps its longer point on fence and stop; a square end is turned so that the longer edge
lies there. An end is cut fresh, without a stop, where the strip has nothing to measure from.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from palewright.cutting.whole import UNITS

SAME_ANGLE = 0.005
"""Degrees: angles as close as this are one."""


@dataclass(frozen=True)
class RowPiece:
    """A part in its row: where it begins and its length (units), its end angles as it lies
    (degrees, positive where the lower edge is longer), whether the cut to its left is shared."""

    start: int
    length: int
    angles: tuple[float, float]
    shared: bool = False


@dataclass(frozen=True)
class StripCut:
    """One crosscut of a strip.

    at: where the kerf begins, units from the row's start; setting: of the stop, in the caller's
    unit, 0 for an end that is cut fresh; angle: off square, positive where the line leans as
    ``/``; held: the parts (numbers in the row) in what comes off; made: those that are finished
    by it; chained: whether the cut before it has to be made first.
    """

    at: int
    setting: float
    angle: float
    held: tuple[int, ...]
    made: tuple[int, ...]
    chained: bool


@dataclass(frozen=True)
class _Line:
    """A line to cut along: the part that ends and the part that begins there."""

    angle: float
    left: int | None
    right: int | None


def strip_cuts(row: Sequence[RowPiece], width: int, kerf: int, *, exact: bool) -> list[StripCut]:
    """The crosscuts of a row; width and kerf in units, exact: the row's last part ends where
    the strip does, so that a square end there is cut already."""
    lines = _lines(row, exact)
    order = sorted(range(len(lines)), key=lambda i: round(abs(lines[i].angle), 2))
    last = _last_cuts(row, lines, order)
    done: list[int] = []
    cuts = []
    for i in order:
        before = max((k for k in done if k < i), default=None)
        held = _held(lines, before, i, len(row))
        line = lines[i]
        fresh = not held
        cuts.append(
            StripCut(
                at=_position(row, line, kerf),
                setting=0.0 if fresh else _stop(row, lines, before, i, (width, kerf)),
                angle=line.angle,
                held=tuple(held),
                made=tuple(k for k, number in enumerate(last) if number == i),
                chained=before is not None and _alike(lines[before], line),
            )
        )
        done.append(i)
    return cuts


def _lines(row: Sequence[RowPiece], exact: bool) -> list[_Line]:
    """All lines from left to right."""
    lines: list[_Line] = []
    angle = 0.0  # of the end that the next part is laid against
    for k, piece in enumerate(row):
        left, right = piece.angles[0], -piece.angles[1] + 0.0
        if piece.shared:
            lines[-1] = _Line(lines[-1].angle, k - 1, k)
        elif left or angle:
            lines.append(_Line(left, None, k))
        elif lines and lines[-1].left == k - 1:
            lines[-1] = _Line(0.0, k - 1, k)
        if right or not (exact and k == len(row) - 1):
            lines.append(_Line(right, k, None))
        angle = right
    return lines


def _last_cuts(
    row: Sequence[RowPiece], lines: Sequence[_Line], order: Sequence[int]
) -> list[int | None]:
    """For each part the line that finishes it; None where no crosscut touches it."""
    last: list[int | None] = [None] * len(row)
    for i in order:
        for k in (lines[i].left, lines[i].right):
            if k is not None:
                last[k] = i
    return last


def _held(lines: Sequence[_Line], before: int | None, i: int, size: int) -> list[int]:
    """The parts between two lines."""
    first = 0 if before is None else _first_right(lines, before)
    end = lines[i].left
    if end is None:
        right = lines[i].right
        end = size - 1 if right is None else right - 1
    return list(range(first, end + 1))


def _first_right(lines: Sequence[_Line], i: int) -> int:
    """The first part that lies right of a line."""
    line = lines[i]
    return line.right if line.right is not None else (line.left or 0) + 1


def _alike(one: _Line, other: _Line) -> bool:
    return round(abs(one.angle), 2) == round(abs(other.angle), 2)


def _position(row: Sequence[RowPiece], line: _Line, kerf: int) -> int:
    """Where the kerf begins at the parts' outermost points, units from the row's start."""
    if line.left is not None:
        return row[line.left].start + row[line.left].length
    assert line.right is not None
    return row[line.right].start - (0 if line.angle else kerf)


def _stop(
    row: Sequence[RowPiece],
    lines: Sequence[_Line],
    before: int | None,
    i: int,
    sizes: tuple[int, int],
) -> float:
    """The distance from the fresh end's longer point along the fence to a cut."""
    start, low, up = (0, 0.0, 0.0) if before is None else _right_face(row, lines[before], *sizes)
    end, to_low, to_up = _left_face(row, lines[i], *sizes)
    lower = (end - start) + (to_low - low)
    upper = (end - start) + (to_up - up)
    if abs(low - up) < 1.0:
        return round(max(lower, upper) / UNITS, 3)
    return round((lower if low < up else upper) / UNITS, 3)


def _left_face(
    row: Sequence[RowPiece], line: _Line, width: int, kerf: int
) -> tuple[int, float, float]:
    """Where what is left of a cut ends: units, and what to add at the lower and upper edge."""
    slant = width * math.tan(math.radians(line.angle))
    if line.left is not None:
        piece = row[line.left]
        return piece.start + piece.length, -max(0.0, slant), -max(0.0, -slant)
    start, low, up = _right_face(row, line, width, kerf)
    wide = kerf / math.cos(math.radians(line.angle))
    return start, low - wide, up - wide


def _right_face(
    row: Sequence[RowPiece], line: _Line, width: int, kerf: int
) -> tuple[int, float, float]:
    """Where what is right of a cut begins, as `_left_face`."""
    slant = width * math.tan(math.radians(line.angle))
    if line.right is not None:
        return row[line.right].start, max(0.0, -slant), max(0.0, slant)
    start, low, up = _left_face(row, line, width, kerf)
    wide = kerf / math.cos(math.radians(line.angle))
    return start, low + wide, up + wide
