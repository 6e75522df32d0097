"""What is cut: outlined thick, hatched, and no thinner line drawn over an outline."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from palewright.geometry.polygons import Point, Polygon, bounds
from palewright_drawings.paper.figure import Stroke
from palewright_drawings.projection.hidden_lines import Segments
from palewright_drawings.projection.line_merging import drawn_once

_HATCH = 1 / 60
"""Distance of hatch lines as a share of the drawing's larger side."""

_DENSE = 0.55
"""Distance of the closer hatch, as a share of the wider one."""

_NEAR = 0.5
"""Cut areas nearer to each other (mm) are neighbours."""


@dataclass(frozen=True, slots=True)
class _Hatching:
    """How one area is hatched: up to the right or to the left, wide or close."""

    rising: bool
    dense: bool


_KINDS = tuple(_Hatching(rising, dense) for dense in (False, True) for rising in (True, False))


def cut_strokes(rest: Sequence[Stroke], rings: Mapping[str, Polygon]) -> tuple[Stroke, ...]:
    """Return the strokes of a section: what lies behind, hatching, outlines.

    Args:
        rest: open lines of what lies behind the cut, mm.
        rings: what is cut of each board, anticlockwise, mm.
    """
    return (*_uncovered(rest, rings.values()), *_hatched(rings), *_outlined(rings))


def _uncovered(rest: Sequence[Stroke], rings: Collection[Polygon]) -> Iterator[Stroke]:
    """Yield lines without what lies under an outline: a thin one over it would print thin."""
    edges = [pair for ring in rings for pair in pairwise((*ring, ring[0]))]
    lines = [(pair, i) for i, stroke in enumerate(rest) for pair in pairwise(stroke.points)]
    lines = [(pair, i) for pair, i in lines if pair[0] != pair[1]]
    sets = (_segments([(pair, 0) for pair in edges]), _segments(lines))
    for line in drawn_once(sets)[1]:
        stroke = rest[line.owner]
        yield Stroke(stroke.layer, (line.start, line.end), board=stroke.board)


def _segments(lines: Sequence[tuple[tuple[Point, Point], int]]) -> Segments:
    """Return lines (start, end) with whose they are as arrays."""
    places = np.array([pair for pair, _ in lines], dtype=float).reshape(-1, 2, 2)
    return Segments(places[:, 0], places[:, 1], np.array([i for _, i in lines], dtype=np.intp))


def _outlined(rings: Mapping[str, Polygon]) -> Iterator[Stroke]:
    """Yield the outlines of cut areas."""
    for name, ring in rings.items():
        yield Stroke("cut", _rounded(ring), True, name)


def _hatched(rings: Mapping[str, Polygon]) -> Iterator[Stroke]:
    """Yield the hatching of cut areas."""
    if not rings:
        return
    x0, y0, x1, y1 = bounds(tuple(point for ring in rings.values() for point in ring))
    apart = _HATCH * max(x1 - x0, y1 - y0)
    for name, kind in _kinds(rings).items():
        step = apart * (_DENSE if kind.dense else 1.0)
        for line in hatch_lines(rings[name], step, kind.rising):
            yield Stroke("hatch", _rounded(line), board=name)


def _kinds(rings: Mapping[str, Polygon]) -> dict[str, _Hatching]:
    """Return how each area is hatched: unlike its neighbours."""
    found: dict[str, _Hatching] = {}
    for name, ring in rings.items():
        taken = [found[other] for other in found if _touch(ring, rings[other])]
        found[name] = min(_KINDS, key=lambda kind, taken=taken: taken.count(kind))  # type: ignore[misc]
    return found


def _touch(first: Polygon, second: Polygon) -> bool:
    """Return whether the bounds of two areas come near each other."""
    a, b = bounds(first), bounds(second)
    return (
        a[0] < b[2] + _NEAR and b[0] < a[2] + _NEAR and a[1] < b[3] + _NEAR and b[1] < a[3] + _NEAR
    )


def hatch_lines(ring: Polygon, apart: float, rising: bool) -> Iterator[tuple[Point, Point]]:
    """Yield lines at 45 degrees within a convex polygon.

    Args:
        ring: anticlockwise, mm.
        apart: distance between lines, mm.
        rising: whether they go up to the right.
    """
    sign = -1.0 if rising else 1.0
    # lines sign · x + y = c, sqrt 2 apart as far in c
    offsets = [sign * x + y for x, y in ring]
    step = apart * math.sqrt(2)
    for k in range(math.ceil(min(offsets) / step), math.floor(max(offsets) / step) + 1):
        met = _met(ring, offsets, k * step)
        if len(met) == 2 and math.dist(*met) > apart / 4:
            yield met[0], met[1]


def _met(ring: Polygon, offsets: list[float], c: float) -> list[Point]:
    """Return the two points where a line crosses the outline of a convex polygon."""
    found: list[Point] = []
    for i, (x, y) in enumerate(ring):
        j = (i + 1) % len(ring)
        a, b = offsets[i] - c, offsets[j] - c
        if (a < 0) != (b < 0):
            t = a / (a - b)
            found.append((x + t * (ring[j][0] - x), y + t * (ring[j][1] - y)))
    return sorted(found)


def _rounded(points: tuple[Point, ...]) -> tuple[Point, ...]:
    """Return points to 0.1 µm."""
    return tuple((round(x, 4) + 0.0, round(y, 4) + 0.0) for x, y in points)
