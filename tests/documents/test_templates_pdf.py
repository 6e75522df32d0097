"""Paper templates: full size on the raster, angles as the boards', tiles that join."""

from __future__ import annotations

import math
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from case_lists import mostly_thorough
from figures_on_paper import overlaps
from palewright.design import Design, design
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright_drawings.documents.jig_templates import jig_templates
from palewright_drawings.documents.plan.content import paper_of
from palewright_drawings.documents.template_sheets import (
    FOOT,
    MARGIN,
    RULER_IN,
    RULER_MM,
    room_on,
    sheets_of,
    template_sheets,
    templates_pdf,
)
from palewright_drawings.documents.template_tiling import OVERLAP, Tile, clipped, tiles_of
from palewright_drawings.figures.slanted_ends import Template, end_templates
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


SLANTED = [name for name in shipped_variants() if end_templates(made(name))]


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


@pytest.mark.parametrize("name", SLANTED)
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
    image = page_image(templates_pdf(box), 0, DOTS)
    rings = [m for m in sheets_of(box)[0].marks if isinstance(m, PathMark) and m.kind == "stroke"]
    width = 3.25 * 25.4  # of the cap, whose ends are cut at 45 degrees
    cap = next(m for m in rings if abs(m.edges[3] - m.edges[1] - 0.25 - width) < 1e-6)
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


@pytest.mark.parametrize("name", ["stoop-tub", "terrace-crate"])
def test_every_guide_hole_of_a_plate_is_on_a_sheet_where_the_jig_has_it(name: str) -> None:
    box = made(name)
    room = room_on(paper_of(box))
    templates = {t.title.partition(":  ")[0]: t for t in jig_templates(box, room)}
    plates = [t for t in templates.values() if ": plate," in t.title]
    assert len(plates) == len(box.jigs.jigs)
    for jig, template in zip(box.jigs.jigs, plates, strict=True):
        rings = [m for m in template.marks if isinstance(m, RoundMark)]
        assert len(rings) == len(jig.plate.drills)
        shape = sorted(round(math.dist(a.centre, b.centre), 6) for a in rings for b in rings)
        drills = jig.plate.drills
        wanted = sorted(round(math.dist(a.centre, b.centre), 6) for a in drills for b in drills)
        assert shape == pytest.approx(wanted, abs=1e-5)
        tiles = tiles_of(template.marks, template.width, template.height, room)
        shown = {
            (round(m.centre[0] + t.left, 6), round(m.centre[1] + t.top, 6))
            for t in tiles
            for m in t.marks
            if isinstance(m, RoundMark) and m.kind == "stroke"
        }
        cut = sum(
            any(math.dist(p, m.centre) < m.radius + 0.2 for p in edge_points(m.centre, tiles, room))
            for m in rings
        )
        assert len(shown) + cut >= len(
            {(round(m.centre[0], 6), round(m.centre[1], 6)) for m in rings}
        )


def edge_points(
    at: tuple[float, float], tiles: list[Tile], room: tuple[float, float]
) -> list[tuple[float, float]]:
    """Return the points on the tiles' window edges that are nearest to a place."""
    return [
        point
        for tile in tiles
        for point in (
            (tile.left, at[1]),
            (tile.left + room[0], at[1]),
            (at[0], tile.top),
            (at[0], tile.top + room[1]),
        )
    ]


ROOM = (190.0, 230.0)
coordinate = st.floats(0.0, 700.0, allow_nan=False)
point = st.tuples(coordinate, coordinate)


@given(st.lists(point, min_size=2, max_size=6))
def test_tiles_laid_on_each_other_give_the_whole_line_and_nothing_else(
    points: list[tuple[float, float]],
) -> None:
    line = PathMark("stroke", (tuple(points),), width=0.25, colour="#000000")
    tiles = tiles_of([line], 700.0, 700.0, ROOM)
    for tile in tiles:
        for mark in tile.marks:
            if isinstance(mark, PathMark) and mark.kind == "stroke":
                for start, end in mark.segments():
                    for x, y in (start, end):
                        assert -1e-6 <= x <= ROOM[0] + 1e-6
                        assert -1e-6 <= y <= ROOM[1] + 1e-6
                        assert near(points, (x + tile.left, y + tile.top)) < 1e-6
    for start, end in pairwise(points):
        for share in (0.0, 0.31, 0.5, 1.0):
            at = (start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share)
            assert any(shows(tile, at) for tile in tiles)


def near(points: list[tuple[float, float]], at: tuple[float, float]) -> float:
    return min(distance(at, a, b) for a, b in pairwise(points))


def distance(p: tuple[float, float], a: tuple[float, float], b: tuple[float, float]) -> float:
    long = math.dist(a, b) ** 2
    along = ((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])) / long if long else 0.0
    along = min(max(along, 0.0), 1.0)
    return math.dist(p, (a[0] + along * (b[0] - a[0]), a[1] + along * (b[1] - a[1])))


def shows(tile: object, at: tuple[float, float]) -> bool:
    marks = [m for m in tile.marks if isinstance(m, PathMark) and m.kind == "stroke"]  # type: ignore[attr-defined]
    x, y = at[0] - tile.left, at[1] - tile.top  # type: ignore[attr-defined]
    if not (-1e-6 <= x <= ROOM[0] + 1e-6 and -1e-6 <= y <= ROOM[1] + 1e-6):
        return False
    return (
        any(distance((x, y), a, b) < 1e-5 for mark in marks for a, b in mark.segments())
        or not marks
    )


@given(st.floats(20.0, 1500.0), st.floats(20.0, 1500.0))
def test_windows_cover_the_drawing_and_neighbours_share_crosses(wide: float, high: float) -> None:
    line = PathMark("stroke", (((0.0, 0.0), (wide, high)),), width=0.25, colour="#000000")
    tiles = tiles_of([line], wide, high, ROOM)
    rows, columns = tiles[0].rows, tiles[0].columns
    assert [(t.row, t.column) for t in tiles] == [
        (r + 1, c + 1) for r in range(rows) for c in range(columns)
    ]
    assert (columns == 1) == (wide <= ROOM[0])
    assert (rows == 1) == (high <= ROOM[1])
    assert tiles[-1].left + ROOM[0] >= wide - 1e-6 or columns == 1
    places = {
        (t.row, t.column): {(round(t.left + x, 6), round(t.top + y, 6)) for x, y in t.joins}
        for t in tiles
    }
    for (row, column), mine in places.items():
        if (row, column + 1) in places:
            full = tiles[(row - 1) * columns + column]
            if full.left + ROOM[0] <= wide:
                assert len(mine & places[row, column + 1]) == 2
        assert (rows * columns == 1) == (not mine)


def test_texts_and_circles_are_on_a_sheet_whole_or_cut() -> None:
    text = TextMark("a text longer than the overlap is wide", (150.0, 100.0), 5.0)
    circle = RoundMark("stroke", (183.0, 50.0), 20.0, width=0.25, colour="#000000")
    tiles = tiles_of([text, circle], 400.0, 200.0, ROOM)
    assert sum(isinstance(m, TextMark) for t in tiles for m in t.marks) == 1
    for tile in tiles[:2]:
        arcs = [m for m in tile.marks if isinstance(m, PathMark) and m.kind == "stroke"]
        assert arcs
        for mark in arcs:
            for a, _ in mark.segments():
                centre = (183.0 - tile.left, 50.0)
                assert math.dist(a, centre) == pytest.approx(20.0, abs=0.02)
    small = RoundMark("stroke", (50.0, 50.0), 3.0, width=0.25, colour="#000000")
    assert any(m == small for m in tiles_of([small], 60.0, 60.0, ROOM)[0].marks)


def test_a_segment_is_cut_where_it_leaves_the_window() -> None:
    window = (0.0, 0.0, 10.0, 10.0)
    assert clipped((-5.0, 5.0), (15.0, 5.0), window) == ((0.0, 5.0), (10.0, 5.0))
    assert clipped((1.0, 1.0), (9.0, 2.0), window) == ((1.0, 1.0), (9.0, 2.0))
    assert clipped((-5.0, -5.0), (-1.0, 20.0), window) is None
    assert clipped((11.0, 0.0), (11.0, 9.0), window) is None


def test_a_large_drawing_goes_on_numbered_sheets_with_a_map() -> None:
    ring = ((0.0, 0.0), (420.0, 0.0), (420.0, 500.0), (0.0, 500.0))
    big = Template("jig", (PathMark("stroke", (ring,), True, 0.25, "#000000"),), 420.0, 500.0)
    sheets = template_sheets([big], (215.9, 279.4))
    tiles = [sheet.tile for sheet in sheets if sheet.tile]
    assert len(sheets) == len(tiles) == tiles[0].rows * tiles[0].columns == 9
    for number, sheet in enumerate(sheets, 1):
        told = [m.text for m in sheet.marks if isinstance(m, TextMark)]
        assert f"sheet {number} of 9" in told
        assert sheet.tile is not None
        assert f"row {sheet.tile.row} of 3" in told
        assert overlaps(sheet.marks) == []
    assert OVERLAP > 10
