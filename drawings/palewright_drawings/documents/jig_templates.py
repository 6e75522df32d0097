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
from palewright.geometry.polygons import Point, bounds
from palewright.jigs.records import Jig, JigPart
from palewright.reading.lengths import INCH, noiseless, tape_reading, tape_text
from palewright_drawings.documents.plan.texts import size_line
from palewright_drawings.documents.template_strips import (
    StripPart,
    lettered,
    outline_of,
    strips_of,
)
from palewright_drawings.figures.jigs import flat_figure
from palewright_drawings.figures.panel_maps import LETTERS, apart
from palewright_drawings.figures.slanted_ends import HEAD, TITLE, Template, title_mark
from palewright_drawings.paper.figure import Figure, Label, Round, Stroke
from palewright_drawings.paper.figure_placement import place
from palewright_drawings.paper.marks import Mark, PathMark, RoundMark, edges_of, moved_marks
from palewright_drawings.paper.text_metrics import text_width

_SMALL = 120.0
"""What is drawn small is so long at most, mm of paper: two stand beside each other."""

_NUMBER = 5.0
"""Room for the number of a strip, mm of paper."""

_TITLES = 4.6
"""From one line of a strip's title to the next, mm of paper."""

_FEW = 3
"""A strip with no more holes a piece of paper is none: the tape marks them as soon (judgement)."""

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
        taped: the plate's holes that are on no strip, but marked by the tape, mm of the drawing
            that the strips are of.
    """

    number: str
    jig: Jig
    part: JigPart
    templates: tuple[Template, ...]
    strips: tuple[tuple[StripPart, ...], ...] = ()
    taped: tuple[Point, ...] = ()


def jig_templates(design: Design, room: tuple[float, float]) -> list[KeyedPart]:
    """Return the parts of all jigs with their templates, in the order in which they were made.

    What is equal, a part or a strip, is drawn once for all that it serves.

    Args:
        design: the box.
        room: width and height (mm) that a sheet has for a drawing.
    """
    numbers, letters, known = itertools.count(1), _letters(), dict[object, list[StripPart]]()
    drafts = [
        _draft(design, jig, part, str(next(numbers)), room, letters, known)
        for jig in design.jigs.jigs
        for part in jig.parts
    ]
    alike: dict[object, list[_Draft]] = {}
    for one in drafts:
        alike.setdefault(one.alike, []).append(one)
    laid: dict[object, list[_Laid]] = {}
    for one in drafts:
        for i, strip in enumerate(one.strips, 1):
            laid.setdefault(_strip_key(strip), []).append(_Laid(one, i, strip))
    system = design.parameters.product.units
    shared = {key: tuple(_strip_templates(uses, system)) for key, uses in laid.items()}
    whole = {key: _part_template(same, room, system) for key, same in alike.items()}
    return [
        KeyedPart(
            one.number,
            one.jig,
            one.part,
            (
                whole[one.alike],
                *dict.fromkeys(t for strip in one.strips for t in shared[_strip_key(strip)]),
            ),
            one.strips,
            one.taped,
        )
        for one in drafts
    ]


def _letters() -> Iterator[str]:
    """Yield A, B … Z, AA, AB and so on."""
    for many in itertools.count(1):
        for letters in itertools.product(string.ascii_uppercase, repeat=many):
            yield "".join(letters)


@dataclass(frozen=True, slots=True)
class _Draft:
    """A part before it is known what it shares.

    Attributes:
        number, jig, part: as ``KeyedPart``.
        figures: its drawing, both ways round.
        strips: where it is a plate too large for a sheet.
        marks: the drawing that the strips are of; empty where it has none.
        taped: its holes on no strip.
    """

    number: str
    jig: Jig
    part: JigPart
    figures: tuple[Figure, Figure]
    strips: tuple[tuple[StripPart, ...], ...] = ()
    marks: tuple[Mark, ...] = ()
    taped: tuple[Point, ...] = ()

    @property
    def alike(self) -> object:
        """Equal for parts that one drawing serves: lines, holes, words; a plate in strips alone."""
        drawn = self.figures[0]
        lines = tuple((s.layer, _rounded(s.points)) for s in drawn.strokes)
        holes = tuple((_rounded((one.centre,)), round(one.radius, 2)) for one in drawn.rounds)
        return self.number if self.marks else (lines, holes)


@dataclass(frozen=True, slots=True)
class _Laid:
    """Where a strip is laid: on which plate, as its which strip."""

    on: _Draft
    number: int
    strip: tuple[StripPart, ...]


def _rounded(points: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Return points to a tenth of a mm, by which drawings are compared."""
    return tuple((noiseless(x, 1), noiseless(y, 1)) for x, y in points)


def _strip_key(strip: Sequence[StripPart]) -> object:
    """Return what is equal for strips with equal lines and holes, whatever their letters."""
    found: list[object] = []
    for one in strip:
        x0, y0, x1, y1 = one.window
        found.append((noiseless(x1 - x0, 1), noiseless(y1 - y0, 1)))
        for mark in one.marks:
            if isinstance(mark, RoundMark):
                found.append((_rounded((mark.centre,)), round(mark.radius, 2)))
            elif isinstance(mark, PathMark):
                found += [_rounded(run) for run in mark.runs]
    return tuple(found)


def _draft(
    design: Design,
    jig: Jig,
    part: JigPart,
    number: str,
    room: tuple[float, float],
    letters: Iterator[str],
    known: dict[object, list[StripPart]],
) -> _Draft:
    """Return one part, cut in strips where it is a plate too large for a sheet.

    Args:
        design: the box.
        jig: which the part belongs to.
        part: what is drawn.
        number: in the key.
        room: that a sheet has, mm.
        letters: of joins, each new.
        known: strips that were drawn, by what is equal; new ones are added.
    """
    figure = flat_figure(replace(jig, parts=(part,)), design.parameters.saw.tool)
    ways = (figure, turned(figure))
    draft = _Draft(number, jig, part, ways)
    if not part.drills or any(_fits(_template(one, "", ()), room) for one in ways):
        return draft
    grid = INCH / 8 if design.parameters.product.units == "inch" else 1.0
    inner = (room[0], room[1] - HEAD)
    ways_drawn = [place(_lines(one), 1.0).marks for one in ways]
    marks = min(ways_drawn, key=lambda one: _paper(strips_of(one, inner, grid)))
    strips: list[tuple[StripPart, ...]] = []
    taped: list[Point] = []
    for strip in strips_of(marks, inner, grid):
        holes = [
            (mark.centre[0] + one.window[0], mark.centre[1] + one.window[1])
            for one in strip
            for mark in one.marks
            if isinstance(mark, RoundMark)
        ]
        if len(holes) <= _FEW * len(strip):
            taped += holes
            continue
        key = _strip_key(strip)
        if key not in known:
            known[key] = lettered(strip, letters)
        strips.append(
            tuple(
                replace(one, window=new.window) for one, new in zip(known[key], strip, strict=True)
            )
        )
    return replace(draft, strips=tuple(strips), marks=tuple(marks), taped=tuple(taped))


def _lines(figure: Figure) -> Figure:
    """Return a figure without what is engraved."""
    return replace(figure, strokes=tuple(s for s in figure.strokes if s.layer != "hatch"))


def _fits(template: Template, room: tuple[float, float]) -> bool:
    """Return whether a template fits a sheet."""
    return template.width <= room[0] and template.height <= room[1]


def _paper(strips: Sequence[Sequence[StripPart]]) -> float:
    """Return how much paper some strips take, mm²."""
    windows = [part.window for strip in strips for part in strip]
    return sum((x1 - x0) * (y1 - y0 + HEAD) for x0, y0, x1, y1 in windows)


def _part_template(same: Sequence[_Draft], room: tuple[float, float], system: str) -> Template:
    """Return the drawing of parts alike: at full size where it fits a sheet, else small."""
    first, numbers = same[0], tuple(one.number for one in same)
    cut = sum(one.jig.count for one in same)
    title = f"{', '.join(numbers)}  {first.part.name}, cut {cut}"
    if first.marks:
        return _small(first.marks, first.strips, title, numbers, system, first.taped)
    ways = [_template(one, title, numbers) for one in first.figures]
    fitting = [one for one in ways if _fits(one, room)]
    if fitting:
        return min(fitting, key=lambda one: one.height)
    drawn = [place(_lines(one), 1.0).marks for one in first.figures]
    wide = max(drawn, key=lambda marks: edges_of(marks)[2])
    return _small(wide, [], title, numbers, system)


def _strip_templates(uses: Sequence[_Laid], system: str) -> Iterator[Template]:
    """Yield the pieces of paper of a strip; a line of its title for each place where it is laid."""
    keys = tuple(dict.fromkeys(one.on.number for one in uses))
    for k, piece in enumerate(uses[0].strip, 1):
        count = len(uses[0].strip)
        titles = [_strip_title(one, k, count, system) for one in uses]
        head = HEAD + (len(titles) - 1) * _TITLES
        marks = [*moved_marks(piece.marks, 0.0, head)]
        for i, title in enumerate(titles):
            marks += moved_marks([title_mark(title)], 0.0, i * _TITLES)
        left, top, right, bottom = piece.window
        width = max(right - left, *(text_width(title, TITLE, "bold") for title in titles))
        yield Template("; ".join(titles), tuple(marks), width, bottom - top + head, keys)


def _strip_title(laid: _Laid, k: int, count: int, system: str) -> str:
    """Return what a piece of a strip is, and of its first piece where the strip is laid."""
    number, strips = laid.on.number, laid.on.strips
    which = f", {k} of {count}" if count > 1 else ""
    title = f"{number}  strip {laid.number} of {len(strips)}{which}"
    if k > 1:
        return title
    plate = bounds(outline_of(laid.on.marks).runs[0])
    x0, y0, _, _ = laid.strip[0].window
    where = (_from(y0 - plate[1], "upper", system), _from(x0 - plate[0], "left", system))
    return f"{title}: {', '.join(where)}"


def _from(distance: float, edge: str, system: str) -> str:
    """Return how a strip lies to an edge of its plate."""
    if distance < 0.5:
        return f"on the {edge} edge"
    return f"{tape_text(noiseless(distance, 1), system)} from the {edge} edge"


def _template(figure: Figure, title: str, keys: tuple[str, ...]) -> Template:
    """Return a figure at full size below its title."""
    placed = place(figure, 1.0)
    marks = (title_mark(title), *moved_marks(placed.marks, 0.0, HEAD))
    width = max(placed.width, text_width(title, TITLE, "bold"))
    return Template(title, marks, width, placed.height + HEAD, keys)


def _small(
    marks: Sequence[Mark],
    strips: Sequence[Sequence[StripPart]],
    title: str,
    keys: tuple[str, ...],
    system: str,
    taped: Sequence[Point] = (),
) -> Template:
    """Return a large part drawn small: how far its corners stand from its left edge and foot.

    Args:
        marks: its outline and holes at full size, mm of paper.
        strips: that are laid on it.
        title: what it is.
        keys: numbers in the key.
        system: ``inch`` or ``metric``.
        taped: holes that are marked by the tape as well.
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
    holes = [(x - x0, y0 - y) for x, y in taped]
    across = _reaches([(x, 0.0) for x, _ in ends] + holes)
    for (at, reach), beside in zip(across, apart([at for at, _ in across], gap), strict=True):
        strokes.append(Stroke("hatch", ((at, reach), (at, -arm), (beside, -end))))
        labels.append(
            Label(tape_reading(at, system), (beside, -end - 0.6 / scale), LETTERS, "right", 90.0)
        )
    up = _reaches([(y, 0.0) for _, y in ends] + [(y, x) for x, y in holes])
    for (at, reach), beside in zip(up, apart([at for at, _ in up], gap), strict=True):
        strokes.append(Stroke("hatch", ((reach, at), (-arm, at), (-end, beside))))
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
    size = size_line((x1 - x0, y0 - top), system)
    title = f"{title}, {size}, 1 : {1 / scale:g}"
    placed = place(
        Figure(title, title, title, tuple(strokes), rounds=rounds, labels=tuple(labels)), scale
    )
    shown = (title_mark(title), *moved_marks(placed.marks, 0.0, HEAD))
    width = max(placed.width, text_width(title, TITLE, "bold"))
    return Template(title, shown, width, placed.height + HEAD, keys)


def _reaches(places: Sequence[Point]) -> list[tuple[float, float]]:
    """Return each distance from an edge but 0, and how far the line that tells it reaches inward.

    Args:
        places: (distance that is told, how far in), mm.
    """
    found: dict[float, float] = {}
    for at, reach in places:
        at = noiseless(at, 1)
        found[at] = max(found.get(at, 0.0), reach)
    return sorted((at, reach) for at, reach in found.items() if at)


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
