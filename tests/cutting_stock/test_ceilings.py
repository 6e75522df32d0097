"""Ceilings of a board that count no part more often than it is wanted: they hold, and they help."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from palewright.cutting_stock import PartDemand, StockBoard, plan_cuts
from palewright.cutting_stock.pricing.block_enumeration import fill_grid
from palewright.cutting_stock.pricing.label_extension import Tables
from palewright.cutting_stock.problem.patterns import BoardPatterns
from palewright.cutting_stock.problem.search_settings import SETTINGS
from palewright.cutting_stock.problem.work_clock import counted
from palewright.parameters.variant_files import load_variant
from palewright.sawing.stock_demands import demands_of_one, saw_of
from palewright.size_search.size_grid import sized
from small_demands import EARED, SAW, few_parts, pricing_of, relaxed

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
    pricing, listed = (pricing_of(demand, board, listed=one) for one in (False, True))
    if pricing is None or listed is None:
        return
    duals = np.array(worth[: len(pricing.bounds)])
    every = listed.all_above(duals, 1e-6, 100_000)
    best = max(every.values, default=0.0)
    tables = pricing.ceilings.tables(duals)
    lagrangian = pricing.ceilings.lagrangian(duals, pricing.bounds, share * best, tables)
    assert best - 1e-6 <= lagrangian.upper <= tables.whole + 1e-9
    # what it is made of holds too: values less prices, and what the prices take at most
    assert lagrangian.upper == pytest.approx(lagrangian.tables.whole + lagrangian.taken)


@relaxed
@given(
    st.lists(st.tuples(st.integers(0, 12), st.integers(1, 50)), min_size=1, max_size=6),
    st.integers(1, 40),
)
def test_the_grid_of_a_board_holds_the_most_that_blocks_are_worth_in_each_length(
    rows: list[tuple[int, int]], cells: int
) -> None:
    lengths = np.array(sorted(length for length, _ in rows), np.int64)
    best = np.array(sorted(value for _, value in rows)) / 10
    tables = Tables({}, np.zeros(cells), 1, 0.0)
    fill_grid(tables, lengths, best)
    # of blocks up to a length that are worth as much the shortest counts
    rising = {value: length for length, value in reversed(list(zip(lengths, best, strict=True)))}
    room = [0.0]
    for length in range(1, cells):
        fit = [room[length - n] + value for value, n in rising.items() if 0 < n <= length]
        room.append(max(room[-1], *fit, 0.0))
    # those too short for a cell come as often as there are cells
    most = cells * sum(value for value, length in rising.items() if not length)
    assert tables.grid == pytest.approx(most + np.array(room), abs=1e-6)


@relaxed
@given(few_parts, st.lists(st.floats(0.1, 9.0), min_size=4, max_size=4), st.floats(0.5, 1.3))
def test_what_is_looked_for_under_it_is_found_or_ruled_out(
    demand: list[PartDemand], worth: list[float], share: float
) -> None:
    pricing, listed = (pricing_of(demand, PLAIN, listed=one) for one in (False, True))
    if pricing is None or listed is None:
        return
    duals = np.array(worth[: len(pricing.bounds)])
    best = max(listed.all_above(duals, 1e-6, 100_000).values)
    least = share * best
    found = pricing._best_under_lagrangian(
        pricing.ceilings.tables(duals), duals, least, 5000, np.inf
    )
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
    pricing = pricing_of(demand, PLAIN, listed=False)
    assert pricing is not None
    order = [int(np.argmin(pricing.bounds)), int(np.argmax(pricing.bounds))]
    duals = np.zeros(2)
    duals[order] = 10.0, 1.0
    tables = pricing.ceilings.tables(duals)
    assert tables.whole == pytest.approx(40.0)
    lagrangian = pricing.ceilings.lagrangian(duals, pricing.bounds, 13.0, tables)
    assert 13.0 - 1e-9 <= lagrangian.upper < 13.5


@pytest.mark.thorough
def test_a_box_of_many_parts_is_ruled_out_soon() -> None:
    # the bound of a herb trough 18 x 12 x 13 in was open after 30 s of work without the caps
    sides = (18 * 25.4, 12 * 25.4, 13 * 25.4)
    parameters = load_variant("herb-trough").parameters
    box = sized(parameters, sides)
    first = demands_of_one(box)[0]
    with counted():
        plan = plan_cuts(
            first.parts, [first.board], saw_of(box), time_limit=4.5, setup_time=0.0, enough=4
        )
    assert plan.lower_bound == 5


@relaxed
@given(few_parts, st.lists(st.floats(0.1, 9.0), min_size=4, max_size=4), st.floats(0.5, 1.3))
def test_where_not_all_can_be_looked_at_the_capped_ceiling_says_what_is_best(
    demand: list[PartDemand], worth: list[float], share: float
) -> None:
    pricing, listed = (pricing_of(demand, PLAIN, listed=one) for one in (False, True))
    if pricing is None or listed is None:
        return
    duals = np.array(worth[: len(pricing.bounds)])
    best = max(listed.all_above(duals, 1e-6, 100_000).values)
    tables, real, calls = pricing.ceilings.tables(duals), pricing._grown, []

    def crowded(*asked: object, **more: object) -> BoardPatterns:
        calls.append(asked)
        if len(calls) <= len(
            SETTINGS.goal_shares
        ):  # as if there were too many to look at all of them
            return replace(pricing._none(tables.whole), complete=False)
        return real(*asked, **more)  # type: ignore[arg-type]

    pricing._grown = crowded  # type: ignore[method-assign, assignment]
    found = pricing.best(duals, share * best, 5000)
    assert found.upper >= best - 1e-6
    if share < 1 - 1e-6:
        assert max(found.values) == pytest.approx(best)
    elif share > 1 + 1e-6:
        assert not len(found.values)
        assert found.upper <= share * best + 1e-6
