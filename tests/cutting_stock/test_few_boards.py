"""Few boards filled again and again, where blocks are too many to be listed."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from case_lists import mostly_thorough, tried
from cut_cases import complaints_of
from palewright.cutting_stock import (
    PartDemand,
    SawSettings,
    StockBoard,
    plan_cuts,
    strip_bound,
    whole_boards,
)
from palewright.cutting_stock.problem.search_settings import SETTINGS
from palewright.cutting_stock.problem.work_clock import counted
from palewright.reading.lengths import INCH
from palewright.sawing.stock_demands import demands_of_one, saw_of
from palewright.size_search.size_grid import sized
from shipped_designs import shipped

FOUND = (
    (2, 9.5, 13.5), (2, 10.0, 13.5), (2, 11.5, 10.5), (3, 12.5, 16.5), (3, 13.0, 15.5),
    (3, 14.5, 14.0), (3, 17.5, 10.0), (4, 20.0, 12.5), (4, 22.0, 9.5), (5, 21.0, 15.5),
    (5, 22.0, 14.5), (6, 24.0, 16.5), (6, 25.0, 14.0),
)  # fmt: skip
"""Boards, width and depth, and height (in) of picket tubs of which pricing boards found a plan."""

SHORT = 0.3
"""Counted work, in seconds, in which pricing hardly begins."""


def asked(width: float, height: float) -> tuple[list[PartDemand], StockBoard, SawSettings]:
    """What a picket tub of another size asks of fence boards."""
    tub = shipped("picket-tub").parameters
    tried_size = sized(tub, (width * INCH, width * INCH, height * INCH))
    [demand] = demands_of_one(tried_size)
    return demand.parts, demand.board, saw_of(tried_size)


def made(boards: int, width: float, height: float, work: float) -> bool:
    """Whether a plan of so many boards is found; what is found makes the box, says the verifier."""
    parts, board, saw = asked(width, height)
    plan = plan_cuts(parts, [board], saw, time_limit=work, setup_time=0.0, enough=boards)
    assert complaints_of(plan, parts, [board], saw) == []
    return plan.boards <= boards


def test_a_short_look_finds_most_of_what_a_long_one_does() -> None:
    missed = [one for one in FOUND if not made(*one, SHORT)]
    assert len(missed) <= len(FOUND) // 3, missed


@pytest.mark.parametrize(("boards", "width", "height"), mostly_thorough(FOUND, FOUND[2], FOUND[7]))
def test_a_longer_look_finds_all(boards: int, width: float, height: float) -> None:
    assert made(boards, width, height, 5.0)


def test_boards_that_strips_leave_no_room_in_are_filled_once() -> None:
    """The work of a look at a tub half an inch higher each time.

    What is not made takes all of the work for filling where strips leave room, next to none above.
    """
    few, much = [], []
    for width, half_inches in itertools.product((14.0, 17.0, 20.0), range(20, 33)):
        parts, board, saw = asked(width, half_inches / 2)
        taken = strip_bound(parts, board, saw)
        boards = whole_boards(taken)
        with counted() as work:
            plan = plan_cuts(parts, [board], saw, time_limit=SHORT, setup_time=0.0, enough=boards)
        if plan.boards > boards:
            (few if taken > SETTINGS.fillable * boards else much).append(work[0])
    assert len(few) > 2 and len(much) > 2
    assert 4 * max(few) < SETTINGS.filling_work < min(much)


@pytest.mark.parametrize(("boards", "width", "height"), [(3, 17.0, 11.5), (3, 16.5, 12.0)])
def test_what_is_proven_to_take_more_is_never_made(
    boards: int, width: float, height: float
) -> None:
    """A proof (`test_picket_tubs`) and a search that knows none must agree."""
    assert not made(boards, width, height, SHORT)


@settings(max_examples=tried(25), deadline=None)
@given(
    st.lists(
        st.builds(
            lambda length, width, count: (float(length), float(width), count),
            st.integers(60, 900),
            st.sampled_from([21.0, 33.0, 40.0, 47.0, 66.0]),
            st.integers(1, 16),
        ),
        min_size=4,
        max_size=9,
    ),
    st.integers(1, 5),
)
def test_any_list_is_cut_whole_however_short_the_look(
    sizes: list[tuple[float, float, int]], boards: int
) -> None:
    parts = [PartDemand(f"p{i}", a, b, n) for i, (a, b, n) in enumerate(sizes)]
    board, saw = StockBoard("board", 1800.0, 140.0, clipped_end=30.0), SawSettings(kerf=3.0)
    for work in (0.0, SHORT):
        plan = plan_cuts(parts, [board], saw, time_limit=work, setup_time=0.0, enough=boards)
        assert complaints_of(plan, parts, [board], saw) == []
        assert plan.lower_bound <= plan.boards
