"""Pages: paper sizes, the frame, and the strip along its foot that says what is drawn.

The strip holds a scale bar, title, scale, unit, the sign of third-angle projection and the sheet's
number. Lines and letters are marks on paper like those of a drawing. Widths of cells, heights of
letters and places within the strip (mm) are judged by eye.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from palewright.geometry.polygons import Point
from palewright.reading.lengths import INCH
from palewright_drawings.paper.marks import Mark, PathMark, RoundMark, TextMark
from palewright_drawings.paper.styles import STYLE
from palewright_drawings.paper.text_metrics import Edges, Face, text_width

PAPERS: dict[str, tuple[float, float]] = {
    "letter": (8.5 * INCH, 11 * INCH),
    "tabloid": (11 * INCH, 17 * INCH),
    "a4": (210.0, 297.0),
    "a3": (297.0, 420.0),
}
"""Width and height of each paper upright, mm: ANSI/ASME Y14.1 sizes A and B, ISO 216 A4 and A3."""

MARGIN = 10.0
"""Clear paper outside the frame, mm: more than home printers leave out (common practice, no
source), and the frame's distance of ISO 5457 on three sides (from memory)."""

STRIP = 15.0
"""Height of the strip along the frame's foot, mm."""

_FRAME, _CELL = 0.5, 0.25
"""Widths of the frame and of lines between cells, mm: judged by eye."""

_INK = STYLE.ink
_BAR_MOST = 52.0
"""Greatest length of a scale bar with its letters, mm of paper: judged by eye."""

_BARS = {
    "inch": tuple(INCH * n for n in (1, 2, 4, 8, 12, 16, 24, 36, 48, 72, 96)),
    "metric": tuple(10.0 * n for n in (2, 4, 8, 10, 20, 40, 60, 80, 100, 200, 400)),
}
"""Lengths of the model that a scale bar may show, mm."""

_CellMarks = Callable[[float, float], Iterator[Mark]]
"""Draws what stands between the left and right edge of a cell."""

_UNITS = {"inch": "inches", "metric": "millimetres"}


@dataclass(frozen=True, slots=True)
class Page:
    """A sheet of paper, mm.

    Attributes:
        paper: its name.
        width, height: as it lies.
        margin: clear of everything, all round.
    """

    paper: str
    width: float
    height: float
    margin: float = MARGIN

    @property
    def frame(self) -> Edges:
        """The frame: what is printed lies within it."""
        return self.margin, self.margin, self.width - self.margin, self.height - self.margin

    @property
    def room(self) -> Edges:
        """Where drawings may lie: within the frame, above the strip."""
        x0, y0, x1, y1 = self.frame
        return x0 + 3.0, y0 + 3.0, x1 - 3.0, y1 - STRIP - 3.0


def page_of(paper: str, landscape: bool = False) -> Page:
    """Return a sheet of a paper, upright or landscape.

    Raises:
        KeyError: if there is no such paper.
    """
    width, height = PAPERS[paper]
    return Page(paper, height, width) if landscape else Page(paper, width, height)


@dataclass(frozen=True, slots=True)
class FootStrip:
    """What the strip along the foot of a page says.

    Attributes:
        title: of the product.
        variant: its name in the shop.
        subject: what this sheet shows.
        scale: mm of paper for a mm of the model.
        system: ``inch`` or ``metric``.
        sheet, sheets: number of this sheet, and how many there are.
    """

    title: str
    variant: str
    subject: str
    scale: float
    system: str
    sheet: int
    sheets: int


def scale_text(scale: float) -> str:
    """Return a scale as it is written, such as ``1:8`` or ``1:2.5``."""
    return f"1:{1 / scale:.4f}".rstrip("0").rstrip(".")


def page_marks(page: Page, strip: FootStrip) -> list[Mark]:
    """Return frame and strip of a page."""
    x0, y0, x1, y1 = page.frame
    top = y1 - STRIP
    corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    marks: list[Mark] = [
        PathMark("frame", (corners,), closed=True, width=_FRAME, colour=_INK),
        PathMark("frame", (((x0, top), (x1, top)),), width=_FRAME, colour=_INK),
    ]
    # from the right: what has one width on every paper; the title takes what is left
    right = x1
    for width, cell in _cells(strip, top):
        left = right - width
        marks.append(_upright(left, top, y1))
        marks += cell(left, right)
        right = left
    left = x0 + _BAR_MOST + 9.0
    marks.append(_upright(left, top, y1))
    marks += _scale_bar(x0 + 4.0, top, strip)
    marks += _titles(strip, left, right, top)
    return marks


def _cells(strip: FootStrip, top: float) -> Iterator[tuple[float, _CellMarks]]:
    """Yield width and content of the cells of one width, from the right."""
    yield 18.0, lambda a, b: _pair("Sheet", f"{strip.sheet} of {strip.sheets}", a, b, top)
    yield 24.0, lambda a, b: _third_angle((a + b) / 2, top + STRIP / 2, 8.0)
    yield 25.0, lambda a, b: _pair("Sizes in", _UNITS[strip.system], a, b, top)
    yield 17.0, lambda a, b: _pair("Scale", scale_text(strip.scale), a, b, top)


def _upright(x: float, top: float, foot: float) -> PathMark:
    """Return a line between two cells of the strip."""
    return PathMark("frame", (((x, top), (x, foot)),), width=_CELL, colour=_INK)


def _line(text: str, at: Point, capitals: float, face: Face = "regular") -> TextMark:
    """Return a line of text from a point on its base line."""
    return TextMark(text, at, capitals, face, colour=_INK, what="title")


def _pair(name: str, value: str, left: float, right: float, top: float) -> Iterator[Mark]:
    """Yield a small name above its value."""
    yield _line(name, (left + 2.0, top + 4.2), 1.6)
    yield _fitted(value, (left + 2.0, top + 11.0), 2.8, right - left - 4.0)


def _fitted(
    text: str, at: Point, capitals: float, width: float, face: Face = "regular"
) -> TextMark:
    """Return a line of text made smaller, at last shorter, until it is no wider than ``width``."""
    least = min(capitals, 1.8)
    size = min(capitals, capitals * width / max(text_width(text, capitals, face), 1e-9))
    if size < least:
        size = least
        whole = text
        while text and text_width(text if text == whole else f"{text}…", size, face) > width:
            text = text[:-1].rstrip()
        text = text if text == whole else f"{text}…"
    return _line(text, at, size, face)


def _titles(strip: FootStrip, left: float, right: float, top: float) -> Iterator[Mark]:
    """Yield product, and what the sheet shows of which variant."""
    width, x = right - left - 5.0, left + 2.5
    yield _fitted(strip.title, (x, top + 5.6), 3.2, width, "bold")
    yield _fitted(strip.subject, (x, top + 9.9), 2.2, width)
    yield _fitted(strip.variant, (x, top + 13.3), 1.8, width)


def _third_angle(x: float, y: float, size: float) -> Iterator[Mark]:
    """Yield the sign of third-angle projection about a point.

    A cut-off cone lies with its small end to the left, and what is seen from that end stands on
    that side of it (ISO 5456-2 and ASME Y14.3; proportions from memory: the small end is half as
    wide as the large one, and the cone as long as that is wide).
    """
    gap = size * 0.35
    left = x - (2 * size + gap) / 2
    cx, cone = left + size / 2, left + size + gap
    for share in (1.0, 0.5):
        yield RoundMark("frame", (cx, y), size * share / 2, 0.35, _INK)
    ends = (
        (cone, y - size / 4),
        (cone + size, y - size / 2),
        (cone + size, y + size / 2),
        (cone, y + size / 4),
    )
    yield PathMark("frame", (ends,), closed=True, width=0.35, colour=_INK)
    over = size * 0.12
    middle = STYLE.pens["centre"]
    lines = (
        ((left - over, y), (left + size + over, y)),
        ((cone - over, y), (cone + size + over, y)),
        ((cx, y - size / 2 - over), (cx, y + size / 2 + over)),
    )
    # a short sign: dashes a quarter as long as on the drawing, so that two of them show
    dashes = tuple(step / 4 if step > 1 else 0.25 for step in middle.dashes)
    yield PathMark("frame", lines, width=0.18, colour=_INK, dashes=dashes)


def bar_length(scale: float, system: str) -> float:
    """Return the length of the model (mm) that a scale bar shows: the longest with room for it."""
    fitting = [length for length in _BARS[system] if length * scale <= _BAR_MOST - 12.0]
    return max(fitting, default=_BARS[system][0])


def _scale_bar(left: float, top: float, strip: FootStrip) -> Iterator[Mark]:
    """Yield a bar in four parts, dark and light by turns, with its ends named."""
    length = bar_length(strip.scale, strip.system)
    whole, y, high = length * strip.scale, top + 9.0, 1.6
    part = whole / 4
    for i in range(4):
        x = left + i * part
        box = ((x, y), (x + part, y), (x + part, y + high), (x, y + high))
        fill = _INK if i % 2 == 0 else STYLE.tones["paper"]
        yield PathMark("frame", (box,), closed=True, width=0.18, colour=_INK, fill=fill)
    inch = strip.system == "inch"
    unit, step = ("in", length / INCH) if inch else ("cm", length / 10)
    for share, text in ((0.0, "0"), (0.5, _count(step / 2)), (1.0, f"{_count(step)} {unit}")):
        x = left + share * whole
        width = text_width(_count(step) if share == 1.0 else text, 2.0)
        yield _line(text, (x - (width / 2 if share else 0.0), y - 1.4), 2.0)
    printed = f"{whole / INCH:.3g} in" if inch else f"{whole:.3g} mm"
    yield _fitted(
        f"printed at 100 %, the bar is {printed} long", (left, y + high + 3.0), 1.6, _BAR_MOST + 3.0
    )


def _count(value: float) -> str:
    """Return a number without a needless point."""
    return f"{value:.3f}".rstrip("0").rstrip(".")
