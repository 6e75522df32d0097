"""Where every screw runs in every board: exact, from the faces of the prisms."""

from __future__ import annotations

from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from palewright.construction.box_layout import Box
from palewright.construction.line_spans import half_spaces
from palewright.geometry.arrays import Floats
from palewright.geometry.polygons import off_grain

Places = NDArray[np.intp]
"""Places of screws or boards in a list, (n,)."""

_PARALLEL = 1e-12
"""Steps along a screw below this (of 1) come from floats: it runs along the face."""
_ROWS = 256
"""Screws held against the others at once: all of ten thousand would take 300 MB."""
_HAIR = 1e-6
"""mm: boxes that only touch are looked at too; floats of millimetres are far finer."""


class ScrewSpans:
    """Spans of all screws in all boards of one box.

    ``enter`` and ``leave`` are (screws, boards) arrays: mm from the head along the axis at which
    the line goes into and out of a board; ``enter > leave`` where it misses.
    """

    def __init__(self, box: Box) -> None:
        """Measure the spans."""
        self.box = box
        self.screws = box.screws
        self.names = list(box.boards)
        self.index = {name: i for i, name in enumerate(self.names)}
        self.heads: Floats = np.array([s.head for s in self.screws]).reshape(-1, 3)
        self.axes: Floats = np.array([s.axis for s in self.screws]).reshape(-1, 3)
        self.lengths: Floats = np.array([s.kind.length for s in self.screws])
        self.diameters: Floats = np.array([s.kind.diameter for s in self.screws])
        self.enter, self.leave = self._measured()

    @cached_property
    def faces(self) -> tuple[Floats, Floats]:
        """Face normals (boards, faces, 3) and reaches (boards, faces) in box coordinates.

        Boards with fewer faces are filled up with faces that are infinitely far.
        """
        rows = []
        for board in self.box.boards.values():
            place = board.placement
            row = []
            for normal, reach in half_spaces(board):
                out = place.direction_out(normal)
                shift = sum(out[k] * place.origin[k] for k in range(3))
                row.append((*out, reach + shift))
            rows.append(row)
        most = max(len(row) for row in rows)
        full = np.full((len(rows), most, 4), (0.0, 0.0, 0.0, np.inf))
        for i, row in enumerate(rows):
            full[i, : len(row)] = row
        return full[:, :, :3], full[:, :, 3]

    def _measured(self) -> tuple[Floats, Floats]:
        """Return the entering and leaving distances, for boards whose bounds a screw reaches."""
        enter = np.full((len(self.screws), len(self.names)), np.inf)
        leave = np.full_like(enter, -np.inf)
        s, b = np.nonzero(self._reached())
        if not len(s):
            return enter, leave
        normals, reaches = self.faces
        speed = np.einsum("pfk,pk->pf", normals[b], self.axes[s])
        room = reaches[b] - np.einsum("pfk,pk->pf", normals[b], self.heads[s])
        with np.errstate(divide="ignore", invalid="ignore"):
            at = room / speed
        beside = np.abs(speed) < _PARALLEL
        enter[s, b] = np.where(~beside & (speed < 0), at, -np.inf).max(axis=1)
        leave[s, b] = np.where(~beside & (speed > 0), at, np.inf).min(axis=1)
        outside = (beside & (room < 0)).any(axis=1)
        enter[s[outside], b[outside]] = np.inf
        leave[s[outside], b[outside]] = -np.inf
        return enter, leave

    def _reached(self) -> NDArray[np.bool_]:
        """Return (screws, boards): whether the bounds of a screw's axis touch a board's bounds."""
        tips = self.heads + self.axes * self.lengths[:, None]
        low, high = np.minimum(self.heads, tips) - _HAIR, np.maximum(self.heads, tips) + _HAIR
        corners = [np.array(board.corners) for board in self.box.boards.values()]
        reached = np.ones((len(self.screws), len(self.names)), dtype=np.bool_)
        for k in range(3):
            reached &= low[:, k, None] <= np.array([c[:, k].max() for c in corners])
            reached &= high[:, k, None] >= np.array([c[:, k].min() for c in corners])
        return reached

    @cached_property
    def stacked(self) -> tuple[Places, Places]:
        """Every board that a screw should join: places of the screws, places of the boards."""
        pairs = [(s, self.index[n]) for s, screw in enumerate(self.screws) for n in screw.stack]
        found = np.array(pairs, dtype=np.intp).reshape(-1, 2)
        return found[:, 0], found[:, 1]

    def held(self, s: Places, b: Places) -> tuple[Floats, Floats]:
        """Return where screws ``s`` begin and end in boards ``b``, mm from the head; both (n,).

        The end is no further than the beginning where a screw does not reach a board.
        """
        return np.maximum(self.enter[s, b], 0.0), np.minimum(self.leave[s, b], self.lengths[s])

    def side_room(self, s: Places, b: Places) -> tuple[Floats, Floats]:
        """Return the least room from axes to the edges, and to the ends, they run along: (n,), mm.

        The faces that an axis enters and leaves through are left out; infinite where none is left.
        A board's own ends are ends; its edges and flat faces are edges.

        Args:
            s: screws.
            b: the board of each, which the screw reaches.
        """
        normals, reaches = self.faces
        speed = np.einsum("pfk,pk->pf", normals[b], self.axes[s])
        room = reaches[b] - np.einsum("pfk,pk->pf", normals[b], self.heads[s])
        with np.errstate(divide="ignore", invalid="ignore"):
            at = np.where(np.abs(speed) < _PARALLEL, np.inf, room / speed)
        enter, leave = self.enter[s, b][:, None], self.leave[s, b][:, None]
        crossed = ((speed < 0) & (at >= enter - 1e-9)) | ((speed > 0) & (at <= leave + 1e-9))
        begin, finish = self.held(s, b)
        least = np.minimum(room - speed * begin[:, None], room - speed * finish[:, None])
        ends = self._ends[b]
        edge_room = np.where(crossed | ends, np.inf, least).min(axis=1)
        return edge_room, np.where(crossed | ~ends, np.inf, least).min(axis=1)

    @cached_property
    def _ends(self) -> NDArray[np.bool_]:
        """Whether a face is one of its board's ends: (boards, faces), as in ``faces``."""
        found = np.zeros(self.faces[1].shape, dtype=np.bool_)
        for i, board in enumerate(self.box.boards.values()):
            for face, (normal, _) in enumerate(half_spaces(board)[2:], start=2):
                found[i, face] = off_grain((0.0, 0.0), (-normal[1], normal[0]), 0.0) >= 1.0
        return found

    def near_screws(self, air: float) -> list[tuple[int, int, float]]:
        """Return (screw, screw, mm between axes) of pairs nearer than their radii and ``air``·D."""
        tips = self.heads + self.axes * self.lengths[:, None]
        low, high = np.minimum(self.heads, tips), np.maximum(self.heads, tips)
        sizes = self.diameters
        grown = sizes * (1 + air)
        low, high = low - grown[:, None] / 2, high + grown[:, None] / 2
        order = np.argsort(low[:, 0], kind="stable")
        low, high = low[order], high[order]
        ends = np.searchsorted(low[:, 0], high[:, 0])
        found = []
        for first in range(0, len(order), _ROWS):
            rows = slice(first, first + _ROWS)
            rest = slice(first, int(ends[rows].max()))  # none beyond begins before these end
            near = np.triu(np.ones((len(ends[rows]), len(ends[rest])), dtype=np.bool_), 1)
            for k in range(3):
                near &= low[rows, k, None] < high[rest, k]
                near &= low[rest, k] < high[rows, k, None]
            for one, other in (np.argwhere(near) + first).tolist():
                i, j = int(order[one]), int(order[other])
                apart = segment_distance(self.heads[i], tips[i], self.heads[j], tips[j])
                limit = (sizes[i] + sizes[j]) / 2 + air * max(sizes[i], sizes[j])
                if apart < limit:
                    found.append((min(i, j), max(i, j), apart))
        return found


def segment_distance(a0: Floats, a1: Floats, b0: Floats, b1: Floats) -> float:
    """Return the least distance (mm) between two segments of some length in space.

    The least distance is between the lines where both feet lie on the segments, else at an end
    of one of them.

    Args:
        a0: one end of the first segment: x, y, z, mm.
        a1: its other end.
        b0: one end of the second.
        b1: its other end.
    """
    u, v, w = a1 - a0, b1 - b0, a0 - b0
    a, b, c, d, e = u @ u, u @ v, v @ v, u @ w, v @ w
    least = min(
        _point_distance(a0, b0, v),
        _point_distance(a1, b0, v),
        _point_distance(b0, a0, u),
        _point_distance(b1, a0, u),
    )
    bottom = a * c - b * b
    if bottom > 1e-9 * a * c:
        s, t = (b * e - c * d) / bottom, (a * e - b * d) / bottom
        if 0 <= s <= 1 and 0 <= t <= 1:
            least = min(least, float(np.linalg.norm(w + s * u - t * v)))
    return least


def _point_distance(point: Floats, start: Floats, along: Floats) -> float:
    """Return the distance from a point to the segment from ``start`` by ``along``."""
    share = np.clip((point - start) @ along / (along @ along), 0.0, 1.0)
    return float(np.linalg.norm(point - start - share * along))
