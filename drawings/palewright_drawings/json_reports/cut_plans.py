"""Cut plans as JSON-ready data, for other tools."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from palewright.cutting_stock import Trade, plan_as_json
from palewright.sawing.stock_plans import StockPlan, whole_trade


def plans_as_json(plans: Sequence[StockPlan]) -> dict[str, Any]:
    """Return the plans of a batch as one object; lengths in mm.

    The numbers at the top are of the whole batch; ``stock`` is the size of the first stock's
    boards, and each layout names its own. ``stocks`` has the same numbers stock by stock. Each
    choice of the ``trade`` has its sums and what it takes of each stock.
    """
    each = [plan_as_json(one.plan) for one in plans]
    whole = dict(each[0])
    for key in ("boards", "lower_bound", "gap", "cost", "cost_bound", "offcuts_used"):
        whole[key] = sum(one[key] for one in each)
    whole["cost"], whole["cost_bound"] = round(whole["cost"], 2), round(whole["cost_bound"], 2)
    whole["spare_boards"] = sum(one["spare_boards"] for one in each)
    whole["linear_bound"] = round(sum(one["linear_bound"] for one in each), 4)
    whole["proven"] = all(one["proven"] for one in each)
    whole["yield"] = round(_whole_yield(plans), 4)
    whole["boards_used"] = [kind for one in each for kind in one["boards_used"]]
    whole["layouts"] = list(_layouts(each))
    whole["setups"] = {
        "count": sum(one["setups"]["count"] for one in each),
        **{
            key: [
                {**setting, "stock": plan.demand.name}
                for plan, one in zip(plans, each, strict=True)
                for setting in one["setups"][key]
            ]
            for key in ("settings", "squaring")
        },
        "trade": [_traded(choice, plans) for choice in whole_trade(plans)],
    }
    whole["stocks"] = [
        {"name": plan.demand.name, "trade": one["setups"]["trade"]}
        | {key: one[key] for key in ("boards", "lower_bound", "proven", "yield", "cost", "stock")}
        for plan, one in zip(plans, each, strict=True)
    ]
    return whole


def _layouts(each: Sequence[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    """Yield all layouts, the lines of their cuts counted through all stocks."""
    line = 0
    for one in each:
        for layout in one["layouts"]:
            cuts = [{**cut, "line": cut["line"] + line} for cut in layout["cuts"]]
            yield {**layout, "cuts": cuts}
        line += len(one["setups"]["settings"])


def _traded(choice: Sequence[Trade], plans: Sequence[StockPlan]) -> dict[str, Any]:
    """Return one choice of the whole batch: its sums, and what each stock has part in them."""
    shown = [
        {
            "name": plan.demand.name,
            "boards": one.boards,
            "setups": one.setups,
            "cost": round(one.cost, 2),
        }
        for one, plan in zip(choice, plans, strict=True)
    ]
    return {
        "boards": sum(one.boards for one in choice),
        "setups": sum(one.setups for one in choice),
        "cost": round(sum(one.cost for one in choice), 2),
        "stocks": shown,
    }


def _whole_yield(plans: Sequence[StockPlan]) -> float:
    """Return the share of all boards' area that becomes parts."""
    used = [
        sum(lay.count * lay.stock_length * lay.stock_width for lay in one.plan.layouts)
        for one in plans
    ]
    made = sum(one.plan.yield_ * area for one, area in zip(plans, used, strict=True))
    return made / sum(used) if sum(used) else 0.0
