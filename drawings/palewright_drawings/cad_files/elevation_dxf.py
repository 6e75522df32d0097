"""``elevations/*.dxf``: views of the box at full size with dimensions, for drawing programs.

Lines, circles and real DIMENSION entities in the units of the variant, R2010. These are drawings;
what a machine cuts from is ``flat/*.dxf`` and ``boards.dxf``. Letters and rows stand as they do on
paper at the scale of the file's own page, a layout in paper space with title, view and scale: there
they are 2.5 mm high.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from palewright.design import Design
from palewright.geometry.polygons import Point
from palewright_drawings.cad_files.dxf_dimensions import Marking, Size
from palewright_drawings.cad_files.dxf_writer import (
    Circle,
    DxfLine,
    FlatDrawing,
    Loop,
    PaperSheet,
    Text,
    sheet_bytes,
)
from palewright_drawings.dimensioning.box_chains import dimensioned
from palewright_drawings.dimensioning.sheets import paper_for
from palewright_drawings.figures.part_labels import part_labels
from palewright_drawings.output.progress import Progress, Silent
from palewright_drawings.paper.figure import Figure, Layer, Stroke
from palewright_drawings.paper.figure_placement import place
from palewright_drawings.paper.marks import PathMark, Placed, TextMark
from palewright_drawings.paper.pages import FootStrip, page_marks, page_of
from palewright_drawings.paper.styles import STYLE
from palewright_drawings.projection.convex_bodies import board_body
from palewright_drawings.projection.projections import VIEWS
from palewright_drawings.projection.scene_drawing import shot_of

LAYERS: dict[Layer, tuple[str, int]] = {
    "visible": ("EDGE_SEEN", 7),
    "hidden": ("EDGE_HIDDEN", 8),
    "thin": ("EDGE_BEHIND", 8),
    "cut": ("EDGE_CUT", 7),
    "hatch": ("CUT_HATCH", 9),
    "centre": ("MIDDLE_LINE", 12),
    "path": ("WAY_IN", 12),
    "mark": ("PENCIL", 5),
    "frame": ("FRAME", 7),
}
"""Layer of the file, and its colour number, for each layer of a drawing."""

SIZES_LAYER = "SIZES"
_SIZES_COLOUR = 3
"""Green in the colour index of DXF: sizes are told from edges (our own choice)."""

_LARGEST = 170.0
"""A drawing is thought of as so large (mm of paper) at most, to choose the height of letters."""

_RATIOS = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 16, 20, 24)
"""How many times larger than on paper letters are drawn, as scales of drawings go."""

_DOT = 0.0
"""A dash of no length is a dot (DXF, group code 49)."""

_DECIMALS = 4
"""Decimals (mm) of coordinates: a tenth of a thousandth is finer than any router."""


def ratio(figure: Figure) -> int:
    """Return how many times larger than on paper letters and rows are drawn."""
    x0, y0, x1, y1 = figure.bounds
    wanted = max(x1 - x0, y1 - y0) / _LARGEST
    return next((n for n in _RATIOS if n >= wanted), _RATIOS[-1])


def elevation_sheet(figure: Figure, times: int = 0, page: PaperSheet | None = None) -> FlatDrawing:
    """Return a dimensioned figure as a flat drawing at full size, mm of the model.

    Args:
        figure: with its sizes; fills and labels are left out.
        times: how much larger than on paper letters are drawn; 0: as ``ratio`` says.
        page: how it is printed, with letters of their size on paper.
    """
    times = times or ratio(figure)
    placed = place(figure, 1 / times)
    used = dict.fromkeys([*(s.layer for s in figure.strokes), *(r.layer for r in figure.rounds)])
    layers = {LAYERS[layer][0]: LAYERS[layer][1] for layer in LAYERS if layer in used}
    pens = {LAYERS[layer][0]: STYLE.pens[layer] for layer in LAYERS if layer in used}
    layers[SIZES_LAYER], pens[SIZES_LAYER] = _SIZES_COLOUR, STYLE.dimension_pen
    loops = dict.fromkeys(
        Loop(LAYERS[stroke.layer][0], _rounded(stroke.points))
        for stroke in figure.strokes
        if stroke.closed
    )
    circles = dict.fromkeys(
        Circle(LAYERS[one.layer][0], _rounded((one.centre,))[0], round(one.radius, _DECIMALS))
        for one in figure.rounds
    )
    return FlatDrawing(
        layers,
        tuple(loops),
        tuple(circles),
        (*_lines(figure), *_leaders(placed)),
        dashes={name: _dashes(pen.dashes, times) for name, pen in pens.items() if pen.dashes},
        widths={name: pen.width for name, pen in pens.items()},
        sizes=tuple(_sizes(placed)),
        marking=Marking(
            SIZES_LAYER,
            STYLE.text * times,
            STYLE.arrow * 0.36 * times,
            STYLE.arrow * times,
            STYLE.gap * times,
            STYLE.overshoot * times,
        ),
        page=page,
    )


def printed(design: Design, figure: Figure, number: int, sheets: int) -> tuple[int, PaperSheet]:
    """Return how many times smaller a view is printed, and its page: title, view, scale, frame.

    Args:
        design: the box.
        figure: with its sizes.
        number: of the sheet, from 1.
        sheets: how many there are.

    Raises:
        ValueError: if it does not fit even at the least scale.
    """
    system, first = design.parameters.product.units, paper_for(design)
    wider = {"letter": "tabloid", "a4": "a3"}
    for times in _RATIOS[_RATIOS.index(ratio(figure)) :]:
        placed = place(figure, 1 / times)
        for paper in (first, wider.get(first, first)):
            for page in (page_of(paper, landscape=True), page_of(paper)):
                left, top, right, bottom = page.room
                if placed.width > right - left or placed.height > bottom - top:
                    continue
                strip = FootStrip(
                    design.parameters.product.title or design.name,
                    design.name,
                    figure.title,
                    1 / times,
                    system,
                    number,
                    sheets,
                )
                middle = _model(placed, (placed.width / 2, placed.height / 2))
                window = (left, top, right, bottom)
                marks = tuple(page_marks(page, strip))
                sheet = PaperSheet(page.width, page.height, marks, window, middle, 1 / times)
                return times, sheet
    raise ValueError(f"{figure.name} fits no paper")


def _rounded(points: tuple[Point, ...]) -> tuple[Point, ...]:
    """Return points to 0.1 µm, without negative zeros."""
    return tuple((round(x, _DECIMALS) + 0.0, round(y, _DECIMALS) + 0.0) for x, y in points)


def _dashes(steps: tuple[float, ...], times: int) -> tuple[float, ...]:
    """Return dashes and gaps at full size; a dot is a dash of no length."""
    return tuple(step * times if step > 0.5 else _DOT for step in steps)


def _lines(figure: Figure) -> Iterator[DxfLine]:
    """Yield the straight pieces of open strokes, each once."""
    seen: set[tuple[str, frozenset[Point]]] = set()
    for stroke in figure.strokes:
        if stroke.closed:
            continue
        layer, points = LAYERS[stroke.layer][0], _rounded(stroke.points)
        for start, end in pairwise(points):
            key = (layer, frozenset((start, end)))
            if start != end and key not in seen:
                seen.add(key)
                yield DxfLine(layer, start, end)


def _model(placed: Placed, point: Point) -> Point:
    """Return a point of paper on the model, mm."""
    x, y = point
    ox, oy = placed.origin
    return (x - ox) / placed.scale, (oy - y) / placed.scale


def _leaders(placed: Placed) -> Iterator[DxfLine]:
    """Yield the lines that lead from sizes to their letters, and the tails of slanted widths."""
    widths = {width.what: width for width in placed.figure.widths}
    for mark in placed.marks:
        if not isinstance(mark, PathMark):
            continue
        runs: list[tuple[Point, Point]] = []
        if mark.kind == "leader":
            runs = [(_model(placed, a), _model(placed, b)) for a, b in mark.segments()]
        elif mark.what in widths:
            width, (first, last) = widths[mark.what], mark.runs[0]
            runs = [(_model(placed, first), width.start), (width.end, _model(placed, last))]
        for run in runs:
            start, end = _rounded(run)
            yield DxfLine(SIZES_LAYER, start, end)


def _sizes(placed: Placed) -> Iterator[Size]:
    """Yield dimensions, slanted widths and angles where they stand on paper."""
    figure = placed.figure
    texts = {mark.what: mark for mark in placed.marks if isinstance(mark, TextMark)}
    rows = {
        mark.what: mark.runs[0][0]
        for mark in placed.marks
        if isinstance(mark, PathMark) and mark.what
    }
    for one in figure.dimensions:
        through = _model(placed, rows[one.what])
        ends = (one.start, one.end)
        middle = _middle(placed, texts[one.what])
        level = one.side in ("above", "below")
        yield Size("level" if level else "upright", ends, through, middle, one.text)
    for width in figure.widths:
        ends = (width.start, width.end)
        yield Size("aslant", ends, width.start, _middle(placed, texts[width.what]), width.text)
    for angle in figure.angles:
        way = math.atan2(angle.start[1] - angle.corner[1], angle.start[0] - angle.corner[0])
        way += math.radians(angle.value) / 2
        radius = angle.radius / placed.scale
        on_arc = (
            angle.corner[0] + radius * math.cos(way),
            angle.corner[1] + radius * math.sin(way),
        )
        points = (angle.corner, angle.start, angle.end)
        yield Size("angle", points, on_arc, _middle(placed, texts[angle.what]), angle.text)


MARKS_LAYER = "PART_MARKS"
_MARKS_COLOUR = 6
"""Magenta in the colour index of DXF: marks are told from edges and sizes (our own choice)."""

_TALL = 2.5
"""Height of a mark's capitals, mm of paper: judged by eye."""

_CLEAR = 2.1
"""The middle of a mark keeps so far from lines, mm of paper: half its diagonal and a hair."""

_MARKED = ("front", "right", "top")
"""Views whose boards are marked; a section cuts them."""


def part_marks(design: Design, figure: Figure, times: int) -> tuple[Text, ...]:
    """Return the marks of the parts that a view shows, each once, on a board, clear of all lines.

    Args:
        design: the box.
        figure: with its sizes.
        times: how much larger than on paper letters are drawn.
    """
    if figure.name not in _MARKED:
        return ()
    shot = shot_of((board_body(board) for board in design.box.boards.values()), VIEWS[figure.name])
    placed = place(figure, 1 / times)
    letters = [
        Stroke("thin", tuple(_model(placed, corner) for corner in mark.box), closed=True)
        for mark in placed.marks
        if isinstance(mark, TextMark)
    ]
    lines = [
        Stroke("thin", (_model(placed, a), _model(placed, b)))
        for mark in placed.marks
        if isinstance(mark, PathMark) and mark.kind in ("leader", "dimension", "extension")
        for a, b in mark.segments()
    ]
    wanted = {part.mark: part.boards for part in design.parts}
    found = part_labels(shot, [*figure.strokes, *letters, *lines], wanted, _CLEAR * times)
    return tuple(
        Text(MARKS_LAYER, label.text, label.at, _TALL * times, "centre")
        for label in found
        if label.tip is None
    )


def _middle(placed: Placed, text: TextMark) -> Point:
    """Return the middle of a text's letters on the model, mm."""
    x0, y0, x1, y1 = text.edges
    return _model(placed, ((x0 + x1) / 2, (y0 + y1) / 2))


def elevation_dxfs(design: Design, progress: Progress | None = None) -> Iterator[tuple[str, bytes]]:
    """Yield (name, DXF R2010) of each dimensioned view at full size."""
    progress = progress or Silent()
    names = {"front": "front", "right": "side", "top": "top", "level": "section"}
    progress.begin("elevations", len(names))
    system = design.parameters.product.units
    for number, (view, name) in enumerate(names.items(), 1):
        figure = dimensioned(design, view)
        times, page = printed(design, figure, number, len(names))
        sheet = elevation_sheet(figure, times, page)
        marks = part_marks(design, figure, times)
        if marks:
            layers = {**sheet.layers, MARKS_LAYER: _MARKS_COLOUR}
            sheet = replace(sheet, layers=layers, texts=marks)
        yield name, sheet_bytes(sheet, system)
        progress.advance()
