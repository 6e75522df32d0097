"""``costs.pdf`` and ``costs.json``: what a box costs the maker, in batches of several sizes.

For the maker alone; nothing of it stands in the plan. No clock has a part in their cut
plans, so that the same figures give the same bytes; ``palewright price`` weighs the saw's work too.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence

from palewright.costing.batch_price import BatchPrice, price_batch
from palewright.costing.invented_figures import shop_cautions
from palewright.costing.selling_price import HUNDRED
from palewright.costing.shop_file import Shop, ShopFigures
from palewright.design import Design
from palewright.reading.errors import InputError
from palewright_drawings.charts.price_chart import PARTS, parts_of
from palewright_drawings.documents.plan.content import MARGIN, paper_of
from palewright_drawings.documents.plan.texts import foot_text, title_of
from palewright_drawings.documents.typst_pdf import pdf_of
from palewright_drawings.json_reports.prices import batch_as_json
from palewright_drawings.output.json_data import Json
from palewright_drawings.output.progress import Progress
from palewright_drawings.paper.text_metrics import FAMILY
from palewright_drawings.texts.price_texts import (
    bought_text,
    break_even_texts,
    cost_rows,
    needed_text,
    often_text,
    parcel_texts,
    plain_screw_texts,
    spare_texts,
    unfit_texts,
    wanted_text,
)
from palewright_drawings.texts.shop_texts import source_text

_FIRST = (
    "Boards by the plan of fewest boards: palewright price {name}:{count} weighs work at the saw "
    "too. Sales tax and what a market adds are not in it."
)

_NOT_PAID = "not paid"
"""Where all of a batch, sold, do not pay for it and a stall."""

_HIGHEST = 52.0
"""Height of the tallest bar, mm."""


def cost_content(
    design: Design, batches: Sequence[BatchPrice], detailed: int, shop: Shop, source: str
) -> Json:
    """Return what the template takes.

    Args:
        design: the box.
        batches: of this one variant, smallest first.
        detailed: boxes in the batch that is told line by line: one of those.
        shop: whose figures.
        source: where those come from, in words.
    """
    width, height = paper_of(design)
    one = next(batch for batch in batches if batch.count == detailed)
    return {
        "paper": {"width": width, "height": height, "margin": MARGIN},
        "family": FAMILY,
        "title": f"{title_of(design)}: what it costs",
        "name": title_of(design),
        "maker": design.parameters.plan.maker,
        "foot": foot_text(design, width - 2 * MARGIN - 60.0) + "  ·  for the maker alone",
        "source": source_text(shop, source),
        "currency": shop.coins.name,
        "wanted": wanted_text(shop),
        "rows": [_row(batch, shop) for batch in batches],
        "legend": [{"name": name, "tone": tone} for name, tone in PARTS],
        "bars": _bars(batches, shop),
        "detail": _detail(one, shop),
    }


def _row(batch: BatchPrice, shop: Shop) -> list[str]:
    """Return one batch in a line."""
    box, coins = batch.boxes[0], shop.coins
    boards = " + ".join(f"{m.needed:.0f}" for m in batch.materials if m.unit == "boards")
    offer = box.offers[0]
    return [
        str(batch.count),
        boards,
        f"{batch.minutes / 60:.1f}",
        f"{batch.minutes / 60 / batch.count:.1f}",
        coins.text(box.unit_cost),
        coins.text(offer.price),
        coins.text(offer.profit),
        _NOT_PAID if box.paid[0].batch is None else str(box.paid[0].batch),
    ]


def _bars(batches: Sequence[BatchPrice], shop: Shop) -> list[Json]:
    """Return a bar a batch: label, what a piece costs, heights (mm) of its parts, lowest first."""
    each = [parts_of(batch) for batch in batches]
    tallest = max(sum(parts) for parts in each) or 1.0
    return [
        {
            "label": str(batch.count),
            "total": shop.coins.text(batch.boxes[0].unit_cost),
            "heights": [round(_HIGHEST * part / tallest, 3) for part in parts],
        }
        for batch, parts in zip(batches, each, strict=True)
    ]


def _detail(batch: BatchPrice, shop: Shop) -> Json:
    """Return one batch line by line."""
    box, coins = batch.boxes[0], shop.coins
    return {
        "count": str(batch.count),
        "materials": [
            [one.name, needed_text(one), bought_text(one), coins.text(one.cost)]
            for one in batch.materials
        ],
        "work": [
            [one.name, often_text(one), f"{one.pace:g}", f"{one.total:.0f}"]
            for one in batch.operations
        ],
        "costs": [
            [name, coins.text(amount), coins.text(amount / batch.count)]
            for name, amount in cost_rows(box, shop)
        ],
        "offers": [
            [
                coins.text(offer.price),
                coins.text(offer.fees),
                coins.text(offer.profit),
                f"{offer.margin * HUNDRED:.1f} %",
            ]
            for offer in box.offers
        ],
        "notes": [
            line.strip()
            for line in (
                *unfit_texts([box.design]),
                *(f"caution: {text}" for text in shop_cautions(shop, [box.design], batch.plans)),
                *spare_texts(batch),
                *break_even_texts(box, shop),
                "; ".join(text.strip() for text in parcel_texts(box, shop)),
                *plain_screw_texts(batch.materials),
                _FIRST.format(name=box.design.name, count=batch.count),
            )
        ],
    }


SIZES = (1, 2, 5, 10, 20, 50)
"""Boxes in a batch: what a maker is likely to weigh against each other."""

DETAILED = 10
"""The batch that is told line by line."""


def cost_files(
    design: Design, figures: ShopFigures, progress: Progress
) -> Iterator[tuple[str, bytes]]:
    """Yield name and content of both files.

    Raises:
        InputError: for a margin that no price leaves, at its key of the shop's file.
    """
    progress.begin("costs", len(SIZES) + 1)
    shop, source = figures()
    batches = []
    for size in SIZES:
        try:
            batches.append(price_batch([(design, size)], shop, weigh_saw=False))
        except InputError as error:
            raise error.at(file=source) from None
        progress.advance()
    yield "costs.json", _json(costs_as_json(batches, shop, source))
    yield "costs.pdf", pdf_of("costs", cost_content(design, batches, DETAILED, shop, source))
    progress.advance()


def costs_as_json(batches: list[BatchPrice], shop: Shop, source: str) -> Json:
    """Return the costs as JSON-ready data: ``figures`` in words, ``shop``, ``batches``."""
    return {
        "note": "for the maker alone: not part of what is sold",
        "figures": source,
        "shop": shop.model_dump(mode="json"),
        "batches": [batch_as_json(batch, shop) for batch in batches],
    }


def _json(data: Json) -> bytes:
    """Return data as JSON, UTF-8, ending in a newline."""
    return f"{json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False)}\n".encode()
