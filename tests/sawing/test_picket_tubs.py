"""The tubs from so many common fence boards: what they promise, judged by the plan's verifier."""

from __future__ import annotations

import pytest

from case_lists import mostly_thorough, thorough
from cut_cases import complaints_of
from palewright.cutting_stock import plan_cuts
from palewright.sawing.stock_demands import demands_of_one, saw_of
from palewright.size_search.size_grid import sized
from shipped_designs import shipped

INCH = 25.4
PROMISED = {
    "picket-tub": (3, (16.5, 16.5, 11.5)),
    "picket-tub-two": (2, (12.5, 12.5, 10.0)),
    "picket-tub-four": (4, (18.5, 18.5, 14.5)),
    "picket-tub-five": (5, (21.0, 21.0, 15.5)),
}
"""Boards of 72 x 5-1/2 in, and the outside size over panels and cap, inches."""

CASES = mostly_thorough(PROMISED, "picket-tub")


@pytest.mark.parametrize("name", CASES)
def test_a_tub_is_as_large_as_promised_and_takes_its_boards_and_no_more(name: str) -> None:
    boards, size = PROMISED[name]
    tub = shipped(name)
    parameters = tub.parameters
    box = parameters.box
    assert (box.width, box.depth, box.height) == pytest.approx([x * INCH for x in size])
    [demand] = demands_of_one(parameters)
    assert demand.stock == parameters.materials.stock["board"]
    assert (demand.stock.length, demand.stock.width) == pytest.approx((72 * INCH, 5.5 * INCH))
    [plan] = tub.board_plans
    assert plan.plan.boards == boards
    # its parts alone fill more than a board less holds, whatever the plan: nothing takes fewer
    inside = (72 - 1 / 4 - 1 / 2 + 1 / 8) * (5.5 - 1 / 8 + 1 / 8) * INCH**2
    kerf = parameters.saw.kerf
    square = [part for part in demand.parts if part.end_angles == (0.0, 0.0)]
    area = sum(part.count * (part.length + kerf) * (part.width + kerf) for part in square)
    assert plan.plan.lower_bound == boards
    assert area > (boards - 1) * inside


@pytest.mark.parametrize("name", CASES)
def test_the_verifier_finds_the_plan_sound(name: str) -> None:
    tub = shipped(name)
    [made] = tub.board_plans
    saw, parts = saw_of(tub.parameters), made.demand.parts
    assert complaints_of(made.plan, parts, [made.demand.board], saw) == []


@pytest.mark.parametrize("name", CASES)
def test_nothing_but_notes_is_found_and_every_part_is_held_by_screws(name: str) -> None:
    tub = shipped(name)
    assert [f.code for f in tub.verdict.findings if f.severity != "note"] == []
    assert all(joint.kind != "glue" or "cap" in joint.name for joint in tub.box.joints)
    crossed = [b.panel for b in tub.box.boards.values() if b.role == "brace"]
    assert {"front", "back"} <= set(crossed)


@pytest.mark.parametrize(("wider", "higher"), [(0.5, 0.0), thorough((0.0, 0.5))])
def test_half_an_inch_wider_or_higher_takes_a_fourth_board(wider: float, higher: float) -> None:
    """As README says; its plan is proven, so no better plan makes either from three."""
    tub = shipped("picket-tub").parameters
    boards, (width, _, height) = PROMISED["picket-tub"]
    sides = ((width + wider) * INCH, (width + wider) * INCH, (height + higher) * INCH)
    [demand] = demands_of_one(sized(tub, sides))
    plan = plan_cuts(demand.parts, [demand.board], saw_of(tub), enough=boards)
    assert plan.lower_bound == boards + 1
