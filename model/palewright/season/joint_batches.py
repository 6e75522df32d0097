"""Boxes for one market built together: one mixed batch of boards instead of a batch an offer.

Boards, saw settings, bits, coats and boxes of screws are shared then. How many to build is chosen
before, on batches of their own; together they never cost more, for where they would, or would take
more hours or more boards than there are, they are left apart.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from palewright.costing.batch_price import BatchPrice, BoxPrice, price_batch
from palewright.costing.currency import Currency
from palewright.costing.materials import board_weights
from palewright.costing.shop_file import Shop
from palewright.design import Design
from palewright.sawing.stock_demands import saw_of

_WHOLE = Currency("boards", 0)
"""Boards are shared like coins: whole ones that add up."""


@dataclass(frozen=True, slots=True)
class Built:
    """One offer with boxes to build: its batch is its own."""

    offer: str
    design: Design
    boxes: int
    made_before: int
    batch: BatchPrice


@dataclass(frozen=True)
class Together:
    """Offers of one market as one batch.

    Attributes:
        market: its name.
        offers: names, in the order of the batch's boxes.
        batch: all of them.
        apart: the batches that they would be else.
    """

    market: str
    offers: tuple[str, ...]
    batch: BatchPrice
    apart: tuple[BatchPrice, ...]

    @property
    def boards_saved(self) -> int:
        """Boards that are not bought; below 0 where more are, to save work at the saw."""
        return sum(boards_of(one) for one in self.apart) - boards_of(self.batch)

    @property
    def hours_saved(self) -> float:
        """Hours at the bench that are not needed."""
        return (sum(one.minutes for one in self.apart) - self.batch.minutes) / 60

    @property
    def saves(self) -> Decimal:
        """What is not spent on materials, wage and wrap."""
        apart = (box for one in self.apart for box in one.boxes)
        return sum(map(spent_on, apart), Decimal(0)) - sum(
            map(spent_on, self.batch.boxes), Decimal(0)
        )

    def minutes(self, offer: str) -> Mapping[str, float]:
        """Return the minutes of one offer's boxes by operation."""
        i = self.offers.index(offer)
        return {operation.name: operation.minutes[i] for operation in self.batch.operations}

    @cached_property
    def boards(self) -> Mapping[str, int]:
        """The boards of each offer: whole ones, shared by the area of its parts."""
        found = dict.fromkeys(self.offers, 0)
        counted = [(box.design, box.count, box.work) for box in self.batch.boxes]
        for plan in self.batch.plans:
            bought = Decimal(plan.plan.boards + plan.plan.spare)
            shares = _WHOLE.shared(bought, board_weights(counted, plan))
            for offer, share in zip(self.offers, shares, strict=True):
                found[offer] += int(share)
        return found


def boards_of(batch: BatchPrice) -> int:
    """Return the boards of all stocks that a batch needs."""
    return sum(plan.plan.boards + plan.plan.spare for plan in batch.plans)


def spent_on(box: BoxPrice) -> Decimal:
    """Return materials, wage and wrap of all boxes of a variant: what building them costs."""
    return box.materials + box.wage + box.packing


def built_together(
    market: str, built: Sequence[Built], shop: Shop, seconds: float, spare: float = math.inf
) -> Together | None:
    """Return the offers of one market as one batch; None where that saves nothing.

    Args:
        market: its name.
        built: offers with boxes to build; sawn alike, or they stay apart.
        shop: what the shop pays and how long it takes.
        seconds: time for proving the boards of each stock.
        spare: boards that may be bought beyond those of the batches apart.
    """
    if len(built) < 2 or len({saw_of(one.design.parameters) for one in built}) > 1:
        return None
    batch = price_batch(
        [(one.design, one.boxes) for one in built],
        shop,
        seconds=seconds,
        made_before=[one.made_before for one in built],
    )
    offers = tuple(one.offer for one in built)
    found = Together(market, offers, batch, tuple(one.batch for one in built))
    gained = found.saves > 0 and found.hours_saved >= 0 and found.boards_saved >= -spare
    return found if gained else None
