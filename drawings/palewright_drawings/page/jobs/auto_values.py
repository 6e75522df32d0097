"""The number behind each setting that is ``auto``, as the box that is shown has it."""

from __future__ import annotations

from palewright.construction.floors import widest_slat
from palewright.construction.outdoor_wood import widest_stave
from palewright.design import Design
from palewright.loads.standing import crown_of
from palewright.reading.errors import InputError
from palewright.size_search.size_grid import ranges_of
from palewright_drawings.json_reports.parameters import LengthJson, length_as_json


def auto_values(design: Design) -> dict[str, LengthJson]:
    """Return what the tool works out where a length is ``auto``: ``{"mm", "text"}`` by key.

    What has no one number of its own (a least or greatest width of the size search, which holds
    only together with the others) is left out.
    """
    parameters, sizes = design.parameters, design.box.sizes
    crown = crown_of(design.box)
    found = {
        "panel.side_stile_width": sizes.side_stile,
        "panel.side_rail_width": sizes.side_rail,
        "panel.lip": sizes.lip,
        "panel.setback": sizes.setback,
        "wall.gap": sizes.gap,
        "wall.rail_lap": sizes.rail_lap,
        "wall.stile_lap": sizes.stile - sizes.lip,
        "wall.stave_width": widest_stave(parameters),
        "floor.slat_width": widest_slat(parameters, sizes),
        "jig.guide": parameters.materials.screw["wall"].clearance,
        "site.plant_height": crown.height,
        "site.plant_width": crown.width,
    }
    try:
        for side, (least, most) in ranges_of(parameters).items():
            found |= {f"size.least_{side}": least, f"size.most_{side}": most}
    except InputError:
        pass  # a table that holds no size is said when sizes are sought
    system = parameters.product.units
    return {
        key: length_as_json(value, system) for key, value in found.items() if _auto(design, key)
    }


def _auto(design: Design, key: str) -> bool:
    """Return whether the variant leaves a setting to the tool."""
    table, _, name = key.partition(".")
    return getattr(getattr(design.parameters, table), name) is None
