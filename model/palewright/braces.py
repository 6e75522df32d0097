"""Brace angles: how steeply a board lies in an opening when its ends are cut upright."""

from __future__ import annotations

import math


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


def second_cut(degrees: float) -> float:
    """Return the degrees off square of the inner cut of a crossing brace's halves.

    Two boards that lie θ off the rail, rising and falling, meet at 2θ; the half that butts
    against the long one is cut |90° − 2θ| off square: 18° for braces at 36° (common practice,
    no source).
    """
    return abs(90.0 - 2.0 * degrees)


def height_for_angle(width: float, board: float, degrees: float) -> float:
    """Return the height of opening (mm) in which a brace lies at the given angle."""
    return width * math.tan(math.radians(degrees)) + plumb_length(board, degrees)


def width_for_angle(height: float, board: float, degrees: float) -> float:
    """Return the width of opening (mm) in which a brace lies at the given angle."""
    return (height - plumb_length(board, degrees)) / math.tan(math.radians(degrees))
