"""``report.json``: everything about one design that a person or another tool may want to read.

Lengths are mm (``…_mm``) and, where a person reads them, text as the shop writes it; masses grams
or kilograms as the key says; coordinates are the box's: x right, y back, z up, front at -y.
"""

from __future__ import annotations

import json
from collections import Counter
from typing import NotRequired

from typing_extensions import TypedDict

from palewright import __version__
from palewright.assembly.placed_screws import PlacedScrew, numbered_steps, placed_screws
from palewright.catalogue.screws import DENSE, ScrewKind
from palewright.construction.boards import Board, Vector
from palewright.construction.derived_sizes import Sizes
from palewright.construction.joints import Screw
from palewright.construction.liners import liner_of
from palewright.design import Design
from palewright.loads.weights import wood_mass
from palewright.parameters.tables import Parameters
from palewright.reading.lengths import millimetres, shop_inches
from palewright.solids.drilled_boards import drilled
from palewright_drawings.json_reports.boards_to_buy import BoardsToBuyJson, boards_to_buy
from palewright_drawings.json_reports.loads import LoadsJson, loads_as_json
from palewright_drawings.json_reports.parameters import (
    LengthJson,
    ParametersJson,
    length_as_json,
    parameters_as_json,
)
from palewright_drawings.json_reports.prices import OneBoxPriceJson
from palewright_drawings.json_reports.verdicts import VerdictJson, verdict_as_json
from palewright_drawings.texts.cautions import cautions_of


class SizesJson(TypedDict):
    """Sizes that follow from the parameters."""

    width: LengthJson
    depth: LengthJson
    height: LengthJson
    panel_top: LengthJson
    foot: LengthJson
    lip: LengthJson
    setback: LengthJson
    side_panel_width: LengthJson
    stile: LengthJson
    side_stile: LengthJson
    rail: LengthJson
    side_rail: LengthJson
    clear_width: LengthJson
    clear_depth: LengthJson


class WoodJson(TypedDict):
    """Wood and screws without soil, liner or glue."""

    wood_volume_l: float
    wood_mass_kg: float
    screws_mass_kg: float
    empty_mass_kg: float
    centre_of_mass_mm: list[float]


class LinerJson(TypedDict):
    """The liner, inside nominal boards; ``sheet`` is one piece whose corners are folded in."""

    has_bottom: bool
    inside_width: LengthJson
    inside_depth: LengthJson
    wall_height: LengthJson
    sheet_length: LengthJson
    sheet_width: LengthJson
    area_m2: float


class PlacementJson(TypedDict):
    """Where a board's own corner stands, and which way its grain and its width run."""

    origin_mm: list[float]
    grain: list[float]
    across: list[float]


class BoardJson(TypedDict):
    """One board; ``part`` is its letter in plan and lists; volume and mass without its holes."""

    name: str
    role: str
    panel: str
    part: str
    stock: str
    species: str
    length: LengthJson
    width: LengthJson
    thickness: LengthJson
    left_end_deg: list[float]
    right_end_deg: list[float]
    holes: int
    volume_cm3: float
    mass_g: float
    placement: PlacementJson


class DrillsJson(TypedDict):
    """Drills for one kind of screw."""

    pilot: LengthJson
    clearance: LengthJson
    countersink: LengthJson


class CountedScrewsJson(DrillsJson):
    """Screws of one kind and use."""

    use: str
    screw: str
    count: int


class ScrewPlaceJson(TypedDict):
    """One screw: where its flush head sits, which way it points, through which boards, when.

    ``bite_mm`` is its thread in the last board, by lumber case.
    """

    use: str
    screw: str
    head_mm: list[float]
    axis: list[float]
    boards: list[str]
    bite_mm: dict[str, float]
    step: int


class CautionJson(TypedDict):
    """A caution of the plan, and why it is there."""

    topic: str
    text: str
    because: str


class StepJson(TypedDict):
    """One step of the work."""

    number: int
    text: str
    panels: list[str]
    boards: list[str]


class ReportJson(WoodJson):
    """What ``report.json`` holds of one box.

    Lengths are mm (``…_mm``) or ``{"mm", "text"}``; coordinates are the box's: x right, y back, z
    up, front at -y. ``price`` stands in the maker's edition alone: nothing else in it comes from
    the shop's figures, and the edition to sell has none.
    """

    tool: str
    version: str
    variant: str
    title: str
    parameters: ParametersJson
    verdict: VerdictJson
    sizes: SizesJson
    loads: LoadsJson
    liner: LinerJson | None
    boards: list[BoardJson]
    cut: BoardsToBuyJson
    price: NotRequired[OneBoxPriceJson]
    screws: list[CountedScrewsJson]
    screw_places: list[ScrewPlaceJson]
    cautions: list[CautionJson]
    steps: list[StepJson]


def report_file(design: Design, price: OneBoxPriceJson | None = None) -> bytes:
    """Return the report as JSON, UTF-8, ending in a newline; arguments as for ``report``."""
    text = json.dumps(report(design, price), indent=2, ensure_ascii=False, allow_nan=False)
    return f"{text}\n".encode()


def report(design: Design, price: OneBoxPriceJson | None = None) -> ReportJson:
    """Return the report as JSON-ready data.

    Args:
        design: the box.
        price: what it costs and sells for; none in what is sold.

    Raises:
        InputError: if the parameters cannot be built at all.
    """
    box, parameters = design.box, design.parameters
    system, wood = parameters.product.units, wood_as_json(design)
    found: ReportJson = {
        "tool": "palewright",
        "version": __version__,
        "variant": design.name,
        "title": parameters.product.title,
        "parameters": parameters_as_json(parameters),
        "verdict": verdict_as_json(design),
        "sizes": sizes_as_json(box.sizes, system),
        "wood_volume_l": wood["wood_volume_l"],
        "wood_mass_kg": wood["wood_mass_kg"],
        "screws_mass_kg": wood["screws_mass_kg"],
        "empty_mass_kg": wood["empty_mass_kg"],
        "centre_of_mass_mm": wood["centre_of_mass_mm"],
        "loads": loads_as_json(design),
        "liner": liner_sheet(parameters, box.sizes),
        "boards": _boards(design),
        "cut": boards_to_buy(design),
        "screws": screws_as_json(box.screws, system),
        "screw_places": [_placed(one) for one in placed_screws(box)],
        "cautions": [
            {"topic": c.topic, "text": c.text, "because": c.because} for c in cautions_of(design)
        ],
        "steps": [
            {
                "number": one.number,
                "text": one.step.text,
                "panels": list(one.step.panels),
                "boards": list(one.boards),
            }
            for one in numbered_steps(box)
        ],
    }
    if price is not None:
        found["price"] = price
    return found


def sizes_as_json(sizes: Sizes, system: str) -> SizesJson:
    """Return the sizes that follow from the parameters, each in mm and as text."""

    def told(length: float) -> LengthJson:
        return length_as_json(length, system)

    return {
        "width": told(sizes.width),
        "depth": told(sizes.depth),
        "height": told(sizes.height),
        "panel_top": told(sizes.top),
        "foot": told(sizes.foot),
        "lip": told(sizes.lip),
        "setback": told(sizes.setback),
        "side_panel_width": told(sizes.side_length),
        "stile": told(sizes.stile),
        "side_stile": told(sizes.side_stile),
        "rail": told(sizes.rail),
        "side_rail": told(sizes.side_rail),
        "clear_width": told(sizes.clear_width),
        "clear_depth": told(sizes.clear_depth),
    }


def wood_as_json(design: Design) -> WoodJson:
    """Return wood volume, mass of wood and screws, empty mass and its centre; no liner, no glue."""
    weights, boards = design.loads.weights, design.box.boards.values()
    return {
        "wood_volume_l": round(sum(drilled(board).volume for board in boards) / 1e6, 4),
        "wood_mass_kg": round(weights.wood, 4),
        "screws_mass_kg": round(weights.steel, 4),
        "empty_mass_kg": round(weights.empty.mass, 4),
        "centre_of_mass_mm": _rounded(weights.empty.centre),
    }


def _boards(design: Design) -> list[BoardJson]:
    """Return every board: what it is, how large and heavy, where it stands."""
    marks = {name: part.mark for part in design.parts for name in part.boards}
    return [
        board_as_json(board, marks[name], design.parameters)
        for name, board in design.box.boards.items()
    ]


def board_as_json(board: Board, mark: str, parameters: Parameters) -> BoardJson:
    """Return one board as JSON-ready data; volume and mass with its holes taken out."""
    system, amount, place = parameters.product.units, drilled(board), board.placement
    return {
        "name": board.name,
        "role": board.role,
        "panel": board.panel,
        "part": mark,
        "stock": parameters.materials.name_of(board.stock),
        "species": board.stock.species,
        "length": length_as_json(board.length, system),
        "width": length_as_json(board.width, system),
        "thickness": length_as_json(board.thickness, system),
        "left_end_deg": [round(angle, 3) for angle in board.left_angles],
        "right_end_deg": [round(angle, 3) for angle in board.right_angles],
        "holes": len(board.holes),
        "volume_cm3": round(amount.volume / 1e3, 3),
        "mass_g": round(1e3 * wood_mass(amount, parameters.materials.species[board.stock]), 2),
        "placement": {
            "origin_mm": _rounded(place.origin),
            "grain": _rounded(place.grain, 9),
            "across": _rounded(place.across, 9),
        },
    }


def screws_as_json(screws: tuple[Screw, ...], system: str) -> list[CountedScrewsJson]:
    """Return the screws counted by kind and use, with the drills that each wants."""
    counted = Counter((screw.use, screw.kind, screw.kind.dense) for screw in screws)
    order = sorted(counted, key=lambda key: (key[0], key[1].gauge.number, key[1].length, key[2]))
    return [
        {
            "use": use,
            "screw": kind.label,
            "count": counted[use, kind, dense],
            **_drills(kind.into(DENSE if dense else None), system),
        }
        for use, kind, dense in order
    ]


def _placed(one: PlacedScrew) -> ScrewPlaceJson:
    """Return one screw: where its flush head sits, where it points, how far it bites, when."""
    screw = one.screw
    return {
        "use": screw.use,
        "screw": screw.kind.label,
        "head_mm": _rounded(screw.head),
        "axis": _rounded(screw.axis, 9),
        "boards": list(screw.stack),
        "bite_mm": {case: round(bite, 3) for case, bite in one.bites.items()},
        "step": one.step,
    }


def _drills(kind: ScrewKind, system: str) -> DrillsJson:
    """Return the drills of a screw: pilot, clearance, and the countersink's diameter."""

    def told(size: float) -> LengthJson:
        text = shop_inches(size, 64) if system == "inch" else millimetres(size)
        return {"mm": round(size, 3), "text": text}

    return {
        "pilot": told(kind.pilot),
        "clearance": told(kind.clearance),
        "countersink": told(kind.gauge.head),
    }


def liner_sheet(parameters: Parameters, sizes: Sizes) -> LinerJson | None:
    """Return the liner: a bottom and four walls, all in mm and as text; None where there is none.

    Inside sizes are those of nominal boards. ``sheet`` is one piece whose corners are folded in,
    the bottom with a wall on each side; without a floor it is a band round the walls, its ends
    meeting. Walls reach from the floor's top to ``liner.drop`` below the panels' top, or to
    the staves' upper ends where those lie lower.
    """
    liner = liner_of(parameters, sizes)
    if liner is None:
        return None
    system = parameters.product.units
    return {
        "has_bottom": liner.has_bottom,
        "inside_width": length_as_json(liner.width, system),
        "inside_depth": length_as_json(liner.depth, system),
        "wall_height": length_as_json(liner.wall_height, system),
        "sheet_length": length_as_json(max(liner.sheet), system),
        "sheet_width": length_as_json(min(liner.sheet), system),
        "area_m2": round(liner.area / 1e6, 4),
    }


def _rounded(vector: Vector, digits: int = 4) -> list[float]:
    """Return a vector to some digits, without negative zeros."""
    return [round(x, digits) + 0.0 for x in vector]
