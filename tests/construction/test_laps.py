"""Staves that run over rails and stiles only in part: where they end, and what lies on them.

Every size is measured on the boards as they are laid out, and held against what was asked.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import assume, event, given
from hypothesis import strategies as st

from palewright.assembly.assembly_steps import assembly_steps
from palewright.assembly.step_facts import step_measures
from palewright.construction.boards import Board
from palewright.construction.box_layout import Box, lay_out
from palewright.construction.liners import liner_of, soil_bottom
from palewright.design import design
from palewright.fit.verdict import judge
from palewright.loads.box_loads import BoxLoads
from palewright.parameters.variant_files import load_variant, parameters_from
from palewright.reading.errors import InputError
from palewright.reading.lengths import INCH
from palewright_drawings.documents.plan.content import plan_content
from palewright_drawings.output.progress import Silent

Said = dict[str, Any]
LEAN: Said = {
    "box": {"width": "15 in", "depth": "14 in", "height": "14 in", "foot": "1 in"},
    "panel": {"stile_width": "2-1/4 in", "rail_width": "2 in", "side_rail_width": "1-1/2 in"},
    "wall": {"rail_lap": "1 in", "stile_lap": "1/2 in", "layout": "equal", "safe_rip": "1 in"},
    "screws": {"wall": "#6 x 1 in"},
}
"""A small tub whose staves lap its frame in part; its side rails are narrower than the front's."""


def with_(said: Said, **tables: Said) -> Said:
    """Settings with others laid over them, table by table."""
    return {name: said.get(name, {}) | tables.get(name, {}) for name in {*said, *tables}}


def boxed(said: Said) -> Box:
    """The box of some settings, in nominal lumber."""
    return lay_out(parameters_from(said, {}))


def reach(board: Board, axis: int) -> tuple[float, float]:
    """How far a board reaches along x, y or z."""
    places = [point[axis] for point in board.corners]
    return min(places), max(places)


def staves_of(box: Box, panel: str) -> list[Board]:
    """The staves of a panel."""
    return [b for b in box.boards.values() if b.panel == panel and b.role in ("stave", "filler")]


@pytest.mark.parametrize("panel", ["front", "back", "left", "right"])
def test_staves_lap_both_rails_and_both_stiles_by_what_is_asked(panel: str) -> None:
    box = boxed(LEAN)
    bottom, top = (box.boards[f"{panel}.rail-{end}"] for end in ("bottom", "top"))
    axis = 0 if panel in ("front", "back") else 1
    for stave in staves_of(box, panel):
        low, high = reach(stave, 2)
        assert reach(bottom, 2)[1] - low == pytest.approx(INCH)
        assert high - reach(top, 2)[0] == pytest.approx(INCH)
    outer = [abs(x) for stave in staves_of(box, panel) for x in reach(stave, axis)]
    for end in ("left", "right"):
        inner = min(abs(x) for x in reach(box.boards[f"{panel}.stile-{end}"], axis))
        assert max(outer) - inner == pytest.approx(INCH / 2)


def test_laps_as_wide_as_the_automatic_ones_lay_out_the_same_box() -> None:
    """A stile of 3-1/4 in less a lip of 1-7/16 in is lapped by 1-13/16 in; so is the side stile."""
    said = {"panel": {"stile_width": "3-1/4 in", "side_stile_width": "1-7/8 in"}}
    usual = boxed(said)
    asked = boxed(said | {"wall": {"rail_lap": "3 in", "stile_lap": "1-13/16 in"}})
    assert list(asked.boards) == list(usual.boards)
    for name, board in usual.boards.items():
        assert np.allclose(asked.boards[name].corners, board.corners, atol=1e-6)


@pytest.mark.parametrize(
    ("said", "key"),
    [
        ({"wall": {"rail_lap": "1-9/16 in"}}, "wall.rail_lap"),  # the side rails are 1-1/2 in
        ({"panel": {"lip": "1-1/2 in"}}, "wall.stile_lap"),
        ({"panel": {"setback": "1/16 in"}}, "wall.stile_lap"),
        # 2-1/4 in less two boards of 11/16 in and 1/16 in of play leave 13/16 in
        ({"wall": {"stile_lap": "27/32 in"}}, "wall.stile_lap"),
        ({"floor": {"kind": "hung"}}, "floor.kind"),
        # the side rails are free for 1/2 in, the front's for 1 in, and slats run front to back
        ({"floor": {"rise": "2-15/32 in"}}, "floor.rise"),
        ({"floor": {"rise": "11-1/2 in"}}, "floor.rise"),
    ],
)
def test_what_cannot_go_together_is_refused_in_one_line(said: Said, key: str) -> None:
    with pytest.raises(InputError) as refused:
        boxed(with_(LEAN, **said))
    assert refused.value.key == key
    assert "allowed" in refused.value.message and "\n" not in refused.value.message


def test_the_most_that_a_refusal_allows_is_built() -> None:
    boxed(with_(LEAN, wall={"rail_lap": "1-1/2 in", "stile_lap": "13/16 in"}))
    boxed(with_(LEAN, floor={"rise": "2-1/2 in"}))


@given(
    st.integers(4, 32), st.integers(4, 18), st.integers(8, 48), st.integers(24, 170),
    st.integers(12, 40), st.sampled_from(["filler", "equal"]), st.booleans(),
)  # fmt: skip
def test_cleats_lie_on_staves_and_every_screw_runs_through_its_boards(
    rail_lap: int, stile_lap: int, rail: int, rise: int, cleat: int, layout: str, wide: bool
) -> None:
    """Whatever is not refused: no cleat below or above the staves, each screw in all its boards."""
    said = with_(
        LEAN,
        box={"width": "18 in" if wide else "13 in"},
        panel={"rail_width": f"{rail}/16 in", "side_rail_width": "auto"},
        wall={
            "rail_lap": f"{rail_lap}/16 in", "stile_lap": f"{stile_lap}/16 in", "layout": layout
        },
        floor={"rise": f"{rise}/16 in", "cleat_width": f"{cleat}/16 in"},
    )  # fmt: skip
    try:
        box = boxed(said)
    except InputError as refused:
        event(refused.key)
        assume(False)
    event("built")
    for board in box.boards.values():
        if board.role == "cleat":
            low, high = reach(board, 2)
            ends = [reach(stave, 2) for stave in staves_of(box, board.panel)]
            assert all(below - 1e-6 <= low and high <= above + 1e-6 for below, above in ends)
    for screw in box.screws:
        at = screw.head
        for name in screw.stack:
            spans = [reach(box.boards[name], axis) for axis in range(3)]
            across = [i for i in range(3) if abs(screw.axis[i]) < 0.5]
            if box.boards[name].role != "brace":
                assert all(spans[i][0] < at[i] < spans[i][1] for i in across), (screw.name, name)


@pytest.mark.parametrize("width", ["1-1/2 in", "2 in", "3-1/8 in"])
@pytest.mark.parametrize("layout", ["filler", "equal"])
def test_no_stave_is_wider_than_asked_and_no_more_are_made_than_that_needs(
    width: str, layout: str
) -> None:
    box = boxed(with_(LEAN, wall={"stave_width": width, "layout": layout, "gap": "1/8 in"}))
    most = parameters_from({"wall": {"stave_width": width}}, {}).wall.stave_width
    assert most is not None
    for panel, axis in (("front", 0), ("left", 1)):
        staves = staves_of(box, panel)
        span = 2 * max(abs(x) for stave in staves for x in reach(stave, axis))
        assert all(stave.width <= most + 1e-6 for stave in staves)
        fewer = (span - (len(staves) - 2) * INCH / 8) / (len(staves) - 1)
        assert fewer > most  # one stave fewer would be too wide


def test_posts_are_screwed_where_stile_and_stave_lap() -> None:
    said = with_(
        LEAN, corner={"style": "post"}, panel={"stile_width": "2-3/4 in"},
        wall={"stile_lap": "1-1/8 in"},
    )  # fmt: skip
    box = boxed(said)
    posts = [screw for screw in box.screws if screw.use == "post"]
    assert len(posts) == 12
    for screw in posts:
        axis = 0 if abs(screw.axis[1]) > 0.5 else 1
        for name in screw.stack:
            low, high = reach(box.boards[name], axis)
            room = min(screw.head[axis] - low, high - screw.head[axis])
            assert room >= 2.5 * screw.kind.diameter - 1e-6, (screw.name, name)
            bottom, top = reach(box.boards[name], 2)
            end = min(screw.head[2] - bottom, top - screw.head[2])
            assert end >= 10 * screw.kind.diameter - 1e-6, (screw.name, name)
    faults = [f.code for f in judge(parameters_from(said, {})).findings if f.severity == "fault"]
    assert faults == []


def test_packers_of_a_trellis_lie_on_staves_alone() -> None:
    lapped = load_variant(
        "bean-tower", ("wall.rail_lap=1-1/4 in", "floor.rise=3-1/2 in")
    ).parameters
    box = lay_out(lapped)
    ends = [reach(stave, 2) for stave in staves_of(box, "back")]
    packers = [b for b in box.boards.values() if b.role == "packer"]
    assert packers
    for packer in packers:
        low, high = reach(packer, 2)
        assert max(a for a, _ in ends) <= low and high <= min(b for _, b in ends)
    assert judge(lapped).passed


def test_no_liner_and_no_soil_reach_above_the_staves() -> None:
    """Rails of 3 in lapped by 1 in: the staves end 2 in below the top, the liner with them."""
    said = {"wall": {"rail_lap": "1 in"}, "floor": {"rise": "3-1/2 in"}}
    parameters = parameters_from(said, {})
    box = lay_out(parameters)
    liner = liner_of(parameters, box.sizes)
    assert liner is not None
    top = min(reach(stave, 2)[1] for stave in staves_of(box, "front"))
    assert top == pytest.approx(box.sizes.top - 2 * INCH)
    assert soil_bottom(parameters, box.sizes) + liner.wall_height == pytest.approx(top)
    assert BoxLoads(box).weights.soil.top == pytest.approx(top)


def test_steps_say_where_staves_end_and_what_finds_the_side_panels() -> None:
    box = boxed(LEAN)
    steps = {step.key: step for step in assembly_steps(box)}
    told = {one.what: one.length for one in step_measures(steps["front-staves"], box)}
    ends = "from the rails' outer edges to the staves' ends, below and above"
    assert told[ends] == pytest.approx(INCH)
    assert told["from the stiles' lower ends to the staves"] == pytest.approx(2 * INCH)
    assert told["from each edge of the panel to the first stave"] == pytest.approx(1.75 * INCH)
    assert "flush with their edges" in steps["box-1"].text
    usual = boxed({})
    steps = {step.key: step for step in assembly_steps(usual)}
    assert ends not in {one.what for one in step_measures(steps["front-staves"], usual)}
    assert "lip" in steps["box-1"].text


def test_the_plan_tells_the_liner_s_edge_where_the_staves_end() -> None:
    made = design(load_variant("stoop-tub", ("wall.rail_lap=1 in",)).parameters)
    assert "Staple its edge 2 in below the top" in str(plan_content(made, Silent()))
