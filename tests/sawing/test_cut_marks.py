"""Marks: what prints alike is one mark, and one mark prints one size, whatever floats do.

The oracle shares no code with the model: it reads sizes, edges and angles off the boards' corners
and writes them in exact fractions, halves away from zero.
"""

from __future__ import annotations

import csv
import io
import json
import math
from collections import defaultdict
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from any_variants import ANY_VARIANT
from case_lists import tried
from palewright.construction.boards import Board
from palewright.construction.box_layout import bare_box
from palewright.construction.face_patterns import FACE_PATTERNS
from palewright.design import Design, design
from palewright.jigs.brace_jigs import brace_angles
from palewright.jigs.registry import Bench
from palewright.parameters.variant_files import load_variant, parameters_from, shipped_variants
from palewright.reading.errors import InputError
from palewright.reading.lengths import centimetres, degrees, millimetres, rounded, shop_inches
from palewright.sawing.cut_parts import CutPart, cut_parts
from palewright_drawings.cad_files.cutlist_csv import cut_list
from palewright_drawings.json_reports.report import report
from palewright_drawings.listing.texts import both

Row = tuple[object, ...]


def exact(value: float) -> Fraction:
    """A number without the noise of floats: the nearest ten-millionth of a mm or of a degree."""
    return Fraction(round(Fraction(value) * 10**7), 10**7)


def steps(value: float, step: Fraction) -> int:
    """How many steps a number is, halves up; a hair below half is half."""
    return math.floor(exact(value) / step + Fraction(1, 2) + Fraction(1, 10**6))


def printed(board: Board, system: str) -> Row:
    """What a list says of a board that is sawn, read off its corners."""
    step = Fraction(127, 160) if system == "inch" else Fraction(1, 10)  # 1/32 in, or 0.1 mm
    xs, ys = [x for x, _ in board.outline], [y for _, y in board.outline]
    edges = []
    for level in (min(ys), max(ys)):
        along = [x for x, y in board.outline if abs(y - level) < 1e-5]
        edges.append(max(along) - min(along))
    sizes = (max(xs) - min(xs), max(ys) - min(ys), board.thickness, *sorted(edges, reverse=True))
    return (*(steps(size, step) for size in sizes), *sorted(ends(board)))


def ends(board: Board) -> list[tuple[int, ...]]:
    """The angles off square of both ends in tenths of a degree."""
    found: dict[bool, list[int]] = {False: [], True: []}
    corners = board.outline
    for (x0, y0), (x1, y1) in zip(corners, corners[1:] + corners[:1], strict=True):
        if abs(y1 - y0) < 1e-6 or math.dist((x0, y0), (x1, y1)) <= 1e-6:
            continue
        off = math.degrees(math.atan2(abs(x1 - x0), abs(y1 - y0)))
        if off < 89.0:
            found[y1 > y0].append(steps(off, Fraction(1, 10)))
    return [tuple(sorted(angles)) for angles in found.values()]


def complaints(boards: dict[str, Board], parts: tuple[CutPart, ...], system: str) -> list[str]:
    """Twin marks, and marks of two sizes."""
    found, marks = [], defaultdict(list)
    for part in parts:
        rows = {printed(boards[name], system) for name in part.boards}
        if len(rows) > 1:
            found.append(f"{part.mark} prints {len(rows)} sizes: {rows}")
        marks[part.role, part.stock, rows.pop()].append(part.mark)
    return found + [f"{twins} print alike" for twins in marks.values() if len(twins) > 1]


@pytest.mark.parametrize("system", ["inch", "metric"])
@pytest.mark.parametrize("name", shipped_variants())
def test_no_shipped_variant_has_twin_marks(name: str, system: str) -> None:
    parameters = load_variant(name).parameters
    boards = bare_box(parameters).boards
    assert complaints(boards, cut_parts(boards, system), system) == []
    # what a proof takes for equal prints alike, in either unit
    for part in cut_parts(boards):
        for unit in ("inch", "metric"):
            assert len({printed(boards[name], unit) for name in part.boards}) == 1


@settings(
    max_examples=tried(200), deadline=None,
    suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow],
)  # fmt: skip
@given(ANY_VARIANT, st.sampled_from(["inch", "metric"]))
def test_no_box_has_twin_marks(said: dict[str, Any], system: str) -> None:
    try:
        units = {"product": {**said.get("product", {}), "units": system}}
        parameters = parameters_from({**said, **units}, {})
        boards = bare_box(parameters).boards
    except InputError:
        assume(False)
    assert complaints(boards, cut_parts(boards, system), system) == []


@settings(max_examples=tried(200), deadline=None)
@given(
    st.integers(14 * 32, 40 * 32), st.integers(12 * 32, 30 * 32), st.integers(10 * 32, 30 * 32),
    st.sampled_from(sorted(FACE_PATTERNS)),
)  # fmt: skip
def test_boxes_in_thirty_seconds_of_an_inch_have_no_twins_in_any_unit(
    wide: int, deep: int, high: int, face: str
) -> None:
    """Where sizes fall on half a hundredth of a mm: sixteenths are 1.5875 mm."""
    try:
        said = [f"box.width={wide}/32 in", f"box.depth={deep}/32 in", f"box.height={high}/32 in"]
        parameters = load_variant("stoop-tub", [*said, f"face.front={face}"]).parameters
        boards = bare_box(parameters).boards
    except InputError:
        assume(False)
    parts = cut_parts(boards, "inch")
    assert complaints(boards, parts, "inch") == []
    rows = defaultdict(list)
    for part in parts:
        sizes = (part.length, part.width, part.long_edge, part.short_edge)
        hundredths = tuple(steps(size, Fraction(1, 100)) for size in sizes)
        rows[part.role, part.stock, hundredths, *sorted(ends(boards[part.boards[0]]))].append(part)
    assert all(len(twins) == 1 for twins in rows.values())


@pytest.mark.parametrize("name", ["bean-tower", "herb-trough", "sill-box", "terrace-crate"])
def test_lists_labels_and_report_tell_one_size_a_mark(name: str) -> None:
    box = _design(name)
    rows = list(csv.DictReader(io.StringIO(cut_list(box).decode(), newline="")))
    told = [
        tuple(row[key] for key in ("role", "stock", "length", "width", "long_edge", "short_edge"))
        + tuple(sorted((row["left_end_deg"], row["right_end_deg"])))
        for row in rows
    ]
    assert len(set(told)) == len(told)
    by_mark = defaultdict(set)
    for board in json.loads(json.dumps(report(box)))["boards"]:
        by_mark[board["part"]].add((board["length"]["mm"], board["width"]["mm"]))
    assert set(by_mark) == {row["mark"] for row in rows}
    for row in rows:  # the list says words of the tape, and millimetres to a hundredth
        (sides,) = by_mark[row["mark"]]
        assert [float(row["length_mm"]), float(row["width_mm"])] == pytest.approx(sides, abs=0.0051)
    marks = {part.mark for part in box.parts if part.role == "brace"}
    assert {mark for _, many in brace_angles(Bench(name, box.box)) for mark in many} <= marks


@given(st.integers(-(10**6), 10**6), st.integers(0, 3), st.floats(-1e-9, 1e-9))
def test_halves_are_rounded_away_from_zero_whatever_the_noise(
    halves: int, digits: int, noise: float
) -> None:
    half = Decimal(halves) / 2 / 10**digits
    wanted = half.quantize(Decimal(1) / 10**digits, ROUND_HALF_UP)
    assert rounded(float(half) + noise, digits) == wanted
    assert not str(rounded(float(half) + noise, digits)).startswith("-0") or wanted


@given(st.integers(1, 6000), st.floats(-1e-10, 1e-10))
def test_odd_sixty_fourths_print_as_the_upper_thirty_second(count: int, noise: float) -> None:
    above = Fraction(count, 32)
    length = float((above - Fraction(1, 64)) * Fraction(254, 10)) + noise
    whole, part = divmod(above, 1)
    fraction = f"{part.numerator}/{part.denominator}" if part else ""
    assert shop_inches(length) == f"{'-'.join(filter(None, (str(whole or ''), fraction)))} in"


def test_halves_in_every_printed_form() -> None:
    """12-1/2 in is 317.5 mm, which is 31.75 cm: told as 31.8, as a tape shows it."""
    for length in (12.5 * 25.4, 317.5, math.nextafter(317.5, 0)):
        assert centimetres(length) == "31.8 cm"
        assert both(length) == "12-1/2 in (31.8 cm)"
        assert millimetres(length, 0) == "318 mm"
    assert millimetres(math.nextafter(136.525, 0), 2) == "136.53 mm"
    assert degrees(math.nextafter(36.65, 0)) == "36.7"
    assert millimetres(-0.04) == "0 mm"


def _design(name: str) -> Design:
    return design(load_variant(name).parameters, name)
