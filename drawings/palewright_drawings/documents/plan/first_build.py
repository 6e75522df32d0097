"""How long a first box takes and what it asks of hands: rules of our own, stated here.

Every number is a judgement of the authors; none is measured, none is of the maker's shop (whose
minutes are no buyer's, and whose figures stay in the shop).
"""

from __future__ import annotations

from collections.abc import Sequence

from palewright.design import Design
from palewright.reading.lengths import INCH
from palewright.sawing.numbered_plans import NumberedPlan

_SETTING = 3.0  # find the line on the fence, try it on scrap
_CUT = 0.8  # fetch, cut, mark the piece, stack it
_BOARD = 2.0  # find, lay, square, clamp
_SCREW = 1.5  # mark, drill for shank and thread, sink, drive
_REST = 90.0  # read the plan, sand, finish, line, sweep
"""Minutes of somebody who builds it for the first time, by hand and without jigs."""

_NARROW = 1.5 * INCH
"""Strips ripped narrower than this (mm) ask for a practised hand at the saw."""

_SQUARE = 0.05
"""An end less off square than this (degrees) is square: no saw shows it."""


def first_build_minutes(design: Design, plans: Sequence[NumberedPlan]) -> float:
    """Return the minutes that a first box takes, cut as some plans say, drying not counted."""
    saw = [one.plan.plan.setups for one in plans]
    return (
        _SETTING * sum(one.count for one in saw)
        + _CUT * sum(one.passes() for one in saw)
        + _BOARD * len(design.box.boards)
        + _SCREW * len(design.box.screws)
        + _REST
    )


def first_build_text(design: Design, plans: Sequence[NumberedPlan]) -> str:
    """Return the time of a first box: full hours, and days of six hours at the bench."""
    hours = max(1, round(first_build_minutes(design, plans) / 60))
    days = max(1, round(hours / 6))
    return f"about {hours} hours, {days} day{'' if days == 1 else 's'}, drying apart"


def skill_text(design: Design) -> str:
    """Return what hands must know: square cuts, slanted ones, or points and narrow strips."""
    parts = design.parts
    ends = [
        [angle for angle in end if angle >= _SQUARE]
        for part in parts
        for end in (part.left_angles, part.right_angles)
    ]
    if any(len(end) > 1 for end in ends):
        return "practised: ends cut to a point"
    if any(p.width < min(_NARROW, p.stock.true_width - 0.01) for p in parts):
        return "practised: narrow strips at the saw"
    if any(ends):
        return "some practice: slanted ends"
    return "a first project: square cuts alone"
