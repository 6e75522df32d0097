"""A panel pulled apart as it lies on the bench: the frame, and above it layer by layer the rest."""

from __future__ import annotations

import numpy as np

from palewright.construction.boards import Vector
from palewright.design import Design
from palewright_drawings.figures.assembly_steps import home_paths
from palewright_drawings.figures.panels import panel_view
from palewright_drawings.figures.part_labels import part_labels
from palewright_drawings.figures.views import depth_shade
from palewright_drawings.paper.figure import Figure
from palewright_drawings.projection.convex_bodies import Body, board_body
from palewright_drawings.projection.projections import from_above, on_bench
from palewright_drawings.projection.scene_drawing import Manner, drawn, shot_of

_LAYERS = {"stave": 1, "filler": 1, "bar": 0, "cleat": 2, "post": 2}
"""How high a role lies on the bench; the frame, and bars in it, lie lowest."""

_TRELLIS = {"bar": 1}
"""The same of a trellis: its uprights lie lowest."""

_AIR = 0.42
"""From layer to layer, as a share of the panel's lesser side: judged by eye, as the turn below."""

_TURN, _RISE = 24.0, 38.0


def exploded_panel(design: Design, panel: str) -> Figure:
    """Return a panel with its layers lifted off each other, and a mark for each part.

    Args:
        design: the box.
        panel: ``front``, ``back``, ``left``, ``right`` or ``trellis``.
    """
    boards = {b.name: b for b in design.box.boards.values() if b.panel == panel}
    up = panel_view(design, panel).toward
    home = {name: _plain(board_body(board)) for name, board in boards.items()}
    points = np.concatenate([body.points for body in home.values()])
    air = _AIR * float(sorted(np.ptp(points, axis=0))[1])
    layers = _TRELLIS if panel == "trellis" else _LAYERS
    lifted: dict[int, list[str]] = {}
    for name, board in boards.items():
        lifted.setdefault(layers.get(board.role, 0), []).append(name)
    shown: list[Body] = []
    moves: list[tuple[Vector, list[Body]]] = []
    for height, level in enumerate(sorted(lifted)):
        away: Vector = (up[0] * air * height, up[1] * air * height, up[2] * air * height)
        shown += [home[name].moved(away) for name in lifted[level]]
        if height:
            back: Vector = (-away[0], -away[1], -away[2])
            moves.append((back, [home[name] for name in lifted[level]]))
    flat = abs(up[2]) > 0.5
    shot = shot_of(shown, from_above(_TURN, _RISE) if flat else on_bench(up, _TURN, _RISE))
    lines = drawn(shot, lambda name: Manner(deep=depth_shade(boards[name])))
    strokes = [*lines.strokes]
    for back, bodies in moves:
        strokes += home_paths(shot, [back], [bodies])
    wanted = {part.mark: [name for name in part.boards if name in boards] for part in design.parts}
    what = "trellis" if panel == "trellis" else f"{panel} panel"
    return Figure(
        name=f"{panel}-apart",
        title="Pulled apart",
        alt=f"The {what} pulled apart in {len(lifted)} layers: {len(boards)} boards",
        strokes=tuple(strokes),
        fills=lines.fills,
        labels=tuple(
            part_labels(shot, strokes, {mark: names for mark, names in wanted.items() if names})
        ),
    )


def _plain(body: Body) -> Body:
    """Return a body without the rims of its holes."""
    return Body(body.name, body.points, body.faces)
