"""Every printed size is the distance on the solid; every size that a maker sets comes once."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from case_lists import KINDS, mostly_thorough, tried
from figures_on_paper import overlaps
from palewright.design import Design, design
from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright.reading.errors import InputError
from palewright.reading.lengths import INCH, read_length
from palewright_drawings.dimensioning.box_chains import CHAINS, dimensioned, sizes_given
from palewright_drawings.dimensioning.measured_edges import size_text
from palewright_drawings.figures.level_section import cut_height, level_section
from palewright_drawings.paper.figure import Dimension
from palewright_drawings.paper.figure_placement import place

VARIANTS = sorted(shipped_variants())
ON_SOLIDS = ["stoop-tub", "bean-tower", "winter-tub", "terrace-crate"]

FLAT = {
    "front": lambda x, y, z: (x, z),
    "right": lambda x, y, z: (y, z),
    "back": lambda x, y, z: (-x, z),
    "top": lambda x, y, z: (x, y),
    "level": lambda x, y, z: (x, y),
}
"""Which way the box is drawn in each view: what third-angle projection says, written out again."""


def made(name: str, *typed: str) -> Design:
    """A shipped variant's design."""
    return design(load_variant(name, typed).parameters, name)


def given_in(box: Design) -> Iterator[tuple[str, Dimension]]:
    """Every dimension with its view."""
    for view, dimensions in sizes_given(box).dimensions.items():
        for one in dimensions:
            yield view, one


def right(text: str, value: float, units: str) -> bool:
    """Whether a dimension's text says a length (mm), to the line of a tape and a hair beside it."""
    step = INCH / 16 if units == "inch" else 1.0
    off = value - read_length(re.sub(r"^\d+ × |[+-]$", "", text))
    signs = {"+": (0.25, 0.5), "-": (-0.5, -0.25)}
    low, high = signs.get(text[-1], (-0.25, 0.25))
    return low * step - 1e-6 <= off <= high * step + 1e-6


@pytest.mark.parametrize("name", ON_SOLIDS)
def test_every_size_is_the_distance_between_two_corners_of_the_solids(name: str) -> None:
    box = made(name)
    shapes = [box.solids.placed(board) for board in box.box.boards]
    corners = [vertex.toTuple() for shape in shapes for vertex in shape.Vertices()]
    checked = 0
    for view, one in given_in(box):
        flat = [FLAT[view](*corner) for corner in corners]
        for point in (one.start, one.end):
            assert min(math.dist(point, other) for other in flat) < 1e-6, (view, one.what)
        axis = 0 if one.side in ("above", "below") else 1
        assert one.value == pytest.approx(abs(one.start[axis] - one.end[axis]))
        assert right(one.text, one.value, box.parameters.product.units), (view, one.what)
        checked += 1
    assert checked >= 20


@pytest.mark.parametrize("name", ["stoop-tub", "bean-tower", "market-gable", "gate-pair"])
def test_angles_and_slanted_widths_are_those_of_edges_of_the_solids(name: str) -> None:
    box = made(name)
    sizes = sizes_given(box)
    braces = [board for board in box.box.boards.values() if board.role == "brace"]
    solids = [box.solids.placed(board.name) for board in braces]
    ends = [
        tuple(vertex.toTuple() for vertex in edge.Vertices())
        for solid in solids
        for edge in solid.Edges()
        if edge.geomType() == "LINE"
    ]
    assert sizes.angles
    for view, angles in sizes.angles.items():
        lines = {(FLAT[view](*pair[0]), FLAT[view](*pair[1])) for pair in ends if len(pair) == 2}
        for mark in angles:
            drawn = [
                line
                for line in [*lines, *((b, a) for a, b in lines)]
                if math.dist(line[0], mark.corner) < 1e-6 and math.dist(line[1], mark.end) < 1e-6
            ]
            (x0, y0), (x1, y1) = drawn[0]
            assert mark.value == pytest.approx(math.degrees(math.atan2(y1 - y0, x1 - x0)))
            assert float(mark.text.removesuffix("°")) == pytest.approx(mark.value, abs=0.0501)
    for marks in sizes.widths.values():
        for width in marks:
            assert width.value == pytest.approx(box.parameters.face.brace_width)
            assert right(width.text, width.value, box.parameters.product.units)


def wanted_keys(box: Design) -> dict[str, float]:
    """Every length that the parameters set and that shows on the box, with its value."""
    p, sizes = box.parameters, box.box.sizes
    boards, roles = box.box.boards, {board.role for board in box.box.boards.values()}
    found = {
        "box.width": p.box.width,
        "box.depth": p.box.depth,
        "box.height": p.box.height,
        "box.foot": p.box.foot,
        "panel.stile_width": p.panel.stile_width,
        "panel.side_stile_width": sizes.side_stile,
        "panel.rail_width": p.panel.rail_width,
        "panel.lip": sizes.lip,
        "panel.setback": sizes.setback,
        "board thickness": sizes.board.thickness,
        "cap.width": p.cap.width,
        "cap.overhang": p.cap.overhang,
    }
    if "brace" in roles:
        found["face.brace_width"] = p.face.brace_width
    if any(b.role == "bar" and b.panel != "trellis" for b in boards.values()):
        found["face.bar_width"] = p.face.bar_width
    if "cleat" in roles:
        found["floor.rise"], found["floor.cleat_width"] = p.floor.rise, p.floor.cleat_width
    if "slat" in roles:
        found["floor.gap"] = p.floor.gap
    if p.wall.rail_lap is not None:
        found["wall.rail_lap"] = p.wall.rail_lap
    if p.trellis.fit:
        found["trellis.height"] = p.trellis.height
        found["trellis.strip_width"] = p.trellis.strip_width
    if sizes.gap:
        found["wall.gap"] = sizes.gap
    return found


@pytest.mark.parametrize("name", mostly_thorough(VARIANTS, *KINDS))
def test_every_size_that_a_maker_sets_comes_once_with_its_value(name: str) -> None:
    box = made(name)
    sizes = sizes_given(box)
    told = [one.what for _, one in given_in(box)]
    told += [one.what for marks in sizes.widths.values() for one in marks]
    told += [one.what for marks in sizes.angles.values() for one in marks]
    assert len(set(told)) == len(told)
    values = {one.what: one.value for _, one in given_in(box)}
    values |= {one.what: one.value for marks in sizes.widths.values() for one in marks}
    for key, value in wanted_keys(box).items():
        assert values.get(key) == pytest.approx(value, abs=1e-6), key


@pytest.mark.parametrize("name", mostly_thorough(VARIANTS, *KINDS))
def test_no_letter_touches_anything_at_any_scale_of_a_sheet(name: str) -> None:
    box = made(name)
    for view in CHAINS:
        figure = dimensioned(box, view)
        for smaller in (3, 8, 12):
            placed = place(figure, 1 / smaller)
            assert overlaps(placed.marks) == [], (view, smaller)


sides = st.floats(250, 900)


@settings(deadline=None, max_examples=tried(20))
@given(
    width=sides,
    depth=sides,
    height=st.floats(220, 800),
    stile=st.floats(45, 90),
    rail=st.floats(40, 80),
    foot=st.floats(0, 60),
    overhang=st.floats(0, 40),
    pattern=st.sampled_from(["plain", "slant", "cross", "double-cross", "peak", "upright-bars"]),
    units=st.sampled_from(["inch", "metric"]),
    smaller=st.sampled_from([4, 8, 16]),
)
def test_any_box_is_measured_without_letters_on_anything(
    width: float, depth: float, height: float, stile: float, rail: float, foot: float,
    overhang: float, pattern: str, units: str, smaller: int,
) -> None:  # fmt: skip
    said = {
        "product": {"units": units},
        "box": {"width": width, "depth": depth, "height": height, "foot": foot},
        "panel": {"stile_width": stile, "rail_width": rail},
        "face": {"front": pattern, "brace_width": 40.0},
        "cap": {"width": 70.0, "overhang": overhang},
    }
    texts = {
        table: {key: f"{v:.3f} mm" if isinstance(v, float) else v for key, v in keys.items()}
        for table, keys in said.items()
    }
    box = design(Parameters.model_validate(texts))
    try:
        boards = box.box.boards
    except InputError:
        return
    flat = {
        view: [FLAT[view](*corner) for board in boards.values() for corner in board.corners]
        for view in CHAINS
    }
    for view in CHAINS:
        figure = dimensioned(box, view)
        for one in figure.dimensions:
            for point in (one.start, one.end):
                assert min(math.dist(point, other) for other in flat[view]) < 1e-6
        assert overlaps(place(figure, 1 / smaller).marks) == []


def test_a_wider_box_is_told_wider_and_nothing_else_of_the_frame_changes() -> None:
    before = {one.what: one.text for _, one in given_in(made("stoop-tub"))}
    after = {one.what: one.text for _, one in given_in(made("stoop-tub", "box.width=21 1/2 in"))}
    changed = {what for what in before if before[what] != after[what]}
    assert {"box.width", "front opening width", "cap length", "clear width"} <= changed
    assert not changed & {"box.depth", "panel.stile_width", "box.height", "cap.width"}
    assert (before["box.width"], after["box.width"]) == ('19"', '21-1/2"')


def test_sizes_are_written_as_the_shop_reads_them() -> None:
    assert size_text(16.5 * INCH, "inch") == '16-1/2"'
    assert size_text(0.375 * INCH, "inch", 3) == '3 × 3/8"'
    assert size_text(70.0, "metric") == "70 mm"
    assert size_text(103.5, "metric", 5) == "5 × 104 mm-"  # halves up
    assert size_text((3 + 7 / 32) * INCH, "inch") == '3-1/4"-'
    assert not right('3-1/4"', (3 + 7 / 32) * INCH, "inch")


def test_a_back_of_its_own_pattern_is_measured_and_one_like_the_front_is_not() -> None:
    plain = sizes_given(made("stoop-tub"))
    assert not plain.dimensions.get("back") and not plain.angles.get("back")
    other = sizes_given(made("stoop-tub", "face.back=level-bars"))
    assert {one.what for one in other.dimensions["back"]} >= {"back bar gap", "face.bar_width"}


@pytest.mark.parametrize("name", mostly_thorough(VARIANTS, *KINDS))
def test_the_level_section_cuts_walls_and_shows_what_they_are(name: str) -> None:
    box = made(name)
    height, figure = cut_height(box), level_section(box)
    cut = {stroke.board for stroke in figure.strokes if stroke.layer == "cut"}
    for board in box.box.boards.values():
        heights = [corner[2] for corner in board.corners]
        assert (board.name in cut) == (min(heights) < height < max(heights)), board.name
    areas = {stroke.board: stroke.points for stroke in figure.strokes if stroke.layer == "cut"}
    stile = box.box.boards["front.stile-left"]
    xs = [x for x, _ in areas[stile.name]]
    assert max(xs) - min(xs) == pytest.approx(box.parameters.panel.stile_width)
    assert {"front.stile-left", "left.stile-left", "back.stile-right"} <= cut
