"""Boards against saw settings: of the whole batch in JSON, and told with boards and money."""

from __future__ import annotations

import itertools
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from palewright.cutting_stock import (
    CutPlan,
    PartDemand,
    SawSettings,
    StockBoard,
    Trade,
    plan_as_json,
    plan_cuts,
)
from palewright.sawing.stock_demands import StockDemand
from palewright.sawing.stock_plans import StockPlan, whole_trade
from palewright_drawings.json_reports.cut_plans import plans_as_json
from palewright_drawings.output.terminal import plain
from palewright_drawings.texts.cut_texts import plans_text

SAW = SawSettings(kerf=3.0)
FENCE = StockBoard("fence", 1828.8, 139.7, 3.40)
BATTEN = StockBoard("batten", 2438.4, 38.1, 2.10)


def planned(
    board: StockBoard, *parts: tuple[float, float, int], also: StockBoard | None = None
) -> StockPlan:
    asked = tuple(PartDemand(f"p{i}", *size) for i, size in enumerate(parts))
    kinds = [board] if also is None else [board, also]
    demand = StockDemand(board.name, None, board, asked, tuple(kinds[1:]))
    return StockPlan(demand, plan_cuts(asked, kinds, SAW, setup_time=0.0))


def with_trade(one: StockPlan, *choices: Trade) -> StockPlan:
    setups = replace(one.plan.setups, trade=choices)
    return replace(one, plan=replace(one.plan, setups=setups))


TWO = [
    with_trade(planned(FENCE, (900.0, 60.0, 6)), Trade(5, 9, 17.0), Trade(6, 7, 20.4)),
    with_trade(
        planned(BATTEN, (700.0, 38.1, 6)), Trade(2, 4, 4.2), Trade(3, 2, 6.3), Trade(4, 1, 8.4)
    ),
]  # fmt: skip


def test_the_trade_of_two_stocks_is_the_whole_batch_s() -> None:
    shown = plans_as_json(TWO)
    trade = shown["setups"]["trade"]
    sums = [(one["boards"], one["setups"], one["cost"]) for one in trade]
    assert sums == [(7, 13, 21.2), (8, 11, 23.3), (9, 9, 26.7), (10, 8, 28.8)]
    assert [one["boards"] for one in trade[1]["stocks"]] == [5, 3], "the cheaper of two as good"
    for one in trade:
        assert [part["name"] for part in one["stocks"]] == ["fence", "batten"]
        for key in ("boards", "setups", "cost"):
            assert round(sum(part[key] for part in one["stocks"]), 2) == one[key]
    for plan, stock in zip(TWO, shown["stocks"], strict=True):
        assert stock["trade"] == plan_as_json(plan.plan)["setups"]["trade"]


def test_a_batch_without_a_trade_tells_its_plans_as_the_only_choice() -> None:
    plans = [planned(FENCE, (900.0, 60.0, 6)), planned(BATTEN, (700.0, 38.1, 6))]
    (only,) = whole_trade(plans)
    assert [one.boards for one in only] == [one.plan.boards for one in plans]
    assert [one.setups for one in only] == [one.plan.setups.count for one in plans]


choices = st.lists(
    st.builds(Trade, st.integers(1, 9), st.integers(1, 9), st.integers(1, 50).map(float)),
    min_size=1,
    max_size=3,
)


@given(choices, choices)
def test_no_choice_of_the_whole_trade_is_beaten(one: list[Trade], other: list[Trade]) -> None:
    plans = [with_trade(TWO[0], *one), with_trade(TWO[1], *other)]
    found = whole_trade(plans)
    sums = [(sum(t.boards for t in c), sum(t.setups for t in c)) for c in found]
    every = [(a.boards + b.boards, a.setups + b.setups) for a, b in itertools.product(one, other)]
    assert set(sums) == {
        s for s in every if not any(e != s and e[0] <= s[0] and e[1] <= s[1] for e in every)
    }
    assert sums == sorted(sums)


def dearer(plan: CutPlan, more: int) -> CutPlan:
    """The same plan with so many more of its first boards, and a setting less."""
    first, *rest = plan.layouts
    settings = replace(plan.setups, settings=plan.setups.settings[:-1])
    layouts = (replace(first, count=first.count + more), *rest)
    cost = plan.cost + 3.40 * more if plan.cost else 0.0
    return replace(plan, layouts=layouts, boards=plan.boards + more, cost=cost, setups=settings)


def told(one: StockPlan, more: int) -> str:
    with_choice = replace(one, plan=replace(one.plan, instead=(dearer(one.plan, more),)))
    text = " ".join(plain(plans_text([with_choice], "inch")).split())
    return text[text.index("instead, ") : text.index(" saw settings and offcuts")]


def test_a_plan_with_fewer_settings_is_told_with_its_boards_and_its_money() -> None:
    one = planned(FENCE, (900.0, 60.0, 6))
    assert one.plan.boards == 2
    cuts = one.plan.setups.count
    assert told(one, 1) == (
        "instead, 1 board more: buy 3 x 72 in x 5-1/2 in for 10.20, 3.40 more; "
        f"{cuts - 1} saw settings, 1 fewer"
    )
    free = planned(replace(FENCE, price=0.0), (900.0, 60.0, 6))
    assert told(free, 2) == (
        f"instead, 2 boards more: buy 4 x 72 in x 5-1/2 in; {cuts - 1} saw settings, 1 fewer"
    )


def test_a_plan_from_boards_of_two_sizes_names_both() -> None:
    long = StockBoard("long", 2438.4, 139.7, 4.10)
    one = planned(FENCE, (1800.0, 139.7, 1), (2400.0, 139.7, 1), also=long)
    assert "buy 1 x 72 in x 5-1/2 in and 2 x 96 in x 5-1/2 in" in told(one, 1) or (
        "buy 2 x 72 in x 5-1/2 in and 1 x 96 in x 5-1/2 in" in told(one, 1)
    )
