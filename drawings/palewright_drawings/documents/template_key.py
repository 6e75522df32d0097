"""The first sheet of the templates: what each number is, where it is, how strips are joined."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from palewright.geometry.contours import extent
from palewright_drawings.documents.jig_templates import KeyedPart
from palewright_drawings.documents.plan.texts import size_line
from palewright_drawings.paper.marks import Mark, TextMark
from palewright_drawings.paper.styles import STYLE
from palewright_drawings.paper.text_metrics import Face, shortened, text_width

_TITLE, _LETTERS = 4.0, 2.2
"""Height of capitals, mm: judged by eye, as what follows."""

_LINE = 4.5
"""From one line to the next at most, mm."""

_LIST = 0.7
"""Share of the width that the list takes: its ends are read across."""

_HOW = (
    "Cut each plate to its size and outline first: they are drawn small, every corner by the tape.",
    "Cut the paper of its strips along the dashed lines, and at the lines with half a diamond.",
    "Join the parts of a strip from left to right: one letter to the same letter, A to A, B to B.",
    "Lay each strip on its plate as its title says, as the small drawing shows it by its number.",
    "A strip with several titles serves them all: prick its holes with an awl, then lay it again.",
    "A hole is a circle with a cross. A diamond is never drilled.",
)

_TAPED = (
    "Holes on no strip are marked by the tape: their lines on the small drawing end at the "
    "distances from the left edge and the foot."
)


def key_marks(
    parts: Sequence[KeyedPart],
    held: Mapping[str, Sequence[int]],
    room: tuple[float, float],
    system: str,
) -> Iterator[Mark]:
    """Yield the key, mm from the upper left corner of a sheet's room.

    Args:
        parts: of all jigs.
        held: sheets that each part is on, by its number.
        room: width and height, mm.
        system: ``inch`` or ``metric``.
    """
    striped = any(part.strips for part in parts)
    wide = room[0] * _LIST
    y = _TITLE + 1.0
    yield _text("Key to the jigs", 0.0, y, _TITLE, "bold")
    y += 2.0
    taped = any(part.taped for part in parts)
    for told in (*(_HOW if striped else ()), *((_TAPED,) if taped else ())):
        y += _LINE
        yield _text(told, 1.0, y, _LETTERS)
    y += 3.0
    jigs = list({part.jig.name: part.jig for part in parts}.values())
    line = min(_LINE, (room[1] - y) / (len(parts) + len(jigs) + 1))
    size = min(_LETTERS, line * 0.55)
    for jig in jigs:
        y += line
        yield _text(
            shortened(f"{jig.title}: {jig.material}", size, "bold", wide), 0.0, y, size, "bold"
        )
        for part in (one for one in parts if one.jig is jig):
            y += line
            x0, y0, x1, y1 = extent(part.part.contour)
            sizes = size_line((x1 - x0, y1 - y0), system)
            sheets = ", ".join(map(str, held[part.number]))
            told = f"{part.part.name}, {sizes}, cut {jig.count}"
            yield _text(part.number, 2.0, y, size, "bold")
            yield _text(shortened(told, size, "regular", wide - 40.0), 9.0, y, size)
            where = f"sheet {sheets}" if "," not in sheets else f"sheets {sheets}"
            yield _text(where, wide - 4.0 - text_width(where, size), y, size)


def _text(text: str, x: float, base: float, capitals: float, face: Face = "regular") -> TextMark:
    """Return a line of text."""
    return TextMark(text, (x, base), capitals, face, colour=STYLE.ink)
