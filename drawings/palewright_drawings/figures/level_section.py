"""The box cut level, seen from above: how frame, staves and corners lie to each other."""

from __future__ import annotations

from palewright.construction.boards import Board
from palewright.design import Design
from palewright.geometry.polygons import Polygon
from palewright_drawings.figures.cut_areas import cut_strokes
from palewright_drawings.figures.views import depth_shade
from palewright_drawings.paper.figure import Figure, Fill
from palewright_drawings.projection.convex_bodies import Body, behind_plane, board_body
from palewright_drawings.projection.projections import VIEWS
from palewright_drawings.projection.scene_drawing import Manner, drawn, shot_of

_UP = (0.0, 0.0, 1.0)
"""What lies above the cut is taken away: seen from above."""

_SHARES = (0.5, 0.75, 0.85, 0.6, 0.93, 0.3, 0.15)
"""Heights in the opening that are tried, from the one liked best."""

_WALL = ("stile", "stave", "filler", "post")
_CLEAR = 1.0
"""The cut keeps so far (mm) from faces that lie level: it would show only one of two boards."""


def cut_height(design: Design) -> float:
    """Return the height (mm) of the cut: in the front's opening, through as little as can be.

    Above the floor, so that it is seen below the cut.
    """
    boards = design.box.boards
    spans = {name: _heights(board) for name, board in boards.items()}
    low, high = spans["front.rail-bottom"][1], spans["front.rail-top"][0]
    slats = [spans[name][1] for name, board in boards.items() if board.role == "slat"]
    low = max([low, *(top for top in slats if top < high - 2 * _CLEAR)])
    heights = [low + share * (high - low) for share in _SHARES]

    def cut_through(height: float) -> int:
        """Return how many boards besides the walls' own are cut, far more on a face."""
        found = 0
        for name, (bottom, top) in spans.items():
            if min(abs(height - bottom), abs(height - top)) < _CLEAR:
                found += 100
            elif bottom < height < top and boards[name].role not in _WALL:
                found += 1
        return found

    return min(heights, key=cut_through)


def _heights(board: Board) -> tuple[float, float]:
    """Return how far down and up a board reaches, mm."""
    heights = [point[2] for point in board.corners]
    return min(heights), max(heights)


def level_section(design: Design) -> Figure:
    """Return the box cut level through the opening, in nominal lumber, seen from above.

    What is cut is outlined thick, hatched and toned, what lies below is drawn thin. Origin and
    directions are those of the top view.
    """
    boards, height = design.box.boards, cut_height(design)
    rest: list[Body] = []
    rings: dict[str, Polygon] = {}
    for name, board in boards.items():
        body = board_body(board)
        below, ring = behind_plane(Body(body.name, body.points, body.faces), _UP, height)
        if below is not None:
            rest.append(below)
        if ring:
            rings[name] = tuple((round(x, 4) + 0.0, round(y, 4) + 0.0) for x, y, _ in ring)

    def manner(name: str) -> Manner:
        return Manner(layer="thin", deep=depth_shade(boards[name]))

    lines = drawn(shot_of(rest, VIEWS["top"]), manner, lit=False)
    what = design.parameters.product.title
    return Figure(
        name="level",
        title="Level section",
        alt=f"{what} cut level through the opening, seen from above: {len(rings)} boards are cut",
        strokes=cut_strokes(lines.strokes, rings),
        fills=(*lines.fills, *(Fill("grain", ring, board=name) for name, ring in rings.items())),
    )
