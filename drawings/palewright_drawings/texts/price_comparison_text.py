"""What ``price`` prints: one batch, or the same lines for several lumbers side by side."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

from palewright.costing.batch_price import BatchPrice, BoxPrice
from palewright.costing.lumber_comparison import LumberPrice
from palewright.costing.selling_price import HUNDRED, PricedPiece
from palewright.costing.shop_file import Shop
from palewright.reading.quantities import print_mass
from palewright_drawings.output.terminal import table
from palewright_drawings.texts.price_texts import (
    batch_text,
    billed_text,
    boards_text,
    carton_text,
    plain_screw_texts,
    unfit_texts,
    wanted_text,
)
from palewright_drawings.texts.shop_texts import figure_texts

if TYPE_CHECKING:
    from palewright_drawings.output.terminal import Part

_NONE = "-"
_PriceRow = tuple[str, Callable[[BatchPrice], str]]
"""What a line tells, and its cell for one lumber."""


def prices_text(rows: Sequence[LumberPrice], shop: Shop, source: str) -> list[Part]:
    """Return what was asked for the maker's eyes: one batch, or lumbers side by side.

    Args:
        rows: the batch priced from each lumber.
        shop: whose figures it was priced with.
        source: where those come from, in words.
    """
    if len(rows) == 1 and rows[0].batch is not None:
        return batch_text(rows[0].batch, shop, source)
    made = [row.batch for row in rows if row.batch is not None]
    designs = [box.design for batch in made for box in batch.boxes]
    lines = [f"{row.lumber}: cannot be made: {row.refusal}" for row in rows if row.refusal]
    lines += [
        f"{row.lumber}: {text}"
        for row in rows
        if row.batch
        for text in unfit_texts([box.design for box in row.batch.boxes])
    ]
    lines.append(f"side by side: all amounts in {shop.coins.name}")
    lines += figure_texts(shop, source, designs, [plan for one in made for plan in one.plans])
    asked = _batch_rows(shop)
    for i in range(len(made[0].boxes)):
        asked += _box_rows(i, made, shop)
    cells = [
        (what, *(cell(row.batch) if row.batch else _NONE for row in rows)) for what, cell in asked
    ]
    heading = ("lumber", *(row.lumber for row in rows))
    beside = table(cells, heading, right=range(1, len(rows) + 1), gap=3)
    remarks = [f"sell at: the least that leaves {wanted_text(shop)}", *_remarks(rows)]
    return [*lines, "", beside, "", *remarks]


def _batch_rows(shop: Shop) -> list[_PriceRow]:
    """Return the lines about a whole batch."""

    def spent(unit: str) -> Callable[[BatchPrice], str]:
        return lambda one: shop.coins.text(
            sum((m.cost for m in one.materials if m.whole and m.unit == unit), Decimal(0))
        )

    return [
        ("boards", boards_text),
        ("boards cost", spent("boards")),
        ("screws cost", spent("screws")),
        ("by use: glue, finish, liner, wear", lambda one: shop.coins.text(
            sum((m.cost for m in one.materials if not m.whole), Decimal(0)))),
        ("hours", lambda one: f"{one.minutes / 60:.1f}"),
        ("the batch costs", lambda one: shop.coins.text(one.cost)),
    ]  # fmt: skip


def _box_rows(i: int, made: Sequence[BatchPrice], shop: Shop) -> list[_PriceRow]:
    """Return the lines about one variant, the i-th of each batch; amounts are of a piece."""
    first, coins = made[0].boxes[i], shop.coins
    system = first.design.parameters.product.units

    def of(cell: Callable[[BoxPrice], str]) -> Callable[[BatchPrice], str]:
        return lambda one: cell(one.boxes[i])

    def each(amount: Callable[[BoxPrice], Decimal]) -> Callable[[BatchPrice], str]:
        return of(lambda box: coins.text(amount(box) / box.count))

    rows: list[_PriceRow] = [
        (f"{first.design.name}, {first.count} made", of(_fit_text)),
        ("  hours each", of(lambda b: f"{(b.setup_minutes + b.hand_minutes) / 60 / b.count:.1f}")),
        ("  materials", each(lambda box: box.materials)),
        (f"  wage at {shop.rates.wage} an hour", each(lambda box: box.wage)),
        (f"  overhead, {coins.text(shop.overhead_an_hour)} an hour", each(lambda b: b.overhead)),
        ("  wrap and tag", each(lambda box: box.packing)),
        ("  a piece costs", each(lambda box: box.cost)),
    ]
    for k in range(len(first.offers)):
        rows += _offer_rows(i, k, shop)
    return [
        *rows,
        ("  weight", of(lambda box: print_mass(box.work.mass_kg + box.work.screws_kg, system))),
        ("  as a parcel", of(carton_text)),
        ("    weighs", of(lambda box: print_mass(box.shipment.mass, system))),
        ("    billed as", of(lambda box: billed_text(box.shipment.billed, system))),
        ("    about, not in the price", of(
            lambda b: b.shipment.refusal or coins.text(b.shipment.cost or Decimal(0)))),
    ]  # fmt: skip


def _offer_rows(i: int, k: int, shop: Shop) -> list[_PriceRow]:
    """Return the lines about the k-th price of the i-th variant."""
    coins = shop.coins

    def of(cell: Callable[[PricedPiece], str]) -> Callable[[BatchPrice], str]:
        return lambda one: cell(one.boxes[i].offers[k])

    def paid(one: BatchPrice) -> str:
        box = one.boxes[i]
        if box.offers[k].profit < 0:
            return "at a loss"
        return f"{box.paid[k].batch} of {box.count}" if box.paid[k].batch else "not paid"

    def month(one: BatchPrice) -> str:
        return str(one.boxes[i].paid[k].month or "no number")

    return [
        ("  asked" if k else "  sell at", of(lambda offer: coins.text(offer.price))),
        ("    fees", of(lambda offer: coins.text(offer.fees))),
        ("    left", of(lambda offer: coins.text(offer.profit))),
        ("    of price", of(lambda offer: f"{offer.margin * HUNDRED:.1f} %")),
        ("    on cost", of(
            lambda o: _NONE if o.markup is None else f"{o.markup * HUNDRED:.1f} %")),
        ("    sold to pay for batch and stall", paid),
        ("    a month for overhead and stall", month),
    ]  # fmt: skip


def _fit_text(box: BoxPrice) -> str:
    """Return whether a box fits."""
    faults = box.design.verdict.faults
    return f"does not fit: {faults} fault{'' if faults == 1 else 's'}" if faults else "fits"


def _remarks(rows: Sequence[LumberPrice]) -> list[str]:
    """Return what the maker should know about these figures, lumber by lumber."""
    lines = []
    for row in rows:
        if row.batch is not None:
            lines += [f"{row.lumber}: {text}" for text in plain_screw_texts(row.batch.materials)]
            if row.batch.unproven:
                lines.append(f"{row.lumber}: fewer boards may do; --work gives more of it")
    return lines
