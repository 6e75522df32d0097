"""The open sets reach the published values; a few by default, all of them in the thorough tests."""

from __future__ import annotations

import pytest

from cut_cases import (
    DATA,
    BoardCase,
    LengthsCase,
    board_cases,
    board_question,
    complaints_of,
    falkenauer_cases,
    lengths_cases,
    lengths_question,
)
from palewright.cutting_stock import plan_cuts

if not (DATA / "lengths").is_dir():
    reason = "the open data sets are in the repository, not in the source distribution"
    pytest.skip(reason, allow_module_level=True)

LIMIT = 60.0
FAMILIES = ("falkenauer", "schwerin", "scholl", "waescher", "hard28")
QUICK_LENGTHS = {
    "Falkenauer_t60_00",
    "Falkenauer_u120_07",
    "Schwerin1_BPP5",
    "N1C1W4_H",
    "N2C2W1_G",
    "Waescher_TEST0022",
    "Hard28_BPP13",
}
QUICK_BOARDS = {
    ("crate", 2),
    ("caddy", 1),
    ("rnd4", 1),
    ("rnd7", 5),
}
ALL_LENGTHS = [case for family in FAMILIES for case in lengths_cases(family)]
ALL_BOARDS = list(board_cases())
FALKENAUER = [
    *falkenauer_cases("falkenauer_t60.csv", 10),
    *falkenauer_cases("falkenauer_u120.csv", 1),
]


def solve_lengths(case: LengthsCase) -> None:
    parts, stock, saw = lengths_question(case)
    plan = plan_cuts(parts, stock, saw, time_limit=LIMIT, setup_time=0.0)
    assert complaints_of(plan, parts, stock, saw) == []
    assert plan.boards == case.optimum
    assert plan.proven


def solve_board(case: BoardCase, setup_time: float) -> None:
    parts, stock, saw = board_question(case.name, case.boxes)
    plan = plan_cuts(parts, stock, saw, time_limit=LIMIT, setup_time=setup_time)
    assert complaints_of(plan, parts, stock, saw) == []
    assert plan.boards <= case.boards
    assert plan.linear_bound <= plan.boards + 1e-6
    assert plan.lower_bound <= plan.boards
    if case.status != "open":
        assert plan.proven


@pytest.mark.parametrize(
    "case", [c for c in ALL_LENGTHS if c.name in QUICK_LENGTHS], ids=lambda case: case.name
)
def test_some_published_lengths_are_reached(case: LengthsCase) -> None:
    solve_lengths(case)


@pytest.mark.parametrize(
    "case", [c for c in ALL_BOARDS if (c.name, c.boxes) in QUICK_BOARDS], ids=lambda case: case.name
)
def test_some_board_cases_are_reached(case: BoardCase) -> None:
    solve_board(case, 0.0)  # boards alone; few settings have their own tests


NOT_REACHED = {"N4W2B2R6": "104 boards for 103 since the search ends by work and not by a clock"}


def marked(case: LengthsCase) -> object:
    """A case, marked where a board is missing: it fails, too, once that is mended."""
    if case.name not in NOT_REACHED:
        return case
    return pytest.param(case, marks=pytest.mark.xfail(reason=NOT_REACHED[case.name]))


@pytest.mark.thorough
@pytest.mark.parametrize(
    "case", [marked(case) for case in (*ALL_LENGTHS, *FALKENAUER)], ids=lambda case: case.name
)
def test_all_published_lengths_are_reached(case: LengthsCase) -> None:
    solve_lengths(case)


@pytest.mark.thorough
@pytest.mark.parametrize("case", ALL_BOARDS, ids=lambda case: f"{case.name}-{case.boxes}")
def test_all_board_cases_are_reached(case: BoardCase) -> None:
    solve_board(case, 0.5)
