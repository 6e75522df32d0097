"""A scene in a projection as strokes, circles and fills: what every view is drawn with."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from palewright.geometry.polygons import Polygon
from palewright_drawings.paper.figure import Fill, Layer, Round, Stroke, Tone
from palewright_drawings.projection.convex_bodies import Body, BodyArrays
from palewright_drawings.projection.hidden_lines import Arc, seen_and_hidden, seen_arcs
from palewright_drawings.projection.line_merging import drawn_once
from palewright_drawings.projection.painters_order import back_to_front
from palewright_drawings.projection.projected_bodies import Projected
from palewright_drawings.projection.projections import Projection

_LIGHT = np.array((-0.42, 0.72, 0.55))
"""Where the light comes from, in (u, v, w) of the drawing: from above, over the left shoulder."""

_TOWARD = np.array((0.0, 0.0, 1.0))
"""Toward the eye in coordinates of a view."""

_DARKEST = 0.26
"""Shade of a face that looks away from the light."""


@dataclass(frozen=True, slots=True)
class Manner:
    """How one body is drawn.

    Attributes:
        tone: of its faces; None leaves it unfilled.
        layer: of its edges where they are seen.
        hidden: whether its hidden edges are drawn too.
        deep: how much darker than others it is, 0 to 1.
    """

    tone: Tone | None = "wood"
    layer: Layer = "visible"
    hidden: bool = False
    deep: float = 0.0


@dataclass(frozen=True, slots=True)
class Drawn:
    """What a scene looks like, mm."""

    strokes: tuple[Stroke, ...]
    rounds: tuple[Round, ...]
    fills: tuple[Fill, ...]


def shot_of(bodies: Iterable[Body], projection: Projection) -> Projected:
    """Return bodies seen in a projection."""
    return Projected(BodyArrays(bodies), projection)


def drawn(shot: Projected, manner: Callable[[str], Manner], lit: bool = True) -> Drawn:
    """Return strokes, circles and fills of a shot.

    Args:
        shot: what is seen.
        manner: how the body of a name is drawn.
        lit: whether faces turned from the light are darker.
    """
    names = [body.name for body in shot.scene.bodies]
    manners = [manner(name) for name in names]
    arcs = seen_arcs(shot)
    strokes = [*_edges(shot, names, manners), *_open_rims(arcs, names, manners)]
    rounds = [
        Round(manners[arc.owner].layer, arc.centre, arc.radius, names[arc.owner])
        for arc in arcs
        if arc.radius is not None
    ]
    return Drawn(tuple(strokes), tuple(rounds), tuple(_fills(shot, names, manners, lit)))


def _edges(shot: Projected, names: list[str], manners: list[Manner]) -> Iterable[Stroke]:
    """Yield edges, each stretch once: the strongest layer wins, hidden lines come last."""
    seen, behind = seen_and_hidden(shot)
    layers: list[Layer] = sorted({one.layer for one in manners}, key=_strength)
    sets = [seen.of(np.array([one.layer == layer for one in manners])) for layer in layers]
    sets.append(behind.of(np.array([one.hidden for one in manners])))
    layers.append("hidden")
    for layer, lines in zip(layers, drawn_once(sets), strict=True):
        for line in lines:
            yield Stroke(layer, (line.start, line.end), board=names[line.owner])


def _strength(layer: Layer) -> int:
    """Return 0 for layers whose lines win over others."""
    return {"cut": 0, "visible": 1}.get(layer, 2)


def _open_rims(arcs: list[Arc], names: list[str], manners: list[Manner]) -> Iterable[Stroke]:
    """Yield what is seen of rims that are no full circles."""
    for arc in arcs:
        if arc.radius is None:
            yield Stroke(manners[arc.owner].layer, arc.points, arc.closed, names[arc.owner])


def _fills(shot: Projected, names: list[str], manners: list[Manner], lit: bool) -> Iterable[Fill]:
    """Yield the faces that look at the eye, from the back to the front.

    A body with a curved surface is filled whole first, then its flat faces.
    """
    bodies, owners = shot.scene.bodies, shot.scene.face_owner
    begun: set[int] = set()
    for face, ring in back_to_front(shot):
        owner = int(owners[face])
        one = manners[owner]
        if one.tone is None:
            continue
        rings = [] if shot.scene.round_faces[face] else [(ring, shot.normals[face])]
        if bodies[owner].round_faces and owner not in begun:
            begun.add(owner)
            rings.insert(0, (shot.outlines[owner], _TOWARD))
        for area, normal in rings:
            dim = _DARKEST * (1 - float(normal @ _LIGHT)) / 2 if lit else 0.0
            yield Fill(one.tone, _rounded(area), (), names[owner], round(dim + one.deep, 3))


def _rounded(ring: Polygon) -> Polygon:
    """Return a ring to 0.1 µm."""
    return tuple((round(x, 4) + 0.0, round(y, 4) + 0.0) for x, y in ring)
