"""``costs.pdf`` and ``costs.json``: what a box costs the maker, in batches of several sizes.

For the maker alone; nothing of it stands in the plan. No clock has a part in their cut
plans, so that the same figures give the same bytes; ``palewright price`` weighs the saw's work too.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from palewright.design import Design
from palewright.errors import InputError
from palewright.money.batches import BatchPrice, price_batch
from palewright.money.shops import Shop, ShopFigures
from palewright_drawings.cost_content import cost_content
from palewright_drawings.price_json import batch_as_json
from palewright_drawings.progress import Progress
from palewright_drawings.typst_files import pdf_of

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


def costs_as_json(batches: list[BatchPrice], shop: Shop, source: str) -> dict[str, Any]:
    """Return the costs as JSON-ready data: ``figures`` in words, ``shop``, ``batches``."""
    return {
        "note": "for the maker alone: not part of what is sold",
        "figures": source,
        "shop": shop.model_dump(mode="json"),
        "batches": [batch_as_json(batch, shop) for batch in batches],
    }


def _json(data: dict[str, Any]) -> bytes:
    """Return data as JSON, UTF-8, ending in a newline."""
    return f"{json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False)}\n".encode()
