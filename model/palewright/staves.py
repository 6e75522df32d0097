"""How a wall is divided into staves."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from palewright.errors import InputError
from palewright.parameters import StaveLayout
from palewright.units import both_units

_SLIVER = 0.5
"""A remainder below this (mm) is left as play between the staves: no saw rips it."""


_MORE_STAVES = 3
"""So many more staves at most where seams have to leave the stiles' edges: the seams of n and of
n + 1 equal staves never fall together but at the middle."""


@dataclass(frozen=True, slots=True)
class Stave:
    """One stave of a wall: where it begins and how wide it is, mm; ripped narrower or not."""

    start: float
    width: float
    filler: bool


def divide_wall(
    span: float,
    board: float,
    gap: float,
    safe_rip: float,
    layout: StaveLayout,
    lap: float = 0.0,
    rooms: Sequence[tuple[float, float]] = (),
) -> list[Stave]:
    """Return the staves of a wall from left to right.

    Full boards with a ripped filler in the middle, or all equal. Where the filler would be
    narrower than ``safe_rip``, it and one full board are replaced by two equal fillers, or all
    boards by equal ones, so that no strip is dangerous to rip where that is possible.

    A stile and its rails are tied by the stave that lies behind both. Where a seam falls so near
    the stile's inner edge that no stave has room for a screw on either side of it, the filler
    goes to another place, or the wall is divided into equal staves.

    Args:
        span: width to fill, mm.
        board: true width of a full board, mm.
        gap: movement gap between staves, mm.
        safe_rip: least width of a ripped strip, mm.
        layout: ``filler`` or ``equal``.
        lap: how far the stiles reach over the wall at either end, mm.
        rooms: what a stave should have on the stile and on the rail beside its inner edge, mm, the
            best first; each is tried with all divisions before the next.

    Raises:
        InputError: if the wall is narrower than the safe rip.
    """
    if span < safe_rip:
        raise InputError(
            f"a wall of {both_units(span)} is narrower than the safe rip of "
            f"{both_units(safe_rip)}; allowed: a wider box, or narrower stiles or lip",
            key="wall.safe_rip",
        )
    first = _equal(span, board, gap) if layout == "equal" else _filled(span, board, gap, safe_rip)
    chosen = _spread(first, span, gap)
    if rooms and not _tied(chosen, span, lap, rooms[0]):
        ways = [_spread(widths, span, gap) for widths in _divisions(first, span, gap, safe_rip)]
        for room in rooms:
            tied = next((way for way in (chosen, *ways) if _tied(way, span, lap, room)), None)
            if tied:
                chosen = tied
                break
    return [Stave(start, width, filler=width < board - 1e-6) for start, width in chosen]


def _spread(widths: list[float], span: float, gap: float) -> list[tuple[float, float]]:
    """Return (start, width) of staves from left to right; what is spare goes between them."""
    spare = span - sum(widths) - gap * (len(widths) - 1)
    between = gap + (spare / (len(widths) - 1) if len(widths) > 1 else 0.0)
    found, start = [], 0.0
    for width in widths:
        found.append((start, width))
        start += width + between
    return found


def _tied(
    staves: list[tuple[float, float]], span: float, lap: float, room: tuple[float, float]
) -> bool:
    """Return whether at both ends one stave has room for a screw in the stile and in the rail.

    A stile that laps the wall by less than that is not helped by another division.
    """
    stile, rail = room
    if lap < stile:
        return True
    left = any(at <= lap - stile and lap + rail <= at + width for at, width in staves)
    edge = span - lap
    return left and any(at <= edge - rail and edge + stile <= at + width for at, width in staves)


def _divisions(
    widths: list[float], span: float, gap: float, safe_rip: float
) -> Iterator[list[float]]:
    """Return other divisions of a wall: strips in another order, equal ones, or wide ends."""
    full = max(widths)
    ripped = [width for width in widths if width < full - 1e-6]
    count = len(widths) - len(ripped)
    if ripped and count:
        places = sorted(range(count + 1), key=lambda place: abs(2 * place - count))
        for place in places:
            yield [full] * place + ripped + [full] * (count - place)
        if len(ripped) > 1:
            yield [ripped[0], *[full] * count, *ripped[1:]]
    for count in range(max(len(widths), 2), len(widths) + _MORE_STAVES + 1):
        room = span - gap * (count - 1)
        if safe_rip <= room / count <= full + 1e-6:
            yield [room / count] * count
        end = min((room - (count - 2) * safe_rip) / 2, full)
        if count > 2 and end >= safe_rip:  # the ends as wide as the strips between them leave
            middle = (room - 2 * end) / (count - 2)
            if middle <= full + 1e-6:
                yield [end, *[middle] * (count - 2), end]


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
