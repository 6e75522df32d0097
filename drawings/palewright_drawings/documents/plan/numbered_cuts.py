"""Where each board of a box, or of a batch of boxes, comes from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from palewright.design import Design
from palewright.sawing.numbered_plans import NumberedPlan
from palewright_drawings.cad_files.nested_boards_dxf import boards_by_piece

Wanted = TypeVar("Wanted")


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a board of the box comes from.

    Attributes:
        board: the number of the board it is cut from.
        piece: its number in its part.
        layout: which layout, counted from 0 through all stocks.
        place: which of that layout's pieces, counted from 0.
    """

    board: int
    piece: int
    layout: int
    place: int


def origins(design: Design, plans: list[NumberedPlan]) -> dict[str, Origin]:
    """Return for each board of the box, by name, the board and the piece that it is."""
    waiting = {
        key: [board.name for board in boards] for key, boards in boards_by_piece(design).items()
    }
    found = sawn(waiting, plans)
    return {name: found[name] for name in design.box.boards}


def sawn(
    waiting: Mapping[tuple[str, str], Sequence[Wanted]], plans: Sequence[NumberedPlan]
) -> dict[Wanted, Origin]:
    """Return for each piece that is wanted where it comes from, in the order of the saw.

    Args:
        waiting: by part and kit, as the plans call them, who waits for such a piece, in order.
        plans: that make exactly these.
    """
    served = {key: iter(some) for key, some in waiting.items()}
    found: dict[Wanted, Origin] = {}
    for number, one in enumerate(layout for plan in plans for layout in plan.layouts):
        for k in range(one.layout.count):
            for place, (piece, (first, _)) in enumerate(
                zip(one.layout.pieces, one.pieces, strict=True)
            ):
                wanted = next(served[piece.part, piece.kit])
                found[wanted] = Origin(one.boards[0] + k, first + k, number, place)
    return found


def boards_text(boards: tuple[int, int]) -> str:
    """Return which boards are meant: ``board 3`` or ``boards 3 to 5, all alike``."""
    first, last = boards
    return f"board {first}" if first == last else f"boards {first} to {last}, all alike"
