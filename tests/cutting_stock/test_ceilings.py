"""Ceilings of a board that count no part more often than it is wanted: they hold, and they help."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from palewright.cutting_stock import PartDemand, StockBoard, plan_cuts
from palewright.cutting_stock.problem.patterns import Fillings
from palewright.cutting_stock.problem.search_settings import SETTINGS
from palewright.cutting_stock.problem.work_clock import counted
from palewright.parameters.variant_files import load_variant
from palewright.sawing.stock_demands import demands_of_one, saw_of
from palewright.size_search.size_grid import sized, ways_of
from small_demands import EARED, SAW, few_parts, filler_of, relaxed

PLAIN = StockBoard("plain", 1000.0, 140.0)


@relaxed
@given(
    few_parts,
    st.lists(st.floats(0.0, 9.0), min_size=4, max_size=4),
    st.sampled_from([EARED, PLAIN]),
    st.floats(0.0, 1.2),
)
def test_no_filling_is_worth_more_than_its_capped_ceiling(
    demand: list[PartDemand], worth: list[float], board: StockBoard, share: float
) -> None:
    filler, listed = (filler_of(demand, board, listed=one) for one in (False, True))
    if filler is None or listed is None:
        return
    duals = np.array(worth[: len(filler.bounds)])
    every = listed.all_above(duals, 1e-6, 100_000)
    best = max(every.values, default=0.0)
    tables = filler.ceilings.tables(duals)
    capped = filler.ceilings.capped(duals, filler.bounds, share * best, tables)
    assert best - 1e-6 <= capped.upper <= tables.whole + 1e-9
    # what it is made of holds too: values less prices, and what the prices take at most
    assert capped.upper == pytest.approx(capped.tables.whole + capped.taken)


@relaxed
@given(few_parts, st.lists(st.floats(0.1, 9.0), min_size=4, max_size=4), st.floats(0.5, 1.3))
def test_what_is_looked_for_under_it_is_found_or_ruled_out(
    demand: list[PartDemand], worth: list[float], share: float
) -> None:
    filler, listed = (filler_of(demand, PLAIN, listed=one) for one in (False, True))
    if filler is None or listed is None:
        return
    duals = np.array(worth[: len(filler.bounds)])
    best = max(listed.all_above(duals, 1e-6, 100_000).values)
    least = share * best
    found = filler._capped_best(filler.ceilings.tables(duals), duals, least, 5000, np.inf)
    assert found.upper >= best - 1e-6 or least > best
    if least <= best - 1e-6:
        assert max(found.values) == pytest.approx(best)
    if least > best + 1e-6:
        assert not len(found.values)
        assert found.complete
        assert found.upper <= least + 1e-6


def test_a_part_wanted_once_is_counted_once() -> None:
    # four of them would lie on the board, and one is wanted beside three of a cheaper kind
    assert 4 * 245.0 + 3 * SAW.kerf < PLAIN.length < 5 * 245.0
    demand = [PartDemand("once", 245.0, 140.0, 1), PartDemand("often", 245.0, 140.0 - 1e-3, 9)]
    filler = filler_of(demand, PLAIN, listed=False)
    assert filler is not None
    order = [int(np.argmin(filler.bounds)), int(np.argmax(filler.bounds))]
    duals = np.zeros(2)
    duals[order] = 10.0, 1.0
    tables = filler.ceilings.tables(duals)
    assert tables.whole == pytest.approx(40.0)
    capped = filler.ceilings.capped(duals, filler.bounds, 13.0, tables)
    assert 13.0 - 1e-9 <= capped.upper < 13.5


def test_a_box_of_many_parts_is_ruled_out_soon() -> None:
    # the bound of a herb trough 18 x 12 x 13 in was open after 30 s of work without the caps
    sides = (18 * 25.4, 12 * 25.4, 13 * 25.4)
    parameters = load_variant("herb-trough").parameters
    box = sized(parameters, sides, ways_of(parameters)[0])
    first = demands_of_one(box)[0]
    with counted():
        plan = plan_cuts(
            first.parts, [first.board], saw_of(box), time_limit=3.4, setup_time=0.0, enough=4
        )
    assert plan.lower_bound == 5


@relaxed
@given(few_parts, st.lists(st.floats(0.1, 9.0), min_size=4, max_size=4), st.floats(0.5, 1.3))
def test_where_not_all_can_be_looked_at_the_capped_ceiling_says_what_is_best(
    demand: list[PartDemand], worth: list[float], share: float
) -> None:
    filler, listed = (filler_of(demand, PLAIN, listed=one) for one in (False, True))
    if filler is None or listed is None:
        return
    duals = np.array(worth[: len(filler.bounds)])
    best = max(listed.all_above(duals, 1e-6, 100_000).values)
    tables, real, calls = filler.ceilings.tables(duals), filler._grown, []

    def crowded(*asked: object, **more: object) -> Fillings:
        calls.append(asked)
        if len(calls) <= len(
            SETTINGS.goal_shares
        ):  # as if there were too many to look at all of them
            return replace(filler._none(tables.whole), complete=False)
        return real(*asked, **more)  # type: ignore[arg-type]

    filler._grown = crowded  # type: ignore[method-assign, assignment]
    found = filler.best(duals, share * best, 5000)
    assert found.upper >= best - 1e-6
    if share < 1 - 1e-6:
        assert max(found.values) == pytest.approx(best)
    elif share > 1 + 1e-6:
        assert not len(found.values)
        assert found.upper <= share * best + 1e-6
