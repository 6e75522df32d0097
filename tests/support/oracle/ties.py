"""What hangs together: a graph of boards that screws with enough bite tie to each other."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from oracle.screws import Found
from oracle.solids import Solid

PANELS = ("front", "back", "left", "right")
FRAME = ("stile", "rail", "brace", "bar")
STAVES = ("stave", "filler")

END_SHARE = 1 / 3
"""A board is held at an end where a screw sits in the outer third of its length (judgement)."""

SHORT_REACH = 20.0
"""Or as near to it as this many diameters: twice the end distance that the NDS 2018 Commentary,
Table C12.1.5.7, advises, since no screw is asked to sit nearer (judgement)."""


def panel_of(name: str) -> str:
    """Return the sub-assembly that a board's name says: ``front`` of ``front.stile-left``."""
    return name.partition(".")[0]


def role_of(name: str) -> str:
    """Return what a board is by its name; a bar stile-like in the middle is a stile.

    ``low-brace-half-left`` is a brace, ``stile-middle`` a stile, ``upright-1-layer-1`` a packer.
    """
    panel, _, own = name.partition(".")
    if panel in ("cap", "trellis", "packers"):
        return {"packers": "packer"}.get(panel, panel)
    words = own.split("-")
    known = (*FRAME, *STAVES, "slat", "cleat", "post")
    return next((word for word in words if word in known), own)


def in_panel(name: str) -> bool:
    """Whether a board belongs to a panel as it leaves the bench: frame and staves."""
    return panel_of(name) in PANELS and role_of(name) in (*FRAME, *STAVES)


def stays(name: str) -> bool:
    """Whether a board must be one piece with the box: all but slats and the drop-in ladder."""
    return panel_of(name) not in ("floor", "trellis")


def pieces(boards: Iterable[str], ties: Iterable[Sequence[str]]) -> list[list[str]]:
    """Return the boards in groups of which each hangs together, the largest first."""
    beside: dict[str, set[str]] = {name: set() for name in boards}
    for stack in ties:
        for one in stack:
            beside[one].update(other for other in stack if other != one)
    groups: list[list[str]] = []
    seen: set[str] = set()
    for name in beside:
        if name in seen:
            continue
        seen.add(name)
        group, open_ = [], [name]
        while open_:
            group.append(open_.pop())
            fresh = beside[group[-1]] - seen
            seen |= fresh
            open_ += fresh
        groups.append(sorted(group))
    return sorted(groups, key=lambda group: (-len(group), group))


def panel_pieces(boards: Iterable[str], screws: Sequence[Found]) -> dict[str, list[list[str]]]:
    """Return the pieces of each panel on its own, by the panel's name."""
    names = list(boards)
    found = {}
    for panel in PANELS:
        mine = {name for name in names if panel_of(name) == panel and in_panel(name)}
        own = [one.boards for one in screws if mine.issuperset(one.boards)]
        found[panel] = pieces([name for name in names if name in mine], own)
    return found


def ladder_pieces(boards: Iterable[str], screws: Sequence[Found]) -> list[list[str]]:
    """Return the pieces of the ladder that drops in."""
    mine = [name for name in boards if panel_of(name) == "trellis"]
    return pieces(mine, [one.boards for one in screws if set(mine).issuperset(one.boards)])


def box_pieces(boards: Iterable[str], screws: Sequence[Found]) -> list[list[str]]:
    """Return the pieces of the finished box, without slats and ladder."""
    kept = [name for name in boards if stays(name)]
    inside = set(kept)
    return pieces(kept, [one.boards for one in screws if inside.issuperset(one.boards)])


def free_ends(
    boards: Mapping[str, Solid], screws: Sequence[Found]
) -> list[tuple[str, str, float, float]]:
    """Return (board, end, mm to the nearest screw, mm allowed) of ends that nothing holds.

    Staves and stiles stand upright, rails lie along their wall. Screws inside the panel count;
    a stave is held by the frame, the frame by the staves. One screw holds one end: a board turns
    about it.
    """
    found = []
    for name, board in boards.items():
        role = role_of(name)
        if not in_panel(name) or role in ("brace", "bar"):
            continue
        upright = role != "rail"
        axis = 2 if upright else (0 if panel_of(name) in ("front", "back") else 1)
        low, high = float(board.low[axis]), float(board.high[axis])
        mine = sorted(
            (float(one.head[axis]), one.diameter)
            for one in screws
            if name in one.boards and all(in_panel(other) for other in one.boards)
        )
        length = high - low
        wide = mine[0][1] if mine else 0.0
        reach = max(END_SHARE * length, SHORT_REACH * wide)
        first = mine[0][0] - low if mine else length
        last = high - mine[-1][0] if len(mine) > 1 else length
        found += [(name, "low", first, reach)] if first > reach + 1e-4 else []
        found += [(name, "high", last, reach)] if last > reach + 1e-4 else []
    return found
