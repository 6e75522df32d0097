"""What prices boards misses nothing: at dog-eared ends, with and without a list of blocks."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cut_cases import board_question, complaints_of
from palewright.cutting_stock import PartDemand, StockBoard, plan_cuts
from palewright.cutting_stock.master.integer_master import CoveringProblem
from palewright.cutting_stock.master.repeated_patterns import repeated_patterns
from palewright.cutting_stock.master.restricted_master import Kind, RestrictedMaster
from palewright.cutting_stock.pricing import block_heuristic
from palewright.cutting_stock.pricing.pricing_problem import _three_stage
from palewright.cutting_stock.pricing.strip_knapsack import ListedStrips
from palewright.cutting_stock.problem.integer_units import integer_problem
from palewright.cutting_stock.problem.patterns import BoardPatterns, CountPacker
from small_demands import EARED, SAW, few_parts, pricing_of, relaxed


def contents(board_patterns: BoardPatterns, least: float = 0.0) -> set[tuple[int, ...]]:
    """The patterns worth so much, by what they hold."""
    assert board_patterns.complete
    rows = zip(board_patterns.counts.tolist(), board_patterns.values, strict=True)
    return {tuple(row) for row, value in rows if value >= least + 1e-6}


@relaxed
@given(st.lists(st.sampled_from([0, 0, 1, 5, 300]), min_size=1, max_size=40), st.integers(0, 99))
def test_keys_tell_counts_apart_and_which_sums_are_within_the_bounds(
    most: list[int], seed: int
) -> None:
    bounds, draw = np.array(most, np.int64), np.random.default_rng(seed)
    one, other = (draw.integers(0, bounds + 1, (30, len(bounds))) for _ in range(2))
    one[:5] = one[5:10]
    packer = CountPacker(bounds)
    keys = packer.pack(one)
    alike = (keys[:, None] == keys).all(axis=2)
    assert np.array_equal(alike, (one[:, None] == one).all(axis=2))
    within = packer.within(keys + packer.pack(other))
    assert np.array_equal(within, (one + other <= bounds).all(axis=1))
    few = np.flatnonzero(bounds != 5)  # columns for some parts alone
    assert np.array_equal(packer.pack(one[:, few], few), packer.pack(one * (bounds != 5)))


@relaxed
@given(few_parts, st.lists(st.integers(0, 9), min_size=4, max_size=4), st.floats(0.2, 1.0))
def test_a_higher_goal_misses_nothing_but_what_is_worth_less(
    demand: list[PartDemand], worth: list[int], share: float
) -> None:
    for listed in (True, False):
        pricing = pricing_of(demand, EARED, listed=listed)
        if pricing is None:
            return
        duals = np.array(worth[: len(pricing.bounds)], dtype=float)
        every = pricing.all_above(duals, 1e-3, 100_000)
        best = max(every.values, default=0.0)
        above = pricing.all_above(duals, share * best, 100_000)
        assert contents(above, share * best) == contents(every, share * best)
        assert above.upper >= best - 1e-6


@relaxed
@given(few_parts, st.lists(st.integers(0, 9), min_size=4, max_size=4))
def test_a_list_of_blocks_gives_the_same_fillings(
    demand: list[PartDemand], worth: list[int]
) -> None:
    for board in (EARED, StockBoard("plain", 1000.0, 140.0)):
        pricings = [pricing_of(demand, board, listed=listed) for listed in (True, False)]
        if pricings[0] is None or pricings[1] is None:
            continue
        duals = np.array(worth[: len(pricings[0].bounds)], dtype=float)
        one, other = (pricing.all_above(duals, 1e-3, 100_000) for pricing in pricings)
        assert contents(one) == contents(other)
        few = np.maximum(pricings[0].bounds - 1, 0)
        less = [pricing.restricted(few).all_above(duals, 1e-3, 100_000) for pricing in pricings]
        assert contents(less[0]) == contents(less[1])
        assert contents(less[0]) == {row for row in contents(one) if np.all(np.array(row) <= few)}


@pytest.mark.parametrize("cached", [1, 1 << 16])
def test_the_best_strip_of_what_is_left_is_the_one_that_a_search_finds(
    cached: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(block_heuristic, "_CACHED", cached)  # one after the other, and all at once
    dice = np.random.default_rng(7)
    changed = 0
    for parts in (1, 3, 6):
        counts = dice.integers(0, 4, (60, parts))
        counts[0] = 0
        lengths = np.sort(dice.integers(0, 900, 60))
        lengths[0] = 0
        values = counts @ dice.integers(1, 9, parts) + dice.integers(0, 2, 60) / 2.0
        strips = ListedStrips(counts, lengths, values, lengths, np.maximum.accumulate(values))
        left, room = dice.integers(0, 4, (200, parts)), dice.integers(0, 1000, 200)
        picks = dice.integers(0, 60, 200)
        found = block_heuristic._within(strips, picks, left, room)
        for pick, got, few, space in zip(picks, found, left, room, strict=True):
            if all(counts[pick] <= few):
                assert got == pick
                continue
            changed += 1
            fit = [i for i in range(60) if all(counts[i] <= few) and lengths[i] <= space]
            assert got in fit
            assert values[got] == max(values[fit])
    assert changed > 300


def test_a_block_at_the_dog_eared_end_may_reach_beyond_the_plain_length() -> None:
    # the strip in the middle loses nothing to the corners, so that its block and the full-width
    # one are together longer than the board is without its dog-eared end
    demand = [
        PartDemand("middle", 797.0, 40.0, 1),
        PartDemand("edge", 700.0, 40.0, 2),
        PartDemand("across", 200.0, 140.0, 1),
    ]
    pricing = pricing_of(demand, EARED, listed=True)
    assert pricing is not None
    for listing in (pricing.listing, None):
        pricing.listing = listing
        everything = pricing.all_above(np.ones(3), 3.5, 1000)
        assert contents(everything) == {(1, 2, 1)}
        assert pricing.best(np.ones(3), 3.5, 200).upper >= 4.0
    plan = plan_cuts(demand, [EARED], SAW, setup_time=0.0)
    assert plan.boards == 1
    assert complaints_of(plan, demand, [EARED], SAW) == []


@pytest.mark.parametrize("name", ["planted3", "planted4", "planted5"])
def test_repeated_fillings_find_what_was_cut_up(name: str) -> None:
    demand, stock, saw = board_question(name, 1)
    problem = integer_problem(demand, stock, saw)
    kind = problem.stock[0]
    most = (kind.length // problem.lengths) * (kind.width // problem.widths)
    pricing = _three_stage(problem, kind, np.minimum(problem.counts, most))
    covering = CoveringProblem(
        problem.counts, [Kind(pricing, 1, None)], 1, np.inf, lambda what, share: None
    )
    master = RestrictedMaster(problem.counts, covering.kinds)
    for part in range(len(problem.counts)):
        alone = pricing.restricted(
            np.where(np.arange(len(problem.counts)) == part, problem.counts, 0)
        )
        found = alone.best(np.eye(len(problem.counts))[part], 1.0, 4)
        master.add_patterns(0, found, 0.0, 1)
    bound = master.bound(np.inf, near=(problem.lengths * problem.widths).astype(float))
    assert bound is not None and bound.exact
    target = round(bound.lower)
    assert bound.lower == pytest.approx(target, abs=1e-4)
    found_cover = repeated_patterns(covering, bound, target, 0, 30.0)
    assert found_cover is not None and found_cover.cost == target
    made = sum(number * column.counts for column, number in found_cover.columns)
    assert np.all(made >= problem.counts)
    assert repeated_patterns(covering, bound, target - 1, 0, 30.0) is None


@pytest.mark.parametrize("name", ["caddy", "crate", "rnd8"])
def test_a_number_of_boards_is_enough_or_refuted(name: str) -> None:
    demand, stock, saw = board_question(name, 1)
    best = plan_cuts(demand, stock, saw, setup_time=0.0)
    assert best.proven
    for number in range(best.boards - 2, best.boards + 3):
        plan = plan_cuts(demand, stock, saw, setup_time=0.0, enough=number)
        assert complaints_of(plan, demand, stock, saw) == []
        assert plan.lower_bound <= best.boards <= plan.boards
        if number >= best.boards:
            assert plan.boards <= number
        else:
            assert plan.lower_bound > number
