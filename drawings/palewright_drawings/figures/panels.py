"""A panel on the bench, seen from the side its screws are driven from: the frame, then the whole.

Origin and directions: right is to the right of who drives the screws, up is up in the box.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable

from palewright.construction.boards import Board, Vector, cross
from palewright.design import Design
from palewright.geometry.polygons import centroid
from palewright_drawings.paper.figure import Figure, Label
from palewright_drawings.projection.convex_bodies import board_body
from palewright_drawings.projection.projections import Projection
from palewright_drawings.projection.scene_drawing import Manner, drawn, shot_of

_UP: Vector = (0.0, 0.0, 1.0)
"""A panel stands as in the box, its top at the top of the paper."""

_LETTERS = 2.0
"""Height of capitals in the ringed marks, mm of paper: judged by eye."""

_CLEAR, _ASIDE, _MOST = 22.0, 8.0, 8
"""A mark keeps so far (mm) from screws, moved along its board in such steps, so many at most."""

_ON_TOP = {"stave", "filler", "cleat", "post"}
"""Roles that are laid on the frame of a wall."""


def panel_figures(design: Design, panel: str) -> tuple[Figure, Figure]:
    """Return the frame alone and the whole panel, parts marked, seen by who screws it."""
    boards = [board for board in design.box.boards.values() if board.panel == panel]
    projection = panel_view(design, panel)
    on_top = {"bar"} if panel == "trellis" else _ON_TOP
    upper = [board for board in boards if board.role in on_top]
    frame = [board for board in boards if board.role not in on_top]
    what = "trellis" if panel == "trellis" else f"{panel} panel"
    return (
        _figure(design, frame, frame, projection, f"{panel}-frame", f"Frame of the {what}"),
        _figure(design, boards, upper, projection, f"{panel}-whole", f"The whole {what}"),
    )


def panel_view(design: Design, panel: str) -> Projection:
    """Return the view of a panel by who drives most of its screws."""
    axis = _driven_along(design, panel)
    toward: Vector = (-axis[0], -axis[1], -axis[2])
    return Projection(cross(_UP, toward), _UP, toward)


def _driven_along(design: Design, panel: str) -> Vector:
    """Return the way in which most screws of a panel are driven."""
    boards = design.box.boards
    axes = Counter(
        screw.axis
        for screw in design.box.screws
        if {boards[name].panel for name in screw.stack} == {panel}
    )
    return max(axes, key=lambda axis: axes[axis])


def _figure(
    design: Design,
    boards: Iterable[Board],
    marked: Iterable[Board],
    projection: Projection,
    name: str,
    alt: str,
) -> Figure:
    """Return a view of some boards along the screws, some of them with their marks."""
    new = {board.name for board in marked}
    shot = shot_of((board_body(board) for board in boards), projection)
    lines = drawn(shot, lambda one: _manner(one in new), lit=False)
    return Figure(
        name=name,
        title=alt,
        alt=f"{alt}, seen from the inside" if projection.toward[2] == 0 else alt,
        strokes=lines.strokes,
        rounds=lines.rounds,
        fills=lines.fills,
        labels=tuple(_mark(design, board, projection) for board in marked),
    )


def _manner(new: bool) -> Manner:
    """Return how a board is drawn: what is laid on last in its own tone, the rest behind it."""
    return Manner(tone="wood", deep=0.0) if new else Manner(tone="wood", hidden=True, deep=0.12)


def _mark(design: Design, board: Board, projection: Projection) -> Label:
    """Return the ringed mark of a board, on its middle or beside it, where it hides no screw."""
    mark = next(part.mark for part in design.parts if board.name in part.boards)
    x, y = centroid(board.outline)
    holes = [hole.start[:2] for hole in board.holes]
    places = sorted((x + i * _ASIDE for i in range(-_MOST, _MOST + 1)), key=lambda at: abs(at - x))
    x = max(
        places, key=lambda at: min((min(math.dist((at, y), h), _CLEAR) for h in holes), default=0)
    )
    return Label(mark, projection.flat(board.placement.out(x, y)), _LETTERS, ringed=True)
