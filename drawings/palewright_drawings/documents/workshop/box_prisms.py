"""The box as prisms, for the picture in three dimensions: some kB of JSON."""

from __future__ import annotations

import json

from palewright.construction.boards import Board
from palewright.design import Design
from palewright_drawings.cad_files.colours import board_colour, hex_of
from palewright_drawings.output.json_data import Json


def box_json(design: Design) -> str:
    """Return each board's prism as JSON that may stand inside a ``script`` element.

    Keys are single letters, as a box may have hundreds of boards: ``m`` mark, ``p`` panel, ``c``
    colour, ``o`` outline in the board's own frame, ``t`` thickness, ``f`` the frame's origin,
    ``g`` and ``a`` its directions along and across the grain. Lengths in mm to a tenth, which is a
    quarter of a pixel.
    """
    marks = {name: part.mark for part in design.parts for name in part.boards}
    boards = [_prism(design, board, marks[name]) for name, board in design.box.boards.items()]
    text = json.dumps({"boards": boards}, ensure_ascii=False, separators=(",", ":"))
    return text.replace("<", "\\u003c")  # nothing may look like the element's end


def _prism(design: Design, board: Board, mark: str) -> Json:
    """Return one board."""
    place = board.placement
    return {
        "m": mark,
        "p": board.panel,
        "c": hex_of(board_colour(design.parameters, board)),
        "o": [_tenths(point) for point in board.outline],
        "t": round(board.thickness, 1),
        "f": _tenths(place.origin),
        "g": [round(x, 6) + 0.0 for x in place.grain],
        "a": [round(x, 6) + 0.0 for x in place.across],
    }


def _tenths(point: tuple[float, ...]) -> list[float]:
    """Return a point to a tenth of a mm, without a negative zero."""
    return [round(x, 1) + 0.0 for x in point]
