"""Bounds where not all rip patterns are listed, and what dives remember: never above a plan."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from itertools import combinations_with_replacement

import numpy as np
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from case_lists import tried
from cut_brute import fewest_boards
from cut_cases import complaints_of
from palewright.cutting_stock import (
    PartDemand,
    SawSettings,
    StockBoard,
    plan_cuts,
    quick_bound,
    whole_boards,
)
from palewright.cutting_stock.master.diving_heuristic import Memory, _Dive, _State, dive
from palewright.cutting_stock.master.integer_master import (
    Cover,
    CoveringProblem,
    _cover_model,
    covers,
)
from palewright.cutting_stock.master.restricted_master import Bound, Column, Kind, RestrictedMaster
from palewright.cutting_stock.master.search_strategy import (
    _CoverSearch,
    near_columns,
    never_too_many,
)
from palewright.cutting_stock.planner import _areas, _covering, _started
from palewright.cutting_stock.pricing import rip_patterns as rips
from palewright.cutting_stock.pricing.completion_bounds import RipBound
from palewright.cutting_stock.pricing.three_stage import ThreeStagePricing
from palewright.cutting_stock.problem.integer_units import IntegerProblem, integer_problem
from palewright.cutting_stock.problem.search_settings import SETTINGS
from palewright.cutting_stock.problem.work_clock import counted

FENCE = StockBoard("fence", 1828.8, 139.7)
EARED = StockBoard("eared", 1828.8, 139.7, clipped_end=25.4)
SAW = SawSettings(kerf=3.175)
SMALL = StockBoard("small", 40.0, 20.0)
relaxed = settings(
    max_examples=tried(100),
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
few_parts = st.lists(
    st.builds(
        PartDemand,
        name=st.uuids().map(str),
        length=st.integers(5, 36).map(float),
        width=st.integers(3, 18).map(float),
        count=st.integers(1, 2),
    ),
    min_size=1,
    max_size=4,
)


def many_widths(number: int) -> list[PartDemand]:
    """So many parts of even widths from 24 to 120 mm, always the same."""
    rng = random.Random(number)
    return [
        PartDemand(
            f"p{i}", rng.randint(70, 1500) * 1.0, rng.randint(12, 60) * 2.0, rng.randint(1, 8)
        )
        for i in range(number)
    ]


def asked(parts: list[PartDemand], board: StockBoard) -> tuple[IntegerProblem, CoveringProblem]:
    """The question as the planner puts it, without a clock."""
    problem = integer_problem(parts, [board], SAW)
    return problem, _covering(problem, math.inf)


TIGHT = [PartDemand("a", 19.0, 9.0, 2), PartDemand("b", 20.0, 8.0, 2)]
"""Two blocks that fill a board of 40 to the last bit."""


@relaxed
@example(TIGHT, 0, 0.0, False)
@given(few_parts, st.integers(0, 99), st.sampled_from([0.0, 4.0]), st.booleans())
def test_no_filling_is_worth_more_than_the_ceiling(
    parts: list[PartDemand], seed: int, ear: float, single: bool
) -> None:
    board = StockBoard("board", 40.0, 20.0, clipped_end=ear)
    saw = SawSettings(kerf=1.0, order="rip-first" if single else "best")
    try:
        problem = integer_problem(parts, [board], saw)
    except ValueError:
        return
    pricing = _covering(problem, math.inf).kinds[0].pricing
    if not isinstance(pricing, ThreeStagePricing):
        return
    worth = np.random.default_rng(seed).random(len(problem.parts))
    board_patterns = pricing.all_above(worth, 1e-3, 100_000)
    assert board_patterns.complete
    listed = {width: shelf.priced(worth) for width, shelf in pricing.shelves.items()}
    stock = problem.stock[0]
    ceiling = RipBound(listed, stock.width, stock.length, single=single)
    assert ceiling.upper >= max(board_patterns.values, default=0.0) - 1e-9
    for pattern in ceiling.patterns():
        assert sum(pattern) <= stock.width
        assert all(sum(pattern) + width > stock.width for width in pricing.shelves)


@pytest.mark.parametrize("board", [FENCE, EARED], ids=lambda board: board.name)
def test_the_ceiling_of_areas_is_hardly_more_than_the_board(board: StockBoard) -> None:
    problem, covering = asked(many_widths(60), board)
    pricing = covering.kinds[0].pricing
    assert isinstance(pricing, ThreeStagePricing)
    assert not pricing.all_patterns
    area = float(problem.stock[0].length * problem.stock[0].width)
    upper = pricing.best(_areas(problem), math.inf, 1, lean=True).upper
    assert 0.9 * area < upper < 1.02 * area


@relaxed
@given(few_parts)
def test_bounds_with_patterns_left_out_are_never_above_the_fewest_boards(
    monkeypatch: pytest.MonkeyPatch, parts: list[PartDemand]
) -> None:
    few = replace(SETTINGS, most_rips=0, sampled_rips=4)  # one for each width
    monkeypatch.setattr(rips, "SETTINGS", few)
    saw = SawSettings(kerf=1.0)
    sizes = [(int(p.length), int(p.width)) for p in parts for _ in range(p.count)]
    plan = plan_cuts(parts, [SMALL], saw, time_limit=1.0, setup_time=0.0)
    assert complaints_of(plan, parts, [SMALL], saw) == []
    fewest = fewest_boards(sizes, 40, 20, 1)
    assert plan.lower_bound <= fewest <= plan.boards
    assert plan.linear_bound <= fewest + 1e-6


def test_patterns_are_found_as_pricing_needs_them() -> None:
    problem, covering = asked(many_widths(60), FENCE)
    master, _ = _started(problem, covering)
    pricing = covering.kinds[0].pricing
    assert isinstance(pricing, ThreeStagePricing)
    listed = len(pricing.patterns)
    with counted():
        bound = master.bound(20.0, near=_areas(problem))
    assert bound is not None
    assert len(pricing.patterns) > listed
    # the boards' area says 53, a sample of the patterns says nothing
    assert bound.lower == pytest.approx(63.0, abs=0.01)


def test_a_search_without_time_has_the_bound_of_the_weights() -> None:
    parts = many_widths(60)
    plan = plan_cuts(parts, [FENCE], SAW, time_limit=0.01, setup_time=0.0)
    assert plan.lower_bound >= whole_boards(quick_bound(parts, FENCE, SAW)) == 63


def test_columns_taken_in_at_once_are_the_same_as_one_by_one() -> None:
    problem, covering = asked(many_widths(12), FENCE)
    kinds = [*covering.kinds, Kind(covering.kinds[0].pricing, 0, 2)]
    known, _ = _started(problem, covering)
    columns = [Column(c.counts, k, 1 - k, c.recipe) for k in (0, 1) for c in known.columns]
    one, other = RestrictedMaster(covering.demand, kinds), RestrictedMaster(covering.demand, kinds)
    for column in (*columns, columns[0]):
        one.add(column)
    other.add_all([*columns, columns[0]])
    other.add_all(columns)
    assert [id(c) for c in one.columns] == [id(c) for c in other.columns]
    bounds = [master.bound(0.0) for master in (one, other)]
    assert bounds[0] is not None
    assert bounds[1] is not None
    assert bounds[0].value == pytest.approx(bounds[1].value)
    np.testing.assert_allclose(bounds[0].lower, bounds[1].lower)


def test_a_dive_for_a_step_more_goes_on_where_the_last_one_was(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    problem, covering = asked(many_widths(14), FENCE)
    master, _ = _started(problem, covering)
    bound = master.bound(math.inf)
    assert bound is not None
    memory, priced = Memory(), []
    real = RestrictedMaster.bound
    monkeypatch.setattr(
        RestrictedMaster, "bound", lambda self, *a, **k: priced.append(0) or real(self, *a, **k)
    )
    first = dive(covering, master, bound, None, 0, 60.0, memory)
    assert first is not None
    assert priced
    priced.clear()
    again = dive(covering, master, bound, None, 0, 60.0, memory)
    assert not priced
    assert again is not None
    assert again.cost == first.cost
    columns, numbers = zip(*again.columns, strict=True)
    assert covers(columns, np.array(numbers), covering)
    # another attempt goes other ways
    dive(covering, master, bound, None, 1, 60.0, memory)
    assert memory.attempt == 1


def test_what_was_left_off_as_hopeless_is_bounded_again_for_more() -> None:
    problem, covering = asked(many_widths(14), FENCE)
    master, _ = _started(problem, covering)
    bound = master.bound(math.inf)
    assert bound is not None
    alone, memory = master.columns[: len(problem.parts)], Memory()
    state = _State(covering.demand // 2, [None], 0, 0)
    search = _Dive(covering, None, 0, math.inf, bound.duals, memory)
    assert search._bounded(state, alone, 1.0) is None
    assert search._bounded(state, alone, 1.0) is None
    found = search._bounded(state, alone, math.inf)
    fresh = _Dive(covering, None, 0, math.inf, bound.duals, Memory())._bounded(
        state, alone, math.inf
    )
    assert found is not None
    assert fresh is not None
    assert found[1].value == pytest.approx(fresh[1].value)
    assert search._bounded(state, alone, found[1].value - 0.5) is None
    again = search._bounded(state, alone, math.inf)
    assert again is not None
    assert again[1] is found[1]


@pytest.mark.parametrize("number", [14, 20, 26])
@pytest.mark.parametrize("more", [0, 1, 2])
def test_a_dive_keeps_to_its_target(number: int, more: int) -> None:
    problem, covering = asked(many_widths(number), FENCE)
    master, _ = _started(problem, covering)
    bound = master.bound(math.inf)
    assert bound is not None
    target = math.ceil(bound.lower - 1e-6) + more
    found = dive(covering, master, bound, target, 1, 60.0)
    assert found is not None or more == 0, "a board or two above the bound there is always a plan"
    if found is not None:
        columns, numbers = zip(*found.columns, strict=True)
        assert covers(columns, np.array(numbers), covering)
        assert found.cost <= target


@pytest.mark.parametrize("patience", [math.inf, 2.0, 9.0])
def test_no_more_work_is_worth_while_than_is_left(patience: float) -> None:
    # full-width parts have endless patience: an integer program was once given all of it
    none = np.zeros(0)
    covering = CoveringProblem(np.zeros(0, np.int64), [], 1, 5.0, lambda *_: None, patience)
    bound = Bound(30.0, 30.0, none, none, none, exact=True)
    master = RestrictedMaster(covering.demand, covering.kinds)
    search = _CoverSearch(master, bound, covering, Cover((), 31, 30), Memory())
    assert search.worthwhile() == min(5.0, patience)


def test_what_is_never_too_many_is_in_no_plan_of_that_cost() -> None:
    """Against all sets of boards that a plan of the cost may use; the program's rows say the same.

    Bounded from above is only what is exact: with ranged rows the solver takes far longer.
    """
    exact_parts = plans = 0
    for number in range(24):
        draws = random.Random(number)
        parts = [
            PartDemand(f"p{i}", draws.randint(12, 36), draws.randint(7, 18), draws.randint(1, 3))
            for i in range(3)
        ]
        problem, covering = asked(parts, SMALL)
        master, _ = _started(problem, covering)
        bound = master.bound(math.inf)
        assert bound is not None
        slack = math.ceil(bound.lower - 1e-6) - bound.lower
        boards = round(bound.lower + slack)
        columns, complete = near_columns(covering, bound, slack, 10_000, math.inf)
        assert complete
        exact = never_too_many(bound, slack)
        counts = np.array([column.counts for column in columns])
        for some in combinations_with_replacement(range(len(columns)), boards):
            made = counts[list(some)].sum(axis=0)
            if (made >= covering.demand).all():
                plans += 1
                assert (made == covering.demand)[exact].all()
        exact_parts += int(exact.sum())
        rows = _cover_model(columns, covering, exact, 1).getLp()
        least, most = (np.array(ends) for ends in (rows.row_lower_, rows.row_upper_))
        assert (least == covering.demand).all()
        assert (most[exact] == covering.demand[exact]).all()
        assert np.isinf(most[~exact]).all()
    assert exact_parts > 20 and plans > 20
