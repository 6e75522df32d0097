"""Where straight lines run in the solids' surfaces, and how wide they are bored along them.

It reads vertices and triangles and nothing else: it is the second opinion on ``screw_spans``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from palewright.construction.joints import Screw
from palewright.geometry.arrays import Floats
from palewright.solids.surfaces import Surfaces, matrix

if TYPE_CHECKING:
    from palewright.solids.surfaces import Surface


HAIR = 1e-3
"""Lengths along a screw (mm) nearer than this agree: shapes that agree to 0.1 µm are one, and a saw
or a drill is off by a hundred times as much."""

_ON = 1e-6
"""A vertex so near (mm) to a plane lies in it."""

_PARALLEL = 1e-9
"""Speed towards a plane below which a line keeps its distance: 0.1 nm over the longest screw."""


@dataclass(frozen=True, slots=True)
class Bore:
    """What a surface shows round a screw's axis; mm, along it from the head.

    Attributes:
        free: the least distance of the surface from the axis, between the ends of what was asked.
        first, last: where the surface that is as far from the axis as was asked begins and ends;
            infinite where there is none.
    """

    free: float
    first: float
    last: float


class SurfaceLines:
    """The surfaces of a box's boards as its screws' lines meet them."""

    def __init__(self, surfaces: Surfaces, screws: tuple[Screw, ...]) -> None:
        """Take surfaces and screws."""
        self.surfaces = surfaces
        self.heads: Floats = np.array([s.head for s in screws]).reshape(-1, 3)
        self.axes: Floats = np.array([s.axis for s in screws]).reshape(-1, 3)
        self.lengths: Floats = np.array([s.kind.length for s in screws])
        self._hulls: dict[int, tuple[Floats, Floats]] = {}
        self._points: dict[str, Floats] = {}

    def hull(self, name: str) -> tuple[Floats, Floats]:
        """Return normals (n, 3) and reaches (n,) of a board's planes.

        Those that its whole surface lies behind and some of its triangles lie in: what it would be
        without its holes.
        """
        surfaces = self.surfaces
        own, turn = surfaces.own(name), matrix(surfaces.solids.boards[name].placement)
        if id(own) not in self._hulls:
            self._hulls[id(own)] = _hull(own.copy())  # once a shape; its normals are not kept
        normals, reaches = self._hulls[id(own)]
        placed = normals @ turn[:3, :3].T
        return placed, reaches + placed @ turn[:3, 3]

    def spans(self, name: str, grown: float) -> tuple[Floats, Floats]:
        """Return where each screw is within a board, mm from its head: beginnings, ends; (screws,).

        The end comes before the beginning where the screw misses.

        Args:
            name: the board, taken without its holes.
            grown: mm that each of its planes is moved outwards.
        """
        normals, reaches = self.hull(name)
        speed = self.axes @ normals.T
        room = reaches + grown - self.heads @ normals.T
        with np.errstate(divide="ignore", invalid="ignore"):
            at = room / speed
        beside = np.abs(speed) < _PARALLEL
        enter = np.where(~beside & (speed < 0), at, -np.inf).max(axis=1)
        leave = np.where(~beside & (speed > 0), at, np.inf).min(axis=1)
        leave[(beside & (room < 0)).any(axis=1)] = -np.inf
        return np.maximum(enter, 0.0), np.minimum(leave, self.lengths)

    def bore(self, name: str, screw: int, radius: float, span: tuple[float, float]) -> Bore:
        """Return what a board's surface shows round a screw's axis.

        The vertices of a round hole lie on its wall exactly, and flat faces have theirs at their
        corners, so that they alone tell how wide it is and where it begins and ends.

        Args:
            name: the board.
            screw: the place of the screw.
            radius: mm, of the wall to look for.
            span: where to look for what is nearest, mm from the head.
        """
        if name not in self._points:
            self._points[name] = self.surfaces.points(name)
        away = self._points[name] - self.heads[screw]
        along = away @ self.axes[screw]
        off = np.linalg.norm(away - along[:, None] * self.axes[screw], axis=1)
        within = (along > span[0] - HAIR) & (along < span[1] + HAIR)
        reached = (along > span[0] - radius) & (along < span[1] + radius)  # a slanted rim
        wall = along[reached & (np.abs(off - radius) < HAIR)]
        free = float(off[within].min(initial=np.inf))
        if not len(wall):
            return Bore(free, np.inf, -np.inf)
        return Bore(free, float(wall.min()), float(wall.max()))


def _hull(surface: Surface) -> tuple[Floats, Floats]:
    """Return the outer planes of a surface: see ``SurfaceLines.hull``."""
    points = np.asarray(surface.vertices)
    whole = surface.area_faces > 0.0
    # of triangles that face one way the largest tells best which way that is
    order = np.argsort(-surface.area_faces[whole], kind="stable")
    normals = np.asarray(surface.face_normals)[whole][order]
    corners = np.asarray(surface.triangles)[whole][order, 0]
    _, chosen, group = np.unique(
        np.round(normals, 6) + 0.0, axis=0, return_index=True, return_inverse=True
    )
    planes = normals[chosen]
    furthest = np.full(len(planes), -np.inf)
    np.maximum.at(furthest, group.reshape(-1), np.einsum("nk,nk->n", normals, corners))
    reaches = (points @ planes.T).max(axis=0)
    outer = furthest > reaches - _ON
    return planes[outer], reaches[outer]
