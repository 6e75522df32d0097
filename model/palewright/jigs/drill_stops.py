"""How far the drill may reach through a jig: for the hole the shank slides through, and the pilot.

The bit's stop collar bears on the jig. In thin lumber the bit comes nearest to the face, so the
pilot is measured there; the clearance hole is as deep as the thickest boards need, so that no
thread ever holds a board off its neighbour.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from palewright.catalogue.screws import ScrewKind
from palewright.construction.boards import Board
from palewright.construction.joints import Screw
from palewright.construction.line_spans import inside_span
from palewright.jigs.records import DrillStop
from palewright.reading.lengths import INCH

_IN_CHUCK = 0.75 * INCH
"""A chuck holds so much of a bit at least (common practice, no source)."""

_COLLAR = 0.3125 * INCH
"""A stop collar takes so much of it (common practice, no source)."""

_JOBBER = {
    # 64ths of an inch: overall length in inches
    4: 1.875, 5: 2.0, 6: 2.25, 7: 2.625, 8: 2.75, 9: 2.875, 10: 3.125, 11: 3.25, 12: 3.5,
    13: 3.625, 14: 3.75, 15: 3.875, 16: 4.0,
}  # fmt: skip
"""Overall lengths of jobber bits (ASME B94.11M, from memory: measure yours)."""


def bit_reach(diameter: float) -> float:
    """Return how far (mm) a bit of ordinary length stands out of its stop collar."""
    step = round(diameter / INCH * 64)
    length = _JOBBER[min(max(step, min(_JOBBER)), max(_JOBBER))]
    return length * INCH - _IN_CHUCK - _COLLAR


def thicknesses(screw: Screw, boards: Mapping[str, Board]) -> list[tuple[float, float]]:
    """Return (least, most) wood in mm along a screw in each board of its stack, in any lumber.

    A board crossed from face to face is as thick as its stock; one entered at its edge is cut to
    size and does not vary.
    """
    found = []
    for name in screw.stack:
        board = boards[name]
        axis = board.placement.direction_into(screw.axis)
        if abs(axis[2]) > 0.999:
            found.append((board.stock.thinnest, board.stock.thickest))
            continue
        span = inside_span(board, board.placement.into(screw.head), axis)
        long = span[1] - max(span[0], 0.0) if span else 0.0
        found.append((long, long))
    return found


def drill_stops(
    kind: ScrewKind,
    stack: Sequence[tuple[float, float]],
    thickness: float,
    margin: float,
    step: float,
) -> tuple[DrillStop, ...]:
    """Return the settings of the drill for one kind of screw in one stack of boards.

    Args:
        kind: the screw.
        stack: (least, most) thickness of each board in order, mm; the thread holds in the last.
        thickness: of the jig's plate, mm.
        margin: wood that must stay in front of the bit, mm.
        step: stops are multiples of this, mm; the pilot's is rounded down, the clearance's up.

    Returns:
        Clearance, then pilot; none where the boards are too thin for the margin.
    """
    thinnest = sum(least for least, _ in stack)
    deepest = thinnest - margin
    clear = sum(most for _, most in stack[:-1])
    clear = math.ceil((thickness + clear) / step - 1e-6) * step - thickness
    pilot = min(kind.length, deepest)
    pilot = math.floor((thickness + pilot) / step + 1e-6) * step - thickness
    if clear > deepest or pilot <= clear:
        return ()
    settings = (("clearance", kind.clearance, clear), ("pilot", kind.pilot, pilot))
    return tuple(
        DrillStop(
            "clearance" if use == "clearance" else "pilot",
            diameter,
            below,
            thickness + below,
            thinnest - below,
            bit_reach(diameter),
        )
        for use, diameter, below in settings
    )
