"""Face patterns: what fills the opening of a frame. One function a pattern, in a registry.

A pattern gets the opening and the widths of the boards it may use, and returns pieces as polygons
in the opening's own (u, v): from its lower left corner, seen from outside. To add a pattern, write
one function and put ``@face_pattern("its name")`` above it; tests and the gallery find it there.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache

from palewright.geometry.polygons import Polygon, mirrored, moved, rectangle
from palewright.reading.errors import InputError
from palewright.reading.lengths import both_units


def brace_angle(width: float, height: float, board: float) -> float | None:
    """Return the angle θ (degrees off the rail) of a brace from corner to corner.

    The brace is ``board`` wide and its ends are cut parallel to the stiles, so that it rises
    ``width · tan θ`` and takes ``board / cos θ`` of the stile: θ solves
    ``width · tan θ + board / cos θ = height``. Multiplied by cos θ this is
    ``R · cos(θ + φ) = board`` with ``R = √(height² + width²)`` and ``φ = atan2(width, height)``,
    which has one solution between 0° and 90° when the board is narrower than the opening is high.

    Args:
        width: width of the opening, mm.
        height: height of the opening, mm.
        board: width of the brace, mm.

    Returns:
        θ in degrees, or None where no such brace exists.
    """
    if width <= 0 or height <= 0 or not 0 < board < height:
        return None
    reach = math.hypot(height, width)
    return math.degrees(math.acos(board / reach) - math.atan2(width, height))


def plumb_length(board: float, degrees: float) -> float:
    """Return the length (mm) of the upright end cut of a brace."""
    return board / math.cos(math.radians(degrees))


@dataclass(frozen=True, slots=True)
class Opening:
    """The opening of a frame, and the boards a pattern may fill it with. All mm."""

    width: float
    height: float
    brace_width: float
    bar_width: float
    bar_gap: float


@dataclass(frozen=True, slots=True)
class PatternPiece:
    """One board of a pattern: outline in the opening's (u, v), grain in degrees from u."""

    name: str
    role: str
    polygon: Polygon
    grain: float

    def moved(self, du: float, dv: float, prefix: str = "") -> PatternPiece:
        """Return the piece shifted, its name prefixed."""
        return replace(self, name=prefix + self.name, polygon=moved(self.polygon, du, dv))


FacePattern = Callable[[Opening], list[PatternPiece]]
FACE_PATTERNS: dict[str, FacePattern] = {}


def face_pattern(name: str) -> Callable[[FacePattern], FacePattern]:
    """Register a face pattern under the name that a variant file uses."""

    def register(function: FacePattern) -> FacePattern:
        if name in FACE_PATTERNS:
            raise ValueError(f"two face patterns are called {name}")
        FACE_PATTERNS[name] = function
        return function

    return register


@cache
def is_braced(pattern: str) -> bool:
    """Return whether a pattern has braces, seen in an opening that is roomy enough for each."""
    roomy = Opening(width=600.0, height=400.0, brace_width=40.0, bar_width=40.0, bar_gap=40.0)
    return any(piece.role == "brace" for piece in FACE_PATTERNS[pattern](roomy))


def _solved(opening: Opening) -> float:
    """Return the brace angle of an opening in degrees, or complain that there is none."""
    angle = brace_angle(opening.width, opening.height, opening.brace_width)
    if angle is None or angle < 1.0:
        raise InputError(
            f"a brace {both_units(opening.brace_width)} wide cannot lie in an opening "
            f"{both_units(opening.width)} wide and {both_units(opening.height)} high; "
            "allowed: a narrower brace or a higher box",
            key="face.brace_width",
        )
    return angle


def _slant(opening: Opening) -> Polygon:
    """Return a brace that rises to the right, its ends cut upright."""
    end = plumb_length(opening.brace_width, _solved(opening))
    w, h = opening.width, opening.height
    return ((0.0, 0.0), (w, h - end), (w, h), (0.0, end))


@face_pattern("plain")
def plain(_opening: Opening) -> list[PatternPiece]:
    """Nothing but the staves behind."""
    return []


@face_pattern("slant")
def slant(opening: Opening) -> list[PatternPiece]:
    """One brace from the lower left to the upper right."""
    return [PatternPiece("brace", "brace", _slant(opening), _solved(opening))]


@face_pattern("peak")
def peak(opening: Opening) -> list[PatternPiece]:
    """Two braces that rise from both sides and meet upright in the middle."""
    half = replace(opening, width=opening.width / 2)
    left, angle = _slant(half), _solved(half)
    return [
        PatternPiece("brace-left", "brace", left, angle),
        PatternPiece("brace-right", "brace", mirrored(left, half.width), -angle),
    ]


@face_pattern("cross")
def cross(opening: Opening) -> list[PatternPiece]:
    """One long brace and two halves that butt against it."""
    angle = _solved(opening)
    w, h, end = opening.width, opening.height, plumb_length(opening.brace_width, angle)
    slope = math.tan(math.radians(angle))
    inner = (w * slope - end) / (2 * slope)  # where the half's lower edge meets the long brace
    if inner < opening.brace_width / 4:
        raise InputError(
            f"braces {both_units(opening.brace_width)} wide cannot cross in an opening "
            f"{both_units(w)} wide and {both_units(h)} high: nothing is left of the halves; "
            "allowed: a narrower brace or a larger box",
            key="face.brace_width",
        )
    left = (
        (0.0, h - end),
        (inner, h - end - inner * slope),
        (w / 2, end + w / 2 * slope),
        (0.0, h),
    )
    right = tuple((w - x, h - y) for x, y in left)
    return [
        PatternPiece("brace-long", "brace", _slant(opening), angle),
        PatternPiece("brace-half-left", "brace", left, -angle),
        PatternPiece("brace-half-right", "brace", right, -angle),
    ]


@face_pattern("double-cross")
def double_cross(opening: Opening) -> list[PatternPiece]:
    """Two crosses, with a middle rail between in a high opening or a middle stile in a wide one."""
    b = opening.brace_width
    if opening.height >= opening.width:
        part = replace(opening, height=(opening.height - b) / 2)
        middle = PatternPiece(
            "rail-middle", "rail", rectangle(0, part.height, part.width, part.height + b), 0
        )
        shift = (0.0, part.height + b)
        first, second = "low-", "high-"
    else:
        part = replace(opening, width=(opening.width - b) / 2)
        middle = PatternPiece(
            "stile-middle", "stile", rectangle(part.width, 0, part.width + b, part.height), 90
        )
        shift = (part.width + b, 0.0)
        first, second = "left-", "right-"
    _solved(part)
    crosses = [piece.moved(0, 0, first) for piece in cross(part)]
    crosses += [piece.moved(*shift, second) for piece in cross(part)]
    return [middle, *crosses]


@face_pattern("upright-bars")
def upright_bars(opening: Opening) -> list[PatternPiece]:
    """Upright bars, evenly spaced, no gap wider than asked."""
    spans = _spaced(opening.width, opening.bar_width, opening.bar_gap)
    return [
        PatternPiece(f"bar-{i}", "bar", rectangle(u, 0, u + opening.bar_width, opening.height), 90)
        for i, u in enumerate(spans, start=1)
    ]


@face_pattern("level-bars")
def level_bars(opening: Opening) -> list[PatternPiece]:
    """Level bars, evenly spaced, no gap wider than asked."""
    spans = _spaced(opening.height, opening.bar_width, opening.bar_gap)
    return [
        PatternPiece(f"bar-{i}", "bar", rectangle(0, v, opening.width, v + opening.bar_width), 0)
        for i, v in enumerate(spans, start=1)
    ]


def _spaced(span: float, bar: float, widest_gap: float) -> list[float]:
    """Return where the fewest bars begin that leave no gap wider than ``widest_gap``."""
    count = max(0, math.ceil((span - widest_gap) / (bar + widest_gap) - 1e-9))
    gap = (span - count * bar) / (count + 1)
    if gap < 0:
        raise InputError(
            f"bars {both_units(bar)} wide do not fit an opening of {both_units(span)}; "
            "allowed: narrower bars or a wider gap",
            key="face.bar_width",
        )
    return [gap + i * (bar + gap) for i in range(count)]
