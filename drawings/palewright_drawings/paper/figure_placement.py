"""A figure at a scale on paper: every line with its width, every text with its exact box.

Layers are drawn from the faintest to the strongest. Labels stand where the figure says; the letters
of an angle or a slanted width find a free place nearby; rows of dimensions stand off whatever else
there is on their side (``dimension_rows``).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from palewright.geometry.polygons import Point
from palewright_drawings.paper.angle_marks import slanted_marks
from palewright_drawings.paper.dimension_rows import SideRows
from palewright_drawings.paper.figure import Anchor, Figure, Label, Layer, Side
from palewright_drawings.paper.marks import (
    Mark,
    PathMark,
    Placed,
    RoundMark,
    TextMark,
    edges_of,
    moved_marks,
)
from palewright_drawings.paper.styles import STYLE, Style
from palewright_drawings.paper.text_metrics import text_ink, text_width

_ORDER: tuple[Layer, ...] = (
    "hatch", "hidden", "thin", "centre", "path", "mark", "frame", "visible", "cut",
)  # fmt: skip
_SIDES: tuple[Side, ...] = ("below", "left", "above", "right")
_PAST = 60.0
"""Letters within the drawing keep clear of extension lines as far (mm) outside it as this."""

_RING_AIR = 0.9
"""Clear space (mm) between the letters of a ringed mark and its ring."""

_SHARES: dict[Anchor, Point] = {
    "centre": (0.5, 0.5),
    "left": (0.0, 0.5),
    "right": (1.0, 0.5),
    "above": (0.5, 0.0),
    "below": (0.5, 1.0),
}
"""Which point of a text is placed, in shares of its width and its height of capitals."""


def place(figure: Figure, scale: float, style: Style = STYLE) -> Placed:
    """Return a figure on paper.

    Args:
        figure: what to draw.
        scale: mm of paper for one mm of the model: 0.1 for 1:10.
        style: widths, dashes, letters and colours.

    Raises:
        ValueError: if the figure is empty or the scale is not above zero.
    """
    if not scale > 0:
        raise ValueError(f"a scale of {scale} draws nothing")
    x0, y0, x1, y1 = figure.bounds
    drawing = [*_fills(figure, scale, style), *_lines(figure, scale, style)]
    letters = [mark for label in figure.labels for mark in _label(label, scale, style)]
    kept = [*drawing, *letters, *_extensions(figure, scale, style)]
    letters += slanted_marks(figure.angles, figure.widths, scale, style, kept)
    held = edges_of(letters)
    box = (x0 * scale, -y1 * scale, x1 * scale, -y0 * scale)
    if letters:
        box = (
            min(box[0], held[0]),
            min(box[1], held[1]),
            max(box[2], held[2]),
            max(box[3], held[3]),
        )
    rows: list[Mark] = []
    for side in _SIDES:
        chosen = [d for d in figure.dimensions if d.side == side]
        rows += SideRows(side, chosen, box, scale, style, rows).marks()
    marks = (*drawing, *rows, *letters)
    left, top, right, bottom = edges_of(marks)
    return Placed(
        figure,
        scale,
        (-left, -top),
        moved_marks(marks, -left, -top),
        right - left,
        bottom - top,
    )


def _at(point: Point, scale: float) -> Point:
    """Return a point of the model on paper, the model's (0, 0) at the paper's."""
    return point[0] * scale, -point[1] * scale


def _run(points: Iterable[Point], scale: float) -> tuple[Point, ...]:
    """Return points of the model on paper: tens of thousands in a packet, so in one go."""
    return tuple([(x * scale, -y * scale) for x, y in points])


def _extensions(figure: Figure, scale: float, style: Style) -> Iterator[Mark]:
    """Yield where extension lines will lie: from each measured point past its side."""
    x0, y0, x1, y1 = figure.bounds
    past = _PAST / scale
    x0, y0, x1, y1 = x0 - past, y0 - past, x1 + past, y1 + past
    for dimension in figure.dimensions:
        for x, y in (dimension.start, dimension.end):
            ends = {"above": (x, y1), "below": (x, y0), "left": (x0, y), "right": (x1, y)}
            run = (_at((x, y), scale), _at(ends[dimension.side], scale))
            yield PathMark("extension", (run,), width=style.dimension_pen.width)


def _fills(figure: Figure, scale: float, style: Style) -> Iterator[Mark]:
    """Yield the areas, the first below the others."""
    for fill in figure.fills:
        rings = tuple([_run(ring, scale) for ring in (fill.ring, *fill.holes)])
        yield PathMark("fill", rings, closed=True, fill=style.colour(fill.tone, fill.shade))


def _lines(figure: Figure, scale: float, style: Style) -> Iterator[Mark]:
    """Yield strokes and circles layer by layer, the strongest last."""
    for layer in _ORDER:
        pen = style.pens[layer]
        for stroke in figure.strokes:
            if stroke.layer == layer:
                run = _run(stroke.points, scale)
                yield PathMark("stroke", (run,), stroke.closed, pen.width, pen.colour, pen.dashes)
        for one in figure.rounds:
            if one.layer == layer:
                centre, radius = _at(one.centre, scale), one.radius * scale
                yield RoundMark("stroke", centre, radius, pen.width, pen.colour, pen.dashes)


def _label(label: Label, scale: float, style: Style) -> Iterator[Mark]:
    """Yield a label, its ring, and the leader to what it points to."""
    at = _at(label.at, scale)
    wide, high = text_width(label.text, label.size), label.size
    share = _SHARES[label.anchor]
    turn = math.radians(label.angle)
    cos, sin = math.cos(turn), math.sin(turn)

    def paper(x: float, y: float) -> Point:
        """Return a place in the text, from the left end of its base line, on paper."""
        x, y = x - share[0] * wide, y - share[1] * high
        return at[0] + x * cos - y * sin, at[1] - x * sin - y * cos

    pen = style.dimension_pen
    text = TextMark(
        label.text, paper(0.0, 0.0), high, angle=label.angle, colour=style.ink, what="label"
    )
    middle = paper(wide / 2, high / 2)
    reach = ring_radius(label.text, high) if label.ringed else 0.0
    if label.tip is not None:
        tip = _at(label.tip, scale)
        start = _leader_start(text, middle, reach, tip, style.clear)
        if start is not None:
            yield PathMark("leader", ((start, tip),), width=pen.width, colour=pen.colour)
            yield RoundMark("leader", tip, 0.45, fill=pen.colour)
    if label.ringed:
        paper_tone = style.tones["paper"]
        yield RoundMark("ring", middle, reach, 0.25, pen.colour, fill=paper_tone)
    yield text


def ring_radius(text: str, capitals: float) -> float:
    """Return the radius of the ring round a mark, mm of paper, as high as its capitals say."""
    wide = text_width(text, capitals)
    x0, y0, x1, y1 = text_ink(text, capitals)
    across = max(x1 - wide / 2, wide / 2 - x0)
    return math.hypot(across, max(y1, capitals - y0) - capitals / 2) + _RING_AIR


def _leader_start(
    text: TextMark, middle: Point, reach: float, tip: Point, clear: float
) -> Point | None:
    """Return where a leader leaves a text or its ring; None where its tip lies within."""
    far = math.dist(middle, tip)
    if far <= reach:
        return None
    if reach:
        share = reach / far
    else:
        share = _leaves(text, middle, tip, clear)
        if share >= 1:
            return None
    return (
        middle[0] + (tip[0] - middle[0]) * share,
        middle[1] + (tip[1] - middle[1]) * share,
    )


def _leaves(text: TextMark, middle: Point, tip: Point, clear: float) -> float:
    """Return the share of the way from a text's middle to a tip that lies within its box."""
    turn = math.radians(text.angle)
    along = (math.cos(turn), -math.sin(turn))
    up = (-math.sin(turn), -math.cos(turn))
    dx, dy = tip[0] - middle[0], tip[1] - middle[1]
    share = math.inf
    for axis in (along, up):
        reach = max(abs((x - middle[0]) * axis[0] + (y - middle[1]) * axis[1]) for x, y in text.box)
        move = abs(dx * axis[0] + dy * axis[1])
        if move > 0:
            share = min(share, (reach + 2 * clear) / move)
    return share
