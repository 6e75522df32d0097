"""Letters and lines on paper: exact boxes, no text on a line, SVG that says the same."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import replace
from decimal import ROUND_HALF_EVEN, Decimal
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from figures_on_paper import figure_svg, overlaps
from palewright_drawings.paper.figure import (
    AngleMark,
    Dimension,
    Figure,
    Fill,
    Label,
    Round,
    Side,
    Stroke,
)
from palewright_drawings.paper.figure_placement import place
from palewright_drawings.paper.marks import PathMark, TextMark
from palewright_drawings.paper.overlap_check import segment_in_box
from palewright_drawings.paper.styles import STYLE, Style
from palewright_drawings.paper.svg import marks_svg, number
from palewright_drawings.paper.text_metrics import (
    FACES,
    FAMILY,
    FONTS,
    TEXT_FAMILY,
    Face,
    cap_share,
    font_path,
    font_size,
    text_ink,
    text_width,
)

SVG = "{http://www.w3.org/2000/svg}"
SQUARE = ((0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0))


def test_a_path_that_is_moved_changes_its_place_alone() -> None:
    runs = (((0.0, 1.0), (2.0, 3.0)), ((4.0, 5.0), (6.0, 8.0), (7.0, 9.0)))
    path = PathMark("dimension", runs, True, 0.25, "#123456", (4.0, 2.0), "#abcdef", "box.width")
    away = path.moved(10.0, -1.0)
    assert away.runs[1] == ((14.0, 4.0), (16.0, 7.0), (17.0, 8.0))
    assert replace(away, runs=runs) == path


def plate(**more: tuple[object, ...]) -> Figure:
    """A plate of 400 × 300 mm."""
    strokes = (Stroke("visible", SQUARE, True),)
    return Figure("plate", "Plate", "a plate", strokes=strokes, **more)  # type: ignore[arg-type]


def texts(figure: Figure, scale: float = 0.2) -> dict[str, TextMark]:
    """The lines of text of a placed figure by what they tell of."""
    marks = place(figure, scale).marks
    return {mark.what: mark for mark in marks if isinstance(mark, TextMark)}


def test_the_fonts_are_one_family_and_their_licence_lies_beside_them() -> None:
    from fontTools.ttLib import TTFont

    licence = (FONTS / "LICENSE").read_text(encoding="utf-8")
    plain = " ".join(licence.split())
    styles = {"regular": "Book", "bold": "Bold", "oblique": "Oblique"}
    assert {path.name for path in FONTS.iterdir()} == {*FACES.values(), "LICENSE", *TEXT_FILES}
    for face, style in styles.items():
        path = font_path(face)  # type: ignore[arg-type]
        assert path.read_bytes()[:4] == b"\x00\x01\x00\x00"  # TrueType outlines, not a collection
        names = TTFont(path, lazy=True)["name"]
        assert names.getDebugName(1) == FAMILY
        assert names.getDebugName(2) == style
        # what the font says of itself: its copyright (0) and its licence (13) stand in the file
        for line in names.getDebugName(0).splitlines():
            assert line.split(".")[0] in plain
        granted = " ".join(names.getDebugName(13).split()).partition("Permission is hereby")[2]
        assert len(granted) > 2000 and granted[:1500] in plain


@pytest.mark.parametrize("face", FACES)
def test_a_letter_covers_what_its_outline_does(face: Face) -> None:
    from fontTools.pens.boundsPen import ControlBoundsPen
    from fontTools.ttLib import TTFont

    font = TTFont(font_path(face))
    glyphs, names, units = font.getGlyphSet(), font.getBestCmap(), font["head"].unitsPerEm
    for letter in " HgÄ½×°j|(\u00a0–M":
        pen = ControlBoundsPen(glyphs)
        glyphs[names[ord(letter)]].draw(pen)
        size = font_size(10.0, face)
        ink = tuple(size * edge / units for edge in pen.bounds or (0, 0, 0, 0))
        assert text_ink(letter, 10.0, face) == pytest.approx(ink, abs=size / units)
        wide = size * glyphs[names[ord(letter)]].width / units
        assert text_width(letter, 10.0, face) == pytest.approx(wide)


TEXT_FILES = {"SourceSansPro-Regular.ttf", "SourceSansPro-Bold.ttf", "LICENSE-SourceSansPro"}


def test_running_text_has_true_fractions_and_its_licence_lies_beside_it() -> None:
    from fontTools.ttLib import TTFont

    licence = (FONTS / "LICENSE-SourceSansPro").read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE Version 1.1" in licence and "Reserved Font Name" in licence
    for name in sorted(TEXT_FILES - {"LICENSE-SourceSansPro"}):
        font = TTFont(FONTS / name, lazy=True)
        assert font["name"].getDebugName(1) == TEXT_FAMILY
        assert "frac" in {one.FeatureTag for one in font["GSUB"].table.FeatureList.FeatureRecord}
        assert set(map(ord, "½⅛°×–—·−≈→")) <= set(font.getBestCmap())


def test_the_fonts_have_every_letter_that_we_print() -> None:
    from fontTools.ttLib import TTFont

    for face in FACES:
        have = TTFont(font_path(face), lazy=True).getBestCmap()
        printed = [*map(chr, range(32, 127)), *"½¼¾⅛⅜⅝⅞°×–—·−⌀Ø±≈→"]
        assert [letter for letter in printed if ord(letter) not in have] == []


def test_digits_are_all_as_wide_as_each_other_and_widths_add_up() -> None:
    one = text_width("1", 2.5)
    assert all(text_width(digit, 2.5) == pytest.approx(one) for digit in "0234567890")
    assert text_width("16-1/2 in", 2.5) == pytest.approx(
        sum(text_width(letter, 2.5) for letter in "16-1/2 in")
    )
    # DejaVu Sans: a digit moves on 1303 of 2048 units, a capital is 1493 high (from its tables)
    assert one == pytest.approx(2.5 * 1303 / 1493)
    assert cap_share() == pytest.approx(1493 / 2048)
    assert font_size(1493 / 2048) == pytest.approx(1.0)


def test_the_ink_of_a_capital_is_as_high_as_was_asked_and_a_blank_has_none() -> None:
    x0, y0, x1, y1 = text_ink("H", 3.5)
    assert (y0, y1) == (0.0, pytest.approx(3.5))
    assert 0 < x0 < x1 < text_width("H", 3.5)
    assert text_ink("  ", 3.5) == (0.0, 0.0, 0.0, 0.0)
    assert text_ink("g", 3.5)[1] < -0.5


@given(angle=st.floats(-180, 180), x=st.floats(-50, 50), y=st.floats(-50, 50))
def test_a_turned_text_keeps_the_size_of_its_box(angle: float, x: float, y: float) -> None:
    box = TextMark("16-1/2 in", (x, y), 2.5, angle=angle).box
    flat = TextMark("16-1/2 in", (0.0, 0.0), 2.5).box
    for i in range(4):
        assert math.dist(box[i], box[i - 1]) == pytest.approx(math.dist(flat[i], flat[i - 1]))


def test_letters_on_lines_and_on_letters_are_found() -> None:
    text = TextMark("16-1/2 in", (10.0, 10.0), 2.5)
    x0, y0, x1, y1 = text.edges
    middle = (y0 + y1) / 2

    def line(kind: str, y: float, width: float = 0.18) -> PathMark:
        return PathMark(kind, (((0.0, y), (50.0, y)),), width=width)  # type: ignore[arg-type]

    assert overlaps([text, line("stroke", middle)]) == ["'16-1/2 in' lies on a line: stroke"]
    assert overlaps([text, line("stroke", y1 + 0.3, 0.5)]) == []
    assert overlaps([text, line("extension", y1 + 0.3, 0.7)]) != []
    area = ((0.0, 0.0), (50.0, 0.0), (50.0, 50.0), (0.0, 50.0))
    assert overlaps([PathMark("fill", (area,), closed=True, fill="#fff"), text]) == []
    assert overlaps([text, text.moved(x1 - x0 + 0.01, 0.0)]) == []
    assert overlaps([text, text.moved(x1 - x0 - 0.2, 0.0)]) == ["'16-1/2 in' lies on '16-1/2 in'"]
    turned = TextMark("16-1/2 in", (x0 + 1, y1 + 9.0), 2.5, angle=90)
    assert overlaps([text, turned]) == ["'16-1/2 in' lies on '16-1/2 in'"]


@settings(deadline=None)
@given(
    st.tuples(st.floats(-5, 5), st.floats(-5, 5)),
    st.tuples(st.floats(-5, 5), st.floats(-5, 5)),
    st.floats(0, 360),
)
def test_a_segment_is_in_a_box_just_when_another_library_says_so(
    start: tuple[float, float], end: tuple[float, float], turn: float
) -> None:
    from shapely import LineString, Polygon, affinity

    box = affinity.rotate(Polygon([(-2, -1), (2, -1), (2, 1), (-2, 1)]), turn)
    line = LineString([start, end])
    corners = tuple(box.exterior.coords)[:4]
    inside = box.intersection(line).length
    touching = box.distance(line)
    if inside > 1e-6:
        assert segment_in_box(start, end, corners)
        assert segment_in_box(start, end, corners[::-1])
    elif touching > 1e-6:
        assert not segment_in_box(start, end, corners)


@pytest.mark.parametrize("side", ["above", "below", "left", "right"])
def test_rows_stand_apart_and_letters_are_read_from_below_or_from_the_right(side: Side) -> None:
    ends = ((0.0, 0.0), (400.0, 300.0))
    level = side in ("above", "below")
    half = (200.0, 0.0) if level else (0.0, 150.0)
    figure = plate(
        dimensions=(
            Dimension(ends[0], half, side, 0, "first", "first"),
            Dimension(half, ends[1], side, 0, "second", "second"),
            Dimension(*ends, side, 1, "whole", "whole"),
        )
    )
    found = texts(figure)
    assert {mark.angle for mark in found.values()} == {0.0 if level else 90.0}
    places = {what: mark.start[1 if level else 0] for what, mark in found.items()}
    assert places["first"] == places["second"]
    way = {"above": -1, "below": 1, "left": -1, "right": 1}[side]
    assert places["whole"] - places["first"] == pytest.approx(way * STYLE.row)
    assert overlaps(place(figure, 0.2).marks) == []


def test_dimensions_that_cover_each_other_in_one_row_are_set_in_two() -> None:
    figure = plate(
        dimensions=(
            Dimension((0, 0), (300, 0), "below", 0, "300 mm", "a"),
            Dimension((100, 0), (400, 0), "below", 0, "300 mm", "b"),
        )
    )
    found = texts(figure)
    assert found["b"].start[1] - found["a"].start[1] == pytest.approx(STYLE.row)


sizes = st.lists(st.floats(1.0, 120.0), min_size=1, max_size=9)


@settings(deadline=None)
@given(
    sizes=sizes,
    side=st.sampled_from(["above", "below", "left", "right"]),
    scale=st.sampled_from([0.1, 0.2, 0.5]),
)
def test_no_letter_of_any_chain_touches_anything(
    sizes: list[float], side: Side, scale: float
) -> None:
    at, ends = 0.0, [0.0]
    for size in sizes:
        at += size
        ends.append(at)
    level = side in ("above", "below")

    def point(along: float) -> tuple[float, float]:
        return (along, 0.0) if level else (0.0, along)

    inner = ends[1:-1:2]
    chain = [
        Dimension(point(a), point(b), side, 0, f"{b - a:.1f} mm", f"piece {i}")
        for i, (a, b) in enumerate(itertools.pairwise(ends))
    ]
    chain += [
        Dimension(point(0.0), point(b), side, 1 + i, f"{b:.1f} mm", f"to {i}")
        for i, b in enumerate([*inner, at])
    ]
    corners = (point(0.0), point(at), (50.0, 50.0))
    figure = Figure("chain", "", "", (Stroke("visible", corners, True),), dimensions=tuple(chain))
    placed = place(figure, scale)
    assert overlaps(placed.marks) == []
    assert len([m for m in placed.marks if isinstance(m, TextMark)]) == len(chain)
    for mark in placed.marks:
        x0, y0, x1, y1 = mark.edges
        assert x0 > -1e-6 and y0 > -1e-6
        assert x1 < placed.width + 1e-6 and y1 < placed.height + 1e-6


@settings(deadline=None)
@given(turn=st.floats(0, 359), span=st.floats(3, 170), radius=st.floats(5, 25))
def test_the_letters_of_an_angle_find_a_free_place(turn: float, span: float, radius: float) -> None:
    def ray(degrees: float) -> tuple[float, float]:
        a = math.radians(degrees)
        return 200 + 100 * math.cos(a), 150 + 100 * math.sin(a)

    mark = AngleMark((200, 150), ray(turn), ray(turn + span), f"{span:.1f}°", "angle", radius)
    assert mark.value == pytest.approx(span)
    staves = tuple(Stroke("thin", ((x, 0.0), (x, 300.0))) for x in range(20, 400, 60))
    figure = Figure(
        "angle",
        "",
        "",
        strokes=(
            *staves,
            Stroke("visible", ((200, 150), ray(turn))),
            Stroke("visible", ((200, 150), ray(turn + span))),
        ),
        angles=(mark,),
    )
    assert overlaps(place(figure, 0.2).marks) == []


def test_a_ring_holds_its_letters_and_a_leader_ends_where_it_points() -> None:
    label = Label("B12", (100, 100), 3.0, tip=(300, 200), ringed=True)
    placed = place(plate(labels=(label,)), 0.2)
    assert overlaps(placed.marks) == []
    (leader,) = [m for m in placed.marks if isinstance(m, PathMark) and m.kind == "leader"]
    assert leader.runs[0][1] == pytest.approx(placed.at((300, 200)))
    (ring,) = [
        m for m in placed.marks if m not in placed.marks[:1] and getattr(m, "kind", "") == "ring"
    ]
    assert math.dist(leader.runs[0][0], placed.at((100, 100))) == pytest.approx(ring.radius)  # type: ignore[union-attr]


def test_the_svg_is_as_large_as_the_figure_and_holds_all_its_text() -> None:
    figure = plate(
        fills=(Fill("wood", SQUARE),),
        rounds=(Round("visible", (200, 150), 20),),
        labels=(Label("a < b & c", (100, 100)),),
        dimensions=(Dimension((0, 0), (400, 0), "below", 0, "15-3/4 in", "width"),),
    )
    placed, content = place(figure, 0.25), figure_svg(figure, 0.25)
    assert figure_svg(figure, 0.25) == content
    root = ElementTree.fromstring(content)
    assert root.get("width") == f"{number(placed.width)}mm"
    assert root.get("viewBox") == f"0 0 {number(placed.width)} {number(placed.height)}"
    assert [root.findtext(f"{SVG}title"), root.findtext(f"{SVG}desc")] == ["Plate", "a plate"]
    assert [text.text for text in root.iter(f"{SVG}text")] == ["15-3/4 in", "a < b & c"]
    assert "0.5" in {path.get("stroke-width") for path in root.iter(f"{SVG}path")}


def shortest(value: float) -> str:
    """A number to a thousandth, reckoned in decimals, without zeros that say nothing."""
    exact = Decimal(value).quantize(Decimal("0.001"), ROUND_HALF_EVEN)
    return format(exact.normalize() if exact else Decimal(0), "f")


LENGTHS = st.floats(-3000, 3000) | st.integers(-3000, 3000).map(float) | st.floats(-0.002, 0.002)


@given(st.lists(st.lists(st.tuples(LENGTHS, LENGTHS), min_size=2), min_size=1), st.booleans())
def test_a_path_is_written_point_by_point_as_short_as_its_numbers_can_be(
    runs: list[list[tuple[float, float]]], closed: bool
) -> None:
    mark = PathMark("stroke", tuple(map(tuple, runs)), closed, 0.5, "#000000")
    root = ElementTree.fromstring(marks_svg([mark], 10.0, 10.0, "", ""))
    (path,) = root.iter(f"{SVG}path")
    told = [[f"{shortest(x)} {shortest(y)}" for x, y in run] for run in runs]
    end = "z" if closed else ""
    assert path.get("d") == "".join(f"M{'L'.join(run)}{end}" for run in told)
    for x, y in runs[0]:
        assert [number(x), number(y)] == [shortest(x), shortest(y)]


def test_dashes_follow_the_width_of_their_line() -> None:
    pen = STYLE.pens["hidden"]
    assert pen.dashes == (12 * pen.width, 3 * pen.width)
    assert STYLE.pens["visible"].width == 2 * pen.width
    figure = plate()
    dashed = Figure("d", "", "", (Stroke("hidden", ((0, 0), (400, 0))),))
    assert b'stroke-dasharray="3 0.75"' in figure_svg(dashed, 0.2)
    assert b"dasharray" not in figure_svg(figure, 0.2)


def test_two_areas_of_one_tone_stay_filled_where_they_overlap() -> None:
    figure = plate(fills=(Fill("wood", SQUARE), Fill("wood", SQUARE[:3])))
    filled = re.findall(rb'<path fill="#f4ead9"[^>]*d="([^"]*)"', figure_svg(figure, 0.2))
    assert [data.count(b"M") for data in filled] == [1, 1]


def test_what_cannot_be_drawn_is_refused() -> None:
    with pytest.raises(ValueError, match="draws nothing"):
        place(plate(), 0.0)
    with pytest.raises(ValueError, match="is empty"):
        place(Figure("none", "", ""), 1.0)
    with pytest.raises(ValueError, match="no room"):
        Style(row=3.0)
    assert marks_svg([], 10.0, 5.0, "t", "a").count(b"<path") == 0
