"""Views against other engines: the kernel's hidden lines, the silhouettes of its meshes."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse.csgraph import connected_components

from case_lists import KINDS, mostly_thorough, tried
from kernel_lines import kernel_lines, length_of, placed_shapes
from palewright.design import Design
from palewright.geometry.polygons import area
from palewright.reading.errors import InputError
from palewright.solids.kernel_solids import Solids
from palewright.solids.surfaces import Surfaces
from palewright_drawings.figures.views import view_figure
from palewright_drawings.paper.figure import Figure
from palewright_drawings.projection.convex_bodies import board_body
from palewright_drawings.projection.hidden_lines import seen_and_hidden
from palewright_drawings.projection.painters_order import painting_order, seen_pieces
from palewright_drawings.projection.projected_bodies import Projected
from palewright_drawings.projection.projections import VIEWS, Projection, from_above
from palewright_drawings.projection.scene_drawing import shot_of
from shipped_designs import shipped

VARIANTS = mostly_thorough(["gate-pair", *KINDS], "stoop-tub", "bean-tower", "winter-tub")


def shot(one: Design, view: Projection) -> Projected:
    return shot_of([board_body(board) for board in one.box.boards.values()], view)


def silhouette(one: Design, view: Projection) -> float:
    """Area (mm²) of the shadow of the kernel's meshes, by shapely.

    Holes are left out of the meshes: a screw fills each.
    """
    surfaces = Surfaces(
        Solids({name: board.with_holes(()) for name, board in one.box.boards.items()})
    )
    shadows = []
    for name, board in one.box.boards.items():
        surface = surfaces.placed(name)
        flat = (surface.vertices @ view.matrix.T)[:, :2][surface.faces]
        way = flat - flat[:, :1]
        doubled = way[:, 1, 0] * way[:, 2, 1] - way[:, 1, 1] * way[:, 2, 0]
        seen = [shapely.Polygon(corners) for corners in flat[doubled > 1e-6]]
        shadows.append(shapely.union_all(seen, grid_size=1e-5))
        assert shadows[-1].area > 0, board.name
    return float(shapely.union_all(shadows, grid_size=1e-5).area)


def painted(figure: Figure) -> float:
    """Area (mm²) that a figure's fills cover."""
    rings = [shapely.Polygon(fill.ring) for fill in figure.fills]
    return float(shapely.union_all(rings).area)


@pytest.mark.parametrize("name", VARIANTS)
def test_the_kernel_sees_the_same_lengths_of_every_board_from_a_corner(name: str) -> None:
    one = shipped(name)
    plain = {key: board.with_holes(()) for key, board in one.box.boards.items()}
    for view in (VIEWS["corner"], from_above(146, 31), from_above(205, -20)):
        mine = seen_and_hidden(shot_of([board_body(b) for b in plain.values()], view))
        kernel = kernel_lines(placed_shapes(Solids(plain)), view)
        for i, board in enumerate(plain):
            for ours, theirs in zip(mine, kernel, strict=True):
                assert length_of(ours, i) == pytest.approx(length_of(theirs, i), abs=0.3), board


@pytest.mark.parametrize("name", VARIANTS)
@pytest.mark.parametrize(
    "view", mostly_thorough(["front", "right", "back", "left", "top"], "front", "left", "top")
)
def test_the_kernel_draws_the_same_square_views(name: str, view: str) -> None:
    """Boards share lines in square views, and the kernel gives each to one: compare the whole."""
    one = shipped(name)
    plain = {key: board.with_holes(()) for key, board in one.box.boards.items()}
    seen, _ = seen_and_hidden(shot_of([board_body(b) for b in plain.values()], VIEWS[view]))
    kernel, _ = kernel_lines(placed_shapes(Solids(plain)), VIEWS[view])
    assert length_of(seen) == pytest.approx(length_of(kernel), abs=0.5)


@pytest.mark.parametrize("view", list(VIEWS))
@pytest.mark.parametrize("name", ["stoop-tub", "bean-tower", "winter-tub", "porch-cube"])
def test_what_is_painted_is_the_silhouette_of_the_solids(name: str, view: str) -> None:
    one = shipped(name)
    assert painted(view_figure(one, view)) == pytest.approx(silhouette(one, VIEWS[view]), rel=1e-5)


@settings(deadline=None, max_examples=tried(8))
@given(
    width=st.integers(300, 900),
    depth=st.integers(300, 600),
    height=st.integers(280, 600),
    front=st.sampled_from(["slant", "cross", "double-cross", "upright-bars"]),
    turn=st.floats(0, 360),
    rise=st.floats(0, 90),
)
def test_silhouettes_of_boxes_of_any_size_from_anywhere(
    width: int, depth: int, height: int, front: str, turn: float, rise: float
) -> None:
    typed = {"box.width": f"{width} mm", "box.depth": f"{depth} mm", "box.height": f"{height} mm",
             "face.front": front}  # fmt: skip
    try:
        one = shipped("stoop-tub", *(f"{key}={value}" for key, value in typed.items()))
        boards = one.box.boards
    except InputError:
        return
    view = from_above(turn, rise)
    seen = shot_of([board_body(board) for board in boards.values()], view)
    visible = sum(
        area(piece) for face in np.flatnonzero(seen.facing) for piece in seen_pieces(seen, face)
    )
    assert visible == pytest.approx(silhouette(one, view), rel=2e-4)


@pytest.mark.parametrize("name", VARIANTS)
def test_painting_leaves_of_each_board_exactly_what_is_seen_of_it(name: str) -> None:
    """Paint with shapely, later fills over earlier ones, and compare each board's rest."""
    one = shipped(name)
    for view in ("front", "corner"):
        figure = view_figure(one, view)
        left: dict[str, shapely.Geometry] = {}
        over = shapely.Polygon()
        for fill in reversed(figure.fills):
            ring = shapely.Polygon(fill.ring)
            rest = ring.difference(over)
            left[fill.board] = left.get(fill.board, shapely.Polygon()).union(rest)
            over = over.union(ring)
        seen = shot(one, VIEWS[view])
        _, ring = painting_order(seen)
        # from the corner, the tower's cap lies over a side stave, that stave before an upright of
        # the trellis, and the upright before the cap
        assert len(ring) == (name == "bean-tower" and view == "corner")
        _, rings = connected_components(seen.before, connection="strong")
        assert all((rings == rings[body]).sum() > 2 for body in ring), "none but a ring's own"
        for i, body in enumerate(seen.scene.bodies):
            faces = np.flatnonzero(seen.facing & (seen.scene.face_owner == i))
            exact = sum(area(piece) for face in faces for piece in seen_pieces(seen, face))
            rest_area = left[body.name].area if body.name in left else 0.0
            assert rest_area == pytest.approx(exact, abs=1.0), (view, body.name)


def test_a_ring_of_boards_that_each_lie_before_the_next_is_painted_where_it_is_seen() -> None:
    """Three bars, each over the next and under the one before: no order paints them."""
    bars = []
    for k in range(3):
        turn = 2 * math.pi * k / 3
        along = np.array((math.cos(turn), math.sin(turn), 0.35))
        along /= np.linalg.norm(along)
        side = np.array((-math.sin(turn), math.cos(turn), 0.0))
        up = np.cross(along, side)
        middle = 30.0 * np.array((math.sin(turn), -math.cos(turn), 0.0))
        bars.append(
            [
                middle + 90 * a * along + 8 * b * side + 3 * c * up
                for c in (-1, 1)
                for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))
            ]
        )
    sides = [(k, (k + 1) % 4, (k + 1) % 4 + 4, k + 4) for k in range(4)]
    from palewright_drawings.projection.convex_bodies import Body
    from palewright_drawings.projection.painters_order import back_to_front

    bodies = [
        Body(str(i), np.array(points), ((3, 2, 1, 0), (4, 5, 6, 7), *sides))
        for i, points in enumerate(bars)
    ]
    seen = shot_of(bodies, VIEWS["top"])
    order, circle = painting_order(seen)
    assert len(order) + len(circle) == 3 and circle != []
    faces = list(back_to_front(seen))
    over = shapely.Polygon()
    for face, ring in reversed(faces):
        owner = int(seen.scene.face_owner[face])
        rest = shapely.Polygon(ring).difference(over)
        if rest.area > 1.0:
            at = rest.representative_point()
            front = [
                i
                for i, outline in enumerate(seen.outlines)
                if shapely.Polygon(outline).contains(at)
            ]
            assert max(front, key=lambda i: seen.depth(i, at.x, at.y)) == owner
        over = over.union(shapely.Polygon(ring))
    whole = shapely.union_all([shapely.Polygon(outline) for outline in seen.outlines])
    assert over.area == pytest.approx(whole.area, abs=0.1)


def test_a_board_with_holes_shows_the_same_circles_as_the_kernel_draws() -> None:
    one = shipped("stoop-tub")
    for name in ("front.stave-1", "front.stile-left", "cap.front"):
        board = one.box.boards[name]
        for view in (VIEWS["front"], VIEWS["back"], VIEWS["top"]):
            outer = [r.radius for r in _rims(one, name, view)]
            if not outer:
                continue
            kernel, _ = kernel_lines({name: one.solids.placed(name)}, view)
            plain, _ = kernel_lines(placed_shapes(Solids({name: board.with_holes(())})), view)
            drawn = length_of(kernel) - length_of(plain)
            # the kernel also draws the bore at the foot of each countersink
            least = sum(2 * math.pi * r for r in outer)
            inner = sum(
                math.pi * h.diameter for h in board.holes if h.sink > h.diameter and h.square
            )
            assert drawn == pytest.approx(least, rel=0.01) or drawn == pytest.approx(
                least + inner, rel=0.01
            )


def _rims(one: Design, name: str, view: Projection) -> list[object]:
    from palewright_drawings.projection.hidden_lines import seen_arcs

    arcs = seen_arcs(shot_of([board_body(one.box.boards[name])], view))
    assert all(arc.closed for arc in arcs)
    return [arc for arc in arcs if arc.radius is not None]
