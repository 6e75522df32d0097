"""Chains of dimensions chosen by the model: every size that a maker sets, none twice.

The front shows what belongs to the whole and to the front's frame, the right side what differs
there and the floor's height, the back only a pattern of its own, the top the cap, the level section
what lies behind the frame.
"""

from __future__ import annotations

from collections.abc import Callable

from palewright.design import Design
from palewright_drawings.dimensioning.measured_edges import Edge, GivenSizes, Sight, View
from palewright_drawings.dimensioning.panel_chains import panel_across, panel_slants, panel_upward
from palewright_drawings.dimensioning.wall_chains import level_sizes
from palewright_drawings.figures.kept_figures import kept
from palewright_drawings.figures.level_section import level_section
from palewright_drawings.figures.views import view_figure
from palewright_drawings.paper.figure import Figure
from palewright_drawings.projection.projections import VIEWS


@kept
def dimensioned(design: Design, name: str) -> Figure:
    """Return one view of the box with its sizes.

    Args:
        design: the box.
        name: ``front``, ``right`` (or ``side``), ``back``, ``top`` or ``level``.

    Raises:
        KeyError: if there is no such view.
    """
    name = "right" if name == "side" else name
    sizes = sizes_given(design)
    figure = level_section(design) if name == "level" else view_figure(design, name)
    return figure.with_marks(
        sizes.dimensions.get(name, ()), (), sizes.angles.get(name, ()), sizes.widths.get(name, ())
    )


def sizes_given(design: Design) -> GivenSizes:
    """Return all sizes of all views; those of one view depend on what the ones before it gave."""
    sizes = GivenSizes()
    for name, chain in CHAINS.items():
        projection = VIEWS["top" if name == "level" else name]
        chain(View(name, Sight(design, projection), sizes))
    return sizes


def _front(view: View) -> None:
    """Give the sizes of the front view: frame, heights, overhang, trellis."""
    left, right = "front.stile-left", "front.stile-right"
    capped = view.has("cap.front")
    if capped:
        view.size("cap.overhang", "below", 0, ("cap.front", "low"), (left, "low"))
    rows = panel_across(view, "front")
    view.size("box.width", "below", rows, (left, "low"), (right, "high"))
    rail = "front.rail-bottom"
    view.size("box.foot", "left", 0, (left, "low"), (rail, "low"))
    rows = panel_upward(view, "front")
    top: Edge = (left, "high")
    if capped:
        view.size("panel height", "left", rows, (left, "low"), top)
        top, rows = ("cap.front", "high"), rows + 1
    view.size("box.height", "left", rows, (left, "low"), top)
    panel_slants(view, "front")
    _lap(view)
    if view.has("trellis.upright-1"):
        _trellis(view, top)


def _lap(view: View) -> None:
    """Give how far the staves lap the rails, where that is not all of them."""
    design = view.sight.design
    if design.box.sizes.rail_lap < design.box.sizes.rail:
        stave = next(b.name for b in design.box.boards.values() if b.role in ("stave", "filler"))
        view.size("wall.rail_lap", "right", 0, (stave, "low"), ("front.rail-bottom", "high"))


def _trellis(view: View, top: Edge) -> None:
    """Give the sizes of the trellis: on the right its heights, above its uprights."""
    boards = view.sight.design.box.boards
    first, bars = "trellis.upright-1", sum(b.startswith("trellis.bar-") for b in boards)
    uprights = sum(name.startswith("trellis.upright-") for name in boards)
    low = "trellis.bar-1"
    view.size("trellis.strip_width", "above", 0, (first, "low"), (first, "high"))
    second: Edge = ("trellis.upright-2", "low")
    view.size("gap between uprights", "above", 0, (first, "high"), second, uprights - 1)
    view.size("bar past the upright", "above", 0, (low, "low"), (first, "low"))
    view.size("lowest bar above the box", "right", 0, top, (low, "low"))
    if bars > 1:
        up: Edge = ("trellis.bar-2", "low")
        view.size("gap between bars", "right", 0, (low, "high"), up, bars - 1)
    view.size("trellis.height", "right", 1, top, (first, "high"))


def _right(view: View) -> None:
    """Give the sizes of the right side: its own frame, and the depth."""
    rows = panel_across(view, "right")
    ends: tuple[Edge, Edge] = (("right.stile-left", "low"), ("right.stile-right", "high"))
    view.size("side panel width", "below", rows, *ends)
    ends = (("front.stile-right", "low"), ("back.stile-left", "high"))
    view.size("box.depth", "below", rows + 1, *ends)
    panel_upward(view, "right")
    panel_slants(view, "right")
    _floor(view)


def _floor(view: View) -> None:
    """Give how high the floor lies, and its cleats."""
    boards = view.sight.design.box.boards
    slat = next((name for name, board in boards.items() if board.role == "slat"), "")
    cleat = next((name for name, board in boards.items() if board.role == "cleat"), "")
    if cleat:
        view.size("floor.cleat_width", "right", 0, (cleat, "low"), (cleat, "high"))
        foot: Edge = ("right.rail-bottom", "low")
        view.size("floor.rise", "right", 1, foot, (slat, "low"))


def _back(view: View) -> None:
    """Give the sizes of a pattern that only the back has."""
    panel_across(view, "back", bare=True)
    panel_upward(view, "back")
    panel_slants(view, "back")


def _top(view: View) -> None:
    """Give the sizes of the cap."""
    if not view.has("cap.front"):
        return
    front, back, left, right = (f"cap.{side}" for side in ("front", "back", "left", "right"))
    view.size("cap opening width", "below", 0, (left, "high"), (right, "low"))
    view.size("cap length", "below", 1, (front, "low"), (front, "high"))
    view.size("cap.width", "left", 0, (front, "low"), (front, "high"))
    view.size("cap opening depth", "left", 0, (front, "high"), (back, "low"))
    view.size("cap depth", "left", 1, (front, "low"), (back, "high"))


CHAINS: dict[str, Callable[[View], None]] = {
    "front": _front,
    "right": _right,
    "back": _back,
    "top": _top,
    "level": level_sizes,
}
"""What is measured in each view, in the order in which sizes are given."""
