"""Which of a shop's figures are still the shipped, invented ones; what does not hang together.

A figure counts as shipped where it equals what ships: a file copied whole and changed in five
places is no more the maker's own than one that says five lines.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from palewright.catalogue.lumber import shipped_stock
from palewright.costing.materials import board_price
from palewright.costing.shop_file import Money, Shop, load_shop
from palewright.design import Design
from palewright.reading.errors import nearest
from palewright.reading.fields import Record, setting_of
from palewright.sawing.stock_plans import StockPlan

_COUNTED = ("amount", "number", "count", "length")
"""Kinds of fields that are figures; words such as the learning model are none."""

_NOT_FIGURES = ("money",)
_BOXES = "screw_box"


def figures_as_shipped(shop: Shop) -> dict[str, tuple[int, int]]:
    """Return (figures as shipped, figures) of each table of a shop's file; a screw box is one."""
    found: dict[str, tuple[int, int]] = {}
    for table, _, _, shipped in _figures(shop):
        same, all_ = found.get(table, (0, 0))
        found[table] = (same + shipped, all_ + 1)
    boxes = [_sold(box) for box in load_shop(None).screw_box.values()]
    own = [_sold(box) in boxes for box in shop.screw_box.values()]
    return {**found, _BOXES: (sum(own), len(own))}


def boards_as_shipped(shop: Shop, plans: Sequence[StockPlan]) -> list[str]:
    """Return the stocks among these whose boards are priced as shipped, by name."""
    kept, found = shipped_stock(), []
    for demand in (plan.demand for plan in plans):
        own = kept.get(demand.name)
        if own and board_price(demand, shop) == own.price and demand.name not in found:
            found.append(demand.name)
    return found


def shop_cautions(
    shop: Shop,
    designs: Sequence[Design],
    plans: Sequence[StockPlan],
    boards_alone: bool = False,
) -> list[str]:
    """Return what in a shop's file does not hang together, for boxes and the boards they take.

    Amounts left as shipped under another currency, and prices of boards that nobody knows: those
    that ship, and those of these boxes' own ``[stock]`` tables.

    Args:
        shop: the maker's figures.
        designs: the boxes.
        plans: of their boards.
        boards_alone: look at no amount but the boards' prices.
    """
    found = [*_foreign(shop, plans, boards_alone)]
    known = {
        **shipped_stock(),
        **{k: v for box in designs for k, v in box.parameters.stock.items()},
    }
    found += [
        f"[board_price.{name}] prices no board of these boxes and none that ships"
        f"{nearest(name, known)}"
        for name in shop.board_price
        if name not in known
    ]
    return found


def _figures(shop: Shop) -> Iterator[tuple[str, str, object, bool]]:
    """Yield table, dotted key, value and whether it is the shipped one, of each single figure."""
    for table in type(shop).model_fields:
        record = getattr(shop, table)
        if not isinstance(record, Record) or table in _NOT_FIGURES:
            continue
        for name, info in type(record).model_fields.items():
            if setting_of(info).kind in _COUNTED:
                value = getattr(record, name)
                yield table, f"{table}.{name}", value, value == info.default


def _sold(box: Record) -> tuple[object, ...]:
    """Return what a box of screws is, whatever the file calls it."""
    return tuple(getattr(box, name) for name in type(box).model_fields)


def _foreign(shop: Shop, plans: Sequence[StockPlan], boards_alone: bool) -> Iterator[str]:
    """Yield that amounts are the shipped ones although the currency is not."""
    if shop.money.currency == Money().currency:
        return
    amounts = [] if boards_alone else _amounts_as_shipped(shop)
    amounts += [f"a board {name}" for name in boards_as_shipped(shop, plans)]
    if amounts:
        yield (
            f"amounts are said to be in {shop.money.currency}, but these are as shipped, made up "
            f"in {Money().currency}: {', '.join(amounts)}"
        )


def _amounts_as_shipped(shop: Shop) -> list[str]:
    """Return the keys of amounts above 0 that are the shipped ones, and how many screw boxes."""
    amounts = [
        key
        for _, key, value, shipped in _figures(shop)
        if shipped and isinstance(value, Decimal) and value
    ]
    boxes, _ = figures_as_shipped(shop)[_BOXES]
    return [*amounts, f"{boxes} screw boxes"] if boxes else amounts
