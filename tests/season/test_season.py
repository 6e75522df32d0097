"""A season: buyers, the best numbers against brute force, the weeks, the whole plan."""

from __future__ import annotations

import datetime
import itertools
import math
import random
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path
from statistics import NormalDist
from typing import Any

import pytest
import scipy.stats
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from case_lists import mostly_thorough
from palewright.costing.batch_price import price_batch, resized
from palewright.costing.shop_file import load_shop
from palewright.parameters.toml_reader import record_from
from palewright.parameters.variant_files import load_variant
from palewright.season import season_plan
from palewright.season.backward_schedule import (
    WEEK,
    Stint,
    Task,
    hours_before,
    latest_weeks,
    work_weeks,
)
from palewright.season.demand_distribution import Buyers, bell, triangle
from palewright.season.production_mip import OfferWay, best_numbers
from palewright.season.season_file import SeasonFile
from palewright.season.season_plan import SeasonPlan, plan_season
from palewright.season.season_search import HOPE, Limits, Offered, best_alone, season_numbers

pytestmark = pytest.mark.usefixtures("few_boards_as_many")

D = Decimal
HUNDRED = D(100)
MONDAY = datetime.date(2027, 2, 1)

# --- published newsvendor exercises, reckoned in hundredths of a piece ---

EXERCISE = "course exercise on the newsvendor; data read, answers computed"
TEXTBOOK = "textbook slide: mean and spread read; costs .50 and .15 from memory"
FORMULA = "expected profit and lost sales of a normal demand, operations texts; from memory"


def even(low: int, high: int) -> Buyers:
    """Equally many chances from low to high."""
    size = high - low
    return Buyers((*([0.0] * (low + 1)), *([1 / size] * size)))


def gains(buyers: Buyers, net: float, left_over: float, costs: Sequence[float]) -> list[float]:
    """Return what each further box earns on average: exact, box by box.

    Args:
        buyers: how many may come.
        net: what a sale brings.
        left_over: what a box that is not sold is worth.
        costs: what the first, second … box costs.
    """
    chances = [buyers.at_least(k) for k in range(1, len(costs) + 1)]
    return [
        chance * net + (1 - chance) * left_over - cost
        for chance, cost in zip(chances, costs, strict=True)
    ]


def best_of(buyers: Buyers, price: float, cost: float, salvage: float) -> int:
    """The number that earns the most: at one cost for each, all that earn something."""
    return sum(gain > 0 for gain in gains(buyers, price, salvage, [cost] * buyers.most))


PUBLISHED = [
    ("uniform 80 to 150, ratio .4", even(8000, 15000), (20, 14, 5), 108.00, EXERCISE),
    ("normal (115, 15), ratio .4", bell(11500, 1500), (20, 14, 5), 111.20, EXERCISE),
    ("normal (115, 5), ratio .4", bell(11500, 500), (20, 14, 5), 113.73, EXERCISE),
    ("normal (1000, 200), ratio .8", bell(100_000, 20_000), (40, 0, -10), 1168.32, EXERCISE),
    ("normal (1000, 200), ratio .6", bell(100_000, 20_000), (30, 0, -20), 1050.67, EXERCISE),
    ("classic (11.73, 4.74), ratio .769", bell(1173, 474), (0.5, 0, -0.15), 15.22, TEXTBOOK),
]


@pytest.mark.parametrize(
    ("buyers", "money", "published", "source"),
    [row[1:] for row in PUBLISHED],
    ids=[row[0] for row in PUBLISHED],
)
def test_published_newsvendors(
    buyers: Buyers, money: tuple[float, float, float], published: float, source: str
) -> None:
    assert best_of(buyers, *money) / 100 == pytest.approx(published, abs=0.011), source


def test_published_numbers_are_rounded_up_from_these() -> None:
    # the exercises order 1169, 1051 and 16 pieces: the next whole number
    wholes = [math.ceil(best_of(row[1], *row[2]) / 100) for row in PUBLISHED[3:]]
    assert wholes == [1169, 1051, 16]


def test_published_expected_profit_and_lost_sales() -> None:
    buyers = bell(100_000, 20_000)
    best = best_of(buyers, 40, 0, -10)
    profit = math.fsum(gains(buyers, 40, -10, [0.0] * best)) / 100
    assert profit == pytest.approx(37_200.4, abs=0.6), FORMULA
    assert (buyers.mean - buyers.sold(best)) / 100 == pytest.approx(22.33, abs=0.011), FORMULA


@given(st.floats(60, 300), st.floats(3, 9), st.floats(1, 50), st.floats(1, 50))
def test_the_closed_form_of_a_normal_demand(
    mean: float, share: float, under: float, over: float
) -> None:
    spread = mean / share
    normal = NormalDist()
    z = normal.inv_cdf(under / (under + over))
    profit = under * mean - (under + over) * spread * normal.pdf(z)
    buyers = bell(mean * 10, spread * 10)
    earned = gains(buyers, under, -over, [0.0] * buyers.most)
    most = math.fsum(gain for gain in earned if gain > 0) / 10
    assert most == pytest.approx(profit, rel=2e-3, abs=(under + over) * mean * 2e-3)


# --- buyers ---

BUYERS = st.one_of(
    st.builds(bell, st.floats(0, 60), st.floats(0, 20)),
    st.lists(st.floats(0, 60), min_size=3, max_size=3).map(lambda x: triangle(*sorted(x))),
)


@given(BUYERS)
def test_chances_are_chances(buyers: Buyers) -> None:
    assert math.fsum(buyers.chances) == pytest.approx(1)
    assert all(chance >= 0 for chance in buyers.chances)
    falls = [buyers.at_least(n) for n in range(buyers.most + 2)]
    assert falls[0] == 1
    assert falls[-1] == 0
    assert all(b <= a + 1e-12 for a, b in itertools.pairwise(falls))
    assert buyers.sold(buyers.most) == pytest.approx(buyers.mean)


@given(st.lists(st.integers(0, 60), min_size=3, max_size=3, unique=True))
def test_a_triangle_against_another_library(points: list[int]) -> None:
    low, likely, high = sorted(points)
    other = scipy.stats.triang((likely - low) / (high - low), low, high - low)
    buyers = triangle(low, likely, high)
    for n in range(buyers.most):
        upper, lower = other.cdf(n + 0.5), other.cdf(n - 0.5) if n else 0.0
        assert buyers.chances[n] == pytest.approx(upper - lower, abs=1e-9)
    assert buyers.mean == pytest.approx((low + likely + high) / 3, abs=0.3)


def test_certain_buyers_come() -> None:
    assert triangle(7, 7, 7) == bell(7, 0) == Buyers((*([0.0] * 7), 1.0))


@given(
    st.lists(st.integers(0, 9), min_size=2, max_size=9).filter(any),
    st.integers(1, 90),
    st.integers(-20, 60),
    st.lists(st.integers(0, 80), min_size=1, max_size=8),
)
def test_gains_add_up_to_the_exact_expected_profit(
    weights: list[int], net: int, left: int, costs: list[int]
) -> None:
    whole = sum(weights)
    buyers = Buyers(tuple(w / whole for w in weights))
    earned = gains(buyers, net, left, [float(c) for c in costs])
    for boxes in range(len(costs) + 1):
        exact = sum(
            Fraction(w, whole) * (net * min(boxes, n) + left * max(0, boxes - n))
            for n, w in enumerate(weights)
        ) - sum(costs[:boxes])
        assert math.fsum(earned[:boxes]) == pytest.approx(float(exact), abs=1e-6)


# --- the choice against trying all ---

WAYS = st.lists(
    st.tuples(
        st.lists(
            st.tuples(st.integers(-9, 40), st.integers(0, 20), st.integers(0, 20)), max_size=5
        ),
        st.integers(0, 1),
    ),
    min_size=1,
    max_size=3,
)


@hypothesis_settings(deadline=None, max_examples=150)
@given(WAYS, st.integers(0, 20), st.integers(0, 20), st.none() | st.integers(0, 40))
def test_no_other_choice_earns_more(
    rows: list[tuple[list[tuple[int, int, int]], int]], first: int, more: int, boards: int | None
) -> None:
    offers = [
        [OfferWay(boxes, *map(float, one)) for boxes, one in enumerate(ways, 1)] for ways, _ in rows
    ]
    due, hours = [late for _, late in rows], [first, first + more]
    nothing = OfferWay(0, 0.0, 0.0, 0.0)

    def taken(numbers: tuple[int, ...]) -> list[OfferWay]:
        return [([nothing, *ways])[n] for n, ways in zip(numbers, offers, strict=True)]

    def keeps(numbers: tuple[int, ...]) -> bool:
        ways = taken(numbers)
        late = [sum(w.hours for w, d in zip(ways, due, strict=True) if d <= k) for k in (0, 1)]
        used = sum(way.boards for way in ways)
        return late[0] <= hours[0] and late[1] <= hours[1] and (boards is None or used <= boards)

    def earned(numbers: tuple[int, ...]) -> float:
        return sum(way.earns for way in taken(numbers))

    every = itertools.product(*(range(len(ways) + 1) for ways in offers))
    best = max(earned(numbers) for numbers in every if keeps(numbers))
    found = best_numbers(offers, due, hours, boards)
    assert keeps(found)
    assert earned(found) == pytest.approx(best)


@dataclass(frozen=True)
class Made:
    """A batch as it really came, or as it is expected."""

    hours: float
    boards: int
    earns: Decimal
    spends: Decimal = HUNDRED


def offered(true: Sequence[Made], expected: Sequence[Made], likely: int, due: int = 0) -> Any:
    """An offer whose batches come as ``true`` says, from one box on, and are expected otherwise."""
    return Offered(
        len(true), likely, due, lambda boxes: true[boxes - 1], lambda boxes, _: expected[boxes - 1]
    )


def never() -> bool:
    """The work has no end."""
    return False


ESTIMATES = st.tuples(  # what a batch earns, hours, boards; how far off each was expected
    st.integers(-20, 40), st.integers(1, 6), st.integers(1, 8), *[st.floats(-1, 1)] * 3
)


@hypothesis_settings(deadline=None, max_examples=150)
@given(
    st.lists(st.lists(ESTIMATES, min_size=1, max_size=4), min_size=1, max_size=3),
    st.integers(0, 12),
    st.integers(1, 16),
)
def test_where_estimates_are_no_farther_off_than_hoped_the_choice_is_the_best_of_all(
    rows: list[list[tuple[int, int, int, float, float, float]]], hours: int, boards: int
) -> None:
    offers, trues = {}, []
    for i, row in enumerate(rows):
        true = [Made(float(h), b, D(e)) for e, h, b, *_ in row]
        # no worse than by the hope: what looks dearer, slower or larger than that hides a way
        expected = [
            Made(
                h * (1 + 0.99 * HOPE / n * y),
                b * (1 + 0.99 * HOPE / n * z),  # type: ignore[arg-type]
                D(e) - D(str(round(99 * HOPE / n * x, 6))),
            )
            for n, (e, h, b, x, y, z) in enumerate(row, 1)
        ]
        offers[f"o{i}"] = offered(true, expected, 1 + len(row) // 2)
        trues.append(true)
    limits = Limits([float(hours)], boards)
    numbers = season_numbers(offers, limits, never)
    best = max(
        sum((t[n - 1].earns for n, t in zip(some, trues, strict=True) if n), D(0))
        for some in itertools.product(*(range(len(t) + 1) for t in trues))
        if sum(t[n - 1].hours for n, t in zip(some, trues, strict=True) if n) <= hours
        and sum(t[n - 1].boards for n, t in zip(some, trues, strict=True) if n) <= boards
    )
    chosen = [(trues[i][n - 1], n) for i, n in enumerate(numbers.values()) if n]
    assert all(n in offers[name].priced for name, n in numbers.items() if n)
    assert sum(one.hours for one, _ in chosen) <= hours
    assert sum(one.boards for one, _ in chosen) <= boards
    assert sum((one.earns for one, _ in chosen), D(0)) == best


def test_a_real_batch_takes_the_place_of_its_estimate() -> None:
    def ways(hours: float, *earns: float) -> list[Made]:
        return [Made(hours * n, n, D(str(e)), D(n)) for n, e in enumerate(earns, 1)]

    def two() -> dict[str, Any]:  # three a's are expected to lose a little against two
        a = offered(ways(1, 5, 9, 9.02), ways(1, 5, 9, 8.99), 2)
        return {"a": a, "b": offered(ways(1, 5, 9, 8), ways(1, 5, 9, 8), 2)}

    assert season_numbers(two(), Limits([10.0], 0), never) == {"a": 3, "b": 2}
    assert season_numbers(two(), Limits([4.0], 0), never) == {"a": 2, "b": 2}
    assert sum(season_numbers(two(), Limits([10.0], 3), never).values()) == 3
    # really each takes twice the hours
    slow = {name: offered(ways(2, 5, 9, 8), ways(1, 5, 9, 8), 2) for name in "ab"}
    assert sum(season_numbers(slow, Limits([4.0], 0), never).values()) == 2


def test_a_batch_that_another_one_makes_needless_is_not_priced() -> None:
    # three a's with one b are expected to earn the most, but really three a's earn less
    expected = [Made(float(n), n, D(e), D(2 * n)) for n, e in ((1, 5), (2, 9), (3, 15))]
    really = [*expected[:2], Made(3.0, 3, D("9.50"), D(6))]
    few = [Made(float(n), n, D(e), D(n)) for n, e in ((1, 5), (2, 9))]
    offers = {"b": offered(few, few, 2), "a": offered(really, expected, 2)}
    assert season_numbers(offers, Limits([4.0], 0), never) == {"b": 2, "a": 2}
    assert {name: set(one.priced) for name, one in offers.items()} == {"b": {2}, "a": {2, 3}}


@pytest.mark.parametrize(("earns", "best"), [((5, 9, 8), 2), ((-5, -1, -2), 0), ((), 0)])
def test_without_limits_the_way_that_earns_most_is_best_or_none(
    earns: Sequence[int], best: int
) -> None:
    ways = [Made(100.0 * n, 1000 * n, D(e)) for n, e in enumerate(earns, 1)]
    offer = offered(ways, ways, 1)
    if ways:
        offer.look(1)
    assert best_alone(offer) == best


def test_when_the_work_has_an_end_the_best_of_what_is_priced_is_taken() -> None:
    good = [Made(1.0, 1, D(5)), Made(2.0, 2, D(9))]
    left = iter([False, True])
    offers = {"a": offered(good, good, 1), "b": offered(good, good, 1)}
    numbers = season_numbers(offers, Limits([10.0], 0), lambda: next(left, True))
    assert numbers == {"a": 1, "b": 0}
    assert not offers["b"].priced
    assert season_numbers(offers, Limits([0.5], 0), lambda: True) == {"a": 0, "b": 0}


def test_a_resized_batch_is_exact_but_for_its_boards_and_cuts() -> None:
    from palewright.design import design

    box, shop = design(load_variant("terrace-crate").parameters, "terrace-crate"), load_shop(None)
    three, four = (price_batch([(box, n)], shop) for n in (3, 4))
    assert resized(three, 3, shop).cost == three.cost
    sawn = {"fetch boards", "crosscut", "rip", "set the saw"}
    told, real = resized(three, 4, shop), four
    assert {o.name: o.minutes for o in told.operations if o.name not in sawn} == {
        o.name: o.minutes for o in real.operations if o.name not in sawn
    }
    assert [(m.name, m.cost) for m in told.materials if m.whole and m.unit != "boards"] == [
        (m.name, m.cost) for m in real.materials if m.whole and m.unit != "boards"
    ]
    boards = [p.plan.boards for p in three.plans]
    assert [p.plan.boards for p in told.plans] == [-(-4 * n // 3) for n in boards]


# --- weeks ---


@given(
    st.lists(
        st.tuples(st.floats(0.1, 30), st.integers(1, 12), st.integers(1, 9)), min_size=1, max_size=6
    ),
    st.sets(st.integers(0, 11), max_size=4),
    st.integers(1, 20),
)
def test_weeks_keep_every_date_and_begin_as_late_as_can_be(
    rows: list[tuple[float, int, int]], off: set[int], hours: int
) -> None:
    tasks = [Task(f"t{i}", "saw", n, h, MONDAY + w * WEEK) for i, (h, w, n) in enumerate(rows)]
    away = [MONDAY + w * WEEK + datetime.timedelta(days=3) for w in off]
    weeks = work_weeks(MONDAY, MONDAY + 12 * WEEK, away)
    assert weeks == [MONDAY + w * WEEK for w in range(12) if w not in off]
    days = sorted({task.due for task in tasks})
    there = hours_before(weeks, hours, days)
    needed = [sum(task.hours for task in tasks if task.due <= day) for day in days]
    found = latest_weeks(tasks, weeks, hours)
    enough = all(n <= t + 1e-6 for n, t in zip(needed, there, strict=True))
    assert (found is not None) == enough
    if found is None:
        return
    spent: Counter[datetime.date] = Counter()
    for stint in found:
        task = next(task for task in tasks if task.offer == stint.offer)
        assert stint.begins in weeks
        assert stint.begins + WEEK <= task.due
        assert 1 <= stint.first <= stint.last <= stint.boxes
        spent[stint.begins] += stint.hours  # type: ignore[assignment]
    assert all(one <= hours + 1e-6 for one in spent.values())
    for task in tasks:
        mine = [stint for stint in found if stint.offer == task.offer]
        assert sum(stint.hours for stint in mine) == pytest.approx(task.hours)
        assert mine[0].share_from == 0
        assert mine[-1].share_to == pytest.approx(1)
        for one, then in itertools.pairwise(mine):
            assert one.share_to == then.share_from
    # without the first of its weeks no plan at all keeps the dates
    if spent[found[0].begins] > 1e-3:
        later = [week for week in weeks if week > found[0].begins]
        assert latest_weeks(tasks, later, hours) is None


def test_boxes_of_a_stint() -> None:
    def span(start: float, end: float, boxes: int = 4) -> tuple[int, int]:
        stint = Stint(MONDAY, "x", "saw", boxes, start, end, 1.0)
        return stint.first, stint.last

    assert span(0, 1) == (1, 4)
    assert span(0, 0.5) == (1, 2)
    assert span(0.5, 1) == (3, 4)
    assert span(0.3, 0.6) == (2, 3)
    assert span(0, 1e-9) == (1, 1)


# --- the whole ---


SMALL = {
    "season": {"start": MONDAY, "hours": 6.0, "boards": 30, "ready_days": 7},
    "market": {
        "fair": {"title": "Fair", "opens": datetime.date(2027, 4, 3)},
        "late": {"opens": datetime.date(2027, 5, 1), "days": 2},
    },
    "week_off": {"one": {"day": datetime.date(2027, 2, 17)}},
    "offer": {
        "tubs": {"variant": "stoop-tub", "market": "fair", "price": "210", "left_over": "50",
                 "low": 0, "likely": 2, "high": 4},
        "crates": {"variant": "terrace-crate", "market": "late", "price": "320", "left_over": "30",
                  "mean": 2.0, "spread": 1.0},
    },
}  # fmt: skip


@cache
def small(hours: float, boards: int) -> SeasonPlan:
    season = {**SMALL["season"], "hours": hours, "boards": boards}
    file = record_from(SeasonFile, {**SMALL, "season": season}, {})
    return plan_season(file, Path(), load_shop(None), seconds=10)


@cache
def true_batch(variant: str, boxes: int) -> tuple[Decimal, float, int]:
    """What a batch costs without overhead, its hours and boards."""
    from palewright.design import design

    if not boxes:
        return D(0), 0.0, 0
    box = design(load_variant(variant).parameters, variant)
    batch = price_batch([(box, boxes)], load_shop(None), seconds=10)
    one = batch.boxes[0]
    cost = one.materials + one.wage + one.packing
    return cost, batch.minutes / 60, sum(p.plan.boards for p in batch.plans)


@pytest.mark.parametrize(
    ("hours", "boards"), mostly_thorough([(6.0, 30), (1.5, 0), (2.5, 22), (20.0, 0)], (2.5, 22))
)
def test_a_small_season_against_trying_every_batch(hours: float, boards: int) -> None:
    plan = small(hours, boards)
    # weeks from the first of February that are over by 27 March and 24 April, one of them off
    there = (6 * hours, 10 * hours)
    best, best_numbers_ = D("-Infinity"), (0, 0)
    tubs, crates = (plan.file.offer[name] for name in ("tubs", "crates"))
    for a, b in itertools.product(range(5), range(9)):
        first, second = true_batch("stoop-tub", a), true_batch("terrace-crate", b)
        if first[1] > there[0] or first[1] + second[1] > there[1]:
            continue
        if boards and first[2] + second[2] > boards:
            continue
        earned = -first[0] - second[0]
        for offer, boxes in ((tubs, a), (crates, b)):
            net = offer.price * D("0.97") - D("0.15")
            for n, chance in enumerate(offer.buyers.chances):
                takes = net * min(n, boxes) + offer.left_over * max(0, boxes - n)
                earned += D(str(chance)) * takes
        if earned > best:
            best, best_numbers_ = earned, (a, b)
    assert tuple(one.boxes for one in plan.choices) == best_numbers_
    assert any(best_numbers_)
    stalls = 3 * D("75.00")
    assert plan.stalls == stalls
    assert float(plan.earns) == pytest.approx(float(best - stalls), abs=0.02)
    assert tuple(plan.hours_there.values()) == there


def test_more_hours_or_boards_never_earn_less() -> None:
    assert small(1.5, 0).earns <= small(6.0, 30).earns <= small(20.0, 0).earns
    assert small(2.5, 22).earns <= small(20.0, 0).earns
    assert [one.boxes for one in small(20.0, 0).choices] == [
        one.alone for one in small(20.0, 0).choices
    ]


def test_the_weeks_hold_all_the_work_of_the_choice() -> None:
    plan = small(6.0, 30)
    assert plan.begins == min(stint.begins for stint in plan.stints)
    for one in plan.choices:
        mine = [stint for stint in plan.stints if stint.offer == one.name]
        assert sum(stint.hours for stint in mine) == pytest.approx(one.hours)
        assert all(stint.begins + WEEK <= plan.file.ready_by(one.offer.market) for stint in mine)
        works = [work for work, _ in itertools.groupby(stint.work for stint in mine)]
        assert works == ["saw", "drill and sand", "put together", "finish and pack"]
    off = datetime.date(2027, 2, 15)
    assert off not in {stint.begins for stint in plan.stints}


# --- seasons at random ---

CHEAP = ("terrace-crate", "stoop-tub", "winter-tub-small")


def season_at_random(number: int) -> SeasonFile:
    """A season of one to three offers, some of them without buyers, hours or boards scarce."""
    draw = random.Random(number)
    offers = {}
    for i in range(draw.randint(1, 3)):
        low = draw.choice([0, 0, 1, 2])
        likely = low + draw.choice([0, 0, 1, 2])
        three = {"low": low, "likely": likely, "high": likely + draw.choice([0, 0, 1, 3])}
        two = {"mean": draw.choice([0.0, 0.4, 2.0]), "spread": draw.choice([0.0, 0.0, 1.5])}
        price = draw.choice([0, 150, 900, 900])
        offers[f"o{i}"] = {
            "variant": draw.choice(CHEAP), "market": draw.choice(["fair", "late"]),
            "price": str(price), "left_over": str(draw.choice([0, price // 2, price])),
            "made_before": draw.choice([0, 50]), **draw.choice([three, two]),
        }  # fmt: skip
    season = {"start": MONDAY, "hours": draw.choice([0.5, 8.0, 112.0]),
              "boards": draw.choice([0, 12, 60]),
              "ready_days": draw.choice([0, 0, 0, 90])}  # fmt: skip
    return record_from(SeasonFile, {**SMALL, "season": season, "offer": offers}, {})


def assert_sound(plan: SeasonPlan) -> None:
    """All limits are kept, nothing is built that nobody buys, and every sum adds up."""
    file = plan.file
    assert plan.boards <= (file.season.boards or math.inf)
    needed = 0.0
    for market, there in plan.hours_there.items():
        needed += sum(one.hours for one in plan.choices if one.offer.market == market)
        assert needed <= there + 1e-6
    for one in plan.choices:
        assert one.boxes <= one.offer.buyers.most
        assert (one.batch is None) == (one.boxes == 0) == (one.boards == 0)
        assert one.sold <= one.boxes + 1e-9
    assert plan.earns == sum((c.takes - c.spends for c in plan.choices), D(0)) - plan.stalls
    assert sum(one.earns for one in plan.choices) >= 0
    assert sum(one.hours for one in plan.choices) == pytest.approx(
        sum(stint.hours for stint in plan.stints)
    )
    assert plan.unseen == ()


@pytest.mark.parametrize("number", mostly_thorough(range(15), 0, 1, 4))
def test_a_season_at_random_is_planned(number: int) -> None:
    assert_sound(plan_season(season_at_random(number), Path(), load_shop(None)))


def test_offers_of_one_variant_share_its_design() -> None:
    crates, tubs = SMALL["offer"]["crates"], SMALL["offer"]["tubs"]
    offers = {"tubs": tubs, "crates": crates, "late tubs": {**tubs, "market": "late"}}
    file = record_from(SeasonFile, {**SMALL, "offer": offers}, {})
    designs = season_plan._designs(file, Path())
    assert designs["tubs"] is designs["late tubs"]
    assert [one.name for one in designs.values()] == ["stoop-tub", "terrace-crate", "stoop-tub"]


@pytest.mark.parametrize(
    "buyers", [{"low": 0, "likely": 0, "high": 0}, {"mean": 0.0, "spread": 0.0}]
)
def test_an_offer_without_buyers_is_not_built(buyers: dict[str, float]) -> None:
    none = {"variant": "terrace-crate", "market": "fair", "price": "90", **buyers}
    file = record_from(SeasonFile, {**SMALL, "offer": {"none": none}}, {})
    plan = plan_season(file, Path(), load_shop(None))
    (one,) = plan.choices
    assert (one.boxes, one.alone, one.batch, one.earns) == (0, 0, None, 0)
    assert (plan.stints, plan.together, plan.begins) == ((), (), None)
    assert plan.earns == -plan.stalls


def test_a_season_whose_work_has_an_end_names_what_was_not_looked_at(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(season_plan, "SEARCH_WORK", 0.0)
    offer = {"variant": "terrace-crate", "market": "fair", "price": "900", "mean": 2.0,
             "spread": 0.0}  # fmt: skip
    file = record_from(SeasonFile, {**SMALL, "offer": {"a": offer, "b": offer}}, {})
    plan = plan_season(file, Path(), load_shop(None))
    assert [one.boxes for one in plan.choices] == [2, 0]
    assert plan.unseen == ("b",)
