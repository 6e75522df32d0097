"""The cut plans of a batch of boxes: one for each stock that its boards are cut from."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from palewright.cutting import CutPlan, Labour, Offcut, SawSettings, Trade, first_plan, plan_cuts
from palewright.demands import StockDemand

SECONDS = 30.0
"""Time that proving one stock's boards may take before the best plan so far is taken."""

STEADY_SECONDS = 12.0
"""Time in which one stock's boards must be proven where every run has to find the same plan."""

SETUP_SECONDS = 2.0
"""Time for fewer saw settings; a third fewer are found than in half of it."""


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
    seconds: float = SECONDS,
    setup_seconds: float = SETUP_SECONDS,
    progress: Callable[[str, float], None] | None = None,
    labour: Callable[[StockDemand], Labour] | None = None,
) -> list[StockPlan]:
    """Return a plan for each stock.

    Args:
        demands: what is asked, stock by stock.
        saw: how the shop saws, mm.
        offcuts: pieces on hand, mm; they serve the first stock, the boards of the panels.
        seconds: time for proving each stock's boards.
        setup_seconds: time for finding fewer saw settings, down to half of it where the proof
            took long; with 0, or with infinity for a counted search, the same demand always has
            the same layouts, whatever else the machine does, once its boards are proven.
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


def steady_plans(
    demands: Sequence[StockDemand], saw: SawSettings, settings: bool = False
) -> list[StockPlan]:
    """Return a plan for each stock that is the same on every day and machine, and proven.

    A search that the clock cuts off may differ from run to run, and a packet must not: where the
    proof does not come in time (that of one box takes well under a second), a first plan is taken.

    Args:
        demands: what is asked, stock by stock.
        saw: how the shop saws, mm.
        settings: whether fewer saw settings are sought too, which takes a second or two.

    Raises:
        InputError: if a part does not fit its stock.
    """
    plans = []
    for demand in demands:
        (found,) = plan_demands([demand], saw, (), STEADY_SECONDS, math.inf if settings else 0.0)
        if found.plan.proven:
            plans.append(replace(found, plan=replace(found.plan, seconds=0.0)))
        else:
            plans += first_plans([demand], saw)
    return plans


def first_plans(demands: Sequence[StockDemand], saw: SawSettings) -> list[StockPlan]:
    """Return a first plan for each stock: at once, unproven, the same on every day and machine.

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
