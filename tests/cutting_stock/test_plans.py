"""Cut plans hold: made exactly as asked, sawable, bounded, for random and for odd demands."""

from __future__ import annotations

import math
import random
import re

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from case_lists import thorough
from cut_brute import fewest_boards
from cut_cases import board_question, complaints_of
from palewright.cutting_stock import (
    SETUP_WORK,
    CuttingError,
    NotEnoughBoards,
    Offcut,
    PartDemand,
    PartDoesNotFit,
    SawSettings,
    StockBoard,
    first_plan,
    plan_as_json,
    plan_cuts,
)
from palewright.cutting_stock.problem.work_clock import broken_off

FENCE = StockBoard("fence", 72 * 25.4, 5.5 * 25.4)
SAW = SawSettings(kerf=3.175)

widths = st.sampled_from([38.1, 44.45, 63.5, 88.9, 139.7])
lengths = st.integers(min_value=20, max_value=280).map(lambda quarter: quarter * 6.35)
parts = st.builds(
    PartDemand,
    name=st.uuids().map(str),
    length=lengths,
    width=widths,
    count=st.integers(min_value=1, max_value=6),
)
odd_parts = st.builds(
    PartDemand,
    name=st.uuids().map(str),
    length=st.floats(min_value=90, max_value=1800),
    width=st.floats(min_value=20, max_value=139),
    count=st.integers(min_value=1, max_value=3),
)
slanted = st.builds(
    PartDemand,
    name=st.uuids().map(str),
    length=st.floats(min_value=400, max_value=900),
    width=st.sampled_from([60.0, 88.9]),
    count=st.integers(min_value=1, max_value=5),
    # a 36° end beside an 18° one: common practice, no source
    end_angles=st.sampled_from([(45.0, 45.0), (36.0, -36.0), (36.0, 18.0), (0.0, 30.0)]),
)
relaxed = settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@relaxed
@given(st.lists(parts, min_size=1, max_size=7))
def test_random_demands_are_planned(demand: list[PartDemand]) -> None:
    plan = plan_cuts(demand, [FENCE], SAW, time_limit=5.0, setup_time=0.3)
    assert complaints_of(plan, demand, [FENCE], SAW) == []
    assert plan.linear_bound <= plan.boards + 1e-6
    assert plan.lower_bound <= plan.boards


@relaxed
@given(st.lists(odd_parts, min_size=1, max_size=5), st.sampled_from(["rip-first", "best"]))
def test_odd_sizes_are_never_rounded_into_each_other(demand: list[PartDemand], order: str) -> None:
    saw = SawSettings(kerf=2.87, order="rip-first" if order == "rip-first" else "best")
    plan = plan_cuts(demand, [FENCE], saw, time_limit=3.0, setup_time=0.0)
    assert complaints_of(plan, demand, [FENCE], saw) == []


@relaxed
@given(st.lists(slanted, min_size=1, max_size=4))
def test_slanted_ends_share_cuts(demand: list[PartDemand]) -> None:
    plan = plan_cuts(demand, [FENCE], SAW, time_limit=3.0, setup_time=0.0)
    assert complaints_of(plan, demand, [FENCE], SAW) == []


@relaxed
@given(st.lists(parts, min_size=1, max_size=4), st.integers(min_value=5, max_value=40))
def test_dog_eared_ends_are_kept_clear(demand: list[PartDemand], clip: int) -> None:
    board = StockBoard("eared", 1828.8, 139.7, clipped_end=float(clip))
    try:
        plan = plan_cuts(demand, [board], SAW, time_limit=3.0, setup_time=0.0)
    except PartDoesNotFit:
        return
    assert complaints_of(plan, demand, [board], SAW) == []


@relaxed
@given(
    st.lists(
        st.tuples(
            st.integers(min_value=8, max_value=40),
            st.sampled_from([4, 5, 9]),
            st.integers(min_value=1, max_value=2),
        ),
        min_size=1,
        max_size=4,
    )
)
def test_tiny_demands_match_brute_force(rows: list[tuple[int, int, int]]) -> None:
    demand = [
        PartDemand(f"p{i}", float(length), float(width), count)
        for i, (length, width, count) in enumerate(rows)
    ]
    board = StockBoard("small", 40.0, 10.0)
    plan = plan_cuts(demand, [board], SawSettings(kerf=1.0), setup_time=0.0)
    sizes = [(length, width) for length, width, count in rows for _ in range(count)]
    assert plan.proven
    assert plan.boards == fewest_boards(sizes, 40, 10, 1)


def test_a_three_board_box_takes_three_boards() -> None:
    demand = [
        PartDemand("stave", 1828.8 / 3 - 2.2, 139.7, 3),
        PartDemand("rail", 900.0, 68.2, 4),
        PartDemand("slat", 590.0, 44.0, 9),
    ]
    plan = plan_cuts(demand, [FENCE], SAW)
    assert (plan.boards, plan.lower_bound, plan.proven) == (3, 3, True)
    assert complaints_of(plan, demand, [FENCE], SAW) == []


def test_offcuts_come_before_boards_and_cheap_before_dear() -> None:
    demand = [PartDemand("rail", 450.0, 60.0, 10), PartDemand("stave", 600.0, 139.7, 8)]
    stock: list[StockBoard | Offcut] = [
        StockBoard("six", 1828.8, 139.7, price=3.0),
        StockBoard("eight", 2438.4, 139.7, price=3.5, available=1),
        Offcut("left over", 1000.0, 139.7, 2),
    ]
    plan = plan_cuts(demand, stock, SAW)
    assert complaints_of(plan, demand, stock, SAW) == []
    assert plan.offcuts_used == 2
    assert plan.proven
    assert plan.cost_bound <= plan.cost


def test_nesting_saves_boards_and_counts_one_cut() -> None:
    caps = [PartDemand("cap", 500.0, 89.0, 8, (45.0, 45.0))]
    square = [PartDemand("cap", 500.0, 89.0, 8)]
    with_mitres = plan_cuts(caps, [FENCE], SAW)
    without = plan_cuts(square, [FENCE], SAW)
    assert with_mitres.boards == 2 < without.boards == 3
    row = next(layout for layout in with_mitres.layouts if len(layout.pieces) == 4)
    assert sum(1 for cut in row.cuts if cut.stage == 3 and cut.angle) == 5


def test_boxes_by_the_thousand_take_little_longer() -> None:
    seconds = {}
    for boxes in (10, 1000):
        demand, stock, saw = board_question("caddy", boxes)
        plan = plan_cuts(demand, stock, saw, setup_time=0.0)
        assert plan.proven
        seconds[boxes] = plan.seconds
    assert seconds[1000] < 5 * seconds[10] + 2


def test_a_million_parts_finish() -> None:
    demand = [PartDemand("peg", 100.0, 30.0, 10**6), PartDemand("slat", 610.0, 60.0, 10**6)]
    plan = plan_cuts(demand, [FENCE], SAW, time_limit=10.0)
    assert plan.seconds < 1.0, "a million parts are no more work than ten"
    assert sum(len(lay.pieces) * lay.count for lay in plan.layouts) == 2 * 10**6
    assert plan.gap <= 1


def test_no_parts_take_no_boards() -> None:
    assert plan_cuts([], [FENCE], SAW).boards == 0
    assert plan_cuts([PartDemand("none", 10.0, 10.0, 0)], [FENCE], SAW).boards == 0


@pytest.mark.parametrize("size", [0.0, -1.0, math.nan, math.inf])
def test_nonsense_sizes_are_refused(size: float) -> None:
    with pytest.raises(CuttingError, match="must be a number above 0"):
        PartDemand("x", size, 10.0, 1)
    with pytest.raises(CuttingError, match="must be a number above 0"):
        StockBoard("x", 10.0, size)


@pytest.mark.parametrize(("length", "width"), [(1830.0, 40.0), (100.0, 140.0)])
def test_a_part_beyond_every_board_is_refused(length: float, width: float) -> None:
    with pytest.raises(PartDoesNotFit, match="fits on no board"):
        plan_cuts([PartDemand("long", length, width, 1)], [FENCE], SAW)


def test_narrow_rips_and_meeting_mitres_are_refused() -> None:
    with pytest.raises(CuttingError, match="not safe to rip"):
        plan_cuts([PartDemand("lath", 100.0, 8.0, 1)], [FENCE], SawSettings(3.0, safe_rip_width=20))
    with pytest.raises(CuttingError, match="meet before"):
        PartDemand("wedge", 100.0, 100.0, 1, (45.0, 45.0))


def test_too_few_boards_are_refused() -> None:
    few = StockBoard("few", 1828.8, 139.7, available=2)
    with pytest.raises(NotEnoughBoards):
        plan_cuts([PartDemand("stave", 1000.0, 139.7, 3)], [few], SAW)


def test_trims_and_spares_are_kept() -> None:
    saw = SawSettings(kerf=3.175, end_trim=10.0, edge_trim=3.0, defect_allowance=0.1)
    demand = [PartDemand("rail", 900.0, 60.0, 20)]
    plan = plan_cuts(demand, [FENCE], saw)
    assert max(p.x + p.length for lay in plan.layouts for p in lay.pieces) <= 1828.8 - 20
    assert max(p.y + p.width for lay in plan.layouts for p in lay.pieces) <= 139.7 - 6
    assert plan.spare == math.ceil(plan.boards * 0.1)


@pytest.mark.thorough
def test_stopping_early_gives_the_plan_so_far() -> None:
    demand, stock, saw = board_question("planter", 3)
    whole = plan_cuts(demand, stock, saw, setup_time=0.0)
    with broken_off(lambda: False) as never:
        assert plan_cuts(demand, stock, saw, setup_time=0.0) == whole
    assert not never.came
    asked = 0

    def due() -> bool:
        nonlocal asked
        asked += 1
        return asked > after

    for after in (0, 3, 30):
        asked = 0
        with broken_off(due) as one:
            plan = plan_cuts(demand, stock, saw)
        assert one.came and asked > after
        assert complaints_of(plan, demand, stock, saw) == []
        assert whole.boards <= plan.boards <= first_plan(demand, stock, saw).boards
        # what is begun is brought to its end, and is no more than the work for set-ups
        assert plan.seconds < whole.seconds + SETUP_WORK


@pytest.mark.thorough
def test_setups_are_counted_and_traded() -> None:
    demand, stock, saw = board_question("crate", 10)
    told: list[str] = []
    plan = plan_cuts(demand, stock, saw, setup_time=1.0, progress=lambda what, _: told.append(what))
    rips = {s.setting for s in plan.setups.settings if s.stage == 2}
    assert rips == {p.width for p in demand if p.width < 139.7 - 1e-6} or len(rips) == 3
    keys = [(s.stage, s.kind, s.setting, s.angle) for s in plan.setups.settings]
    assert len(keys) == len(set(keys)) == plan.setups.count
    assert plan.setups.settings[0].stage == 1  # true boards: no first rip
    boards = [cover[0] for cover in plan.setups.trade]
    counts = [cover[1] for cover in plan.setups.trade]
    assert boards[0] == plan.boards
    assert counts[0] == plan.setups.count
    assert counts == sorted(counts, reverse=True)
    assert told
    boards_and_bounds = [re.fullmatch(r"(\d+) boards, at least (\d+)", what) for what in told]
    assert all(boards_and_bounds)
    pairs = [(int(one[1]), int(one[2])) for one in boards_and_bounds if one]
    assert pairs[-1] == (plan.boards, plan.lower_bound)
    assert [most for most, _ in pairs] == sorted((most for most, _ in pairs), reverse=True)
    assert [least for _, least in pairs] == sorted(least for _, least in pairs)


def test_the_json_has_the_agreed_keys() -> None:
    demand = [PartDemand("rail", 900.0, 60.0, 3, kit="front")]
    shown = plan_as_json(plan_cuts(demand, [FENCE], SAW))
    agreed = {"boards", "lower_bound", "proven", "yield", "kerf_mm", "stock", "layouts", "setups"}
    assert agreed <= set(shown)
    layout = shown["layouts"][0]
    assert {"count", "pieces", "cuts", "offcuts"} <= set(layout)
    piece = layout["pieces"][0]
    assert {"part", "x_mm", "y_mm", "length_mm", "width_mm"} <= set(piece)
    assert piece["kit"] == "front"


@pytest.mark.parametrize(
    ("widths_", "work"),
    [((38.0, 63.0, 70.0, 139.7), 1.5), thorough((tuple(range(20, 139, 2)), 4.0))],
)
def test_long_mixed_lists_end_in_time(widths_: tuple[float, ...], work: float) -> None:
    rng = random.Random(5)
    demand = [
        PartDemand(f"p{i}", round(rng.uniform(60, 900), 1), rng.choice(widths_), rng.randint(1, 6))
        for i in range(50)
    ]
    plan = plan_cuts(demand, [FENCE], SAW, time_limit=work, setup_time=0.0)
    assert plan.seconds < work * 1.2 + 1.0
    assert complaints_of(plan, demand, [FENCE], SAW) == []
