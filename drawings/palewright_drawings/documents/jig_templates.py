"""Paper templates of jigs: what fits a sheet at full size, plates as strips, long fences by sizes.

Each part of a jig has a number, which the key on the first sheet explains. What is larger than a
sheet is drawn small, with every corner by the tape; of a plate the holes come at full size.
"""

from __future__ import annotations

import itertools
import string
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from palewright.design import Design
from palewright.geometry.polygons import bounds
from palewright.jigs.records import Jig, JigPart
from palewright.reading.lengths import INCH, noiseless, print_length, tape_reading, tape_text
from palewright_drawings.documents.template_strips import StripPart, outline_of, strips_of
from palewright_drawings.figures.jigs import flat_figure
from palewright_drawings.figures.panel_maps import LETTERS, apart
from palewright_drawings.figures.slanted_ends import HEAD, TITLE, Template, title_mark
from palewright_drawings.paper.figure import Figure, Label, Round, Stroke
from palewright_drawings.paper.figure_placement import place
from palewright_drawings.paper.marks import Mark, RoundMark, edges_of, moved_marks
from palewright_drawings.paper.text_metrics import Edges, text_width

_SMALL = 120.0
"""What is drawn small is so long at most, mm of paper: two stand beside each other."""

_NUMBER = 5.0
"""Room for the number of a strip, mm of paper."""

_STRAIGHT = 5.0
"""Sides longer than this (mm) have ends to be marked; shorter ones are reliefs of corners."""


@dataclass(frozen=True, slots=True)
class KeyedPart:
    """A part of a jig with its templates.

    Attributes:
        number: by which the templates call it.
        jig: which it belongs to.
        part: what it is.
        templates: of it.
        strips: where it is a plate in strips.
    """

    number: str
    jig: Jig
    part: JigPart
    templates: tuple[Template, ...]
    strips: tuple[tuple[StripPart, ...], ...] = ()


def jig_templates(design: Design, room: tuple[float, float]) -> list[KeyedPart]:
    """Return the parts of all jigs with their templates, in the order in which they were made.

    Args:
        design: the box.
        room: width and height (mm) that a sheet has for a drawing.
    """
    numbers, letters = itertools.count(1), _letters()
    return [
        _keyed(design, jig, part, str(next(numbers)), room, letters)
        for jig in design.jigs.jigs
        for part in jig.parts
    ]


def _letters() -> Iterator[str]:
    """Yield A, B … Z, AA, AB and so on."""
    for many in itertools.count(1):
        for letters in itertools.product(string.ascii_uppercase, repeat=many):
            yield "".join(letters)


def _keyed(
    design: Design,
    jig: Jig,
    part: JigPart,
    number: str,
    room: tuple[float, float],
    letters: Iterator[str],
) -> KeyedPart:
    """Return one part with its templates."""
    figure = flat_figure(replace(jig, parts=(part,)), design.parameters.saw.tool)
    title = f"{number}  {part.name}, cut {jig.count}"
    ways = [_template(one, title, number) for one in (figure, turned(figure))]
    fitting = [one for one in ways if one.width <= room[0] and one.height <= room[1]]
    if fitting:
        return KeyedPart(number, jig, part, (min(fitting, key=lambda one: one.height),))
    system = design.parameters.product.units
    lines = replace(figure, strokes=tuple(s for s in figure.strokes if s.layer != "hatch"))
    ways_drawn = [place(one, 1.0).marks for one in (lines, turned(lines))]
    if not part.drills:
        wide = max(ways_drawn, key=lambda marks: edges_of(marks)[2])
        return KeyedPart(number, jig, part, (_small(wide, [], title, number, system),))
    grid = INCH / 8 if system == "inch" else 1.0
    inner = (room[0], room[1] - HEAD)
    # tried with letters of their own, so that those of what is not taken are not used up
    marks = min(ways_drawn, key=lambda one: _paper(strips_of(one, inner, grid, _letters())))
    strips = strips_of(marks, inner, grid, letters)
    templates = [
        _small(marks, strips, title, number, system),
        *_strip_templates(strips, bounds(outline_of(marks).runs[0]), number, part, system),
    ]
    return KeyedPart(number, jig, part, tuple(templates), tuple(map(tuple, strips)))


def _paper(strips: list[list[StripPart]]) -> float:
    """Return how much height of paper some strips take, mm."""
    return sum(part.window[3] - part.window[1] + HEAD for strip in strips for part in strip)


def _strip_templates(
    strips: list[list[StripPart]], plate: Edges, number: str, part: JigPart, system: str
) -> Iterator[Template]:
    """Yield the pieces of paper of a plate."""
    for i, strip in enumerate(strips, 1):
        x0, y0, _, _ = strip[0].window
        where = ", ".join(
            [
                _from(y0 - plate[1], "upper edge", system),
                _from(x0 - plate[0], "left edge", system),
            ]
        )
        for k, one in enumerate(strip, 1):
            which = f", {k} of {len(strip)}" if len(strip) > 1 else ""
            title = f"{number}  {part.name}, strip {i} of {len(strips)}{which}: {where}"
            marks = (title_mark(title), *moved_marks(one.marks, 0.0, HEAD))
            left, top, right, bottom = one.window
            width = max(right - left, text_width(title, TITLE, "bold"))
            yield Template(title, marks, width, bottom - top + HEAD, number)


def _from(distance: float, edge: str, system: str) -> str:
    """Return how a strip lies to an edge of its plate."""
    if distance < 0.5:
        return f"on the {edge}"
    return f"{tape_text(noiseless(distance, 1), system)} from the {edge}"


def _template(figure: Figure, title: str, number: str) -> Template:
    """Return a figure at full size below its title."""
    placed = place(figure, 1.0)
    marks = (title_mark(title), *moved_marks(placed.marks, 0.0, HEAD))
    width = max(placed.width, text_width(title, TITLE, "bold"))
    return Template(title, marks, width, placed.height + HEAD, number)


def _small(
    marks: Sequence[Mark], strips: list[list[StripPart]], title: str, number: str, system: str
) -> Template:
    """Return a large part drawn small: how far its corners stand from its left edge and foot.

    Args:
        marks: its outline and holes at full size, mm of paper.
        strips: that are laid on it.
        title: what it is.
        number: in the key.
        system: ``inch`` or ``metric``.
    """
    ring = outline_of(marks).runs[0]
    x0, top, x1, y0 = bounds(ring)  # paper counts downwards, a figure upwards
    scale = next(
        1 / d for d in (2, 3, 4, 5, 6, 8, 10, 15, 20) if max(x1 - x0, y0 - top) / d < _SMALL
    )
    corners = [(x - x0, y0 - y) for x, y in ring]
    sides = zip(corners, (*corners[1:], corners[0]), strict=True)
    ends = [p for a, b in sides if _long(a, b) for p in (a, b)]
    strokes = [Stroke("visible", tuple(corners), True)]
    labels = []
    arm, end, gap = 1.5 / scale, 4.5 / scale, 1.5 * LETTERS / scale
    across = sorted({noiseless(x, 1) for x, _ in ends} - {0.0})
    for at, beside in zip(across, apart(across, gap), strict=True):
        strokes.append(Stroke("hatch", ((at, 0.0), (at, -arm), (beside, -end))))
        labels.append(
            Label(tape_reading(at, system), (beside, -end - 0.6 / scale), LETTERS, "right", 90.0)
        )
    up = sorted({noiseless(y, 1) for _, y in ends} - {0.0})
    for at, beside in zip(up, apart(up, gap), strict=True):
        strokes.append(Stroke("hatch", ((0.0, at), (-arm, at), (-end, beside))))
        labels.append(
            Label(tape_reading(at, system), (-end - 0.6 / scale, beside), LETTERS, "right")
        )
    for i, strip in enumerate(strips, 1):
        for one in strip:
            a, b, c, d = one.window
            box = [(x - x0, y0 - y) for x, y in ((a, b), (c, b), (c, d), (a, d))]
            strokes.append(Stroke("thin", tuple(box), True))
        # its number stands right of it, beyond the plate's edge where there is no room before that
        _, b, c, d = strip[-1].window
        right = c if (x1 - c) * scale > _NUMBER else x1
        labels.append(Label(str(i), (right - x0 + 1.2 / scale, y0 - (b + d) / 2), LETTERS, "left"))
    rounds = tuple(
        Round("thin", (m.centre[0] - x0, y0 - m.centre[1]), m.radius)
        for m in marks
        if isinstance(m, RoundMark)
    )
    size = " x ".join(print_length(one, system) for one in (x1 - x0, y0 - top))
    title = f"{title}, {size}, 1 : {1 / scale:g}"
    placed = place(
        Figure(title, title, title, tuple(strokes), rounds=rounds, labels=tuple(labels)), scale
    )
    shown = (title_mark(title), *moved_marks(placed.marks, 0.0, HEAD))
    width = max(placed.width, text_width(title, TITLE, "bold"))
    return Template(title, shown, width, placed.height + HEAD, number)


def _long(a: tuple[float, float], b: tuple[float, float]) -> bool:
    """Return whether a side is one that is marked, not the relief of a corner."""
    return abs(a[0] - b[0]) + abs(a[1] - b[1]) > _STRAIGHT


def turned(figure: Figure) -> Figure:
    """Return a figure of lines and circles a quarter turn round."""
    return replace(
        figure,
        strokes=tuple(
            replace(one, points=tuple((-y, x) for x, y in one.points)) for one in figure.strokes
        ),
        rounds=tuple(replace(one, centre=(-one.centre[1], one.centre[0])) for one in figure.rounds),
    )
