"""Letters of single strokes that a router can follow: an alphabet of our own.

Each letter stands on a grid four wide and six high. Corners are cut at 45 degrees instead of
rounded, so that every stroke is straight and a small bit engraves it without filling it up.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterator

from palewright.geometry.polygons import Point
from palewright.jigs.text_places import LETTER_ADVANCE

_ROWS = 6.0
"""Rows of a letter's grid: the height of a capital."""

_UNKNOWN = "0,0 4,0 4,6 0,6 0,0 4,6"

_GLYPHS = {
    "A": "0,0 0,3.5 2,6 4,3.5 4,0;0,2 4,2",
    "B": "0,0 0,6 3,6 4,5 4,4 3,3.2 0,3.2;3,3.2 4,2.2 4,1 3,0 0,0",
    "C": "4,1 3,0 1,0 0,1 0,5 1,6 3,6 4,5",
    "D": "0,0 0,6 2.5,6 4,4.5 4,1.5 2.5,0 0,0",
    "E": "4,0 0,0 0,6 4,6;0,3.2 3,3.2",
    "F": "0,0 0,6 4,6;0,3.2 3,3.2",
    "G": "4,5 3,6 1,6 0,5 0,1 1,0 3,0 4,1 4,2.8 2.2,2.8",
    "H": "0,0 0,6;4,0 4,6;0,3.2 4,3.2",
    "I": "1,0 3,0;2,0 2,6;1,6 3,6",
    "J": "0,1 1,0 2.5,0 3.5,1 3.5,6",
    "K": "0,0 0,6;4,6 0,2.4;1.4,3.6 4,0",
    "L": "0,6 0,0 4,0",
    "M": "0,0 0,6 2,3 4,6 4,0",
    "N": "0,0 0,6 4,0 4,6",
    "O": "1,0 0,1 0,5 1,6 3,6 4,5 4,1 3,0 1,0",
    "P": "0,0 0,6 3,6 4,5 4,3.8 3,2.8 0,2.8",
    "Q": "1,0 0,1 0,5 1,6 3,6 4,5 4,1 3,0 1,0;2.4,1.6 4.2,-0.4",
    "R": "0,0 0,6 3,6 4,5 4,3.8 3,2.8 0,2.8;2,2.8 4,0",
    "S": "0,1 1,0 3,0 4,1 4,2.2 3,3.1 1,3.1 0,4 0,5 1,6 3,6 4,5",
    "T": "2,0 2,6;0,6 4,6",
    "U": "0,6 0,1 1,0 3,0 4,1 4,6",
    "V": "0,6 2,0 4,6",
    "W": "0,6 0.8,0 2,4 3.2,0 4,6",
    "X": "0,0 4,6;0,6 4,0",
    "Y": "0,6 2,3 4,6;2,3 2,0",
    "Z": "0,6 4,6 0,0 4,0",
    "0": "1,0 0,1 0,5 1,6 3,6 4,5 4,1 3,0 1,0;1.4,2.2 2.6,3.8",
    "1": "0.8,4.8 2,6 2,0;0.8,0 3.2,0",
    "2": "0,5 1,6 3,6 4,5 4,4 0,0 4,0",
    "3": "0,5 1,6 3,6 4,5 4,4.1 3,3.2 1.6,3.2;3,3.2 4,2.3 4,1 3,0 1,0 0,1",
    "4": "3,0 3,6 0,2 4,2",
    "5": "4,6 0.4,6 0,3.4 3,3.4 4,2.5 4,1 3,0 1,0 0,1",
    "6": "3.6,6 1.6,6 0,3.8 0,1 1,0 3,0 4,1 4,2.4 3,3.3 1,3.3 0,2.4",
    "7": "0,6 4,6 1.4,0",
    "8": "1,3.2 0,4.1 0,5 1,6 3,6 4,5 4,4.1 3,3.2 1,3.2 0,2.2 0,1 1,0 3,0 4,1 4,2.2 3,3.2",
    "9": "0.4,0 2.4,0 4,2.2 4,5 3,6 1,6 0,5 0,3.6 1,2.7 3,2.7 4,3.6",
    "-": "0.6,3 3.4,3",
    "+": "0.4,3 3.6,3;2,1.4 2,4.6",
    "/": "0.2,-0.4 3.8,6.4",
    ".": "1.8,0 2.2,0 2.2,0.4 1.8,0.4 1.8,0",
    ",": "2.2,0.5 1.6,-0.9",
    ":": "1.8,1.2 2.2,1.2 2.2,1.6 1.8,1.6 1.8,1.2;1.8,3.8 2.2,3.8 2.2,4.2 1.8,4.2 1.8,3.8",
    "'": "2,6 2,4.6",
    '"': "1.3,6 1.3,4.6;2.7,6 2.7,4.6",
    "°": "0.4,5 0.4,5.5 0.9,6 1.5,6 2,5.5 2,5 1.5,4.5 0.9,4.5 0.4,5",
    "#": "1,0.6 1.6,5.4;2.4,0.6 3,5.4;0.2,2 3.6,2;0.4,4 3.8,4",
    "(": "2.8,6.4 1.6,5 1.6,1 2.8,-0.4",
    ")": "1.2,6.4 2.4,5 2.4,1 1.2,-0.4",
    "&": "4,0 0.8,4.4 0.8,5.3 1.5,6 2.3,6 2.9,5.3 2.9,4.5 0,2 0,1 1,0 2.4,0 4,2.2",
    "=": "0.6,2.2 3.4,2.2;0.6,3.8 3.4,3.8",
    "×": "0.6,1.6 3.4,4.4;0.6,4.4 3.4,1.6",
    "?": "0.4,5 1.2,6 2.8,6 3.6,5 3.6,4.2 2,2.8 2,1.8;1.8,0 2.2,0 2.2,0.4 1.8,0.4 1.8,0",
    "_": "0,-0.4 4,-0.4",
}
"""Strokes of each letter: runs of x,y on the grid, semicolons between strokes."""


def stroke_text(
    text: str, at: Point, height: float, degrees: float = 0.0
) -> list[tuple[Point, ...]]:
    """Return a line of text as open strokes, mm.

    Small letters become capitals and accents are dropped; a sign that nobody drew is a crossed
    box, so that it is seen to be missing.

    Args:
        text: one line.
        at: lower left corner of the first letter, mm.
        height: of capitals, mm.
        degrees: direction of the line, anticlockwise from level.
    """
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    cos, sin = round(cos, 12) + 0.0, round(sin, 12) + 0.0
    found = []
    for i, sign in enumerate(plain_capitals(text)):
        for stroke in _strokes(sign):
            points = []
            for gx, gy in stroke:
                x = (gx / _ROWS + i * LETTER_ADVANCE) * height
                y = gy / _ROWS * height
                points.append((at[0] + x * cos - y * sin, at[1] + x * sin + y * cos))
            found.append(tuple(points))
    return found


def plain_capitals(text: str) -> str:
    """Return a text in capitals without accents, as it is engraved."""
    apart = unicodedata.normalize("NFKD", text.replace("ß", "ss"))
    return "".join(sign for sign in apart if not unicodedata.combining(sign)).upper()


def _strokes(sign: str) -> Iterator[list[Point]]:
    """Yield the strokes of one sign on its grid."""
    if sign.isspace():
        return
    for stroke in _GLYPHS.get(sign, _UNKNOWN).split(";"):
        yield [(float(x), float(y)) for x, y in (pair.split(",") for pair in stroke.split())]
