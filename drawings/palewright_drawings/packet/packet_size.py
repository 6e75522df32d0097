"""How large a packet will be, told before the work: counted from boards and holes alone."""

from __future__ import annotations

import math
from collections.abc import Iterable

from palewright.construction.boards import Board, Hole
from palewright.design import Design
from palewright.solids.kernel_solids import MESH_ANGLE

LARGE = 50e6
"""Bytes above which a packet is told of before the work: ten times a usual one (judgement)."""

_STL_TRIANGLE = 50
"""Bytes of a triangle in binary STL, where each board's are written in place."""
_GLB_TRIANGLE = 35
"""Bytes of a triangle in glTF: half a vertex, three indices; a shape once. Measured."""
_STEP_BOARD, _STEP_HOLE = 6000, 3400
"""Bytes of a board and of a hole in STEP; a shape once. Measured."""
_DXF_BOARD, _DXF_HOLE = 17000, 240
"""Bytes of a flat board and of a hole in DXF. Measured."""
_OTHERS = 3e6
"""Bytes of all other kinds: sheets, plan, report. Measured; pictures are left out."""


def packet_bytes(design: Design, kinds: Iterable[str]) -> float:
    """Return about how many bytes a packet will have: right to a factor of two.

    Args:
        design: the box; its boards are laid out, nothing else is worked out.
        kinds: kinds of ``WRITERS``.
    """
    boards = list(design.box.boards.values())
    shapes = list({board.shape_key: board for board in boards}.values())
    sizes = {
        "step": _STEP_BOARD * len(boards) + _STEP_HOLE * sum(len(one.holes) for one in shapes),
        "stl": _STL_TRIANGLE * sum(map(triangles_of, boards)),
        "glb": _GLB_TRIANGLE * sum(map(triangles_of, shapes)),
        "parts": _STL_TRIANGLE * sum(map(triangles_of, shapes)),
        "flat": _DXF_BOARD * len(shapes) + _DXF_HOLE * sum(len(one.holes) for one in shapes),
    }
    asked = set(kinds)
    found = sum(size for kind, size in sizes.items() if kind in asked)
    return found + (_OTHERS if asked - set(sizes) else 0.0)


def large_text(design: Design, kinds: Iterable[str]) -> str:
    """Return a line that says how large a packet will be; empty for one of usual size."""
    size = packet_bytes(design, kinds)
    if size <= LARGE:
        return ""
    boards, screws = len(design.box.boards), len(design.box.screws)
    told = f"{boards:,} boards, {screws:,} screws, about {round(size / 1e7) * 10} MB to write"
    return f"a large packet: {told}; --only KIND writes less"


def triangles_of(board: Board) -> int:
    """Return how many triangles a board's surface has, unless holes meet each other or an edge."""
    corners = len(board.outline)
    return 4 * corners - 4 + sum(map(_hole_triangles, board.holes))


def _hole_triangles(hole: Hole) -> int:
    """Return the triangles that a hole adds: its walls, the faces that it pierces, its bottom.

    A ring of n corners in a face adds n + 2 triangles, whatever the face (Euler's formula).
    """
    facets = math.ceil(2 * math.pi / MESH_ANGLE)
    walls = 2 * facets * (2 if hole.sink > hole.diameter else 1)
    return walls + facets + 2 + (facets + 2 if hole.through else facets - 2)
