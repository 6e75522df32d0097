"""Visible and hidden edges: closed forms, and every edge accounted for."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from case_lists import tried
from palewright.construction.boards import Vector
from palewright.construction.joints import Obstacle
from palewright.design import design
from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import load_variant
from palewright_drawings.figures.part_labels import RING, part_labels
from palewright_drawings.figures.views import view_figure
from palewright_drawings.paper.figure import Stroke
from palewright_drawings.projection.convex_bodies import (
    Body,
    Rim,
    behind_plane,
    board_body,
    obstacle_body,
)
from palewright_drawings.projection.hidden_lines import Segments, seen_and_hidden, seen_arcs
from palewright_drawings.projection.line_merging import drawn_once
from palewright_drawings.projection.projections import VIEWS, Projection, from_above
from palewright_drawings.projection.scene_drawing import shot_of

VARIANTS = ("stoop-tub", "winter-tub", "bean-tower", "gate-pair", "terrace-crate", "market-gable")


def block(name: str, low: Vector, high: Vector, *rims: Rim) -> Body:
    (a, b, c), (d, e, f) = low, high
    ring = [(a, b), (d, b), (d, e), (a, e)]
    points = np.array([(x, y, z) for z in (c, f) for x, y in ring])
    sides = [(k, (k + 1) % 4, (k + 1) % 4 + 4, k + 4) for k in range(4)]
    return Body(name, points, ((3, 2, 1, 0), (4, 5, 6, 7), *sides), rims=rims)


def by_owner(found: Segments) -> dict[int, float]:
    return {i: float(found.lengths[found.owner == i].sum()) for i in set(found.owner.tolist())}


def lengths(bodies: list[Body], view: Projection) -> tuple[dict[int, float], dict[int, float]]:
    seen, hidden = seen_and_hidden(shot_of(bodies, view))
    return by_owner(seen), by_owner(hidden)


def test_a_block_from_a_corner_hides_the_three_edges_at_its_far_corner() -> None:
    view = VIEWS["corner"]
    size = (30.0, 50.0, 20.0)
    seen, hidden = lengths([block("a", (0, 0, 0), size)], view)
    drawn = [
        math.hypot(*view.flat(tuple(s if i == k else 0.0 for i in range(3))))
        for k, s in enumerate(size)
    ]
    assert seen[0] == pytest.approx(3 * sum(drawn))
    assert hidden[0] == pytest.approx(sum(drawn))


def test_a_block_behind_another_is_hidden_exactly_where_it_is_covered() -> None:
    front = block("front", (0, 0, 0), (100, 10, 60))
    behind = block("behind", (70, 20, 20), (150, 30, 80))
    shot = shot_of([front, behind], VIEWS["front"])
    seen, _ = drawn_once(seen_and_hidden(shot))
    mine = sum(math.dist(line.start, line.end) for line in seen if line.owner == 1)
    # outline 2 (80 + 60) less the covered corner: 30 along the bottom, 40 up the left
    assert mine == pytest.approx(280 - 30 - 40)


def test_a_block_that_only_touches_a_line_of_sight_hides_nothing() -> None:
    front = block("front", (0, 0, 0), (100, 10, 60))
    beside = block("beside", (100, 20, 0), (150, 30, 60))
    seen, _ = lengths([front, beside], VIEWS["front"])
    alone, _ = lengths([beside], VIEWS["front"])
    assert seen[1] == pytest.approx(alone[0])


def test_a_bar_seen_through_a_gap_is_cut_at_both_sides_of_the_gap() -> None:
    left, right = block("l", (0, 0, 0), (40, 5, 50)), block("r", (55, 0, 0), (100, 5, 50))
    bar = block("bar", (10, 20, 20), (90, 25, 30))
    seen, hidden = drawn_once(seen_and_hidden(shot_of([left, right, bar], VIEWS["front"])))
    mine = sorted((line.start, line.end) for line in seen if line.owner == 2)
    assert mine == [((40, 20), (55, 20)), ((40, 30), (55, 30))]
    behind = sorted((line.start, line.end) for line in hidden if line.owner == 2)
    assert ((10, 20), (10, 30)) in behind and ((10, 20), (40, 20)) in behind
    assert ((55, 30), (90, 30)) in behind


@pytest.mark.parametrize("name", VARIANTS)
@pytest.mark.parametrize("view", list(VIEWS))
def test_visible_and_hidden_together_are_every_edge(name: str, view: str) -> None:
    boards = design(load_variant(name).parameters).box.boards
    shot = shot_of([board_body(b) for b in boards.values()], VIEWS[view])
    seen, hidden = (by_owner(found) for found in seen_and_hidden(shot))
    for i, body in enumerate(shot.scene.bodies):
        flat = body.points @ VIEWS[view].matrix.T
        whole = sum(float(np.linalg.norm((flat[a] - flat[b])[:2])) for a, b, _, _ in body.edges)
        assert seen.get(i, 0.0) + hidden.get(i, 0.0) == pytest.approx(whole, abs=0.2), body.name


def test_every_stretch_is_drawn_once_and_nothing_hidden_lies_under_a_visible_line() -> None:
    for view in ("front", "corner"):
        shot = shot_of(
            [
                board_body(b)
                for b in design(load_variant("gate-pair").parameters).box.boards.values()
            ],
            VIEWS[view],
        )
        lines = [line for found in drawn_once(seen_and_hidden(shot)) for line in found]
        a, b = np.array([line.start for line in lines]), np.array([line.end for line in lines])
        way = (b - a) / np.linalg.norm(b - a, axis=1)[:, None]
        for i in range(len(lines)):
            aside = np.abs(way[i, 0] * (a - a[i])[:, 1] - way[i, 1] * (a - a[i])[:, 0])
            turned = np.abs(way[i, 0] * way[:, 1] - way[i, 1] * way[:, 0])
            same = (aside < 1e-3) & (turned < 1e-6)
            low = np.minimum((a - a[i]) @ way[i], (b - a[i]) @ way[i])
            high = np.maximum((a - a[i]) @ way[i], (b - a[i]) @ way[i])
            shared = np.minimum(high, high[i]) - np.maximum(low, low[i])
            assert [k for k in np.flatnonzero(same & (shared > 0.03)) if k != i] == []


@settings(deadline=None, max_examples=tried(60))
@given(
    st.lists(
        st.tuples(*(st.integers(0, 40) for _ in range(3)), *(st.integers(1, 25) for _ in range(3))),
        min_size=2,
        max_size=6,
    ),
    st.floats(1, 89),
    st.floats(5, 85),
)
def test_points_sampled_on_edges_are_seen_where_the_lines_say_so(
    rows: list[tuple[int, ...]], turn: float, rise: float
) -> None:
    """March from sampled points of every edge to the eye: brute force, another way."""
    boxes = [(np.array(r[:3], float), np.array(r[:3], float) + r[3:]) for r in rows]
    view = from_above(turn, rise)
    shot = shot_of([block(str(i), tuple(a), tuple(b)) for i, (a, b) in enumerate(boxes)], view)
    toward = np.array(view.toward)
    turned = view.matrix
    for found, expected in zip(seen_and_hidden(shot), (False, True), strict=True):
        for start, end, owner in zip(found.starts, found.ends, found.owner, strict=True):
            middle = (start + end) / 2
            assert expected in _blocked(middle, owner, boxes, toward, turned, start, end)


def _blocked(
    middle: np.ndarray,
    owner: int,
    boxes: list[tuple[np.ndarray, np.ndarray]],
    toward: np.ndarray,
    turned: np.ndarray,
    start: np.ndarray,
    end: np.ndarray,
) -> set[bool]:
    """Whether rays from the edge points drawn at ``middle`` to the eye enter a box.

    Two edges of one box may be drawn on one line: then there are two answers.
    """
    low, high = boxes[owner]
    corners = np.array([[(low, high)[i][0], (low, high)[j][1], (low, high)[k][2]]
                        for i in (0, 1) for j in (0, 1) for k in (0, 1)])  # fmt: skip
    best = []
    for a in corners:
        for b in corners:
            if (np.abs(a - b) > 0).sum() != 1:
                continue
            fa, fb = (turned @ a)[:2], (turned @ b)[:2]
            long = float(np.linalg.norm(fb - fa))
            t = float((middle - fa) @ (fb - fa)) / long**2
            off = float(np.linalg.norm(fa + t * (fb - fa) - middle))
            way = (end - start) / np.linalg.norm(end - start)
            aligned = abs(float(way[0] * (fb - fa)[1] - way[1] * (fb - fa)[0])) / long
            if off < 1e-6 and aligned < 1e-6 and -1e-9 <= t <= 1 + 1e-9:
                best.append(a + t * (b - a))
    answers = set()
    for point in best:
        with np.errstate(divide="ignore", invalid="ignore"):
            hit = False
            for a, b in boxes:
                t0, t1 = (a - point) / toward, (b - point) / toward
                near, far = np.minimum(t0, t1).max(), np.maximum(t0, t1).min()
                hit |= bool(far - max(near, 0.0) > 1e-6)
        answers.add(hit)
    return answers


def test_rims_are_circles_from_their_front_and_nothing_from_behind() -> None:
    rim = Rim((20.0, 0.0, 30.0), (0.0, -1.0, 0.0), 4.0)
    body = block("a", (0, 0, 0), (100, 10, 60), rim)
    (arc,) = seen_arcs(shot_of([body], VIEWS["front"]))
    assert arc.closed and arc.radius == 4.0 and arc.centre == (20.0, 30.0)
    assert seen_arcs(shot_of([body], VIEWS["back"])) == []
    (oval,) = seen_arcs(shot_of([body], VIEWS["corner"]))
    assert oval.closed and oval.radius is None
    spans = np.ptp(np.array(oval.points), axis=0)
    assert spans[0] == pytest.approx(8 * math.cos(math.radians(34)), rel=0.01)


def test_a_rim_half_behind_a_board_ends_where_the_board_does() -> None:
    rim = Rim((20.0, 10.0, 30.0), (0.0, -1.0, 0.0), 6.0)
    body = block("a", (0, 10, 0), (100, 20, 60), rim)
    cover = block("b", (17, 0, 0), (60, 5, 60))
    (arc,) = seen_arcs(shot_of([body, cover], VIEWS["front"]))
    assert not arc.closed and max(u for u, _ in arc.points) == pytest.approx(17.0, abs=1e-3)
    # the arc left of x = 17 of a circle about x = 20: twice acos(3 / 6)
    turned = [math.atan2(v - 30, u - 20) % (2 * math.pi) for u, v in arc.points]
    whole = sum(abs((b - a + math.pi) % (2 * math.pi) - math.pi) for a, b in pairwise(turned))
    assert whole == pytest.approx(2 * math.acos(0.5), abs=1e-3)
    strip = block("c", (17, 0, 0), (23, 5, 60))
    assert len(seen_arcs(shot_of([body, strip], VIEWS["front"]))) == 2
    hidden = block("d", (10, 0, 0), (60, 5, 60))
    assert seen_arcs(shot_of([body, hidden], VIEWS["front"])) == []


def test_a_trunk_is_drawn_by_its_outline_and_its_ends() -> None:
    trunk = obstacle_body(Obstacle("trunk", 50.0, 0.0, 300.0), 300.0, 50.0)
    seen, hidden = seen_and_hidden(shot_of([trunk], VIEWS["front"]))
    upright = [s for s, e in zip(seen.starts, seen.ends, strict=True) if abs(s[0] - e[0]) < 1e-9]
    # the sides' flats face the walls: 48 of them, one in the line of sight at each side
    assert sorted(u for u, _ in upright) == pytest.approx(
        [-50 * math.cos(math.pi / 48), 50 * math.cos(math.pi / 48)]
    )
    assert hidden.lengths.sum() == 0
    _, hidden = seen_and_hidden(shot_of([trunk], VIEWS["corner"]))
    # half of the lower end, an oval as high as its rise: its sagitta and its width bound it
    assert 100 < hidden.lengths.sum() < 100 + 2 * 50 * math.sin(math.radians(25))


def test_a_cut_keeps_what_lies_behind_the_plane() -> None:
    body = block("a", (0, 0, 0), (100, 10, 60))
    rest, ring = behind_plane(body, (1.0, 0.0, 0.0), 30.0)
    assert rest is not None and rest.points[:, 0].max() == pytest.approx(30.0)
    assert {(y, z) for _, y, z in ring} == {(0, 0), (10, 0), (10, 60), (0, 60)}
    flat = [(y, z) for _, y, z in ring]
    doubled = sum(a[0] * b[1] - a[1] * b[0] for a, b in zip(flat, flat[1:] + flat[:1], strict=True))
    assert doubled / 2 == pytest.approx(600.0)  # anticlockwise seen from where the normal points
    assert len(rest.edges) == 12 and len(rest.faces) == 6
    assert behind_plane(body, (1.0, 0.0, 0.0), 100.0) == (body, [])
    assert behind_plane(body, (1.0, 0.0, 0.0), 0.0) == (None, [])


def test_views_name_every_board_once_and_side_is_right() -> None:
    one = design(Parameters(), "box")
    assert view_figure(one, "side") == view_figure(one, "right")
    with pytest.raises(KeyError):
        view_figure(one, "inside")
    for name in VIEWS:
        figure = view_figure(one, name)
        assert {s.board for s in figure.strokes} <= set(one.box.boards)
        assert view_figure(design(Parameters(), "box"), name) == figure


def test_an_outline_keeps_corners_that_rounding_sets_beside_their_upright() -> None:
    """Upright edges of a slanted board: corners one above the other but for the last digit."""
    jitter = [0.0, -6e-14, 5e-14, -3e-14]
    points = [(85.8 + j, v) for j, v in zip(jitter, (236.0, 305.8, 236.5, 306.4), strict=True)]
    points += [
        (-85.8 - j, v - 120.6) for j, v in zip(jitter, (236.0, 305.8, 236.5, 306.4), strict=True)
    ]
    body = Body("b", np.array([(u, 0.0, v) for u, v in points]), ((0, 1, 2),))
    outline = shot_of([body], VIEWS["front"]).outlines[0]
    assert sorted(round(v, 6) for _, v in outline) == [115.4, 185.8, 236.0, 306.4]


def test_a_stretch_goes_to_the_first_set_that_has_it() -> None:
    def on_a_line(low: float, high: float) -> Segments:
        way = np.array((0.6, 0.8))
        return Segments(np.array([low * way]), np.array([high * way]), np.array([0]))

    sets = [on_a_line(0, 10), on_a_line(40, 5), on_a_line(-5, 60)]
    found = [
        sorted((math.hypot(*line.start), math.hypot(*line.end)) for line in lines)
        for lines in drawn_once(sets)
    ]
    assert found == [
        [pytest.approx((0, 10))],
        [pytest.approx((10, 40))],
        [pytest.approx((5, 0)), pytest.approx((40, 60))],
    ]


def test_two_marks_on_one_board_stand_apart() -> None:
    board = block("a", (0, 0, 0), (400, 10, 60))
    shot = shot_of([board], VIEWS["front"])
    seen, _ = drawn_once(seen_and_hidden(shot))
    strokes = [Stroke("visible", (line.start, line.end)) for line in seen]
    first, second = part_labels(shot, strokes, {"A": ["a"], "B": ["a"]})
    assert math.dist(first.at, second.at) >= 2 * RING * 400
    assert first.tip is None and second.tip is None and first.ringed


def test_a_mark_that_finds_no_room_stands_beside_with_a_leader() -> None:
    thin, wide = block("a", (0, 0, 0), (400, 10, 5)), block("b", (0, 0, 100), (400, 10, 300))
    shot = shot_of([thin, wide], VIEWS["front"])
    seen, _ = drawn_once(seen_and_hidden(shot))
    strokes = [Stroke("visible", (line.start, line.end)) for line in seen]
    inside, beside = part_labels(shot, strokes, {"B": ["b"], "A": ["a"], "none": []})
    assert inside.tip is None and inside.text == "B"
    assert beside.tip is not None and 0 < beside.tip[1] < 5
    assert not 0 <= beside.at[0] <= 400
