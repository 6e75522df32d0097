"""Paper templates: full size on the raster, angles as the boards', tiles that join."""

from __future__ import annotations

import math
import re
from collections import Counter
from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from case_lists import mostly_thorough
from figures_on_paper import overlaps
from palewright.design import Design, design
from palewright.geometry.contours import extent
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright.reading.lengths import read_length
from palewright_drawings.documents.jig_templates import KeyedPart, jig_templates
from palewright_drawings.documents.plan.content import paper_of
from palewright_drawings.documents.template_sheets import (
    FOOT,
    MARGIN,
    RULER_IN,
    RULER_MM,
    room_on,
    sheets_of,
    templates_pdf,
)
from palewright_drawings.documents.template_strips import clipped, lines_within, strips_of
from palewright_drawings.figures.slanted_ends import end_templates
from palewright_drawings.paper.marks import PathMark, RoundMark, TextMark
from pdf_pages import (
    fonts,
    outside,
    overlapping,
    page_image,
    page_sizes,
    page_texts,
    page_words,
    syntax_problems,
)

DOTS = 300
DOT = 25.4 / DOTS


@cache
def made(name: str, paper: str = "auto") -> Design:
    return design(load_variant(name, [f"plan.paper={paper}"]).parameters, name)


def longest_run(row: np.ndarray) -> tuple[int, int]:
    """Return where the longest dark run of a row of dots begins, and its length."""
    dark = np.concatenate(([False], row < 128, [False]))
    edges = np.flatnonzero(dark[1:] != dark[:-1])
    starts, ends = edges[::2], edges[1::2]
    if not len(starts):
        return 0, 0
    best = int(np.argmax(ends - starts))
    return int(starts[best]), int(ends[best] - starts[best])


@pytest.mark.parametrize("paper", ["letter", "tabloid", "a4", "a3"])
def test_the_rulers_are_to_size_on_the_printed_sheet(paper: str) -> None:
    pdf = templates_pdf(made("stoop-tub", paper))
    image = page_image(pdf, 0, DOTS)
    foot = image[int((page_sizes(pdf)[0][1] - MARGIN - FOOT + 7) / DOT) :]
    rows = [longest_run(row[: int((MARGIN + RULER_IN + 3) / DOT)]) for row in foot]
    start, length = max(rows, key=lambda run: run[1])
    assert length * DOT == pytest.approx(RULER_IN + 0.18, abs=0.1)
    assert start * DOT == pytest.approx(MARGIN - 0.09, abs=0.1)
    at = max(range(len(rows)), key=lambda i: rows[i][1])
    below = foot[at + int(1.5 / DOT)]
    ticks = np.flatnonzero(below[: int((MARGIN + RULER_IN + 3) / DOT)] < 128) * DOT - MARGIN
    assert ticks.min() == pytest.approx(0.0, abs=0.1)
    assert ticks.max() == pytest.approx(RULER_MM, abs=0.1)


@pytest.mark.parametrize("name", shipped_variants())
def test_every_slanted_end_is_drawn_with_its_angle(name: str) -> None:
    box = made(name)
    templates = end_templates(box)
    wanted = {
        (part.mark, round(angle, 1))
        for part in box.parts
        for angle in (*part.left_angles, *part.right_angles)
        if angle >= 0.05
    }
    drawn = set()
    for template in templates:
        marks = template.title.split("  ")[0].split(", ")
        part = next(part for part in box.parts if part.mark == marks[0])
        outline = next(m for m in template.marks if isinstance(m, PathMark))
        ys = [y for run in outline.runs for _, y in run]
        assert max(ys) - min(ys) == pytest.approx(part.width, abs=1e-6)
        for start, end in outline.segments():
            dx, dy = abs(end[0] - start[0]), abs(end[1] - start[1])
            if dy > 1e-6:
                drawn |= {(mark, round(math.degrees(math.atan2(dx, dy)), 1)) for mark in marks}
    assert wanted <= drawn
    tilts = {angle for _, angle in wanted}
    assert all(not a or min(abs(a - t) for t in tilts) < 0.11 for _, a in drawn)


def test_an_end_measures_on_the_raster_what_the_board_does() -> None:
    box = made("stoop-tub")
    width = 3.25 * 25.4  # of the cap, whose ends are cut at 45 degrees
    number, cap = next(
        (i, m)
        for i, sheet in enumerate(sheets_of(box))
        for m in sheet.marks
        if isinstance(m, PathMark) and m.kind == "stroke" and "cap, end" in sheet.alt
        if abs(m.edges[3] - m.edges[1] - 0.25 - width) < 1e-6
    )
    image = page_image(templates_pdf(box), number, DOTS)
    runs = []
    for y in (cap.edges[1] + 0.125, cap.edges[3] - 0.125):
        rows = image[int((y - 0.3) / DOT) : int((y + 0.3) / DOT)]
        runs.append(max((longest_run(row) for row in rows), key=lambda run: run[1]))
    (short_start, short), (long_start, long) = runs
    assert (long - short) * DOT == pytest.approx(width, abs=0.12)
    assert (short_start - long_start) * DOT == pytest.approx(width, abs=0.12)


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "stoop-tub", "bean-tower"))
def test_sheets_are_sound_keep_their_margins_and_are_readable(name: str) -> None:
    pdf = templates_pdf(made(name))
    assert syntax_problems(pdf) == []
    assert all(embedded for _, embedded in fonts(pdf))
    for sheet in sheets_of(made(name)):
        assert overlaps(sheet.marks) == []
    for words, size in zip(page_words(pdf), page_sizes(pdf), strict=True):
        assert outside(words, size, MARGIN) == []
        assert overlapping(words) == []
    assert all("100 mm" in told and "4 in" in told for told in page_texts(pdf))


def test_a_box_with_square_ends_only_has_no_end_templates() -> None:
    assert end_templates(made("terrace-crate")) == []


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "stoop-tub", "terrace-crate"))
def test_every_guide_hole_of_a_plate_is_on_a_strip_or_told_by_the_tape(name: str) -> None:
    """Whole on a strip that says where it lies, or with its distances on the small drawing."""
    for part in keyed(name):
        if part.part.drills and not (part.strips or part.taped):  # a small one is there whole
            (template,) = part.templates
            assert sum(isinstance(m, RoundMark) for m in template.marks) == len(part.part.drills)
    for part in keyed(name):
        if not (part.strips or part.taped):
            continue
        outline, *others = part.templates
        assert " 1 : " in outline.title
        left, top, high = plate_of(part)
        drills = part.part.drills
        seen = holes_on_strips(part) | {(round(x, 4), round(y, 4)) for x, y in part.taped}
        shape = sorted(math.dist(a, b) for a in seen for b in seen)
        wanted = sorted(math.dist(a.centre, b.centre) for a in drills for b in drills)
        assert shape == pytest.approx(wanted, abs=0.3)  # as `plate_of`
        for i, strip in enumerate(part.strips, 1):
            begins = f"{part.number}  strip {i} of {len(part.strips)}"
            titles = [line for t in others for line in t.title.split("; ")]
            mine = [line for line in titles if re.match(rf"{begins}(\D|$)", line)]
            assert len(mine) == len(strip)
            told = next(line for line in mine if ": " in line).partition(": ")[2].split(", ")
            x, y = strip[0].window[:2]
            for text, edge, at in ((told[0], "upper", y - top), (told[1], "left", x - left)):
                said = 0.0
                if not text.startswith("on the"):
                    said = read_length(text.removesuffix(f" from the {edge} edge"))
                assert said == pytest.approx(at, abs=0.06), text
        texts = [m for m in outline.marks if isinstance(m, TextMark) and m.what == "label"]
        across = [by_tape(m.text, name) for m in texts if m.angle]
        up = [by_tape(m.text, name) for m in texts if not m.angle and m.text[:1].isdigit()]
        for x, y in part.taped:  # to half a line of the tape
            near = 0.81 if made(name).parameters.product.units == "inch" else 0.51
            assert min(abs(at - (x - left)) for at in across) < near
            assert min(abs(at - (high - (y - top))) for at in up) < near


def by_tape(text: str, name: str) -> float:
    """A distance as it stands on a drawing, mm."""
    unit = "in" if made(name).parameters.product.units == "inch" else "mm"
    return read_length(f"{text.split(' ')[0]} {unit}")


def holes_on_strips(part: KeyedPart) -> set[tuple[float, float]]:
    """Where the holes on a plate's strips are on its drawing, mm."""
    return {
        (round(m.centre[0] + piece.window[0], 4), round(m.centre[1] + piece.window[1], 4))
        for strip in part.strips
        for piece in strip
        for m in piece.marks
        if isinstance(m, RoundMark)
    }


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "winter-tub"))
def test_what_is_alike_is_drawn_once(name: str) -> None:
    """No two drawings of the sheets show the same outline and holes; each says all it serves."""
    drawn: dict[object, str] = {}
    served: Counter[str] = Counter()
    for template in dict.fromkeys(t for part in keyed(name) for t in part.templates):
        lines = sorted(
            (round(x, 1), round(y, 1))
            for m in template.marks
            if isinstance(m, PathMark)
            for run in m.runs
            for x, y in run
        )
        top = min(y for _, y in lines)
        shown = tuple((x, round(y - top, 1)) for x, y in lines)
        assert drawn.setdefault(shown, template.title) == template.title
        for line in template.title.split("; "):
            served.update(re.match(r"[\d, ]+", line)[0].replace(" ", "").split(","))  # type: ignore[index]
        assert set(template.keys) <= served.keys()
    assert served.keys() == {part.number for part in keyed(name)}


@cache
def keyed(name: str) -> list[KeyedPart]:
    box = made(name)
    width, height = paper_of(box)
    return jig_templates(box, room_on((height, width)))


def plate_of(part: KeyedPart) -> tuple[float, float, float]:
    """Return the upper left corner of a plate's drawing, and its height: strips count from there.

    Found from the jig itself: the holes' places on paper, less their places on the plate.
    Strips that are equal to a tenth of a mm are one.
    """
    x0, y0, x1, y1 = extent(part.part.contour)
    holes = sorted(holes_on_strips(part) | {(round(x, 4), round(y, 4)) for x, y in part.taped})
    ways = (
        (y1 - y0, sorted((d.centre[0] - x0, y1 - d.centre[1]) for d in part.part.drills)),
        # a quarter turn anticlockwise
        (x1 - x0, sorted((y1 - d.centre[1], x1 - d.centre[0]) for d in part.part.drills)),
    )
    for high, way in ways:
        x, y = (min(h[k] for h in holes) - min(w[k] for w in way) for k in (0, 1))
        left = [(h[0] - x, h[1] - y) for h in holes]
        if len(left) == len(way) and all(
            min(math.dist(h, w) for h in left) < 0.15 > min(math.dist(h, v) for v in way)
            for h, w in zip(left, way, strict=True)
        ):
            return x, y, high
    raise AssertionError(f"{part.jig.name}: the holes are not the plate's")


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "stoop-tub"))
def test_letters_join_two_ends_each_and_no_join_can_be_taken_for_a_hole(name: str) -> None:
    lefts, rights = [], []
    strips = {strip[0].marks: strip for part in keyed(name) for strip in part.strips}
    for part in keyed(name):
        for strip in part.strips:
            assert [p.marks for p in strip] == [p.marks for p in strips[strip[0].marks]]
    for strip in strips.values():  # each once, wherever it is laid
        for piece in strip:
            lefts += [piece.left] if piece.left else []
            rights += [piece.right] if piece.right else []
            told = {m.text for m in piece.marks if isinstance(m, TextMark)}
            assert told == {piece.left, piece.right} - {""}
            assert all(m.kind == "stroke" for m in piece.marks if isinstance(m, RoundMark))
        assert [p.right for p in strip[:-1]] == [p.left for p in strip[1:]]
    assert lefts == rights and len(set(lefts)) == len(lefts)


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "stoop-tub"))
def test_every_part_of_every_jig_is_on_the_sheets_that_the_key_names(name: str) -> None:
    box, sheets = made(name), sheets_of(made(name))
    parts = [(jig, part) for jig in box.jigs.jigs for part in jig.parts]
    assert [(one.jig, one.part) for one in keyed(name)] == parts
    key = [m for m in sheets[0].marks if isinstance(m, TextMark)]
    told = {m.text: m for m in key if m.start[0] == MARGIN + 2.0}  # numbers of the ruler aside
    for number in range(1, len(parts) + 1):
        on = [i for i, sheet in enumerate(sheets, 1) if str(number) in sheet.keys]
        assert on, number
        line = told[str(number)].start[1]
        (where,) = (m.text for m in key if m.start[1] == line and m.text.startswith("sheet"))
        assert [int(text) for text in re.findall(r"\d+", where)] == on


SHEETS = 10
"""Of paper at most, the key among them."""


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "gate-pair"))
def test_templates_keep_to_their_sheets(name: str, paper: str) -> None:
    assert len(sheets_of(made(name, paper))) <= SHEETS


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "winter-tub", "terrace-crate"))
def test_sizes_on_the_sheets_are_on_the_tape_or_say_full_or_bare(name: str) -> None:
    told = " ".join(page_texts(templates_pdf(made(name))))
    assert re.findall(r"\d/(?:32|64)\b", told) == []
    if made(name).parameters.product.units == "metric":
        assert re.findall(r"\d\.\d+ (?:×|mm)|\d in\b(?!ch)", told.replace("4 in", "")) == []


def test_a_long_fence_is_drawn_with_the_places_of_its_tabs() -> None:
    """The numbers beside it against the jig's own contour."""
    small = [
        one
        for one in keyed("stoop-tub")
        if not one.part.drills and " 1 : " in one.templates[0].title
    ]
    assert len(small) >= 5
    for one in small:
        x0, y0, x1, y1 = extent(one.part.contour)
        corners = [(x - x0, y - y0) for x, y, _ in one.part.contour]
        if y1 - y0 > x1 - x0:
            corners = [(y1 - y0 - y, x) for x, y in corners]
        long, high = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
        texts = [m for m in one.templates[0].marks if isinstance(m, TextMark) and m.what == "label"]
        across = [in_mm(m.text) for m in texts if m.angle]
        up = [
            in_mm(m.text)
            for m in texts
            if not m.angle and m.text[:1].isdigit() and m.text != one.templates[0].title
        ]
        assert any(abs(at - long) < 0.81 for at in across)
        assert any(abs(at - high) < 0.81 for at in up)
        for at in across:  # a sixteenth, full or bare, is within half of one
            assert min(min(abs(at - x), abs(at - (long - x))) for x, _ in corners) < 0.81
        for at in up:
            assert min(min(abs(at - y), abs(at - (high - y))) for _, y in corners) < 0.81


def in_mm(text: str) -> float:
    return read_length(f"{text.split(' ')[0]} in")


ROOM = (190.0, 140.0)


@given(
    st.floats(150.0, 900.0),
    st.floats(60.0, 900.0),
    st.lists(st.tuples(st.floats(0.06, 0.94), st.floats(0.06, 0.94)), min_size=1, max_size=8),
)
def test_each_hole_is_whole_on_one_part_and_every_part_fits_a_sheet(
    wide: float, high: float, shares: list[tuple[float, float]]
) -> None:
    ring = ((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high))
    holes = [RoundMark("stroke", (wide * a, high * b), 1.5, 0.25, "#000000") for a, b in shares]
    marks = [PathMark("stroke", (ring,), True, 0.25, "#000000"), *holes]
    strips = strips_of(marks, ROOM, 3.175)
    for hole in holes:
        shown = [
            piece
            for strip in strips
            for piece in strip
            if any(
                isinstance(m, RoundMark)
                and math.dist(
                    (m.centre[0] + piece.window[0], m.centre[1] + piece.window[1]), hole.centre
                )
                < 1e-6
                for m in piece.marks
            )
        ]
        assert shown, hole.centre
    for strip in strips:
        for piece in strip:
            x0, y0, x1, y1 = piece.window
            assert 0 < x1 - x0 <= ROOM[0] and 0 < y1 - y0 <= ROOM[1]
            assert x0 >= -1e-6 and x1 <= wide + 1e-6 and y0 >= -1e-6 and y1 <= high + 1e-6
            for edge in (x0, y0):
                steps = edge / 3.175
                assert piece is not strip[0] or abs(steps - round(steps)) < 1e-6


def test_lines_are_cut_at_a_strips_edge_and_circles_that_cross_it_are_arcs() -> None:
    circle = RoundMark("stroke", (183.0, 50.0), 20.0, width=0.25, colour="#000000")
    found = list(lines_within([circle], (0.0, 0.0, 190.0, 230.0)))
    assert found and all(isinstance(mark, PathMark) for mark in found)
    for mark in found:
        for a, _ in mark.segments():
            assert math.dist(a, (183.0, 50.0)) == pytest.approx(20.0, abs=0.02)
            assert a[0] <= 190.0 + 1e-6
    assert list(lines_within([circle], (0.0, 0.0, 300.0, 230.0))) == [circle]


def test_a_segment_is_cut_where_it_leaves_the_window() -> None:
    window = (0.0, 0.0, 10.0, 10.0)
    assert clipped((-5.0, 5.0), (15.0, 5.0), window) == ((0.0, 5.0), (10.0, 5.0))
    assert clipped((1.0, 1.0), (9.0, 2.0), window) == ((1.0, 1.0), (9.0, 2.0))
    assert clipped((-5.0, -5.0), (-1.0, 20.0), window) is None
    assert clipped((11.0, 0.0), (11.0, 9.0), window) is None
