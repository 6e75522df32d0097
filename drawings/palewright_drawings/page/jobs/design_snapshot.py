"""What the page shows of a design, as JSON-ready data: boards to draw, findings, parts, values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from palewright.construction.boards import Board
from palewright.construction.corners import CORNERS, CornerPlace
from palewright.design import Design
from palewright.fit.seats import Seat
from palewright.fit.verdict import Verdict, judge
from palewright.reading.lengths import print_length, rounded
from palewright.reading.quantities import print_mass
from palewright.sawing.cut_parts import CutPart
from palewright_drawings.cad_files.colours import board_colour, hex_of
from palewright_drawings.documents.plan.texts import holds_text
from palewright_drawings.json_reports.parameters import parameters_as_json
from palewright_drawings.page.jobs.auto_values import auto_values
from palewright_drawings.texts.check_text import size_text


def snapshot(design: Design) -> dict[str, Any]:
    """Return a design as the page draws it, judged in nominal lumber alone: quick.

    Lengths in mm, to a thousandth; ``values`` holds every parameter, ``autos`` the lengths
    behind what is ``auto``.

    Raises:
        InputError: if the parameters cannot be built at all.
    """
    box, system = design.box, design.parameters.product.units
    marks = {name: part.mark for part in design.parts for name in part.boards}
    weights = design.loads.weights
    return {
        "name": design.name,
        "title": design.parameters.product.title,
        "units": system,
        "values": parameters_as_json(design.parameters),
        "autos": auto_values(design),
        "boards": [
            _board(design, board, marks[name], system) for name, board in box.boards.items()
        ],
        "parts": [_part(part, system) for part in design.parts],
        "screws": [
            {
                "board": screw.stack[0],
                "at": [_mm(x) for x in screw.head],
                "axis": [round(x, 6) for x in screw.axis],
                "wide": _mm(screw.kind.gauge.head),
            }
            for screw in box.screws
        ],
        "obstacles": [
            {"name": one.name, "radius": one.radius, "bottom": one.bottom, "top": one.top}
            for one in box.obstacles
        ],
        "facts": {
            "size": size_text(design.parameters),
            "high": _height_in_all(design),
            "boards": len(box.boards),
            "screws": len(box.screws),
            "mass": print_mass(weights.empty.mass, system),
            "filled": print_mass(weights.moist.mass, system) if weights.filled else "",
            "holds": holds_text(design),
        },
        "seats": [
            _seat(seat, corner, box.boards, system)
            for seat, corner in zip(design.fit.seats, CORNERS, strict=True)
        ],
        "soil": {
            key: _mm(getattr(weights.soil, key)) for key in ("width", "depth", "bottom", "top")
        },
        **verdict_shown(_untried(judge(design.parameters, ("nominal",), design.fit))),
    }


def verdict_shown(verdict: Verdict) -> dict[str, Any]:
    """Return a verdict as the page shows it: ``{"passed", "lumber": [...], "findings": [...]}``."""
    return {
        "passed": verdict.passed,
        "lumber": [{**case.as_json(), "faults": case.faults} for case in verdict.cases],
        "findings": [finding.as_json() for finding in verdict.findings],
    }


def _untried(verdict: Verdict) -> Verdict:
    """Return a verdict without the settings that its checks ask for: nobody has tried them."""
    return replace(verdict, findings=tuple(replace(f, changes=()) for f in verdict.findings))


def _board(design: Design, board: Board, mark: str, system: str) -> dict[str, Any]:
    """Return one board: its prism in its own frame, and where the frame stands."""
    place = board.placement
    sizes = (board.length, board.width, board.thickness)
    return {
        "name": board.name,
        "role": board.role,
        "panel": board.panel,
        "mark": mark,
        "size": " × ".join(print_length(size, system) for size in sizes),
        "angles": _angles(board.left_angles, board.right_angles),
        "stock": design.parameters.materials.name_of(board.stock),
        "colour": hex_of(board_colour(design.parameters, board)),
        "species": board.stock.species,
        "outline": [[_mm(x), _mm(y)] for x, y in board.outline],
        "thickness": _mm(board.thickness),
        "origin": [_mm(x) for x in place.origin],
        "grain": [round(x, 9) for x in place.grain],
        "across": [round(x, 9) for x in place.across],
    }


def _seat(
    seat: Seat, corner: CornerPlace, boards: Mapping[str, Board], system: str
) -> dict[str, Any]:
    """Return one corner's clearances, and the point (mm) at which they are seen from above."""
    lip = seat.clearance if seat.lip < 0.0 else seat.lip  # a setback may clear a short lip
    outer, side = (boards[name].corners for name in seat.boards[:2])
    across = max(abs(point[0]) for point in outer) + seat.lip / 2
    along = min(abs(point[1]) for point in outer)
    return {
        "corner": seat.corner,
        "lip": _mm(lip),
        "texts": [print_length(lip, system), print_length(seat.setback, system)],
        "boards": list(seat.boards),
        "at": [
            _mm(corner.x_sign * across),
            _mm(corner.y_sign * along),
            _mm(max(point[2] for point in side)),
        ],
    }


def _part(part: CutPart, system: str) -> dict[str, Any]:
    """Return one part as a row of the list."""
    return {
        "mark": part.mark,
        "role": part.role,
        "count": part.count,
        "length": print_length(part.length, system),
        "width": print_length(part.width, system),
        "angles": _angles(part.left_angles, part.right_angles),
        "boards": list(part.boards),
    }


def _angles(left: tuple[float, ...], right: tuple[float, ...]) -> str:
    """Return the end cuts in words: degrees off square, left and right."""
    if not any((*left, *right)):
        return "square"
    return " | ".join(" + ".join(f"{rounded(angle, 1)}°" for angle in end) for end in (left, right))


def _height_in_all(design: Design) -> str:
    """Return how high the box stands with what stands out of it; empty where that is its size."""
    top = max(corner[2] for board in design.box.boards.values() for corner in board.corners)
    taller = top > design.box.sizes.height + 0.1
    return print_length(top, design.parameters.product.units) if taller else ""


def _mm(size: float) -> float:
    """Return a length to a thousandth of a millimetre, without a negative zero."""
    return round(size, 3) + 0.0
