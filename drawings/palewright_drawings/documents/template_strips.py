"""A large plate at full size as strips of paper along its holes, lettered to be joined.

Plywood is cut to size first; strips are laid on it by their distance from its edges. Where a strip
is longer than a sheet it is cut between holes; both ends carry the same letter in half a diamond.
Millimetres of paper, x to the right and y down. Areas are left out: a template is lines.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from palewright.geometry.polygons import Point, bounds
from palewright_drawings.paper.marks import Mark, PathMark, RoundMark, TextMark, moved_marks
from palewright_drawings.paper.styles import STYLE
from palewright_drawings.paper.text_metrics import Edges, text_width

_AIR = 5.0
"""A strip shows so much beyond its holes, mm: room for their crosses and for paste."""

_NEAR = 12.0
"""Holes nearer than this (mm) share a strip; a plate's edge nearer than this bounds it."""

_DIAMOND = 5.0
"""Half of a diamond's height, mm: unlike any hole, seen from afar."""

_LETTER = 3.0
"""Height of the capitals of a join's letter, mm."""

_JOIN = 15.0
"""Half a diamond, its letter and the cross of a hole take so much beside a cut, mm."""

_LEAST = 2 * _JOIN
"""No part of a strip is shorter, mm: two joins find room on it."""

_CHORDS = 96
"""Chords that stand for a circle where a strip's edge cuts it: within an 1,800th of the radius."""


@dataclass(frozen=True, slots=True)
class StripPart:
    """One piece of paper of a plate.

    Attributes:
        window: what it shows of the plate's drawing, mm from the drawing's upper left corner.
        marks: from the window's upper left corner.
        left, right: letters of its joins; empty at the plate's own edge.
    """

    window: Edges
    marks: tuple[Mark, ...]
    left: str = ""
    right: str = ""


def strips_of(
    marks: Sequence[Mark], room: tuple[float, float], grid: float
) -> list[list[StripPart]]:
    """Return the strips of a plate from above, each with its parts from the left, without letters.

    Args:
        marks: the plate's outline (the largest closed path), its holes, their crosses.
        room: width and height that a sheet has for a part, mm.
        grid: strips begin at multiples of this below the plate's upper edge, mm: a tape's marks.
    """
    plate = bounds(outline_of(marks).runs[0])
    found = []
    for window in strip_windows(marks, room[1], grid):
        boxes = [b for b in holes_of(marks) if b[3] > window[1] and b[1] < window[3]]
        cuts = _cuts(window[0], window[2], room[0] - 2.0, boxes)
        parts = []
        for left, right in pairwise(cuts):
            seen = (left, window[1], right, window[3])
            joined = left > cuts[0], right < cuts[-1]
            shown = [*lines_within(marks, seen), *_edges(seen, plate, joined)]
            parts.append(StripPart(seen, moved_marks(shown, -seen[0], -seen[1])))
        found.append(parts)
    return found


def lettered(strip: Sequence[StripPart], letters: Iterator[str]) -> list[StripPart]:
    """Return a strip with a letter at both ends of each of its joins.

    Args:
        strip: its parts from the left.
        letters: of joins, each new.
    """
    names = ["", *(next(letters) for _ in strip[1:]), ""]
    found = []
    for one, left, right in zip(strip, names, names[1:], strict=False):
        x0, y0, x1, y1 = one.window
        marks = [*one.marks]
        for x, letter, way in ((0.0, left, 1.0), (x1 - x0, right, -1.0)):
            if letter:
                start = x + way * (_DIAMOND + 1.5)
                start -= text_width(letter, _LETTER, "bold") if way < 0 else 0.0
                base = (start, (y1 - y0) / 2 + _LETTER / 2)
                marks.append(TextMark(letter, base, _LETTER, "bold", colour=STYLE.ink))
        found.append(StripPart(one.window, tuple(marks), left, right))
    return found


def outline_of(marks: Sequence[Mark]) -> PathMark:
    """Return the outline of a plate: its largest closed path."""
    closed = [mark for mark in marks if isinstance(mark, PathMark) and mark.closed]
    return max(closed, key=lambda m: (m.edges[2] - m.edges[0]) * (m.edges[3] - m.edges[1]))


def holes_of(marks: Sequence[Mark]) -> list[Edges]:
    """Return the boxes of the holes."""
    return [mark.edges for mark in marks if isinstance(mark, RoundMark)]


def strip_windows(marks: Sequence[Mark], high: float, grid: float) -> list[Edges]:
    """Return the windows over a plate, from above, that show all its holes; as ``strips_of``."""
    x0, y0, x1, y1 = bounds(outline_of(marks).runs[0])
    rows: list[list[Edges]] = []
    low = end = 0.0
    for box in sorted(holes_of(marks), key=lambda box: (box[1], box[3])):
        if (
            rows
            and box[1] - end < _NEAR + _AIR
            and box[3] - low <= high - 2 * (_NEAR + _AIR) - grid
        ):
            rows[-1].append(box)
            end = max(end, box[3])
        else:
            rows.append([box])
            _, low, _, end = box
    found = []
    for row in rows:
        lefts, tops, rights, ends = zip(*row, strict=True)
        near = [
            at if abs(at - edge) > _NEAR else edge
            for at, edge in (
                (max(min(lefts) - _AIR, x0), x0),
                (max(min(tops) - _AIR, y0), y0),
                (min(max(rights) + _AIR, x1), x1),
                (min(max(ends) + _AIR, y1), y1),
            )
        ]
        left, top = (
            edge + math.floor((at - edge) / grid + 1e-9) * grid
            for at, edge in ((near[0], x0), (near[1], y0))
        )
        found.append((left, top, near[2], near[3]))
    return found


def _cuts(left: float, right: float, room: float, boxes: Sequence[Edges]) -> list[float]:
    """Return where a strip begins, is cut clear of what it shows, and ends.

    Each part is as long as a sheet has room for: what is left over is short, and shares a sheet.
    """
    found = [left]
    while right - found[-1] > room:
        start = found[-1]
        last = min(start + room, right - _LEAST)
        places = [last - k for k in range(int(last - start - _LEAST) + 1)]
        found.append(max(places, key=lambda x: min((_clear(x, b) for b in boxes), default=_JOIN)))
    return [*found, right]


def _clear(x: float, box: Edges) -> float:
    """Return how far an upright line keeps from a box, no more than a join takes."""
    return min(max(box[0] - x, x - box[2]), _JOIN)


def _edges(window: Edges, plate: Edges, joined: tuple[bool, bool]) -> Iterator[Mark]:
    """Yield the edges of a part that are not the plate's: to be cut along; and its joins."""
    x0, y0, x1, y1 = window
    for at, own in ((y0, plate[1]), (y1, plate[3])):
        if abs(at - own) > 0.5:
            run = ((x0, at), (x1, at))
            yield PathMark("frame", (run,), width=0.25, colour=STYLE.ink, dashes=(4.0, 2.0))
    middle = (y0 + y1) / 2
    for x, own, join, way in ((x0, plate[0], joined[0], 1.0), (x1, plate[2], joined[1], -1.0)):
        if not join:
            if abs(x - own) > 0.5:
                run = ((x, y0), (x, y1))
                yield PathMark("frame", (run,), width=0.25, colour=STYLE.ink, dashes=(4.0, 2.0))
            continue
        yield PathMark("frame", (((x, y0), (x, y1)),), width=0.25, colour=STYLE.ink)
        tip = (x + way * _DIAMOND, middle)
        ring = ((x, middle - _DIAMOND), tip, (x, middle + _DIAMOND))
        yield PathMark("frame", (ring,), True, 0.35, STYLE.ink)


def lines_within(marks: Iterable[Mark], window: Edges) -> Iterator[Mark]:
    """Yield what of the lines lies in a window."""
    for mark in marks:
        if isinstance(mark, TextMark) or not mark.width:
            continue
        x0, y0, x1, y1 = mark.edges
        if x0 > window[2] or y0 > window[3] or x1 < window[0] or y1 < window[1]:
            continue
        if isinstance(mark, RoundMark):
            if x0 >= window[0] and y0 >= window[1] and x1 <= window[2] and y1 <= window[3]:
                yield replace(mark, fill="")
                continue
            run = tuple(
                (
                    mark.centre[0] + mark.radius * math.cos(2 * math.pi * i / _CHORDS),
                    mark.centre[1] + mark.radius * math.sin(2 * math.pi * i / _CHORDS),
                )
                for i in range(_CHORDS)
            )
            mark = PathMark(mark.kind, (run,), True, mark.width, mark.colour, mark.dashes)
        runs = tuple(_runs_within(mark.segments(), window))
        if runs:
            yield replace(mark, runs=runs, closed=False, fill="")


def _runs_within(
    segments: Iterable[tuple[Point, Point]], window: Edges
) -> Iterator[tuple[Point, ...]]:
    """Yield the runs of points that a chain of segments leaves in a window."""
    run: list[Point] = []
    for start, end in segments:
        piece = clipped(start, end, window)
        if piece is None:
            continue
        if not run or math.dist(run[-1], piece[0]) > 1e-9:
            if len(run) > 1:
                yield tuple(run)
            run = [piece[0]]
        run.append(piece[1])
    if len(run) > 1:
        yield tuple(run)


def clipped(start: Point, end: Point, window: Edges) -> tuple[Point, Point] | None:
    """Return the part of a segment that lies in a window; None where there is none."""
    low, high = 0.0, 1.0
    dx, dy = end[0] - start[0], end[1] - start[1]
    for step, room in (
        (-dx, start[0] - window[0]),
        (dx, window[2] - start[0]),
        (-dy, start[1] - window[1]),
        (dy, window[3] - start[1]),
    ):
        if step == 0:
            if room < 0:
                return None
        elif step < 0:
            low = max(low, room / step)
        else:
            high = min(high, room / step)
    if low >= high:
        return None
    first = start if low == 0 else (start[0] + dx * low, start[1] + dy * low)
    last = end if high == 1 else (start[0] + dx * high, start[1] + dy * high)
    return first, last
