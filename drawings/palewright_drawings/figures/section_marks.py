"""The vertical section with what it explains: names and marks of parts, and the clear sizes.

Names stand at the right with a leader to the wood that is cut, heights at the left, the way across
below. Sizes are those of nominal boards, measured on the boards that the section shows.
"""

from __future__ import annotations

from collections.abc import Iterator

from palewright.construction.boards import Board
from palewright.construction.liners import filling_top, soil_bottom
from palewright.design import Design
from palewright.geometry.polygons import Point, Polygon, centroid
from palewright.reading.lengths import tape_reading
from palewright_drawings.figures.panel_maps import apart
from palewright_drawings.figures.vertical_section import SectionCut, section_cut, section_figure
from palewright_drawings.paper.figure import Dimension, Figure, Label, Side

_NAMED = (
    "upright", "bar", "packer", "cap", "rail", "brace", "stave", "filler", "post", "cleat", "slat",
)  # fmt: skip
"""Roles that are named where they are cut, from the top of a box down."""

_OFF, _ROW = 0.1, 0.12
"""From the drawing to the names, and from name to name, as shares of its height (by eye)."""


def marked_section(design: Design, cut: SectionCut | None = None) -> Figure:
    """Return the section with names, marks and sizes; ``cut`` as for ``section_figure``."""
    cut = cut or section_cut(design)
    figure = section_figure(design, cut)
    rings = {fill.board: fill.ring for fill in figure.fills if fill.tone == "grain"}
    return figure.with_marks(
        dimensions=_sizes(design, cut, rings), labels=_names(design, figure, rings)
    )


def _names(design: Design, figure: Figure, rings: dict[str, Polygon]) -> Iterator[Label]:
    """Yield a name and mark for one cut board of each role, beside the drawing."""
    boards = design.box.boards
    marks = {name: part.mark for part in design.parts for name in part.boards}
    tips: dict[str, Point] = {}
    for role in _NAMED:
        # the one farthest to the right has the shortest leader
        cut = [name for name in rings if boards[name].role == role]
        if cut:
            name = max(cut, key=lambda one: centroid(rings[one]))
            tips[f"{role} {marks[name]}"] = centroid(rings[name])
    _, low, right, high = figure.bounds
    ordered = sorted(tips, key=lambda told: tips[told][1])
    places = apart([tips[told][1] for told in ordered], _ROW * (high - low))
    for told, y in zip(ordered, places, strict=True):
        at = (right + _OFF * (high - low), y)
        yield Label(told, at, anchor="left", tip=tips[told])


def _sizes(design: Design, cut: SectionCut, rings: dict[str, Polygon]) -> Iterator[Dimension]:
    """Yield heights and the way across."""
    boards, parameters, sizes = design.box.boards, design.parameters, design.box.sizes
    system = parameters.product.units
    outer = ("front", "back") if cut == "depth" else ("left", "right")
    walls = [_across(rings[name]) for name in rings if _is_wall(boards[name], outer)]
    first = (min(a for a, _ in walls), max(b for _, b in walls if b < 0))
    last = (min(a for a, _ in walls if a > 0), max(b for _, b in walls))
    left, right = first[0], last[1]

    def size(start: Point, end: Point, side: Side, row: int, what: str) -> Dimension:
        axis = 0 if side == "below" else 1
        told = tape_reading(abs(end[axis] - start[axis]), system)
        return Dimension(start, end, side, row, told, what)

    yield size((first[0], 0.0), (first[1], 0.0), "below", 0, "wall, frame and staves")
    yield size((first[1], 0.0), (last[0], 0.0), "below", 0, "clear inside")
    yield size((left, 0.0), (right, 0.0), "below", 1, "outside, frame to frame")
    if parameters.floor.kind != "none":
        floor = soil_bottom(parameters, sizes)
        yield size((left, 0.0), (left, floor), "left", 0, "floor above the ground")
        if parameters.box.kind == "planter":
            top = filling_top(parameters, sizes)
            yield size((left, floor), (left, top), "left", 0, "depth of soil")
    yield size((left, 0.0), (left, sizes.top), "left", 1, "panels, ground to top")


def _is_wall(board: Board, panels: tuple[str, str]) -> bool:
    """Whether a board is of a wall that the section cuts across."""
    return board.panel in panels and board.role in ("rail", "stave", "filler", "brace", "bar")


def _across(ring: Polygon) -> tuple[float, float]:
    """Return how far left and right a cut area reaches."""
    xs = [x for x, _ in ring]
    return min(xs), max(xs)
