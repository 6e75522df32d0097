"""The cut plans of a batch of boxes: one for each stock that its boards are cut from."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from palewright.cutting_stock import (
    SETUP_WORK,
    WORK,
    CutPlan,
    Labour,
    Offcut,
    SawSettings,
    Trade,
    first_plan,
    plan_cuts,
)
from palewright.sawing.stock_demands import StockDemand


@dataclass(frozen=True, slots=True)
class StockPlan:
    """What is asked of one stock, how it is cut, and the offcuts on hand that could be used."""

    demand: StockDemand
    plan: CutPlan
    offcuts: tuple[Offcut, ...] = ()


def plan_demands(
    demands: Sequence[StockDemand],
    saw: SawSettings,
    offcuts: Sequence[Offcut] = (),
    seconds: float = WORK,
    setup_seconds: float = SETUP_WORK,
    progress: Callable[[str, float], None] | None = None,
    labour: Callable[[StockDemand], Labour] | None = None,
) -> list[StockPlan]:
    """Return a plan for each stock, the same on every day and machine.

    Args:
        demands: what is asked, stock by stock.
        saw: how the shop saws, mm.
        offcuts: pieces on hand, mm; they serve the first stock, the boards of the panels.
        seconds: counted work for proving each stock's boards, in seconds of a quiet core.
        setup_seconds: counted work for fewer saw settings, what fewer would cost, and longer
            offcuts; 0 for none of it, ``cutting.FEWER_SETTINGS`` for the first alone.
        progress: told what is being done and the share done.
        labour: what work at the saw costs, stock by stock; then the cheapest plan with it is
            sought instead of fewer settings.

    Raises:
        InputError: if a part does not fit its stock.
    """
    plans = []
    for i, demand in enumerate(demands):
        on_hand = list(offcuts) if i == 0 else []
        plan = plan_cuts(
            demand.parts,
            [demand.board, *demand.also, *on_hand],
            saw,
            time_limit=seconds,
            setup_time=setup_seconds,
            labour=labour(demand) if labour else None,
            progress=progress,
        )
        plans.append(StockPlan(demand, plan, tuple(on_hand)))
    return plans


def first_plans(demands: Sequence[StockDemand], saw: SawSettings) -> list[StockPlan]:
    """Return a first plan for each stock: at once, and unproven.

    Raises:
        InputError: if a part does not fit its stock.
    """
    return [StockPlan(demand, first_plan(demand.parts, [demand.board], saw)) for demand in demands]


def whole_trade(plans: Sequence[StockPlan]) -> list[tuple[Trade, ...]]:
    """Return boards against saw settings of all stocks together: a choice a stock, in their order.

    The first is the plans as they are; each further one takes more boards and fewer settings than
    the one before it. Of as many boards and settings the cheapest is taken.
    """
    each = [
        one.plan.setups.trade or (Trade(one.plan.boards, one.plan.setups.count, one.plan.cost),)
        for one in plans
    ]
    kept: list[tuple[Trade, ...]] = []
    for choice in sorted(itertools.product(*each), key=_summed):
        if not kept or _summed(choice)[1] < _summed(kept[-1])[1]:
            kept.append(choice)
    return kept


def _summed(choice: Sequence[Trade]) -> tuple[int, int, float]:
    """Return a choice's boards, settings and cost, all stocks together."""
    boards, setups, costs = zip(*choice, strict=True)
    return sum(boards), sum(setups), sum(costs)
