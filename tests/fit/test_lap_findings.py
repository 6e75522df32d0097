"""Findings on staves that lap their frame in part: each with a box that trips it, one that does
not, and a remedy that cures it; and what such staves and rails carry."""

from __future__ import annotations

from typing import Any

import pytest

from palewright.catalogue.fillings import FRICTION_ANGLE, MIXES
from palewright.construction.box_layout import lay_out
from palewright.fit.cures import cured
from palewright.fit.findings import Finding
from palewright.fit.trials import applied
from palewright.fit.verdict import judge
from palewright.loads.board_bending import pressed_between, rail_pushes, stave_load
from palewright.loads.box_loads import BoxLoads
from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import parameters_from
from palewright.reading.lengths import INCH
from palewright.reading.quantities import GRAVITY

Flat = dict[str, Any]
LEAN: Flat = {
    "box.width": "15 in", "box.depth": "15 in", "box.height": "14 in", "box.foot": "1 in",
    "panel.stile_width": "2-1/4 in", "panel.rail_width": "1-1/2 in",
    "wall.rail_lap": "1 in", "wall.stile_lap": "1/2 in", "wall.layout": "equal",
    "wall.safe_rip": "1 in", "screws.wall": "#6 x 1 in", "screws.cap": "#6 x 1-1/4 in",
}  # fmt: skip


def parameters_of(flat: Flat) -> Parameters:
    """The parameters of flat settings."""
    said: dict[str, Any] = {}
    for key, value in flat.items():
        table, _, name = key.partition(".")
        said.setdefault(table, {})[name] = value
    return parameters_from(said, {})


def serious(flat: Flat) -> list[Finding]:
    """The faults and warnings of a box, with what cures them."""
    parameters = parameters_of(flat)
    found = cured(parameters, judge(parameters)).findings
    return [finding for finding in found if finding.severity != "note"]


def test_a_lean_box_has_neither_faults_nor_warnings() -> None:
    assert serious(LEAN) == []


@pytest.mark.parametrize(
    ("trips", "passes", "code", "key"),
    [
        # 3 D to the stave's end and 1.5 D to the rail's edge are .62 in of #6
        ({"wall.rail_lap": "9/16 in"}, {"wall.rail_lap": "5/8 in"}, "PW203", "wall.rail_lap"),
        # twice 1.5 D are .41 in
        ({"wall.stile_lap": "3/8 in"}, {"wall.stile_lap": "7/16 in"}, "PW203", "wall.stile_lap"),
        # a side stile of 1-5/8 in is free for 1-1/8 in, and so is the front's before a board
        ({"liner.fit": False}, {"liner.fit": True}, "PW502", "liner.fit"),
    ],
)
def test_a_short_lap_is_told_with_what_cures_it(
    trips: Flat, passes: Flat, code: str, key: str
) -> None:
    found = [one for one in serious(LEAN | trips) if one.code == code]
    assert found, [one.code for one in serious(LEAN | trips)]
    assert code not in {one.code for one in serious(LEAN | passes)}
    for one in found:
        assert [change.key for change in one.changes] == [key], one
        after = applied(parameters_of(LEAN | trips), one.changes)
        assert all(left.key != one.key for left in judge(after).findings)


def test_a_roomy_lip_is_a_slip_only_where_it_was_not_asked_for() -> None:
    """A side panel finds its place by the lip, or, where a lap is asked for, by the stiles."""
    lip = "2-1/8 in"  # two boards of 5/8 in leave 7/8 in: more than 3/4 in of play
    roomy = {k: v for k, v in LEAN.items() if k != "wall.stile_lap"} | {
        "panel.lip": lip, "panel.stile_width": "2-5/8 in"
    }  # fmt: skip
    assert "PW104" in {one.code for one in serious(roomy)}
    asked = LEAN | {"panel.stile_width": "2-5/8 in"}
    assert lay_out(parameters_of(asked)).sizes.lip == pytest.approx((2 + 1 / 8) * INCH)
    assert "PW104" not in {one.code for one in serious(asked)}


def pressure(depth: float, density: float) -> float:
    """What soil presses sideways at rest at a depth (mm), MPa: (1 - sin φ) γ z (Jaky)."""
    from math import radians, sin

    return (1 - sin(radians(FRICTION_ANGLE))) * density * GRAVITY * depth * 1e-9


def test_staves_span_between_the_middles_of_their_laps() -> None:
    """Worked out here from the boards: bearing 1 in long at the inner edge of rails of 2 in."""
    flat = LEAN | {"panel.rail_width": "2 in", "floor.rise": "3 in"}
    loads = BoxLoads(lay_out(parameters_of(flat)))
    boards = loads.box.boards
    low = max(p[2] for p in boards["front.rail-bottom"].corners) - INCH / 2
    high = min(p[2] for p in boards["front.rail-top"].corners) + INCH / 2
    load = stave_load("front", loads.box, loads.weights)
    assert load is not None
    assert load.span == pytest.approx(high - low)
    stave = next(one for one in loads.bent if one.role == "stave")
    assert stave.span == pytest.approx(high - low)


def test_a_bottom_rail_that_staves_leave_free_carries_its_own_soil() -> None:
    """Without a floor soil reaches the ground: between foot and staves it presses on the rail."""
    flat = LEAN | {"floor.kind": "none", "panel.rail_width": "3 in"}
    loads = BoxLoads(lay_out(parameters_of(flat)))
    load = stave_load("front", loads.box, loads.weights)
    assert load is not None
    sizes, soil = loads.box.sizes, loads.weights.soil
    density = MIXES["usual"].moist
    bare = [sizes.foot + (k + 0.5) / 500 * 2 * INCH for k in range(500)]
    own = sum(pressure(soil.top - z, density) for z in bare) * 2 * INCH / 500
    pushes = rail_pushes("front", load, loads.box, loads.weights)
    assert pushes["bottom"] - load.left == pytest.approx(own, rel=1e-3)
    assert pushes["top"] == load.right
    assert pressed_between(loads.weights)(sizes.foot, sizes.top) > pushes["bottom"]
