"""Saw lists followed to the letter: every piece comes out as its part's exact outline."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from case_lists import mostly_thorough, tried
from palewright.cutting_stock import (
    CutPlan,
    PartDemand,
    SawSettings,
    StockBoard,
    first_plan,
    plan_as_json,
)
from palewright.cutting_stock.problem.integer_units import UNITS
from palewright.cutting_stock.sawing.crosscuts import RowPiece, spread_row, strip_cuts
from palewright.design import design
from palewright.parameters.variant_files import load_variant
from palewright.sawing.saw_lists import saw_steps
from palewright.sawing.stock_demands import demands_of, saw_of
from palewright.sawing.stock_plans import first_plans
from saw_replay import Sold, miscut

VARIANTS = sorted(p.stem for p in (Path(__file__).parents[2] / "variants").glob("*.toml"))
INCH = 25.4


@pytest.mark.parametrize("boxes", mostly_thorough([1, 3], 3))
@pytest.mark.parametrize("name", VARIANTS)
def test_every_variant_comes_off_the_saw_as_drawn(name: str, boxes: int) -> None:
    # ends out of square by up to 2 mm, boards as long and wide as they may come
    box = design(load_variant(name).parameters, name)
    saw = saw_of(box.parameters)
    for one in first_plans(demands_of([(box, boxes)]), saw):
        stock = one.demand.stock
        assert stock is not None
        clip = (stock.clipped_end, stock.clipped_end)
        sold = Sold(one.demand.name, stock.length, stock.width, clip, min(2.0, saw.end_trim))
        assert miscut(plan_as_json(one.plan), [sold], saw.end_trim) == []
        safe = saw.safe_rip_width
        rips = [s for s in one.plan.setups.settings if s.stage == 2]
        assert all(rip.setting >= safe - 1e-6 for rip in rips)
        true = [s for s in one.plan.setups.settings if s.stage == 0]
        assert bool(true) == (stock.width > stock.true_width)


slants = st.sampled_from([-60.0, -38.0, -26.0, -12.5, 0.0, 0.0, 12.5, 26.0, 38.0, 45.0, 66.0])

sizes = st.tuples(
    st.integers(60, 900),
    st.sampled_from([40, 57, 140]),
    st.integers(1, 5),
    slants,
    slants,
)


@settings(max_examples=tried(60), deadline=None, suppress_health_check=list(HealthCheck))
@given(
    st.lists(sizes, min_size=1, max_size=5),
    st.sampled_from([0.0, 6.0]),
    st.sampled_from([0.0, 19.0]),
    st.sampled_from(["best", "rip-first"]),
)
def test_any_sequence_of_angles_comes_off_the_saw_as_drawn(
    wanted: list[tuple[int, int, int, float, float]], trim: float, clip: float, order: str
) -> None:
    # no part is so short that its slants, at most 66 degrees, meet within it
    demand = [
        PartDemand(f"p{i}", length + 4.5 * width, width, count, (left, right))
        for i, (length, width, count, left, right) in enumerate(wanted)
    ]
    demand = [part for part in demand if part.width < 100 or not any(part.end_angles)]
    if not demand:
        return
    saw = SawSettings(kerf=3.0, end_trim=trim, order=order)  # type: ignore[arg-type]
    board = StockBoard("b", 2400.0, 140.0, clipped_end=clip, sold_length=2410.0 if trim else 0.0)
    plan = first_plan(demand, [board], saw)
    sold = Sold("b", 2410.0 if trim else 2400.0, 140.0, (clip, clip), min(trim, 2.0))
    assert miscut(plan_as_json(plan), [sold], trim) == []


def test_points_that_meet_leave_room_for_a_slanted_kerf_by_hand() -> None:
    # 38 and 12.5 degrees meet at their points: the kerf of 3 mm along 12.5 degrees takes
    # 3 / cos 12.5 = 3.073 mm; where the strip has no such room a square cut parts them
    kerf, one = 3 * UNITS, RowPiece(0, 500 * UNITS, (0.0, -38.0))
    other = RowPiece(503 * UNITS, 400 * UNITS, (-12.5, 0.0))
    roomy, tight = (spread_row([one, other], kerf, spare * UNITS) for spare in (1, 0))
    moved = (roomy[1].start - tight[1].start) / UNITS
    assert tight == [one, other]
    assert moved == pytest.approx(3 / math.cos(math.radians(12.5)) - 3, abs=2 / UNITS)
    sizes = 40 * UNITS, kerf
    told = [
        [(cut.angle, round(cut.setting, 2)) for cut in strip_cuts(row, sizes, exact=False)]
        for row in (roomy, tight)
    ]
    # the first blank's lower edge is longer by the slant of 40 x tan 12.5
    slant = round(500 + 40 * math.tan(math.radians(12.5)), 2)
    assert told[0] == [(0.0, 903.07), (-12.5, slant), (38.0, 500.0)]
    assert told[1] == [(0.0, 500.0), (0.0, 400.0), (-12.5, 0.0), (38.0, 500.0)]


def trimmed() -> CutPlan:
    demand = [
        PartDemand("a", 71.5 * INCH, 5.5 * INCH, 2),
        PartDemand("b", (35 + 11 / 16) * INCH, 5.5 * INCH, 2),
    ]
    saw = SawSettings(kerf=INCH / 8, end_trim=INCH / 4)
    return first_plan(demand, [StockBoard("b", 72 * INCH, 5.5 * INCH)], saw)


def test_trim_is_cut_off_both_ends_by_hand() -> None:
    # by hand: square one end of 3 boards, then stop 71-1/2 twice, stop 35-11/16 twice
    plan = trimmed()
    told = [(s.stage, round(s.setting / INCH, 4), s.cuts) for s in plan.setups.settings]
    assert told == [(1, 71.5, 2), (1, 35.6875, 2)]
    assert plan.setups.squaring is not None
    assert plan.setups.squaring.cuts == 3
    assert plan.setups.passes("crosscut") == 7
    assert saw_steps(plan)[0].stage == -1
    sold = Sold("b", 72 * INCH, 5.5 * INCH, skew=2.0)
    assert miscut(plan_as_json(plan), [sold], INCH / 4) == []


def test_the_replay_sees_a_cut_that_is_left_out() -> None:
    plan = plan_as_json(trimmed())
    plan["layouts"][0]["cuts"].pop()
    assert miscut(plan, [Sold("b", 72 * INCH, 5.5 * INCH, skew=2.0)], INCH / 4)
