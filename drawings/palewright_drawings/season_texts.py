"""What ``season`` prints: how many to build, what that earns on average, which week does what."""

from __future__ import annotations

import datetime
import textwrap
from collections import Counter
from itertools import groupby

from palewright.money.season_plans import Choice, SeasonPlan
from palewright.money.shops import Shop
from palewright.money.together import boards_of
from palewright.money.weeks import WEEK, Stint


def season_text(plan: SeasonPlan, shop: Shop, source: str) -> str:
    """Return the whole plan for the maker's eyes.

    Args:
        plan: the season.
        shop: whose figures it was planned with.
        source: where those come from, in words.
    """
    season = plan.file.season
    lines = [f"{season.title}: all amounts in {shop.coins.name}", f"figures: {source}", ""]
    lines += [
        *_offers(plan, shop),
        "",
        *_scarce(plan),
        "",
        *_markets(plan, shop),
        "",
        *_weeks(plan),
    ]
    return "\n".join(lines)


def stint_text(stint: Stint) -> str:
    """Return one stint in words: the offer, the work, which boxes, how long."""
    span = f"{stint.first}" if stint.first == stint.last else f"{stint.first} to {stint.last}"
    long = f"{stint.hours:.1f} h" if stint.hours >= 0.1 else f"{60 * stint.hours:.0f} min"
    return f"{stint.offer}: {stint.work}, {span} of {stint.boxes}, {long}"


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


def _offers(plan: SeasonPlan, shop: Shop) -> list[str]:
    """Return a line an offer, and what all earn on average."""
    heading = ("offer", "market", "build", "no limits", "boards", "hours", "sold", "all sold",
               "cost", "earns")  # fmt: skip
    table = [heading]
    for one in plan.choices:
        table.append(
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
        )
    wide = [max(len(row[i]) for row in table) for i in range(len(heading))]
    lines = []
    for row in table:
        cells = [
            text.ljust(size) if i < 2 else text.rjust(size)
            for i, (text, size) in enumerate(zip(row, wide, strict=True))
        ]
        lines.append("  ".join(cells))
    return [
        *lines,
        "build: what earns the most together; no limits: were hours and boards not scarce;",
        "sold, earns: on average; all sold: the chance of it; cost: a piece, overhead not in it",
        "",
        f"after {shop.coins.text(plan.stalls)} for stalls the season earns "
        f"{shop.coins.text(plan.earns)} on average,",
        f"your hours paid at {shop.rates.wage}; overhead is yet to come off",
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


def _of(plan: SeasonPlan, market: str) -> list[Choice]:
    """Return the offers of one market."""
    return [one for one in plan.choices if one.offer.market == market]


def _markets(plan: SeasonPlan, shop: Shop) -> list[str]:
    """Return for each market when to begin, what to buy and what to bring."""
    lines = []
    for name in plan.hours_there:
        market, begins = plan.file.market[name], begins_for(plan, name)
        title = market.title or name
        if begins is None:
            lines.append(f"{title}, {market.opens}: build nothing for it")
            continue
        bought = ", ".join(f"{n} {stock}" for stock, n in boards_to_buy(plan, name).items())
        lines += [
            f"{title}, {market.opens}: begin by {begins}, ready by {plan.file.ready_by(name)}",
            f"  buy    {bought}",
            f"  bring  {', '.join(to_bring(plan, name))}",
            *_together(plan, name, shop),
        ]
    if plan.together:
        lines.append("boards, hours, cost and earns above have in them what is saved by building")
        lines.append("together; how many was chosen without it, so a box or two more may pay")
    return lines


def _together(plan: SeasonPlan, market: str, shop: Shop) -> list[str]:
    """Return what it saves to build one market's boxes as one batch, and each batch alone."""
    lines = []
    for one in plan.together:
        if one.market == market:
            more = "fewer" if one.boards_saved >= 0 else "more"
            lines.append(
                f"  build  {', '.join(one.offers)} as one batch: {abs(one.boards_saved)} boards "
                f"{more}, {one.hours_saved:.1f} hours less, {shop.coins.text(one.saves)} saved"
            )
    alone = [
        f"{one.name} {boards_of(one.batch)} boards, {shop.coins.text(one.batch.boxes[0].unit_cost)}"
        for one in _of(plan, market)
        if one.batch is not None
    ]
    told = (
        f"each as a batch of its own, as price has it: {'; '.join(alone)} a piece, overhead in it"
    )
    return [*lines, *textwrap.wrap(told, 90, initial_indent="  alone  ", subsequent_indent=" " * 9)]


def _weeks(plan: SeasonPlan) -> list[str]:
    """Return the build plan: a line a stint under its week."""
    lines = []
    for begins, stints in groupby(plan.stints, key=lambda stint: stint.begins):
        listed = list(stints)
        hours = sum(stint.hours for stint in listed)
        last = begins + WEEK - datetime.timedelta(days=1)
        lines.append(f"[ ] {begins} to {last}, {hours:.1f} h")
        lines += [f"      {stint_text(stint)}" for stint in listed]
    return lines
