"""The largest box for an amount of money, or for so many minutes of work.

Both ask the search for boards: what money buys is counted in boards first; how many boards an hour
builds is found by trying.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from palewright.costing.batch_price import price_batch
from palewright.costing.shop_file import Shop
from palewright.design import design
from palewright.parameters.tables import Parameters
from palewright.reading.errors import InputError
from palewright.sawing.stock_demands import demands_of_one
from palewright.size_search.offers import by_volume
from palewright.size_search.pareto_sizes import BoxSize, Frontier, most_volume
from palewright.size_search.size_grid import sized

SearchBoards = Callable[[Sequence[int]], list[Frontier]]
"""Returns the largest boxes of each number of boards."""

MOST_BOARDS = 60
"""The search is asked for no more."""

_FEWER = 2
"""Where cap or posts are of another stock, boxes of so many boards less are sought too: what they
cost is known when a box is planned."""

_TIMED = 4
"""Offers of one number of boards that are timed, the largest first: each is priced in full."""


@dataclass(frozen=True, slots=True)
class Afforded:
    """The largest boxes of a budget, and the minutes that each takes where these were asked."""

    frontier: Frontier
    minutes: dict[BoxSize, float]


def within_money(parameters: Parameters, money: float, search: SearchBoards) -> Afforded:
    """Return the largest boxes whose boards cost no more than so much.

    Raises:
        InputError: if the boards have no price, or one alone costs more.
    """
    demands = demands_of_one(parameters)
    price = demands[0].board.price
    if not price:
        raise InputError("the boards have no price; allowed: stock with a price", key="--spend")
    most = min(int(money / price + 1e-9), MOST_BOARDS)
    if not most:
        raise InputError(f"a board costs {price:.2f}; allowed: at least that", key="--spend")
    few = max(1, most - (_FEWER if len(demands) > 1 else 0))
    affordable = [_paid(one, money) for one in search(range(few, most + 1))]
    best = max(affordable, key=lambda one: most_volume(one.sizes))
    while not best.sizes and few > 1:  # what else is bought takes more of it than was thought
        few -= 1
        (best,) = (_paid(one, money) for one in search([few]))
    return Afforded(best, {})


def _paid(frontier: Frontier, money: float) -> Frontier:
    """Return what of a frontier costs no more than so much."""
    paid = tuple(size for size in frontier.sizes if size.cost <= money + 1e-9)
    drawn = frontier.drawn
    kept = drawn if drawn and drawn.cost <= money + 1e-9 else None
    return replace(frontier, sizes=paid, drawn=kept)


def within_minutes(
    parameters: Parameters,
    minutes: float,
    shop: Shop,
    search: SearchBoards,
    better: Callable[[Afforded], None] = lambda _: None,
) -> Afforded:
    """Return the largest boxes whose first one is built in so many minutes.

    Twice as many boards are tried while some box is quick enough, then numbers between.

    Args:
        parameters: the variant.
        minutes: that the first box may take.
        shop: whose work it is.
        search: for boxes of some numbers of boards.
        better: told each offer that is the best so far.

    Raises:
        InputError: if no box is.
    """
    best: Afforded | None = None
    quickest: tuple[float, int] | None = None
    few, many, count = 0, MOST_BOARDS + 1, 2
    while few + 1 < many and count <= MOST_BOARDS:
        (frontier,) = search([count])
        times = {
            size: build_minutes(parameters, size, shop)
            for size in by_volume(frontier.sizes)[:_TIMED]
        }
        quick = tuple(size for size in times if times[size] <= minutes)
        if times:
            quickest = min(quickest or (min(times.values()), count), (min(times.values()), count))
        if quick or not times:
            few = count
            if quick:
                drawn = frontier.drawn if frontier.drawn in quick else None
                best = Afforded(replace(frontier, sizes=quick, drawn=drawn), times)
                better(best)
        else:
            many = count
        count = (few + many) // 2 if many <= MOST_BOARDS else 2 * count
    if best is None:
        told = "none was found" if quickest is None else (
            f"the quickest found, of {quickest[1]} boards, takes {math.ceil(quickest[0])} minutes "
            "with its set-ups; allowed: at least that"
        )  # fmt: skip
        raise InputError(f"no box is built so quickly: {told}", key="--minutes")
    return best


def build_minutes(parameters: Parameters, size: BoxSize, shop: Shop) -> float:
    """Return the minutes that the first box of a size takes, its set-ups included."""
    box = design(sized(parameters, size.sides, size.look))
    (one,) = price_batch([(box, 1)], shop, []).boxes
    return one.setup_minutes + one.hand_minutes
