"""Which parts of the edges of convex bodies are seen, exactly: no sampling, no pixels.

An edge is hidden by a body while it is inside all half-spaces that hide (``Projected.walls``).
Each of these is linear along the edge, so each body hides one interval; the edge without all such
intervals is seen. The same holds round the rim of a hole, where a half-space hides one arc.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from palewright.construction.boards import Vector
from palewright.geometry.arrays import Floats
from palewright.geometry.polygons import Point
from palewright_drawings.projection.convex_bodies import Rim
from palewright_drawings.projection.projected_bodies import EDGE_ON, Projected

_INSIDE = 1e-4
"""An edge is hidden only where it lies deeper (mm) than this in a half-space: edges that run
along an outline or on a face are seen."""

_SHORT = 0.01
"""Shorter pieces (mm) are rounding."""

_ARC_STEP = math.radians(7.5)
"""Arcs of rims are drawn by chords of so many radians at most: within a 460th of their radius."""

_LEAST_RIM = 0.15
"""Rims in faces that turn less than this to the eye (sine) are all but a line: left out."""


@dataclass(frozen=True)
class Segments:
    """Straight lines on a drawing: ``starts`` and ``ends`` (n, 2) in mm, ``owner`` (n) a body."""

    starts: Floats
    ends: Floats
    owner: NDArray[np.intp]

    @property
    def lengths(self) -> Floats:
        """Length of each, mm."""
        found: Floats = np.linalg.norm(self.ends - self.starts, axis=1)
        return found

    def of(self, chosen: NDArray[np.bool_]) -> Segments:
        """Return the segments of the chosen bodies ((bodies), true for each)."""
        mine = chosen[self.owner]
        return Segments(self.starts[mine], self.ends[mine], self.owner[mine])


@dataclass(frozen=True, slots=True)
class Arc:
    """A piece of a rim that is seen: points, mm; ``radius`` where all of a true circle is."""

    owner: int
    centre: Point
    points: tuple[Point, ...]
    closed: bool
    radius: float | None


def seen_and_hidden(shot: Projected) -> tuple[Segments, Segments]:
    """Return the visible and the hidden pieces of all edges; together they are all edges.

    Edges that lie in the line of sight are points on the drawing and left out; so are edges
    between two parts of one curved surface, unless they are its outline.
    """
    edges = shot.scene.edges[_drawn(shot)]
    first, last = shot.points[edges[:, 0]], shot.points[edges[:, 1]]
    owner = shot.scene.owner[edges[:, 0]]
    edge, low, high = _hidden_intervals(shot, first, last)
    return _split(first[:, :2], last[:, :2], owner, edge, low, high)


def seen_of_lines(shot: Projected, starts: Floats, ends: Floats) -> Segments:
    """Return what is seen of straight lines among the bodies of a shot.

    Args:
        shot: what may hide them.
        starts: (n, 3) in box coordinates, mm; ``owner`` of the result counts these lines.
        ends: the same.
    """
    turn = shot.projection.matrix
    first, last = starts @ turn.T, ends @ turn.T
    edge, low, high = _hidden_intervals(shot, first, last)
    return _split(first[:, :2], last[:, :2], np.arange(len(first)), edge, low, high)[0]


def _drawn(shot: Projected) -> NDArray[np.bool_]:
    """Return which edges are lines on the drawing."""
    a, b, f, g = shot.scene.edges.T
    long = np.linalg.norm((shot.points[a] - shot.points[b])[:, :2], axis=1) > _SHORT
    bent = shot.scene.round_faces
    smooth = bent[f] & bent[g] & (shot.facing[f] == shot.facing[g])
    drawn: NDArray[np.bool_] = long & ~smooth
    return drawn


def _hidden_intervals(
    shot: Projected, first: Floats, last: Floats
) -> tuple[NDArray[np.intp], Floats, Floats]:
    """Return (edge, from, to) of each interval that one body hides, from 0 to 1 along the edge."""
    edge, body = _near_pairs(shot, first, last)
    walls = shot.walls[body]
    at_first = np.einsum("pwk,pk->pw", walls[:, :, :3], first[edge]) - walls[:, :, 3]
    at_last = np.einsum("pwk,pk->pw", walls[:, :, :3], last[edge]) - walls[:, :, 3]
    first_in, last_in = at_first <= -_INSIDE, at_last <= -_INSIDE
    outside = ~(first_in | last_in).all(axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        at = np.clip(at_first / (at_first - at_last), 0.0, 1.0)
    low = np.where(first_in, 0.0, at).max(axis=1)
    high = np.where(last_in, 1.0, at).min(axis=1)
    hides = ~outside & (high > low)
    return edge[hides], low[hides], high[hides]


def _near_pairs(
    shot: Projected, first: Floats, last: Floats
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return the pairs (edge, body) whose bounds let the body hide something of the edge."""
    low, high = np.minimum(first, last), np.maximum(first, last)
    meets = (low[:, None, :2] < shot.high[None, :, :2] - _INSIDE).all(axis=2)
    meets &= (high[:, None, :2] > shot.low[None, :, :2] + _INSIDE).all(axis=2)
    meets &= low[:, None, 2] < shot.high[None, :, 2] - _INSIDE
    edge, body = np.nonzero(meets)
    return edge, body


def _split(
    first: Floats,
    last: Floats,
    owner: NDArray[np.intp],
    edge: NDArray[np.intp],
    low: Floats,
    high: Floats,
) -> tuple[Segments, Segments]:
    """Return what is outside and what is inside the union of the hidden intervals of each edge."""
    lengths = np.linalg.norm(last - first, axis=1)
    edge, low, high = _gaps(len(first), edge, low, high)
    long = (high - low) * lengths[edge] > _SHORT
    seen = edge[long], low[long], high[long]
    edge, low, high = _gaps(len(first), *seen)
    long = (high - low) * lengths[edge] > _SHORT
    rest = edge[long], low[long], high[long]
    return _pieces(first, last, owner, *seen), _pieces(first, last, owner, *rest)


def _gaps(
    count: int, edge: NDArray[np.intp], low: Floats, high: Floats
) -> tuple[NDArray[np.intp], Floats, Floats]:
    """Return (edge, from, to) of what intervals leave free between 0 and 1 of each edge.

    All edges are laid on one number line, two units apart, with a stop before and after each.
    """
    base = 2.0 * np.arange(count)
    lows = np.concatenate((2.0 * edge + low, base - 0.5, base + 1.0))
    highs = np.concatenate((2.0 * edge + high, base, base + 1.5))
    order = np.argsort(lows, kind="stable")
    lows, reach = lows[order], np.maximum.accumulate(highs[order])
    free = np.flatnonzero(lows[1:] > reach[:-1])
    starts, ends = reach[:-1][free], lows[1:][free]
    at = np.floor(starts / 2.0).astype(np.intp)
    return at, starts - 2.0 * at, ends - 2.0 * at


def _pieces(
    first: Floats,
    last: Floats,
    owner: NDArray[np.intp],
    edge: NDArray[np.intp],
    low: Floats,
    high: Floats,
) -> Segments:
    """Return intervals of edges as segments."""
    way = last[edge] - first[edge]
    return Segments(
        first[edge] + low[:, None] * way, first[edge] + high[:, None] * way, owner[edge]
    )


def seen_arcs(shot: Projected) -> list[Arc]:
    """Return what is seen of the rims of all holes, body by body."""
    found = []
    known: dict[tuple[Vector, float], tuple[Floats, Floats, Floats]] = {}
    for i, body in enumerate(shot.scene.bodies):
        for rim in body.rims:
            key = rim.out, rim.radius
            if key not in known:
                known[key] = _spokes(shot, *key)
            if known[key][0][2] > _LEAST_RIM:
                found += _rim_arcs(shot, i, rim, *known[key])
    return found


def _spokes(shot: Projected, out: Vector, radius: float) -> tuple[Floats, Floats, Floats]:
    """Return the way that a rim faces on paper, and two of its radii, square to each other."""
    faces = shot.projection.matrix @ np.array(out)
    side = np.cross(faces, (0.0, 1.0, 0.0) if abs(faces[1]) < 0.9 else (1.0, 0.0, 0.0))
    a = radius * side / np.linalg.norm(side)
    return faces, a, np.cross(faces, a)


def _rim_arcs(
    shot: Projected, owner: int, rim: Rim, out: Floats, a: Floats, b: Floats
) -> list[Arc]:
    """Return the visible arcs of one rim; the rest as ``_spokes`` returns it."""
    centre = shot.projection.matrix @ np.array(rim.centre)
    spans = _seen_turns(shot, centre, a, b, rim.radius)
    flat = abs(out[2]) > 1 - EDGE_ON
    arcs = []
    for low, high in spans:
        closed = high - low > 2 * math.pi - 1e-9
        count = max(2, math.ceil((high - low) / _ARC_STEP))
        turns = low + (high - low) * np.arange(count + (0 if closed else 1)) / count
        points = centre + np.cos(turns)[:, None] * a + np.sin(turns)[:, None] * b
        arcs.append(
            Arc(
                owner,
                (float(centre[0]), float(centre[1])),
                tuple((float(u), float(v)) for u, v, _ in points),
                closed,
                rim.radius if closed and flat else None,
            )
        )
    return arcs


def _seen_turns(
    shot: Projected, centre: Floats, a: Floats, b: Floats, radius: float
) -> list[tuple[float, float]]:
    """Return the spans (radians) of the circle centre + a cos + b sin that no body hides."""
    whole = [(0.0, 2 * math.pi)]
    near = (shot.low[:, :2] < centre[:2] + radius).all(axis=1)
    near &= (shot.high[:, :2] > centre[:2] - radius).all(axis=1)
    walls = shot.walls[near & (shot.high[:, 2] > centre[2] - radius)]
    middle = walls[:, :, :3] @ centre - walls[:, :, 3] + _INSIDE
    cos, sin = walls[:, :, :3] @ a, walls[:, :, :3] @ b
    swing = np.hypot(cos, sin)
    meets = (middle - swing < 0).all(axis=1)
    if (meets & (middle + swing <= 0).all(axis=1)).any():
        return []
    if not meets.any():
        return whole
    middle, cos, sin, swing = (x[meets] for x in (middle, cos, sin, swing))
    crossed = np.abs(middle) < swing
    to, lean = np.arctan2(sin[crossed], cos[crossed]), -middle[crossed] / swing[crossed]
    ends = np.concatenate((to + np.arccos(lean), to - np.arccos(lean))) % (2 * math.pi)
    stops = sorted({0.0, 2 * math.pi, *(round(float(x), 12) for x in ends)})
    return _joined(
        [
            (low, high)
            for low, high in pairwise(stops)
            if not _inside_any(middle, cos, sin, (low + high) / 2)
        ]
    )


def _inside_any(middle: Floats, cos: Floats, sin: Floats, turn: float) -> bool:
    """Return whether a point of a circle lies inside all half-spaces of some body."""
    at = middle + cos * math.cos(turn) + sin * math.sin(turn)
    return bool((at < 0).all(axis=1).any())


def _joined(spans: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return spans of a circle in order with neighbours made one, also across its start."""
    found: list[tuple[float, float]] = []
    for low, high in spans:
        if found and low - found[-1][1] < 1e-9:
            found[-1] = (found[-1][0], high)
        else:
            found.append((low, high))
    if len(found) > 1 and found[0][0] < 1e-9 and found[-1][1] > 2 * math.pi - 1e-9:
        (_, end), (start, _) = found.pop(0), found.pop()
        found.append((start, end + 2 * math.pi))
    return found
