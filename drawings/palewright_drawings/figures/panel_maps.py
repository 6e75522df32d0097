"""Where the screws of a panel go: each by how far it stands from the left edge and from the foot.

Lines run from every screw to the left and the lower side of the panel, and there say the distance,
as it is read off a tape that is hooked on that edge. Seen by who drives the screws.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from palewright.construction.boards import Board
from palewright.construction.joints import Screw
from palewright.design import Design
from palewright.geometry.polygons import Point
from palewright.reading.lengths import noiseless, tape_reading
from palewright_drawings.figures.panels import panel_view
from palewright_drawings.paper.figure import Figure, Label, Round, Stroke

LETTERS = 1.9
"""Height of capitals of the distances, mm of paper: judged by eye, as what follows."""

_ROW = 1.5
"""Distances stand so many heights of their capitals apart."""

_ARM, _BEND = 2.0, 5.5
"""mm of paper beyond the panel's edge where a line bends to its distance, and where it ends."""


@dataclass(frozen=True, slots=True)
class MappedScrew:
    """A screw on a panel's map.

    Attributes:
        screw: which.
        at: where its head is in the figure, mm.
        across: from the panel's left edge, mm.
        up: from the foot of the panel, mm.
    """

    screw: Screw
    at: Point
    across: float
    up: float


def mapped_screws(design: Design, panel: str) -> tuple[MappedScrew, ...]:
    """Return the screws of one panel that are driven from the side that its map shows."""
    view = panel_view(design, panel)
    flat = [view.flat(corner) for board in _boards(design, panel) for corner in board.corners]
    left, foot = min(x for x, _ in flat), min(y for _, y in flat)
    names = {board.name for board in _boards(design, panel)}
    found = []
    for screw in design.box.screws:
        toward = sum(a * b for a, b in zip(screw.axis, view.toward, strict=True))
        if names.issuperset(screw.stack) and toward < -0.5:
            x, y = view.flat(screw.head)
            found.append(MappedScrew(screw, (x, y), x - left, y - foot))
    return tuple(found)


def _boards(design: Design, panel: str) -> list[Board]:
    """Return the boards of a panel."""
    return [board for board in design.box.boards.values() if board.panel == panel]


def screw_map(whole: Figure, screws: Sequence[MappedScrew], scale: float, system: str) -> Figure:
    """Return a panel's figure with the distances of its screws, for a scale on paper.

    Args:
        whole: the panel as ``panel_figures`` draws it.
        screws: of this panel.
        scale: mm of paper for one mm of the model: letters have one size on paper.
        system: ``inch`` or ``metric``.
    """
    if not screws:
        return whole
    left, foot = screws[0].at[0] - screws[0].across, screws[0].at[1] - screws[0].up
    arm, bend, row = _ARM / scale, _BEND / scale, _ROW * LETTERS / scale
    strokes: list[Stroke] = []
    labels: list[Label] = []
    columns: dict[float, float] = {}
    rows: dict[float, float] = {}
    for one in screws:
        across, up = noiseless(one.across, 2), noiseless(one.up, 2)
        columns[across] = max(columns.get(across, 0.0), one.up)
        rows[up] = max(rows.get(up, 0.0), one.across)
    for (across, reach), place in zip(sorted(columns.items()), apart(columns, row), strict=True):
        x, at = left + across, left + place
        points = (x, foot + reach), (x, foot - arm), (at, foot - bend)
        strokes.append(Stroke("hatch", points))
        text = tape_reading(across, system)
        labels.append(Label(text, (at, foot - bend - 0.6 / scale), LETTERS, "right", 90.0))
    for (up, reach), place in zip(sorted(rows.items()), apart(rows, row), strict=True):
        y, at = foot + up, foot + place
        points = (left + reach, y), (left - arm, y), (left - bend, at)
        strokes.append(Stroke("hatch", points))
        text = tape_reading(up, system)
        labels.append(Label(text, (left - bend - 0.6 / scale, at), LETTERS, "right"))
    # those that a cleat or post covers later are shown as well
    rounds = [Round("mark", one.at, one.screw.kind.gauge.head / 2) for one in screws]
    return replace(
        whole,
        strokes=(*whole.strokes, *strokes),
        rounds=(*whole.rounds, *rounds),
        labels=(*whole.labels, *labels),
    )


def apart(places: Sequence[float] | dict[float, float], gap: float) -> list[float]:
    """Return places in rising order, moved as little as may be so that none is nearer than a gap.

    Places that would meet stand side by side about their common middle.
    """
    blocks: list[tuple[float, int]] = []  # where the first would stand, and how many follow
    for i, place in enumerate(sorted(places)):
        start, count = place - i * gap, 1
        while blocks and blocks[-1][0] > start:
            before, many = blocks.pop()
            start = (before * many + start * count) / (many + count)
            count += many
        blocks.append((start, count))
    starts = [start for start, count in blocks for _ in range(count)]
    return [start + i * gap for i, start in enumerate(starts)]
