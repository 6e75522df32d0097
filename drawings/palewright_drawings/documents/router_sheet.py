"""``boards.html``: what a router operator reads before ``boards.dxf`` is run.

Which layer is which tool and depth, in which order, where the blank's corner lies, which part is
where. The machine files themselves carry no text.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from html import escape

from palewright.design import Design
from palewright.geometry.polygons import moved
from palewright.reading.lengths import drill_size, print_length
from palewright.solids.drilled_boards import SINK_ANGLE
from palewright_drawings.cad_files.nested_boards_dxf import (
    Blank,
    blank_size,
    face_sheet,
    laid_outline,
)
from palewright_drawings.documents.html_pages import framed, html_page
from palewright_drawings.documents.plan.texts import stock_told, title_of
from palewright_drawings.paper.marks import Mark, PathMark, RoundMark, TextMark
from palewright_drawings.paper.styles import STYLE
from palewright_drawings.paper.text_metrics import shortened, text_width

_WIDE = 180.0
"""Width of the picture of a blank, mm of paper."""

_LETTERS = 2.4
"""Height of capitals of the marks, mm of paper: judged by eye."""

_WORK = {
    "0": "for the eye: not cut",
    "1": "pin hole, through the blank into the bed below it",
    "2": "drill",
    "3": f"sink with a pointed {SINK_ANGLE:g}° bit; the depth is its point's",
    "4": "cut round the outside, on the outer side of the line",
}
"""What is done on a layer, by its turn."""


def router_sheet(design: Design, blanks: Sequence[Blank]) -> bytes:
    """Return the page for the router operator: of a box, and what it is cut from."""
    system = design.parameters.product.units
    unit = "inches" if system == "inch" else "millimetres"
    steps = "\n".join(f"<li>{escape(one)}</li>" for one in _steps(design, blanks))
    rows = "\n".join(_layers(design, blanks))
    pictures = "\n".join(_picture(blank, system) for blank in blanks)
    body = f"""<h2>In which order</h2>
<ol>
{steps}
</ol>
<h2>Layers: one operation with one tool to one depth, {unit}</h2>
<table>
<tr><th scope="col">layer</th><th scope="col">what is done</th><th scope="col">face up</th>
<th scope="col">turned</th></tr>
{rows}
</table>
<h2>Blanks, first face up</h2>
{pictures}"""
    tagline = f"{len(blanks)} blanks for the router: boards.dxf"
    return html_page(title_of(design), tagline, "router", body)


def _steps(design: Design, blanks: Sequence[Blank]) -> Iterator[str]:
    """Yield what is done, one after the other."""
    saw, system = design.parameters.saw, design.parameters.product.units
    yield (
        "Follow the machine's manual: guards, dust extraction, hold-down. Rip boards to their true "
        "width and square both ends first. Run everything once in the air, then in scrap."
    )
    clamped = [blank for blank in blanks if blank.margin]
    if clamped:
        yield (
            f"Clamp in the {print_length(clamped[0].margin, system)} at both ends of a blank: no "
            "tool goes there but for the pin holes, which lie in the middle of its width."
        )
    free = ", ".join(str(blank.number) for blank in blanks if not blank.margin)
    if free:
        yield (
            f"Blanks {free}: parts are as long as the board, no clamp has room. Hold them by "
            "vacuum or tape, against a fence along one edge and a stop at the square end."
        )
    yield (
        "Zero in each blank is its lower left corner, the square end at the left, and the upper "
        "face of the wood. In the file blanks lie one above the other; run one at a time."
    )
    yield "Work the layers by the number that their names begin with: 1, 2, 3, 4."
    turned = ", ".join(str(blank.number) for blank in blanks if blank.turned)
    if turned:
        yield (
            f"Blanks {turned} are turned over, the square end staying at the left, onto pins "
            f"{drill_size(saw.tool, system)} thick in the two pin holes; then boards-turned.dxf is "
            "run, again by its numbers. They are cut out in that file, so that nothing is loose."
        )
    yield (
        f"Cut out with a bit of {drill_size(saw.tool, system)}, in passes, leaving thin bridges or "
        "a skin below, so that no part comes loose. Outer edges run along the blank's own."
    )
    left = sum(not hole.square for b in blanks for one in b.boards for hole in one.board.holes)
    if left:
        yield f"{left} holes into edges and ends are not in these files: drill them at the bench."


def _layers(design: Design, blanks: Sequence[Blank]) -> Iterator[str]:
    """Yield a row a layer: name, meaning, how often it comes in each file."""
    system, tool = design.parameters.product.units, design.parameters.saw.tool
    counts = []
    for second in (False, True):
        sheet = face_sheet(blanks, second, tool, system)
        counts.append(Counter([*(x.layer for x in sheet.loops), *(x.layer for x in sheet.circles)]))
    for name in sorted({*counts[0], *counts[1]}):
        seen = "".join(f"<td>{one[name] or ''}</td>" for one in counts)
        yield f"<tr><td><code>{name}</code></td><td>{_WORK[name[0]]}</td>{seen}</tr>"


def _picture(blank: Blank, system: str) -> str:
    """Return a blank with its parts by their marks, its pins and margins."""
    scale = _WIDE / blank.length
    high = blank.width * scale + 1.0

    def at(x: float, y: float) -> tuple[float, float]:
        return x * scale + 0.5, high - 0.5 - y * scale

    corners = ((0.0, 0.0), (blank.length, 0.0), (blank.length, blank.width), (0.0, blank.width))
    frame = tuple(at(*corner) for corner in corners)
    marks: list[Mark] = [PathMark("fill", (frame,), True, 0.25, "#8d867c", fill="#eeeeee")]
    letters: list[Mark] = []
    for laid in blank.boards:
        ring = moved(laid_outline(laid.board, laid.lying), laid.piece.x, laid.piece.y)
        points = tuple(at(*point) for point in ring)
        marks.append(PathMark("fill", (points,), True, 0.25, STYLE.ink, fill=STYLE.tones["wood"]))
        size = min(_LETTERS, laid.board.width * scale * 0.6)
        room = laid.board.length * scale - 1.0
        text = f"{laid.piece.part} {laid.piece.kit}"
        text = text if text_width(text, size) <= room else laid.piece.part
        text = shortened(text, size, "regular", room)
        x, y = at(laid.piece.x + laid.board.length / 2, laid.piece.y + laid.board.width / 2)
        start = (x - text_width(text, size) / 2, y + size / 2)
        letters.append(TextMark(text, start, size, colour=STYLE.ink))
    pins = [RoundMark("stroke", at(*pin), 1.0, 0.35, "#2d5d7b") for pin in blank.pins]
    then = "drill, turn over, cut out" if blank.turned else "drill and cut out from this face"
    told = f"Blank {blank.number}: {stock_told(blank.plan.demand.stock) or 'board'}, "
    told += f"{blank_size(blank.layout, system)}; {then}"
    every = [*marks, *letters, *(pins if blank.turned else [])]
    return framed(every, (_WIDE + 1.0, high), told, told, "board")
