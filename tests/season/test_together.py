"""A season's boxes for one market built together: what is saved, shared and told."""

from __future__ import annotations

import datetime
import itertools
import math
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest

from palewright.costing.batch_price import BatchPrice, price_batch
from palewright.costing.shop_file import Shop, load_shop
from palewright.parameters.toml_reader import record_from
from palewright.sawing.stock_demands import demands_of, saw_of
from palewright.sawing.stock_plans import plan_demands
from palewright.season.backward_schedule import WEEK
from palewright.season.joint_batches import Built, Together, boards_of, built_together
from palewright.season.season_file import SeasonFile
from palewright.season.season_plan import SeasonPlan, plan_season
from palewright_drawings.json_reports.seasons import season_as_json
from palewright_drawings.output.terminal import plain
from palewright_drawings.texts.season_texts import boards_to_buy, season_text
from shipped_designs import shipped

pytestmark = pytest.mark.usefixtures("few_boards_as_many")

D = Decimal
MIX = (("stoop-tub", 3, 0), ("sill-box", 2, 25))


def knowing(made_before: int) -> Shop:
    told = load_shop(None)
    learning = told.learning.model_copy(update={"made_before": made_before})
    return told.model_copy(update={"learning": learning})


@cache
def alone(name: str, boxes: int, made_before: int) -> BatchPrice:
    one = [(shipped(name), boxes)]
    return price_batch(one, knowing(made_before), seconds=10)


def built(*typed: str) -> list[Built]:
    return [
        Built(name, shipped(name, *(typed if i else ())), boxes, made, alone(name, boxes, made))
        for i, (name, boxes, made) in enumerate(MIX)
    ]


@cache
def mixed() -> Together:
    found = built_together("fair", built(), load_shop(None), 10)
    assert found is not None
    return found


def test_one_batch_is_one_cut_plan_of_all_parts_as_price_has_it() -> None:
    batch = [(shipped(name), boxes) for name, boxes, _ in MIX]
    made = [made for _, _, made in MIX]
    priced = price_batch(batch, load_shop(None), seconds=10, made_before=made)
    assert mixed().batch.cost == priced.cost
    bought = boards_of(priced)
    saw = saw_of(batch[0][0].parameters)
    fewest = sum(p.plan.boards for p in plan_demands(demands_of(batch), saw, (), 10, 0.0))
    apart = sum(boards_of(alone(*row)) for row in MIX)
    assert fewest <= boards_of(mixed().batch) == bought
    assert mixed().boards_saved == apart - bought
    assert sum(mixed().boards.values()) == bought
    assert all(mixed().boards.values())


def test_boards_beyond_those_apart_are_bought_only_where_there_are_some() -> None:
    saved = mixed().boards_saved
    assert built_together("fair", built(), load_shop(None), 10, -saved) is not None
    assert built_together("fair", built(), load_shop(None), 10, -saved - 1) is None


def apart_from_saw(batch: BatchPrice) -> float:
    """Minutes of all work but that at the saw."""
    saw = ("set the saw", "crosscut", "rip")
    return sum(one.total for one in batch.operations if one.name not in saw)


def test_what_is_saved_is_what_the_batches_apart_cost_more() -> None:
    def spent(batch: BatchPrice) -> Decimal:
        return sum((b.materials + b.wage + b.packing for b in batch.boxes), D(0))

    apart = [alone(*row) for row in MIX]
    assert mixed().saves == sum(map(spent, apart)) - spent(mixed().batch) > 0
    minutes = sum(one.minutes for one in apart) - mixed().batch.minutes
    assert mixed().hours_saved == pytest.approx(minutes / 60)
    # the bench is cleared once less and the finish set up twice less; only the saw may take longer,
    # where that saves boards
    away = [apart_from_saw(one) for one in apart]
    assert sum(away) - apart_from_saw(mixed().batch) >= 25 + 2 * 12
    shares = [math.fsum(mixed().minutes(name).values()) for name, _, _ in MIX]
    assert sum(shares) == pytest.approx(mixed().batch.minutes)


def test_each_variant_keeps_what_its_hands_know() -> None:
    curve = load_shop(None).curve
    for name, boxes, made in MIX:
        holes = sum(len(board.holes) for board in shipped(name).box.boards.values())
        drilled = 0.12 * holes * boxes * curve.average(boxes, made)
        assert mixed().minutes(name)["drill"] == pytest.approx(drilled)


def test_what_is_not_sawn_alike_or_stands_alone_stays_apart() -> None:
    told = load_shop(None)
    assert built_together("fair", built()[:1], told, 1) is None
    assert built_together("fair", built("saw.kerf=1/16 in"), told, 1) is None


SEASON = {
    "season": {"start": datetime.date(2027, 2, 1), "hours": 9.0, "ready_days": 7},
    "market": {"fair": {"title": "Fair", "opens": datetime.date(2027, 4, 3)}},
    "offer": {
        "tubs": {"variant": "stoop-tub", "market": "fair", "price": "210", "left_over": "50",
                 "low": 1, "likely": 2, "high": 3},
        "sills": {"variant": "sill-box", "market": "fair", "price": "190", "left_over": "30",
                  "low": 1, "likely": 1, "high": 2},
    },
}  # fmt: skip


@cache
def season() -> SeasonPlan:
    return plan_season(record_from(SeasonFile, SEASON, {}), Path(), load_shop(None), seconds=10)


@pytest.mark.thorough
def test_a_season_builds_one_markets_boxes_together_and_earns_what_that_saves() -> None:
    plan = season()
    (one,) = plan.together
    assert one.offers == ("tubs", "sills")
    takes = sum(choice.takes for choice in plan.choices)
    apart = D(0)
    for choice in plan.choices:
        assert choice.batch is not None
        box = choice.batch.boxes[0]
        apart += box.materials + box.wage + box.packing
    assert plan.earns == takes - apart + one.saves - plan.stalls
    assert plan.boards == boards_of(one.batch)
    assert sum(boards_to_buy(plan, "fair").values()) == plan.boards
    told = plain(season_text(plan, load_shop(None), "shipped"))
    assert "tubs, sills as one batch" in told
    (row,) = season_as_json(plan, load_shop(None))["together"]
    assert row["offers"] == ["tubs", "sills"]
    assert row["boards_saved"] == one.boards_saved


@pytest.mark.thorough
def test_what_is_built_together_goes_from_work_to_work_side_by_side() -> None:
    plan = season()
    order = [(stint.work, stint.offer) for stint in plan.stints]
    works = [work for work, _ in itertools.groupby(work for work, _ in order)]
    assert works == ["saw", "drill and sand", "put together", "finish and pack"]
    for choice in plan.choices:
        mine = [stint for stint in plan.stints if stint.offer == choice.name]
        assert sum(stint.hours for stint in mine) == pytest.approx(choice.hours)
        assert all(stint.begins + WEEK <= plan.file.ready_by("fair") for stint in mine)
    hours = sum(stint.hours for stint in plan.stints)
    assert hours == pytest.approx(plan.together[0].batch.minutes / 60)
