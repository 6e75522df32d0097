"""Boxes against hand-written closed forms: volumes, centres of mass, sizes, symmetry."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from case_lists import mostly_thorough
from kernel_volumes import volumes_of
from palewright.catalogue.lumber import LUMBER_CASES, LumberCase
from palewright.construction.boards import Board, Hole
from palewright.construction.box_layout import Box, lay_out
from palewright.construction.corners import CORNERS
from palewright.construction.derived_sizes import sizes_of
from palewright.design import design
from palewright.fit.seats import seats_of
from palewright.geometry.polygons import centroid
from palewright.parameters.variant_files import parameters_from
from palewright.reading.errors import InputError
from palewright.reading.lengths import INCH
from palewright.sawing.cut_parts import cut_parts
from palewright.solids.kernel_solids import Solids

SINK_ANGLE = 82.0
"""Degrees between the sides of a countersink for inch screws: common practice, no source."""

Said = dict[str, Any]
BARE: Said = {"cap": {"style": "none"}, "floor": {"kind": "none"}}

VARIANTS: dict[str, Said] = {
    "default": {},
    "bare": BARE,
    "butt cap": {"cap": {"style": "butt"}},
    "oblong": {"box": {"width": "30 in", "depth": "14 in", "height": "12 in"}},
    "cross": {"box": {"width": "24 in", "depth": "20 in"}, "face": {"front": "cross"}},
    "double cross": {"box": {"height": "30 in"}, "face": {"front": "double-cross"}},
    "slant": {"face": {"front": "slant"}},
    "peak": {"face": {"front": "peak"}},
    "bars": {"face": {"front": "upright-bars", "sides": "level-bars"}},
    "posts": {"corner": {"style": "post"}, "box": {"width": "24 in"}},
    "hung": {"floor": {"kind": "hung"}},
    "metric": {"lumber": {"board": "fence-16-metric", "post": "batten-38-metric"}},
    "tree": {
        "box": {"kind": "tree", "width": "26 in", "depth": "26 in"},
        "floor": {"kind": "none"},
    },
    "trellis": {"box": {"width": "24 in"}, "trellis": {"fit": True}},
}


def box_of(name: str, case: LumberCase = "nominal") -> Box:
    """The box of a variant above."""
    return lay_out(parameters_from(VARIANTS[name], {}), case)


def total(box: Box, *roles: str) -> float:
    """Volume of all boards of some roles, in³."""
    return sum(b.volume for b in box.boards.values() if b.role in roles) / INCH**3


def test_volumes_of_the_default_box_worked_by_hand() -> None:
    """20 in square, 15 in high, of 5/8 in, walls without gaps: all in cubic inches."""
    box, t = lay_out(parameters_from({"wall": {"gap": "0 in"}}, {})), 5 / 8
    top, foot, lip, setback = 15 - t, 1.5, 1.375 + 1 / 16, 1 / 16
    side = 20 - 2 * t
    assert total(box, "stile") == pytest.approx(4 * top * t * (3.25 + (3.25 - t)))
    assert total(box, "rail") == pytest.approx(4 * 3 * t * ((20 - 6.5) + (side - 2 * (3.25 - t))))
    wall = (top - foot) * t
    assert total(box, "stave", "filler") == pytest.approx(
        2 * wall * (20 - 2 * lip) + 2 * wall * (side - 2 * setback)
    )
    # a mitred frame 21-1/2 in square of 3-1/2 in: outer square less inner square
    assert total(box, "cap") == pytest.approx((21.5**2 - 14.5**2) * t)
    inside_wide, inside_deep = 20 - 4 * 11 / 16, side - 2 * 11 / 16
    assert total(box, "cleat") == pytest.approx(2 * (inside_wide - 1 / 8) * 1.5 * t)
    slats = math.ceil((inside_wide - 1 / 8 + 1 / 4) / (5.375 + 1 / 4))
    laid = inside_wide - 1 / 8 - (slats - 1) / 4
    assert total(box, "slat") == pytest.approx((inside_deep - 1 / 8) * laid * t)
    roles = {b.role for b in box.boards.values()}
    assert roles <= {"stile", "rail", "stave", "filler", "cap", "cleat", "slat"}


@pytest.mark.parametrize("style", ["mitre", "butt"])
@pytest.mark.parametrize("overhang", ["0 in", "3/4 in", "2 in"])
def test_a_cap_is_a_ring(style: str, overhang: str) -> None:
    said = {"cap": {"style": style, "overhang": overhang}, "box": {"width": "30 in"}}
    box = lay_out(parameters_from(said, {}))
    over = {"0 in": 0.0, "3/4 in": 0.75, "2 in": 2.0}[overhang]
    outer, inner = (30 + 2 * over, 20 + 2 * over), (30 + 2 * over - 7, 20 + 2 * over - 7)
    ring = (outer[0] * outer[1] - inner[0] * inner[1]) * 5 / 8
    assert total(box, "cap") == pytest.approx(ring)
    if style == "mitre":
        for board in box.boards.values():
            if board.role == "cap":
                assert board.end_angles == pytest.approx((45.0, 45.0))
                assert board.edge_lengths[0] - board.edge_lengths[1] == pytest.approx(7 * INCH)


def test_braces_of_a_cross_worked_by_hand() -> None:
    """Two braces of b on an opening W wide, less the rhombus they share: b² / sin 2θ."""
    box = box_of("cross")
    top, b, t = 15 - 5 / 8, 2.0, 5 / 8
    expected = 0.0
    for opening in (24 - 6.5, 20 - 2 * t - 2 * (3.25 - t)):
        height = top - 1.5 - 6
        low, high = 0.0, math.pi / 2 - 1e-12
        for _ in range(200):  # halving: W tan θ + b / cos θ grows with θ
            mid = (low + high) / 2
            if opening * math.tan(mid) + b / math.cos(mid) < height:
                low = mid
            else:
                high = mid
        expected += 2 * t * (2 * opening * b / math.cos(low) - b * b / math.sin(2 * low))
    assert total(box, "brace") == pytest.approx(expected, rel=1e-9)


def centre_of(board: Board) -> np.ndarray:
    """Centre of mass of a board without holes, in the box."""
    x, y = centroid(board.outline)
    return np.array(board.placement.out(x, y, board.thickness / 2))


def centre_of_box(box: Box) -> np.ndarray:
    """Centre of volume of all boards."""
    whole = sum(b.volume for b in box.boards.values())
    return sum(b.volume * centre_of(b) for b in box.boards.values()) / whole


SYMMETRIC = [n for n in VARIANTS if n not in ("slant", "trellis")]


@pytest.mark.parametrize("case", ["thin", "nominal", "thick"])
@pytest.mark.parametrize("name", SYMMETRIC)
def test_the_centre_of_mass_lies_on_the_axis(name: str, case: LumberCase) -> None:
    """A filler is in the middle only where the boards beside it are as many on either side."""
    box = box_of(name, case)
    x, y, z = centre_of_box(box)
    assert (x, y) == pytest.approx((0.0, 0.0), abs=1e-6)
    assert 0 < z < box.parameters.box.height


def test_the_height_of_the_centre_of_mass_worked_by_hand() -> None:
    box, t = lay_out(parameters_from(BARE | {"wall": {"gap": "0 in"}}, {})), 5 / 8
    side, lip, setback = 20 - 2 * t, 1.4375, 1 / 16
    stiles = 4 * 15 * t * (3.25 + 3.25 - t)
    rails = 2 * 3 * t * ((20 - 6.5) + (side - 2 * (3.25 - t)))  # at one height, all four panels
    staves = 2 * (15 - 1.5) * t * ((20 - 2 * lip) + (side - 2 * setback))
    moment = stiles * 7.5 + rails * ((1.5 + 1.5) + (15 - 1.5)) + staves * (1.5 + 15) / 2
    expected = moment / (stiles + 2 * rails + staves)
    assert centre_of_box(box)[2] / INCH == pytest.approx(expected)


@pytest.mark.parametrize("name", VARIANTS)
def test_kernel_centres_are_the_boards(name: str) -> None:
    boards = {n: b.with_holes(()) for n, b in box_of(name).boards.items()}
    solids = Solids(boards)
    for one in boards:
        shape = solids.placed(one)
        centre = type(shape).centerOfMass(shape)
        assert centre.toTuple() == pytest.approx(tuple(centre_of(boards[one])), abs=1e-4)


def taken_by(hole: Hole) -> float:
    """Wood that one hole takes: a cylinder, and the ring of a cone round it at its mouth."""
    r, head = hole.diameter / 2, hole.sink / 2
    bore = math.pi * r**2 * hole.depth
    if head <= r:
        return bore
    deep = (head - r) / math.tan(math.radians(SINK_ANGLE / 2))
    frustum = math.pi * deep / 3 * (head**2 + head * r + r**2)
    return bore + frustum - math.pi * r**2 * deep


def stands_free(hole: Hole, board: Board) -> bool:
    """Whether a hole is square to the face and clear of every edge and other hole."""
    r = max(hole.diameter, hole.sink) / 2
    if not hole.square:
        return False
    corners = board.outline
    for a, b in zip(corners, corners[1:] + corners[:1], strict=True):
        length = math.dist(a, b)
        room = (b[0] - a[0]) * (hole.start[1] - a[1]) - (b[1] - a[1]) * (hole.start[0] - a[0])
        if length > 1e-6 and room / length < r:
            return False
    return all(
        math.dist(hole.start[:2], other.start[:2]) > r + max(other.diameter, other.sink) / 2
        for other in board.holes
        if other is not hole
    )


@pytest.mark.parametrize("name", mostly_thorough(VARIANTS, "bars", "double cross", "tree"))
def test_kernel_volumes_with_holes_are_the_closed_form_board_by_board(name: str) -> None:
    box = box_of(name)
    volumes = volumes_of(Solids(box.boards))
    checked = 0
    for one, board in box.boards.items():
        if all(stands_free(hole, board) for hole in board.holes):
            expected = board.volume - sum(taken_by(hole) for hole in board.holes)
            assert volumes[one] == pytest.approx(expected, rel=1e-7), one
            checked += bool(board.holes)
        else:
            least = board.volume - sum(taken_by(hole) for hole in board.holes)
            assert least * (1 - 1e-7) <= volumes[one] <= board.volume
    assert checked >= 8


@pytest.mark.parametrize("name", ["default", "posts"])
def test_edge_holes_take_a_cylinder_from_the_stile(name: str) -> None:
    """Corner screws bore square into the side stile's edge: the bore lies inside the board."""
    box = box_of(name)
    found = 0
    for board in box.boards.values():
        edge_holes = tuple(hole for hole in board.holes if not hole.square)
        if board.role != "stile" or not edge_holes:
            continue
        only = board.with_holes(edge_holes)
        volume = volumes_of(Solids({board.name: only}))[board.name]
        assert volume == pytest.approx(only.volume - sum(map(taken_by, edge_holes)), rel=1e-6)
        found += 1
    assert found == (4 if name == "default" else 0)


def test_every_screw_has_its_holes_and_every_hole_its_screw() -> None:
    for name in VARIANTS:
        box = box_of(name)
        holes = [hole for board in box.boards.values() for hole in board.holes]
        assert {h.screw for h in holes} == {s.name for s in box.screws}
        for screw in box.screws:
            mine = [h for h in holes if h.screw == screw.name]
            assert len(mine) == len(screw.stack)
            assert sum(h.kind == "pilot" for h in mine) == 1
            assert sum(h.sink > 0 for h in mine) == 1
            assert sum(h.depth for h in mine) == pytest.approx(screw.kind.length, abs=1e-6)


def test_the_lip_takes_two_thickest_boards_and_the_setback_is_the_play() -> None:
    """Boards up to 11/16 in: 1-3/8 in (common practice, no source); one clearance is enough."""
    sizes = sizes_of(parameters_from({"panel": {"play": "0 in"}}, {}))
    assert sizes.board.thickest == pytest.approx(11 / 16 * INCH)
    assert sizes.lip == pytest.approx((1 + 3 / 8) * INCH)
    assert sizes.setback == 0.0
    with_play = sizes_of(parameters_from({"panel": {"play": "1/16 in"}}, {}))
    assert with_play.lip == pytest.approx((1 + 7 / 16) * INCH)
    assert with_play.setback == pytest.approx(INCH / 16)
    shallow = sizes_of(parameters_from({"panel": {"lip": "1 in"}}, {}))
    assert (shallow.lip, shallow.setback) == pytest.approx((INCH, 3 / 4 * INCH))
    own = sizes_of(parameters_from({"panel": {"lip": "2 in", "setback": "1 in"}}, {}))
    assert (own.lip, own.setback) == pytest.approx((2 * INCH, INCH))


@pytest.mark.parametrize("case", ["thin", "nominal", "thick"])
@pytest.mark.parametrize("stock", ["fence-58", "fence-34", "fence-16-metric", "one-by-6"])
def test_lip_and_setback_stand_on_the_boards(stock: str, case: LumberCase) -> None:
    parameters = parameters_from({"lumber": {"board": stock}, **BARE}, {})
    box, sizes = lay_out(parameters, case), sizes_of(parameters)
    for corner in CORNERS:
        stile, inner = box.boards[corner.outer_stile], box.boards[corner.inner_stile]
        outer_staves = [
            b for b in box.boards.values() if b.panel == corner.outer and "st" in b.role
        ]
        edge = max(abs(p[0]) for p in stile.corners)
        reach = max(abs(p[0]) for b in outer_staves if b.role != "stile" for p in b.corners)
        assert edge - reach == pytest.approx(sizes.lip)
        inner_staves = [
            b for b in box.boards.values()
            if b.panel == corner.inner and b.role in ("stave", "filler")
        ]  # fmt: skip
        end = max(abs(p[1]) for p in inner.corners)
        assert end - max(abs(p[1]) for b in inner_staves for p in b.corners) == pytest.approx(
            sizes.setback
        )
    t = {"thin": sizes.board.thinnest, "nominal": sizes.board.thickness,
         "thick": sizes.board.thickest}[case]  # fmt: skip
    for seat in seats_of(box.boards):
        assert seat.lip == pytest.approx(sizes.lip - 2 * t)
        assert seat.setback == pytest.approx(sizes.setback - t)


def test_a_seat_is_measured_at_the_last_stave_however_wide_the_stile() -> None:
    """Behind a wide stile other staves are nearer to its middle than the last, which seats."""
    said = {
        "box": {"width": "24 in"},
        "panel": {"stile_width": "8 in"},
        "wall": {"safe_rip": "1 in"},
    }
    box = lay_out(parameters_from(said | {"lumber": {"board": "one-by-2"}}, {}))
    for seat in seats_of(box.boards):
        for name in seat.boards[:2]:
            panel, _, number = name.partition(".")
            wall = [n for n in box.boards if n.startswith(panel) and n[-1].isdigit()]
            assert number.rpartition("-")[2] in ("1", str(len(wall)))
        # a lip of two boards of 25/32 in and 1/16 in of play, two boards of 3/4 in
        assert seat.lip == pytest.approx(INCH / 8)
        # the side's frame, one board thick, is a board of 3/4 in further from the staves
        assert seat.frame == pytest.approx(INCH * 7 / 8)
        assert seat.clearance == pytest.approx(INCH / 8)


@pytest.mark.parametrize("name", VARIANTS)
def test_stiles_look_equally_wide_round_every_corner(name: str) -> None:
    for seat in seats_of(box_of(name).boards):
        assert seat.side_stile == pytest.approx(seat.outer_stile)


@pytest.mark.parametrize("name", VARIANTS)
def test_cut_sizes_are_the_same_in_all_lumber(name: str) -> None:
    boxes = [box_of(name, case).boards for case in LUMBER_CASES]
    for other in boxes[1:]:
        assert list(other) == list(boxes[0])
        for board, same in zip(boxes[0].values(), other.values(), strict=True):
            # rounded to a hundredth: the box may lay the same outline a rounding elsewhere
            assert np.allclose(np.array(board.outline), np.array(same.outline), atol=1e-6)
            assert (board.role, board.panel, board.stock) == (same.role, same.panel, same.stock)


@pytest.mark.parametrize("name", VARIANTS)
def test_the_outside_is_as_large_as_was_asked(name: str) -> None:
    box = box_of(name)
    asked = box.parameters.box
    walls = [b for b in box.boards.values() if b.role in ("stile", "rail", "stave", "filler")]
    points = np.array([p for b in walls for p in b.corners])
    low, high = points.min(axis=0), points.max(axis=0)
    assert high[:2] - low[:2] == pytest.approx((asked.width, asked.depth))
    assert low[2] == pytest.approx(0.0)
    everything = np.array(
        [p for b in box.boards.values() if b.panel != "trellis" for p in b.corners]
    )
    assert everything[:, 2].max() == pytest.approx(asked.height)
    assert everything[:, 2].min() >= -1e-9
    if box.parameters.cap.style != "none":
        over = box.parameters.cap.overhang
        assert everything[:, 0].max() == pytest.approx(asked.width / 2 + over)
        assert everything[:, 1].min() == pytest.approx(-asked.depth / 2 - over)


@pytest.mark.parametrize("case", LUMBER_CASES)
@pytest.mark.parametrize("name", ["default", "cross", "bars"])
def test_the_width_is_as_asked_in_any_lumber(name: str, case: LumberCase) -> None:
    """The thickest frame board of each side is flush with the stiles' edges, none stands out."""
    box = box_of(name, case)
    for side, sign in (("left", -1), ("right", 1)):
        panel = [b for b in box.boards.values() if b.panel == side and b.role != "cleat"]
        reach = max(sign * p[0] for b in panel for p in b.corners)
        assert reach == pytest.approx(box.parameters.box.width / 2)
    stiles = [b for b in box.boards.values() if b.panel == "front" and b.role == "stile"]
    assert max(p[0] for b in stiles for p in b.corners) == pytest.approx(reach)


def footprint(board: Board, flip: tuple[int, int]) -> tuple[tuple[float, ...], ...]:
    """Corners of a board, mirrored, in an order of their own; half a step goes away from 0."""
    points = np.array(board.corners) * (*flip, 1)
    rounded = np.sign(points) * np.floor(np.abs(points) * 1e3 + 0.5 + 1e-6) / 1e3
    return tuple(sorted(tuple(float(x) + 0.0 for x in p) for p in rounded))


@pytest.mark.parametrize("flip", [(-1, 1), (1, -1)])
@pytest.mark.parametrize("name", ["default", "bare", "peak", "bars", "posts", "tree", "metric"])
def test_a_box_is_its_own_mirror_image(name: str, flip: tuple[int, int]) -> None:
    """Left to right and front to back; a wall of an even number of boards is not asked."""
    box = box_of(name)
    boards = [b for b in box.boards.values() if b.role not in ("stave", "filler")]
    plain = {footprint(b, (1, 1)) for b in boards if b.role != "cap"}
    assert {footprint(b, flip) for b in boards if b.role != "cap"} == plain
    if box.parameters.cap.style == "mitre":
        caps = [b for b in boards if b.role == "cap"]
        assert {footprint(b, flip) for b in caps} == {footprint(b, (1, 1)) for b in caps}


@pytest.mark.parametrize("name", ["slant", "cross", "default"])
def test_a_box_turned_half_round_is_the_same(name: str) -> None:
    """Front and back, left and right show the same face to whoever stands before them."""
    boards = [b for b in box_of(name).boards.values() if b.role in ("stile", "rail", "brace")]
    assert {footprint(b, (-1, -1)) for b in boards} == {footprint(b, (1, 1)) for b in boards}


@pytest.mark.parametrize("name", VARIANTS)
def test_parts_gather_every_board_once(name: str) -> None:
    box = box_of(name)
    parts = cut_parts(box.boards)
    assert sorted(n for part in parts for n in part.boards) == sorted(box.boards)
    assert len({part.mark for part in parts}) == len(parts)
    for part in parts:
        assert part.count == len(part.boards)
        for one in part.boards:
            board = box.boards[one]
            assert (board.length, board.width) == pytest.approx((part.length, part.width), abs=0.02)
            assert sorted(board.end_angles) == pytest.approx(
                sorted((*part.left_angles, *part.right_angles)), abs=0.05
            )


@pytest.mark.parametrize("name", VARIANTS)
def test_the_tree_of_a_design_names_every_board_once(name: str) -> None:
    whole = design(parameters_from(VARIANTS[name], {}), name)
    assert sorted(n for group in whole.tree.values() for n in group) == sorted(whole.box.boards)
    assert all(n.startswith(f"{panel}.") for panel, group in whole.tree.items() for n in group)
    assert whole.verdict is whole.verdict and whole.parts is whole.parts


@pytest.mark.parametrize("name", VARIANTS)
def test_every_board_is_put_in_place_once(name: str) -> None:
    box = box_of(name)
    placed: list[str] = []
    for step in box.steps:
        new = [n for n in step.boards if n not in placed]
        again = [n for n in step.boards if n in placed]
        assert not (new and again), step.text
        placed += new
    assert sorted(placed) == sorted(box.boards)
    assert box.steps[0].path == ()


@pytest.mark.parametrize(
    ("said", "key"),
    [
        ({"box": {"width": "6-1/4 in"}}, "box.width"),
        ({"box": {"depth": "6 in"}, "panel": {"stile_width": "4 in"}}, "box.depth"),
        ({"box": {"height": "8 in"}}, "box.height"),
        ({"panel": {"lip": "8 in"}, "box": {"width": "16 in"}}, "box.width"),
        ({"panel": {"setback": "8 in"}, "box": {"depth": "16 in"}}, "box.depth"),
        ({"panel": {"stile_width": "1 in"}, "lumber": {"board": "two-by-2"}}, "panel.stile_width"),
        ({"panel": {"stile_width": "10 in"}}, "box.width"),
        ({"cap": {"width": "11 in"}}, "cap.width"),
        ({"face": {"front": "star"}}, "face.front"),
        ({"face": {"sides": "star"}}, "face.sides"),
        ({"face": {"front": "slant", "brace_width": "8 in"}}, "face.brace_width"),
        ({"lumber": {"board": "oak"}}, "lumber.board"),
        ({"screws": {"wall": "nail"}}, "screws.wall"),
        ({"trellis": {"fit": True}, "box": {"height": "9 in"}}, "box.height"),
        ({"trellis": {"fit": True, "uprights": 9}}, "trellis.uprights"),
    ],
)
def test_a_box_that_cannot_be_is_refused_with_its_key(said: Said, key: str) -> None:
    with pytest.raises(InputError) as refused:
        lay_out(parameters_from(said, {}))
    assert refused.value.key == key
    assert any(word in refused.value.message for word in ("allowed", "write"))


def test_the_least_box_that_a_refusal_allows_is_built() -> None:
    for key, said in (
        ("width", {"box": {"width": "6-1/4 in"}}),
        ("depth", {"box": {"depth": "6 in"}}),
    ):
        with pytest.raises(InputError) as refused:
            lay_out(parameters_from(said | BARE, {}))
        allowed = refused.value.message.rpartition("(")[2].partition(")")[0]
        assert lay_out(parameters_from({"box": {key: allowed}} | BARE, {})).boards
