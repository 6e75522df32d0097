"""The holes that screws need: clearance where the shank slides, pilot where the thread holds."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from palewright.construction.boards import Board, Hole, plus
from palewright.construction.joints import Screw
from palewright.construction.line_spans import inside_span


def holes_of(screws: Iterable[Screw], boards: Mapping[str, Board]) -> dict[str, list[Hole]]:
    """Return the holes of each board by name.

    Every board of a screw's stack but the last gets a clearance hole right through; the last gets
    a pilot hole as deep as the point reaches. The first is countersunk for the head.
    A board that the screw misses gets none: the checks report that.
    """
    found: dict[str, list[Hole]] = {}
    for screw in screws:
        for i, name in enumerate(screw.stack):
            board = boards[name]
            start = board.placement.into(screw.head)
            axis = board.placement.direction_into(screw.axis)
            span = inside_span(board, start, axis)
            if span is None or span[0] > screw.kind.length:
                continue
            last = i == len(screw.stack) - 1
            enter, leave = max(span[0], 0.0), span[1]
            depth = (min(leave, screw.kind.length) if last else leave) - enter
            if depth <= 0.0:
                continue
            found.setdefault(name, []).append(
                Hole(
                    kind="pilot" if last else "clearance",
                    start=plus(start, axis, enter),
                    axis=axis,
                    diameter=screw.kind.pilot if last else screw.kind.clearance,
                    depth=depth,
                    through=leave <= screw.kind.length + 1e-9,
                    sink=screw.kind.gauge.head if i == 0 else 0.0,
                    screw=screw.name,
                )
            )
    return found
