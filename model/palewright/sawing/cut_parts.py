"""What has to be cut: equal boards gathered into parts, with the sizes that a saw is set to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from palewright.catalogue.lumber import Stock
from palewright.construction.boards import Board
from palewright.reading.lengths import degrees, noiseless, print_length


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


def cut_parts(boards: Mapping[str, Board], system: str = "") -> tuple[CutPart, ...]:
    """Return the parts in the order in which they first appear.

    Args:
        boards: by name.
        system: ``inch`` or ``metric``: boards that print alike in it are one part, as whoever saws
            them has nothing else to go by. Without it only boards alike to a thousandth of a mm
            are, as a proof wants.
    """
    groups: dict[object, list[Board]] = {}
    for board in boards.values():
        groups.setdefault(_cut_key(board, system), []).append(board)
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


def _cut_key(board: Board, system: str) -> object:
    """Return what makes two boards one cut: stock, role, sizes and angles, however they lie.

    Sizes over everything, both edges and the angles at both ends leave one outline, but for
    turning it over or round. They are compared as they print, which is never on the brink of
    another size by the noise of floats.
    """
    if not system:
        return board.role, board.stock, noiseless(board.thickness, 3), board.cut_alike
    sizes = (board.length, board.width, board.thickness, *board.edge_lengths)
    written = [print_length(size, system) for size in sizes]
    ends = (board.left_angles, board.right_angles)
    turned = sorted(tuple(sorted(map(degrees, end))) for end in ends)
    return (board.role, board.stock, *written, *turned)
