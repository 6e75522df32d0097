"""Sheets of views: exact paper, true scale, third-angle order, nothing outside the frame."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from case_lists import mostly_thorough, tried
from figures_on_paper import figure_svg, overlaps
from palewright.design import Design, design
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright.reading.lengths import INCH
from palewright_drawings.dimensioning.sheets import SCALES, Sheet, paper_for, view_sheets
from palewright_drawings.paper.figure import Figure, Stroke
from palewright_drawings.paper.figure_placement import place
from palewright_drawings.paper.marks import PathMark, RoundMark, TextMark
from palewright_drawings.paper.pages import (
    PAPERS,
    STRIP,
    FootStrip,
    bar_length,
    page_marks,
    page_of,
    scale_text,
)
from palewright_drawings.paper.svg import number
from palewright_drawings.paper.text_metrics import FONTS

ROOT = Path(__file__).resolve().parents[2]
GOLDEN = ROOT / "tests" / "data" / "sheets"
SVG = "{http://www.w3.org/2000/svg}"


def made(name: str, *typed: str) -> Design:
    """A shipped variant's design."""
    return design(load_variant(name, typed).parameters, name)


def raster(svg: bytes, width: float, height: float, dots: int = 600) -> np.ndarray:
    """The page as darkness from 0 to 255, rendered by the program that prints the plan."""
    import typst
    from PIL import Image

    source = (
        f"#set page(width: {width}mm, height: {height}mm, margin: 0mm)\n"
        f"#image(bytes(sys.inputs.svg), width: {width}mm)"
    )
    png = typst.compile(
        source.encode(),
        font_paths=[str(FONTS)],
        ignore_system_fonts=True,
        format="png",
        ppi=dots,
        sys_inputs={"svg": svg.decode()},
    )
    return 255 - np.array(Image.open(io.BytesIO(png)).convert("L")).astype(int)


def extents(dark: np.ndarray, dots: int = 600) -> tuple[float, float, float, float]:
    """Least and greatest x and y (mm) of what is darker than half."""
    ys, xs = np.nonzero(dark > 127)
    mm = INCH / dots
    return xs.min() * mm, ys.min() * mm, (xs.max() + 1) * mm, (ys.max() + 1) * mm


@pytest.mark.parametrize(
    ("name", "paper"),
    mostly_thorough(
        [(name, None) for name in sorted(shipped_variants())]
        + [
            (name, paper)
            for name in ("stoop-tub", "bean-tower", "terrace-crate")
            for paper in PAPERS
        ],
        ("stoop-tub", None),
        ("herb-trough", None),
        ("bean-tower", "a4"),
        ("terrace-crate", "letter"),
    ),
)
def test_all_is_on_the_paper_clear_of_each_other_and_at_a_standard_scale(
    name: str, paper: str | None
) -> None:
    box = made(name)
    sheets = view_sheets(box, paper)
    assert 1 <= len(sheets) <= 2
    shown = [placed.figure.name for sheet in sheets for placed, _, _ in sheet.views]
    assert sorted(shown) == sorted({"front", "right", "top", "level"} | set(shown))
    for number_, sheet in enumerate(sheets, start=1):
        page = sheet.page
        assert page.paper == (paper or paper_for(box))
        assert {page.width, page.height} == set(PAPERS[page.paper])
        assert round(1 / sheet.scale, 6) in SCALES[box.parameters.product.units]
        assert overlaps(sheet.marks) == []
        x0, y0, x1, y1 = page.frame
        for mark in sheet.marks:
            a, b, c, d = mark.edges
            assert a > x0 - 0.26 and b > y0 - 0.26 and c < x1 + 0.26 and d < y1 + 0.26
        _, _, right, foot = page.room
        for placed, dx, dy in sheet.views:
            assert dx > page.margin and dy > page.margin
            assert dx + placed.width < right + 1e-6 and dy + placed.height < foot + 1e-6
        texts = [mark.text for mark in sheet.marks if isinstance(mark, TextMark)]
        assert f"{number_} of {len(sheets)}" in texts
        assert scale_text(sheet.scale) in texts


def on_sheet(sheet: Sheet) -> dict[str, tuple[float, float]]:
    """Where each view's origin, the middle of the box on the ground, lies on a sheet."""
    return {
        placed.figure.name: (placed.origin[0] + dx, placed.origin[1] + dy)
        for placed, dx, dy in sheet.views
    }


@pytest.mark.parametrize(
    "name", mostly_thorough(shipped_variants(), "stoop-tub", "herb-trough", "terrace-crate")
)
def test_views_stand_in_third_angle_order(name: str) -> None:
    checked = 0
    for sheet in view_sheets(made(name)):
        at = on_sheet(sheet)
        if {"front", "right"} <= set(at):
            assert at["right"][0] > at["front"][0], "the right side stands on the right"
            assert at["right"][1] == pytest.approx(at["front"][1]), "level with the front"
            checked += 1
        if {"front", "top"} <= set(at):
            assert at["top"][1] < at["front"][1], "the top stands above"
            assert at["top"][0] == pytest.approx(at["front"][0]), "in line with the front"
            checked += 1
    assert checked


def needed(sheet: Sheet, scale: float, axis: int) -> float:
    """Least width (0) or height (1) that a sheet's columns or rows take at a scale, mm."""
    before: dict[float, float] = {}
    after: dict[float, float] = {}
    for placed, dx, dy in sheet.views:
        grown = place(placed.figure, scale)
        line = round(placed.origin[axis] + (dx, dy)[axis], 3)
        size = (grown.width, grown.height + 5.5)[axis]  # the title stands so far below
        before[line] = max(before.get(line, 0.0), grown.origin[axis])
        after[line] = max(after.get(line, 0.0), size - grown.origin[axis])
    return sum(before.values()) + sum(after.values()) + 7.0 * (len(before) - 1)


@pytest.mark.parametrize(
    ("name", "paper"), [("stoop-tub", "a3"), ("herb-trough", "letter"), ("terrace-crate", "a4")]
)
def test_the_next_larger_scale_would_not_fit(name: str, paper: str) -> None:
    box = made(name)
    scales = SCALES[box.parameters.product.units]
    for sheet in view_sheets(box, paper):
        for scale, fits in (
            (sheet.scale, True),
            (1 / scales[scales.index(round(1 / sheet.scale, 6)) - 1], False),
        ):
            wide, high = needed(sheet, scale, 0), needed(sheet, scale, 1)
            rooms = [page_of(paper, landscape).room for landscape in (False, True)]
            fitting = [
                wide <= x1 - x0 + 1e-6 and high <= y1 - y0 + 1e-6 for x0, y0, x1, y1 in rooms
            ]
            assert any(fitting) == fits


def test_the_page_as_svg_is_exactly_the_paper_and_reads_for_who_cannot_see_it() -> None:
    (sheet, *_) = view_sheets(made("terrace-crate"))
    root = ElementTree.fromstring(sheet.svg())
    assert root.get("width") == f"{number(sheet.page.width)}mm"
    assert root.get("height") == f"{number(sheet.page.height)}mm"
    assert (root.findtext(f"{SVG}title") or "").startswith("Terrace crate:")
    assert "seen from the front" in (root.findtext(f"{SVG}desc") or "")
    texts = [text.text for text in root.iter(f"{SVG}text")]
    assert {"600 mm", "400 mm", "420 mm", "millimetres"} <= set(texts)


@pytest.mark.parametrize("scale", [0.125, 0.2, 1 / 3])
def test_a_figure_is_printed_at_its_scale(scale: float) -> None:
    corners = ((0.0, 0.0), (400.0, 0.0), (400.0, 250.0), (0.0, 250.0))
    figure = Figure("plate", "Plate", "", (Stroke("visible", corners, True),))
    placed = place(figure, scale)
    x0, y0, x1, y1 = extents(raster(figure_svg(figure, scale), placed.width, placed.height))
    line = 0.5
    assert x1 - x0 == pytest.approx(400 * scale + line, abs=0.06)
    assert y1 - y0 == pytest.approx(250 * scale + line, abs=0.06)


def test_a_sheet_is_printed_at_its_scale() -> None:
    box = made("stoop-tub")
    (sheet, *_) = view_sheets(box, "letter")
    page, dots = sheet.page, 400
    dark = raster(sheet.svg(), page.width, page.height, dots)
    x0, y0, x1, y1 = extents(dark, dots)
    assert (x0, y0) == pytest.approx((9.75, 9.75), abs=0.08)
    assert (x1, y1) == pytest.approx((page.width - 9.75, page.height - 9.75), abs=0.08)
    # the foot of the left stile, a wide line: from its left edge to the right stile's right edge
    (front, dx, dy) = next(view for view in sheet.views if view[0].figure.name == "front")
    low = front.at((-box.parameters.box.width / 2, 0.0))
    high = front.at((box.parameters.box.width / 2, 0.0))
    y = low[1] + dy - 2.0
    row = dark[round(y / INCH * dots)] > 127
    columns = np.nonzero(row)[0] * INCH / dots
    for x in (low[0] + dx, high[0] + dx):
        near = columns[np.abs(columns - x) < 0.6]
        assert near.mean() + INCH / dots / 2 == pytest.approx(x, abs=0.06)
    assert high[0] - low[0] == pytest.approx(box.parameters.box.width * sheet.scale)


def test_letters_are_printed_where_they_were_measured() -> None:
    from palewright_drawings.paper.svg import marks_svg

    for text in ('16-1/2"', "AVA To. filler", "27.2° off"):
        mark = TextMark(text, (8.0, 20.0), 5.0)
        found = extents(raster(marks_svg([mark], 100.0, 30.0, "", ""), 100.0, 30.0))
        assert found == pytest.approx(mark.edges, abs=0.12), text


def test_papers_have_the_sizes_of_their_standards() -> None:
    # ANSI/ASME Y14.1: A 8.5 x 11 in, B 11 x 17 in; ISO 216: A4 210 x 297, A3 297 x 420 mm
    assert [round(side / INCH, 6) for side in (*PAPERS["letter"], *PAPERS["tabloid"])] == [
        8.5, 11, 11, 17,
    ]  # fmt: skip
    assert (PAPERS["a4"], PAPERS["a3"]) == ((210.0, 297.0), (297.0, 420.0))
    upright, lying = page_of("a4"), page_of("a4", landscape=True)
    assert (lying.width, lying.height) == (upright.height, upright.width)
    assert upright.room[3] < upright.frame[3] - STRIP


@settings(deadline=None, max_examples=tried(40))
@given(
    title=st.text(st.characters(min_codepoint=32, max_codepoint=126), max_size=80),
    variant=st.text(st.sampled_from("abcdefgh-WM"), max_size=60),
    smaller=st.sampled_from(sorted({*SCALES["inch"], *SCALES["metric"]})),
    system=st.sampled_from(["inch", "metric"]),
    paper=st.sampled_from(sorted(PAPERS)),
    landscape=st.booleans(),
)
def test_any_title_stays_in_its_cell(
    title: str, variant: str, smaller: float, system: str, paper: str, landscape: bool
) -> None:
    page = page_of(paper, landscape)
    strip = FootStrip(title, variant, title, 1 / smaller, system, 10, 12)
    marks = page_marks(page, strip)
    assert overlaps(marks) == []
    bars = [m for m in marks if isinstance(m, PathMark) and m.closed and m.width == 0.18]
    assert len(bars) == 4
    whole = max(bar.edges[2] for bar in bars) - min(bar.edges[0] for bar in bars) - 0.18
    assert whole == pytest.approx(bar_length(1 / smaller, system) / smaller)


def test_the_sign_is_that_of_third_angle_projection() -> None:
    page = page_of("letter")
    marks = page_marks(page, FootStrip("", "", "", 0.125, "inch", 1, 1))
    rounds = [mark for mark in marks if isinstance(mark, RoundMark)]
    assert len(rounds) == 2 and rounds[0].centre == rounds[1].centre
    (cone,) = [m for m in marks if isinstance(m, PathMark) and m.closed and m.width == 0.35]
    (x0, y0), (x1, y1), (_, y2), (_, y3) = cone.runs[0]
    assert rounds[0].centre[0] < x0 < x1, "the end view stands left of the cone"
    assert y3 - y0 == pytest.approx((y2 - y1) / 2), "and the cone's small end is on that side"
    assert sorted(2 * one.radius for one in rounds) == pytest.approx([y3 - y0, y2 - y1])


@pytest.mark.parametrize("name", ["stoop-tub", "terrace-crate"])
def test_sheets_say_what_they_said(name: str) -> None:
    told = [
        {
            "paper": sheet.page.paper,
            "scale": scale_text(sheet.scale),
            "views": {
                placed.figure.name: [
                    f"{one.what}: {one.text}, {one.side} {one.row}"
                    for one in placed.figure.dimensions
                ]
                + [f"{mark.what}: {mark.text}" for mark in placed.figure.angles]
                + [f"{mark.what}: {mark.text}, aslant" for mark in placed.figure.widths]
                for placed, _, _ in sheet.views
            },
        }
        for sheet in view_sheets(made(name))
    ]
    path = GOLDEN / f"{name}.json"
    if os.environ.get("WRITE_GOLDEN"):
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(json.dumps(told, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    assert json.loads(path.read_text(encoding="utf-8")) == told


@pytest.mark.thorough
def test_the_same_sheet_is_the_same_bytes_in_another_process() -> None:
    code = (
        f"import sys, hashlib; sys.path[:0] = {sys.path!r}\n"
        "from palewright.design import design\n"
        "from palewright.parameters.variant_files import load_variant\n"
        "from palewright_drawings.dimensioning.sheets import view_sheets\n"
        "box = design(load_variant('stoop-tub').parameters, 'stoop-tub')\n"
        "for sheet in view_sheets(box): print(hashlib.sha256(sheet.svg()).hexdigest())"
    )
    seen = {
        subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            text=True,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        ).stdout
        for seed in ("1", "2")
    }
    assert len(seen) == 1 and seen.pop().strip()


def test_a_variant_may_ask_for_its_paper() -> None:
    assert paper_for(made("stoop-tub")) == "letter"
    assert paper_for(made("terrace-crate")) == "a4"
    assert paper_for(made("stoop-tub", "plan.paper=tabloid")) == "tabloid"
