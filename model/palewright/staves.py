"""How a wall is divided into staves."""

from __future__ import annotations

from dataclasses import dataclass

from palewright.errors import InputError
from palewright.parameters import StaveLayout
from palewright.units import both_units

_SLIVER = 0.5
"""A remainder below this (mm) is left as play between the staves: no saw rips it."""


@dataclass(frozen=True, slots=True)
class Stave:
    """One stave of a wall: where it begins and how wide it is, mm; ripped narrower or not."""

    start: float
    width: float
    filler: bool


def divide_wall(
    span: float, board: float, gap: float, safe_rip: float, layout: StaveLayout
) -> list[Stave]:
    """Return the staves of a wall from left to right.

    Full boards with a ripped filler in the middle, or all equal. Where the filler would be
    narrower than ``safe_rip``, it and one full board are replaced by two equal fillers, or all
    boards by equal ones, so that no strip is dangerous to rip where that is possible.

    Args:
        span: width to fill, mm.
        board: true width of a full board, mm.
        gap: movement gap between staves, mm.
        safe_rip: least width of a ripped strip, mm.
        layout: ``filler`` or ``equal``.

    Raises:
        InputError: if the wall is narrower than the safe rip.
    """
    if span < safe_rip:
        raise InputError(
            f"a wall of {both_units(span)} is narrower than the safe rip of "
            f"{both_units(safe_rip)}; allowed: a wider box, or narrower stiles or lip",
            key="wall.safe_rip",
        )
    widths = _equal(span, board, gap) if layout == "equal" else _filled(span, board, gap, safe_rip)
    staves, start = [], 0.0
    spare = span - sum(widths) - gap * (len(widths) - 1)
    between = gap + (spare / (len(widths) - 1) if len(widths) > 1 else 0.0)
    for width in widths:
        staves.append(Stave(start, width, filler=width < board - 1e-6))
        start += width + between
    return staves


def _equal(span: float, board: float, gap: float) -> list[float]:
    """Return the fewest equal widths that fill the span."""
    count = max(1, -int(-((span + gap) / (board + gap) - 1e-9) // 1))
    return [(span - gap * (count - 1)) / count] * count


def _filled(span: float, board: float, gap: float, safe_rip: float) -> list[float]:
    """Return full widths with a filler, or two, in the middle."""
    full = int((span + gap) / (board + gap) + 1e-9)
    left = span + gap - full * (board + gap)  # what a filler and its gap would take
    filler = left - gap
    if full and left <= _SLIVER * full:
        return [board] * full
    if filler >= safe_rip or not full:
        half = -(-full // 2)
        return [board] * half + [filler if full else span] + [board] * (full - half)
    full -= 1
    pair = (span - full * (board + gap) - gap) / 2
    if pair < safe_rip:  # boards so narrow that two fillers are too: equal strips are the widest
        return _equal(span, board, gap)
    half = full // 2
    return [board] * half + [pair, pair] + [board] * (full - half)
