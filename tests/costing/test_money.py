"""Money without a box: coins, packages, learning curves, margins; published rows beside them."""

from __future__ import annotations

import itertools
import math
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from palewright.costing.currency import Currency, exactly, up_to_step
from palewright.costing.learning_curves import LearningCurve, LearningModel
from palewright.costing.package_sizes import Pack, cheapest_packs
from palewright.costing.selling_price import Fees, break_even, offer_at, price_for_margin
from palewright.reading.errors import InputError

D = Decimal
CENTS = Currency("USD", 2)
NO_FEES = Fees()
CURVE_80: dict[str, LearningCurve] = {
    "unit": LearningCurve("unit", 0.8),
    "cumulative-average": LearningCurve("cumulative-average", 0.8),
}


def nth(curve: LearningCurve, box: int, first: float) -> float:
    """Time of one box, where the box the curve is timed at takes ``first``."""
    return first * (curve.total(box) - curve.total(box - 1))


STEEP = LearningCurve("unit", 0.6, timed_at=20)
DEFINITION = "definition of margin and markup; from memory"
CURVES = "worked example of texts on learning curves, 50 to 40 to 32 minutes; read"
REST = "computed from the same formula"
BOTH = "texts on learning curves name both models; totals computed"
MISTAKEN = (
    "a posted example gives .11, .06, .03 because its exponent is wrong (-.833 for -.737); "
    "recomputed"
)
PUBLISHED = [
    ("margin at cost 60, price 100", offer_at(D(60), D(100), NO_FEES).margin, 0.4, 0, DEFINITION),
    ("markup, same", offer_at(D(60), D(100), NO_FEES).markup, 0.66667, 5e-6, DEFINITION),
    ("break-even, F 900, P 65, v 38", break_even(D(900), D(65), D(38)), 34, 0, "definition"),
    ("exponent at 80 %", CURVE_80["unit"].exponent, -0.3219, 5e-5, CURVES),
    *(
        (f"time of box {n} at 80 %, first 50", nth(CURVE_80["unit"], n, 50), minutes, 6e-4, source)
        for n, minutes, source in (
            (1, 50, CURVES),
            (2, 40, CURVES),
            (3, 35.105, REST),
            (4, 32, CURVES),
            (8, 25.6, REST),
            (10, 23.825, REST),
        )
    ),
    ("ten boxes, Wright", 50 * CURVE_80["cumulative-average"].total(10), 238.25, 5e-3, BOTH),
    ("ten boxes, Crawford", 50 * CURVE_80["unit"].total(10), 315.77, 5e-3, BOTH),
    ("exponent at 60 %", STEEP.exponent, -0.7370, 5e-5, MISTAKEN),
    ("box 40, box 20 takes .2", nth(STEEP, 40, 0.2), 0.120, 1e-9, MISTAKEN),
    ("box 80, same", nth(STEEP, 80, 0.2), 0.072, 1e-9, MISTAKEN),
    ("box 160, same", nth(STEEP, 160, 0.2), 0.0432, 1e-9, MISTAKEN),
]


@pytest.mark.parametrize(
    ("found", "published", "within", "source"),
    [row[1:] for row in PUBLISHED],
    ids=[row[0] for row in PUBLISHED],
)
def test_published_figures(found: float, published: float, within: float, source: str) -> None:
    assert float(found) == pytest.approx(published, abs=within + 1e-12), source


# --- coins ---


@given(
    st.integers(0, 10**9),
    st.lists(st.floats(0, 1e6), min_size=1, max_size=9),
    st.integers(0, 4),
)
def test_shares_add_up_and_none_is_off_by_a_coin(
    coins: int, weights: list[float], places: int
) -> None:
    currency = Currency("X", places)
    amount = coins * currency.coin
    shares = currency.shared(amount, weights)
    assert sum(shares) == amount
    whole = sum(Fraction(w) for w in weights)
    for share, weight in zip(shares, weights, strict=True):
        exact = Fraction(weight) / whole if whole else Fraction(1, len(weights))
        assert abs(Fraction(share) - Fraction(amount) * exact) < Fraction(currency.coin)
        assert share % currency.coin == 0


def test_halves_go_up_and_steps_are_reached() -> None:
    assert CENTS.rounded(D("0.005")) == D("0.01")
    assert CENTS.rounded(D("1.0049999")) == D("1.00")
    assert CENTS.text(D("1204.5")) == "1204.50"
    assert Currency("JPY", 0).text(D("1204.5")) == "1205"
    assert up_to_step(D("127.01"), D("1.00")) == D(128)
    assert up_to_step(D("128.00"), D("0.95")) == D("128.25")
    assert exactly(0.1) + exactly(0.2) == D("0.3")


# --- packages ---

PACKS = st.lists(st.tuples(st.integers(1, 12), st.integers(0, 60)), min_size=1, max_size=3).map(
    lambda rows: [Pack(f"p{i}", holds, D(cents)) for i, (holds, cents) in enumerate(rows)]
)


@given(st.integers(0, 40), PACKS)
def test_no_other_purchase_is_cheaper(needed: int, packs: list[Pack]) -> None:
    found = cheapest_packs(needed, packs)
    assert found.holds >= needed
    most = [range(-(-needed // pack.holds) + 1) for pack in packs]
    costs = [
        sum(count * pack.price for count, pack in zip(counts, packs, strict=True))
        for counts in itertools.product(*most)
        if sum(c * pack.holds for c, pack in zip(counts, packs, strict=True)) >= needed
    ]
    assert found.cost == min(costs)


def test_large_needs_and_equal_prices_stay_quick() -> None:
    odd = [Pack("a", 997, D("9.97")), Pack("b", 1009, D("10.09")), Pack("c", 350, D("4.00"))]
    found = cheapest_packs(10**7 + 1, odd)
    assert found.holds >= 10**7 + 1
    # nothing is cheaper than every screw at the best price a piece
    assert D("100000.01") <= found.cost <= D("100000.01") + D("9.97")


# --- learning ---


@pytest.mark.parametrize("model", ["unit", "cumulative-average"])
@given(st.floats(0.6, 1), st.integers(1, 60), st.integers(1, 60), st.integers(1, 120))
def test_each_further_box_takes_no_longer(
    model: LearningModel, rate: float, timed: int, level: int, boxes: int
) -> None:
    curve = LearningCurve(model, rate, timed, level)
    times = [curve.total(n) - curve.total(n - 1) for n in range(1, boxes + 2)]
    assert all(time > 0 for time in times)
    assert all(b <= a * (1 + 1e-9) for a, b in itertools.pairwise(times))
    assert curve.average(boxes + 1) <= curve.average(boxes) * (1 + 1e-9)
    for late in times[level:]:  # nothing is learned any more
        assert late == pytest.approx(times[level - 1], rel=1e-6)


def test_the_timed_box_takes_its_time() -> None:
    unit = LearningCurve("unit", 0.93, timed_at=10, levels_off_at=40)
    assert nth(unit, 10, 1) == pytest.approx(1)
    assert unit.average(1, made_before=9) == pytest.approx(1)
    wright = LearningCurve("cumulative-average", 0.93, timed_at=10, levels_off_at=40)
    assert nth(wright, 10, 1) == pytest.approx(1)
    assert wright.average(1, made_before=9) == pytest.approx(1)
    assert wright.average(10) > 1  # the boxes up to the tenth took longer than it
    # each doubling leaves 93 % of the average
    assert wright.average(40) / wright.average(10) == pytest.approx(0.93**2)
    assert nth(unit, 40, 1) / nth(unit, 20, 1) == pytest.approx(0.93)
    assert LearningCurve("unit", 1.0).average(7) == 1


@given(
    st.floats(0.6, 1),
    st.integers(1, 300),
    st.integers(1, 300),
    st.integers(0, 200),
    st.integers(1, 200),
)
def test_wrights_curve_in_closed_form(
    rate: float, timed: int, level: int, made: int, boxes: int
) -> None:
    # published: the average of the first n is a nᵇ, so their sum is a n¹⁺ᵇ and the n-th takes
    # a (n¹⁺ᵇ - (n - 1)¹⁺ᵇ). Source: texts on learning curves, from memory
    power = 1 + math.log2(rate)

    def own(n: int) -> float:
        n = min(n, level)
        return float(n**power - (n - 1) ** power)

    curve = LearningCurve("cumulative-average", rate, timed, level)
    expected = math.fsum(own(n) for n in range(made + 1, made + boxes + 1)) / own(timed) / boxes
    assert curve.average(boxes, made) == pytest.approx(expected, rel=1e-8)
    assert curve.average(1, timed - 1) == pytest.approx(1, rel=1e-8)


def test_wrights_published_eighty_percent_table_box_by_box() -> None:
    # first box 100: averages 100, 80, 70.21, 64, so boxes 100, 60, 50.63, 45.37
    curve = LearningCurve("cumulative-average", 0.8)
    boxes = [100 * curve.average(1, n) for n in range(4)]
    assert boxes == pytest.approx([100, 60, 50.63, 45.37], abs=0.01)
    timed = LearningCurve("cumulative-average", 0.8, timed_at=2)
    assert [timed.average(1, n) for n in range(2)] == pytest.approx([100 / 60, 1])


# --- selling ---

AMOUNTS = st.decimals("0.01", "5000", places=2)


@given(
    AMOUNTS,
    st.integers(0, 900),
    st.integers(0, 90),
    st.decimals("0", "3", places=2),
    st.sampled_from(["0.01", "0.05", "0.95", "1", "5"]),
)
def test_the_price_leaves_the_margin_and_one_step_less_does_not(
    cost: Decimal, margin: int, fee: int, fixed: Decimal, step: str
) -> None:
    wanted, fees = D(margin) / 1000, Fees(D(fee) / 1000, fixed)
    price = price_for_margin(cost, wanted, fees, D(step))
    assert price % D(step) == 0
    assert offer_at(cost, price, fees).margin >= wanted - D("1e-20")
    if price > D(step):
        assert offer_at(cost, price - D(step), fees).margin < wanted


@given(AMOUNTS, AMOUNTS)
def test_margin_and_markup_without_fees_follow_from_each_other(
    cost: Decimal, more: Decimal
) -> None:
    offer = offer_at(cost, cost + more, NO_FEES)
    m, k = offer.margin, offer.markup
    assert k is not None
    assert math.isclose(k, m / (1 - m), rel_tol=1e-9)
    assert math.isclose(m, k / (1 + k), rel_tol=1e-9)


@given(AMOUNTS, AMOUNTS, AMOUNTS)
def test_break_even_is_the_least_that_pays(
    fixed: Decimal, price: Decimal, variable: Decimal
) -> None:
    count = break_even(fixed, price, variable)
    if price <= variable:
        assert count is None
        return
    assert count is not None
    assert count * (price - variable) >= fixed > (count - 1) * (price - variable)


def test_a_margin_that_no_price_leaves_is_refused() -> None:
    with pytest.raises(InputError, match=r"selling\.margin.*below 100 %"):
        price_for_margin(D(10), D("0.9"), Fees(D("0.1")), D(1))
