"""The page of each kind of panel: its frame, a map of its screws, what is drilled, which jig."""

from __future__ import annotations

from palewright.assembly.assembly_steps import assembly_steps, panel_kinds
from palewright.design import Design
from palewright_drawings.documents.plan.drilling import drilled
from palewright_drawings.documents.plan.pictures import (
    DENOMINATORS,
    fitted,
    picture_of,
    scale_text,
)
from palewright_drawings.documents.plan.steps import measured, panels_text
from palewright_drawings.figures.panel_maps import mapped_screws, screw_map
from palewright_drawings.figures.panels import panel_figures
from palewright_drawings.output.json_data import Json
from palewright_drawings.paper.figure_placement import place

_FRAME_WIDTH, _FRAME_HEIGHT, _MAP_HEIGHT = 0.5, 0.24, 0.48
"""Shares of a page that the frame and the map take at most: judged by eye."""


def maps(design: Design, width: float, height: float, *, with_jigs: bool) -> list[Json]:
    """Return the page of each kind of panel.

    Args:
        design: the box.
        width: mm of paper between the margins.
        height: the same.
        with_jigs: whether the jig that serves a panel is named.
    """
    kinds = panel_kinds(design.box)
    if any(board.panel == "trellis" for board in design.box.boards.values()):
        kinds.append(("trellis",))
    pages = [_map(design, panels, width, height) for panels in kinds]
    return [page if with_jigs else {**page, "jig": ""} for page in pages]


def _map(design: Design, panels: tuple[str, ...], width: float, height: float) -> Json:
    """Return the page of one kind of panel."""
    frame, whole = panel_figures(design, panels[0])
    small = fitted(frame, width * _FRAME_WIDTH, height * _FRAME_HEIGHT)
    screws = mapped_screws(design, panels[0])
    system = design.parameters.product.units
    for denominator in DENOMINATORS:
        scale = 1 / denominator
        x0, y0, x1, y1 = whole.bounds
        if (x1 - x0) * scale > width or (y1 - y0) * scale > height * _MAP_HEIGHT:
            continue
        large = place(screw_map(whole, screws, scale, system), scale)
        if large.width <= width and large.height <= height * _MAP_HEIGHT:
            break
    unit = "inches" if system == "inch" else "millimetres"
    return {
        "title": panels_text(panels),
        "frame": picture_of(small).as_json(),
        "frame-scale": scale_text(small.scale),
        "map": picture_of(large).as_json(),
        "map-scale": f"{scale_text(large.scale)}, {unit} from the left edge and up from the foot",
        "set": [
            line
            for step in assembly_steps(design.box)
            if step.panels == panels
            for line in measured(design, step)
        ],
        "drill": [
            f"{count} screws {kind}: drill {told}. Sink the heads flush."
            for kind, count, told in drilled(design, [one.screw for one in screws])
        ],
        "jig": "; ".join(
            jig.title
            for jig in design.jigs.jigs
            if {name for pose in jig.poses for _, name in pose.served}
            & {one.screw.name for one in screws}
        ),
    }
