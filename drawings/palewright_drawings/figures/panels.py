"""A panel on the bench, seen from the side its screws are driven from: the frame, then the whole.

Origin and directions: right is to the right of who drives the screws, up is up in the box.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from palewright.construction.boards import Board, Vector, cross
from palewright.design import Design
from palewright.geometry.arrays import Floats
from palewright.geometry.polygons import Point, bounds, centroid
from palewright_drawings.figures.kept_figures import kept
from palewright_drawings.paper.figure import Figure, Label
from palewright_drawings.paper.figure_placement import ring_radius
from palewright_drawings.projection.convex_bodies import board_body
from palewright_drawings.projection.projections import Projection
from palewright_drawings.projection.scene_drawing import Manner, drawn, shot_of

_UP: Vector = (0.0, 0.0, 1.0)
"""A panel stands as in the box, its top at the top of the paper."""

_LETTERS = 2.0
"""Height of capitals in the ringed marks, mm of paper: judged by eye."""

_HEAD, _AIR = 4.5, 0.25
"""Radius of the largest screw head (mm), and what a ring keeps off heads and rings, mm of paper."""

_PLACES = 45
"""Places tried along a board, and a fifth as many across it."""

_ON_TOP = {"stave", "filler", "cleat", "post"}
"""Roles that are laid on the frame of a wall."""


@dataclass(frozen=True)
class PanelDrawing:
    """A drawing of a panel, marks left out, and the boards that get one.

    Attributes:
        figure: lines, circles and fills.
        marked: names of boards, with their marks.
        design: the box.
        view: how it is seen.
        heads: where screws are seen, mm of the figure.
    """

    figure: Figure
    marked: Mapping[str, str]
    design: Design
    view: Projection
    heads: tuple[Point, ...]

    def at(self, scale: float) -> Figure:
        """Return the figure for a scale on paper, each mark where it hides no screw."""
        found = {}
        for name, (places, away) in self._places.items():
            keep = (ring_radius(self.marked[name], _LETTERS) + _AIR) / scale + _HEAD
            found[name] = places, away - keep  # the room beside a ring there; below 0: none
        placed: dict[str, tuple[float, Floats]] = {}
        # who has least choice first
        for name in sorted(found, key=lambda one: (int((found[one][1] >= 0).sum()), one)):
            places, room = found[name]
            ring = ring_radius(self.marked[name], _LETTERS)
            for radius, at in placed.values():
                apart = np.linalg.norm(places - at, axis=1) - (ring + radius + _AIR) / scale
                room = np.minimum(room, apart)
            free = np.flatnonzero(room >= 0)  # nearest to the board's middle first
            placed[name] = (ring, places[free[0] if len(free) else int(np.argmax(room))])
        return self.figure.with_marks(
            labels=[
                Label(mark, (float(at[0]), float(at[1])), _LETTERS, ringed=True)
                for name, mark in self.marked.items()
                for _, at in [placed[name]]
            ]
        )

    @cached_property
    def _places(self) -> dict[str, tuple[Floats, Floats]]:
        """What ``_places_on`` returns of each marked board: the same at every scale."""
        return {name: self._places_on(name) for name in self.marked}

    def _places_on(self, name: str) -> tuple[Floats, Floats]:
        """Return places (n, 2) on a board, nearest to its middle first; how far heads are, mm."""
        board = self.design.box.boards[name]
        x0, y0, x1, y1 = bounds(board.outline)
        middle = centroid(board.outline)
        inside = [
            (x0 + (i + 0.5) / _PLACES * (x1 - x0), y0 + b * (y1 - y0))
            for i in range(_PLACES)
            for b in (0.5, 0.3, 0.7, 0.15, 0.85)
        ]
        inside = [middle, *sorted(inside, key=lambda at: math.dist(at, middle))]
        places = np.array([self.view.flat(board.placement.out(*at)) for at in inside])
        if not self.heads:
            return places, np.full(len(places), np.inf)
        away = np.linalg.norm(places[:, None] - np.array(self.heads), axis=2).min(axis=1)
        return places, away


@kept
def panel_figures(design: Design, panel: str) -> tuple[PanelDrawing, PanelDrawing]:
    """Return the frame alone and the whole panel, seen by who screws it."""
    boards = [board for board in design.box.boards.values() if board.panel == panel]
    projection = panel_view(design, panel)
    on_top = {"bar"} if panel == "trellis" else _ON_TOP
    upper = [board for board in boards if board.role in on_top]
    frame = [board for board in boards if board.role not in on_top]
    what = "trellis" if panel == "trellis" else f"{panel} panel"
    return (
        _drawing(design, frame, frame, projection, f"{panel}-frame", f"Frame of the {what}"),
        _drawing(design, boards, upper, projection, f"{panel}-whole", f"The whole {what}"),
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


def _drawing(
    design: Design,
    boards: Sequence[Board],
    marked: Iterable[Board],
    projection: Projection,
    name: str,
    alt: str,
) -> PanelDrawing:
    """Return a view of some boards along the screws, some of them with their marks."""
    new = {board.name for board in marked}
    shot = shot_of((board_body(board) for board in boards), projection)
    lines = drawn(shot, lambda one: _manner(one in new), lit=False)
    figure = Figure(
        name=name,
        title=alt,
        alt=f"{alt}, seen from the inside" if projection.toward[2] == 0 else alt,
        strokes=lines.strokes,
        rounds=lines.rounds,
        fills=lines.fills,
    )
    marks = {name: part.mark for part in design.parts for name in part.boards if name in new}
    # those that a cleat or a post covers are on the map as well
    names = {board.name for board in boards}
    driven = [s.head for s in design.box.screws if names.intersection(s.stack)]
    heads = (*(one.centre for one in lines.rounds), *(projection.flat(head) for head in driven))
    return PanelDrawing(figure, marks, design, projection, tuple(heads))


def _manner(new: bool) -> Manner:
    """Return how a board is drawn: what is laid on last in its own tone, the rest behind it."""
    return Manner(tone="wood", deep=0.0) if new else Manner(tone="wood", hidden=True, deep=0.12)
