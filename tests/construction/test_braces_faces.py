"""Brace angles against an independent numeric solution; every face pattern in its opening."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import assume, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from scipy.optimize import brentq
from shapely.geometry import LineString, Polygon, box
from shapely.ops import unary_union

from case_lists import tried
from palewright.catalogue.lumber import shipped_stock
from palewright.construction.boards import Plane
from palewright.construction.face_patterns import (
    FACE_PATTERNS,
    Opening,
    PatternPiece,
    brace_angle,
    face_pattern,
    is_braced,
    plumb_length,
)
from palewright.geometry.polygons import is_convex
from palewright.reading.errors import InputError

SIZES = st.floats(20, 2400)
BOARDS = st.floats(5, 200)
STOCK = shipped_stock()["fence-58"]


def rise(degrees: float, width: float, board: float) -> float:
    """How high an opening a brace fills that lies at an angle: W tan θ + b / cos θ."""
    return width * math.tan(math.radians(degrees)) + board / math.cos(math.radians(degrees))


@given(SIZES, SIZES, BOARDS)
def test_a_brace_lies_at_the_angle_that_a_root_finder_finds(w: float, h: float, b: float) -> None:
    angle = brace_angle(w, h, b)
    if b >= h:
        assert angle is None
        return
    # rise() grows from b at 0° without bound, so there is one root between
    found = brentq(lambda t: rise(t, w, b) - h, 0.0, 90.0 - 1e-9, xtol=1e-12, rtol=1e-14)
    assert angle is not None
    assert angle == pytest.approx(found, abs=1e-7)
    assert rise(angle, w, b) == pytest.approx(h, rel=1e-9)


@pytest.mark.parametrize(
    "sizes", [(0, 5, 1), (5, 0, 1), (5, 5, 0), (5, 5, 5), (5, 5, 6), (-5, 5, 1)]
)
def test_where_no_brace_can_lie_there_is_none(sizes: tuple[float, float, float]) -> None:
    assert brace_angle(*sizes) is None


def test_a_brace_of_no_width_is_the_diagonal() -> None:
    assert brace_angle(400, 300, 1e-9) == pytest.approx(math.degrees(math.atan2(300, 400)))


def test_the_pair_of_36_and_18_degrees() -> None:
    """A brace at 36° takes an 18° second cut: common practice, no source."""
    height = rise(36, 254, 50.8)
    assert brace_angle(254, height, 50.8) == pytest.approx(36)
    opening = Opening(254, height, 50.8, 38.1, 76.2)
    cuts = {
        round(angle, 3)
        for piece in FACE_PATTERNS["cross"](opening)
        for angle in board_of(piece).end_angles
    }
    assert cuts == {36.0, 18.0}


@given(st.floats(1, 89), SIZES, BOARDS)
def test_opening_and_angle_are_each_others_inverse(degrees: float, w: float, b: float) -> None:
    assert brace_angle(w, rise(degrees, w, b), b) == pytest.approx(degrees, abs=1e-6)
    assert plumb_length(b, degrees) * math.cos(math.radians(degrees)) == pytest.approx(b)


def board_of(piece: PatternPiece):  # type: ignore[no-untyped-def]
    """The board of a piece, laid in a plane."""
    plane = Plane((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    return plane.board(f"x.{piece.name}", piece.role, STOCK, piece.polygon, piece.grain, 15.875)


OPENINGS = st.builds(
    Opening,
    width=st.floats(60, 1500),
    height=st.floats(60, 1500),
    brace_width=st.floats(20, 120),
    bar_width=st.floats(20, 120),
    bar_gap=st.floats(15, 400),
)
TUB = Opening(241.3, 300.0, 50.8, 38.1, 76.2)


def pieces_of(pattern: str, opening: Opening) -> list[PatternPiece]:
    """The pieces of a pattern; where it refuses the opening, none, and the key is a face's."""
    try:
        return FACE_PATTERNS[pattern](opening)
    except InputError as refused:
        assert refused.key.startswith("face.")
        assert "allowed" in refused.message
        return []


@pytest.mark.parametrize("pattern", sorted(FACE_PATTERNS))
@hypothesis_settings(max_examples=tried(60), deadline=None)
@given(opening=OPENINGS)
def test_pieces_lie_in_the_opening_side_by_side(pattern: str, opening: Opening) -> None:
    pieces = pieces_of(pattern, opening)
    whole = box(0, 0, opening.width, opening.height)
    shapes = {piece.name: Polygon(piece.polygon) for piece in pieces}
    assert len(shapes) == len(pieces)
    for piece in pieces:
        shape = shapes[piece.name]
        assert is_convex(piece.polygon) and shape.is_valid and shape.exterior.is_ccw
        assert shape.difference(whole.buffer(1e-6)).area < 1e-6
        assert -180 < piece.grain <= 180
    for first, second in combinations(shapes.values(), 2):
        assert first.intersection(second).area < 1e-3


@pytest.mark.parametrize("pattern", sorted(FACE_PATTERNS))
@hypothesis_settings(max_examples=tried(60), deadline=None)
@given(opening=OPENINGS)
def test_every_end_of_a_piece_touches_wood_along_its_whole_length(
    pattern: str, opening: Opening
) -> None:
    """Each end cut lies on the frame or on a neighbouring piece: nothing ends in the air."""
    pieces = pieces_of(pattern, opening)
    frame = box(0, 0, opening.width, opening.height).exterior
    for piece in pieces:
        others = [Polygon(other.polygon).exterior for other in pieces if other is not piece]
        wood = unary_union([frame, *others]).buffer(1e-4)
        corners = piece.polygon
        for a, b in zip(corners, corners[1:] + corners[:1], strict=True):
            along = (math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])) - piece.grain) % 180
            if min(along, 180 - along) > 0.5:
                end = LineString([a, b])
                assert end.intersection(wood).length == pytest.approx(end.length, abs=1e-3)


@pytest.mark.parametrize("pattern", sorted(FACE_PATTERNS))
@hypothesis_settings(max_examples=tried(60), deadline=None)
@given(opening=OPENINGS)
def test_a_piece_is_as_wide_as_its_board_from_end_to_end(pattern: str, opening: Opening) -> None:
    widths = {"brace": opening.brace_width, "bar": opening.bar_width,
              "rail": opening.brace_width, "stile": opening.brace_width}  # fmt: skip
    for piece in pieces_of(pattern, opening):
        assert board_of(piece).width == pytest.approx(widths[piece.role], abs=1e-6)


@hypothesis_settings(deadline=None)
@given(opening=OPENINGS)
def test_a_slant_is_cut_at_its_closed_form_angle(opening: Opening) -> None:
    w, h, b = opening.width, opening.height, opening.brace_width
    pieces = pieces_of("slant", opening)
    if not pieces:
        assert b >= h or (brace_angle(w, h, b) or 0) < 1
        return
    (piece,) = pieces
    root = brentq(lambda t: rise(t, w, b) - h, 0.0, 90.0 - 1e-9, xtol=1e-12)
    board = board_of(piece)
    assert piece.grain == pytest.approx(root, abs=1e-6)
    assert board.left_angles == board.right_angles == (pytest.approx(root, abs=1e-4),)
    # a parallelogram: width of the opening over cos θ along each edge
    assert board.edge_lengths == (
        pytest.approx(w / math.cos(math.radians(root))),
        pytest.approx(w / math.cos(math.radians(root))),
    )
    assert Polygon(piece.polygon).area == pytest.approx(w * b / math.cos(math.radians(root)))


@hypothesis_settings(deadline=None)
@given(opening=OPENINGS)
def test_a_cross_is_one_long_board_and_two_equal_halves(opening: Opening) -> None:
    pieces = {piece.name: piece for piece in pieces_of("cross", opening)}
    assume(pieces)
    angle = brace_angle(opening.width, opening.height, opening.brace_width)
    assert angle is not None
    long = board_of(pieces["brace-long"])
    assert long.end_angles == (pytest.approx(angle, abs=1e-4), pytest.approx(angle, abs=1e-4))
    halves = [board_of(pieces[f"brace-half-{side}"]) for side in ("left", "right")]
    for half in halves:
        assert half.length == pytest.approx(halves[0].length)
        cuts = sorted(round(x, 3) for x in half.end_angles)
        expected = sorted((round(angle, 3), round(abs(90 - 2 * angle), 3)))
        assert cuts == pytest.approx(expected, abs=2e-3)
    # both braces cross in the middle: all is symmetric about the centre of the opening
    middle = (opening.width / 2, opening.height / 2)
    centre = unary_union([Polygon(p.polygon) for p in pieces.values()]).centroid
    assert (centre.x, centre.y) == pytest.approx(middle, abs=1e-6)
    areas = [Polygon(pieces[f"brace-half-{side}"].polygon).area for side in ("left", "right")]
    assert areas[0] == pytest.approx(areas[1])
    # closed form: two full braces share a rhombus of sides b / sin 2θ
    b, t = opening.brace_width, math.radians(angle)
    full = opening.width * b / math.cos(t)
    whole = sum(Polygon(p.polygon).area for p in pieces.values())
    assert whole == pytest.approx(2 * full - b * b / abs(math.sin(2 * t)), rel=1e-6)


@hypothesis_settings(deadline=None)
@given(opening=OPENINGS)
def test_a_double_cross_is_two_crosses_and_a_middle_board(opening: Opening) -> None:
    pieces = pieces_of("double-cross", opening)
    assume(pieces)
    assert len(pieces) == 7
    b, tall = opening.brace_width, opening.height >= opening.width
    (middle,) = [p for p in pieces if p.role in ("rail", "stile")]
    assert middle.role == ("rail" if tall else "stile")
    w, h = (
        (opening.width, (opening.height - b) / 2)
        if tall
        else ((opening.width - b) / 2, opening.height)
    )
    angle = brace_angle(w, h, b)
    assert {abs(round(p.grain, 6)) for p in pieces if p.role == "brace"} == {round(angle or 0, 6)}
    centre = unary_union([Polygon(p.polygon) for p in pieces]).centroid
    assert (centre.x, centre.y) == pytest.approx((opening.width / 2, opening.height / 2), abs=1e-6)


@hypothesis_settings(deadline=None)
@given(opening=OPENINGS)
def test_a_peak_is_a_slant_and_its_mirror_image(opening: Opening) -> None:
    pieces = pieces_of("peak", opening)
    assume(pieces)
    left, right = (Polygon(piece.polygon) for piece in pieces)
    flipped = Polygon([(opening.width - x, y) for x, y in right.exterior.coords])
    assert left.symmetric_difference(flipped).area < 1e-6
    assert pieces[0].grain == -pieces[1].grain
    assert pieces[0].grain == pytest.approx(
        brace_angle(opening.width / 2, opening.height, opening.brace_width)
    )


@pytest.mark.parametrize(("pattern", "grain"), [("upright-bars", 90), ("level-bars", 0)])
@hypothesis_settings(deadline=None)
@given(opening=OPENINGS)
def test_bars_leave_equal_gaps_none_wider_than_asked_and_are_the_fewest(
    pattern: str, grain: float, opening: Opening
) -> None:
    pieces = pieces_of(pattern, opening)
    axis = 0 if grain == 90 else 1
    span = (opening.width, opening.height)[axis]
    assume(pieces or span <= opening.bar_gap)
    ends = sorted(
        (min(p[axis] for p in o.polygon), max(p[axis] for p in o.polygon)) for o in pieces
    )
    edges = [0.0, *(x for pair in ends for x in pair), span]
    gaps = [high - low for low, high in zip(edges[::2], edges[1::2], strict=True)]
    assert gaps == pytest.approx([gaps[0]] * len(gaps), abs=1e-6)
    assert gaps[0] + 1e-9 >= 0 and gaps[0] <= opening.bar_gap + 1e-6
    assert all(piece.grain == grain and piece.role == "bar" for piece in pieces)
    fewer = len(pieces) - 1
    if fewer >= 0:
        wider = (span - fewer * opening.bar_width) / (fewer + 1)
        assert wider > opening.bar_gap - 1e-6


EXPECTED = {
    "plain": 0, "slant": 1, "peak": 2, "cross": 3, "double-cross": 7, "upright-bars": 2,
    "level-bars": 2,
}  # fmt: skip


@pytest.mark.parametrize("pattern", sorted(FACE_PATTERNS))
def test_each_pattern_has_its_pieces_in_a_common_opening(pattern: str) -> None:
    """A pattern that is new here gets a line in the table above."""
    assert len(FACE_PATTERNS[pattern](TUB)) == EXPECTED[pattern]
    assert FACE_PATTERNS[pattern].__doc__


@pytest.mark.parametrize("pattern", sorted(FACE_PATTERNS))
@hypothesis_settings(max_examples=tried(60), deadline=None)
@given(opening=OPENINGS)
def test_only_a_braced_pattern_asks_how_wide_braces_are(pattern: str, opening: Opening) -> None:
    pieces = pieces_of(pattern, opening)
    assert is_braced(pattern) is (EXPECTED[pattern] > 0 and not pattern.endswith("-bars"))
    if pieces:
        assert is_braced(pattern) is any(piece.role == "brace" for piece in pieces)
    if not is_braced(pattern):
        assert pieces == pieces_of(pattern, replace(opening, brace_width=opening.brace_width / 2))


@pytest.mark.parametrize("pattern", ["slant", "cross", "peak", "double-cross"])
def test_a_brace_too_wide_is_refused_with_its_key(pattern: str) -> None:
    with pytest.raises(InputError) as refused:
        FACE_PATTERNS[pattern](Opening(300, 100, 101, 38, 76))
    assert refused.value.key == "face.brace_width"


@pytest.mark.parametrize("pattern", ["upright-bars", "level-bars"])
def test_a_bar_too_wide_is_refused_with_its_key(pattern: str) -> None:
    with pytest.raises(InputError) as refused:
        FACE_PATTERNS[pattern](Opening(100, 100, 50, 120, 20))
    assert refused.value.key == "face.bar_width"


def test_two_patterns_cannot_have_one_name() -> None:
    before = dict(FACE_PATTERNS)
    with pytest.raises(ValueError, match="plain"):
        face_pattern("plain")(lambda _opening: [])
    assert before == FACE_PATTERNS
