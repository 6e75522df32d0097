"""One picture a step of assembly: what stands, what comes on and along which path, screws."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from palewright.assembly.assembly_steps import AssemblyStep, assembly_steps
from palewright.construction.boards import Vector, cross, dot, plus
from palewright.construction.joints import Obstacle, Screw
from palewright.construction.panels import PANELS
from palewright.design import Design
from palewright.geometry.arrays import Floats
from palewright.geometry.polygons import Point
from palewright_drawings.figures.kept_figures import kept
from palewright_drawings.figures.part_labels import part_labels
from palewright_drawings.figures.views import depth_shade
from palewright_drawings.paper.figure import Figure, Layer, Stroke
from palewright_drawings.projection.convex_bodies import Body, board_body, obstacle_body
from palewright_drawings.projection.hidden_lines import seen_of_lines
from palewright_drawings.projection.projected_bodies import Projected
from palewright_drawings.projection.projections import (
    CORNER_RISE,
    CORNER_TURN,
    Projection,
    on_bench,
)
from palewright_drawings.projection.scene_drawing import Manner, drawn, shot_of

_AIR = 0.3
"""How far parts are pulled out beyond what they must pass, as a share of the largest size."""

_LYING_TURN, _LYING_RISE = 24.0, 38.0
"""Degrees: how panels on the bench are seen."""

_TURNS = (CORNER_TURN, 180.0 - CORNER_TURN)
"""Degrees: how a standing box is seen: from right of the front, from right of the back."""

_TRUNK_SHOWN = 0.5
"""How much of the trunk is drawn above the box, as a share of the box's height."""


@dataclass(frozen=True)
class StepPicture:
    """A step and what it looks like."""

    step: AssemblyStep
    figure: Figure


@kept
def step_pictures(design: Design) -> tuple[StepPicture, ...]:
    """Return each step of assembly with its picture, in order."""
    bodies = {name: board_body(board) for name, board in design.box.boards.items()}
    return tuple(
        StepPicture(step, _figure(design, step, number, bodies))
        for number, step in enumerate(assembly_steps(design.box), start=1)
    )


def _figure(design: Design, step: AssemblyStep, number: int, bodies: Mapping[str, Body]) -> Figure:
    """Return the picture of one step."""
    boards, added = design.box.boards, set(step.added)
    there = [_plain(bodies[name]) for name in step.standing]
    there += [_obstacle(one, design) for one in design.box.obstacles if one.name in step.obstacles]
    coming = [_plain(bodies[name]) for name in step.added]
    legs = _legs(step, there, coming)
    pulled = _sum(legs, -1.0)
    shot = shot_of([*there, *(body.moved(pulled) for body in coming)], _view(step, pulled))

    def manner(name: str) -> Manner:
        if name not in boards:
            return Manner("grain" if name == "trunk" else "steel", "thin")
        deep = depth_shade(boards[name])
        return Manner("new", deep=deep) if name in added else Manner("wood", "thin", deep=deep)

    lines = drawn(shot, manner)
    strokes = (
        *lines.strokes,
        *home_paths(shot, legs, [[bodies[name] for name in unit] for unit in units_of(step)]),
        *_pins(shot, step.screws, added, pulled),
    )
    labels = part_labels(shot, strokes, _wanted(design, step))
    text = f"{_whose(step)}{step.text}{_often(step)}"
    return Figure(
        name=f"step-{number}",
        title=text[0].upper() + text[1:],
        alt=f"step {number}: {text}; {len(step.added)} boards are added to {len(step.standing)}, "
        f"{len(step.screws)} screws are driven",
        strokes=strokes,
        rounds=lines.rounds,
        fills=lines.fills,
        labels=tuple(labels),
    )


def _whose(step: AssemblyStep) -> str:
    """Return which panels are made, such as ``front and back panel: ``."""
    if not step.panels:
        return ""
    kind = "" if step.panels == ("trellis",) else " panel"
    return f"{' and '.join(step.panels)}{kind}: "


def _often(step: AssemblyStep) -> str:
    """Return how often it is done, such as ``, 3 times``."""
    return f", {step.repeats} times" if step.repeats > 1 else ""


def _wanted(design: Design, step: AssemblyStep) -> dict[str, list[str]]:
    """Return the boards of those added that carry each mark; whole panels by their name."""
    if not step.panels and not step.standing:
        return {}  # the whole box moves
    panels = {} if step.panels else {n: n.partition(".")[0] for n in step.added if _in_panel(n)}
    found = {part.mark: [n for n in part.boards if n in step.added and n not in panels]
             for part in design.parts}  # fmt: skip
    for name, panel in panels.items():
        found.setdefault(panel, []).append(name)
    return {mark: names for mark, names in found.items() if names}


def _in_panel(name: str) -> bool:
    """Return whether a board comes on with its whole panel."""
    return name.partition(".")[0] in (*PANELS, "trellis")


def _plain(body: Body) -> Body:
    """Return a body without the rims of its holes: screws are shown as pins."""
    return Body(body.name, body.points, body.faces, body.round_faces)


def _obstacle(one: Obstacle, design: Design) -> Body:
    """Return the stand, or the trunk above it, as it is: without the air round it."""
    tree, height = design.parameters.tree, design.box.sizes.height
    if one.name == "trunk":
        above = replace(one, bottom=one.bottom + tree.stand_height)
        return obstacle_body(above, height * (1 + _TRUNK_SHOWN), tree.trunk_diameter / 2)
    return obstacle_body(one, one.top - tree.air, tree.stand_diameter / 2)


def _sum(legs: Iterable[Vector], scale: float = 1.0) -> Vector:
    """Return the scaled sum of vectors."""
    whole: Vector = (0.0, 0.0, 0.0)
    for leg in legs:
        whole = plus(whole, leg, scale)
    return whole


def _legs(step: AssemblyStep, there: list[Body], coming: list[Body]) -> list[Vector]:
    """Return the drawn path home (mm): its first leg as long as parts are pulled out.

    That is past what they must pass on their way, and some air.
    """
    if not step.path or not there:
        return []
    first = step.path[0]
    long = dot(first, first) ** 0.5
    home: Vector = (first[0] / long, first[1] / long, first[2] / long)
    still = np.concatenate([body.points for body in there])
    points = np.concatenate([body.points for body in coming])
    axis = np.array(home)
    overlap = float((points @ axis).max() - (still @ axis).min())
    air = _AIR * float(np.ptp(still, axis=0).max())
    return [plus((0.0, 0.0, 0.0), home, max(overlap, 0.0) + air), *step.path[1:]]


def units_of(step: AssemblyStep) -> list[list[str]]:
    """Return the added boards, those together that move as one."""
    if step.repeats > 1:
        share = len(step.added) // step.repeats
        return [list(step.added[i : i + share]) for i in range(0, len(step.added), share)]
    panels: dict[str, list[str]] = {}
    for name in step.added:
        panels.setdefault(name.partition(".")[0] if not step.obstacles else "", []).append(name)
    return list(panels.values())


def _view(step: AssemblyStep, pulled: Vector) -> Projection:
    """Return the view in which most screw heads, and what is added, are turned to the eye."""
    if abs(step.up[2]) < 0.5:
        return on_bench(step.up, _LYING_TURN, _LYING_RISE)
    views = [on_bench(step.up, turn, CORNER_RISE) for turn in _TURNS]

    def worth(view: Projection) -> float:
        heads = sum(dot(screw.axis, view.toward) < -0.1 for screw in step.screws)
        return 2.0 * heads + (dot(pulled, view.toward) > 1e-6)

    return max(views, key=worth)


def home_paths(shot: Projected, legs: list[Vector], units: list[list[Body]]) -> Iterator[Stroke]:
    """Yield the visible parts of the ways home, one at each side of what moves as one.

    Args:
        shot: what may hide them.
        legs: displacements (mm) of the box, from where parts are shown to their place.
        units: bodies in their places, those together that move as one.
    """
    if not legs:
        return
    starts, ends = [], []
    for unit in units:
        points = np.concatenate([body.points for body in unit])
        for corner in _sides(points, shot.projection, legs[0]):
            at = plus(corner, _sum(legs), -1.0)
            for leg in legs:
                starts.append(at)
                at = plus(at, leg)
                ends.append(at)
    yield from _seen("path", shot, starts, ends)


def _sides(points: Floats, view: Projection, leg: Vector) -> list[Vector]:
    """Return the points farthest to both sides of a way, as it is drawn; the rearmost of them."""
    along = view.flat(leg)
    aside = np.array((-along[1], along[0])) / np.hypot(*along)
    away = points @ (view.matrix[:2].T @ aside)
    back = points @ np.array(leg)
    found = []
    for sign in (-1.0, 1.0):
        reach = sign * away
        far = np.flatnonzero(reach > reach.max() - 1.0)
        x, y, z = points[far[np.argmax(back[far])]].tolist()
        found.append((x, y, z))
    return found


def _pins(
    shot: Projected, screws: Iterable[Screw], moved: set[str], pulled: Vector
) -> Iterator[Stroke]:
    """Yield screws as pins that stand in their holes, with bars as wide as their heads.

    A screw stands on its first board, wherever that is shown.
    """
    starts, ends = [], []
    for screw in screws:
        tip = plus(screw.head, pulled) if screw.stack[0] in moved else screw.head
        head = plus(tip, screw.axis, -screw.kind.length)
        aside = cross(screw.axis, shot.projection.toward)
        wide = dot(aside, aside) ** 0.5
        starts.append(tip)
        ends.append(head)
        if wide > 1e-6:
            half = screw.kind.gauge.head / 2 / wide
            starts.append(plus(head, aside, -half))
            ends.append(plus(head, aside, half))
    yield from _seen("mark", shot, starts, ends)


def _seen(
    layer: Layer, shot: Projected, starts: list[Vector], ends: list[Vector]
) -> Iterator[Stroke]:
    """Yield what is seen of lines of the box."""
    if not starts:
        return
    seen = seen_of_lines(shot, np.array(starts), np.array(ends))
    for a, b in zip(seen.starts.tolist(), seen.ends.tolist(), strict=True):
        yield Stroke(layer, (_rounded(a), _rounded(b)))


def _rounded(point: list[float]) -> Point:
    """Return a point to 0.1 µm."""
    return round(point[0], 4) + 0.0, round(point[1], 4) + 0.0
