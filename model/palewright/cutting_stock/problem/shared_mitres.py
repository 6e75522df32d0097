"""How much shorter a row of parts is when slanted ends share one cut.

Two neighbours share a cut where the line of the left one's right end is parallel to the line
of the right one's left end. Laying a part end for end swaps its ends and keeps both lines, so
a row of parts is a walk along the edges of a graph: its points are the slopes, each part is
an edge between the slopes of its two ends, and every point that the walk passes through is a
shared cut. The fewest unshared joints follow from Euler's theorem on walks (L. Euler,
"Solutio problematis ad geometriam situs pertinentis", 1736/1741; C. Hierholzer, Mathematische
Annalen 6 (1873) 30-32), so the shortest row is exact and costs no search.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from palewright.geometry.arrays import Ints

ANGLE_STEP = 100
"""Angles are held in hundredths of a degree: finer than any gauge."""


@dataclass(frozen=True)
class MitreEnds:
    """A part's ends.

    Attributes:
        slopes: the signed angles of the left and right end lines, hundredths of a degree; 0 is
            square.
        savings: what a cut shared there saves, units.
    """

    slopes: tuple[int, int]
    savings: tuple[int, int]


def mitre_ends(angles: tuple[float, float], width: int, kerf: int) -> MitreEnds:
    """Ends of a part `width` units wide; an angle is positive where the lower edge is longer."""
    left, right = _slope(angles[0]), -_slope(angles[1])
    savings = shared_saving(left, width, kerf), shared_saving(right, width, kerf)
    return MitreEnds(
        (left if savings[0] else 0, right if savings[1] else 0),
        savings,
    )


def _slope(angle: float) -> int:
    """Hundredths of a degree, towards square: more slant saves more, so none is overstated."""
    steps = math.floor(abs(angle) * ANGLE_STEP + 1e-3)
    return steps if angle > 0 else -steps


def shared_saving(slope: int, width: int, kerf: int) -> int:
    """Length that one shared cut at this slope saves over two parts laid corner to corner.

    The slanted kerf takes kerf / cos along the board. Rounded down, never below 0.
    """
    angle = math.radians(abs(slope) / ANGLE_STEP)
    overlap = width * math.tan(angle) - (kerf / math.cos(angle) - kerf)
    return max(0, math.floor(overlap - 1e-6))


def row_savings(counts: Ints, ends: Sequence[MitreEnds]) -> Ints:
    """The most that rows of parts save; counts has shape (n, m), the result (n,)."""
    saved = np.zeros(len(counts), dtype=np.int64)
    slopes = sorted({slope for end in ends for slope in end.slopes})
    if slopes in ([], [0]):
        return saved
    worth = {s: v for end in ends for s, v in zip(end.slopes, end.savings, strict=True)}
    degree = np.array([[end.slopes.count(slope) for slope in slopes] for end in ends])
    degrees = counts @ degree
    saved += (degrees // 2) @ np.array([worth[slope] for slope in slopes])
    present, group = np.unique(counts > 0, axis=0, return_inverse=True)
    for number, row in enumerate(present):
        rows = np.flatnonzero(group.ravel() == number)
        for points in _components([end for end, here in zip(ends, row, strict=True) if here]):
            columns = np.array([slopes.index(point) for point in points])
            closed = np.all(degrees[np.ix_(rows, columns)] % 2 == 0, axis=1)
            saved[rows] -= closed * min(worth[point] for point in points)
    return saved


def _components(ends: Sequence[MitreEnds]) -> list[set[int]]:
    """The connected sets of slopes."""
    components: list[set[int]] = []
    for end in ends:
        joined = set(end.slopes)
        apart = []
        for component in components:
            if component & joined:
                joined |= component
            else:
                apart.append(component)
        components = [*apart, joined]
    return components


@dataclass(frozen=True)
class RowPart:
    """One part in a row.

    Which, whether laid end for end, where it begins, and whether the joint to its left is shared.
    """

    part: int
    turned: bool
    start: int
    shared: bool


def shortest_row(
    parts: Sequence[int], lengths: Sequence[int], ends: Sequence[MitreEnds]
) -> list[RowPart]:
    """The parts (indices, repeated as often as wanted) in an order of least length.

    lengths: with kerf, by index. Equal parts stay together where nothing is lost by it.
    """
    slanted = [i for i in parts if any(ends[i].slopes)]
    square = sorted((i for i in parts if not any(ends[i].slopes)), key=lambda i: -lengths[i])
    walks = _walks(slanted, ends) if slanted else []
    row: list[RowPart] = []
    at = 0
    for part in square:
        row.append(RowPart(part, False, at, False))
        at += lengths[part]
    for walk in walks:
        before: int | None = None
        for part, turned in walk:
            left, right = ends[part].slopes[:: -1 if turned else 1]
            shared = before is not None and before == left and left != 0
            if shared:
                index = 1 if turned else 0
                at -= ends[part].savings[index]
            row.append(RowPart(part, turned, at, shared))
            at += lengths[part]
            before = right
    return row


def row_length(row: Sequence[RowPart], lengths: Sequence[int]) -> int:
    """Length of a row with kerf."""
    return max((item.start + lengths[item.part] for item in row), default=0)


def _walks(parts: Sequence[int], ends: Sequence[MitreEnds]) -> list[list[tuple[int, bool]]]:
    """Walks that use each part once and pass through each slope as often as can be."""
    worth = {s: v for i in parts for s, v in zip(ends[i].slopes, ends[i].savings, strict=True)}
    edges: list[tuple[int, int, int | None]] = [(*ends[i].slopes, i) for i in sorted(parts)]
    walks = []
    for points in _components([ends[i] for i in parts]):
        here = [edge for edge in edges if edge[0] in points]
        odd = [p for p in sorted(points) if sum((e[0] == p) + (e[1] == p) for e in here) % 2]
        here += [(odd[k], odd[k + 1], None) for k in range(0, len(odd), 2)]
        start = min(points, key=lambda p: (worth[p], p)) if not odd else odd[0]
        walks += [_flatter_first(walk, ends) for walk in _cut_open(_circuit(here, start))]
    return walks


def _flatter_first(
    walk: list[tuple[int, bool]], ends: Sequence[MitreEnds]
) -> list[tuple[int, bool]]:
    """Return the walk, or the same from its other end, so that the end nearer to square is first.

    Cuts of lesser angles are made first, and blanks are measured from that end.
    """
    (first, turned), (last, back) = walk[0], walk[-1]
    begins, finishes = ends[first].slopes[int(turned)], ends[last].slopes[int(not back)]
    if abs(finishes) < abs(begins):
        return [(part, not turned) for part, turned in reversed(walk)]
    return walk


def _circuit(edges: list[tuple[int, int, int | None]], start: int) -> list[tuple[int | None, bool]]:
    """Hierholzer's closed walk: (part or None for a joint left open, turned)."""
    at: dict[int, list[int]] = {}
    for number, (a, b, _) in enumerate(edges):
        at.setdefault(a, []).append(number)
        at.setdefault(b, []).append(number)
    used = [False] * len(edges)
    stack: list[tuple[int, tuple[int | None, bool] | None]] = [(start, None)]
    closed: list[tuple[int | None, bool]] = []
    while stack:
        point, arrived = stack[-1]
        while at[point] and used[at[point][-1]]:
            at[point].pop()
        if at[point]:
            number = at[point].pop()
            used[number] = True
            a, b, part = edges[number]
            forward = a == point
            stack.append((b if forward else a, (part, not forward)))
        else:
            stack.pop()
            if arrived is not None:
                closed.append(arrived)
    return closed[::-1]


def _cut_open(circuit: list[tuple[int | None, bool]]) -> list[list[tuple[int, bool]]]:
    """The walks between the open joints of a closed walk."""
    first = next((k for k, (part, _) in enumerate(circuit) if part is None), 0)
    walks: list[list[tuple[int, bool]]] = [[]]
    for part, turned in circuit[first:] + circuit[:first]:
        if part is None:
            walks.append([])
        else:
            walks[-1].append((part, turned))
    return [walk for walk in walks if walk]
