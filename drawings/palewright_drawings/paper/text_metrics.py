"""The fonts of everything printed, and how much paper a line of text takes in them.

One family for drawings, sheets and what is measured: DejaVu Sans 2.35. It has the fraction signs,
the degree and the multiplication sign, and its licence, kept beside the files, allows embedding.

Letters are measured one by one: kerning and joined letters are switched off where we write text
ourselves (``paper.svg``), so that what is measured is what is printed.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import Any, Literal

Face = Literal["regular", "bold", "oblique"]
"""Which of the family's fonts."""

FAMILY = "DejaVu Sans"
"""The family's name, as fonts and documents give it."""

TEXT_FAMILY = "Source Sans Pro"
"""The family of running text, for its true fractions; nothing is measured in it.

Source Sans Pro 2.020, SIL Open Font License 1.1, kept beside the files."""

FACES: dict[Face, str] = {
    "regular": "DejaVuSans.ttf",
    "bold": "DejaVuSans-Bold.ttf",
    "oblique": "DejaVuSans-Oblique.ttf",
}
"""File of each face in the folder of fonts."""


FONTS = Path(__file__).resolve().parent / "fonts"
"""Folder of the fonts and their licence: part of the package."""


def font_path(face: Face = "regular") -> Path:
    """Return the file of one face, TrueType."""
    return FONTS / FACES[face]


Edges = tuple[float, float, float, float]
"""Least x and y, greatest x and y, mm of paper."""


@dataclass(frozen=True, slots=True)
class Glyph:
    """One letter in shares of the font size: how far it moves on, and what its ink covers."""

    advance: float
    ink: Edges | None


class _Font:
    """An opened font: letters are read when they are asked for."""

    def __init__(self, face: Face) -> None:
        from fontTools.ttLib import TTFont

        font = TTFont(font_path(face), lazy=True)
        self._names: dict[int, str] = font.getBestCmap()
        self._moves: Any = font["hmtx"]
        self._shapes: Any = font["glyf"]
        self._units: int = font["head"].unitsPerEm
        self._seen: dict[str, Glyph] = {}

    def glyph(self, letter: str) -> Glyph:
        """Return a letter's measures; what the font has not takes its sign for a missing one."""
        found = self._seen.get(letter)
        if found is None:
            name = self._names.get(ord(letter), ".notdef")
            shape, units = self._shapes[name], self._units
            ink = None
            if shape.numberOfContours:
                edges = (shape.xMin, shape.yMin, shape.xMax, shape.yMax)
                ink = (edges[0] / units, edges[1] / units, edges[2] / units, edges[3] / units)
            found = self._seen[letter] = Glyph(self._moves[name][0] / units, ink)
        return found


_opened = cache(_Font)


@cache
def cap_share(face: Face = "regular") -> float:
    """Return the height of a capital H as a share of the font size."""
    ink = _opened(face).glyph("H").ink
    assert ink is not None
    return ink[3]


def font_size(capitals: float, face: Face = "regular") -> float:
    """Return the font size (mm) at which capitals are so high (mm)."""
    return capitals / cap_share(face)


@lru_cache(maxsize=4096)
def text_width(text: str, capitals: float, face: Face = "regular") -> float:
    """Return how far a line moves on (mm) when its capitals are so high (mm)."""
    font = _opened(face)
    return font_size(capitals, face) * sum(font.glyph(letter).advance for letter in text)


@lru_cache(maxsize=4096)
def text_ink(text: str, capitals: float, face: Face = "regular") -> Edges:
    """Return the edges (mm) of what a line blackens; all zeros where it is blank.

    y goes up from the base line, x from where the text begins.

    Args:
        text: one line.
        capitals: height of its capitals, mm.
        face: which of the fonts.
    """
    font, size = _opened(face), font_size(capitals, face)
    at, boxes = 0.0, []
    for letter in text:
        glyph = font.glyph(letter)
        if glyph.ink is not None:
            x0, y0, x1, y1 = glyph.ink
            boxes.append((at + x0, y0, at + x1, y1))
        at += glyph.advance
    if not boxes:
        return 0.0, 0.0, 0.0, 0.0
    return (
        size * min(box[0] for box in boxes),
        size * min(box[1] for box in boxes),
        size * max(box[2] for box in boxes),
        size * max(box[3] for box in boxes),
    )


def shortened(text: str, capitals: float, face: Face, room: float) -> str:
    """Return a line, or as much of its beginning as finds room (mm), ending in ``…``.

    Args:
        text: one line.
        capitals: height of its capitals, mm.
        face: which of the fonts.
        room: mm.
    """
    if text_width(text, capitals, face) <= room + 1e-9:
        return text
    while text and text_width(f"{text}…", capitals, face) > room:
        text = text[:-1].rstrip()
    return f"{text}…"


@cache
def letters_of(face: Face = "regular") -> frozenset[str]:
    """Return the letters that a face has."""
    return frozenset(map(chr, _opened(face)._names))
