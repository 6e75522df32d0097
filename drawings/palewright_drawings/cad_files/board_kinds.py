"""``flat/A-stile.dxf``: one file for all boards that are cut and drilled alike, and their index."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from palewright.construction.boards import Board, Hole
from palewright.design import Design
from palewright.sawing.cut_parts import CutPart
from palewright_drawings.cad_files.board_dxf import dxf_bytes, flat_view
from palewright_drawings.cad_files.cutlist_csv import csv_bytes
from palewright_drawings.output.progress import Progress, Silent


@dataclass(frozen=True, slots=True)
class BoardKind:
    """Boards of a variant that are cut and drilled alike.

    Attributes:
        name: of their file: mark and role, a number where one cut is drilled in several ways.
        part: what they are cut as.
        boards: all of one box.
    """

    name: str
    part: CutPart
    boards: tuple[Board, ...]


def board_kinds(design: Design) -> list[BoardKind]:
    """Return the kinds of boards of one box, in the order of its marks."""
    found = []
    for part in design.parts:
        alike: dict[object, list[Board]] = {}
        for name in part.boards:
            board = design.box.boards[name]
            drilled = replace(board, holes=tuple(sorted(board.holes, key=_place)))
            alike.setdefault(drilled.shape_key, []).append(board)
        for number, boards in enumerate(alike.values(), 1):
            which = f"-{number}" if len(alike) > 1 else ""
            found.append(BoardKind(f"{part.mark}-{part.role}{which}", part, tuple(boards)))
    return found


def _place(hole: Hole) -> tuple[float, ...]:
    """Return what sorts holes: their places, in whatever order they are driven."""
    return tuple(round(x, 3) + 0.0 for x in (*hole.start, *hole.axis))


COLUMNS = ("file", "variant", "mark", "role", "in_a_box", "in_the_batch", "boards")
"""Header of the index."""


def kind_files(
    batch: Sequence[tuple[Design, int]], progress: Progress | None = None
) -> Iterator[tuple[str, bytes]]:
    """Yield (path, content): the DXF R2010 of each kind once, then ``index.csv`` with the counts.

    Args:
        batch: designs and how many boxes of each; a folder a variant where there are several.
        progress: told of each kind.
    """
    progress, rows = progress or Silent(), []
    for design, boxes in batch:
        folder = f"{design.name}/" if len(batch) > 1 else ""
        system = design.parameters.product.units
        kinds = board_kinds(design)
        progress.begin("flat boards", len(kinds))
        for kind in kinds:
            path, count = f"{folder}{kind.name}.dxf", len(kind.boards)
            shown = replace(kind.boards[0], name=f"{kind.part.role}, {count} in a box")
            yield path, dxf_bytes(flat_view(shown, kind.part.mark, system), system)
            names = " ".join(board.name for board in kind.boards)
            counts = str(count), str(count * boxes)
            progress.advance()
            rows.append([path, design.name, kind.part.mark, kind.part.role, *counts, names])
    yield "index.csv", csv_bytes(COLUMNS, rows)
