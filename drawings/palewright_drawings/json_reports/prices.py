"""A priced batch as JSON-ready data. Amounts are text, decimals in the shop's currency."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from typing_extensions import TypedDict

from palewright.costing.batch_price import BatchPrice, BoxPrice, price_batch
from palewright.costing.board_choices import BoardChoice, cuts_of
from palewright.costing.currency import Currency
from palewright.costing.lumber_comparison import LumberPrice
from palewright.costing.selling_price import BreakEven, PricedPiece
from palewright.costing.shop_file import Shop
from palewright.design import Design
from palewright.reading.errors import InputError
from palewright_drawings.json_reports.boards_to_buy import boards_to_buy
from palewright_drawings.texts.shop_texts import figures_as_json


class OneBoxPriceJson(TypedDict):
    """What one box costs its maker, built alone, and what it must be sold for.

    Amounts are text in ``currency``, by the shop's ``figures``; ``minutes`` of work. ``sell_at``
    leaves the wanted margin, ``fees`` go off it, ``left`` is profit.
    """

    currency: str
    figures: str
    boards: str
    materials: str
    wage: str
    overhead: str
    packing: str
    cost: str
    minutes: float
    sell_at: str
    fees: str
    left: str


def one_box_price(design: Design, shop: Shop, source: str) -> OneBoxPriceJson | None:
    """Return the price of one box, as ``palewright price`` tells it of a batch of one.

    None where a part fits on no board: what is bought says so.

    Args:
        design: the box.
        shop: whose figures.
        source: where those come from, in words.

    Raises:
        InputError: for a margin that no price leaves, at its key of the shop's file.
    """
    if "refusal" in boards_to_buy(design):
        return None
    try:
        priced = price_batch([(design, 1)], shop)
    except InputError as error:
        raise error.at(file=source) from None
    (box,), coins = priced.boxes, shop.coins
    offer = box.offers[0]
    bought = [one.cost for one in priced.materials if one.unit == "boards"]
    return {
        "currency": coins.name,
        "figures": source,
        "boards": coins.text(sum(bought, Decimal(0))),
        "materials": coins.text(box.materials),
        "wage": coins.text(box.wage),
        "overhead": coins.text(box.overhead),
        "packing": coins.text(box.packing),
        "cost": coins.text(box.cost),
        "minutes": round(priced.minutes, 2),
        "sell_at": coins.text(offer.price),
        "fees": coins.text(offer.fees),
        "left": coins.text(offer.profit),
    }


def batch_as_json(priced: BatchPrice, shop: Shop) -> dict[str, Any]:
    """Return a batch.

    ``currency``; ``fits``: whether every variant does; ``figures``: how many of them are as
    shipped, by table, and ``cautions`` about them; ``count`` boxes; ``cost`` of the batch;
    ``minutes`` of the batch; ``proven``: whether no cut plan uses fewer boards; ``spare_parts``
    and ``spare_boards`` for knots and splits. ``choices``: for each stock the ``options`` found,
    fewest boards first, each with ``boards``, saw ``settings``, ``cuts`` and the batch's
    ``cost``; ``chosen`` counts them from 0. ``materials``: a row each with ``needed`` in
    ``unit``, ``packs`` (``name``, ``holds``, ``price``, ``count``), ``charged`` (``whole``
    packages or ``by use``), ``listed`` (false: a general price was taken), ``cost``. ``work``: a
    row an operation with ``times`` in ``unit``, ``minutes_each`` once learned, ``minutes``,
    ``setup``. ``learning``: which model, and its rate in percent. ``boxes``: a row a variant, see
    ``box_as_json``.
    """
    coins = shop.coins
    return {
        "currency": coins.name,
        "fits": all(box.design.verdict.passed for box in priced.boxes),
        "figures": figures_as_json(shop, [box.design for box in priced.boxes], priced.plans),
        "count": priced.count,
        "cost": coins.text(priced.cost),
        "minutes": round(priced.minutes, 2),
        "proven": not priced.unproven,
        "spare_parts": priced.spare_parts,
        "spare_boards": priced.spare_boards,
        "choices": [_choice(choice, coins) for choice in priced.choices],
        "materials": [
            {
                "name": one.name,
                "needed": round(one.needed, 4),
                "unit": one.unit,
                "charged": "whole" if one.whole else "by use",
                "listed": one.listed,
                "packs": [
                    {"name": p.name, "holds": p.holds, "price": str(p.price), "count": count}
                    for p, count in one.packs
                ],
                "cost": coins.text(one.cost),
            }
            for one in priced.materials
        ],
        "work": [
            {
                "name": one.name,
                "times": round(one.times, 4),
                "unit": one.unit,
                "minutes_each": one.pace,
                "minutes": round(one.total, 2),
                "setup": one.setup,
            }
            for one in priced.operations
        ],
        "learning": {"model": shop.learning.model, "rate_percent": shop.learning.rate},
        "boxes": [box_as_json(box, coins) for box in priced.boxes],
    }


def sizes_as_json(batches: Sequence[BatchPrice], shop: Shop, source: str) -> dict[str, Any]:
    """Return one box in batches of several sizes: ``figures`` in words, ``shop``, ``batches``."""
    return {
        "figures": source,
        "shop": shop.model_dump(mode="json"),
        "batches": [batch_as_json(batch, shop) for batch in batches],
    }


def _choice(choice: BoardChoice, coins: Currency) -> dict[str, Any]:
    """Return what there was to choose from for one stock."""
    return {
        "stock": choice.stock,
        "chosen": choice.chosen,
        "options": [
            {
                "boards": option.plan.boards,
                "settings": option.plan.setups.count,
                "cuts": cuts_of(option.plan),
                "cost": coins.text(option.cost),
            }
            for option in choice.options
        ],
    }


def box_as_json(box: BoxPrice, coins: Currency) -> dict[str, Any]:
    """Return one variant of a batch.

    ``materials``, ``wage``, ``overhead``, ``packing``, ``cost``: of all its boxes; ``unit_cost``
    of one, to the coin. ``offers``: the price for the wanted margin, then those asked for, with
    ``fees``, ``profit``, ``margin`` and ``markup`` (shares; markup null where nothing is spent).
    ``break_even``, at the first price and beside each offer: how many ``of_batch`` pay for the
    batch and a stall, null where all of them do not; how many ``a_month`` pay overhead and a
    stall, null where none do. Both null at a loss. ``fits`` and ``faults``: as ``check`` finds it.
    ``parcel``: mm and kg; ``cost`` null where refused.
    """
    sent = box.shipment
    return {
        "variant": box.design.name,
        "title": box.design.parameters.product.title,
        "count": box.count,
        "materials": coins.text(box.materials),
        "wage": coins.text(box.wage),
        "overhead": coins.text(box.overhead),
        "packing": coins.text(box.packing),
        "cost": coins.text(box.cost),
        "unit_cost": coins.text(box.unit_cost),
        "setup_minutes": round(box.setup_minutes, 2),
        "hand_minutes": round(box.hand_minutes, 2),
        "fits": box.design.verdict.passed,
        "faults": box.design.verdict.faults,
        "offers": [
            {**_offer(offer, coins), "break_even": _break_even(paid)}
            for offer, paid in zip(box.offers, box.paid, strict=True)
        ],
        "break_even": _break_even(box.paid[0]),
        "mass_kg": round(box.work.mass_kg + box.work.screws_kg, 4),
        "finish_m2": round(box.work.finish_m2, 4),
        "parcel": {
            "sides_mm": list(sent.sides),
            "girth_mm": sent.girth,
            "mass_kg": round(sent.mass, 3),
            "dimensional_kg": round(sent.dimensional, 3),
            "billed_kg": round(sent.billed, 3),
            "cost": None if sent.cost is None else coins.text(sent.cost),
            "refusal": sent.refusal,
        },
    }


def _offer(offer: PricedPiece, coins: Currency) -> dict[str, Any]:
    """Return what is left of one price."""
    return {
        "price": coins.text(offer.price),
        "fees": coins.text(offer.fees),
        "profit": coins.text(offer.profit),
        "margin": round(float(offer.margin), 6),
        "markup": None if offer.markup is None else round(float(offer.markup), 6),
    }


def _break_even(paid: BreakEven) -> dict[str, int | None]:
    """Return how many must be sold at one price."""
    return {"of_batch": paid.batch, "a_month": paid.month}


def comparison_as_json(rows: Sequence[LumberPrice], shop: Shop) -> dict[str, Any]:
    """Return the same batch from several lumbers: ``lumbers``, a batch each with its ``lumber``.

    Where the batch cannot be made of one, there is a ``refusal`` instead, and ``fits`` is false.
    """
    return {
        "lumbers": [
            {"lumber": one.lumber, **batch_as_json(one.batch, shop)}
            if one.batch
            else {"lumber": one.lumber, "fits": False, "refusal": one.refusal}
            for one in rows
        ]
    }
