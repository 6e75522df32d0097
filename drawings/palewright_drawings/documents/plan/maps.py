"""The page of each kind of panel: its frame, a map of its screws, what is drilled, which jig."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.assembly.assembly_steps import assembly_steps, panel_kinds
from palewright.design import Design
from palewright_drawings.documents.plan.drilling import drilled
from palewright_drawings.documents.plan.likewise import Likewise, Panels, told_likewise
from palewright_drawings.documents.plan.pictures import (
    fitted,
    fitted_at,
    picture_of,
    scale_text,
)
from palewright_drawings.documents.plan.steps import (
    marks_counted,
    measured,
    panels_named,
    panels_text,
)
from palewright_drawings.figures.exploded_panels import exploded_panel
from palewright_drawings.figures.panel_maps import mapped_screws, screw_map
from palewright_drawings.figures.panels import panel_figures
from palewright_drawings.output.json_data import Json


@dataclass(frozen=True, slots=True)
class Room:
    """Shares of a page's width and height that the pictures of a panel take at most (by eye).

    ``map_highs``: those that are tried, the largest that finds room is taken; ``half``: two panels
    go on a page.
    """

    small_wide: float
    small_high: float
    map_wide: float
    map_highs: tuple[float, ...]
    half: bool = False


WHOLE = Room(0.48, 0.25, 1.0, (0.54, 0.48, 0.42, 0.36, 0.3))
HALF = Room(0.4, 0.16, 0.55, (0.36,), half=True)
"""A panel on a page of its own, and two on one, each map beside its words."""

_MANY = 3
"""Of so many kinds of panel two go on a page of a plan that is sold, which is to stay short."""


def maps(
    design: Design, width: float, height: float, *, with_jigs: bool, to_sell: bool = False
) -> list[Json]:
    """Return the map of each kind of panel.

    Args:
        design: the box.
        width: mm of paper between the margins.
        height: the same.
        with_jigs: whether the jig that serves a panel is named.
        to_sell: whether many kinds of panel go two on a page.
    """
    likewise = told_likewise(design)
    kinds = [kind for kind in panel_kinds(design.box) if kind not in likewise]
    if any(board.panel == "trellis" for board in design.box.boards.values()):
        kinds.append(("trellis",))
    room = HALF if to_sell and len(kinds) >= _MANY else WHOLE
    pages = [_map(design, panels, width, height, room) for panels in kinds]
    for page, panels in zip(pages, kinds, strict=True):
        page["also"] = [
            _also(design, kind, like) for kind, like in likewise.items() if like.first == panels
        ]
    return [page if with_jigs else {**page, "jig": ""} for page in pages]


def _also(design: Design, kind: Panels, like: Likewise) -> str:
    """Return what panels lack that are otherwise as those of a map."""
    lacks = [mark for mark, _, _ in marks_counted(design, like.without)]
    told = panels_named(kind)
    them = "it" if len(lacks) == 1 else "them"
    return (
        f"{told[0].upper()}{told[1:]} likewise, without {', '.join(lacks)} and the screws into "
        f"{them}."
    )


def _map(design: Design, panels: tuple[str, ...], width: float, height: float, room: Room) -> Json:
    """Return the map of one kind of panel."""
    frame, whole = panel_figures(design, panels[0])
    wide, high = width * room.small_wide, height * room.small_high
    small = fitted_at(frame.figure.bounds, frame.at, wide, high)
    apart = fitted(exploded_panel(design, panels[0]), wide, high)
    screws = mapped_screws(design, panels[0])
    system = design.parameters.product.units
    large = [
        fitted_at(
            whole.figure.bounds,
            lambda scale: screw_map(whole.at(scale), screws, scale, system),
            width * room.map_wide,
            height * high,
        )
        for high in room.map_highs
    ]
    unit = "inches" if system == "inch" else "millimetres"
    tape = f"{unit} from the left edge and up from the foot"
    return {
        "title": panels_text(panels),
        "half": room.half,
        "apart": picture_of(apart).as_json(),
        "frame": picture_of(small).as_json(),
        "frame-scale": scale_text(small.scale),
        "maps": [
            {"picture": picture_of(one).as_json(), "scale": f"{scale_text(one.scale)}, {tape}"}
            for one in large
        ],
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
