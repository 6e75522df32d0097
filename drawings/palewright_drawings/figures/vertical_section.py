"""A vertical cut through the box: what is cut thick and hatched, what lies behind in thin lines.

After the practice of ISO 128-3: cut areas are hatched at 45 degrees, neighbours the other way or
closer, so that each board is told from the next.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from palewright.construction.boards import Board, Vector
from palewright.construction.floors import slats_run_back
from palewright.design import Design
from palewright.geometry.polygons import Point, Polygon, bounds
from palewright.reading.lengths import noiseless
from palewright_drawings.figures.views import depth_shade
from palewright_drawings.paper.figure import Figure, Fill, Stroke
from palewright_drawings.projection.convex_bodies import Body, behind_plane, board_body
from palewright_drawings.projection.projections import VIEWS, Projection
from palewright_drawings.projection.scene_drawing import Manner, drawn, shot_of

SectionCut = Literal["depth", "width"]

_CLEAR = 2.0
"""The cut keeps this far (mm) from faces along it: a cut along a joint shows neither board."""

_STEP = 4.0
"""How far (mm) the cut is moved at a time to find a clear place."""

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


def section_figure(design: Design, cut: SectionCut | None = None) -> Figure:
    """Return the box cut through its middle.

    Args:
        design: the box.
        cut: ``depth`` cuts from front to back and looks to the left; ``width`` cuts from left to
            right and looks to the back. None: along the slats, so that what they bear on is cut.
    """
    if cut is None:
        cut = "depth" if slats_run_back(design.box.sizes, design.parameters.floor.play) else "width"
    boards = design.box.boards
    view, normal = _looks(cut)
    reach = cut_place(boards, normal)
    rest: list[Body] = []
    rings: dict[str, Polygon] = {}
    for board in boards.values():
        body = board_body(board)
        left, ring = behind_plane(Body(body.name, body.points, body.faces), normal, reach)
        if left is not None:
            rest.append(left)
        if ring:
            rings[board.name] = tuple(view.flat(point) for point in ring)

    def manner(name: str) -> Manner:
        return Manner(layer="thin", deep=depth_shade(boards[name]))

    lines = drawn(shot_of(rest, view), manner, lit=False)
    title, way = _TITLES[cut]
    what = design.parameters.product.title
    return Figure(
        name=f"section-{cut}",
        title=title,
        alt=f"{what} cut {way} through its middle: {len(rings)} boards are cut",
        strokes=(*lines.strokes, *_hatched(rings), *_outlined(rings)),
        fills=(*lines.fills, *(Fill("grain", ring, board=name) for name, ring in rings.items())),
    )


_TITLES = {
    "depth": ("Section, front at the left", "from front to back"),
    "width": ("Section, seen from the front", "from left to right"),
}


def _looks(cut: SectionCut) -> tuple[Projection, Vector]:
    """Return the view of a cut, and the direction from what is kept to what is taken away."""
    view = VIEWS["right" if cut == "depth" else "front"]
    return view, view.toward


def cut_place(boards: Mapping[str, Board], normal: Vector) -> float:
    """Return where (mm along the normal) the cut is made: at the middle, or near it.

    Clear of faces that lie along the cut, and through a slat where there are some.
    """
    along = {
        name: [sum(c * n for c, n in zip(corner, normal, strict=True)) for corner in b.corners]
        for name, b in boards.items()
    }
    spans = {name: (min(values), max(values)) for name, values in along.items()}
    faces = {noiseless(value, 3) for values in along.values() for value in values}
    slats = [spans[name] for name, board in boards.items() if board.role == "slat"]
    widest = max(high for _, high in spans.values())
    steps = range(int(widest / 2 / _STEP))
    for at in (sign * _STEP * step for step in steps for sign in (1, -1)):
        if any(abs(at - face) < _CLEAR for face in faces):
            continue
        if not slats or any(low < at < high for low, high in slats):
            return at
    return 0.0


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
