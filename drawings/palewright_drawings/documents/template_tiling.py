"""A drawing at full size cut into sheets of paper that overlap, with marks to join them by.

Millimetres of paper, x to the right and y down. Areas are left out: a template is lines.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from palewright.geometry.polygons import Point
from palewright_drawings.paper.marks import Mark, PathMark, RoundMark, TextMark, moved_marks
from palewright_drawings.paper.styles import STYLE
from palewright_drawings.paper.text_metrics import Edges

OVERLAP = 14.0
"""Neighbouring sheets show so much of the same, mm."""

_CROSS = 4.0
"""A register mark reaches so far each way, mm: judged by eye."""

_CHORDS = 96
"""Chords that stand for a circle where a sheet's edge cuts it: within an 1,800th of the radius."""


@dataclass(frozen=True, slots=True)
class Tile:
    """One sheet of a drawing.

    Attributes:
        row, column: which it is, from 1, from the upper left.
        rows, columns: how many there are.
        left, top: where its window begins in the drawing, mm.
        marks: what is in the window, from the window's upper left corner.
        joins: middles of the crosses that a neighbour shows too, from the same corner.
    """

    row: int
    column: int
    rows: int
    columns: int
    left: float
    top: float
    marks: tuple[Mark, ...]
    joins: tuple[Point, ...]


def tiles_of(
    marks: Sequence[Mark], width: float, height: float, room: tuple[float, float]
) -> list[Tile]:
    """Return the sheets of a drawing, row by row.

    Args:
        marks: the drawing, from its upper left corner.
        width: of the drawing, mm.
        height: of the drawing, mm.
        room: width and height that a sheet has for it, mm.

    Raises:
        ValueError: if a sheet has no room beside the overlap.
    """
    if min(room) <= 2 * OVERLAP:
        raise ValueError(f"sheets of {room} mm leave no room for a template")
    lefts = _starts(width, room[0])
    tops = _starts(height, room[1])
    windows = [
        (left, top, min(left + room[0], width), min(top + room[1], height))
        for top in tops
        for left in lefts
    ]
    texts = _homes([m for m in marks if isinstance(m, TextMark)], windows)
    found = []
    for i, window in enumerate(windows):
        row, column = divmod(i, len(lefts))
        inside = [*_lines_within(marks, window), *texts[i]]
        joins = tuple(_joins(window, row, column, len(tops), len(lefts)))
        shown = [*inside, *(cross for join in joins for cross in _cross(join))]
        found.append(
            Tile(
                row + 1, column + 1, len(tops), len(lefts), window[0], window[1],
                moved_marks(shown, -window[0], -window[1]),
                tuple((x - window[0], y - window[1]) for x, y in joins),
            )
        )  # fmt: skip
    return found


def tile_count(width: float, height: float, room: tuple[float, float]) -> int:
    """Return how many sheets a drawing takes; arguments as for ``tiles_of``."""
    return len(_starts(width, room[0])) * len(_starts(height, room[1]))


def _starts(length: float, room: float) -> list[float]:
    """Return where the windows begin along one side, evenly, each overlapping the next."""
    if length <= room:
        return [0.0]
    count = math.ceil((length - OVERLAP) / (room - OVERLAP) - 1e-9)
    return [i * (room - OVERLAP) for i in range(count)]


def _lines_within(marks: Iterable[Mark], window: Edges) -> Iterator[Mark]:
    """Yield what of the lines lies in a window."""
    for mark in marks:
        if isinstance(mark, TextMark) or not mark.width:
            continue
        if isinstance(mark, RoundMark):
            x0, y0, x1, y1 = mark.edges
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


def _homes(texts: Iterable[TextMark], windows: Sequence[Edges]) -> list[list[TextMark]]:
    """Return for each window the texts that it shows whole.

    A text that no window shows whole is moved into the one that shows most of it.
    """
    found: list[list[TextMark]] = [[] for _ in windows]
    for text in texts:
        x0, y0, x1, y1 = text.edges
        whole = [
            i
            for i, w in enumerate(windows)
            if x0 >= w[0] and y0 >= w[1] and x1 <= w[2] and y1 <= w[3]
        ]
        for i in whole:
            found[i].append(text)
        if not whole:
            i = max(range(len(windows)), key=lambda i: _shared(text.edges, windows[i]))
            w = windows[i]
            dx = max(w[0] - x0, 0.0) + min(w[2] - x1, 0.0)
            dy = max(w[1] - y0, 0.0) + min(w[3] - y1, 0.0)
            found[i].append(text.moved(dx, dy))
    return found


def _shared(a: Edges, b: Edges) -> float:
    """Return the area that two boxes share."""
    return max(0.0, min(a[2], b[2]) - max(a[0], b[0])) * max(0.0, min(a[3], b[3]) - max(a[1], b[1]))


def _joins(window: Edges, row: int, column: int, rows: int, columns: int) -> Iterator[Point]:
    """Yield the middles of the crosses in the strips that a window shares with its neighbours."""
    x0, y0, x1, y1 = window
    half = OVERLAP / 2
    for share in (0.2, 0.8):
        y, x = y0 + share * (y1 - y0), x0 + share * (x1 - x0)
        if column > 0:
            yield x0 + half, y
        if column < columns - 1:
            yield x1 - half, y
        if row > 0:
            yield x, y0 + half
        if row < rows - 1:
            yield x, y1 - half


def _cross(middle: Point) -> Iterator[Mark]:
    """Yield a cross in a ring."""
    x, y = middle
    runs = (((x - _CROSS, y), (x + _CROSS, y)), ((x, y - _CROSS), (x, y + _CROSS)))
    yield PathMark("frame", runs, width=0.18, colour=STYLE.ink)
    yield RoundMark("frame", middle, _CROSS / 2, width=0.18, colour=STYLE.ink)
