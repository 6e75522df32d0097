"""The sizes of one panel in the view that shows it square: frame, bars, braces.

Equal parts are measured once: the left stile, the lower rail, the first of equal gaps with how
many there are, the first brace of an angle.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from palewright.construction.boards import Board
from palewright.geometry.polygons import Point
from palewright_drawings.dimensioning.measured_edges import Edge, View
from palewright_drawings.paper.figure import Side

_AT = 0.74
"""Where along its lower edge a brace's width is measured."""


@dataclass(frozen=True, slots=True)
class PanelKeys:
    """What a panel's sizes are called: its own word, and the keys of its stile and rail."""

    word: str
    stile: str
    rail: str


PANEL_KEYS = {
    "front": PanelKeys("front", "panel.stile_width", "panel.rail_width"),
    "right": PanelKeys("side", "panel.side_stile_width", "panel.side_rail_width"),
    "back": PanelKeys("back", "back stile", "back rail"),
}
"""Panels that views measure; the left one is the right one's mirror image."""


def panel_across(view: View, panel: str, bare: bool = False) -> int:
    """Give stile, bars and opening along the foot of a view; return how many rows they take.

    ``bare`` leaves the stile and the opening out: they were given elsewhere.
    """
    keys = PANEL_KEYS[panel]
    stile, far = f"{panel}.stile-left", f"{panel}.stile-right"
    if not bare:
        view.size(keys.stile, "below", 0, (stile, "low"), (stile, "high"))
    rows = int(_filling(view, panel, "below"))
    if bare:
        return rows
    view.size(f"{keys.word} opening width", "below", rows, (stile, "high"), (far, "low"))
    return rows + 1


def panel_upward(view: View, panel: str) -> int:
    """Give rail, bars and opening along the left of a view; return how many rows they take.

    What a side panel has in common with the front was given there.
    """
    keys = PANEL_KEYS[panel]
    low, high = f"{panel}.rail-bottom", f"{panel}.rail-top"
    own = view.size(keys.rail, "left", 0, (low, "low"), (low, "high"), alike="rail")
    filled = _filling(view, panel, "left")
    what = f"{keys.word} opening height"
    row = int(filled)
    own |= view.size(what, "left", row, (low, "high"), (high, "low"), alike="opening height")
    return row + 1 if own else int(filled)


def _filling(view: View, panel: str, side: Side) -> bool:
    """Give the first gap and the first of what stands in the opening; return whether any is new."""
    upright = side == "below"
    keys, boards = PANEL_KEYS[panel], view.sight.design.box.boards
    if upright:
        first: Edge = (f"{panel}.stile-left", "high")
        middle = f"{panel}.stile-middle"
    else:
        first, middle = (f"{panel}.rail-bottom", "high"), f"{panel}.rail-middle"
    grain, new = 2 if upright else 1, False
    bars = [
        name
        for name, board in boards.items()
        if board.panel == panel and board.role == "bar" and _along(board, view, grain)
    ]
    if bars:
        what, gaps = f"{keys.word} bar gap", len(bars) + 1
        new = view.size(what, side, 0, first, (bars[0], "low"), gaps, "bar gap")
        new |= view.size("face.bar_width", side, 0, (bars[0], "low"), (bars[0], "high"))
    elif middle in boards:
        what = f"{keys.word} part of the opening"
        new = view.size(what, side, 0, first, (middle, "low"), 2, "part of the opening")
        new |= view.size("face.brace_width", side, 0, (middle, "low"), (middle, "high"))
    return new


def _along(board: Board, view: View, grain: int) -> bool:
    """Return whether a board's grain runs upright (2) or level (1) on the drawing."""
    u, v = view.sight.projection.flat(board.placement.grain)
    return abs(v) > 0.9 if grain == 2 else abs(u) > 0.9


def panel_slants(view: View, panel: str) -> None:
    """Give the angle and the width of the brace that rises from the opening's lower left."""
    boards = view.sight.design.box.boards
    braces = [b.name for b in boards.values() if b.panel == panel and b.role == "brace"]
    rising = [name for name in braces if _rise(view, name) > 0]
    if not rising:
        return
    left = min(view.sight.reach(name, "low", 0) for name in rising)
    low = min(view.sight.reach(name, "low", 1) for name in rising)
    first = next(
        name
        for name in rising
        if view.sight.reach(name, "low", 0) < left + 1e-6
        and view.sight.reach(name, "low", 1) < low + 1e-6
    )
    corner, end = _lower_edge(view, first)
    rail = view.sight.point((f"{panel}.rail-bottom", "high"), "right")
    word = PANEL_KEYS[panel].word
    view.angle(f"{word} brace angle", corner, (rail[0], corner[1]), end)
    view.width("face.brace_width", *_across(view, first, corner, end))


def _rise(view: View, board: str) -> float:
    """Return how much a board's grain rises to the right on the drawing; 0 for level, upright."""
    u, v = view.sight.projection.flat(view.sight.design.box.boards[board].placement.grain)
    slope = u * v
    return slope if abs(slope) > 1e-6 else 0.0


def _lower_edge(view: View, board: str) -> tuple[Point, Point]:
    """Return both ends of a rising brace's lower long edge: its foot first."""
    corners = set(view.sight.corners(board))
    foot = min(corners, key=lambda c: (round(c[0], 6), c[1]))
    right = max(round(c[0], 6) for c in corners)
    head = min((c for c in corners if abs(c[0] - right) < 1e-5), key=lambda c: c[1])
    return foot, head


def _across(view: View, board: str, foot: Point, head: Point) -> tuple[Point, Point]:
    """Return two points square across a brace from its lower edge, clear of crossing and angle."""
    long = math.dist(foot, head)
    along = (head[0] - foot[0]) / long, (head[1] - foot[1]) / long
    square = -along[1], along[0]
    aside = max(
        (c[0] - foot[0]) * square[0] + (c[1] - foot[1]) * square[1]
        for c in view.sight.corners(board)
    )
    at = foot[0] + along[0] * long * _AT, foot[1] + along[1] * long * _AT
    return at, (at[0] + square[0] * aside, at[1] + square[1] * aside)
