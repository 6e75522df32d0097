"""Fewest boards, or a board more and fewer saw settings: whichever makes the batch cheaper.

The cut plan finds the fewest boards, and beside them plans of a board or two more whose saw is set
less often. A setting takes minutes that cost wage and overhead, a board costs its price.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from palewright.costing.materials import board_price
from palewright.costing.shop_file import Shop
from palewright.cutting_stock import CutPlan, Labour
from palewright.sawing.stock_demands import StockDemand
from palewright.sawing.stock_plans import StockPlan


@dataclass(frozen=True, slots=True)
class BoardOption:
    """One way to cut the boards of a stock.

    Attributes:
        plan: how.
        cost: what the whole batch costs then, all else as chosen.
    """

    plan: CutPlan
    cost: Decimal


@dataclass(frozen=True, slots=True)
class BoardChoice:
    """What there was to choose from for one stock, fewest boards first.

    Attributes:
        stock: its name.
        options: one or more.
        chosen: place of the one that is taken, the cheapest; of equals the fewer boards.
    """

    stock: str
    options: tuple[BoardOption, ...]
    chosen: int

    @property
    def proven(self) -> bool:
        """Whether no plan uses fewer boards than the first option."""
        return any(option.plan.proven for option in self.options)


def saw_labour(
    demand: StockDemand, shop: Shop, counts: Sequence[int], made_before: Sequence[int]
) -> Labour:
    """Return what work at the saw costs in a batch, blades counted.

    A shop's own price of a board stands instead of the stock's.

    Args:
        demand: what is asked of the stock.
        shop: what it pays and how long it takes.
        counts: boxes of each variant in the batch.
        made_before: of each variant; a cut takes what it takes on average over all boxes.
    """
    told = shop.minutes
    minute = float(shop.rates.wage + shop.overhead_an_hour) / 60
    quicker = sum(
        count * shop.curve.average(count, made)
        for count, made in zip(counts, made_before, strict=True)
    ) / sum(counts)
    learned = minute * quicker
    blade = float(shop.wear.blade) / shop.wear.blade_cuts
    return Labour(
        setting=told.saw_setting * minute,
        crosscut=told.crosscut * learned + blade,
        rip=told.rip * learned + blade,
        board=told.board * learned + float(board_price(demand, shop)) - demand.board.price,
    )


def cheapest_boards(
    plans: Sequence[StockPlan], cost: Callable[[Sequence[StockPlan]], Decimal]
) -> tuple[list[StockPlan], tuple[BoardChoice, ...]]:
    """Return the plans that make a batch cheapest, and what there was to choose from.

    Stock by stock: boards of one stock have no part in what another's cost, but for coins rounded.

    Args:
        plans: of the fewest boards, each with those found beside it.
        cost: what a batch costs whose boards are cut so.
    """
    taken, choices = list(plans), []
    for i, plan in enumerate(plans):
        options = []
        found = {_size(one): one for one in (*plan.plan.instead, plan.plan)}
        for _, one in sorted(found.items()):
            taken[i] = replace(plan, plan=one)
            options.append(BoardOption(one, cost(taken)))
        best = min(range(len(options)), key=lambda k: (options[k].cost, k))
        taken[i] = replace(plan, plan=options[best].plan)
        choices.append(BoardChoice(plan.demand.name, tuple(options), best))
    return taken, tuple(choices)


def _size(plan: CutPlan) -> tuple[int, int, int]:
    """Return boards, saw settings and cuts of a plan: the order in which plans are told."""
    return plan.boards, plan.setups.count, cuts_of(plan)


def cuts_of(plan: CutPlan) -> int:
    """Return how many passes of the saw a plan takes."""
    return plan.setups.passes()
