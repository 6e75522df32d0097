"""What a whole season buys, by the package: boards, screws, glue, finish, liner, what wears out.

Each batch is charged as a batch of its own; bought at once, what one batch leaves in a box or a
can serves the next.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from palewright.costing.batch_price import BatchPrice
from palewright.costing.materials import Material, materials_of
from palewright.costing.shop_file import Shop


def purchases_of(batches: Sequence[BatchPrice], shop: Shop) -> list[Material]:
    """Return what all batches need together, one line a thing, as if they were one batch.

    ``packs`` of a line are the packages opened; ``paid_for`` says what they cost.

    Args:
        batches: priced, their boards planned.
        shop: what it pays.
    """
    counted = [(box.design, box.count, box.work) for one in batches for box in one.boxes]
    if not counted:
        return []
    plans = [plan for one in batches for plan in one.plans]
    found: dict[str, Material] = {}
    for line in materials_of(counted, plans, shop):
        known = found.get(line.name)
        found[line.name] = line if known is None else _added(known, line)
    return list(found.values())


def paid_for(line: Material) -> Decimal:
    """Return what the packages of a line cost, whatever is charged to a batch."""
    return sum((pack.price * count for pack, count in line.packs), Decimal(0))


def _added(one: Material, other: Material) -> Material:
    """Return the boards of one stock in two plans as one line."""
    (pack, count), (_, more) = one.packs[0], other.packs[0]
    return replace(
        one,
        needed=one.needed + other.needed,
        packs=((pack, count + more),),
        cost=one.cost + other.cost,
        shares=tuple(a + b for a, b in zip(one.shares, other.shares, strict=True)),
    )
