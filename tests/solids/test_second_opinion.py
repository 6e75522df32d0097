"""The second opinion agrees with the quick check, and names whatever is broken on purpose."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from case_lists import mostly_thorough, thorough
from palewright.catalogue.lumber import LUMBER_CASES, LumberCase, piles_of
from palewright.construction.boards import Board, Hole, plus
from palewright.construction.box_layout import Box, lay_out
from palewright.construction.joints import Screw
from palewright.design import Design, design
from palewright.fit.cases import FitCase
from palewright.fit.checks.kernel_agreement import SolidOpinion, opinion_on, solid_opinion
from palewright.fit.findings import CODES
from palewright.fit.verdict import judge
from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import load_variant, parameters_from, shipped_variants
from palewright.solids.convex_prisms import NOTHING, Prism
from palewright.solids.kernel_solids import Solids, board_solid
from palewright.solids.surface_lines import SurfaceLines
from palewright.solids.surfaces import Surfaces, signed_volume
from palewright_drawings.cli.main import _code
from shipped_designs import shipped

STAVE, SLAT = "front.filler-2", "floor.slat-1"

CLASHING = {"panel": {"lip": "1/2 in", "setback": "0 in"}}
"""Side panels neither enter the lip nor clear the outer staves: boards run into each other."""

TILTED = {"face": {"front": "cross", "sides": "slant"}, "corner": {"style": "post"}}


@pytest.fixture(scope="module")
def plain() -> Design:
    return design(parameters_from({}, {}), "plain")


KNOWN: dict[object, Any] = {}
"""Shapes that were tessellated before, by what they are of."""


def solids_of(box: Box, **other: Board) -> Surfaces:
    """Surfaces of a box's solids, but for some that are built from other boards."""
    boards = dict(box.boards)
    for board in other.values():
        boards[board.name] = board
    surfaces = Surfaces(Solids(boards))
    for name, board in boards.items():
        if board.shape_key not in KNOWN:
            KNOWN[board.shape_key] = surfaces.own(name)
    surfaces._shapes = dict(KNOWN)
    return surfaces


def told(opinion: SolidOpinion) -> set[str]:
    """What kinds of disagreement were found; all are faults of the tool, and say so."""
    for finding in opinion.findings:
        assert finding.code == "PW801"
        assert finding.severity == "fault"
        assert "the tool's mistake" in finding.remedy
        assert finding.case == opinion.case
        assert any(name in finding.message for name in finding.boards) or "solids" in (
            finding.message
        )
    assert opinion.agrees == (not opinion.findings)
    return {finding.group.partition("/")[0] for finding in opinion.findings}


def named(opinion: SolidOpinion, what: str) -> set[str]:
    """The boards that one kind of disagreement names."""
    found = [f for f in opinion.findings if f.group.startswith(f"{what}/")]
    return {name for finding in found for name in finding.boards}


def moved(board: Board, *by: float) -> Board:
    place = replace(board.placement, origin=plus(board.placement.origin, (by[0], by[1], by[2])))
    return replace(board, placement=place)


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "winter-tub"))
def test_shipped_variants_agree_in_nominal_lumber(name: str) -> None:
    agrees_with_the_verdict(shipped(name), "nominal")


@pytest.mark.thorough
@pytest.mark.parametrize("case", [case for case in LUMBER_CASES if case != "nominal"])
@pytest.mark.parametrize("name", shipped_variants())
def test_shipped_variants_agree_in_other_lumber(name: str, case: LumberCase) -> None:
    agrees_with_the_verdict(shipped(name), case)


@pytest.mark.parametrize(
    ("said", "case"),
    [
        thorough((TILTED, "mixed")),
        (CLASHING, "thick"),
        thorough(({"panel": {"setback": "0 in"}}, "thin")),
        ({"screws": {"wall": "#8 x 2 in"}, "corner": {"style": "post"}}, "thin"),
        thorough(({"screws": {"wall": "#8 x 2 in"}, "corner": {"style": "post"}}, "mixed")),
        thorough(({"screws": {"wall": "#8 x 3/4 in"}, "floor": {"kind": "hung"}}, "thick")),
        ({"trellis": {"fit": True, "height": "12 in", "bars": 2}}, "thin"),
    ],
    ids=["tilted", "clashing", "no setback", "through", "through mixed", "short", "trellis"],
)
def test_sound_and_faulty_boxes_agree(said: dict[str, Any], case: LumberCase) -> None:
    """What does not fit is no disagreement: both must see it alike."""
    agrees_with_the_verdict(design(parameters_from(said, {}), "one"), case)


def test_a_screw_whose_point_ends_at_a_face_bores_nothing_beyond() -> None:
    """Thick boards of the gable are 3/4 in, as long as the screw: it just misses the next."""
    one = design(load_variant("market-gable", ("screws.wall=#8 x 3/4 in",)).parameters, "gable")
    assert "PW301" in {finding.code for finding in one.verdict.findings}
    agrees_with_the_verdict(one, "thick")


def agrees_with_the_verdict(one: Design, case: LumberCase) -> None:
    """Hold the second opinion to the verdict's own numbers in one lumber case."""
    opinion = solid_opinion(one.fit, one.surfaces, case)
    assert told(opinion) == set(), opinion.findings[0].message
    (result,) = (found for found in one.verdict.cases if found.case == case)
    assert opinion.case == case
    assert (opinion.clashes > 0) == (result.clashes > 0)
    assert opinion.seat_least == pytest.approx(result.seat_least, abs=1e-6)
    assert opinion.seat_greatest == pytest.approx(result.seat_greatest, abs=1e-6)
    piles = len(piles_of(case))
    assert opinion.holes == piles * sum(len(screw.stack) for screw in one.box.screws) > 50


def test_faulty_boxes_are_among_those_that_agree() -> None:
    """The cases above are what they claim to be."""
    clashing = judge(parameters_from(CLASHING, {}), ("thick",))
    assert clashing.cases[0].clashes > 0
    through = parameters_from({"screws": {"wall": "#8 x 2 in"}}, {})
    assert {"PW302"} & {f.code for f in judge(through, ("nominal",)).findings}


@pytest.mark.parametrize("axis", [0, 1, 2])
def test_a_solid_that_is_moved_by_a_tenth_is_found(plain: Design, axis: int) -> None:
    by = [0.0, 0.0, 0.0]
    by[axis] = 0.1
    surfaces = solids_of(plain.box, one=moved(plain.box.boards[STAVE], *by))
    opinion = opinion_on(plain.fit, surfaces)
    assert named(opinion, "another place") == {STAVE}
    assert STAVE in named(opinion, "another hole" if axis != 1 else "another line")
    assert told(opinion) <= {"another place", "another hole", "another line", "another clash"}


def test_a_solid_that_is_pressed_into_its_neighbour_shares_volume(plain: Design) -> None:
    box = plain.box
    opinion = opinion_on(plain.fit, solids_of(box, one=moved(box.boards[STAVE], 0.0, -0.1, 0.0)))
    (clash,) = [
        f for f in opinion.findings if f.group == f"another clash/front.rail-bottom/{STAVE}"
    ]
    rail, stave = box.boards["front.rail-bottom"], box.boards[STAVE]
    # the stave covers the rail over its own width; holes through both are in neither
    area = rail.width * stave.width
    assert 0.9 * 0.1 * area < clash.measured < 0.1 * area
    assert clash.limit == 0.0


@pytest.mark.parametrize("off", [0.5e-4, 3e-4])
def test_a_solid_in_another_place_is_measured(plain: Design, off: float) -> None:
    box = plain.box
    opinion = opinion_on(plain.fit, solids_of(box, one=moved(box.boards[SLAT], 0.0, off, 0.0)))
    found = [f for f in opinion.findings if f.boards == (SLAT,)]
    assert [f.measured for f in found] == (pytest.approx([off], rel=1e-3) if off > 1e-4 else [])


@pytest.mark.parametrize("share", [0.5e-6, 4e-6])
def test_a_solid_of_another_volume_is_measured(plain: Design, share: float) -> None:
    board = plain.box.boards[SLAT]
    wrong = replace(board, thickness=board.thickness * (1 + share))
    found = opinion_on(plain.fit, solids_of(plain.box, one=wrong)).findings
    assert [f.boards for f in found] == ([] if share < 1e-6 else [(SLAT,)])
    for finding in found:
        assert finding.unit == "mm3"
        assert finding.measured == pytest.approx(wrong.volume)
        assert finding.limit == pytest.approx(board.volume)


def test_a_swollen_board_is_found(plain: Design) -> None:
    """A stave a tenth thicker reaches into the lip."""
    side = plain.box.boards[plain.fit.seats[0].boards[1]]
    thick = replace(side, thickness=side.thickness + 0.1)
    opinion = opinion_on(plain.fit, solids_of(plain.box, one=thick))
    assert {"another size", "another place"} <= told(opinion)
    assert side.name in named(opinion, "another size") & named(opinion, "another place")
    # thicker away from the datum: the panel's inner face comes nearer the middle of the box
    lips = [f for f in opinion.findings if f.group.startswith("lip/") and side.name in f.boards]
    assert [f.limit - f.measured for f in lips] == pytest.approx([0.1] * len(lips), abs=1e-6)
    assert lips


def dropped(holes: tuple[Hole, ...]) -> tuple[Hole, ...]:
    return holes[1:]


def narrowed(holes: tuple[Hole, ...]) -> tuple[Hole, ...]:
    return (replace(holes[0], diameter=holes[0].diameter - 0.1), *holes[1:])


def widened(holes: tuple[Hole, ...]) -> tuple[Hole, ...]:
    return (replace(holes[0], diameter=holes[0].diameter + 0.1), *holes[1:])


def shifted(holes: tuple[Hole, ...]) -> tuple[Hole, ...]:
    x, y, z = holes[0].start
    return (replace(holes[0], start=(x + 0.1, y, z)), *holes[1:])


def shallow(holes: tuple[Hole, ...]) -> tuple[Hole, ...]:
    hole = next(hole for hole in holes if not hole.through)
    return tuple(replace(h, depth=h.depth - 0.1) if h is hole else h for h in holes)


def deep(holes: tuple[Hole, ...]) -> tuple[Hole, ...]:
    hole = next(hole for hole in holes if not hole.through)
    return tuple(replace(h, depth=h.depth + 0.1) if h is hole else h for h in holes)


def unsunk(holes: tuple[Hole, ...]) -> tuple[Hole, ...]:
    hole = next(hole for hole in holes if hole.sink)
    return tuple(replace(h, sink=0.0) if h is hole else h for h in holes)


@pytest.mark.parametrize(
    "change",
    mostly_thorough(
        [dropped, narrowed, widened, shifted, shallow, deep, unsunk], narrowed, shallow
    ),
)
def test_a_hole_that_is_not_drilled_as_its_screw_asks_is_found(
    plain: Design, change: Callable[[tuple[Hole, ...]], tuple[Hole, ...]]
) -> None:
    """It is found on the surface by itself, with no look at the volume."""
    board = next(
        board
        for board in plain.box.boards.values()
        if any(not hole.through for hole in board.holes) and any(hole.sink for hole in board.holes)
    )
    other = board.with_holes(change(board.holes))
    opinion = opinion_on(plain.fit, solids_of(plain.box, one=other))
    assert named(opinion, "another hole") == {board.name}
    assert told(opinion) <= {"another hole", "another size"}


def test_all_that_is_wrong_in_one_board_is_one_finding_with_a_count(plain: Design) -> None:
    board = plain.box.boards[STAVE]
    opinion = opinion_on(plain.fit, solids_of(plain.box, one=board.with_holes(())))
    (found,) = [f for f in opinion.findings if f.group == f"another hole/{STAVE}"]
    assert found.message.endswith(f"{len(board.holes) - 1} more like it")


def with_screw(box: Box, change: Callable[[Screw], Screw]) -> Box:
    """A box whose first screw is another, without a change of its boards' holes."""
    return replace(box, screws=(change(box.screws[0]), *box.screws[1:]))


@pytest.mark.parametrize("by", [(0.1, 0.0, 0.0), (0.0, 0.0, 0.1)])
def test_a_shifted_screw_is_found_in_every_board_of_its_stack(
    plain: Design, by: tuple[float, float, float]
) -> None:
    box = with_screw(plain.box, lambda screw: replace(screw, head=plus(screw.head, by)))
    assert abs(np.dot(by, box.screws[0].axis)) < 1e-9
    opinion = opinion_on(FitCase(box, "nominal"), plain.surfaces)
    assert told(opinion) == {"another hole"}
    assert named(opinion, "another hole") == set(box.screws[0].stack)


def test_a_screw_that_meets_its_boards_in_another_order_is_found(plain: Design) -> None:
    box = with_screw(plain.box, lambda screw: replace(screw, stack=screw.stack[::-1]))
    opinion = opinion_on(FitCase(box, "nominal"), plain.surfaces)
    assert named(opinion, "another order") == set(box.screws[0].stack)


@pytest.mark.parametrize("how", ["later", "missed", "stray"])
def test_a_line_that_the_check_sees_otherwise_is_found(plain: Design, how: str) -> None:
    fit = FitCase(plain.box, "nominal")
    spans, screw = fit.spans, plain.box.screws[0]
    b = spans.index[screw.stack[0]]
    if how == "later":
        spans.leave[0, b] += 0.1
    elif how == "missed":
        spans.enter[0, b], spans.leave[0, b] = np.inf, -np.inf
    else:
        b = spans.index[SLAT]
        spans.enter[0, b], spans.leave[0, b] = 1.0, 2.0
    opinion = opinion_on(fit, plain.surfaces)
    assert named(opinion, "another line") == {spans.names[b]}
    (found,) = [f for f in opinion.findings if f.group.startswith("another line/")]
    assert screw.name in found.message
    assert ("misses" in found.message) == (how in ("missed", "stray"))


def test_a_clash_that_the_check_overlooks_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    clashing = design(parameters_from(CLASHING, {}), "clashing")
    seen = solid_opinion(clashing.fit, clashing.surfaces)
    assert seen.clashes > 0
    monkeypatch.setattr(Prism, "overlap", lambda self, other: NOTHING)
    opinion = opinion_on(FitCase(clashing.box, "nominal"), clashing.surfaces)
    assert told(opinion) == {"another clash"}
    assert len(opinion.findings) == opinion.clashes == seen.clashes


def test_a_clash_that_only_the_check_sees_is_found(plain: Design) -> None:
    """The quick check has a stave where no solid is."""
    pressed = moved(plain.box.boards[STAVE], 0.0, -1.0, 0.0)
    box = replace(plain.box, boards={**plain.box.boards, STAVE: pressed})
    opinion = opinion_on(FitCase(box, "nominal"), plain.surfaces)
    assert STAVE in named(opinion, "another clash")
    assert opinion.clashes == 0


@pytest.mark.parametrize("what", ["frame", "lip", "setback"])
def test_a_clearance_that_the_check_sees_otherwise_is_found(plain: Design, what: str) -> None:
    fit = FitCase(plain.box, "nominal")
    first, *rest = fit.seats
    fit.__dict__["seats"] = [replace(first, **{what: getattr(first, what) + 0.01}), *rest]
    opinion = opinion_on(fit, plain.surfaces)
    assert told(opinion) == {what}
    (found,) = opinion.findings
    assert found.limit - found.measured == pytest.approx(0.01, abs=1e-9)
    assert first.corner in found.message


def test_a_surface_with_a_gap_is_found(plain: Design) -> None:
    surfaces = solids_of(plain.box)
    whole = surfaces.own(SLAT)
    torn = trimesh.Trimesh(whole.vertices, whole.faces[1:], process=False)
    surfaces._shapes[plain.box.boards[SLAT].shape_key] = torn
    assert "open" in told(opinion_on(plain.fit, surfaces))


def test_only_nominal_boxes_have_holes_until_they_are_asked_for() -> None:
    thick = lay_out(Parameters(), "thick")
    assert not any(board.holes for board in thick.boards.values())
    drilled = thick.with_holes()
    nominal = lay_out(Parameters())
    for name, board in nominal.boards.items():
        kinds = [(hole.kind, hole.diameter, hole.screw) for hole in board.holes]
        assert kinds == [(h.kind, h.diameter, h.screw) for h in drilled.boards[name].holes]
    assert nominal.with_holes() == nominal


def test_a_surface_is_closed_in_place_and_built_once_a_shape(plain: Design) -> None:
    own = {id(plain.surfaces.own(name)) for name in plain.box.boards}
    assert len(own) == plain.solids.shape_count < len(plain.box.boards)
    for name, board in plain.box.boards.items():
        surface = plain.surfaces.placed(name)
        assert surface.is_watertight and surface.is_winding_consistent
        corners = np.array(board.corners)
        assert surface.bounds == pytest.approx(np.array([corners.min(0), corners.max(0)]), abs=1e-9)
        # facets leave wood inside the circles of holes: a fiftieth of them at most
        solid = board_solid(board).Volume()
        holes = board.volume - solid
        assert -1e-6 * board.volume <= surface.volume - solid <= 0.03 * holes + 1e-6 * solid


def block(name: str, place: tuple[float, float, float], size: tuple[float, float, float]) -> Board:
    """A plain board that fills a box of some size from a place on."""
    base = next(iter(lay_out(Parameters()).boards.values()))
    x, y, z = size
    return replace(
        base, name=name, outline=((0.0, 0.0), (x, 0.0), (x, y), (0.0, y)), thickness=z, holes=(),
        placement=replace(base.placement, origin=place, grain=(1.0, 0.0, 0.0),
                          across=(0.0, 1.0, 0.0)),
    )  # fmt: skip


@given(
    st.tuples(*[st.floats(-30.0, 30.0)] * 3),
    st.tuples(*[st.floats(-2000.0, 2000.0)] * 3),
)
def test_what_two_blocks_share_is_the_product_of_their_common_spans(
    shift: tuple[float, float, float], far: tuple[float, float, float]
) -> None:
    """Also far from the origin, where single precision is a tenth of a micrometre."""
    size = (20.0, 30.0, 10.0)
    second = (far[0] + shift[0], far[1] + shift[1], far[2] + shift[2])
    boards = {"a": block("a", far, size), "b": block("b", second, size)}
    spans = [max(0.0, s - abs(d)) for s, d in zip(size, shift, strict=True)]
    shared = Surfaces(Solids(boards)).shared_volume("a", "b")
    assert shared == pytest.approx(math.prod(spans), abs=0.02)


def test_faces_that_only_touch_share_nothing_however_far_away() -> None:
    far = (1111.1, -2222.2, 3333.3)
    on = (far[0], far[1], far[2] + 15.875)
    wide = (1800.0, 140.0, 15.875)
    boards = {"a": block("a", far, wide), "b": block("b", on, wide)}
    assert abs(Surfaces(Solids(boards)).shared_volume("a", "b")) < 1e-3


def test_the_volume_of_triangles_is_that_of_the_body_they_close() -> None:
    box = trimesh.creation.box(extents=(2.0, 3.0, 4.0))
    assert signed_volume(box.triangles) == pytest.approx(24.0)
    assert signed_volume(box.triangles[:, ::-1]) == pytest.approx(-24.0)
    assert signed_volume(np.zeros((0, 3, 3))) == 0.0


def test_lines_and_bores_are_read_off_a_bored_block() -> None:
    """Two screws through a block of 60 x 40 x 15: one bored 4 mm through, one 3 mm and 9 deep."""
    bored = block("a", (100.0, 0.0, 0.0), (60.0, 40.0, 15.0)).with_holes(
        [
            Hole("clearance", (20.0, 20.0, 0.0), (0.0, 0.0, 1.0), 4.0, 15.0, True, 8.0),
            Hole("pilot", (45.0, 20.0, 15.0), (0.0, 0.0, -1.0), 3.0, 9.0, False),
        ]
    )
    kind = lay_out(Parameters()).screws[0].kind
    screws = tuple(
        Screw(name, replace(kind, length=length), "wall", head, axis, ("a",))
        for name, length, head, axis in (
            ("through", 25.0, (120.0, 20.0, -2.0), (0.0, 0.0, 1.0)),
            ("blind", 14.0, (145.0, 20.0, 20.0), (0.0, 0.0, -1.0)),
            ("beside", 25.0, (90.0, 20.0, 5.0), (0.0, 0.0, 1.0)),
            ("along", 25.0, (90.0, 20.0, 5.0), (1.0, 0.0, 0.0)),
        )
    )
    lines = SurfaceLines(Surfaces(Solids({"a": bored})), screws)
    normals, reaches = lines.hull("a")
    planes = {
        (*np.round(n).astype(int).tolist(), round(r, 9))
        for n, r in zip(normals, reaches, strict=True)
    }
    assert planes == {
        (-1, 0, 0, -100.0), (1, 0, 0, 160.0), (0, -1, 0, 0.0), (0, 1, 0, 40.0), (0, 0, -1, 0.0),
        (0, 0, 1, 15.0),
    }  # fmt: skip
    begin, end = lines.spans("a", 0.0)
    assert [begin[0], end[0]] == pytest.approx([2.0, 17.0])
    assert [begin[1], end[1]] == pytest.approx([5.0, 14.0])
    assert end[2] < begin[2]
    assert [begin[3], end[3]] == pytest.approx([10.0, 25.0])
    wide, narrow = lines.bore("a", 0, 2.0, (2.0, 17.0)), lines.bore("a", 1, 1.5, (5.0, 14.0))
    # a countersink of 82 degrees from 8 to 4 mm is 2 / tan 41 deep
    assert [wide.free, wide.first, wide.last] == pytest.approx(
        [2.0, 2.0 + 2.0 / math.tan(math.radians(41.0)), 17.0]
    )
    assert [narrow.free, narrow.first, narrow.last] == pytest.approx([1.5, 5.0, 14.0])
    sunk = lines.bore("a", 0, 4.0, (2.0, 17.0))
    assert sunk.first == pytest.approx(2.0)
    assert lines.bore("a", 0, 3.3, (2.0, 17.0)).first == math.inf


def undrilled(board: Board) -> Any:
    return board_solid(board.with_holes(()))


@pytest.mark.thorough
def test_check_tells_the_second_opinion_of_all_lumber(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert _code(["check", "winter-tub-small", "--json"]) == 0
    quick = json.loads(capsys.readouterr().out)
    assert "solids" not in quick
    assert _code(["check", "winter-tub-small", "--solids", "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert [row["case"] for row in said["solids"]] == list(LUMBER_CASES)
    for row, case in zip(said["solids"], said["lumber"], strict=True):
        assert row["agrees"] is True
        assert row["clashes"] == case["clashes"] == 0
        assert row["seat_clearance_mm"] == case["seat_clearance_mm"]
        assert row["holes"] > 0
    assert {key: said[key] for key in quick} == quick


def test_a_disagreement_is_told_as_our_mistake_and_nothing_is_written(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert "our mistake" in CODES["PW801"].title
    monkeypatch.setattr("palewright.solids.kernel_solids.board_solid", undrilled)
    assert _code(["check", "winter-tub-small", "--solids"]) == 1
    told_text = capsys.readouterr().out
    assert told_text.count("does not agree with the check") == len(LUMBER_CASES)
    assert "fault PW801" in told_text
    assert _code(["check", "winter-tub-small", "--solids", "--json"]) == 1
    said = json.loads(capsys.readouterr().out)
    assert said["passed"] is False
    found = [f for f in said["findings"] if f["code"] == "PW801"]
    # holes are missing, and with them volume: one finding of each for a board, not one a case
    assert len(found) == len({(tuple(f["boards"]), f["unit"]) for f in found})
    assert _code(["build", "winter-tub-small", "--only", "stl", "--out", str(tmp_path)]) == 1
    assert "PW801" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_solids_are_of_one_box() -> None:
    assert _code(["check", "winter-tub-small", "--solids", "--lumber", "cedar,fence-58"]) == 2
