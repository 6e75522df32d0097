"""What the page shows of a cut plan: layouts, saw settings, where each board comes from, price."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from palewright.design import Design
from palewright.sawing.stock_demands import demands_of, saw_of
from palewright.sawing.stock_plans import StockPlan, plan_demands
from palewright_drawings.page.jobs.shop_figures import kept_figures

if TYPE_CHECKING:
    from palewright.costing.batch_price import BatchPrice
    from palewright.sawing.numbered_plans import NumberedPlan

PLAN_WORK = 4.0
"""Counted work for proving one stock's boards: it ends before its worker is taken away, on a busy
machine too. A first plan is shown until then."""


def best_plans(design: Design) -> list[StockPlan]:
    """Return the plans of one box, proven where the work suffices.

    Raises:
        InputError: if a part does not fit its stock.
    """
    demands, saw = demands_of([(design, 1)]), saw_of(design.parameters)
    return plan_demands(demands, saw, (), PLAN_WORK, setup_seconds=0.0)


def priced_plan(design: Design) -> dict[str, Any]:
    """Return the plan that makes one box cheapest, work at the saw counted, as the page shows it.

    It is the plan and the price of ``palewright price``, which may take a board more and fewer saw
    settings. Beside what ``plan_shown`` gives: ``fewest``, the boards of the plan of the fewest.
    With spare parts it is ``price`` alone: their boards are no part of the box that is shown.

    Raises:
        InputError: if a part does not fit its stock.
    """
    from palewright.costing.batch_price import price_batch

    shop, _ = kept_figures()
    found = price_batch([(design, 1)], shop)
    if found.spare_parts or found.spare_boards:
        return {"price": _price(design, found.plans, found)}
    fewest = sum(choice.options[0].plan.boards for choice in found.choices)
    proven = not found.unproven and fewest == sum(one.plan.boards for one in found.plans)
    shown = {"fewest": fewest, "proven": proven}
    return {**plan_shown(design, found.plans, found), **shown}


def plan_shown(
    design: Design, plans: Sequence[StockPlan], settled: BatchPrice | None = None
) -> dict[str, Any]:
    """Return plans of one box as the page shows them; lengths of layouts in mm, the rest as text.

    Beside what ``palewright cut --json`` says: ``outline`` of each piece, ``numbers`` of each
    layout's boards, ``saw`` (stocks, steps, settings), ``origins`` by board name (board, piece,
    layout and place in it), ``price``.

    Args:
        design: the box.
        plans: of its boards.
        settled: its price where that was sought with these plans; else a first price is made.
    """
    from palewright_drawings.documents.plan.numbered_cuts import origins
    from palewright_drawings.documents.plan.sections import saw_list

    found, numbered = layouts_shown(plans)
    found["saw"] = saw_list(numbered, design.parameters.product.units)
    found["origins"] = {
        name: {"board": one.board, "piece": one.piece, "layout": one.layout, "place": one.place}
        for name, one in origins(design, numbered).items()
    }
    found["price"] = _price(design, plans, settled)
    return found


def layouts_shown(plans: Sequence[StockPlan]) -> tuple[dict[str, Any], list[NumberedPlan]]:
    """Return plans as ``cut --json`` says them, ready to be drawn, and the same with numbers.

    Beside what that says: ``outline`` of each piece, ``numbers`` of each layout's boards.
    """
    from palewright.sawing.numbered_plans import numbered_plans
    from palewright_drawings.documents.plan.layout_pictures import piece_outline
    from palewright_drawings.json_reports.cut_plans import plans_as_json

    numbered = numbered_plans(plans)
    found = plans_as_json(plans)
    laid = [layout for plan in numbered for layout in plan.layouts]
    for one, shown in zip(laid, found["layouts"], strict=True):
        shown["numbers"] = list(one.boards)
        for piece, told in zip(one.layout.pieces, shown["pieces"], strict=True):
            told["outline"] = [[round(x, 2), round(y, 2)] for x, y in piece_outline(piece)]
    return found, numbered


def _price(
    design: Design, plans: Sequence[StockPlan], settled: BatchPrice | None
) -> dict[str, Any]:
    """Return what one box costs and should fetch, as text, and whether that is settled.

    ``figures`` says whose rates it is made of. Until it is settled, work at the saw is not weighed
    against boards, and spare parts are left out: the settled price is another.
    """
    from palewright.costing.batch_price import priced
    from palewright.costing.box_takeoff import work_of

    shop, source = kept_figures()
    found = settled or priced([(design, 1, work_of(design, shop.finish.faces))], plans, shop)
    one, money = found.boxes[0], shop.coins
    return {
        "currency": shop.money.currency,
        "cost": money.text(one.cost),
        "ask": money.text(one.offers[0].price),
        "figures": source,
        "settled": settled is not None,
    }
