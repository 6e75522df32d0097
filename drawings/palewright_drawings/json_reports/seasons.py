"""A season's plan as JSON-ready data and as CSV. Amounts are text, days are ISO 8601."""

from __future__ import annotations

import csv
import datetime
import io
from typing import Any

from palewright.costing.materials import Material
from palewright.costing.shop_file import Shop
from palewright.season.backward_schedule import WEEK
from palewright.season.joint_batches import boards_of
from palewright.season.purchases import paid_for, purchases_of
from palewright.season.season_plan import PlannedOffer, SeasonPlan
from palewright_drawings.texts.season_texts import begins_for, boards_to_buy
from palewright_drawings.texts.shop_texts import figures_as_json

CSV_HEADER = ("week_begins", "week_ends", "market", "offer", "variant", "work", "first", "last",
              "of", "hours")  # fmt: skip


def season_as_json(plan: SeasonPlan, shop: Shop) -> dict[str, Any]:
    """Return a season.

    ``currency``; ``figures``: how many of the shop's are as shipped; ``begins``: first day of the
    latest week to begin in, null where nothing is built; ``earns``: on average after ``stalls``,
    before overhead; ``boards`` of all boxes; ``unseen``: offers that nobody looked at before the
    search was over, none of which are built. ``offers``: a row each with ``build``, ``no_limits``
    (the best number, were hours and boards not scarce), ``boards``, ``hours``, ``sold`` on
    average, ``all_sold`` (a chance), ``takes``, ``spends``, ``earns``, shares of a batch where
    they are built together; ``alone``: ``boards`` and ``unit_cost`` of its boxes as a batch of
    their own, as ``price`` has them, null where none are built. ``together``: a row each such
    batch with its ``market``, ``offers`` and what it saves; ``boards_saved`` is below 0 where a
    board more saves work at the saw. ``markets``: a row each with ``opens``, ``ready_by``,
    ``begin_by``, ``hours_there`` before it, ``buy`` (boards by stock). ``buy``: a row a thing that
    the whole season needs with ``needed`` in ``unit``, ``packages`` (``of`` what each holds,
    ``count``, ``price``) and what these cost. ``weeks``: a row a stint with ``begins``,
    ``offer``, ``work``, ``first`` and ``last`` of ``of`` boxes, ``hours``.
    """
    coins = shop.coins
    plans = [stock for batch in plan.every_batch for stock in batch.plans]
    return {
        "title": plan.file.season.title,
        "currency": coins.name,
        "figures": figures_as_json(shop, [one.design for one in plan.choices], plans),
        "begins": _day(plan.begins),
        "earns": coins.text(plan.earns),
        "stalls": coins.text(plan.stalls),
        "boards": plan.boards,
        "unseen": list(plan.unseen),
        "offers": [
            {
                "offer": one.name,
                "variant": one.design.name,
                "market": one.offer.market,
                "build": one.boxes,
                "no_limits": one.alone,
                "boards": one.boards,
                "hours": round(one.hours, 3),
                "sold": round(one.sold, 4),
                "all_sold": round(one.none_left, 6),
                "takes": coins.text(one.takes),
                "spends": coins.text(one.spends),
                "earns": coins.text(one.earns),
                "alone": _alone(one, shop),
            }
            for one in plan.choices
        ],
        "together": [
            {
                "market": one.market,
                "offers": list(one.offers),
                "boards_saved": one.boards_saved,
                "hours_saved": round(one.hours_saved, 3),
                "saves": coins.text(one.saves),
            }
            for one in plan.together
        ],
        "markets": [
            {
                "market": name,
                "title": plan.file.market[name].title,
                "opens": _day(plan.file.market[name].opens),
                "ready_by": _day(plan.file.ready_by(name)),
                "begin_by": _day(begins_for(plan, name)),
                "hours_there": there,
                "buy": boards_to_buy(plan, name),
            }
            for name, there in plan.hours_there.items()
        ],
        "buy": [_purchase(line, shop) for line in purchases_of(plan.every_batch, shop)],
        "weeks": [
            {
                "begins": _day(one.begins),
                "offer": one.offer,
                "work": one.work,
                "first": one.first,
                "last": one.last,
                "of": one.boxes,
                "hours": round(one.hours, 4),
            }
            for one in plan.stints
        ],
    }


def _purchase(line: Material, shop: Shop) -> dict[str, Any]:
    """Return one thing that the whole season buys."""
    return {
        "name": line.name,
        "needed": round(line.needed, 4),
        "unit": line.unit,
        "packages": [
            {
                "of": f"{line.holds or pack.holds:g} {line.unit}",
                "count": count,
                "price": str(pack.price),
            }
            for pack, count in line.packs
        ],
        "cost": shop.coins.text(paid_for(line)),
    }


def _alone(one: PlannedOffer, shop: Shop) -> dict[str, Any] | None:
    """Return an offer's boxes as a batch of their own."""
    if one.batch is None:
        return None
    cost = shop.coins.text(one.batch.boxes[0].unit_cost)
    return {"boards": boards_of(one.batch), "unit_cost": cost}


def season_csv(plan: SeasonPlan) -> bytes:
    """Return the build plan as CSV: a row a stint, in order of time; UTF-8, lines end in CRLF."""
    by_name = {one.name: one for one in plan.choices}
    text = io.StringIO()
    rows = csv.writer(text)
    rows.writerow(CSV_HEADER)
    for one in plan.stints:
        choice = by_name[one.offer]
        last = one.begins + WEEK - datetime.timedelta(days=1)
        rows.writerow(
            (one.begins, last, choice.offer.market, one.offer, choice.design.name, one.work,
             one.first, one.last, one.boxes, f"{one.hours:.2f}")
        )  # fmt: skip
    return text.getvalue().encode()


def _day(day: datetime.date | None) -> str | None:
    """Return a day as text."""
    return None if day is None else day.isoformat()
