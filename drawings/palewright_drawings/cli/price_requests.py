"""What the price command was asked, turned into priced batches."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from palewright.costing.batch_price import (
    BatchPrice,
    BoxPrice,
    first_sizes,
    price_batch,
    price_sizes,
)
from palewright.costing.lumber_comparison import (
    Alternative,
    LumberPrice,
    alternatives_of,
    made_of,
    stock_named,
)
from palewright.costing.shop_file import Shop
from palewright.cutting_stock import CuttingError
from palewright.design import Design, design
from palewright.parameters.variant_files import Variant
from palewright.reading.errors import InputError
from palewright.reading.fields import read_amount
from palewright_drawings.charts.price_chart import CostBar, CostChart, batch_sizes, parts_of
from palewright_drawings.cli.cut_requests import batch_of, told, variant_counted
from palewright_drawings.output.progress import Progress


@dataclass(frozen=True, slots=True)
class Search:
    """How a plan is sought.

    Attributes:
        work: counted work for proving each stock's boards.
        fewest_boards: take the fewest boards, whatever work at the saw they ask.
        progress: told the share done.
    """

    work: float
    fewest_boards: bool
    progress: Progress

    def priced(
        self, batch: Sequence[tuple[Design, int]], shop: Shop, asked: Sequence[Decimal] = ()
    ) -> BatchPrice:
        """Return a batch priced by the plan that is found."""
        tell = told(self.progress)
        return price_batch(batch, shop, asked, self.work, tell, not self.fewest_boards)

    def alone(self, box: Design, count: int, shop: Shop) -> BatchPrice:
        """Return a batch of one variant, while another bar tells the progress."""
        return price_batch([(box, count)], shop, (), self.work, weigh_saw=not self.fewest_boards)


def read_prices(asked: Sequence[str]) -> list[Decimal]:
    """Return the prices that were typed.

    Raises:
        InputError: if one is no price above 0.
    """
    prices = []
    for text in asked:
        try:
            amount = read_amount(text)
        except InputError as error:
            raise error.at(key="--ask") from None
        if not amount:
            raise InputError(f"'{text}' is no price; allowed: above 0", key="--ask")
        prices.append(amount)
    return prices


def asked_alternatives(
    variant: Variant, names: Sequence[str], progress: Progress, shop: Shop
) -> list[Alternative]:
    """Return the alternatives that ``--lumber`` names, verdict and boards worked out.

    Args:
        variant: of what the box is made now.
        names: of woods or stocks.
        progress: told of each.
        shop: what boards cost.

    Raises:
        InputError: for anything that cannot be used, or if the box can be made of none of them;
            at its place.
    """
    try:
        found = alternatives_of(variant.parameters, names, variant.name, progress.note, shop)
    except InputError as error:
        raise variant.located(error) from None
    progress.begin("alternatives", len(found))
    for one in found:
        _ = one.refusal
        progress.advance()
    if all(one.refusal for one in found):
        refusal = InputError(f"{found[0].name}: {found[0].refusal}", key="--lumber")
        raise variant.located(refusal)
    return found


def without_count(variants: Sequence[str]) -> bool:
    """Return whether one variant is named and not how many boxes of it."""
    return len(variants) == 1 and ":" not in variants[0]


def asked_sizes(
    variants: Sequence[str],
    settings: Sequence[str],
    shop: Shop,
    asked: Sequence[Decimal],
    how: Search,
    first: Callable[[list[BatchPrice]], None],
) -> list[BatchPrice]:
    """Return one variant priced in batches of usual sizes.

    Args:
        variants: its name or path, without a count.
        settings: ``KEY=VALUE``.
        shop: whose figures.
        asked: prices to judge.
        how: how long is searched, and for what.
        first: told the first answer, which is there at once.

    Raises:
        InputError: for anything that cannot be used.
    """
    ((box, _),) = batch_of(variants, settings)
    first(first_sizes(box, shop, asked))
    how.progress.begin("better plans", 100)
    tell = told(how.progress)
    return price_sizes(box, shop, asked, how.work, tell, not how.fewest_boards)


def asked_batches(
    variants: Sequence[str],
    lumbers: Sequence[str],
    settings: Sequence[str],
    shop: Shop,
    asked: Sequence[Decimal],
    how: Search,
) -> list[LumberPrice]:
    """Return the batch priced, once a lumber.

    Args:
        variants: names or paths, each with ``:COUNT`` or without.
        lumbers: stocks or woods, as ``check --lumber`` takes them; none: as the variants say.
        settings: ``KEY=VALUE`` for every variant.
        shop: whose figures.
        asked: prices to judge.
        how: how long is searched, and for what.

    Raises:
        InputError: for anything that cannot be used, or if no lumber will do.
    """
    if not variants:
        raise InputError("nothing to price; allowed: VARIANT[:COUNT]...")
    if not lumbers:
        how.progress.begin("cut plan", 100)
        batch = batch_of(variants, settings)
        priced = how.priced(batch, shop, asked)
        return [LumberPrice(batch[0][0].parameters.lumber.board, priced)]
    read = [variant_counted(text, settings) for text in variants]
    rows = []
    for name, stocks in _stocks_asked(lumbers, read).items():
        how.progress.begin(f"cut plan, {name}", 100)
        made = [
            (design(made_of(one.parameters, stock), one.name), count)
            for (one, count), stock in zip(read, stocks, strict=True)
        ]
        rows.append(_priced(name, made, shop, asked, how))
    if not any(row.batch for row in rows):
        raise InputError(f"{rows[0].lumber}: {rows[0].refusal}", key=_KEY)
    return rows


_KEY = "--lumber"


def _stocks_asked(
    lumbers: Sequence[str], read: Sequence[tuple[Variant, int]]
) -> dict[str, list[str]]:
    """Return the lumbers that were typed, by name: the stock that each variant takes of it.

    Raises:
        InputError: for a name that is neither stock nor wood, or for one that is there already.
    """
    found: dict[str, list[str]] = {}
    for word in (part.strip() for text in lumbers for part in text.split(",")):
        if not word:
            raise InputError("names nothing; allowed: a stock or a wood, such as cedar", key=_KEY)
        stocks = [stock_named(word, one.parameters, _KEY) for one, _ in read]
        if stocks in found.values():
            raise InputError(f"'{word}' comes to {stocks[0]}, which is there already", key=_KEY)
        found[stocks[0] if len(set(stocks)) == 1 else word] = stocks
    return found


def _priced(
    name: str,
    batch: Sequence[tuple[Design, int]],
    shop: Shop,
    asked: Sequence[Decimal],
    how: Search,
) -> LumberPrice:
    """Return the batch priced from one lumber, or why it cannot be made of it."""
    try:
        for box, _ in batch:
            _ = box.verdict  # lays it out in every lumber case, where a complaint is told
    except InputError as error:
        return LumberPrice(name, None, str(error))
    try:
        return LumberPrice(name, how.priced(batch, shop, asked))
    except CuttingError as error:
        return LumberPrice(name, None, str(error))


def cost_chart(rows: Sequence[LumberPrice], shop: Shop, how: Search) -> CostChart:
    """Return the bars that a request asks for.

    One variant: in batches of many sizes. Several variants: each in this batch, and as many as a
    batch of their own. Several lumbers: a bar a lumber and variant.

    Args:
        rows: what was priced, a row a lumber.
        shop: rates and prices.
        how: as the rows were priced; told of each batch.
    """
    made = [(row.lumber, row.batch) for row in rows if row.batch is not None]
    if len(rows) > 1:
        return _by_lumber(made)
    one = made[0][1]
    if len(one.boxes) > 1:
        return _together_and_alone(one, shop, how)
    return _by_size(one, shop, how)


def _by_size(priced: BatchPrice, shop: Shop, how: Search) -> CostChart:
    """Return one variant in batches of many sizes."""
    asked = priced.boxes[0]
    sizes = batch_sizes(asked.count)
    how.progress.begin("batches of many sizes", len(sizes))
    bars = []
    for size in sizes:
        how.progress.note(f"{size} boxes")
        one = priced
        if size != asked.count:
            one = how.alone(asked.design, size, shop)
        bars.append(CostBar(str(size), parts_of(one)))
        how.progress.advance()
    return CostChart(f"{_title(asked)}: what a piece costs", "boxes made in one batch", tuple(bars))


def _together_and_alone(priced: BatchPrice, shop: Shop, how: Search) -> CostChart:
    """Return each variant of a mixed batch beside as many as a batch of their own."""
    how.progress.begin("each variant alone", len(priced.boxes))
    bars = []
    for i, box in enumerate(priced.boxes):
        how.progress.note(box.design.name)
        alone = how.alone(box.design, box.count, shop)
        named = f"{box.count} x {box.design.name}"
        bars.append(CostBar(f"{named}\nin this batch", parts_of(priced, i)))
        bars.append(CostBar(f"{named}\nalone", parts_of(alone)))
        how.progress.advance()
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
