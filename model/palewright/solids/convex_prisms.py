"""Boards as exact convex prisms for the fit checks: bounds, clashes, contacts, sweeps.

The only door to the manifold engine. A board is convex, so its hull is the board. Two boards that
are prisms along one axis of the box share a polygon times a length: their sections, clipped, in
closed form and in a fraction of the engine's time. The engine is left what is swept aslant.
Holes are left out on purpose: a clash inside a hole is still a clash.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from palewright.construction.boards import Board, Vector
from palewright.geometry.arrays import Floats
from palewright.geometry.polygons import Polygon, area, bounds, clip, hull_of, moved, rectangle

if TYPE_CHECKING:
    import manifold3d

Ends = tuple[tuple[float, float], ...]
"""The least and the greatest coordinate along x, y and z, mm."""

_FLAT = 1e-6
_SQUARE = 1e-10
"""Largest sine at which a direction is an axis: a board 3 m long strays 0.3 nm. The cosine would
not do: it still rounds to 1 where the board strays by a tenth of a thousandth."""


def hull(points: Sequence[Vector] | Floats) -> manifold3d.Manifold:
    """Return the convex hull of points (n, 3), mm, as a manifold solid."""
    import manifold3d

    return manifold3d.Manifold.hull_points(np.asarray(points, dtype=np.float64))


def pierced(outline: Sequence[tuple[float, float]], holes: Sequence[Floats]) -> NDArray[np.int64]:
    """Return the triangles (m, 3) of an outline without its holes, all counter-clockwise.

    Args:
        outline: counter-clockwise, mm.
        holes: rings (n, 2) inside it that do not meet, counter-clockwise.

    They count the outline's corners first, then each hole's.
    """
    import manifold3d

    rings, numbers, first = [np.asarray(outline, dtype=np.float64)], [np.arange(len(outline))], 0
    for hole in holes:
        first += len(numbers[-1])
        rings.append(hole[::-1])
        numbers.append(first + np.arange(len(hole))[::-1])
    found = manifold3d.triangulate([ring.tolist() for ring in rings])
    return np.asarray(np.concatenate(numbers)[np.asarray(found, dtype=np.int64)])


@dataclass(frozen=True, slots=True)
class Overlap:
    """What two solids share: volume in mm³ and the bounds of it, mm."""

    volume: float
    low: Floats
    high: Floats

    @property
    def depth(self) -> float:
        """How far they would have to be moved apart, mm: the least extent of what they share."""
        return float(min(self.high - self.low))


NOTHING = Overlap(0.0, np.zeros(3), np.zeros(3))


class Prism:
    """One board, or one swept board, as a convex solid.

    Attributes:
        points: its corners (n, 3), mm.
        along: the axes of the box (0 to 2) along which it is a prism: all three where it fills its
            own bounds, one where a board is cut aslant, none where one is swept aslant.
    """

    __slots__ = ("_ends", "_section", "_solid", "along", "points")

    def __init__(
        self,
        points: Floats,
        along: tuple[int, ...],
        section: Polygon = (),
        ends: Ends | None = None,
    ) -> None:
        """Note the prism.

        Args:
            points: its corners (n, 3), mm.
            along: the axes along which it is a prism.
            section: square to the one axis, in the two axes that come after it, anticlockwise, mm;
                of no account where there are three axes, or none.
            ends: its bounds, if they are known.
        """
        self.points = points
        self.along = along
        self._section = section
        # plain numbers: most pairs are compared by these alone, one at a time
        self._ends: Ends = ends or tuple(
            zip(points.min(axis=0).tolist(), points.max(axis=0).tolist(), strict=True)
        )
        self._solid: Any = None

    @property
    def low(self) -> Floats:
        """The least x, y and z, mm."""
        return np.array([low for low, _ in self._ends])

    @property
    def high(self) -> Floats:
        """The greatest x, y and z, mm."""
        return np.array([high for _, high in self._ends])

    @property
    def solid(self) -> manifold3d.Manifold:
        """The prism in the manifold engine."""
        if self._solid is None:
            self._solid = hull(self.points)
        return self._solid

    def section(self, axis: int) -> Polygon:
        """Return the section square to an axis along which it is a prism, as at the beginning."""
        if len(self.along) == 1:
            return self._section
        (u0, u1), (v0, v1) = (self._ends[k] for k in _after(axis))
        return rectangle(u0, v0, u1, v1)

    def moved(self, by: Sequence[float] | Floats) -> Prism:
        """Return the prism shifted by a vector, mm."""
        ends = tuple((low + d, high + d) for (low, high), d in zip(self._ends, by, strict=True))
        section = self._section
        if section:
            u, v = _after(self.along[0])
            section = moved(section, float(by[u]), float(by[v]))
        return Prism(self.points + np.asarray(by, dtype=np.float64), self.along, section, ends)

    def swept(self, by: Sequence[float] | Floats) -> Prism:
        """Return all that the prism passes through while it moves by a vector, both ends included.

        Exact for a convex solid: the hull of its first and its last place.
        """
        shift = np.asarray(by, dtype=np.float64)
        points = np.concatenate((self.points, self.points + shift))
        going = [k for k in range(3) if abs(shift[k]) > _FLAT]
        if len(self.along) == 3 and len(going) <= 1:
            return Prism(points, self.along)
        if going == list(self.along):
            return Prism(points, self.along, self._section)
        for axis in self.along:
            if axis not in going:
                u, v = (float(shift[k]) for k in _after(axis))
                here = self.section(axis)
                return Prism(points, (axis,), hull_of((*here, *moved(here, u, v))))
        return Prism(points, ())

    def overlap(self, other: Prism) -> Overlap:
        """Return what two prisms share."""
        spans = []
        for (low, high), (other_low, other_high) in zip(self._ends, other._ends, strict=True):
            begin, end = max(low, other_low), min(high, other_high)
            if end - begin <= _FLAT:
                return NOTHING
            spans.append((begin, end))
        common = [axis for axis in self.along if axis in other.along]
        if not common:
            return self._cut_out(other)
        if len(common) == 1:
            axis = common[0]
            shared = clip(self.section(axis), other.section(axis))
            if not shared:
                return NOTHING
            u0, v0, u1, v1 = bounds(shared)
            for k, ends in zip(_after(axis), ((u0, u1), (v0, v1)), strict=True):
                spans[k] = ends
            begin, end = spans[axis]
            volume = area(shared) * (end - begin)
        else:
            volume = math.prod(end - begin for begin, end in spans)
        low_corner, high_corner = np.array(spans).T
        return Overlap(volume, low_corner, high_corner)

    def _cut_out(self, other: Prism) -> Overlap:
        """Return what two solids share that are prisms along no axis together."""
        shared = self.solid ^ other.solid
        volume = float(shared.volume())
        if volume <= 0:
            return NOTHING
        box = shared.bounding_box()
        return Overlap(volume, np.array(box[:3]), np.array(box[3:]))


def _after(axis: int) -> tuple[int, int]:
    """Return the two axes after one: x, y, z, x, y."""
    return (axis + 1) % 3, (axis + 2) % 3


def prism_of(board: Board) -> Prism:
    """Return a board as a prism in box coordinates."""
    place, points = board.placement, np.array(board.corners)
    if not _is_square(place.normal):
        return Prism(points, ())
    if _is_square(place.grain) and len(board.outline) == 4 and _is_upright(board.outline):
        return Prism(points, (0, 1, 2))
    axis = max(range(3), key=lambda k: abs(place.normal[k]))
    u, v = _after(axis)
    face = tuple((corner[u], corner[v]) for corner in board.corners[: len(board.outline)])
    return Prism(points, (axis,), face if area(face) > 0.0 else face[::-1])


def _is_upright(outline: Polygon) -> bool:
    """Return whether every edge runs along x or y."""
    pairs = zip(outline, outline[1:] + outline[:1], strict=True)
    return all(abs(a[0] - b[0]) < 1e-9 or abs(a[1] - b[1]) < 1e-9 for a, b in pairs)


def _is_square(direction: Vector) -> bool:
    """Return whether a unit vector is an axis of the box."""
    return sorted(abs(x) for x in direction)[1] < _SQUARE


def cylinder(radius: float, bottom: float, top: float, sides: int = 48) -> Prism:
    """Return an upright cylinder on the middle of the box as a prism that contains it.

    Its flats face the walls, so that it is as wide and as deep as the cylinder.

    Args:
        radius: mm.
        bottom: z, mm.
        top: z, mm.
        sides: of the prism.
    """
    angles = (np.arange(sides) + 0.5) * (2 * np.pi / sides)
    outer = radius / np.cos(np.pi / sides)
    ring = np.stack((outer * np.cos(angles), outer * np.sin(angles)), axis=1)
    points = [np.column_stack((ring, np.full(sides, z))) for z in (bottom, top)]
    section = tuple((x, y) for x, y in ring.tolist())
    return Prism(np.concatenate(points), (2,), section)


class PrismSet:
    """All boards of a box as prisms, with their bounds side by side.

    ``low`` and ``high`` are (n, 3) arrays in mm in the order of ``names``.
    """

    def __init__(self, boards: Mapping[str, Board]) -> None:
        """Make a prism of each board."""
        self.names = list(boards)
        self.index = {name: i for i, name in enumerate(self.names)}
        self.prisms = [prism_of(board) for board in boards.values()]
        self.low: Floats = np.array([prism.low for prism in self.prisms])
        self.high: Floats = np.array([prism.high for prism in self.prisms])

    def __getitem__(self, name: str) -> Prism:
        """Return the prism of a board."""
        return self.prisms[self.index[name]]

    @cached_property
    def near_pairs(self) -> list[tuple[int, int]]:
        """Pairs whose bounds overlap by more than rounding, each once."""
        order = np.argsort(self.low[:, 0], kind="stable")
        low, high = self.low[order], self.high[order]
        ends = np.searchsorted(low[:, 0], high[:, 0] - _FLAT)
        found = []
        for i, end in enumerate(ends):
            if end <= i + 1:
                continue
            rest = slice(i + 1, int(end))
            shared = np.minimum(high[i], high[rest]) - np.maximum(low[i], low[rest])
            for k in np.flatnonzero((shared > _FLAT).all(axis=1)):
                pair = sorted((int(order[i]), int(order[i + 1 + k])))
                found.append((pair[0], pair[1]))
        return sorted(found)

    def meeting(self, prism: Prism, among: Iterable[int]) -> list[int]:
        """Return which of some boards have bounds that overlap a prism's."""
        chosen = np.fromiter(among, dtype=np.intp)
        if not len(chosen):
            return []
        shared = np.minimum(prism.high, self.high[chosen]) - np.maximum(prism.low, self.low[chosen])
        return [int(i) for i in chosen[(shared > _FLAT).all(axis=1)]]
