"""What ``season`` prints: how many to build, what that earns on average, which week does what."""

from __future__ import annotations

import datetime
import math
from collections import Counter
from decimal import Decimal
from itertools import groupby
from typing import TYPE_CHECKING

from palewright.costing.materials import Material
from palewright.costing.shop_file import Shop
from palewright.reading.quantities import print_supply
from palewright.season.backward_schedule import WEEK, Stint
from palewright.season.joint_batches import boards_of
from palewright.season.purchases import paid_for, purchases_of
from palewright.season.season_plan import PlannedOffer, SeasonPlan
from palewright_drawings.output.terminal import pairs, table
from palewright_drawings.texts.price_texts import (
    needed_text,
    plain_screw_texts,
    system_of,
    unfit_texts,
)
from palewright_drawings.texts.shop_texts import figure_texts

if TYPE_CHECKING:
    from palewright_drawings.output.terminal import Part


def season_text(plan: SeasonPlan, shop: Shop, source: str, markets: str = "") -> list[Part]:
    """Return the whole plan for the maker's eyes.

    Args:
        plan: the season.
        shop: whose figures it was planned with.
        source: where those come from, in words.
        markets: the same of the markets and their buyers.
    """
    season = plan.file.season
    designs = list({one.design.name: one.design for one in plan.choices}.values())
    plans = [stock for batch in plan.every_batch for stock in batch.plans]
    said: list[Part] = [*unfit_texts(designs), f"{season.title}: all amounts in {shop.coins.name}"]
    said += [f"markets and buyers: {markets}"] if markets else []
    return [
        *said,
        *figure_texts(shop, source, designs, plans),
        "",
        *_offers(plan, shop),
        "",
        *_scarce(plan),
        "",
        *_markets(plan, shop),
        "",
        *_purchases(plan, shop),
        *_weeks(plan),
    ]


def stint_text(stint: Stint) -> str:
    """Return one stint in words: the offer, the work, which boxes, how long."""
    span = f"{stint.first}" if stint.first == stint.last else f"{stint.first} to {stint.last}"
    return f"{stint.offer}: {stint.work}, {span} of {stint.boxes}, {hours_text(stint.hours)}"


def hours_text(hours: float) -> str:
    """Return hours as text, minutes where they are few."""
    return f"{hours:.1f} h" if hours >= 0.1 else f"{math.ceil(60 * hours)} min"


def boards_to_buy(plan: SeasonPlan, market: str) -> dict[str, int]:
    """Return the boards of each stock that one market's boxes need."""
    found: Counter[str] = Counter()
    for batch in plan.batches(market):
        for stock in batch.plans:
            found[stock.demand.name] += stock.plan.boards + stock.plan.spare
    return dict(found)


def to_bring(plan: SeasonPlan, market: str) -> list[str]:
    """Return what is brought to one market, such as ``14 Stoop tub``."""
    return [
        f"{one.boxes} {one.design.parameters.product.title}"
        for one in plan.choices
        if one.offer.market == market and one.boxes
    ]


def begins_for(plan: SeasonPlan, market: str) -> datetime.date | None:
    """Return the first day of the latest week in which work for one market begins."""
    offers = {one.name for one in plan.choices if one.offer.market == market}
    return min((s.begins for s in plan.stints if s.offer in offers), default=None)


def _offers(plan: SeasonPlan, shop: Shop) -> list[Part]:
    """Return a line an offer, and what all earn on average."""
    heading = ("offer", "market", "build", "no limits", "boards", "hours", "sold", "all sold",
               "cost", "earns")  # fmt: skip
    rows = [
        (
            one.name,
            one.offer.market,
            str(one.boxes),
            str(one.alone),
            str(one.boards),
            f"{one.hours:.1f}",
            f"{one.sold:.1f}",
            f"{100 * one.none_left:.0f} %" if one.boxes else "-",
            shop.coins.text(one.spends / one.boxes) if one.boxes else "-",
            shop.coins.text(one.earns),
        )
        for one in plan.choices
    ]
    unseen = f"not looked at, the search is over before: {', '.join(plan.unseen)}; none are built"
    return [
        table(rows, heading, right=range(2, len(heading))),
        *([unseen] if plan.unseen else []),
        "build: what earns the most together; no limits: were hours and boards not scarce; "
        "sold, earns: on average; all sold: the chance of it; cost: a piece, overhead not in it",
        "",
        f"after {shop.coins.text(plan.stalls)} for stalls the season earns "
        f"{shop.coins.text(plan.earns)} on average, your hours paid at {shop.rates.wage}; "
        "overhead is yet to come off",
    ]


def _scarce(plan: SeasonPlan) -> list[str]:
    """Return how much there is of hours and boards, and how much is taken."""
    lines, taken = [], 0.0
    for market, there in plan.hours_there.items():
        taken += _hours(plan, market)
        title = plan.file.market[market].title or market
        lines.append(f"hours before {title}: {taken:.1f} of {there:.1f} taken")
    most = plan.file.season.boards
    return [*lines, f"boards: {plan.boards}{f' of {most}' if most else ''}"]


def _hours(plan: SeasonPlan, market: str) -> float:
    """Return the hours that one market's boxes take."""
    return sum(one.hours for one in _of(plan, market))


def _of(plan: SeasonPlan, market: str) -> list[PlannedOffer]:
    """Return the offers of one market."""
    return [one for one in plan.choices if one.offer.market == market]


def _markets(plan: SeasonPlan, shop: Shop) -> list[Part]:
    """Return for each market when to begin, what to buy and what to bring."""
    said: list[Part] = []
    for name in plan.hours_there:
        market, begins = plan.file.market[name], begins_for(plan, name)
        title, ready = market.title or name, plan.file.ready_by(name)
        if begins is None:
            why = "" if plan.hours_there[name] else f", no week of work is over by {ready}"
            said.append(f"{title}, {market.opens}: build nothing for it{why}")
            continue
        bought = ", ".join(f"{n} {stock}" for stock, n in boards_to_buy(plan, name).items())
        told = [("buy", bought), ("bring", ", ".join(to_bring(plan, name)))]
        told += [*_together(plan, name, shop), *_stall(plan, name, shop)]
        said.append(f"{title}, {market.opens}: begin by {begins}, ready by {ready}")
        said.append(pairs(told, indent=2))
    if plan.together:
        said.append(
            "boards, hours, cost and earns above have in them what is saved by building together; "
            "how many was chosen without it, so a box or two more may pay"
        )
    return said


def _stall(plan: SeasonPlan, market: str, shop: Shop) -> list[tuple[str, str]]:
    """Return that a market's stall costs more than its boxes earn; nothing where it does not."""
    earned = sum((one.earns for one in _of(plan, market)), Decimal(0))
    stall = plan.file.market[market].days * shop.selling.stall
    if earned >= stall:
        return []
    told = f"{shop.coins.text(earned)} for it on average, less than its stall of"
    stays = f"the boxes earn {told} {shop.coins.text(stall)}: better stay away"
    return [("caution", stays)]


def _together(plan: SeasonPlan, market: str, shop: Shop) -> list[tuple[str, str]]:
    """Return what it saves to build one market's boxes as one batch, and each batch alone."""
    lines = []
    for one in plan.together:
        if one.market == market:
            more = "fewer" if one.boards_saved >= 0 else "more"
            saved = (
                f"{', '.join(one.offers)} as one batch: {_boards(one.boards_saved)} {more}, "
                f"{one.hours_saved:.1f} hours less, {shop.coins.text(one.saves)} saved"
            )
            lines.append(("build", saved))
    alone = [
        f"{one.name} {boards_of(one.batch)} boards, {shop.coins.text(one.batch.boxes[0].unit_cost)}"
        for one in _of(plan, market)
        if one.batch is not None
    ]
    told = (
        "each as a batch of its own, as price has it with the same learning.made_before: "
        f"{'; '.join(alone)} a piece, overhead in it"
    )
    return [*lines, ("alone", told)]


def _boards(count: int) -> str:
    """Return how many boards, whichever way the count goes."""
    return f"{abs(count)} board{'' if abs(count) == 1 else 's'}"


def packages_text(one: Material, system: str) -> str:
    """Return the packages to buy, such as ``2 of 470 ml``; of boards how many."""
    if one.unit == "boards":
        return f"{one.packs[0][1]}"
    if one.holds:
        return f"{one.packs[0][1]} of {print_supply(one.holds, one.unit, system)}"
    return " + ".join(f"{count} of {pack.holds}" for pack, count in one.packs)


def _purchases(plan: SeasonPlan, shop: Shop) -> list[Part]:
    """Return what is bought for the whole season, by the package; no lines for nothing built."""
    bought = purchases_of(plan.every_batch, shop)
    if not bought:
        return []
    system = system_of(plan.every_batch[0])
    rows = [
        (
            one.name,
            needed_text(one, system),
            packages_text(one, system),
            shop.coins.text(paid_for(one)),
        )
        for one in bought
    ]
    rows.append(("together", "", "", shop.coins.text(sum(map(paid_for, bought), Decimal(0)))))
    heading = ("to buy for the whole season", "needed", "by the package", "paid")
    return [
        table(rows, heading, right={1, 3}),
        "batches above are charged screws by whole boxes, glue, finish, liner and wear by use; "
        "bought for all of them at once, what one leaves over serves the next",
        *plain_screw_texts(bought),
        "",
    ]


def _weeks(plan: SeasonPlan) -> list[str]:
    """Return the build plan: a line a stint under its week."""
    lines = []
    for begins, stints in groupby(plan.stints, key=lambda stint: stint.begins):
        listed = list(stints)
        hours = sum(stint.hours for stint in listed)
        last = begins + WEEK - datetime.timedelta(days=1)
        lines.append(f"[ ] {begins} to {last}, {hours_text(hours)}")
        lines += [f"      {stint_text(stint)}" for stint in listed]
    return lines
