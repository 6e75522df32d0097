"""A board as data: what every later stage reads.

A board lies in a frame of its own: x along the grain, y across, z through the thickness, the
datum face at z = 0. The datum face is the one that fixes the board in the box, so that a thicker
board grows away from it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from typing import NamedTuple

from palewright.catalogue.lumber import Stock
from palewright.geometry.polygons import Point, Polygon, area, bounds, is_convex, off_grain
from palewright.reading.lengths import noiseless

Vector = tuple[float, float, float]


def plus(a: Vector, b: Vector, scale: float = 1.0) -> Vector:
    """Return ``a + scale · b``."""
    return a[0] + scale * b[0], a[1] + scale * b[1], a[2] + scale * b[2]


def _scaled(a: Vector, scale: float) -> Vector:
    """Return ``scale · a``."""
    return a[0] * scale, a[1] * scale, a[2] * scale


def minus(a: Vector, b: Vector) -> Vector:
    """Return ``a − b``."""
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


def dot(a: Vector, b: Vector) -> float:
    """Return the scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vector, b: Vector) -> Vector:
    """Return the vector product."""
    return (
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    )


@dataclass(frozen=True)
class Placement:
    """Where a board's frame stands in the box: origin in mm, two unit vectors."""

    origin: Vector
    grain: Vector
    across: Vector

    @cached_property
    def normal(self) -> Vector:
        """Unit vector from the datum face into the board."""
        return cross(self.grain, self.across)

    def out(self, x: float, y: float, z: float = 0.0) -> Vector:
        """Return the box coordinates of a point given in the board's frame."""
        o, g, a, n = self.origin, self.grain, self.across, self.normal
        return (
            o[0] + x * g[0] + y * a[0] + z * n[0],
            o[1] + x * g[1] + y * a[1] + z * n[1],
            o[2] + x * g[2] + y * a[2] + z * n[2],
        )

    def direction_out(self, v: Vector) -> Vector:
        """Return the box direction of a direction given in the board's frame."""
        return plus(plus(_scaled(self.grain, v[0]), self.across, v[1]), self.normal, v[2])

    def into(self, point: Vector) -> Vector:
        """Return the coordinates in the board's frame of a point of the box."""
        away = minus(point, self.origin)
        return dot(away, self.grain), dot(away, self.across), dot(away, self.normal)

    def direction_into(self, v: Vector) -> Vector:
        """Return the direction in the board's frame of a direction of the box."""
        return dot(v, self.grain), dot(v, self.across), dot(v, self.normal)


@dataclass(frozen=True, slots=True)
class Hole:
    """A drilled hole, in the board's frame: where the drill enters, and which way it goes.

    ``kind`` is ``clearance`` (the shank slides through) or ``pilot`` (the thread bites).
    ``sink`` is the diameter of the countersink at the entry, 0 for none. All in mm.
    """

    kind: str
    start: Vector
    axis: Vector
    diameter: float
    depth: float
    through: bool
    sink: float = 0.0
    screw: str = ""

    @property
    def square(self) -> bool:
        """Whether the hole is drilled square into a face (not into an edge or end)."""
        return abs(self.axis[2]) > 0.999


@dataclass(frozen=True)
class Board:
    """One board of the box.

    Attributes:
        name: unique, ``panel.role-detail``, such as ``front.stile-left``.
        role: the trade's word: stile, rail, stave, brace, cap, slat, cleat, post, bar …
        panel: the sub-assembly it belongs to.
        stock: what it is cut from.
        outline: convex polygon in the board's frame, mm, counter-clockwise, from (0, 0) up.
        thickness: mm.
        placement: where it stands.
        holes: drilled holes.
    """

    name: str
    role: str
    panel: str
    stock: Stock = field(repr=False)
    outline: Polygon
    thickness: float
    placement: Placement
    holes: tuple[Hole, ...] = ()

    def __post_init__(self) -> None:
        """Refuse an outline that no saw cuts: our own mistake, not the maker's."""
        if not is_convex(self.outline) or self.thickness <= 0:
            raise ValueError(f"{self.name}: outline must be convex and thick: {self.outline}")

    @property
    def length(self) -> float:
        """Length along the grain over everything, mm."""
        return _sawn(self.outline).length

    @property
    def width(self) -> float:
        """Width across the grain, mm."""
        return _sawn(self.outline).width

    @cached_property
    def volume(self) -> float:
        """Volume without holes, mm³."""
        return area(self.outline) * self.thickness

    @property
    def end_angles(self) -> tuple[float, ...]:
        """Degrees off square of the end cuts: at the left end, then at the right end.

        One angle an end, or two where an end is cut to a point.
        """
        return self.left_angles + self.right_angles

    @property
    def left_angles(self) -> tuple[float, ...]:
        """Degrees off square of the cuts at the end where x is least."""
        return _sawn(self.outline).left_angles

    @property
    def right_angles(self) -> tuple[float, ...]:
        """Degrees off square of the cuts at the end where x is greatest."""
        return _sawn(self.outline).right_angles

    @property
    def edge_lengths(self) -> tuple[float, float]:
        """Lengths (mm) of the two long edges, the longer first: long points and short points."""
        return _sawn(self.outline).edge_lengths

    @property
    def cut_alike(self) -> tuple[object, ...]:
        """What two outlines have in common that are cut alike: to a thousandth, however they lie.

        Sizes over everything, both edges and the angles at both ends leave one outline, but for
        turning it over or round.
        """
        return _sawn(self.outline).alike

    @cached_property
    def shape_key(self) -> tuple[object, ...]:
        """What makes two solids equal: outline, thickness, holes; rounded to 0.1 µm."""
        holes = tuple(
            (
                hole.kind,
                _rounded(hole.start),
                _rounded(hole.axis),
                round(hole.diameter, 4),
                round(hole.depth, 4),
                hole.through,
                round(hole.sink, 4),
            )
            for hole in self.holes
        )
        return (tuple(_rounded(corner) for corner in self.outline), round(self.thickness, 4), holes)

    @cached_property
    def corners(self) -> tuple[Vector, ...]:
        """The corners in box coordinates: the datum face, then the far face."""
        out = self.placement.out
        return tuple(out(x, y, z) for z in (0.0, self.thickness) for x, y in self.outline)

    def with_holes(self, holes: Iterable[Hole]) -> Board:
        """Return the same board with these holes."""
        return replace(self, holes=tuple(holes))


class _Sawn(NamedTuple):
    """What of an outline a saw is set to: mm and degrees off square, as `Board` has them."""

    length: float
    width: float
    edge_lengths: tuple[float, float]
    left_angles: tuple[float, ...]
    right_angles: tuple[float, ...]
    alike: tuple[object, ...]


@lru_cache(maxsize=2048)
def _sawn(outline: Polygon) -> _Sawn:
    """Return what a saw is set to for an outline.

    Kept, since a box has far fewer outlines than boards, and shares most with the next size.
    """
    x0, y0, x1, y1 = bounds(outline)
    left: list[float] = []
    right: list[float] = []
    for start, end in zip(outline, outline[1:] + outline[:1], strict=True):
        angle = off_grain(start, end, 0.0)
        if angle > 1.0 and math.dist(start, end) > 1e-6:
            # counter-clockwise: an edge that goes up is at the right end
            (right if end[1] > start[1] else left).append(round(90.0 - angle, 6))
    ys = {round(y, 6) for _, y in outline}
    spans = []
    for level in (min(ys), max(ys)):
        xs = [x for x, y in outline if abs(y - level) < 1e-5]
        spans.append(max(xs) - min(xs))
    edges = (max(spans), min(spans))
    sizes = tuple(noiseless(size, 3) for size in (x1 - x0, y1 - y0, *edges))
    turned = sorted(tuple(sorted(noiseless(angle, 3) for angle in end)) for end in (left, right))
    return _Sawn(x1 - x0, y1 - y0, edges, tuple(left), tuple(right), (*sizes, *turned))


def _rounded(values: Iterable[float]) -> tuple[float, ...]:
    """Return the values to 0.1 µm, without negative zeros."""
    return tuple(round(value, 4) + 0.0 for value in values)


@lru_cache(maxsize=4096)
def _laid(
    polygon: Polygon, grain_degrees: float, outward: bool
) -> tuple[Point, Point, Point, Polygon]:
    """Return the directions along and over the grain of a board in a plane, and its outline.

    With the point (along, over) where the outline's own (0, 0) lies. Kept, since panels that face
    each other are alike, and so is a panel in all lumber cases.
    """
    angle = math.radians(grain_degrees)
    cos, sin = math.cos(angle), math.sin(angle)
    # snap, so that level and upright boards are exact
    cos, sin = (round(value, 15) + 0.0 for value in (cos, sin))
    along: Point = (cos, sin)
    over: Point = (-sin, cos) if outward else (sin, -cos)
    local = [(p[0] * along[0] + p[1] * along[1], p[0] * over[0] + p[1] * over[1]) for p in polygon]
    x0, y0, _, _ = bounds(tuple(local))
    outline = tuple((x - x0, y - y0) for x, y in (local if outward else reversed(local)))
    return along, over, (x0, y0), outline


@dataclass(frozen=True, slots=True)
class Plane:
    """A plane that boards are laid out in: a panel's, the cap's, the floor's.

    ``u`` and ``v`` are unit vectors; ``u × v`` points out of the box, or up.
    """

    origin: Vector
    u: Vector
    v: Vector

    @property
    def out(self) -> Vector:
        """Unit vector out of the plane."""
        return cross(self.u, self.v)

    def point(self, u: float, v: float, w: float = 0.0) -> Vector:
        """Return box coordinates of a point at (u, v), ``w`` mm out of the plane."""
        return plus(plus(plus(self.origin, self.u, u), self.v, v), self.out, w)

    def board(
        self,
        name: str,
        role: str,
        stock: Stock,
        polygon: Polygon,
        grain_degrees: float,
        thickness: float,
        outward: bool = True,
    ) -> Board:
        """Return a board whose datum face lies in this plane.

        Args:
            name: unique name; the part before the dot is the panel.
            role: the trade's word for it.
            stock: what it is cut from.
            polygon: outline in (u, v), mm, counter-clockwise.
            grain_degrees: direction of the grain from ``u``.
            thickness: mm.
            outward: whether the board lies on the outer side of the plane.
        """
        along, over, (x0, y0), outline = _laid(polygon, grain_degrees, outward)
        u0, v0 = x0 * along[0] + y0 * over[0], x0 * along[1] + y0 * over[1]
        placement = Placement(
            self.point(u0, v0),
            self.direction(*along),
            self.direction(*over),
        )
        panel = name.partition(".")[0]
        return Board(name, role, panel, stock, outline, thickness, placement)

    def direction(self, u: float, v: float) -> Vector:
        """Return the box direction of a direction in the plane."""
        return plus(_scaled(self.u, u), self.v, v)
