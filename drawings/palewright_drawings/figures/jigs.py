"""Jigs drawn: each from above with its sizes, as it lies on the boards, and flat at full size.

Seen from above a jig is drawn in its own frame, engraved face up; laid, as the maker stands before
it: the panel with its staves up, the corner from outside.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from palewright.design import Design
from palewright.geometry.contours import drawn, extent
from palewright.geometry.polygons import Point, Polygon
from palewright.jigs.records import Jig, JigPart
from palewright.reading.lengths import tape_reading, tape_text
from palewright_drawings.figures.jigs_in_use import CHORD, LABEL_AIR, laid_figure, use_figure
from palewright_drawings.paper.figure import Dimension, Figure, Fill, Label, Round, Side, Stroke
from palewright_drawings.paper.stroke_font import stroke_text

_CROSS = 4.0
"""A hole's cross reaches so far (mm) beyond its rim."""

_SAME = 0.05
"""Heights nearer than this (mm) are one row of sizes."""

_ROOM = 25.0
"""Above feet higher than this (mm) a name stands between them: judged by eye."""

_LEGIBLE, _NARROWER = 1.2, 0.8
"""Engraved capitals lower than this (mm of paper) are left out; letters of print are so much lower
than those that a router cuts, to be no wider (both by eye)."""

_BETWEEN = 12.0
"""Room (mm) between flat parts, for the bit and its rim."""


@dataclass(frozen=True)
class JigPictures:
    """The drawings of one jig.

    Attributes:
        jig: with its title, purpose, steps and drill stops.
        above: the jig from above with its sizes.
        laid: how it lies on the boards.
        flat: its parts side by side, to print at full size.
        parts: (name, size, how many) of its flat parts, as the shop reads them.
        holes: (from the end fence, from the side fence …) of its guide holes, row by row.
    """

    jig: Jig
    above: Figure
    laid: Figure
    flat: Figure
    parts: tuple[tuple[str, str, int], ...]
    holes: tuple[tuple[str, tuple[str, ...]], ...]


def jig_pictures(design: Design) -> list[JigPictures]:
    """Return the drawings of all jigs of a box, in the order in which they were made."""
    units = design.parameters.product.units
    return [
        JigPictures(
            jig=jig,
            above=above_figure(jig, units),
            laid=laid_figure(design, jig) if jig.poses else use_figure(design, jig),
            flat=flat_figure(jig, design.parameters.saw.tool),
            parts=tuple(_part_sizes(jig, units)),
            holes=tuple(hole_rows(jig, units)),
        )
        for jig in design.jigs.jigs
    ]


def above_figure(jig: Jig, units: str) -> Figure:
    """Return a jig from above in its own frame, with its sizes; fences below it are hidden."""
    strokes: list[Stroke] = []
    for part in reversed(jig.parts[1:]):
        lower = part.placement.origin[2] < 0 or part.placement.normal[2] > 0.5
        above = part.name.startswith("upper ")
        if lower and not above:
            strokes.append(Stroke("hidden", seen_from_above(part), True))
    plate = drawn(jig.plate.contour, CHORD)
    strokes.append(Stroke("visible", plate, True))
    strokes += [one for drill in jig.plate.drills for one in _cross(drill.centre, drill.diameter)]
    title = f"{jig.title}, from above"
    return Figure(
        name=f"jig-{jig.name}",
        title=title,
        alt=f"{title}: {jig.purpose}; {len(jig.guides)} guide holes",
        strokes=tuple(strokes),
        rounds=tuple(Round("visible", d.centre, d.diameter / 2) for d in jig.plate.drills),
        fills=(Fill("jig", plate),),
        labels=tuple(_part_labels(jig)),
        dimensions=tuple(_sizes(jig, units)),
    )


def engraved(figure: Figure, jig: Jig, scale: float) -> Figure:
    """Return a jig from above with its engraved words as letters, where they are legible.

    Args:
        figure: as ``above_figure`` draws it.
        jig: which.
        scale: mm of paper for one mm of the model.
    """
    labels = []
    for words in jig.plate.words:
        turn, half = math.radians(words.angle), words.height / 2
        at = (words.at[0] - half * math.sin(turn), words.at[1] + half * math.cos(turn))
        if words.height * scale >= _LEGIBLE:
            size = _NARROWER * words.height * scale
            labels.append(Label(words.text, at, size, "left", words.angle))
    return figure.with_marks(labels=labels)


def seen_from_above(part: JigPart) -> Polygon:
    """Return the rectangle that a laid or standing part covers, seen from above, mm."""
    x0, y0, x1, y1 = extent(part.contour)
    points = [
        part.placement.out(x, y, z)
        for x in (x0, x1)
        for y in (y0, y1)
        for z in (0.0, part.thickness)
    ]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return (
        (min(xs), min(ys)),
        (max(xs), min(ys)),
        (max(xs), max(ys)),
        (min(xs), max(ys)),
    )


def _cross(centre: Point, diameter: float) -> Iterator[Stroke]:
    """Yield the two centre lines of a hole."""
    (x, y), reach = centre, diameter / 2 + _CROSS
    yield Stroke("thin", ((x - reach, y), (x + reach, y)))
    yield Stroke("thin", ((x, y - reach), (x, y + reach)))


def _part_labels(jig: Jig) -> Iterator[Label]:
    """Yield the names of fences, beside the plate on the side where they stand."""
    x0, y0, x1, y1 = extent(jig.plate.contour)
    away = LABEL_AIR * max(x1 - x0, y1 - y0)
    for part in jig.parts[1:]:
        xs, ys = zip(*seen_from_above(part), strict=True)
        if part.name == "side fence":
            at = (x0 - away, (min(ys) + max(ys)) / 2)
            yield Label(part.name, at, anchor="above", angle=90.0)
        elif part.name == "end fence":
            # between the legs there is room for the name above the feet
            low = min(ys) if jig.fixed.get("rail height", 0.0) > _ROOM else y0
            yield Label(part.name, ((min(xs) + max(xs)) / 2, low - away), anchor="below")


def _sizes(jig: Jig, units: str) -> Iterator[Dimension]:
    """Yield the sizes that a maker sets: of the plate, from the fences' faces, of legs and stop."""
    x0, y0, x1, y1 = extent(jig.plate.contour)
    fenced = any(part.name == "side fence" for part in jig.parts)
    if fenced:
        yield _size((0.0, y1), (x1, y1), "above", 0, units, "from the side fence")
        yield _size((x1, 0.0), (x1, y1), "right", 0, units, "from the end fence")
    row = 1 if fenced else 0
    yield _size((x0, y1), (x1, y1), "above", row, units, "plate, across")
    yield _size((x1, y0), (x1, y1), "right", row, units, "plate, up")
    if "gap" in jig.fixed:
        yield _size((0.0, y0), (jig.fixed["gap"], y0), "below", 0, units, "gap")
        yield _size((x0, y0), (x0, 0.0), "left", 0, units, "tongue")
    if "overhang" in jig.fixed:
        yield _size((0.0, y0), (jig.fixed["overhang"], y0), "below", 0, units, "overhang")
        yield _size((x0, y0), (x0, 0.0), "left", 0, units, "below the cap")
    if "stave inset" in jig.fixed:
        inset = jig.fixed["stave inset"]
        yield _size((0.0, y0), (inset, y0), "below", 0, units, "stave inset")
    if "stave rise" in jig.fixed:
        yield _size((x0, 0.0), (x0, jig.fixed["stave rise"]), "left", 0, units, "stave rise")
    if "rail height" in jig.fixed:
        high = jig.fixed["rail height"]
        yield _size((x0, -high), (x0, 0.0), "left", 0, units, "rail height")


def _size(start: Point, end: Point, side: Side, row: int, units: str, what: str) -> Dimension:
    """Return one dimension with its text."""
    axis = 0 if side in ("above", "below") else 1
    text = tape_text(abs(end[axis] - start[axis]), units)
    return Dimension(start, end, side, row, text, what)


def flat_figure(jig: Jig, tool: float) -> Figure:
    """Return a jig's parts flat side by side, as the router cuts them, to print at full size."""
    strokes: list[Stroke] = []
    rounds: list[Round] = []
    for part, (dx, dy) in zip(jig.parts, flat_places(jig, tool), strict=True):
        ring = tuple((x + dx, y + dy) for x, y in drawn(part.contour, CHORD))
        strokes.append(Stroke("visible", ring, True))
        for drill in part.drills:
            centre = (drill.centre[0] + dx, drill.centre[1] + dy)
            rounds.append(Round("visible", centre, drill.diameter / 2))
            strokes += _cross(centre, drill.diameter)
        strokes += [
            Stroke("hatch", tuple((x + dx, y + dy) for x, y in run))
            for run in engraved_strokes(part)
        ]
    title = f"{jig.title}, flat, full size"
    return Figure(
        name=f"template-{jig.name}",
        title=title,
        alt=f"{title}: {len(jig.parts)} parts and {len(jig.guides)} guide holes",
        strokes=tuple(strokes),
        rounds=tuple(rounds),
    )


def _part_sizes(jig: Jig, units: str) -> Iterator[tuple[str, str, int]]:
    """Yield (name, size, how many) of a jig's parts; equal ones are told once."""
    found: dict[tuple[str, str], int] = {}
    for part in jig.parts:
        x0, y0, x1, y1 = extent(part.contour)
        size = sorted((x1 - x0, y1 - y0), reverse=True)
        told = " x ".join(tape_text(x, units) for x in (*size, part.thickness))
        key = (part.name.removeprefix("upper ").removeprefix("far "), told)
        found[key] = found.get(key, 0) + jig.count
    for (name, told), count in found.items():
        yield name, told, count


def hole_rows(jig: Jig, units: str) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield the guide holes by rows: from the end fence; of each, unitless, from the side one."""
    rows: list[tuple[float, list[float]]] = []
    for x, y in sorted(jig.guides, key=lambda p: (p[1], p[0])):
        if rows and math.isclose(rows[-1][0], y, abs_tol=_SAME):
            rows[-1][1].append(x)
        else:
            rows.append((y, [x]))
    for y, xs in rows:
        yield tape_text(y, units), tuple(tape_reading(x, units) for x in sorted(xs))


def engraved_strokes(part: JigPart) -> Iterator[tuple[Point, ...]]:
    """Yield the strokes of a part's words and lines in its own flat frame, mm."""
    for words in part.words:
        yield from stroke_text(words.text, words.at, words.height, words.angle)


def flat_places(jig: Jig, tool: float) -> list[Point]:
    """Return by how much each part is moved from its own flat frame, mm.

    The plate's lower left corner comes to the origin; the others lie below it, one above the other.
    """
    places: list[Point] = []
    level = 0.0
    for part in jig.parts:
        x0, y0, _, y1 = extent(part.contour)
        if places:
            level -= y1 - y0 + max(_BETWEEN, 2 * tool)
        places.append((-x0, level - y0))
    return places
