"""Shapes of jigs: a bit cuts them, their parts fit each other, and they set the sizes they name."""

from __future__ import annotations

import itertools
import math

import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely.affinity import translate

from jig_cases import made, over_jigs
from palewright.catalogue.screws import read_screw
from palewright.design import design
from palewright.geometry.contours import Contour, arc_middle, drawn, edge_distance, relief_radius
from palewright.jigs.brace_jigs import wedge
from palewright.jigs.drill_stops import bit_reach, drill_stops
from palewright.jigs.plates import FenceStrip
from palewright.jigs.records import Jig, JigPart
from palewright.jigs.spacers import step_gauge, tongue
from palewright.parameters.variant_files import load_variant

FINE = 0.002
"""Arcs are drawn by chords so near (mm)."""


def area_of(contour: Contour) -> shapely.Polygon:
    """A contour as another library's polygon."""
    return shapely.Polygon(drawn(contour, FINE))


def unreached(contour: Contour, tool: float) -> float:
    """Length (mm) of the outline that a bit going round the outside cannot touch."""
    shape = area_of(contour)
    paper = shape.buffer(4 * tool, join_style="mitre")
    waste = paper.difference(shape)
    # where the bit's middle may be, and all that it then cuts
    cut = waste.buffer(-tool / 2, quad_segs=64).buffer(tool / 2 + 0.01, quad_segs=64)
    outer = shapely.LineString(paper.exterior.coords)
    return float(shape.exterior.difference(cut).difference(outer.buffer(0.1)).length)


@over_jigs()
def test_the_bit_reaches_every_point_of_every_outline(name: str, jig: Jig) -> None:
    tool = made(name).parameters.saw.tool
    for part in jig.parts:
        assert shapely.is_valid(area_of(part.contour)), part.name
        assert area_of(part.contour).exterior.is_ccw
        assert unreached(part.contour, tool) < 1e-6, part.name


def test_a_square_inner_corner_is_not_reached() -> None:
    corners = ((0, 0), (60, 0), (60, 40), (30, 40), (30, 20), (0, 20))
    square = tuple((float(x), float(y), 0.0) for x, y in corners)
    assert unreached(square, 6.35) > 1.0


def strip_shape(part: JigPart) -> shapely.Polygon:
    """What of a strip stands in the plate's plane: its tabs, seen from above, in the jig's x, y."""
    place, thick = part.placement, part.thickness
    levels = sorted({round(y, 6) for _, y, _ in part.contour})
    tabs = [x for x, y, _ in part.contour if y == pytest.approx(levels[-1])]
    boxes = []
    for a, b in zip(sorted(tabs)[::2], sorted(tabs)[1::2], strict=True):
        ends = [place.out(x, levels[-1], z)[:2] for x in (a, b) for z in (0.0, thick)]
        boxes.append(shapely.MultiPoint(ends).envelope)
    return shapely.union_all(boxes)


@over_jigs()
def test_tabs_stand_in_their_notches_and_fill_them_but_for_the_slack(name: str, jig: Jig) -> None:
    slack = made(name).parameters.jig.slack
    plate = area_of(jig.plate.contour)
    for part in jig.parts[1:]:
        if part.name.endswith("stop"):
            continue
        tabs = strip_shape(part)
        assert not tabs.is_empty
        assert tabs.intersection(plate).area < 0.01, part.name
        # the bottom of the notch is the line on which the fence bears: the tab lies on it
        shared = tabs.exterior if isinstance(tabs, shapely.Polygon) else tabs.boundary
        assert shared.intersection(plate.buffer(1e-3)).length > 0.9 * tabs.length / 4
        # and the plate's walls are half the slack away at each end
        along = 1 if part.name.removeprefix("upper ").startswith("side") else 0
        step = [0.0, 0.0]
        for sign in (1, -1):
            step[along] = sign * slack * 0.49
            assert translate(tabs, *step).intersection(plate).area < 0.01
            step[along] = sign * (slack * 0.5 + 0.2)
            assert translate(tabs, *step).intersection(plate).area > 0.1


@given(
    tool=st.floats(0.8, 12.0),
    thickness=st.floats(4.0, 25.0),
    height=st.floats(8.0, 40.0),
    length=st.floats(24.0, 900.0),
)
def test_strips_of_any_size_are_cut_by_any_bit(
    tool: float, thickness: float, height: float, length: float
) -> None:
    strip = FenceStrip(thickness, height, tool, 0.4)
    outline = strip.outline(length, 1)
    assert shapely.is_valid(area_of(outline))
    tabs = strip.tabs(length)
    assert tabs == [pytest.approx((length - b, length - a)) for a, b in reversed(tabs)]
    assume(tabs)
    assert unreached(outline, tool) < 1e-6
    top = height + thickness
    assert area_of(outline).bounds == pytest.approx((0.0, 0.0, length, top))


@given(gap=st.floats(3.0, 50.0), deep=st.floats(4.0, 30.0), tool=st.floats(0.8, 20.0))
def test_a_spacer_sets_its_gap(gap: float, deep: float, tool: float) -> None:
    """Two boards pushed on the tongue are as far apart as asked; corners are in nobody's way."""
    shape = area_of(tongue(gap, deep, relief_radius(tool)))
    left = shapely.box(-40.0, -20.0 - deep, 0.0, 0.0)
    right = shapely.box(gap, -20.0 - deep, gap + 40.0, 0.0)
    assert left.distance(right) == pytest.approx(gap)
    for board in (left, right):
        assert shape.intersection(board).area < 1e-6
        bearing = shape.exterior.intersection(board.buffer(1e-6)).length
        assert bearing > deep  # all of the tongue's side, and the head beside the hollow
    assert translate(left, 0.1).intersection(shape).area == pytest.approx(0.1 * deep, rel=1e-3)


@given(overhang=st.floats(3.0, 100.0), lip=st.floats(4.0, 30.0), tool=st.floats(0.8, 12.0))
def test_a_cap_gauge_sets_its_overhang(overhang: float, lip: float, tool: float) -> None:
    contour = step_gauge(overhang, lip, relief_radius(tool))
    assume(contour)
    shape = area_of(contour)
    cap = shapely.box(-50.0, 0.0, overhang, lip + 5.0)
    assert shape.intersection(cap).area < 1e-6
    assert translate(cap, 0.1).intersection(shape).area > 0.05 * min(lip, 1.0)
    panel = shapely.box(-20.0, -100.0, 0.0, 0.0)
    assert shape.exterior.intersection(panel.buffer(1e-6)).length > 40.0
    assert unreached(contour, tool) < 1e-6


@given(angle=st.floats(0.5, 70.0), tool=st.floats(0.8, 12.0))
def test_a_wedge_holds_a_board_at_its_angle(angle: float, tool: float) -> None:
    """A board whose edge lies on the slope and whose end lies on the heel is so far off square."""
    contour = wedge(angle, relief_radius(tool))
    shape = area_of(contour)
    assert shapely.is_valid(shape)
    assert unreached(contour, tool) < 1e-6
    edges = list(itertools.pairwise([*shape.exterior.coords]))
    (ax, ay), (bx, by) = max(
        (e for e in edges if e[0][1] > 1.0 and e[1][1] > 1.0 and abs(e[0][0] - e[1][0]) > 1e-3),
        key=lambda e: math.dist(*e),
    )
    # the blade runs square to the gauge side, which is level: the cut leans off square by the slope
    assert math.degrees(math.atan2(ay - by, ax - bx)) == pytest.approx(angle, abs=1e-6)
    assert min(y for _, y in shape.exterior.coords) == 0.0
    up = ((ax - bx) / math.dist((ax, ay), (bx, by)), (ay - by) / math.dist((ax, ay), (bx, by)))
    out = (-up[1], up[0])
    foot = contour[4][:2]
    board = shapely.Polygon(
        [
            foot,
            (foot[0] + 300 * up[0], foot[1] + 300 * up[1]),
            (foot[0] + 300 * up[0] + 50 * out[0], foot[1] + 300 * up[1] + 50 * out[1]),
            (foot[0] + 50 * out[0], foot[1] + 50 * out[1]),
        ]
    )
    assert shape.intersection(board).area < 1e-5
    assert shape.exterior.intersection(board.buffer(1e-6)).length > 100.0


def test_there_is_a_block_for_each_angle_of_the_braces() -> None:
    """A cross at θ needs θ at the stiles and |90 - 2θ| at the crossing (common practice)."""
    tub = design(load_variant("stoop-tub", ["face.front=cross"]).parameters, "crossed")
    angles = [jig.fixed["angle"] for jig in tub.jigs.jigs if jig.kind == "brace"]
    assert angles[1] == pytest.approx(abs(90.0 - 2.0 * angles[0]))
    cut = {
        round(angle, 3)
        for board in tub.box.boards.values()
        if board.role == "brace"
        for angle in board.end_angles
    }
    assert cut == {round(angle, 3) for angle in angles}


@over_jigs()
def test_drills_never_come_through_in_thin_lumber(name: str, jig: Jig) -> None:
    """Worked out again from the stack of boards: what stays in front of the bit, and what holds."""
    tub = made(name)
    margin, plate = tub.parameters.jig.margin, tub.parameters.jig.thickness
    screws = {screw.name: screw for screw in tub.box.screws}
    for stop in jig.stops:
        assert stop.stop == pytest.approx(plate + stop.below)
        step = 25.4 / 32 if tub.parameters.product.units == "inch" else 0.5
        assert stop.stop / step == pytest.approx(round(stop.stop / step))
        for pose in jig.poses:
            for _, served in pose.served:
                screw = screws[served]
                stack = [tub.box.boards[board] for board in screw.stack]
                stock = stack[0].stock
                if screw.use == "wall":
                    thin, thick = 2 * stock.thinnest, stock.thickest
                    assert stop.below <= thin - margin + 1e-9
                    assert stop.left == pytest.approx(thin - stop.below)
                else:
                    thick = stock.thickest * (len(stack) - 1)
                if stop.use == "clearance":
                    assert thick - 1e-9 <= stop.below < thick + step
                else:
                    assert stop.below <= screw.kind.length + 1e-9
                    assert stop.below > screw.kind.length - step or screw.use == "wall"


def test_drill_stops_in_closed_form() -> None:
    """5/8 in boards, a sixteenth either way, #8 x 1 in, 1/2 in plywood, a sixteenth left."""
    sixteenth = 25.4 / 16
    clear, pilot = drill_stops(
        read_screw("#8 x 1 in"),
        [(9 * sixteenth, 11 * sixteenth)] * 2,
        8 * sixteenth,
        sixteenth,
        sixteenth / 2,
    )
    assert clear.stop / sixteenth == pytest.approx(19)  # 8 and the thickest board's 11
    assert pilot.stop / sixteenth == pytest.approx(24)  # 8 and the screw's 16: 17 would be safe
    assert (clear.left / sixteenth, pilot.left / sixteenth) == pytest.approx((7, 2))
    long = drill_stops(read_screw("#8 x 2 in"), [(9.0, 11.0)] * 2, 8.0, 1.0, 0.5)
    assert long[1].below == pytest.approx(17.0)
    assert drill_stops(read_screw("#8 x 2 in"), [(9.0, 11.0)] * 2, 8.0, 8.0, 0.5) == ()


def test_ordinary_bits_are_as_long_as_the_standard_says() -> None:
    """3/32 in: 2-1/4 in overall, 1/4 in: 4 in (ASME B94.11M jobber lengths, from memory)."""
    held = (0.75 + 0.3125) * 25.4
    assert bit_reach(3 / 32 * 25.4) == pytest.approx(2.25 * 25.4 - held)
    assert bit_reach(0.25 * 25.4) == pytest.approx(4.0 * 25.4 - held)


@over_jigs()
def test_guide_holes_stand_in_the_plate(_name: str, jig: Jig) -> None:
    shape = area_of(jig.plate.contour)
    rounds = [shapely.Point(d.centre).buffer(d.diameter / 2) for d in jig.plate.drills]
    assert [drill.centre for drill in jig.plate.drills] == list(jig.guides)
    for one in rounds:
        assert shape.contains(one.buffer(1.4))
    tree = shapely.STRtree(rounds)
    assert all(len(tree.query(one, predicate="intersects")) == 1 for one in rounds)
    for drill in jig.plate.drills:
        exact = shape.exterior.distance(shapely.Point(drill.centre))
        assert edge_distance(jig.plate.contour, drill.centre) == pytest.approx(exact, abs=0.02)


def test_the_middle_of_an_arc_lies_on_the_side_of_its_bulge() -> None:
    # half a circle from (0, 0) to (2, 0) that turns left runs below its chord
    assert arc_middle((0.0, 0.0), (2.0, 0.0), 1.0) == pytest.approx((1.0, -1.0))
    assert arc_middle((0.0, 0.0), (2.0, 0.0), -1.0) == pytest.approx((1.0, 1.0))
