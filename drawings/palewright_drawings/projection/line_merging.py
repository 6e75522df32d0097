"""Straight lines of a drawing with each stretch drawn once.

Edges of neighbours coincide, and hidden edges lie under visible ones; drawn twice, dashes print as
solid lines. Lines are gathered that lie on one straight line; on it, what an earlier set covers is
taken out of the later ones, and what a set covers twice is kept once.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from palewright.geometry.arrays import Floats
from palewright.geometry.polygons import Point
from palewright_drawings.projection.hidden_lines import Segments

_SAME_TURN = 1e-6
"""Directions nearer than this (radians) are one."""

_SAME_LINE = 5e-3
"""Lines nearer to each other (mm) than this are one."""

_JOIN = 0.02
"""Pieces nearer to each other (mm) are one; shorter ones are rounding."""

_DIGITS = 4
"""Decimals (mm) of drawn coordinates: far below the width of a line."""

Interval = tuple[float, float]


@dataclass(frozen=True, slots=True)
class OwnedLine:
    """A stretch of a drawing, mm, and the body whose edge it is."""

    start: Point
    end: Point
    owner: int


def drawn_once(sets: Sequence[Segments]) -> list[list[OwnedLine]]:
    """Return each set of segments without what it or an earlier set has covered already."""
    starts = np.concatenate([one.starts for one in sets])
    ends = np.concatenate([one.ends for one in sets])
    owner = np.concatenate([one.owner for one in sets])
    layer = np.repeat(np.arange(len(sets)), [len(one.owner) for one in sets])
    found: list[list[OwnedLine]] = [[] for _ in sets]
    if not len(owner):
        return found
    ways = _ways(starts, ends)
    groups = _groups(ways, starts)
    low = np.einsum("nk,nk->n", ways, starts)
    high = np.einsum("nk,nk->n", ways, ends)
    low, high = np.minimum(low, high), np.maximum(low, high)
    order = np.lexsort((low, layer, groups))
    cuts = np.flatnonzero(np.diff(groups[order])) + 1
    for members in np.split(order, cuts):
        anchor, way = starts[members[0]], ways[members[0]]
        base = float(way @ anchor)
        rows = zip(
            layer[members].tolist(),
            low[members].tolist(),
            high[members].tolist(),
            owner[members].tolist(),
            strict=True,
        )
        for at, (a, b), who in _once(rows):
            points = [anchor + (s - base) * way for s in (a, b)]
            first, last = ((_rounded(p[0]), _rounded(p[1])) for p in points)
            found[at].append(OwnedLine(first, last, who))
    return found


def _rounded(value: float) -> float:
    """Return mm to 0.1 µm without a negative zero."""
    return round(float(value), _DIGITS) + 0.0


def _ways(starts: Floats, ends: Floats) -> Floats:
    """Return the unit vector along each segment, from half a turn of directions."""
    ways = ends - starts
    ways = ways / np.linalg.norm(ways, axis=1, keepdims=True)
    backward = (ways[:, 0] < -_SAME_TURN) | ((np.abs(ways[:, 0]) <= _SAME_TURN) & (ways[:, 1] < 0))
    ways[backward] *= -1
    found: Floats = ways
    return found


def _groups(ways: Floats, starts: Floats) -> NDArray[np.intp]:
    """Return a number for each segment, the same for those on one straight line."""
    turn = _numbered(np.arctan2(ways[:, 1], ways[:, 0]), np.zeros(len(ways)), _SAME_TURN)
    aside = ways[:, 0] * starts[:, 1] - ways[:, 1] * starts[:, 0]
    return _numbered(aside, turn, _SAME_LINE)


def _numbered(values: Floats, within: NDArray[np.intp] | Floats, apart: float) -> NDArray[np.intp]:
    """Return a number for each value: a new one where sorted neighbours are far apart."""
    order = np.lexsort((values, within))
    new = (np.diff(values[order]) > apart) | (np.diff(within[order]) != 0)
    numbers = np.empty(len(values), dtype=np.intp)
    numbers[order] = np.concatenate(([0], np.cumsum(new)))
    return numbers


def _once(rows: Iterable[tuple[int, float, float, int]]) -> list[tuple[int, Interval, int]]:
    """Return (set, span, body) of the stretches of one straight line, each drawn once.

    ``rows`` are (set, from, to, body), sorted by set and from.
    """
    taken: list[Interval] = []
    own: list[Interval] = []
    found: list[tuple[int, Interval, int]] = []
    last_set = None
    for at, low, high, who in rows:
        if at != last_set:
            taken, own, last_set = _union(taken + own), [], at
        if own:
            low = max(low, own[-1][1])
        for a, b in _outside(low, high, taken):
            joins = found and found[-1][0] == at and found[-1][2] == who
            if joins and abs(found[-1][1][1] - a) < _JOIN:
                found[-1] = (at, (found[-1][1][0], b), who)
            elif b - a > _JOIN:
                found.append((at, (a, b), who))
        if not own or high > own[-1][1]:
            own.append((low, max(low, high)))
    return found


def _union(spans: list[Interval]) -> list[Interval]:
    """Return spans in order, without overlaps."""
    found: list[Interval] = []
    for low, high in sorted(spans):
        if found and low <= found[-1][1] + _JOIN:
            found[-1] = (found[-1][0], max(high, found[-1][1]))
        else:
            found.append((low, high))
    return found


def _outside(low: float, high: float, taken: list[Interval]) -> list[Interval]:
    """Return the parts of a span outside all taken ones (in order, apart)."""
    found = []
    for a, b in taken:
        if b <= low:
            continue
        if a >= high:
            break
        if a > low:
            found.append((low, a))
        low = max(low, b)
    if high > low:
        found.append((low, high))
    return found
