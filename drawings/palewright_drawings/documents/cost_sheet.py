"""``costs.pdf`` and ``costs.json``: what a box costs the maker, in batches of several sizes.

For the maker alone; nothing of it stands in the plan. Boards, settings and money are those of
``palewright price``.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence

from palewright.costing.batch_price import BatchPrice, BoxPrice, price_sizes
from palewright.costing.invented_figures import shop_cautions
from palewright.costing.selling_price import HUNDRED
from palewright.costing.shop_file import Shop, ShopFigures
from palewright.design import Design
from palewright.reading.errors import InputError
from palewright_drawings.charts.price_chart import PARTS, parts_of
from palewright_drawings.documents.plan.content import MARGIN, paper_of
from palewright_drawings.documents.plan.texts import SMALL, foot_text, title_of
from palewright_drawings.documents.typst_pdf import pdf_of
from palewright_drawings.json_reports.prices import batch_as_json, sizes_as_json
from palewright_drawings.output.json_data import Json
from palewright_drawings.output.progress import Progress
from palewright_drawings.paper.text_metrics import FAMILY, cap_share, shortened
from palewright_drawings.texts.price_texts import (
    boards_text,
    bought_text,
    break_even_texts,
    cost_rows,
    needed_text,
    often_text,
    parcel_texts,
    plain_screw_texts,
    spare_texts,
    system_of,
    unfit_texts,
    wanted_text,
)
from palewright_drawings.texts.shop_texts import source_text

_LAST = "Sales tax and what a market adds are not in it."

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
        "by": "how many are made at once",
        "more": f"Other numbers: palewright price {design.name}.",
        "head": _HEAD,
        "rows": [_row(batch, shop) for batch in batches],
        "legend": [{"name": name, "tone": tone} for name, tone in PARTS],
        "bars": _bars([(str(batch.count), batch, 0) for batch in batches], shop),
        "below": "a piece, by boxes in a batch",
        "detail": _detail(one, shop),
    }


def batch_cost_content(batch: BatchPrice, shop: Shop, source: str) -> Json:
    """Return what the template takes for one batch: a row a variant, then all line by line."""
    first = batch.boxes[0].design
    bars = [(title_of(box.design), batch, i) for i, box in enumerate(batch.boxes)]
    name = ", ".join(f"{box.count} {title_of(box.design)}" for box in batch.boxes)
    room = paper_of(first)[0] - 2 * MARGIN - 60.0
    return {
        **cost_content(first, [batch], batch.count, shop, source),
        "title": "What the batch costs",
        "name": name,
        "foot": f"{shortened(name, SMALL * cap_share(), 'regular', room)}  ·  for the maker alone",
        "by": "variant",
        "more": "",
        "head": ["variant", "boxes", "hours", *_HEAD[3:]],
        "rows": [_variant_row(box, shop) for box in batch.boxes],
        "bars": _bars(bars, shop),
        "below": "a piece, by variant",
    }


_HEAD = [
    "boxes", "boards", "hours", "hours each", "a piece costs", "sell at", "left of it",
    "sold to pay",
]  # fmt: skip
"""Over the columns of the first table."""


def _variant_row(box: BoxPrice, shop: Shop) -> list[str]:
    """Return one variant of a batch in a line."""
    hours = (box.setup_minutes + box.hand_minutes) / 60
    return [title_of(box.design), str(box.count), f"{hours:.1f}", *_each(box, hours, shop)]


def _each(box: BoxPrice, hours: float, shop: Shop) -> list[str]:
    """Return what one piece takes, costs and sells for."""
    coins, offer = shop.coins, box.offers[0]
    return [
        f"{hours / box.count:.1f}",
        coins.text(box.unit_cost),
        coins.text(offer.price),
        coins.text(offer.profit),
        _NOT_PAID if box.paid[0].batch is None else str(box.paid[0].batch),
    ]


def _row(batch: BatchPrice, shop: Shop) -> list[str]:
    """Return one batch in a line."""
    hours = batch.minutes / 60
    each = _each(batch.boxes[0], hours, shop)
    return [str(batch.count), boards_text(batch), f"{hours:.1f}", *each]


def _bars(told: Sequence[tuple[str, BatchPrice, int]], shop: Shop) -> list[Json]:
    """Return a bar a piece: label, what it costs, heights (mm) of its parts, lowest first.

    Args:
        told: what stands under each bar, a batch, and which of its variants.
        shop: whose figures.
    """
    each = [parts_of(batch, i) for _, batch, i in told]
    tallest = max(sum(parts) for parts in each) or 1.0
    return [
        {
            "label": label,
            "total": shop.coins.text(batch.boxes[i].unit_cost),
            "heights": [round(_HIGHEST * part / tallest, 3) for part in parts],
        }
        for (label, batch, i), parts in zip(told, each, strict=True)
    ]


def _detail(batch: BatchPrice, shop: Shop) -> Json:
    """Return one batch line by line."""
    coins, designs = shop.coins, [box.design for box in batch.boxes]
    return {
        "count": str(batch.count),
        "materials": [
            [one.name, needed_text(one, system_of(batch)), bought_text(one), coins.text(one.cost)]
            for one in batch.materials
        ],
        "work": [
            [one.name, often_text(one, system_of(batch)), f"{one.pace:g}", f"{one.total:.0f}"]
            for one in batch.operations
        ],
        "boxes": [_box(box, shop, len(designs) > 1) for box in batch.boxes],
        "notes": [
            line.strip()
            for line in (
                *unfit_texts(designs),
                *(f"caution: {text}" for text in shop_cautions(shop, designs, batch.plans)),
                *spare_texts(batch),
                *plain_screw_texts(batch.materials),
                _LAST,
            )
        ],
    }


def _box(box: BoxPrice, shop: Shop, named: bool) -> Json:
    """Return what one variant costs and sells for; ``named`` where there are several."""
    coins = shop.coins
    return {
        "title": f"{title_of(box.design)}, {box.count} made" if named else "",
        "costs": [
            [name, coins.text(amount), coins.text(amount / box.count)]
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
            *(line.strip() for line in break_even_texts(box, shop)),
            "; ".join(text.strip() for text in parcel_texts(box, shop)),
        ],
    }


DETAILED = 10
"""The batch that is told line by line."""

TOLD = (1, DETAILED)
"""Boxes in the batches of a packet: each more takes a plan of its own, and ``price`` tells more."""


def cost_files(
    design: Design, figures: ShopFigures, progress: Progress
) -> Iterator[tuple[str, bytes]]:
    """Yield name and content of both files.

    Raises:
        InputError: for a margin that no price leaves, at its key of the shop's file.
    """
    progress.begin("costs", 2)
    shop, source = figures()
    try:
        batches = price_sizes(design, shop, sizes=TOLD)
    except InputError as error:
        raise error.at(file=source) from None
    progress.advance()
    told = {"note": "for the maker alone: not part of what is sold"}
    yield "costs.json", _json(told | sizes_as_json(batches, shop, source))
    yield "costs.pdf", pdf_of("costs", cost_content(design, batches, DETAILED, shop, source))
    progress.advance()


def batch_cost_files(batch: BatchPrice, shop: Shop, source: str) -> Iterator[tuple[str, bytes]]:
    """Yield name and content of both files of one batch."""
    note = {"note": "for the maker alone", "figures": source}
    yield "costs.json", _json(note | batch_as_json(batch, shop))
    yield "costs.pdf", pdf_of("costs", batch_cost_content(batch, shop, source))


def _json(data: Json) -> bytes:
    """Return data as JSON, UTF-8, ending in a newline."""
    return f"{json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False)}\n".encode()
