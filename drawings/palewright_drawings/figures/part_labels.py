"""Where the marks of parts stand in a picture: on a part that is seen, or beside with a leader."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

import numpy as np

from palewright.geometry.arrays import Floats
from palewright.geometry.polygons import Point, Polygon, area, bounds
from palewright_drawings.paper.figure import Anchor, Label, Stroke
from palewright_drawings.projection.painters_order import face_ring, seen_pieces
from palewright_drawings.projection.projected_bodies import Projected

RING = 0.028
"""Radius of a ringed mark as a share of the drawing's larger side: 3 mm where it is 110 mm wide."""

_OFF_SCREWS = 0.066
"""The same for what it keeps from screws, which no ring may hide: 2.6 mm on a side of 40 mm, the
least that a step's picture has."""

_GRID = 9
"""Places tried along each side of a face."""

_MOST_BOARDS = 6
"""Boards tried for one mark."""

_AMPLE = 4.0
"""Room beyond this, in radii, makes no place better."""

_RINGED = 2
"""Longer marks are words: they stand beside the drawing, without a ring."""

_SIZE = 2.5
"""Height of capitals in marks, mm of paper: the least of ISO 3098's heights in ``styles``."""


def part_labels(
    shot: Projected,
    strokes: Sequence[Stroke],
    wanted: Mapping[str, Sequence[str]],
    ring: float = 0.0,
) -> list[Label]:
    """Return a label for each mark, clear of lines and of each other.

    Marks of parts are ringed; words, such as a panel's name, stand beside with a leader.

    Args:
        shot: what is drawn.
        strokes: the lines of the drawing, mm.
        wanted: names of the boards that carry each mark; one of them gets the label.
        ring: radius (mm of the model) that a mark keeps clear; 0: as ``RING`` says.
    """
    if not wanted:
        return []
    first, last = _sticks(strokes)
    pins = [stroke for stroke in strokes if stroke.layer == "mark"]
    driven = _sticks(pins) if pins else None
    low, high = np.minimum(first, last).min(axis=0), np.maximum(first, last).max(axis=0)
    ring = ring or RING * float((high - low).max())
    more = (_OFF_SCREWS / RING - 1) * ring
    placed: list[Label] = []
    beside: list[tuple[str, Point]] = []
    for mark, names in wanted.items():
        taken = np.array([label.at for label in placed]).reshape(-1, 2)
        room, at = _best(shot, names, (first, last), driven, taken, ring, more)
        if room >= ring and len(mark) <= _RINGED:
            placed.append(Label(mark, at, _SIZE, ringed=True))
        elif room > 0:
            beside.append((mark, at))
    return placed + _columns(beside, low, high, ring)


def _sticks(strokes: Sequence[Stroke]) -> tuple[Floats, Floats]:
    """Return the straight pieces of all strokes: (n, 2) and (n, 2)."""
    pairs = []
    for stroke in strokes:
        points = stroke.points + (stroke.points[:1] if stroke.closed else ())
        pairs += list(pairwise(points))
    found = np.array(pairs, dtype=np.float64)
    return found[:, 0], found[:, 1]


def _best(
    shot: Projected,
    names: Sequence[str],
    lines: tuple[Floats, Floats],
    pins: tuple[Floats, Floats] | None,
    taken: Floats,
    ring: float,
    more: float,
) -> tuple[float, Point]:
    """Return the place on any of some boards with most room (mm to the next line), and the room.

    From pins it is ``more`` mm less.
    """
    best, at = 0.0, (0.0, 0.0)
    for name in names[:_MOST_BOARDS]:
        body = shot.scene.index[name]
        if shot.covered[body]:
            continue
        for piece in _seen_pieces(shot, body):
            x0, y0, x1, y1 = bounds(piece)
            if min(x1 - x0, y1 - y0) / 2 <= best:
                continue
            points = _inside(piece)
            if not len(points):
                continue
            room = _distances(points, *lines, _AMPLE * ring)
            if pins is not None:
                room = np.minimum(room, _distances(points, *pins, _AMPLE * ring + more) - more)
            if len(taken):
                apart = np.linalg.norm(points[:, None] - taken[None], axis=2).min(axis=1)
                room = np.minimum(room, apart - ring)
            k = int(np.argmax(room))
            if room[k] > best + 1e-6:
                best, at = float(room[k]), (float(points[k, 0]), float(points[k, 1]))
        if best >= 1.3 * ring:
            break
    return best, (round(at[0], 3), round(at[1], 3))


def _seen_pieces(shot: Projected, body: int) -> list[Polygon]:
    """Return what is seen of the largest face of a body, as convex pieces, the largest first."""
    faces = np.flatnonzero(shot.facing & (shot.scene.face_owner == body)).tolist()
    largest = max(faces, key=lambda face: area(face_ring(shot, face)))
    return sorted(seen_pieces(shot, largest), key=lambda piece: -area(piece))


def _inside(piece: Polygon) -> Floats:
    """Return places (n, 2) spread over a convex piece."""
    x0, y0, x1, y1 = bounds(piece)
    steps = (np.arange(_GRID) + 0.5) / _GRID
    x, y = np.meshgrid(x0 + steps * (x1 - x0), y0 + steps * (y1 - y0))
    points = np.column_stack((x.ravel(), y.ravel()))
    start = np.array(piece)
    way = np.roll(start, -1, axis=0) - start
    off = points[:, None] - start[None]
    inside = (way[:, 0] * off[:, :, 1] - way[:, 1] * off[:, :, 0] >= 0).all(axis=1)
    found: Floats = points[inside]
    return found


def _distances(points: Floats, first: Floats, last: Floats, most: float) -> Floats:
    """Return the distance (mm) of each point to the nearest straight piece, ``most`` at most."""
    low, high = points.min(axis=0) - most, points.max(axis=0) + most
    near = (np.minimum(first, last) < high).all(axis=1) & (np.maximum(first, last) > low).all(
        axis=1
    )
    first, way = first[near], (last - first)[near]
    long = np.maximum((way**2).sum(axis=1), 1e-12)
    off = points[:, None] - first[None]
    t = np.clip((off * way).sum(axis=2) / long, 0.0, 1.0)
    found: Floats = np.linalg.norm(off - t[:, :, None] * way, axis=2).min(axis=1, initial=most)
    return found


def _columns(
    beside: list[tuple[str, Point]], low: Floats, high: Floats, ring: float
) -> list[Label]:
    """Return labels in columns left and right of the drawing, each with a leader to its tip."""
    found = []
    middle = float(low[0] + high[0]) / 2
    for left in (True, False):
        mine = sorted(
            (one for one in beside if (one[1][0] < middle) == left), key=lambda one: one[1][1]
        )
        x = float(low[0]) - 2.5 * ring if left else float(high[0]) + 2.5 * ring
        y = -np.inf
        for mark, tip in mine:
            y = max(tip[1], y + 3.0 * ring)
            anchor: Anchor = "centre" if len(mark) <= _RINGED else "right" if left else "left"
            ringed = len(mark) <= _RINGED
            found.append(Label(mark, (x, float(y)), _SIZE, anchor, tip=tip, ringed=ringed))
    return found
