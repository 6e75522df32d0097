"""A plate with fences: strips on edge that hang below its borders and find the boards' edges.

The plate's frame has x = 0 on the inner face of the side fence and y = 0 on that of the end fence.
Fences stand in notches of the plate's border, so that the router places them: the bottom of a notch
is the line on which the fence bears. Where the bit is too thick for such notches the strips are
glued flush with the border instead, which puts their faces on the same lines.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from palewright.construction.boards import Placement, Vector
from palewright.geometry.contours import (
    Contour,
    Notch,
    notched,
    relief_radius,
    relieved,
    rounded_inside,
    straight,
)
from palewright.geometry.polygons import Point, rectangle
from palewright.jigs.records import Drill, JigPart, Words
from palewright.jigs.text_places import LEAST_LETTER, text_width

SAWDUST = 6.0
"""Fences stay so far (mm) from each other and from corners, for sawdust to fall into."""

LEAST_FENCE = 24.0
"""A shorter fence (mm) does not hold a plate square."""

_LONGEST_TAB, _LEAST_TAB = 40.0, 8.0
_TWO_TABS = 100.0
_STRIP_LETTER = 6.0
_LEAST_NECK = 0.5
_FLAT = 1e-6
"""Of tabs the longest and the shortest, mm; an edge from which it has two; engraved capitals on
strips; wood left between two relieved corners (all judgement); and what floats leave, mm."""


@dataclass(frozen=True, slots=True)
class FenceStrip:
    """A fence, on edge: a strip of the plate's own material with tabs that stand in the plate.

    Attributes:
        thickness: of plate and strip, mm.
        height: how far it hangs below the plate, mm.
        tool: diameter of the bit, mm.
        slack: a notch is so much (mm) longer than its tab.
    """

    thickness: float
    height: float
    tool: float
    slack: float

    def tabs(self, length: float) -> list[tuple[float, float]]:
        """Return from and to (mm) of the tabs of a strip, the same from both its ends."""
        radius = relief_radius(self.tool)
        if min(self.thickness, self.height) < 2 * radius + _LEAST_NECK:
            return []
        shoulder = 2 * radius + _LEAST_NECK
        count = 2 if length >= _TWO_TABS else 1
        tab = min(_LONGEST_TAB, length / (2 * count), length / count - 2 * shoulder)
        if tab < max(_LEAST_TAB, 2 * radius):
            return []
        middles = [length / 2] if count == 1 else [length / 4, 3 * length / 4]
        return [(middle - tab / 2, middle + tab / 2) for middle in middles]

    def notches(self, start: float, length: float) -> list[Notch]:
        """Return the notches for a strip that begins at ``start`` along an edge."""
        half = self.slack / 2
        return [
            Notch(start + a - half, start + b + half, self.thickness) for a, b in self.tabs(length)
        ]

    def outline(self, length: float, faces: int) -> Contour:
        """Return a strip flat, its tabs above; half as high where two strips share a notch."""
        height = self.height
        corners: list[tuple[Point, str]] = [((0.0, 0.0), ""), ((length, 0.0), "")]
        corners.append(((length, height), ""))
        for a, b in reversed(self.tabs(length)):
            top = height + self.thickness / faces
            # the shoulder is hollowed, so that the tab's sides stay whole
            corners += [((b, height), "before"), ((b, top), ""), ((a, top), "")]
            corners.append(((a, height), "after"))
        corners.append(((0.0, height), ""))
        return relieved(corners, relief_radius(self.tool))


@dataclass(frozen=True, slots=True)
class PlatePlan:
    """What a plate with fences measures, all mm.

    Attributes:
        right, top: the plate reaches so far from the fences' inner faces.
        side: from and to along y of the side fence.
        end: from and to along x of the end fence; equal where there is none.
        strip: what plate and fences are made of.
        leg: how far the plate reaches below y = 0 to the ends of stiles; 0 for no legs.
        leg_width: of the boards below the legs.
        two_legs: whether there is one at the right border, too.
        inset: width of the flat stop along the side fence, 0 for none.
        rise: width of the flat stop along the end fence, 0 for none.
        faces: 2 where it is turned over: fences above, too.
    """

    right: float
    top: float
    side: tuple[float, float]
    end: tuple[float, float]
    strip: FenceStrip
    leg: float = 0.0
    leg_width: float = 0.0
    two_legs: bool = False
    inset: float = 0.0
    rise: float = 0.0
    faces: int = 1

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the plate over everything, mm."""
        thick = self.strip.thickness
        return self.right + thick, self.top + self.leg + thick


def plate_parts(plan: PlatePlan, guides: Sequence[Point], guide: float) -> tuple[JigPart, ...]:
    """Return the plate, its fences and its stop, placed; guide holes of diameter ``guide`` (mm)."""
    thick = plan.strip.thickness
    flat = Placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    drills = tuple(Drill(point, guide) for point in guides)
    parts = [JigPart("plate", _plate_outline(plan), thick, flat, drills)]
    parts += _fences(plan, "side fence", plan.side, 0.0, upright=True)
    if plan.end[1] > plan.end[0]:
        parts += _fences(plan, "end fence", plan.end, 0.0, upright=False)
    for name, span in _leg_spans(plan):
        parts += _fences(plan, name, span, -plan.leg, upright=False)
    for name, across, span, upright in (
        ("stave stop", plan.inset, (max(plan.side[0], SAWDUST), plan.side[1]), True),
        ("end stop", plan.rise, (plan.inset + SAWDUST, plan.right - SAWDUST), False),
    ):
        if across:
            parts += _stops(plan, name, across, span, upright)
    return tuple(parts)


def _leg_spans(plan: PlatePlan) -> list[tuple[str, tuple[float, float]]]:
    """Return name, and from and to along x, of the fences at the ends of stiles."""
    if not plan.leg:
        return []
    spans = [("foot fence", (SAWDUST, plan.leg_width - SAWDUST))]
    if plan.two_legs:
        spans.append(
            ("far foot fence", (plan.right - plan.leg_width + SAWDUST, plan.right - SAWDUST))
        )
    return spans


def _plate_outline(plan: PlatePlan) -> Contour:
    """Return the plate's outline with its notches, counter-clockwise from its lower left corner."""
    thick, strip = plan.strip.thickness, plan.strip
    low = -thick - plan.leg
    corners: list[Point] = [(-thick, low)]
    if plan.leg:
        corners += [(plan.leg_width, low), (plan.leg_width, -thick)]
        if plan.two_legs:
            inner = plan.right - plan.leg_width
            corners += [(inner, -thick), (inner, low)]
        else:
            corners.append((plan.right, -thick))
    if not plan.leg or plan.two_legs:
        corners.append((plan.right, low))
    corners += [(plan.right, plan.top), (-thick, plan.top)]
    radius = relief_radius(strip.tool)
    outline = rounded_inside(corners, radius)
    # the left border runs down: begin with it, since notches shift what comes after
    downward = (plan.top - plan.side[1], plan.side[1] - plan.side[0])
    outline = notched(outline, len(outline) - 1, strip.notches(*downward), radius)
    levels = [(plan.end, -thick)] if plan.end[1] > plan.end[0] else []
    levels += [(span, low) for _, span in _leg_spans(plan)]
    for (start, end), level in levels:
        edge, x = _edge_below(outline, start, end, level)
        outline = notched(outline, edge, strip.notches(start - x, end - start), radius)
    return outline


def _edge_below(outline: Contour, start: float, end: float, level: float) -> tuple[int, float]:
    """Return index and first x of the straight edge to the right at a level, over a span."""
    for i, ((x0, y0, bulge), (x1, y1, _)) in enumerate(
        zip(outline, (*outline[1:], outline[0]), strict=True)
    ):
        level_edge = abs(y0 - level) < _FLAT and abs(y1 - level) < _FLAT and not bulge
        if level_edge and x0 <= start + _FLAT and x1 >= end - _FLAT:
            return i, x0
    raise ValueError(f"the plate has no border at {level} from {start} to {end}")


def _fences(
    plan: PlatePlan, name: str, span: tuple[float, float], level: float, upright: bool
) -> list[JigPart]:
    """Return one fence below the plate, and its fellow above it where there are two faces.

    Args:
        plan: of the plate.
        name: of the fence.
        span: from and to along the border.
        level: where its inner face stands: x of an upright fence, y of a level one.
        upright: whether it runs along y.
    """
    thick, height, length = plan.strip.thickness, plan.strip.height, span[1] - span[0]
    contour = plan.strip.outline(length, plan.faces)
    below: Vector
    above: Vector
    if upright:
        below, above = (level - thick, span[0], -height), (level - thick, span[1], 0.0)
        along: Vector = (0.0, 1.0, 0.0)
        back: Vector = (0.0, -1.0, 0.0)
    else:
        below, above = (span[0], level, -height), (span[1], level, 0.0)
        along, back = (1.0, 0.0, 0.0), (-1.0, 0.0, 0.0)
    above = (above[0], above[1], thick + height)
    words = strip_words(name, length, height)
    found = [JigPart(name, contour, thick, Placement(below, along, (0.0, 0.0, 1.0)), (), words)]
    if plan.faces == 2:
        placed = Placement(above, back, (0.0, 0.0, -1.0))
        found.append(JigPart(f"upper {name}", contour, thick, placed, (), words))
    return found


def _stops(
    plan: PlatePlan, name: str, across: float, span: tuple[float, float], upright: bool
) -> list[JigPart]:
    """Return the flat stops that set how far staves stand in from a stile's or a rail's edge.

    Args:
        plan: of the plate.
        name: of the stop.
        across: how far the staves stand in, mm.
        span: from and to along the border.
        upright: whether it runs along y, beside the side fence.
    """
    thick = plan.strip.thickness
    start, end = span
    contour = straight(rectangle(0.0, 0.0, end - start, across))
    along: Vector = (0.0, 1.0, 0.0) if upright else (1.0, 0.0, 0.0)
    back: Vector = (-1.0, 0.0, 0.0) if upright else (0.0, 1.0, 0.0)
    words = strip_words(name, end - start, across)
    found = []
    for face in range(plan.faces):
        level = thick if face else -thick
        corner = (across, start, level) if upright else (start, 0.0, level)
        placed = Placement(corner, along, back)
        found.append(JigPart(f"upper {name}" if face else name, contour, thick, placed, (), words))
    return found


def strip_words(name: str, length: float, height: float) -> tuple[Words, ...]:
    """Return a strip's name in its middle, as large as it takes; none where it is too small."""
    text = name.upper()
    size = min(_STRIP_LETTER, height / 3, length * 0.8 / text_width(text, 1.0))
    if size < LEAST_LETTER:
        return ()
    return (Words(text, ((length - text_width(text, size)) / 2, (height - size) / 2), size),)
