"""Cross proof: the kernel's solids against the boards as data, reckoned independently.

It needs the CAD kernel, so ``palewright.checks`` does not import it: ``build`` asks for it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from palewright.boards import Board
from palewright.drilled_boards import drilled
from palewright.findings import Finding

if TYPE_CHECKING:
    from palewright.design import Design

VOLUME_SHARE = 1e-6
"""Greatest relative difference of volumes: far above what rounding leaves, far below one hole."""

PLACE_MM = 1e-4
"""Greatest difference (mm) of bounds: a thousandth of what the finest tolerance asks."""

_REMEDY = "this is the tool's mistake, not the box's: report it with the variant file"


def solid_findings(design: Design) -> Iterator[Finding]:
    """Yield PW801 for each shape whose volume, and each board whose bounds, are not the data's.

    Volumes are compared once a shape, in mm³; bounds once a board, in mm, where it stands.
    """
    seen: set[object] = set()
    for name, board in design.box.boards.items():
        if board.shape_key not in seen:
            seen.add(board.shape_key)
            yield from _volume_findings(board, float(design.solids.shape(name).Volume()))
        off = _off(board, design.solids.placed(name))
        if off > PLACE_MM:
            yield Finding(
                "PW801",
                (name,),
                off,
                PLACE_MM,
                "mm",
                f"the solid of {name} reaches {off:.4f} mm from where the board does",
                _REMEDY,
            )


def _volume_findings(board: Board, measured: float) -> Iterator[Finding]:
    """Yield a finding if a solid's volume (mm³) is not what the closed form says."""
    expected = drilled(board)
    if abs(measured - expected.volume) > VOLUME_SHARE * expected.volume + expected.unsure:
        yield Finding(
            "PW801",
            (board.name,),
            measured,
            expected.volume,
            "mm3",
            f"the solid of {board.name} holds {measured:.1f} mm3; "
            f"its outline, thickness and holes make {expected.volume:.1f} mm3",
            _REMEDY,
        )


def _off(board: Board, placed: Any) -> float:
    """Return how far (mm) the bounds of a placed solid and of its board's corners are apart."""
    box = placed.BoundingBox()
    solid = (box.xmin, box.ymin, box.zmin, box.xmax, box.ymax, box.zmax)
    columns = list(zip(*board.corners, strict=True))
    data = [min(c) for c in columns] + [max(c) for c in columns]
    return float(max(abs(a - b) for a, b in zip(solid, data, strict=True)))
