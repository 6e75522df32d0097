"""What the price command was asked, turned into priced batches."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from palewright.errors import InputError
from palewright.fields import read_amount
from palewright.money.batches import BatchPrice, BoxPrice, price_batch
from palewright.money.shops import Shop
from palewright_drawings.cut_requests import counted, told
from palewright_drawings.price_charts import CostBar, CostChart, batch_sizes, parts_of
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
        priced = price_batch(batch, shop, asked, seconds, tell)
        rows.append((lumber or batch[0][0].parameters.lumber.board, priced))
    return rows


def cost_chart(
    rows: Sequence[tuple[str, BatchPrice]], shop: Shop, seconds: float, progress: Progress
) -> CostChart:
    """Return the bars that a request asks for.

    One variant: in batches of many sizes. Several variants: each in this batch, and as many as a
    batch of their own. Several lumbers: a bar a lumber and variant.
    """
    if len(rows) > 1:
        return _by_lumber(rows)
    if len(rows[0][1].boxes) > 1:
        return _together_and_alone(rows[0][1], shop, seconds, progress)
    return _by_size(rows[0][1], shop, seconds, progress)


def _by_size(priced: BatchPrice, shop: Shop, seconds: float, progress: Progress) -> CostChart:
    """Return one variant in batches of many sizes."""
    asked = priced.boxes[0]
    sizes = batch_sizes(asked.count)
    progress.begin("batches of many sizes", len(sizes))
    bars = []
    for size in sizes:
        progress.note(f"{size} boxes")
        one = priced
        if size != asked.count:
            one = price_batch([(asked.design, size)], shop, (), seconds)
        bars.append(CostBar(str(size), parts_of(one)))
        progress.advance()
    return CostChart(f"{_title(asked)}: what a piece costs", "boxes made in one batch", tuple(bars))


def _together_and_alone(
    priced: BatchPrice, shop: Shop, seconds: float, progress: Progress
) -> CostChart:
    """Return each variant of a mixed batch beside as many as a batch of their own."""
    progress.begin("each variant alone", len(priced.boxes))
    bars = []
    for i, box in enumerate(priced.boxes):
        progress.note(box.design.name)
        alone = price_batch([(box.design, box.count)], shop, (), seconds)
        named = f"{box.count} x {box.design.name}"
        bars.append(CostBar(f"{named}\nin this batch", parts_of(priced, i)))
        bars.append(CostBar(f"{named}\nalone", parts_of(alone)))
        progress.advance()
    title = "What a piece costs, made together and alone"
    return CostChart(title, "", tuple(bars))


def _by_lumber(rows: Sequence[tuple[str, BatchPrice]]) -> CostChart:
    """Return the same batch from several lumbers."""
    several = len(rows[0][1].boxes) > 1
    bars = [
        CostBar(f"{box.count} x {box.design.name}\n{name}" if several else name, parts_of(one, i))
        for name, one in rows
        for i, box in enumerate(one.boxes)
    ]
    named = "a batch" if several else _title(rows[0][1].boxes[0])
    count = f", {rows[0][1].count} made" if not several else ""
    return CostChart(f"{named}{count}: what a piece costs by lumber", "", tuple(bars))


def _title(box: BoxPrice) -> str:
    """Return what a product is called."""
    return box.design.parameters.product.title or box.design.name
