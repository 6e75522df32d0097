"""A scene of convex bodies seen in one projection: outlines, what lies before what.

Coordinates are (u, v, w): right, up, towards the eye, mm. A point is hidden by a body where it
lies inside the body's outline and behind all of its faces that look at the eye; both are
half-spaces, so that hiding is exact (``hidden_lines``).
"""

from __future__ import annotations

from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from palewright.geometry.arrays import Floats
from palewright.geometry.polygons import Polygon, centroid, clip
from palewright_drawings.projection.convex_bodies import BodyArrays
from palewright_drawings.projection.projections import Projection

EDGE_ON = 1e-9
"""Faces whose normal turns no more than this to the eye are seen from their edge."""

_UPRIGHT = 1e-6
"""Points that differ by less in u (mm) stand one above the other."""

_TOUCH = 1e-3
"""Bodies that reach into each other by less (mm) only touch."""


class Projected:
    """A scene in a projection.

    Attributes:
        scene, projection: what is seen, and how.
        points: (n, 3) in (u, v, w), mm.
        normals: (faces, 3) in (u, v, w).
        facing: (faces): whether a face looks at the eye.
    """

    def __init__(self, scene: BodyArrays, projection: Projection) -> None:
        """Turn the points and normals."""
        self.scene, self.projection = scene, projection
        turn = projection.matrix
        self.points: Floats = scene.points @ turn.T
        self.normals: Floats = scene.normals @ turn.T
        self.facing: NDArray[np.bool_] = self.normals[:, 2] > EDGE_ON

    @cached_property
    def outlines(self) -> list[Polygon]:
        """The outline of each body, anticlockwise."""
        starts = [*self.scene.starts.tolist(), len(self.points)]
        flat = self.points[:, :2]
        return [_hull([(float(u), float(v)) for u, v in flat[a:b]]) for a, b in pairwise(starts)]

    @cached_property
    def _outline_sides(self) -> tuple[Floats, NDArray[np.intp]]:
        """(sides, 3) outward unit normals and reaches of all outlines; the body of each."""
        rows, owners = [], []
        for i, ring in enumerate(self.outlines):
            rows += list(zip(ring, ring[1:] + ring[:1], strict=True))
            owners += [i] * len(ring)
        ends = np.array(rows)
        along = ends[:, 1] - ends[:, 0]
        along /= np.linalg.norm(along, axis=1, keepdims=True)
        out = np.column_stack((along[:, 1], -along[:, 0]))
        reach = np.einsum("sk,sk->s", out, ends[:, 0])
        return np.column_stack((out, reach)), np.array(owners)

    @cached_property
    def walls(self) -> Floats:
        """(bodies, most, 4): n · p − r < 0 for all rows means that a body hides the point p.

        Outline sides first, then faces that look at the eye; filled up with rows that are always
        satisfied.
        """
        sides, owner = self._outline_sides
        rows = np.zeros((len(sides), 4))
        rows[:, :2], rows[:, 3] = sides[:, :2], sides[:, 2]
        front = np.column_stack((self.normals, self.scene.reaches))[self.facing]
        every = np.concatenate((rows, front))
        owners = np.concatenate((owner, self.scene.face_owner[self.facing]))
        order = np.argsort(owners, kind="stable")
        every, owners = every[order], owners[order]
        counts = np.bincount(owners, minlength=len(self.scene.bodies))
        place = np.arange(len(owners)) - np.repeat(np.cumsum(counts) - counts, counts)
        full = np.zeros((len(counts), int(counts.max()), 4))
        full[:, :, 3] = np.inf
        full[owners, place] = every
        return full

    @cached_property
    def low(self) -> Floats:
        """(bodies, 3): least u, v, w."""
        return np.minimum.reduceat(self.points, self.scene.starts, axis=0)

    @cached_property
    def high(self) -> Floats:
        """(bodies, 3): greatest u, v, w."""
        return np.maximum.reduceat(self.points, self.scene.starts, axis=0)

    @cached_property
    def overlapping(self) -> NDArray[np.bool_]:
        """(bodies, bodies): whether two outlines share area. Separating lines: exact for convex."""
        sides, owner = self._outline_sides
        beyond = sides[:, :2] @ self.points[:, :2].T - sides[:, 2:]
        least = np.minimum.reduceat(beyond, self.scene.starts, axis=1)
        apart = _by_owner(least > -_TOUCH, owner, len(self.scene.bodies))
        found: NDArray[np.bool_] = ~(apart | apart.T)
        np.fill_diagonal(found, False)
        return found

    @cached_property
    def covered(self) -> NDArray[np.bool_]:
        """(bodies): whether some single body before it hides all of a body."""
        sides, owner = self._outline_sides
        beyond = sides[:, :2] @ self.points[:, :2].T - sides[:, 2:]
        most = np.maximum.reduceat(beyond, self.scene.starts, axis=1)
        pokes_out = _by_owner(most > _TOUCH, owner, len(self.scene.bodies))
        return np.asarray((~pokes_out & self.before).any(axis=0))

    @cached_property
    def before(self) -> NDArray[np.bool_]:
        """(bodies, bodies): whether the first lies before the second where their outlines overlap.

        Two convex bodies that share no volume lie in one order wherever both are seen. A face
        of one that has all of the other outside it tells which; else a point of the overlap does.
        """
        n = len(self.scene.bodies)
        beyond = self.scene.normals @ self.scene.points.T - self.scene.reaches[:, None]
        outside = np.minimum.reduceat(beyond, self.scene.starts, axis=1) > -_TOUCH
        owner, turned = self.scene.face_owner, self.normals[:, 2:]
        # the other lies outside a face of this one: behind it where that face looks away
        behind = _by_owner(outside & (turned < -EDGE_ON), owner, n)
        front = _by_owner(outside & (turned > EDGE_ON), owner, n)
        found: NDArray[np.bool_] = (behind | front.T) & self.overlapping
        undecided = self.overlapping & (found == found.T)
        for i, j in np.argwhere(undecided):
            if i < j:
                first = self._nearer(int(i), int(j))
                found[i, j], found[j, i] = first, not first
        return found

    def _nearer(self, i: int, j: int) -> bool:
        """Return whether body i lies before body j at a point where their outlines overlap."""
        shared = clip(self.outlines[i], self.outlines[j])
        if not shared:
            return True
        u, v = centroid(shared)
        return self.depth(i, u, v) >= self.depth(j, u, v)

    def depth(self, body: int, u: float, v: float) -> float:
        """Return how far towards the eye (w, mm) a body reaches over a point of its outline."""
        chosen = self.facing & (self.scene.face_owner == body)
        n, reach = self.normals[chosen], self.scene.reaches[chosen]
        return float(((reach - n[:, 0] * u - n[:, 1] * v) / n[:, 2]).min())


def _by_owner(rows: NDArray[np.bool_], owner: NDArray[np.intp], count: int) -> NDArray[np.bool_]:
    """Return (bodies, columns): whether any row of a body is true."""
    found = np.zeros((count, rows.shape[1]), dtype=bool)
    np.logical_or.at(found, owner, rows)
    return found


def _hull(points: list[tuple[float, float]]) -> Polygon:
    """Return the convex hull, anticlockwise, without corners at which it does not turn."""
    ordered = sorted(_aligned(points))
    whole: list[tuple[float, float]] = []
    for half in (ordered, ordered[::-1]):
        chain: list[tuple[float, float]] = []
        for x, y in half:
            while len(chain) > 1:
                (x0, y0), (x1, y1) = chain[-2], chain[-1]
                turn = (x1 - x0) * (y - y1) - (y1 - y0) * (x - x1)
                if turn > 1e-6 * max(abs(x - x0), abs(y - y0), 1e-3):
                    break
                chain.pop()
            chain.append((x, y))
        whole += chain[:-1]
    return tuple(whole)


def _aligned(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return points with those upright above each other on one u.

    So rounding in u does not decide which of them comes first.
    """
    found: list[tuple[float, float]] = []
    for u, v in sorted(points):
        upright = bool(found) and u - found[-1][0] < _UPRIGHT
        found.append((found[-1][0] if upright else u, v))
    return found
