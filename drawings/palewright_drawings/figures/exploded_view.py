"""The box with its panels pulled apart along the ways on which they come together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from palewright.assembly.assembly_steps import AssemblyStep, assembly_steps
from palewright.construction.boards import Vector, dot, plus
from palewright.construction.panels import PANELS
from palewright.design import Design
from palewright_drawings.figures.assembly_steps import home_paths, units_of
from palewright_drawings.figures.kept_figures import kept
from palewright_drawings.figures.part_labels import part_labels
from palewright_drawings.figures.views import depth_shade
from palewright_drawings.paper.figure import Figure
from palewright_drawings.projection.convex_bodies import Body, board_body
from palewright_drawings.projection.projections import VIEWS
from palewright_drawings.projection.scene_drawing import Manner, drawn, shot_of

_AIR = 0.3
"""How far parts are apart, as a share of the box's largest size."""


@kept
def exploded_figure(design: Design) -> Figure:
    """Return the box pulled apart, with the ways home and a mark for each part.

    Each part is pulled back along its path until it is clear of all that was there before it.
    """
    boards = design.box.boards
    home = {name: _plain(board_body(board)) for name, board in boards.items()}
    shown = dict(home)
    moves: list[tuple[AssemblyStep, Vector]] = []
    there = _first(design)
    air = _AIR * float(np.ptp(np.concatenate([home[n].points for n in there]), axis=0).max())
    for step in _arrivals(design):
        away = _away(step, [shown[n] for n in there], [home[n] for n in step.added], air)
        moves.append((step, away))
        for name in step.added:
            shown[name] = home[name].moved(away)
        there += step.added
    shot = shot_of([shown[name] for name in there], VIEWS["corner"])
    lines = drawn(shot, lambda name: Manner(deep=depth_shade(boards[name])))
    paths = [
        stroke
        for step, away in moves
        for stroke in home_paths(
            shot,
            [(-away[0], -away[1], -away[2])],
            [[home[name] for name in unit] for unit in units_of(step)],
        )
    ]
    strokes = (*lines.strokes, *paths)
    wanted = {
        part.mark: sorted(part.boards, key=lambda name: name.partition(".")[0] in PANELS)
        for part in design.parts
    }
    return Figure(
        name="exploded",
        title="Pulled apart",
        alt=f"{design.parameters.product.title}: {len(boards)} boards, the panels, the floor and "
        "what lies on top pulled apart along the ways on which they come together",
        strokes=strokes,
        fills=lines.fills,
        labels=tuple(part_labels(shot, strokes, wanted)),
    )


def _first(design: Design) -> list[str]:
    """Return the boards that stand there before any come to them."""
    return [name for step in design.box.steps if not step.path for name in step.boards]


def _arrivals(design: Design) -> Iterator[AssemblyStep]:
    """Yield the steps in which boards come to the first; not those that move them again."""
    there = set(_first(design))
    for step in assembly_steps(design.box):
        if not step.panels and step.path and not there.issuperset(step.added):
            there.update(step.added)
            yield step


def _plain(body: Body) -> Body:
    """Return a body without the rims of its holes."""
    return Body(body.name, body.points, body.faces)


def _away(step: AssemblyStep, there: Sequence[Body], coming: Sequence[Body], air: float) -> Vector:
    """Return how far (mm) parts are pulled away: past all that is there, and some air."""
    first = step.path[0]
    long = dot(first, first) ** 0.5
    back: Vector = (-first[0] / long, -first[1] / long, -first[2] / long)
    axis = np.array(back)
    still = max(float((body.points @ axis).max()) for body in there)
    least = min(float((body.points @ axis).min()) for body in coming)
    return plus((0.0, 0.0, 0.0), back, max(still - least, 0.0) + air)
