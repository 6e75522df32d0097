"""What has to be cut: equal boards gathered into parts, with the sizes that a saw is set to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from palewright.boards import Board
from palewright.lumber import Stock
from palewright.polygons import Polygon, bounds, moved


@dataclass(frozen=True, slots=True)
class CutPart:
    """Boards that are cut alike, whatever is drilled into them later.

    Attributes:
        mark: short name on labels and lists, unique in the box: ``A``, ``B`` …
        role: the trade's word.
        boards: names of the boards that are this part.
        stock: what they are cut from.
        length, width, thickness: over everything, mm; length along the grain.
        long_edge, short_edge: lengths (mm) of the longer and shorter edge.
        left_angles, right_angles: degrees off square of the end cuts.
    """

    mark: str
    role: str
    boards: tuple[str, ...]
    stock: Stock
    length: float
    width: float
    thickness: float
    long_edge: float
    short_edge: float
    left_angles: tuple[float, ...]
    right_angles: tuple[float, ...]

    @property
    def count(self) -> int:
        """How many are cut for one box."""
        return len(self.boards)


def cut_parts(boards: Mapping[str, Board]) -> tuple[CutPart, ...]:
    """Return the parts in the order in which they first appear."""
    groups: dict[object, list[Board]] = {}
    for board in boards.values():
        groups.setdefault(_cut_key(board), []).append(board)
    return tuple(_part(_mark(i), group) for i, group in enumerate(groups.values()))


def _part(mark: str, group: list[Board]) -> CutPart:
    """Return the part of boards that are cut alike."""
    first = group[0]
    long_edge, short_edge = first.edge_lengths
    return CutPart(
        mark=mark,
        role=first.role,
        boards=tuple(board.name for board in group),
        stock=first.stock,
        length=first.length,
        width=first.width,
        thickness=first.thickness,
        long_edge=long_edge,
        short_edge=short_edge,
        left_angles=first.left_angles,
        right_angles=first.right_angles,
    )


def _mark(index: int) -> str:
    """Return A … Z, AA, AB …: letters that a pencil writes."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def _cut_key(board: Board) -> object:
    """Return what makes two boards one cut: stock, thickness, outline however it lies."""
    return (board.role, board.stock, round(board.thickness, 3), _least_way(board.outline))


@lru_cache(maxsize=1024)
def _least_way(outline: Polygon) -> tuple[tuple[float, float], ...]:
    """Return the outline as it lies first of all ways; kept, as many boards share theirs."""
    return min(_canonical(way) for way in _ways_to_lie(outline))


def _ways_to_lie(outline: Polygon) -> list[Polygon]:
    """Return the outline as it is, end for end, and turned over both ways."""
    x0, y0, x1, y1 = bounds(outline)
    w, h = x1 - x0, y1 - y0
    flipped = tuple((w - x, y) for x, y in reversed(outline))
    half = tuple((w - x, h - y) for x, y in outline)
    both = tuple((x, h - y) for x, y in reversed(outline))
    return [outline, flipped, half, both]


def _canonical(outline: Polygon) -> tuple[tuple[float, float], ...]:
    """Return the corners to a hundredth of a mm, beginning at the least."""
    corners = [(round(x, 2) + 0.0, round(y, 2) + 0.0) for x, y in moved(outline, 0.0, 0.0)]
    start = corners.index(min(corners))
    return tuple(corners[start:] + corners[:start])
