"""Distances between straight segments in space."""

from __future__ import annotations

import numpy as np

from oracle.solids import Floats


def distances(a0: Floats, a1: Floats, b0: Floats, b1: Floats) -> Floats:
    """Return the least distance between segments a0-a1 and b0-b1, row by row; all (n, 3).

    The squared distance is a convex function over the unit square of the two shares, so its least
    value lies inside, where the lines come nearest, or on one of the four sides.
    """
    u, v, w = a1 - a0, b1 - b0, a0 - b0
    least = np.full(len(a0), np.inf)
    for share in (0.0, 1.0):
        least = np.minimum(least, _to_segment(a0 + share * u, b0, v))
        least = np.minimum(least, _to_segment(b0 + share * v, a0, u))
    a, b, c = _dot(u, u), _dot(u, v), _dot(v, v)
    d, e = _dot(u, w), _dot(v, w)
    bottom = a * c - b * b
    skew = bottom > 1e-9 * a * c
    bottom = np.where(skew, bottom, 1.0)
    s, t = (b * e - c * d) / bottom, (a * e - b * d) / bottom
    inside = skew & (s >= 0) & (s <= 1) & (t >= 0) & (t <= 1)
    between = np.linalg.norm(w + s[:, None] * u - t[:, None] * v, axis=1)
    return np.where(inside, np.minimum(least, between), least)


def _to_segment(points: Floats, start: Floats, along: Floats) -> Floats:
    """Return the distance of points from segments, row by row."""
    share = np.clip(_dot(points - start, along) / _dot(along, along), 0.0, 1.0)
    return np.linalg.norm(points - start - share[:, None] * along, axis=1)


def _dot(first: Floats, second: Floats) -> Floats:
    return np.einsum("ij,ij->i", first, second)
