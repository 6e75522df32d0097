"""Prisms of the fit checks against independent truths: closed forms, qhull, and the CAD kernel."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations
from typing import Any

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import linprog, lsq_linear
from scipy.spatial import ConvexHull, HalfspaceIntersection
from scipy.spatial.transform import Rotation
from shapely.geometry import Polygon

from case_lists import tried
from palewright.catalogue.lumber import LUMBER_CASES, LumberCase, shipped_stock
from palewright.construction.boards import Board, Placement, plus
from palewright.construction.box_layout import Box, lay_out
from palewright.construction.line_spans import half_spaces, inside_span
from palewright.fit import screw_spans
from palewright.fit.cases import FitCase
from palewright.fit.screw_spans import ScrewSpans, segment_distance
from palewright.parameters.variant_files import parameters_from
from palewright.solids.convex_prisms import Prism, PrismSet, cylinder, prism_of
from palewright.solids.kernel_solids import Solids

STOCK = shipped_stock()["fence-58"]
TILTED: dict[str, Any] = {
    "box": {"width": "26 in", "depth": "20 in", "height": "20 in"},
    "face": {"front": "cross", "sides": "slant", "back": "peak"},
    "corner": {"style": "post"},
}
Rows = NDArray[np.float64]

PLACES = st.floats(-300, 300)
ANGLES = st.floats(0, 360)


def board(
    outline: tuple[tuple[float, float], ...], thickness: float, turn: Rotation, origin: Any
) -> Board:
    """A board of any outline anywhere in space."""
    grain, across = turn.apply([1, 0, 0]), turn.apply([0, 1, 0])
    place = Placement(tuple(origin), tuple(grain), tuple(across))  # type: ignore[arg-type]
    return Board("x.board", "brace", "x", STOCK, outline, thickness, place)


@st.composite
def boards(draw: st.DrawFn, upright: bool = False) -> Board:
    """Boards with slanted ends, turned about the vertical, or any way."""
    length, width = draw(st.floats(150, 600)), draw(st.floats(20, 140))
    low, high = draw(st.floats(-60, 60)), draw(st.floats(-60, 60))
    left, right = max(0.0, low), max(0.0, -low)
    outline = ((left, 0.0), (length - max(0.0, high), 0.0), (length - max(0.0, -high), width),
               (right, width))  # fmt: skip
    axis = "z" if upright else "xyz"
    turn = Rotation.from_euler(axis, [draw(ANGLES) for _ in axis], degrees=True)
    spread = (150.0, 150.0, 15.0) if upright else (300.0, 300.0, 300.0)  # flat ones mostly meet
    origin = [draw(st.floats(-far, far)) for far in spread]
    return board(outline, draw(st.floats(10, 40)), turn, origin)


def hull_of(points: Rows) -> Rows:
    """Half-spaces (normal, offset) of a convex body, by qhull."""
    return ConvexHull(points).equations


def shared_volume(first: Rows, second: Rows) -> float:
    """The volume that two convex bodies share, by qhull."""
    rows = np.vstack((hull_of(first), hull_of(second)))
    roomiest = linprog(
        (0, 0, 0, -1),
        np.column_stack((rows[:, :3], np.ones(len(rows)))),
        -rows[:, 3],
        bounds=[(None, None)] * 3 + [(0, None)],
    )
    if not roomiest.success or roomiest.x[3] < 1e-6:
        return 0.0
    return float(ConvexHull(HalfspaceIntersection(rows, roomiest.x[:3]).intersections).volume)


def plan(one: Board) -> Polygon:
    """The outline of an upright-turned board as seen from above."""
    return Polygon([p[:2] for p in one.corners[: len(one.outline)]])


def slab(length: float, degrees: float, x: float) -> Board:
    """A board 20 × 10 that lies flat, turned about its corner."""
    outline = ((0.0, 0.0), (length, 0.0), (length, 20.0), (0.0, 20.0))
    return board(outline, 10.0, Rotation.from_euler("z", degrees, degrees=True), (x, 0.0, 0.0))


QUARTERS = st.sampled_from([(0, 0, 0), (90, 0, 0), (0, 90, 0), (180, 0, 0), (0, -90, 90)])


def turned_round(one: Board, quarters: tuple[int, int, int]) -> Board:
    """The board with all its place turned by quarter turns about x, y and z."""
    turn = np.round(Rotation.from_euler("xyz", quarters, degrees=True).as_matrix())
    place = one.placement
    origin, grain, across = (turn @ np.array(v) for v in (place.origin, place.grain, place.across))
    return replace(one, placement=Placement(tuple(origin), tuple(grain), tuple(across)))


@hypothesis_settings(deadline=None)
@given(boards(upright=True), boards(upright=True), QUARTERS)
@example(slab(150, 0, 0), slab(187, 1e-5, -40), (0, 0, 0))
def test_overlap_of_boards_that_lie_flat_is_area_times_height(
    first: Board, second: Board, quarters: tuple[int, int, int]
) -> None:
    area = plan(first).intersection(plan(second)).area
    z = sorted((first.placement.origin[2], second.placement.origin[2]))
    tops = [b.placement.origin[2] + b.thickness for b in (first, second)]
    height = max(0.0, min(tops) - z[1])
    a, b = (prism_of(turned_round(one, quarters)) for one in (first, second))
    shared = a.overlap(b)
    assert shared.volume == pytest.approx(area * height, rel=1e-6, abs=1e-2)
    if shared.volume > 1:
        rows = np.vstack((hull_of(a.points), hull_of(b.points)))
        inside = linprog(
            (0, 0, 0, -1),
            np.column_stack((rows[:, :3], np.ones(len(rows)))),
            -rows[:, 3],
            bounds=[(None, None)] * 3 + [(0, None)],
        ).x[:3]
        corners = HalfspaceIntersection(rows, inside).intersections
        assert shared.low == pytest.approx(corners.min(axis=0), abs=1e-3)
        assert shared.high == pytest.approx(corners.max(axis=0), abs=1e-3)


WAYS = st.tuples(*(st.just(0.0) | PLACES for _ in range(3)))


@hypothesis_settings(deadline=None)
@given(boards(upright=True), WAYS, boards(upright=True), QUARTERS)
def test_what_a_flat_board_sweeps_meets_what_qhull_says(
    one: Board, way: tuple[float, float, float], other: Board, quarters: tuple[int, int, int]
) -> None:
    """Along one axis, in its plane or aslant: three ways to the swept solid."""
    swept = prism_of(turned_round(one, quarters)).swept(way)
    met = prism_of(turned_round(other, quarters))
    expected = shared_volume(swept.points, met.points)
    assert swept.overlap(met).volume == pytest.approx(expected, rel=1e-5, abs=0.1)
    assert met.overlap(swept).volume == pytest.approx(expected, rel=1e-5, abs=0.1)
    here = met.moved(way)
    expected = shared_volume(here.points, swept.points)
    assert swept.overlap(here).volume == pytest.approx(expected, rel=1e-5, abs=0.1)


@hypothesis_settings(deadline=None, max_examples=tried(60))
@given(boards(), boards())
def test_overlap_of_boards_any_way_is_what_qhull_finds(first: Board, second: Board) -> None:
    a, b = prism_of(first), prism_of(second)
    shared = a.overlap(b)
    expected = shared_volume(a.points, b.points)
    assert shared.volume == pytest.approx(expected, rel=1e-5, abs=0.05)
    assert b.overlap(a).volume == pytest.approx(shared.volume, rel=1e-9, abs=1e-6)
    if shared.volume > 1:
        assert 0 < shared.depth <= float(max(shared.high - shared.low))
        assert (shared.low >= np.maximum(a.low, b.low) - 1e-6).all()
        assert (shared.high <= np.minimum(a.high, b.high) + 1e-6).all()


@hypothesis_settings(deadline=None)
@given(boards(), st.tuples(PLACES, PLACES, PLACES))
def test_a_swept_prism_is_itself_and_its_shadow_times_the_way(
    one: Board, by: tuple[float, float, float]
) -> None:
    """V + ½ Σ (face area) · |normal · way|: exact for every convex body."""
    prism, way = prism_of(one), np.array(by)
    hull = ConvexHull(prism.points)
    corners = prism.points[hull.simplices]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]) / 2
    expected = hull.volume + 0.5 * float(np.abs(normals @ way).sum())
    swept = prism.swept(by)
    assert float(swept.solid.volume()) == pytest.approx(expected, rel=1e-6)
    assert one.volume == pytest.approx(hull.volume)
    for share in (0.0, 0.3, 1.0):
        moved = prism.moved(way * share)
        assert moved.overlap(swept).volume == pytest.approx(one.volume, rel=1e-6)


AXES = st.sampled_from([(0, 0, 0), (90, 0, 0), (0, 90, 0), (0, 0, 90), (180, 0, 90), (90, 90, 0)])


@given(AXES, st.floats(10, 900), st.floats(10, 200), st.floats(5, 40))
def test_a_square_board_is_known_to_fill_its_bounds(
    turn: tuple[int, int, int], length: float, width: float, thickness: float
) -> None:
    outline = ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))
    exact = np.round(Rotation.from_euler("xyz", turn, degrees=True).as_matrix())
    one = board(outline, thickness, Rotation.from_matrix(exact), (1.0, 2.0, 3.0))
    prism = prism_of(one)
    assert prism.along == (0, 1, 2)
    assert float((prism.high - prism.low).prod()) == pytest.approx(length * width * thickness)
    slanted = replace(one, outline=((0.0, 0.0), (length, 0.0), (length, width), (1.0, width)))
    assert len(prism_of(slanted).along) == 1
    for degrees in (0.01, 1e-5, 1e-7):  # the cosine of the last two is 1 to twelve digits
        turned = board(outline, thickness, Rotation.from_euler("z", degrees, True), (0, 0, 0))
        assert prism_of(turned).along == (2,)


@pytest.mark.parametrize("way", [(50.0, 0.0, 0.0), (0.0, 0.0, -7.0), (30.0, 40.0, 0.0)])
def test_a_square_board_swept_aslant_no_longer_fills_its_bounds(
    way: tuple[float, float, float],
) -> None:
    outline = ((0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0))
    swept = prism_of(board(outline, 16.0, Rotation.identity(), (0, 0, 0))).swept(way)
    straight = sum(x != 0 for x in way) == 1
    assert swept.along == ((0, 1, 2) if straight else (2,))
    # a corner that only the bounds hold: (100, 0) swept by (30, 40) leaves (130, 0) free
    probe = Prism(
        np.array([(x, y, z) for x in (120, 129) for y in (0, 9) for z in (1, 2)], float), (0, 1, 2)
    )
    expected = 81.0 if way == (50.0, 0.0, 0.0) else 0.0
    assert swept.overlap(probe).volume == pytest.approx(expected)


@pytest.mark.parametrize("radius", [30.0, 215.9, 700.0])
def test_a_cylinder_is_held_and_not_widened_towards_the_walls(radius: float) -> None:
    prism = cylinder(radius, 5.0, 105.0)
    assert (prism.low, prism.high) == (
        pytest.approx((-radius, -radius, 5.0)),
        pytest.approx((radius, radius, 105.0)),
    )
    rows = hull_of(prism.points)
    for angle in np.linspace(0, 2 * np.pi, 1001):
        point = np.array([radius * math.cos(angle), radius * math.sin(angle), 50.0, 1.0])
        assert (rows @ point).max() < 1e-9 * radius + 1e-9
    volume = float(prism.solid.volume())
    exact = math.pi * radius**2 * 100
    assert exact <= volume <= exact * 1.0015  # the tangent 48-gon: tan(π/48)·48/π


def box_of(said: dict[str, Any], case: LumberCase = "nominal") -> Box:
    """The box of what a file says."""
    return lay_out(parameters_from(said, {}), case)


@pytest.mark.parametrize("seed", range(4))
def test_near_pairs_are_those_whose_bounds_overlap(seed: int) -> None:
    """In a heap of boards that were all pushed somewhere else."""
    rng = np.random.default_rng(seed)
    heap = {}
    for name, one in box_of(TILTED).boards.items():
        by = rng.normal(0.0, 30.0, 3)
        heap[name] = replace(
            one, placement=replace(one.placement, origin=plus(one.placement.origin, tuple(by)))
        )
    prisms = PrismSet(heap)
    count = len(prisms.names)
    expected = []
    for i, j in combinations(range(count), 2):
        shared = np.minimum(prisms.high[i], prisms.high[j]) - np.maximum(
            prisms.low[i], prisms.low[j]
        )
        if (shared > 1e-6).all():
            expected.append((i, j))
    assert len(expected) > 50
    assert prisms.near_pairs == expected
    for i, name in enumerate(prisms.names):
        near = {a if b == i else b for a, b in expected if i in (a, b)}
        assert set(prisms.meeting(prisms[name], range(count))) == near | {i}
    assert prisms.meeting(prisms.prisms[0], []) == []


@pytest.mark.parametrize("case", LUMBER_CASES)
def test_prisms_are_the_kernels_solids(case: LumberCase) -> None:
    """Volume and bounds of every board, placed, in each lumber case; holes left out."""
    box = box_of(TILTED, case)
    plain = {name: one.with_holes(()) for name, one in box.boards.items()}
    solids, prisms = Solids(plain), PrismSet(plain)
    for name in plain:
        shape, prism = solids.placed(name), prisms[name]
        assert shape.Volume() == pytest.approx(float(prism.solid.volume()), rel=1e-6)
        assert shape.Volume() == pytest.approx(plain[name].volume, rel=1e-9)
        ends = shape.BoundingBox()
        assert (ends.xmin, ends.ymin, ends.zmin) == pytest.approx(tuple(prism.low), abs=1e-4)
        assert (ends.xmax, ends.ymax, ends.zmax) == pytest.approx(tuple(prism.high), abs=1e-4)
        assert shape.isValid()


@pytest.mark.parametrize("case", LUMBER_CASES)
def test_clashes_are_the_kernels_booleans(case: LumberCase) -> None:
    """A box with boards pushed into each other clashes in the same pairs by the same volumes."""
    boards_of = {n: b.with_holes(()) for n, b in box_of(TILTED, case).boards.items()}
    for name, by in (
        ("front.brace-long", (4.0, 3.0, 5.0)),
        ("left.brace", (-3.0, 6.0, 0.0)),
        ("cap.left", (0.0, 2.0, -7.0)),
        ("back.brace-left", (0.0, -5.0, 9.0)),
    ):
        one = boards_of[name]
        place = replace(one.placement, origin=plus(one.placement.origin, by))
        boards_of[name] = replace(one, placement=place)
    prisms, solids = PrismSet(boards_of), Solids(boards_of)
    clashes = 0
    for i, j in prisms.near_pairs:
        first, second = prisms.names[i], prisms.names[j]
        volume = prisms.prisms[i].overlap(prisms.prisms[j]).volume
        if volume < 1e-3 and len(prisms.prisms[i].along) == len(prisms.prisms[j].along) == 3:
            continue
        common = solids.placed(first).intersect(solids.placed(second))
        assert volume == pytest.approx(common.Volume(), rel=1e-4, abs=0.05), (first, second)
        clashes += volume > 1.0
    assert clashes >= 15


@pytest.mark.parametrize("case", LUMBER_CASES)
def test_a_sound_box_shares_nothing_in_the_kernel_either(case: LumberCase) -> None:
    boards_of = {n: b.with_holes(()) for n, b in box_of(TILTED, case).boards.items()}
    prisms, solids = PrismSet(boards_of), Solids(boards_of)
    for i, j in prisms.near_pairs:
        first, second = prisms.names[i], prisms.names[j]
        assert solids.placed(first).intersect(solids.placed(second)).Volume() < 1.0


SEGMENTS = st.tuples(*[st.tuples(PLACES, PLACES, PLACES)] * 4)


@given(SEGMENTS)
def test_the_distance_of_segments_is_what_least_squares_finds(ends: Any) -> None:
    a0, a1, b0, b1 = (np.array(end) for end in ends)
    if min(np.linalg.norm(a1 - a0), np.linalg.norm(b1 - b0)) < 1.0:
        return
    best = lsq_linear(np.column_stack((a1 - a0, b0 - b1)), b0 - a0, bounds=(0, 1), tol=1e-14)
    expected = math.sqrt(2 * best.cost)
    assert segment_distance(a0, a1, b0, b1) == pytest.approx(expected, abs=1e-4, rel=1e-6)
    assert segment_distance(b1, b0, a0, a1) == pytest.approx(expected, abs=1e-4, rel=1e-6)


@pytest.mark.parametrize(
    ("ends", "apart"),
    [
        (((0, 0, 0), (10, 0, 0), (5, -5, 3), (5, 5, 3)), 3.0),  # crossing
        (((0, 0, 0), (10, 0, 0), (0, 4, 0), (10, 4, 0)), 4.0),  # parallel
        (((0, 0, 0), (10, 0, 0), (13, 4, 0), (20, 4, 0)), 5.0),  # parallel, apart
        (((0, 0, 0), (10, 0, 0), (12, 0, 0), (20, 0, 0)), 2.0),  # in one line
        (((0, 0, 0), (10, 0, 0), (4, 0, 0), (6, 0, 0)), 0.0),  # one in the other
        (((0, 0, 0), (10, 0, 0), (13, 4, 0), (13, 4, 9)), 5.0),  # end to end
    ],
)
def test_the_distance_of_segments_worked_by_hand(ends: Any, apart: float) -> None:
    assert segment_distance(*(np.array(e, float) for e in ends)) == pytest.approx(apart)


@given(boards(), st.tuples(PLACES, PLACES, PLACES), st.tuples(PLACES, PLACES, PLACES))
def test_a_line_runs_inside_a_board_where_its_hull_says(
    one: Board, start: Any, towards: Any
) -> None:
    way = np.array(towards) - np.array(start)
    if np.linalg.norm(way) < 1.0:
        return
    axis = way / np.linalg.norm(way)
    local = np.array([(x, y, z) for z in (0.0, one.thickness) for x, y in one.outline])
    rows = hull_of(local)
    span = inside_span(one, tuple(start), tuple(axis))

    def depth(t: float) -> float:
        """How far outside the hull the line is at t, mm; negative inside."""
        return float((rows @ np.array([*(np.array(start) + t * axis), 1.0])).max())

    if span is None:
        assert min(depth(t) for t in np.linspace(-2000, 2000, 4001)) > -1e-6
        return
    low, high = span
    assert abs(depth(low)) < 1e-6 and abs(depth(high)) < 1e-6
    assert depth((low + high) / 2) < 1e-6
    assert depth(low - 1.0) > -1e-6 and depth(high + 1.0) > -1e-6


@given(boards())
def test_a_boards_half_spaces_hold_its_corners_each_on_three(one: Board) -> None:
    rows = half_spaces(one)
    for z in (0.0, one.thickness):
        for x, y in one.outline:
            room = [
                reach - sum(n * p for n, p in zip(out, (x, y, z), strict=True))
                for out, reach in rows
            ]
            assert min(room) == pytest.approx(0.0, abs=1e-6)
            assert sum(abs(r) < 1e-6 for r in room) >= 3
    assert all(math.hypot(*out) == pytest.approx(1.0) for out, _ in rows)


@pytest.mark.parametrize("case", LUMBER_CASES)
def test_all_screws_at_once_run_where_each_runs_alone(case: LumberCase) -> None:
    box = box_of(TILTED, case)
    spans = ScrewSpans(box)
    for s, screw in enumerate(box.screws):
        for b, one in enumerate(box.boards.values()):
            alone = inside_span(
                one, one.placement.into(screw.head), one.placement.direction_into(screw.axis)
            )
            enter, leave = spans.enter[s, b], spans.leave[s, b]
            if alone is None or alone[1] <= 0 or alone[0] >= screw.kind.length:
                # beside, behind the head or beyond the point: nothing of the screw is inside
                assert min(leave, screw.kind.length) - max(enter, 0.0) <= 1e-9
            else:
                assert (enter, leave) == (pytest.approx(alone[0]), pytest.approx(alone[1]))


@pytest.mark.parametrize("at_once", [screw_spans._ROWS, 7, 1])
def test_near_screws_are_those_that_every_pair_compared_finds(
    at_once: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(screw_spans, "_ROWS", at_once)
    box = box_of(TILTED)
    spans, air = ScrewSpans(box), 8.0
    expected = []
    for i, j in combinations(range(len(box.screws)), 2):
        a, b = box.screws[i], box.screws[j]
        apart = segment_distance(*(np.array(p) for p in (a.head, a.tip, b.head, b.tip)))
        sizes = a.kind.diameter, b.kind.diameter
        if apart < sum(sizes) / 2 + air * max(sizes):
            expected.append((i, j))
    assert expected
    assert sorted((i, j) for i, j, _ in spans.near_screws(air)) == expected


def test_contact_is_the_area_that_two_boards_press_on() -> None:
    box = box_of({"wall": {"gap": "0 in"}})
    fit = FitCase(box, "nominal")
    areas = fit.contacts["front.rail-top on staves"]
    rail = box.boards["front.rail-top"]
    # the staves run behind the whole of a rail: all of it touches
    assert sum(areas.values()) == pytest.approx(rail.length * rail.width, rel=1e-6)
    away = replace(rail.placement, origin=plus(rail.placement.origin, (0.0, -0.03, 0.0)))
    apart = replace(box, boards={**box.boards, rail.name: replace(rail, placement=away)})
    assert FitCase(apart, "nominal").contacts["front.rail-top on staves"] == {}
