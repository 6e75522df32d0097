"""What the price command was asked, turned into priced batches."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from palewright.errors import InputError
from palewright.fields import read_amount
from palewright.money.batches import BatchPrice, price_batch
from palewright.money.shops import Shop
from palewright_drawings.cut_requests import counted, told
from palewright_drawings.price_charts import batch_sizes
from palewright_drawings.progress import Progress


def read_prices(asked: Sequence[str]) -> list[Decimal]:
    """Return the prices that were typed.

    Raises:
        InputError: if one is no price above 0.
    """
    prices = []
    for text in asked:
        try:
            amount = read_amount(text)
        except ValueError as error:
            raise InputError(str(error), key="--ask") from None
        if not amount:
            raise InputError(f"'{text}' is no price; allowed: above 0", key="--ask")
        prices.append(amount)
    return prices


def asked_batches(
    variants: Sequence[str],
    lumbers: Sequence[str],
    settings: Sequence[str],
    shop: Shop,
    asked: Sequence[Decimal],
    seconds: float,
    progress: Progress,
) -> list[tuple[str, BatchPrice]]:
    """Return the batch priced, once a lumber: (stock of the panels, batch).

    Raises:
        InputError: for anything that cannot be used.
    """
    if not variants:
        raise InputError("nothing to price; allowed: VARIANT[:COUNT]...")
    rows = []
    for lumber in dict.fromkeys(lumbers) or [""]:
        chosen = [*settings, f"lumber.board={lumber}"] if lumber else list(settings)
        batch = [counted(text, chosen) for text in variants]
        progress.begin(f"cut plan{f', {lumber}' if lumber else ''}", 100)
        tell = told(progress)
        priced = price_batch(batch, shop, asked, seconds, progress=tell)
        rows.append((lumber or batch[0][0].parameters.lumber.board, priced))
    return rows


def chart_batches(
    rows: Sequence[tuple[str, BatchPrice]], shop: Shop, seconds: float, progress: Progress
) -> list[BatchPrice]:
    """Return the one variant of a request in batches of many sizes.

    Raises:
        InputError: if there are several variants or lumbers.
    """
    if len(rows) > 1 or len(rows[0][1].boxes) > 1:
        raise InputError("a chart takes one variant and one lumber", key="--chart")
    asked = rows[0][1].boxes[0]
    sizes = batch_sizes(asked.count)
    progress.begin("batches of many sizes", len(sizes))
    batches = []
    for size in sizes:
        progress.note(f"{size} boxes")
        known = size == asked.count
        batches.append(
            rows[0][1] if known else price_batch([(asked.design, size)], shop, seconds=seconds)
        )
        progress.advance()
    return batches
