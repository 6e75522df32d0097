"""A vertical cut through the box: what is cut thick and hatched, what lies behind in thin lines.

After the practice of ISO 128-3: cut areas are hatched at 45 degrees, neighbours the other way or
closer, so that each board is told from the next.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from palewright.construction.boards import Board, Vector
from palewright.construction.floors import slats_run_back
from palewright.design import Design
from palewright.geometry.polygons import Polygon
from palewright.reading.lengths import noiseless
from palewright_drawings.figures.cut_areas import cut_strokes
from palewright_drawings.figures.views import depth_shade
from palewright_drawings.paper.figure import Figure, Fill
from palewright_drawings.projection.convex_bodies import Body, behind_plane, board_body
from palewright_drawings.projection.projections import VIEWS, Projection
from palewright_drawings.projection.scene_drawing import Manner, drawn, shot_of

SectionCut = Literal["depth", "width"]

_CLEAR = 2.0
"""The cut keeps this far (mm) from faces along it: a cut along a joint shows neither board."""

_STEP = 4.0
"""How far (mm) the cut is moved at a time to find a clear place."""


def section_figure(design: Design, cut: SectionCut | None = None) -> Figure:
    """Return the box cut through its middle.

    Args:
        design: the box.
        cut: ``depth`` cuts from front to back and looks to the left; ``width`` cuts from left to
            right and looks to the back. None: along the slats, so that what they bear on is cut.
    """
    cut = cut or section_cut(design)
    boards = design.box.boards
    view, normal = _looks(cut)
    reach = cut_place(boards, normal)
    rest: list[Body] = []
    rings: dict[str, Polygon] = {}
    for board in boards.values():
        body = board_body(board)
        left, ring = behind_plane(Body(body.name, body.points, body.faces), normal, reach)
        if left is not None:
            rest.append(left)
        if ring:
            rings[board.name] = tuple(view.flat(point) for point in ring)

    def manner(name: str) -> Manner:
        return Manner(layer="thin", deep=depth_shade(boards[name]))

    lines = drawn(shot_of(rest, view), manner, lit=False)
    title, way = _TITLES[cut]
    what = design.parameters.product.title
    return Figure(
        name=f"section-{cut}",
        title=title,
        alt=f"{what} cut {way} through its middle: {len(rings)} boards are cut",
        strokes=cut_strokes(lines.strokes, rings),
        fills=(*lines.fills, *(Fill("grain", ring, board=name) for name, ring in rings.items())),
    )


def section_cut(design: Design) -> SectionCut:
    """Return which way a box is cut so that its slats are cut along: what they bear on is seen."""
    back = slats_run_back(design.box.sizes, design.parameters.floor.play)
    return "depth" if back else "width"


_TITLES = {
    "depth": ("Section, front at the left", "from front to back"),
    "width": ("Section, seen from the front", "from left to right"),
}


def _looks(cut: SectionCut) -> tuple[Projection, Vector]:
    """Return the view of a cut, and the direction from what is kept to what is taken away."""
    view = VIEWS["right" if cut == "depth" else "front"]
    return view, view.toward


def cut_place(boards: Mapping[str, Board], normal: Vector) -> float:
    """Return where (mm along the normal) the cut is made: at the middle, or near it.

    Clear of faces that lie along the cut, and through a slat where there are some.
    """
    along = {
        name: [sum(c * n for c, n in zip(corner, normal, strict=True)) for corner in b.corners]
        for name, b in boards.items()
    }
    spans = {name: (min(values), max(values)) for name, values in along.items()}
    faces = {noiseless(value, 3) for values in along.values() for value in values}
    slats = [spans[name] for name, board in boards.items() if board.role == "slat"]
    widest = max(high for _, high in spans.values())
    steps = range(int(widest / 2 / _STEP))
    for at in (sign * _STEP * step for step in steps for sign in (1, -1)):
        if any(abs(at - face) < _CLEAR for face in faces):
            continue
        if not slats or any(low < at < high for low, high in slats):
            return at
    return 0.0
