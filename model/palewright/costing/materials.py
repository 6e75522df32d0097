"""What a batch uses up: boards and screws by the package, the rest by what is used."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from palewright.catalogue.lumber import Stock
from palewright.costing.box_takeoff import BoxWork
from palewright.costing.currency import exactly
from palewright.costing.package_sizes import Pack, cheapest_packs
from palewright.costing.shop_file import Shop
from palewright.design import Design
from palewright.sawing.stock_demands import StockDemand
from palewright.sawing.stock_plans import StockPlan

Counted = tuple[Design, int, BoxWork]
"""A design, how many boxes of it, and what one of them takes."""


@dataclass(frozen=True, slots=True)
class Material:
    """One thing that a batch uses.

    Attributes:
        name: the stock, the screw, or the supply.
        needed: how much, in ``unit``.
        unit: what it is counted in.
        packs: packages that must be at hand for the batch, and how many of each.
        whole: charged by whole packages; else by what is used, and the rest waits on the shelf.
        cost: what the batch is charged, in whole coins.
        shares: the same, variant by variant.
        listed: False where the shop's file has no price for it and a general one was taken.
        holds: what one package of a supply holds, in ``unit``; 0 for boards and screws.
    """

    name: str
    needed: float
    unit: str
    packs: tuple[tuple[Pack, int], ...]
    whole: bool
    cost: Decimal
    shares: tuple[Decimal, ...]
    listed: bool = True
    holds: float = 0.0


def materials_of(
    batch: Sequence[Counted], plans: Sequence[StockPlan], shop: Shop
) -> list[Material]:
    """Return all that a batch uses: boards, screws, supplies.

    Whole packages are shared among variants by what they take of them: boards by the area of the
    parts, screws by number.
    """
    found = [_boards(batch, plan, shop) for plan in plans]
    labels = sorted({label for _, _, work in batch for label in work.screws})
    found += [_screws(batch, label, shop) for label in labels]
    return found + _supplies(batch, plans, shop)


def board_weights(batch: Sequence[Counted], plan: StockPlan) -> list[float]:
    """Return the area (mm²) that each variant's parts take of one stock."""
    stock = plan.demand.stock
    return [
        sum(p.length * p.width * p.count for p in box.parts if p.stock == stock) * count
        for box, count, _ in batch
    ]


def piece_weights(batch: Sequence[Counted], plan: StockPlan) -> list[int]:
    """Return how many parts each variant takes of one stock."""
    stock = plan.demand.stock
    return [sum(p.count for p in box.parts if p.stock == stock) * count for box, count, _ in batch]


def board_price(demand: StockDemand, shop: Shop) -> Decimal:
    """Return what one board costs: the shop's own price, else the one beside the stock."""
    return price_of(demand.name, demand.stock, shop)


def boards_cost(plans: Sequence[StockPlan], shop: Shop) -> Decimal:
    """Return what the boards of some plans cost, spares left out, in the shop's currency."""
    return sum((board_price(one.demand, shop) * one.plan.boards for one in plans), Decimal(0))


def price_of(name: str, stock: Stock | None, shop: Shop) -> Decimal:
    """Return what one board of a stock costs, by the stock's name; 0 for no kept stock."""
    own = shop.board_price.get(name)
    if own is not None:
        return own.price
    return stock.price if stock else Decimal(0)


def _boards(batch: Sequence[Counted], plan: StockPlan, shop: Shop) -> Material:
    """Return the boards of one stock, spares for knots and splits with them."""
    count = plan.plan.boards + plan.plan.spare
    pack = Pack(plan.demand.name or "boards", 1, board_price(plan.demand, shop))
    cost = shop.coins.rounded(count * pack.price)
    shares = shop.coins.shared(cost, board_weights(batch, plan))
    return Material(pack.name, count, "boards", ((pack, count),), True, cost, tuple(shares))


def _screws(batch: Sequence[Counted], label: str, shop: Shop) -> Material:
    """Return one kind of screw, in the cheapest boxes that hold enough."""
    each = [work.screws.get(label, 0) * count for _, count, work in batch]
    packs = shop.packs_of(label)
    other = Pack("other_screws", shop.other_screws.count, shop.other_screws.price)
    purchase = cheapest_packs(sum(each), packs or (other,))
    cost = shop.coins.rounded(purchase.cost)
    shares = tuple(shop.coins.shared(cost, each))
    return Material(label, sum(each), "screws", purchase.packs, True, cost, shares, bool(packs))


def _supplies(batch: Sequence[Counted], plans: Sequence[StockPlan], shop: Shop) -> list[Material]:
    """Return what is charged by use; what the batch does not touch is left out."""
    glue, finish, liner, wear = shop.glue, shop.finish, shop.liner, shop.wear
    spread = finish.coats * (1 + finish.lost / 100) / finish.spread
    cuts = [0.0] * len(batch)
    for plan in plans:
        count, pieces = plan.plan.setups.passes(), piece_weights(batch, plan)
        cuts = [c + count * p / sum(pieces) for c, p in zip(cuts, pieces, strict=True)]
    works = [(work, count) for _, count, work in batch]
    glued = [n * glue.joint * w.glue_joints for w, n in works]
    coated = [n * spread * w.finish_m2 for w, n in works]
    lined = [n * (1 + liner.lost / 100) * w.liner_m2 for w, n in works]
    table: list[tuple[str, str, float, Decimal, list[float]]] = [
        ("glue", "ml", glue.pack, glue.price, glued),
        ("finish", "l", finish.pack, finish.price, coated),
        ("liner sheet", "m²", liner.pack, liner.price, lined),
        ("saw blade", "cuts", wear.blade_cuts, wear.blade, cuts),
        ("drills", "holes", wear.drill_holes, wear.drill, [w.holes * n for w, n in works]),
        ("driver bits", "screws", wear.driver_screws, wear.driver,
         [w.screw_count * n for w, n in works]),
        ("sandpaper", "m²", wear.paper_area, wear.paper, [w.finish_m2 * n for w, n in works]),
    ]  # fmt: skip
    return [
        _supply(name, unit, Pack(name, 1, price), holds, used, shop)
        for name, unit, holds, price, used in table
        if sum(used) > 0
    ]


def _supply(
    name: str, unit: str, pack: Pack, holds: float, used: Sequence[float], shop: Shop
) -> Material:
    """Return one supply, charged by the share of its packages that is used."""
    needed = math.fsum(used)
    cost = shop.coins.rounded(exactly(needed) / exactly(holds) * pack.price)
    count = math.ceil(needed / holds - 1e-9)
    shares = tuple(shop.coins.shared(cost, used))
    return Material(name, needed, unit, ((pack, count),), False, cost, shares, holds=holds)
