"""More boxes are never dearer a piece, on real cut plans, but where a package is opened for them.

Boards and screws are charged by whole packages; glue, finish and liner by what is used, so that a
new bottle or can makes no piece dearer.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from decimal import Decimal
from functools import cache

import pytest

from palewright.costing.batch_price import BatchPrice, price_batch
from palewright.costing.materials import Material
from palewright.costing.shop_file import load_shop
from shipped_designs import shipped

# Cuts then grow with the boxes and nothing else: what is measured here is packages alone.
pytestmark = pytest.mark.usefixtures("few_boards_as_many", "settings_as_they_come")

D = Decimal
Batch = Callable[[str, int], BatchPrice]


@cache
def steady(name: str, count: int) -> BatchPrice:
    """The fewest boards, as the packet has it."""
    return price_batch([(shipped(name), count)], load_shop(None), weigh_saw=False)


@cache
def weighed(name: str, count: int) -> BatchPrice:
    """Boards weighed against work at the saw, as price has it."""
    return price_batch([(shipped(name), count)], load_shop(None), seconds=10)


def opened(few: BatchPrice, more: BatchPrice) -> dict[str, Decimal]:
    """What newly opened packages cost, by what is in them: more than in proportion to the boxes.

    Boards: one board, of which a part serves the further box and the rest is waste.
    """
    found = {}
    for one, then in zip(few.materials, more.materials, strict=True):
        assert one.name == then.name
        if one.whole and then.cost * few.count > one.cost * more.count:
            price = then.packs[0][0].price if then.unit == "boards" else then.cost - one.cost
            found[one.name] = price
    return found


def boards_beyond_proportion(few: BatchPrice, more: BatchPrice) -> list[float]:
    """How many boards of each stock a further box takes beyond its share of those before."""
    pairs = [
        (one.needed, then.needed)
        for one, then in zip(few.materials, more.materials, strict=True)
        if one.unit == "boards"
    ]
    return [then - one * more.count / few.count for one, then in pairs]


def rise(few: BatchPrice, more: BatchPrice) -> Decimal:
    return more.boxes[0].unit_cost - few.boxes[0].unit_cost


def rounding(few: BatchPrice, more: BatchPrice) -> Decimal:
    """Each line is rounded to the coin once: so much may a piece differ by that alone."""
    lines = len(few.materials) + 3
    return D("0.005") * lines * (D(1) / few.count + D(1) / more.count)


@pytest.mark.parametrize(
    ("name", "first", "last", "batch"),
    [
        ("stoop-tub", 6, 17, steady),
        pytest.param("sill-box", 12, 17, steady, marks=pytest.mark.thorough),
        pytest.param("winter-tub-small", 1, 8, steady, marks=pytest.mark.thorough),
        pytest.param("bean-tower", 1, 4, steady, marks=pytest.mark.thorough),
        ("stoop-tub", 13, 15, weighed),
        pytest.param("sill-box", 14, 17, weighed, marks=pytest.mark.thorough),
    ],
)
def test_a_piece_gets_dearer_only_by_a_package_that_is_opened(
    name: str, first: int, last: int, batch: Batch
) -> None:
    for few, more in itertools.pairwise(batch(name, n) for n in range(first, last + 1)):
        packages, slack = opened(few, more), rounding(few, more)
        assert rise(few, more) <= sum(packages.values(), D(0)) / more.count + slack
        if rise(few, more) > slack:
            assert packages, f"{more.count} x {name}"
        if batch is steady:  # boards weighed against saw work may be more than the fewest
            assert all(beyond <= 1 for beyond in boards_beyond_proportion(few, more))


def by_use(batch: BatchPrice) -> dict[str, Material]:
    lines = ("glue", "finish", "liner sheet")
    return {one.name: one for one in batch.materials if one.name in lines}


@pytest.mark.parametrize(("count", "name"), [(16, "finish"), (19, "glue")])
def test_a_new_can_or_bottle_makes_no_piece_dearer(count: int, name: str) -> None:
    few, more = steady("stoop-tub", count), steady("stoop-tub", count + 1)
    lines = by_use(few), by_use(more)
    assert [one[name].packs[0][1] for one in lines] == [1, 2]
    assert name not in opened(few, more)
    coin = D("0.005") * (D(1) / few.count + D(1) / more.count)
    for one, then in zip(*(found.values() for found in lines), strict=True):
        assert not one.whole
        assert abs(then.cost / more.count - one.cost / few.count) <= coin


def test_fifteen_tubs_open_two_boxes_of_screws_after_fourteen() -> None:
    for batch in (steady, weighed):
        few, more = batch("stoop-tub", 14), batch("stoop-tub", 15)
        packages = opened(few, more)
        screws = {name: cost for name, cost in packages.items() if name.startswith("#")}
        # 1170 screws after 1092: a further hundred; 240 after 224: 350 for 3 x 75
        assert screws == {"#8 x 1 in": D("7.60"), "#8 x 2 in": D("31.00") - 3 * D("8.20")}
        assert rise(few, more) <= sum(packages.values(), D(0)) / 15


def test_fifteen_tubs_cost_more_a_piece_than_fourteen_by_a_board_and_two_boxes_of_screws() -> None:
    few, more = steady("stoop-tub", 14), steady("stoop-tub", 15)
    packages = opened(few, more)
    assert packages == {"fence-58": D("3.40"), "#8 x 1 in": D("7.60"), "#8 x 2 in": D("6.40")}
    assert 0 < rise(few, more) <= sum(packages.values(), D(0)) / 15


@pytest.mark.thorough
def test_sixteen_sill_boxes_open_no_box_of_screws_and_cost_at_most_a_board_more() -> None:
    for batch in (steady, weighed):
        few, more = batch("sill-box", 15), batch("sill-box", 16)
        assert set(opened(few, more)) <= {"fence-58-narrow"}
        assert rise(few, more) <= few.materials[0].packs[0][0].price / 15
