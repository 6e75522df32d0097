"""A season planned: how many of each offer, what that earns on average, and which week does what.

Costs that follow from the choice count: materials, your hours at your wage, wrap, fees. Overhead
is paid whatever is built, so it chooses nothing and is left out; stalls are told beside. The search
ends by counted work: the same season has the same plan on every machine.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from pathlib import Path

from palewright.costing.batch_price import BatchPrice, price_batch, resized
from palewright.costing.currency import exactly
from palewright.costing.shop_file import Shop
from palewright.cutting_stock import WORK
from palewright.cutting_stock.problem.work_clock import counted, now
from palewright.design import Design, design
from palewright.parameters.variant_files import find_variant, load_variant
from palewright.reading.errors import InputError
from palewright.season.backward_schedule import Stint, Task, hours_before, latest_weeks, work_weeks
from palewright.season.joint_batches import Built, Together, boards_of, built_together, spent_on
from palewright.season.season_file import Offer, SeasonFile
from palewright.season.season_search import Limits, Offered, best_alone, season_numbers

_GROUPS = (
    ("saw", ("clear the bench", "set the saw", "fetch boards", "crosscut", "rip")),
    ("drill and sand", ("change bits", "drill", "sand")),
    ("put together", ("lay in place", "glue", "drive screws", "line")),
    ("finish and pack", ("set up finishing", "coat", "pack")),
)
"""The work of a batch in order, by the names of its operations."""

SEARCH_WORK = 60.0
"""Counted work, in seconds of a quiet core, after which the choice is made among what is priced by
then. The shipped season takes a tenth of it; what is built together is worked out beside."""


@dataclass(frozen=True, slots=True)
class PlannedOffer:
    """One offer as planned. Amounts in the shop's currency.

    Attributes:
        name: of the offer.
        offer: as the maker wrote it.
        design: the box.
        boxes: how many to build.
        alone: how many would be best if nothing were scarce.
        batch: the boxes as a batch of their own; None where none are built.
        boards: boards of all stocks; where they are built together with others, its share.
        hours: at the bench, likewise.
        sold: on average.
        none_left: the chance that all are sold.
        takes: what sales bring on average, fees taken off, with what is left over.
        spends: materials, wage and wrap.
        minutes: of the work, by the names of its operations.
    """

    name: str
    offer: Offer
    design: Design
    boxes: int
    alone: int
    batch: BatchPrice | None
    boards: int
    hours: float
    sold: float
    none_left: float
    takes: Decimal
    spends: Decimal
    minutes: Mapping[str, float]

    @property
    def earns(self) -> Decimal:
        """What is left on average."""
        return self.takes - self.spends


@dataclass(frozen=True, slots=True)
class SeasonPlan:
    """A season: what to build, and when.

    Attributes:
        file: as the maker wrote it.
        choices: an entry an offer.
        stints: the work, week by week.
        hours_there: hours before each market, by name; market by market in order of date.
        stalls: what all stalls cost.
        together: offers of one market that are built as one batch.
        unseen: offers that nobody looked at before the work had an end: none are built.
    """

    file: SeasonFile
    choices: tuple[PlannedOffer, ...]
    stints: tuple[Stint, ...]
    hours_there: Mapping[str, float]
    stalls: Decimal
    together: tuple[Together, ...] = ()
    unseen: tuple[str, ...] = ()

    def batches(self, market: str) -> list[BatchPrice]:
        """Return the batches that are built for a market."""
        shared = [one for one in self.together if one.market == market]
        inside = {offer for one in shared for offer in one.offers}
        own = [c.batch for c in self.choices if c.offer.market == market and c.name not in inside]
        return [*(one.batch for one in shared), *(batch for batch in own if batch is not None)]

    @property
    def every_batch(self) -> list[BatchPrice]:
        """All batches that are built, market by market in order of date."""
        return [batch for market in self.hours_there for batch in self.batches(market)]

    @property
    def earns(self) -> Decimal:
        """What is left on average after the stalls, before overhead."""
        return sum((one.earns for one in self.choices), Decimal(0)) - self.stalls

    @property
    def boards(self) -> int:
        """Boards of all stocks for all boxes."""
        return sum(one.boards for one in self.choices)

    @property
    def begins(self) -> datetime.date | None:
        """The latest week in which to begin; None where nothing is built."""
        return self.stints[0].begins if self.stints else None


def plan_season(
    file: SeasonFile,
    folder: Path,
    shop: Shop,
    seconds: float = WORK,
    progress: Callable[[str], None] | None = None,
) -> SeasonPlan:
    """Return the plan of a season.

    How many is chosen as if each offer were a batch of its own, on batches as ``price`` prices
    them; then those for one market are built together, where that saves something.

    Args:
        file: the season.
        folder: where variants are looked for before the shipped ones.
        shop: what the shop pays and how long it takes.
        seconds: counted work for proving each batch's boards.
        progress: told in words what is being worked out.

    Raises:
        InputError: for a variant that cannot be built, with the offer's key.
    """
    tell = progress or (lambda _: None)
    designs = _designs(file, folder)
    markets = sorted(file.market, key=lambda name: (file.market[name].opens, name))
    days = [file.ready_by(market) for market in markets]
    weeks = work_weeks(file.season.start, max(days), [one.day for one in file.week_off.values()])
    there = hours_before(weeks, file.season.hours, days)
    offers = {
        name: _offered(name, offer, designs[name], markets.index(offer.market), shop, seconds, tell)
        for name, offer in file.offer.items()
    }
    with counted():
        limits = Limits(there, file.season.boards)
        numbers = season_numbers(offers, limits, lambda: now() > SEARCH_WORK)
        tell("what would be best without limits")
        choices = tuple(
            replace(
                offers[name].priced.get(count) or _unbuilt(name, file.offer[name], designs[name]),
                alone=best_alone(offers[name]),
            )
            for name, count in numbers.items()
        )
    most = file.season.boards or math.inf
    together = _together(markets, choices, most, shop, seconds, tell)
    choices = tuple(_as_built(one, together) for one in choices)
    stints = latest_weeks(_tasks(choices, file, markets, together), weeks, file.season.hours)
    if stints is None:
        raise ArithmeticError("hours that suffice in sum did not suffice week by week")
    stalls = sum((market.days * shop.selling.stall for market in file.market.values()), Decimal(0))
    hours_there = dict(zip(markets, there, strict=True))
    unseen = tuple(name for name, one in offers.items() if one.most and not one.priced)
    return SeasonPlan(file, choices, tuple(stints), hours_there, stalls, together, unseen)


def _offered(
    name: str,
    offer: Offer,
    box: Design,
    due: int,
    shop: Shop,
    seconds: float,
    tell: Callable[[str], None],
) -> Offered[PlannedOffer]:
    """Return an offer as the search sees it."""
    own = _knowing(shop, offer)

    def price(boxes: int) -> PlannedOffer:
        """Return so many boxes as one batch, as ``price`` has it."""
        tell(f"{boxes} {name}")
        batch = price_batch([(box, boxes)], own, seconds=seconds)
        return _choice(name, offer, box, batch, own)

    def estimate(boxes: int, priced: PlannedOffer) -> PlannedOffer:
        """Return what to expect of so many boxes, from a batch that is priced."""
        assert priced.batch is not None
        return _choice(name, offer, box, resized(priced.batch, boxes, own), own)

    most = offer.buyers.most
    likely = min(most, max(1, round(offer.buyers.mean)))
    return Offered(most, likely, due, price, estimate)


def _together(
    markets: Sequence[str],
    choices: Sequence[PlannedOffer],
    boards: float,
    shop: Shop,
    seconds: float,
    tell: Callable[[str], None],
) -> tuple[Together, ...]:
    """Return what is built for a market as one batch, where that saves something.

    ``boards``: the most for all markets; batches apart leave some, and may together take them.
    """
    spare, found = boards - sum(one.boards for one in choices), []
    for market in markets:
        built = [
            Built(one.name, one.design, one.boxes, one.offer.made_before, one.batch)
            for one in choices
            if one.batch is not None and one.offer.market == market
        ]
        if len(built) > 1:
            tell(f"all for {market} together")
        shared = built_together(market, built, shop, seconds, spare)
        if shared is not None:
            spare += shared.boards_saved
            found.append(shared)
    return tuple(found)


def _as_built(one: PlannedOffer, together: Sequence[Together]) -> PlannedOffer:
    """Return a choice with its share of the batch in which it is built."""
    for shared in together:
        if one.name in shared.offers:
            minutes = shared.minutes(one.name)
            return replace(
                one,
                boards=shared.boards[one.name],
                hours=math.fsum(minutes.values()) / 60,
                spends=spent_on(shared.batch.boxes[shared.offers.index(one.name)]),
                minutes=minutes,
            )
    return one


def _designs(file: SeasonFile, folder: Path) -> dict[str, Design]:
    """Return the box of each offer by name; offers of one variant share theirs."""
    shared: dict[str, Design] = {}
    for name, offer in file.offer.items():
        if offer.variant not in shared:
            shared[offer.variant] = _designed(name, offer, folder)
    return {name: shared[offer.variant] for name, offer in file.offer.items()}


def _designed(name: str, offer: Offer, folder: Path) -> Design:
    """Return an offer's box, laid out; a complaint gets the offer's key."""
    key = f"offer.{name}.variant"
    try:
        found = load_variant(str(find_variant(offer.variant, beside=folder)))
    except InputError as error:
        raise error.at(key=key) from None
    box = design(found.parameters, found.name)
    try:
        box.box  # noqa: B018  (lay it out here, where a complaint can be given its place)
    except InputError as error:
        raise found.located(error) from None
    return box


def _knowing(shop: Shop, offer: Offer) -> Shop:
    """Return the shop with what it has made of an offer's box before."""
    learning = shop.learning.model_copy(update={"made_before": offer.made_before})
    return shop.model_copy(update={"learning": learning})


def _unbuilt(name: str, offer: Offer, box: Design) -> PlannedOffer:
    """Return an offer of which none are built."""
    nothing = Decimal(0)
    return PlannedOffer(name, offer, box, 0, 0, None, 0, 0.0, 0.0, 1.0, nothing, nothing, {})


def _choice(name: str, offer: Offer, box: Design, batch: BatchPrice, shop: Shop) -> PlannedOffer:
    """Return one offer as planned, priced as the batch that it is."""
    boxes = batch.count
    sold = offer.buyers.sold(boxes)
    net = offer.price - shop.fees.on(offer.price)
    takes = exactly(sold) * net + exactly(boxes - sold) * offer.left_over
    return PlannedOffer(
        name=name,
        offer=offer,
        design=box,
        boxes=boxes,
        alone=0,
        batch=batch,
        boards=boards_of(batch),
        hours=batch.minutes / 60,
        sold=sold,
        none_left=offer.buyers.at_least(boxes),
        takes=shop.coins.rounded(takes),
        spends=spent_on(batch.boxes[0]),
        minutes={one.name: one.total for one in batch.operations},
    )


def _tasks(
    choices: tuple[PlannedOffer, ...],
    file: SeasonFile,
    markets: list[str],
    together: Sequence[Together],
) -> list[Task]:
    """Return all work in the order in which it is done, market by market.

    Offers of one batch go from work to work side by side, others one after the other.
    """
    shared = {offer for one in together for offer in one.offers}
    found = []
    for market in markets:
        built = [one for one in choices if one.boxes and one.offer.market == market]
        apart = [one for one in built if one.name not in shared]
        rows = [(one, group) for one in apart for group in _GROUPS]
        rows += [(one, group) for group in _GROUPS for one in built if one.name in shared]
        for one, (work, names) in rows:
            hours = math.fsum(one.minutes.get(name, 0.0) for name in names) / 60
            if hours:
                found.append(Task(one.name, work, one.boxes, hours, file.ready_by(market)))
    return found
