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
from dataclasses import dataclass, replace

from palewright.cutting_stock.problem.integer_units import UNITS


@dataclass(frozen=True)
class RowPiece:
    """A part in its row.

    Where it begins and its length (units), its end angles as it lies (degrees, positive where the
    lower edge is longer), whether the cut to its left is shared.
    """

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
    """A line to cut along.

    The part right of it, whether that one begins there, and whether the part before it ends there.
    """

    angle: float
    after: int
    ends: bool = False
    begins: bool = False


@dataclass(frozen=True)
class _Row:
    """A row with the sizes of its strip, units."""

    pieces: Sequence[RowPiece]
    width: int
    kerf: int


def spread_row(pieces: Sequence[RowPiece], kerf: int, spare: int) -> list[RowPiece]:
    """Return the row with room for a kerf where two slanted ends meet at their points.

    Along the end that is cut first; as far as what the strip is longer than the row (`spare`,
    units) allows.
    """
    spread: list[RowPiece] = []
    moved = 0
    for piece in pieces:
        if spread:
            room = _room(spread[-1], piece, kerf)
            if moved + room <= spare:
                moved += room
        spread.append(replace(piece, start=piece.start + moved) if moved else piece)
    return spread


def _room(one: RowPiece, other: RowPiece, kerf: int) -> int:
    """What a kerf along the lesser slant of two points that meet takes beyond a square one."""
    right, left = -one.angles[1], other.angles[0]
    if other.shared or left * right >= 0:
        return 0
    return math.ceil(kerf / _cosine(min(abs(left), abs(right)))) - kerf


def strip_cuts(
    pieces: Sequence[RowPiece], sizes: tuple[int, int], *, exact: bool
) -> list[StripCut]:
    """The crosscuts of a row as `spread_row` lays it.

    sizes: width and kerf, units; exact: the row's last part ends where the strip does, so that a
    square end there is cut already.
    """
    row = _Row(pieces, *sizes)
    lines = _lines(row, exact)
    order = sorted(range(len(lines)), key=lambda i: _size(lines[i]))
    last = _last_cuts(lines, order, len(pieces))
    done: list[int] = []
    cuts = []
    for i in order:
        line = lines[i]
        before = max((k for k in done if k < i), default=None)
        fresh = None if before is None else lines[before]
        held = tuple(range(0 if fresh is None else fresh.after, line.after))
        cuts.append(
            StripCut(
                at=_position(row, line),
                setting=_stop(row, fresh, line) if held else 0.0,
                angle=line.angle,
                held=held,
                made=tuple(k for k, number in enumerate(last) if number == i),
                chained=fresh is not None and _size(fresh) == _size(line),
            )
        )
        done.append(i)
    return cuts


def _size(line: _Line) -> float:
    return round(abs(line.angle), 2)


def _lines(row: _Row, exact: bool) -> list[_Line]:
    """All lines from left to right."""
    lines: list[_Line] = []
    angle = 0.0  # of the end that the next part is laid against
    for k, piece in enumerate(row.pieces):
        left, right = piece.angles[0], -piece.angles[1] + 0.0
        if piece.shared:
            lines[-1] = replace(lines[-1], begins=True)
        elif left or angle:
            if left * angle < 0 and _is_tight(row, k):
                # the slanted kerf of one point would reach into the other: part them squarely
                lines.append(_Line(0.0, k))
            lines.append(_Line(left, k, begins=True))
        elif lines and lines[-1].ends:
            lines[-1] = replace(lines[-1], begins=True)
        if right or not (exact and k == len(row.pieces) - 1):
            lines.append(_Line(right, k + 1, ends=True))
        angle = right
    return lines


def _is_tight(row: _Row, k: int) -> bool:
    """Whether a part and the one before it, whose points meet, lie too close for their cuts."""
    one, other = row.pieces[k - 1], row.pieces[k]
    gap = other.start - one.start - one.length
    return gap < row.kerf + _room(one, other, row.kerf)


def _last_cuts(lines: Sequence[_Line], order: Sequence[int], size: int) -> list[int | None]:
    """For each part the line that finishes it; None where no crosscut touches it."""
    last: list[int | None] = [None] * size
    for i in order:
        if lines[i].ends:
            last[lines[i].after - 1] = i
        if lines[i].begins:
            last[lines[i].after] = i
    return last


def _position(row: _Row, line: _Line) -> int:
    """Where the kerf begins at the parts' outermost points, units from the row's start."""
    if line.ends:
        piece = row.pieces[line.after - 1]
        return piece.start + piece.length
    return row.pieces[line.after].start - (0 if line.angle else row.kerf)


def _stop(row: _Row, fresh: _Line | None, line: _Line) -> float:
    """The distance from the fresh end's longer point along the fence to a cut."""
    start, low, up = (0, 0.0, 0.0) if fresh is None else _right_face(row, fresh)
    end, to_low, to_up = _left_face(row, line)
    first = row.pieces[0 if fresh is None else fresh.after]
    slant = _slant(row, first.angles[0])
    # a part whose own end is cut later, from the corner, gives back what lies before it
    gap = first.start - start + min(max(0.0, -slant) - low, max(0.0, slant) - up)
    lower, upper = (end - start) + (to_low - low) - gap, (end - start) + (to_up - up) - gap
    if abs(low - up) < 1.0:
        return round(max(lower, upper) / UNITS, 3)
    return round((lower if low < up else upper) / UNITS, 3)


def _left_face(row: _Row, line: _Line) -> tuple[int, float, float]:
    """Where what is left of a cut ends: units, and what to add at the lower and upper edge."""
    if line.ends:
        piece, slant = row.pieces[line.after - 1], _slant(row, line.angle)
        return piece.start + piece.length, -max(0.0, slant), -max(0.0, -slant)
    start, low, up = _right_face(row, line)
    wide = row.kerf / _cosine(line.angle)
    return start, low - wide, up - wide


def _right_face(row: _Row, line: _Line) -> tuple[int, float, float]:
    """Where what is right of a cut begins, as `_left_face`."""
    if not line.ends or line.begins:
        slant = _slant(row, line.angle)
        return row.pieces[line.after].start, max(0.0, -slant), max(0.0, slant)
    start, low, up = _left_face(row, line)
    wide = row.kerf / _cosine(line.angle)
    return start, low + wide, up + wide


def _slant(row: _Row, angle: float) -> float:
    """How far a line's upper end lies right of its lower end, units."""
    return row.width * math.tan(math.radians(angle))


def _cosine(angle: float) -> float:
    return math.cos(math.radians(angle))
