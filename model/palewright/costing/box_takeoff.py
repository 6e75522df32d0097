"""What one box takes, counted on its boards: screws, holes, glue, faces, mass, outside size."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from palewright.construction.boards import Board
from palewright.construction.liners import liner_of
from palewright.costing.shop_file import FinishFaces
from palewright.design import Design

_LOOSE = "trellis"
"""The panel that drops in and is packed flat behind the box."""


@dataclass(frozen=True, slots=True)
class BoxWork:
    """What one box takes, whatever the batch.

    Attributes:
        screws: how many of each kind, by label.
        drills: different drill diameters.
        holes: drilled holes.
        pieces: boards to lay in their places.
        glue_joints: joints closed by glue.
        liner_m2: sheet of the liner, 0 without one.
        finish_m2: surface that is sanded and finished.
        mass_kg: wood with its holes taken out at 12 % moisture.
        screws_kg: screws.
        outside: length, width, height (mm) over everything, a trellis packed flat behind.
    """

    screws: Mapping[str, int]
    drills: int
    holes: int
    pieces: int
    glue_joints: int
    liner_m2: float
    finish_m2: float
    mass_kg: float
    screws_kg: float
    outside: tuple[float, float, float]

    @property
    def screw_count(self) -> int:
        """All screws."""
        return sum(self.screws.values())


def work_of(design: Design, faces: FinishFaces) -> BoxWork:
    """Return what one box takes.

    Raises:
        InputError: if the box cannot be laid out.
    """
    box = design.box
    boards = list(box.boards.values())
    liner = liner_of(design.parameters, box.sizes)
    return BoxWork(
        screws=dict(sorted(Counter(screw.kind.label for screw in box.screws).items())),
        drills=len({round(hole.diameter, 3) for board in boards for hole in board.holes}),
        holes=sum(len(board.holes) for board in boards),
        pieces=len(boards),
        glue_joints=sum(joint.kind in ("glue", "bed") for joint in box.joints),
        liner_m2=liner.area / 1e6 if liner else 0.0,
        finish_m2=finished_area(design, faces) / 1e6,
        mass_kg=design.loads.weights.wood,
        screws_kg=design.loads.weights.steel,
        outside=_outside(boards),
    )


def finished_area(design: Design, faces: FinishFaces) -> float:
    """Return the surface that is finished, mm².

    ``outside``: the four walls as flat rectangles between foot and cap, the cap's upper faces,
    both faces of a trellis; edges are for the shop's allowance. ``all``: every board's faces,
    edges and ends, without holes. ``none``: nothing.
    """
    boards = list(design.box.boards.values())
    if faces == "none":
        return 0.0
    if faces == "all":
        return sum(2 * _face(board) + _rim(board) * board.thickness for board in boards)
    sizes = design.box.sizes
    walls = 2 * (sizes.width + sizes.depth) * (sizes.top - sizes.foot)
    caps = sum(_face(board) for board in boards if board.role == "cap")
    return walls + caps + sum(2 * _face(board) for board in boards if board.panel == _LOOSE)


def _face(board: Board) -> float:
    """Return the area (mm²) of one face."""
    return board.volume / board.thickness


def _rim(board: Board) -> float:
    """Return the length (mm) of a board's outline."""
    corners = board.outline
    return sum(math.dist(a, b) for a, b in zip(corners, corners[1:] + corners[:1], strict=True))


def _outside(boards: list[Board]) -> tuple[float, float, float]:
    """Return length, width and height (mm) over all boards, a trellis laid flat behind the box."""
    fixed = [corner for board in boards if board.panel != _LOOSE for corner in board.corners]
    sizes = [max(c[i] for c in fixed) - min(c[i] for c in fixed) for i in range(3)]
    loose = [corner for board in boards if board.panel == _LOOSE for corner in board.corners]
    if loose:
        spans = [max(c[i] for c in loose) - min(c[i] for c in loose) for i in range(3)]
        sizes = [max(sizes[0], spans[0]), sizes[1] + spans[1], max(sizes[2], spans[2])]
    return sizes[0], sizes[1], sizes[2]
