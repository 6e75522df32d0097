"""What a batch costs and what each piece must be sold for.

Costs are counted three times over in whole coins that add up: the batch, each variant in it, and
what was used line by line. Overhead is the month's, spread over the month's hours.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import partial

from palewright.costing.board_choices import BoardChoice, cheapest_boards, saw_labour
from palewright.costing.box_takeoff import BoxWork, work_of
from palewright.costing.currency import exactly
from palewright.costing.labour_hours import Operation, operations_of
from palewright.costing.materials import Counted, Material, materials_of
from palewright.costing.parcels import Shipment, shipment_of
from palewright.costing.selling_price import (
    BreakEven,
    PricedPiece,
    break_even,
    offer_at,
    price_for_margin,
)
from palewright.costing.shop_file import Shop
from palewright.cutting_stock import FEWER_SETTINGS, WORK, CutPlan, Offcut, SawSettings
from palewright.design import Design
from palewright.sawing.stock_demands import (
    SPARE_KIT,
    StockDemand,
    demands_of,
    saw_of,
    with_spare_parts,
)
from palewright.sawing.stock_plans import StockPlan, first_plans, plan_demands

SIXTY = Decimal(60)


@dataclass(frozen=True, slots=True)
class BoxPrice:
    """One variant of a batch. Amounts are of all its boxes, in whole coins, unless said.

    Attributes:
        design: the box.
        count: how many are made.
        work: what one takes.
        materials, wage, overhead, packing: what its boxes cost.
        setup_minutes, hand_minutes: of all its boxes.
        offers: one piece at the price for the wanted margin, then at each price asked for.
        shipment: one piece as a parcel.
        paid: when each of these prices has paid for itself; at a loss none ever does.
    """

    design: Design
    count: int
    work: BoxWork
    materials: Decimal
    wage: Decimal
    overhead: Decimal
    packing: Decimal
    setup_minutes: float
    hand_minutes: float
    offers: tuple[PricedPiece, ...]
    shipment: Shipment
    paid: tuple[BreakEven, ...]

    @property
    def cost(self) -> Decimal:
        """What all its boxes cost."""
        return self.materials + self.wage + self.overhead + self.packing

    @property
    def unit_cost(self) -> Decimal:
        """What one box costs, exact: not rounded to coins."""
        return self.cost / self.count


@dataclass(frozen=True, slots=True)
class Yard:
    """What a batch is cut from, and how.

    Attributes:
        demands: parts and boards, stock by stock.
        saw: how the shop saws, mm.
        offcuts: pieces at hand, mm; they serve the first stock.
    """

    demands: tuple[StockDemand, ...]
    saw: SawSettings
    offcuts: tuple[Offcut, ...] = ()

    @classmethod
    def of_one(cls, box: Design) -> Yard:
        """Return what one box is cut from, without spare parts."""
        return cls(tuple(demands_of([(box, 1)])), saw_of(box.parameters))


@dataclass(frozen=True, slots=True)
class BatchPrice:
    """A batch: its variants, and the lines they are made of.

    Attributes:
        boxes: an entry a variant.
        materials, operations: what goes in, and what is done.
        plans: how the boards are cut.
        choices: for each stock, more boards against more saw settings; empty where nobody looked.
    """

    boxes: tuple[BoxPrice, ...]
    materials: tuple[Material, ...]
    operations: tuple[Operation, ...]
    plans: tuple[StockPlan, ...]
    choices: tuple[BoardChoice, ...] = ()

    @property
    def cost(self) -> Decimal:
        """What the whole batch costs."""
        return sum((box.cost for box in self.boxes), Decimal(0))

    @property
    def count(self) -> int:
        """How many boxes."""
        return sum(box.count for box in self.boxes)

    @property
    def spare_parts(self) -> int:
        """How many parts are cut on top, in case knots or splits spoil others."""
        parts = (part for plan in self.plans for part in plan.demand.parts)
        return sum(part.count for part in parts if part.kit == SPARE_KIT)

    @property
    def spare_boards(self) -> int:
        """How many boards are bought on top."""
        return sum(plan.plan.spare for plan in self.plans)

    @property
    def unproven(self) -> list[str]:
        """The stocks of which fewer boards may do."""
        if self.choices:
            return [choice.stock for choice in self.choices if not choice.proven]
        return [plan.demand.name for plan in self.plans if not plan.plan.proven]

    @property
    def minutes(self) -> float:
        """Minutes of the whole batch."""
        return sum(operation.total for operation in self.operations)


def price_batch(
    batch: Sequence[tuple[Design, int]],
    shop: Shop,
    asked: Sequence[Decimal] = (),
    seconds: float = WORK,
    progress: Callable[[str, float], None] | None = None,
    weigh_saw: bool = True,
    made_before: Sequence[int] | None = None,
    yard: Yard | None = None,
) -> BatchPrice:
    """Return what a batch costs, its boards from the one plan that every list of it shows.

    One box is cut as its own printed plan says, fewest boards and then few saw settings: that plan
    is sold, so that no figure of the shop may shape it. A batch is the shop's own: it is cut by the
    cheapest plan that is found, which may take more boards and ask less work at the saw.

    Args:
        batch: designs and how many boxes of each.
        shop: what the shop pays and how long it takes.
        asked: prices to judge besides the one that leaves the wanted margin.
        seconds: counted work for proving each stock's boards.
        progress: told what is being done and the share done.
        weigh_saw: False: cut a batch, too, by the plan of fewest boards.
        made_before: of each variant; as the shop's file says by default.
        yard: boards and saw, where they are not as the first variant says.

    Raises:
        InputError: for a part that fits no board, or a margin that no price leaves.
    """
    yard = yard or yard_of(batch)
    counts = [count for _, count in batch]
    made = [shop.learning.made_before] * len(batch) if made_before is None else made_before
    labour = None
    if weigh_saw and sum(counts) > 1:
        labour = partial(saw_labour, shop=shop, counts=counts, made_before=made)
    if sum(counts) == 1 and seconds == WORK and yard == Yard.of_one(batch[0][0]):
        plans = batch[0][0].saw_plans  # the very plan, made once for all that ask
    else:
        plans = plan_demands(
            yard.demands, yard.saw, yard.offcuts, seconds, FEWER_SETTINGS, progress, labour
        )
    counted = [(box, count, work_of(box, shop.finish.faces)) for box, count in batch]
    taken, choices = cheapest_boards(
        plans, lambda some: priced(counted, some, shop, made_before=made).cost
    )
    return replace(priced(counted, taken, shop, asked, made), choices=choices)


SIZES = (1, 2, 5, 10, 20, 50)
"""Boxes in a batch: what a maker is likely to weigh against each other."""


def price_sizes(
    box: Design,
    shop: Shop,
    asked: Sequence[Decimal] = (),
    seconds: float = WORK,
    progress: Callable[[str, float], None] | None = None,
    weigh_saw: bool = True,
    sizes: Sequence[int] = SIZES,
) -> list[BatchPrice]:
    """Return one box priced in a batch of each of some sizes; arguments as for ``price_batch``."""
    found = []
    for i, count in enumerate(sizes):
        if progress:
            progress(f"{count} {'box' if count == 1 else 'boxes'}", i / len(sizes))
        found.append(price_batch([(box, count)], shop, asked, seconds, weigh_saw=weigh_saw))
    return found


def first_sizes(box: Design, shop: Shop, asked: Sequence[Decimal] = ()) -> list[BatchPrice]:
    """Return the same by the first plans that are found: within a second, mostly a little dear."""
    work = work_of(box, shop.finish.faces)
    found = []
    for count in SIZES:
        yard = yard_of([(box, count)])
        plans = first_plans(yard.demands, yard.saw)
        found.append(priced([(box, count, work)], plans, shop, asked))
    return found


def resized(batch: BatchPrice, boxes: int, shop: Shop) -> BatchPrice:
    """Return what to expect of another number of the same boxes, sawn alike.

    Boards and cuts follow the number of boxes, saw settings stay; all else is exact. Its plans have
    no layouts.

    Args:
        batch: of one variant.
        boxes: how many instead.
        shop: what the shop pays and how long it takes.
    """
    (box,) = batch.boxes
    plans = [replace(one, plan=_resized(one.plan, boxes / box.count)) for one in batch.plans]
    return priced([(box.design, boxes, box.work)], plans, shop)


def _resized(plan: CutPlan, share: float) -> CutPlan:
    """Return a plan's numbers, so many times as large."""
    setups = plan.setups
    settings = tuple(replace(one, cuts=round(one.cuts * share)) for one in setups.settings)
    squaring = setups.squaring and replace(
        setups.squaring, cuts=round(setups.squaring.cuts * share)
    )
    return replace(
        plan,
        layouts=(),
        boards=math.ceil(plan.boards * share - 1e-9),
        spare=math.ceil(plan.spare * share - 1e-9),
        setups=replace(setups, settings=settings, squaring=squaring, lines=()),
    )


def yard_of(batch: Sequence[tuple[Design, int]]) -> Yard:
    """Return what a batch is cut from as its first variant says."""
    return Yard(tuple(batch_demands(batch)), saw_of(batch[0][0].parameters))


def batch_demands(batch: Sequence[tuple[Design, int]]) -> list[StockDemand]:
    """Return what a batch asks of the yard, with the spare parts that its first variant wants."""
    spare = batch[0][0].parameters.saw.spare_parts
    return [with_spare_parts(demand, spare) for demand in demands_of(batch)]


def priced(
    batch: Sequence[Counted],
    plans: Sequence[StockPlan],
    shop: Shop,
    asked: Sequence[Decimal] = (),
    made_before: Sequence[int] | None = None,
) -> BatchPrice:
    """Return what a batch costs whose boards are planned already; see ``price_batch``.

    Args:
        batch: boxes and how many of each.
        plans: of its boards, one a stock.
        shop: the maker's figures.
        asked: prices to be tried, each for one box.
        made_before: how many of each were built in earlier batches; None: none.
    """
    materials = materials_of(batch, plans, shop)
    made = [shop.learning.made_before] * len(batch) if made_before is None else made_before
    operations = operations_of(batch, plans, shop, made)
    boxes = [_box(i, one, materials, operations, shop, asked) for i, one in enumerate(batch)]
    return BatchPrice(tuple(boxes), tuple(materials), tuple(operations), tuple(plans))


def _box(
    i: int,
    one: Counted,
    materials: Sequence[Material],
    operations: Sequence[Operation],
    shop: Shop,
    asked: Sequence[Decimal],
) -> BoxPrice:
    """Return the i-th variant of a batch."""
    design, count, work = one
    coins, fees = shop.coins, shop.fees
    setup = sum(operation.minutes[i] for operation in operations if operation.setup)
    hands = sum(operation.minutes[i] for operation in operations if not operation.setup)
    hours = exactly(setup + hands) / SIXTY
    spent = sum((material.shares[i] for material in materials), Decimal(0))
    wage = coins.rounded(hours * shop.rates.wage)
    overhead = coins.rounded(hours * shop.overhead_an_hour)
    packing = coins.rounded(count * shop.selling.packing)
    cost = spent + wage + overhead + packing
    wanted = price_for_margin(
        cost / count, exactly(shop.selling.margin) / 100, fees, shop.selling.step
    )
    offers = tuple(offer_at(cost / count, price, fees) for price in (wanted, *asked))
    return BoxPrice(
        design=design,
        count=count,
        work=work,
        materials=spent,
        wage=wage,
        overhead=overhead,
        packing=packing,
        setup_minutes=setup,
        hand_minutes=hands,
        offers=offers,
        shipment=shipment_of(work, shop),
        paid=tuple(_paid(offer, count, cost, overhead, shop) for offer in offers),
    )


def _paid(
    offer: PricedPiece, count: int, cost: Decimal, overhead: Decimal, shop: Shop
) -> BreakEven:
    """Return when a price has paid for so many boxes, what they cost and their overhead told."""
    if offer.profit < 0:
        return BreakEven(None, None)
    brings, stall = offer.price - offer.fees, shop.selling.stall
    batch = break_even(cost + stall, brings, Decimal(0))
    month = break_even(shop.rates.overhead + stall, brings, (cost - overhead) / count)
    return BreakEven(batch if batch is not None and batch <= count else None, month)
