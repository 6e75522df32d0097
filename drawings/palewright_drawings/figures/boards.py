"""One board flat, as it lies on the bench: outline, holes, sizes, end angles.

It lies with its datum face down, as in the flat files: seen from the far face, x along the grain.
"""

from __future__ import annotations

from collections.abc import Iterator

from palewright.construction.boards import Board, Hole
from palewright.geometry.polygons import Point, centroid
from palewright.reading.lengths import degrees, print_length
from palewright_drawings.paper.figure import (
    AngleMark,
    Dimension,
    Figure,
    Fill,
    Label,
    Layer,
    Round,
    Side,
    Stroke,
)

_SAME = 0.05
"""Lengths (mm) and angles (degrees) closer than this are one on the bench."""

_RAY = 30.0
"""Length (mm) of the line square to the grain that an angle is measured from, at most."""


def board_figure(board: Board, mark: str, units: str) -> Figure:
    """Return a board flat with its holes and sizes.

    Args:
        board: what to draw, in its own frame.
        mark: of its part in the cut list.
        units: ``inch`` or ``metric``: how sizes are printed.
    """
    size = " x ".join(print_length(x, units) for x in (board.length, board.width, board.thickness))
    outline = tuple(board.outline)
    square = [hole for hole in board.holes if hole.square]
    return Figure(
        name=f"board-{mark}",
        title=f"{mark}  {board.role}  {size}",
        alt=f"board {mark}, {board.role}, {size}, {len(board.holes)} holes",
        strokes=(Stroke("visible", outline, True, board.name), *_edge_holes(board)),
        rounds=tuple(dict.fromkeys(one for hole in square for one in _rounds(hole, board.name))),
        fills=(Fill("wood", outline, board=board.name),),
        labels=(Label(mark, _place(board), ringed=True),),
        dimensions=tuple(_sizes(board, units)),
        angles=tuple(_angles(board)),
    )


def _rounds(hole: Hole, name: str) -> Iterator[Round]:
    """Yield the circles of a hole square to the face; those of the face below are hidden."""
    below = hole.axis[2] > 0  # drilled upward: it enters at the datum face
    centre = hole.start[0], hole.start[1]
    bore: Layer = "hidden" if below and not hole.through else "visible"
    yield Round(bore, centre, hole.diameter / 2, name)
    if hole.sink > hole.diameter:
        yield Round("hidden" if below else "visible", centre, hole.sink / 2, name)


def _edge_holes(board: Board) -> Iterator[Stroke]:
    """Yield the sides and the middle line of holes drilled into edges and ends."""
    for hole in board.holes:
        if hole.square:
            continue
        (x, y, _), (ax, ay, _) = hole.start, hole.axis
        far = x + ax * hole.depth, y + ay * hole.depth
        for aside in (-hole.diameter / 2, hole.diameter / 2):
            dx, dy = -ay * aside, ax * aside
            yield Stroke(
                "hidden", ((x + dx, y + dy), (far[0] + dx, far[1] + dy)), False, board.name
            )
        yield Stroke("centre", ((x, y), far), board=board.name)


def _place(board: Board) -> Point:
    """Return where the mark stands: in the middle, or as far from holes as the middle line has."""
    x, y = centroid(board.outline)
    holes = [hole.start[0] for hole in board.holes if hole.square]
    room = board.length / 4
    tried = [x + room * step / 8 for step in range(-8, 9)]

    def worth(at: float) -> float:
        return min([abs(at - hole) for hole in holes] + [board.width]) - 0.05 * abs(at - x)

    return max(tried, key=worth), y


def _sizes(board: Board, units: str) -> Iterator[Dimension]:
    """Yield length and width over everything, and the edges where they are shorter than that.

    Edges that are alike are measured once.
    """
    lower, upper = _edges(board)
    spans = {"below": (lower, 0.0), "above": (upper, board.width)}
    found: list[tuple[Side, Point, Point]] = []
    sides: tuple[Side, Side] = ("below", "above")
    for side in sides:
        (left, right), y = spans[side]
        if _SAME < right - left < board.length - _SAME:
            found.append((side, (left, y), (right, y)))
    lengths = [end[0] - start[0] for _, start, end in found]
    alike = len(found) == 2 and abs(lengths[0] - lengths[1]) <= _SAME
    for side, start, end in found[1:] if alike else found:
        long = end[0] - start[0]
        longest = len(lengths) == 2 and long >= max(lengths)
        what = "both edges" if alike else "long edge" if longest else "short edge"
        yield Dimension(start, end, side, 0, print_length(long, units), what)
    shown = found[1:] if alike else found
    row = 1 if any(side == "below" for side, _, _ in shown) else 0
    first, last = min(board.outline), max(board.outline)
    yield Dimension(first, last, "below", row, print_length(board.length, units), "length")
    low = min(board.outline, key=lambda p: (p[1], p[0]))
    high = min(board.outline, key=lambda p: (-p[1], p[0]))
    yield Dimension(low, high, "left", 0, print_length(board.width, units), "width")


def _edges(board: Board) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return the spans (x, mm) of the lower and of the upper edge."""
    found = []
    for level in (0.0, board.width):
        xs = [x for x, y in board.outline if abs(y - level) < 1e-5]
        found.append((min(xs), max(xs)))
    return found[0], found[1]


def _angles(board: Board) -> Iterator[AngleMark]:
    """Yield the angle off square of each slanted end cut, at its corner farthest along the grain.

    Measured between the line square to the grain and the cut.
    """
    corners = board.outline
    for i, (start, end) in enumerate(zip(corners, corners[1:] + corners[:1], strict=True)):
        dy, dx = end[1] - start[1], end[0] - start[0]
        if abs(dy) < 1e-6 or abs(dx) < 1e-6:
            continue
        right = dy > 0  # anticlockwise: an edge that goes up is at the right end
        tip, other = (start, end) if (start[0] > end[0]) == right else (end, start)
        up = 1.0 if other[1] > tip[1] else -1.0
        long = min(_RAY, abs(dy))
        ray = tip[0], tip[1] + up * long
        scale = long / (dx * dx + dy * dy) ** 0.5
        cut = tip[0] + (other[0] - tip[0]) * scale, tip[1] + (other[1] - tip[1]) * scale
        swap = AngleMark(tip, ray, cut, "", "").value > 180
        first, second = (cut, ray) if swap else (ray, cut)
        value = AngleMark(tip, first, second, "", "").value
        if value > _SAME:
            what = f"end {i + 1}"
            yield AngleMark(tip, first, second, f"{degrees(value)}°", what)
