"""Marks on paper as SVG: millimetres, selectable text, the same bytes again.

The file's width and height are in mm and equal its view box, so that it prints at its scale. Text
stays text, in the font for print, without kerning or joined letters, as ``text_metrics`` measures.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from itertools import groupby
from xml.sax.saxutils import escape, quoteattr

from palewright.geometry.polygons import Point
from palewright_drawings.paper.marks import Mark, PathMark, RoundMark, TextMark
from palewright_drawings.paper.text_metrics import FAMILY, font_size

_FACE = {
    "regular": "",
    "bold": ' font-weight="bold"',
    "oblique": ' font-style="oblique"',
}


def marks_svg(marks: Iterable[Mark], width: float, height: float, title: str, alt: str) -> bytes:
    """Return marks as SVG, UTF-8.

    Args:
        marks: in the order in which they are drawn, mm from the upper left corner.
        width: of the sheet, mm.
        height: of the sheet, mm.
        title: what it is called.
        alt: what it shows, for who does not see it.
    """
    size = f"{number(width)} {number(height)}"
    letters = (
        f" font-family={quoteattr(FAMILY)}",
        ' style="font-kerning:none;font-variant-ligatures:none" xml:space="preserve"',
    )
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{number(width)}mm" '
        f'height="{number(height)}mm" viewBox="0 0 {size}" role="img" '
        'aria-labelledby="title desc">',
        f'<title id="title">{escape(title)}</title>',
        f'<desc id="desc">{escape(alt)}</desc>',
    ]
    return ("\n".join([*lines, *_elements(marks, letters), "</svg>"]) + "\n").encode("utf-8")


def inline_svg(marks: Iterable[Mark], width: float, height: float, alt: str) -> str:
    """Return marks as an element of a web page, which sets their family and their size.

    No ``style`` stands in it, since a page's policy may refuse that.

    Args:
        marks: in the order in which they are drawn, mm from the upper left corner.
        width: of the picture, mm.
        height: of the picture, mm.
        alt: what it shows, for who does not see it.
    """
    head = (
        f'<svg viewBox="0 0 {number(width)} {number(height)}" role="img" '
        f"aria-label={quoteattr(alt)}>"
    )
    return "\n".join([head, *_elements(marks, ("", "")), "</svg>"])


def _elements(marks: Iterable[Mark], letters: tuple[str, str]) -> Iterator[str]:
    """Yield paths and texts; ``letters``: what stands first and last in the tag of a text."""
    # lines drawn alike go into one path; areas must not: where two overlap, one would cut the other
    for (pen, _), group in groupby(enumerate(marks), key=lambda m: (_pen(m[1]), _alone(*m))):
        if pen is None:
            yield from (_text(mark, letters) for _, mark in group if isinstance(mark, TextMark))
        else:
            data = "".join(_outline(mark) for _, mark in group)
            yield f'<path {pen} d="{data}"/>'


def number(value: float) -> str:
    """Return a length of paper to a thousandth of a mm, as short as it can be written."""
    return _short(f"{value:.3f}")


_ZEROS = re.compile(r"\.?0+(?![\d.])")
_MINUS_ZERO = re.compile(r"-0(?![\d.])")


def _short(text: str) -> str:
    """Return a text whose numbers have three decimals without zeros that say nothing."""
    return _MINUS_ZERO.sub("0", _ZEROS.sub("", text))


def _alone(index: int, mark: Mark) -> int:
    """Return a number of its own for an area, and one for all lines and texts."""
    return -1 if isinstance(mark, TextMark) or not mark.fill else index


def _pen(mark: Mark) -> str | None:
    """Return how a path is drawn; None for text."""
    if isinstance(mark, TextMark):
        return None
    told = [f'fill="{mark.fill or "none"}"']
    if mark.fill:
        told.append('fill-rule="evenodd"')
    if mark.width:
        told.append(f'stroke="{mark.colour}" stroke-width="{number(mark.width)}"')
        ends = "butt" if mark.dashes else "round"
        told.append(f'stroke-linecap="{ends}" stroke-linejoin="round"')
    if mark.dashes:
        told.append(f'stroke-dasharray="{" ".join(number(step) for step in mark.dashes)}"')
    return " ".join(told)


def _outline(mark: Mark) -> str:
    """Return a path's data."""
    if isinstance(mark, RoundMark):
        (x, y), r = mark.centre, mark.radius
        arc = f"a{number(r)} {number(r)} 0 1 0"
        return f"M{number(x - r)} {number(y)}{arc} {number(2 * r)} 0{arc} {number(-2 * r)} 0z"
    assert isinstance(mark, PathMark)
    end = "z" if mark.closed else ""
    # tens of thousands of points in a packet: written in full first, shortened together
    runs = ["L".join([f"{x:.3f} {y:.3f}" for x, y in run]) for run in mark.runs]
    return _short("".join([f"M{run}{end}" for run in runs]))


def _point(point: Point) -> str:
    """Return a point as text."""
    return f"{number(point[0])} {number(point[1])}"


def _text(mark: TextMark, letters: tuple[str, str]) -> str:
    """Return a line of text; ``letters`` as for ``_elements``."""
    x, y = mark.start
    turn = f' transform="rotate({number(-mark.angle)} {_point(mark.start)})"' if mark.angle else ""
    return (
        f'<text x="{number(x)}" y="{number(y)}"{letters[0]} '
        f'font-size="{number(font_size(mark.capitals, mark.face))}"{_FACE[mark.face]} '
        f'fill="{mark.colour}"{letters[1]}{turn}>{escape(mark.text)}</text>'
    )
