"""What ``price`` prints: what goes in, the work, the cost, what it must be sold for."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

from palewright.costing.batch_price import BatchPrice, BoxPrice
from palewright.costing.board_choices import cuts_of
from palewright.costing.labour_hours import Operation
from palewright.costing.materials import Material
from palewright.costing.selling_price import HUNDRED, BreakEven, PricedPiece
from palewright.costing.shop_file import Shop
from palewright.design import Design
from palewright.reading.lengths import tape_reading
from palewright.reading.quantities import POUND, print_mass, print_supply
from palewright_drawings.output.terminal import indented, table
from palewright_drawings.texts.shop_texts import figure_texts

if TYPE_CHECKING:
    from palewright_drawings.output.terminal import Part


def batch_text(priced: BatchPrice, shop: Shop, source: str) -> list[Part]:
    """Return the whole batch for the maker's eyes.

    Args:
        priced: the batch.
        shop: whose figures it was priced with.
        source: where those come from, in words.
    """
    names = ", ".join(f"{box.count} x {box.design.name}" for box in priced.boxes)
    designs = [box.design for box in priced.boxes]
    said: list[Part] = [*unfit_texts(designs), f"{names}: all amounts in {shop.coins.name}"]
    said += [*figure_texts(shop, source, designs, priced.plans), ""]
    said += [_materials(priced, shop), *spare_texts(priced), "", *_choices(priced, shop)]
    said += [_work(priced), _learning(shop), ""]
    for box in priced.boxes:
        said += [*_box(box, shop), ""]
    return [*said, *_remarks(priced)]


def sizes_text(batches: Sequence[BatchPrice], shop: Shop, source: str) -> list[Part]:
    """Return one box in batches of several sizes; arguments as for ``batch_text``."""
    box, last = batches[0].boxes[0].design, batches[-1]
    said: list[Part] = [
        *unfit_texts([box]),
        f"{box.name}, by how many are made at once: all amounts in {shop.coins.name}",
        *figure_texts(shop, source, [box], last.plans),
        "",
        size_table(batches, shop),
        "",
        f"sell at: the least that leaves {wanted_text(shop)}",
        "sold to pay: how many sold pay for the whole batch and one stall",
        f"all that goes into one batch: palewright price {box.name}:10",
    ]
    unproven = [str(one.count) for one in batches if one.unproven]
    if unproven:
        said.append(f"fewer boards may do for {', '.join(unproven)}; --work gives more of it")
    return said


def size_table(batches: Sequence[BatchPrice], shop: Shop) -> Part:
    """Return what a piece costs and sells for, a line a batch; a column a price asked for."""
    coins = shop.coins
    asked = [f"left at {coins.text(one.price)}" for one in batches[0].boxes[0].offers[1:]]
    rows = []
    for one in batches:
        box = one.boxes[0]
        wanted = box.offers[0]
        rows.append(
            (
                str(one.count),
                boards_text(one),
                str(sum(plan.plan.setups.count for plan in one.plans)),
                f"{one.minutes / 60 / one.count:.1f}",
                coins.text(box.unit_cost),
                coins.text(wanted.price),
                coins.text(wanted.profit),
                "not paid" if box.paid[0].batch is None else str(box.paid[0].batch),
                *(coins.text(offer.profit) for offer in box.offers[1:]),
            )
        )
    heading = ["boxes", "boards", "saw settings", "hours each", "a piece costs", "sell at", "left"]
    heading += ["sold to pay", *asked]
    return table(rows, heading, right=range(len(heading)), indent=2)


def boards_text(priced: BatchPrice) -> str:
    """Return the boards that a batch takes, stock by stock, spares with them."""
    return " + ".join(f"{one.needed:.0f}" for one in priced.materials if one.unit == "boards")


def unfit_texts(designs: Sequence[Design]) -> list[str]:
    """Return a line a box that cannot be built as it is; nothing for those that fit."""
    return [
        f"{box.name} does not fit: {faults} fault{'' if faults == 1 else 's'}; "
        f"see: palewright check {box.name}, with the same --set"
        for box in designs
        if (faults := box.verdict.faults)
    ]


def wanted_text(shop: Shop) -> str:
    """Return the wanted margin in words."""
    return f"{shop.selling.margin:g} % of itself after all costs"


def _materials(priced: BatchPrice, shop: Shop) -> Part:
    """Return a line a material, and their sum."""
    rows = [
        (one.name, needed_text(one, system_of(priced)), bought_text(one), shop.coins.text(one.cost))
        for one in priced.materials
    ]
    total = shop.coins.text(sum((m.cost for m in priced.materials), Decimal(0)))
    heading = ("what goes in", "needed", "bought", "batch")
    return table([*rows, ("together", "", "", total)], heading, right={1, 3})


def spare_texts(priced: BatchPrice) -> list[str]:
    """Return how many parts and boards among these are spare, for knots and splits."""
    told = []
    if priced.spare_parts:
        told.append(f"{priced.spare_parts} spare parts cut (saw.spare_parts)")
    if priced.spare_boards:
        told.append(f"{priced.spare_boards} spare boards bought (saw.spare)")
    return [f"in it, for knots and splits: {', '.join(told)}"] if told else []


def _choices(priced: BatchPrice, shop: Shop) -> list[Part]:
    """Return which plans were found for a stock and what the batch costs by each."""
    said: list[Part] = []
    for choice in priced.choices:
        if len(choice.options) < 2:
            continue
        rows = []
        for k, option in enumerate(choice.options):
            plan = option.plan
            told = f"{plan.boards} boards, {plan.setups.count} settings, {cuts_of(plan)} cuts"
            told += ": taken" if k == choice.chosen else ""
            rows.append((told, shop.coins.text(option.cost)))
        title = f"{choice.stock}: boards against work at the saw"
        said += [table(rows, (title, "batch"), right={1}), ""]
    return said


_COUNTED = ("cuts", "holes", "screws")


def system_of(priced: BatchPrice) -> str:
    """Return the units of a batch: those of its first box."""
    return priced.boxes[0].design.parameters.product.units


def needed_text(one: Material, system: str) -> str:
    """Return how much is needed, in the units of a shop."""
    if one.whole or one.unit in _COUNTED:
        return f"{one.needed:.0f} {one.unit}"
    return print_supply(one.needed, one.unit, system)


def bought_text(one: Material) -> str:
    """Return which packages are bought, or that only what is used is charged."""
    if not one.whole:
        count = sum(count for _, count in one.packs)
        return f"by use; {count} at hand" if one.unit not in ("cuts", "holes") else "by use"
    if one.unit == "boards":
        pack, count = one.packs[0]
        return f"{count} at {pack.price}"
    return "boxes: " + " + ".join(f"{count} of {pack.holds}" for pack, count in one.packs)


def chosen_texts(priced: BatchPrice, shop: Shop) -> dict[str, str]:
    """Return by stock, where a plan of more boards was taken, what it saves over the fewest."""
    found = {}
    for choice in priced.choices:
        fewest, taken = choice.options[0], choice.options[choice.chosen]
        if choice.chosen:
            saved = shop.coins.text(fewest.cost - taken.cost)
            found[choice.stock] = (
                f"{fewest.plan.boards} boards would do, with {fewest.plan.setups.count} saw "
                f"settings and {cuts_of(fewest.plan)} cuts for {taken.plan.setups.count} and "
                f"{cuts_of(taken.plan)}: the batch would cost {saved} {shop.coins.name} more "
                "(--fewest-boards takes them)"
            )
    return found


def _work(priced: BatchPrice) -> Part:
    """Return a line an operation, and their sum."""
    rows = [
        (
            one.name,
            often_text(one, system_of(priced)),
            f"{one.pace:g}{', set-up' if one.setup else ''}",
            f"{one.total:.0f}",
        )
        for one in priced.operations
    ]
    setups = sum(one.total for one in priced.operations if one.setup)
    hours = f"{priced.minutes / 60:.1f} hours, of them {setups / 60:.1f} for set-ups"
    rows.append(("together", "", hours, f"{priced.minutes:.0f}"))
    heading = ("work", "how often", "minutes each, once known", "minutes")
    return table(rows, heading, right={1, 3})


def _learning(shop: Shop) -> str:
    """Return by which model hands get quicker."""
    told = shop.learning
    model = _MODELS[told.model].format(rate=f"{told.rate:g}")
    return f"learning, {told.model} model: {model}; timed at box {told.timed_at}"


_MODELS = {
    "unit": "twice the boxes, {rate} % of the time for each",
    "cumulative-average": "twice the boxes, {rate} % of the average time of all",
}


def often_text(one: Operation, system: str) -> str:
    """Return how often, or how much, an operation is done."""
    if one.unit == "m²":
        return print_supply(one.times, one.unit, system)
    often = f"{one.times:.0f}"
    unit = one.unit.removesuffix("es") if often == "1" and one.unit.endswith("ches") else one.unit
    return f"{often} {unit}"


def _box(box: BoxPrice, shop: Shop) -> list[Part]:
    """Return what one variant costs and sells for."""
    coins = shop.coins
    rows = [
        (name, coins.text(amount), coins.text(amount / box.count))
        for name, amount in cost_rows(box, shop)
    ]
    offers = [_offer(offer, shop) for offer in box.offers]
    offers[0] += (f"the least that leaves {shop.selling.margin:g} %",)
    return [
        table(rows, (f"{box.design.name}, {box.count} made", "batch", "a piece"), right={1, 2}),
        "",
        table(offers, ("sell at", "fees", "left", "of price", "on cost"), right=range(5), indent=2),
        *(indented(text, 2) for text in break_even_texts(box, shop)),
        *(indented(text, 2) for text in parcel_texts(box, shop)),
    ]


def cost_rows(box: BoxPrice, shop: Shop) -> list[tuple[str, Decimal]]:
    """Return what all boxes of a variant cost, kind by kind, and their sum last."""
    minutes = box.setup_minutes + box.hand_minutes
    hourly = shop.coins.text(shop.overhead_an_hour)
    return [
        ("materials", box.materials),
        (f"wage, {minutes / 60:.1f} hours at {shop.rates.wage}", box.wage),
        (f"overhead, {hourly} an hour", box.overhead),
        ("wrap and tag", box.packing),
        ("cost", box.cost),
    ]


def _offer(offer: PricedPiece, shop: Shop) -> tuple[str, ...]:
    """Return what is left of one price: amounts, then shares of the price and of the cost."""
    cells = [shop.coins.text(x) for x in (offer.price, offer.fees, offer.profit)]
    cells.append(f"{offer.margin * HUNDRED:.1f} %")
    cells.append("" if offer.markup is None else f"{offer.markup * HUNDRED:.1f} %")
    return tuple(cells)


def break_even_texts(box: BoxPrice, shop: Shop) -> list[str]:
    """Return how many must be sold, a line a price."""
    return [
        f"at {shop.coins.text(offer.price)}: {_paid_text(offer, paid, box, shop)}"
        for offer, paid in zip(box.offers, box.paid, strict=True)
    ]


def _paid_text(offer: PricedPiece, paid: BreakEven, box: BoxPrice, shop: Shop) -> str:
    """Return how many must be sold at one price."""
    if offer.profit < 0:
        return f"loses {shop.coins.text(-offer.profit)} a piece: no number sold pays"
    stall, every = (
        shop.coins.text(shop.selling.stall),
        "it" if box.count == 1 else f"all {box.count}",
    )
    batch = f"not paid by this batch with one stall ({stall})"
    if paid.batch is not None:
        batch = f"{paid.batch} sold {_pays(paid.batch)} for {every} and one stall ({stall})"
    if paid.month is None:
        return f"{batch}; no number a month carries overhead and a stall"
    carry = "carries" if paid.month == 1 else "carry"
    return f"{batch}; {paid.month} a month {carry} overhead and a stall"


def _pays(count: int) -> str:
    """Return the verb for so many."""
    return "pays" if count == 1 else "pay"


def parcel_texts(box: BoxPrice, shop: Shop) -> list[str]:
    """Return one piece as a parcel."""
    sent, size, system = box.shipment, carton_text(box), box.design.parameters.product.units
    why = "size" if sent.dimensional > sent.mass else "weight"
    billed = f"billed as {billed_text(sent.billed, system)} for its {why}"
    cost = sent.refusal or f"about {shop.coins.text(sent.cost or Decimal(0))}, not in the price"
    return [f"as a parcel: {size}, {print_mass(sent.mass, system)}", f"  {billed}; {cost}"]


def carton_text(box: BoxPrice) -> str:
    """Return the size of one piece packed."""
    sides, system = box.shipment.sides, box.design.parameters.product.units
    size = " x ".join(tape_reading(side, system) for side in sides)
    return f"{size} {'in' if system == 'inch' else 'mm'}"


def billed_text(kilograms: float, system: str) -> str:
    """Return the mass that a carrier bills, not rounded again: to the last of its steps."""
    if system == "inch":
        return f"{kilograms / POUND:.1f} lb"
    return f"{round(kilograms, 3):.10g} kg"


def plain_screw_texts(materials: Sequence[Material]) -> list[str]:
    """Return which screws no box of the shop's file holds."""
    plain = [one.name for one in materials if not one.listed]
    return [f"no screw_box holds {', '.join(plain)}: priced as other_screws"] if plain else []


def _remarks(priced: BatchPrice) -> list[str]:
    """Return what the maker should know about these figures."""
    lines = plain_screw_texts(priced.materials)
    if priced.unproven:
        stocks = ", ".join(priced.unproven)
        lines.append(f"{stocks}: fewer boards may do; --work gives more of it")
    lines.append("Sales tax and what a market adds are not in it. For you only: not for the plan.")
    return lines
