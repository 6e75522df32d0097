"""The sizes that the level section shows: lips, setbacks, staves, slats, and the clear inside."""

from __future__ import annotations

from palewright.reading.lengths import noiseless
from palewright_drawings.dimensioning.measured_edges import Edge, View
from palewright_drawings.paper.figure import Side


def level_sizes(view: View) -> None:
    """Give the sizes of the level section, those of the front below and of the left side left."""
    front, left = _staves(view, "front", 0), _staves(view, "left", 1)
    back, right = _staves(view, "back", 0), _staves(view, "right", 1)
    edge: Edge = ("front.stile-left", "low")
    view.size("panel.lip", "below", 0, edge, (front[0], "low"))
    _wall(view, "below", front)
    edge = ("left.stile-right", "low")
    view.size("panel.setback", "left", 0, edge, (left[0], "low"))
    _wall(view, "left", left)
    view.size("clear width", "below", 1, (left[0], "high"), (right[0], "low"))
    view.size("clear depth", "left", 1, (front[0], "high"), (back[0], "low"))
    thick: tuple[Edge, Edge] = (("front.stile-right", "low"), ("front.stile-right", "high"))
    view.size("board thickness", "right", 0, *thick)
    _slats(view)


def _staves(view: View, panel: str, axis: int) -> list[str]:
    """Return the staves of a panel as they lie along an axis of the drawing."""
    boards = view.sight.design.box.boards.values()
    names = [b.name for b in boards if b.panel == panel and b.role in ("stave", "filler")]
    return sorted(names, key=lambda name: view.sight.reach(name, "low", axis))


def _wall(view: View, side: Side, staves: list[str]) -> None:
    """Give each width that a wall's staves have, once with how many there are, and their gap."""
    axis = 0 if side == "below" else 1
    widths: dict[float, list[str]] = {}
    for name in staves:
        wide = view.sight.reach(name, "high", axis) - view.sight.reach(name, "low", axis)
        widths.setdefault(noiseless(wide, 2), []).append(name)
    word = "front" if side == "below" else "side"
    for number, names in enumerate(widths.values(), start=1):
        what = f"{word} stave width {number}"
        ends: tuple[Edge, Edge] = ((names[0], "low"), (names[0], "high"))
        view.size(what, side, 0, *ends, len(names), "stave width")
    if len(staves) > 1 and view.sight.design.box.sizes.gap > 0:
        gaps: tuple[Edge, Edge] = ((staves[0], "high"), (staves[1], "low"))
        view.size("wall.gap", side, 0, *gaps, len(staves) - 1)


def _slats(view: View) -> None:
    """Give the width of a slat and the gap to the next, behind the box or right of it."""
    boards = view.sight.design.box.boards
    slats = [name for name, board in boards.items() if board.role == "slat"]
    if not slats:
        return
    along = boards[slats[0]].placement.grain
    back = abs(view.sight.projection.flat(along)[1]) > 0.5
    axis, side = (0, "above") if back else (1, "right")
    ordered = sorted(slats, key=lambda name: view.sight.reach(name, "low", axis))
    middle = len(ordered) // 2
    first = ordered[max(middle - 1, 0)]
    place: Side = "above" if side == "above" else "right"
    row = 0 if back else 1
    view.size("floor.slat_width", place, row, (first, "low"), (first, "high"))
    if len(ordered) > 1:
        after = ordered[ordered.index(first) + 1]
        gaps: tuple[Edge, Edge] = ((first, "high"), (after, "low"))
        view.size("floor.gap", place, row, *gaps, len(ordered) - 1)
