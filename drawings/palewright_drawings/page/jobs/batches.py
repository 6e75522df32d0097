"""A batch of the maker's own designs, cut and priced together."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from palewright.design import Design
from palewright.reading.errors import InputError
from palewright_drawings.output.progress import Progress, Shares
from palewright_drawings.page.jobs.asked_variants import read_asked
from palewright_drawings.page.jobs.plan_snapshot import layouts_shown
from palewright_drawings.page.jobs.shop_figures import kept_figures

MOST_KINDS = 24
"""Designs in one batch: a judgement, more than a shop's stand shows."""

MOST_BOXES = 100
"""Boxes of one design: as many as the jigs of a batch are thought for."""

BATCH_WORK = 60.0
"""Counted work for proving each stock's boards: it ends before its worker is taken away."""


def priced_batch(request: Mapping[str, Any], progress: Progress) -> dict[str, Any]:
    """Return what a batch takes and costs; ``boxes``: what is asked of each, and its ``count``.

    It is the price and the plan of ``palewright price``: ``boards``, ``proven``, ``settings``,
    ``hours``, ``cost``, ``currency``, ``boxes`` (``title``, ``count``, ``each``, ``ask``), and
    ``layouts`` as `plan_shown` gives them, in ``units`` of the first.

    Raises:
        InputError: for a box that cannot be built, or counts that are none.
    """
    from palewright.costing.batch_price import price_batch

    batch = _batch(request.get("boxes"))
    shop, _ = kept_figures()
    told = Shares(progress, "the batch")
    found = price_batch(batch, shop, seconds=BATCH_WORK, progress=told)
    money = shop.coins
    shown, _ = layouts_shown(found.plans)
    return {
        "boards": sum(plan.plan.boards for plan in found.plans),
        "proven": not found.unproven,
        "settings": shown["setups"]["count"],
        "hours": f"{found.minutes / 60:.1f}",
        "cost": money.text(found.cost),
        "currency": shop.money.currency,
        "units": batch[0][0].parameters.product.units,
        "boxes": [
            {
                "title": one.design.parameters.product.title,
                "count": one.count,
                "each": money.text(one.unit_cost),
                "ask": money.text(one.offers[0].price),
            }
            for one in found.boxes
        ],
        "layouts": shown["layouts"],
    }


def _batch(said: object) -> list[tuple[Design, int]]:
    """Return the designs that are asked for, each with how many."""
    if not isinstance(said, list) or not 1 <= len(said) <= MOST_KINDS:
        raise InputError(f"takes 1 to {MOST_KINDS} designs", key="boxes")
    found = []
    for one in said:
        count = one.get("count") if isinstance(one, Mapping) else None
        if isinstance(count, bool) or not isinstance(count, int) or not 1 <= count <= MOST_BOXES:
            raise InputError(f"takes a whole number, 1 to {MOST_BOXES}", key="count")
        found.append((read_asked(one).design(), count))
    return found
