"""Boards against work at the saw: which plan is cheaper in money, and spare parts in the price."""

from __future__ import annotations

import json
import math
import re
from collections import Counter
from dataclasses import replace
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from case_lists import thorough
from command_runs import run_here
from cut_cases import board_question, complaints_of
from palewright.costing.batch_price import SIZES, BatchPrice, batch_demands, price_batch, priced
from palewright.costing.board_choices import cheapest_boards, cuts_of, saw_labour
from palewright.costing.box_takeoff import work_of
from palewright.costing.shop_file import Shop, load_shop
from palewright.cutting_stock import CutPlan, Labour, PartDemand, SawSettings, StockBoard, plan_cuts
from palewright.cutting_stock.problem.integer_units import integer_problem
from palewright.cutting_stock.problem.patterns import BlockRecipe, StripRecipe
from palewright.cutting_stock.sawing.saw_settings import FactBook
from palewright.sawing.stock_demands import SPARE_KIT, saw_of
from palewright.sawing.stock_plans import first_plans, plan_demands
from palewright_drawings.charts.price_chart import parts_of
from palewright_drawings.cli.price_requests import LumberPrice, Search, cost_chart
from palewright_drawings.json_reports.prices import batch_as_json
from palewright_drawings.output.progress import Silent
from palewright_drawings.output.terminal import plain
from palewright_drawings.texts.price_texts import batch_text
from shipped_designs import shipped

D = Decimal


def shop(**keys: Any) -> Shop:
    """The shipped shop with some keys changed, such as ``rates__wage``."""
    told = load_shop(None)
    for key, value in keys.items():
        table, name = key.split("__")
        changed = getattr(told, table).model_copy(update={name: value})
        told = told.model_copy(update={table: changed})
    return told


@cache
def tubs() -> BatchPrice:
    return price_batch([(shipped("stoop-tub"), 2)], shop(), seconds=10)


# --- plans found beside the first ---


@pytest.mark.thorough
def test_the_plan_that_is_cheapest_at_the_saw_makes_all_parts_too() -> None:
    demand, stock, saw = board_question("crate", 1)
    labour = Labour(setting=2.0, crosscut=0.1, rip=0.2, board=0.3)
    plan = plan_cuts(demand, stock, saw, labour=labour)
    (other,) = plan.instead
    assert complaints_of(other, demand, stock, saw) == []
    assert plan.boards <= other.boards <= plan.boards + 2
    assert other.instead == ()
    assert plan_cuts(demand, stock, saw, setup_time=0.0).instead == ()

    def paid(one: CutPlan) -> float:
        cuts = {kind: sum(s.cuts for s in one.setups.settings if s.kind == kind)
                for kind in ("crosscut", "rip")}  # fmt: skip
        work = 0.1 * cuts["crosscut"] + 0.2 * cuts["rip"] + 0.3 * one.boards
        return one.cost + work + 2.0 * one.setups.count

    assert paid(other) < paid(plan)


def test_no_clock_has_a_part_in_the_search_for_the_cheapest() -> None:
    parts = [PartDemand("a", 320.0, 40.0, 40), PartDemand("b", 240.0, 40.0, 60),
             PartDemand("c", 410.0, 90.0, 20), PartDemand("d", 505.0, 30.0, 11)]  # fmt: skip
    stock, labour = [StockBoard("board", 1000.0, 90.0)], Labour(0.4, 0.01, 0.02, 0.1)
    first, again = (plan_cuts(parts, stock, SawSettings(2.0), labour=labour) for _ in range(2))
    assert replace(again, seconds=0.0) == replace(first, seconds=0.0)
    assert first.instead


def test_what_a_pattern_takes_at_the_saw() -> None:
    # 23 long, twice over each other: a block is crosscut, ripped twice, each strip cut to length
    parts = [PartDemand("p", 23.0, 40.0, 6)]
    book = FactBook(integer_problem(parts, [StockBoard("board", 100.0, 90.0)], SawSettings(1.0)))
    half = StripRecipe(book.problem.parts[0].width, ((0, 1),))
    facts = book.of(0, (BlockRecipe((half, half)),))
    # the block crosscut at 23, where its strips have their length already, and ripped at 40 twice:
    # 40 + 1 + 40 + 1 leave 8 of the board's 90, which is true already
    assert (facts.rips, facts.crosscuts) == (2, 1)
    assert len(facts.settings) == 2  # stop at 23, fence at 40
    thrice = book.of(0, (BlockRecipe((half, half)),) * 3)
    assert (thrice.rips, thrice.crosscuts) == (3 * 2, 3)
    # three in a row over three: one block, each strip cut thrice
    row = StripRecipe(half.width, ((0, 3),))
    long = book.of(0, (BlockRecipe((row, row)),))
    plan = plan_cuts(parts, [StockBoard("board", 100.0, 90.0)], SawSettings(1.0), setup_time=0.0)
    assert cuts_of(plan) == long.rips + long.crosscuts < thrice.rips + thrice.crosscuts


# --- the cheaper in money ---


def test_the_plan_taken_is_the_cheapest_of_those_found() -> None:
    (choice,) = tubs().choices
    assert len(choice.options) > 1
    costs = [option.cost for option in choice.options]
    assert tubs().cost == costs[choice.chosen] == min(costs)
    assert tubs().plans[0].plan is choice.options[choice.chosen].plan
    sizes = [(o.plan.boards, o.plan.setups.count, cuts_of(o.plan)) for o in choice.options]
    assert sizes == sorted(set(sizes))
    # priced again from nothing but its layouts, each option costs what it is said to
    box = shipped("stoop-tub")
    for option in choice.options:
        boards = option.plan.boards * D("3.40")
        settings = option.plan.setups.count
        again = priced(
            [(box, 2, work_of(box, "outside"))],
            [type(tubs().plans[0])(tubs().plans[0].demand, option.plan)],
            shop(),
        )
        assert again.cost == option.cost
        assert again.materials[0].cost == boards
        saw = next(o for o in again.operations if o.name == "set the saw")
        assert saw.total == pytest.approx(2.5 * settings)


@pytest.mark.parametrize("count", [2, 10])
def test_looking_for_a_cheaper_plan_makes_a_batch_cheaper(count: int) -> None:
    batch = [(shipped("stoop-tub"), count)]
    plain = price_batch(batch, shop(), seconds=10, weigh_saw=False)
    assert plain.choices[0].options[0].cost == plain.cost
    assert price_batch(batch, shop(), seconds=10).cost < plain.cost


@pytest.mark.thorough
def test_dear_boards_ask_for_the_fewest_and_dear_settings_for_few_settings() -> None:
    box = shipped("stoop-tub")
    found = plan_demands(
        batch_demands([(box, 1)]), saw_of(box.parameters), (), 10, 0.0,
        labour=lambda demand: saw_labour(demand, shop(minutes__saw_setting=60.0), [1], [0]),
    )  # fmt: skip

    def taken(told: Shop) -> tuple[int, int]:
        counted = [(box, 1, work_of(box, "outside"))]
        plans, _ = cheapest_boards(found, lambda some: priced(counted, some, told).cost)
        return plans[0].plan.boards, plans[0].plan.setups.count

    options = [(p.boards, p.setups.count) for p in (found[0].plan, *found[0].plan.instead)]
    assert len(set(options)) > 1
    own = {"fence-58": load_shop(None).board_price.get("fence-58") or _price("900")}
    assert taken(shop().model_copy(update={"board_price": own}))[0] == min(b for b, _ in options)
    assert taken(shop(minutes__saw_setting=60.0))[1] == min(s for _, s in options)
    free = shop(rates__wage=D(0), rates__overhead=D(0), wear__blade=D(0))
    assert taken(free)[0] == min(b for b, _ in options)


def _price(text: str) -> Any:
    """A shop's own price of a board."""
    from palewright.costing.shop_file import BoardPrice

    return BoardPrice.model_validate({"price": text})


def test_the_labour_of_a_setting_a_cut_and_a_board_by_hand() -> None:
    demand = batch_demands([(shipped("stoop-tub"), 10)])[0]
    told = shop()
    labour = saw_labour(demand, told, [10], [0])
    minute = (22 + 240 / 60) / 60
    b = math.log(0.93) / math.log(2)
    learned = sum(n**b for n in range(1, 11)) / 10 / 10**b
    assert labour.setting == pytest.approx(2.5 * minute)
    assert labour.crosscut == pytest.approx(0.25 * minute * learned + 52 / 7000)
    assert labour.rip == pytest.approx(0.5 * minute * learned + 52 / 7000)
    assert labour.board == pytest.approx(0.8 * minute * learned)
    own = told.model_copy(update={"board_price": {"fence-58": _price("5.40")}})
    assert saw_labour(demand, own, [10], [0]).board == pytest.approx(labour.board + 2)


# --- spare parts ---


def test_spare_parts_are_cut_paid_for_and_told() -> None:
    box = shipped("stoop-tub", "saw.spare_parts=10", "saw.spare=0")
    usual = shipped("stoop-tub", "saw.spare=0")
    counts = Counter({part.mark: part.count for part in box.parts})
    spare = sum(math.ceil(10 * n * 0.1) for n in counts.values())
    batch = price_batch([(box, 10)], shop(), seconds=5)
    none = price_batch([(usual, 10)], shop(), seconds=5)
    assert (batch.spare_parts, none.spare_parts) == (spare, 0)
    asked = [p for p in batch.plans[0].demand.parts if p.kit == SPARE_KIT]
    assert sum(part.count for part in asked) == spare
    pieces = sum(len(x.pieces) * x.count for x in batch.plans[0].plan.layouts)
    assert pieces == 10 * sum(counts.values()) + spare
    assert batch.materials[0].needed > none.materials[0].needed
    assert batch.cost > none.cost
    # they are sawn; nothing is drilled, laid or screwed that goes into no box
    for name in ("drill", "lay in place", "drive screws"):
        minutes = [next(o for o in b.operations if o.name == name).total for b in (batch, none)]
        assert minutes[0] == minutes[1]
    assert f"{spare} spare parts cut" in plain(batch_text(batch, shop(), "shipped"))
    assert "spare parts" not in plain(batch_text(none, shop(), "shipped"))
    assert batch_as_json(batch, shop())["spare_parts"] == spare


@pytest.mark.parametrize(
    "asked",
    [
        thorough(["stoop-tub:1"]),
        thorough(["stoop-tub:10"]),
        ["stoop-tub:10", "--fewest-boards"],
        ["stoop-tub:2", "sill-box:3", "--set", "saw.spare_parts=10"],
    ],
    ids=" ".join,
)
def test_the_price_and_the_cut_plan_are_one(asked: list[str], tmp_path: Path) -> None:
    cut = json.loads(run_here("cut", *asked, "--json", cwd=tmp_path).stdout)
    price = json.loads(run_here("price", *asked, "--json", cwd=tmp_path).stdout)
    bought = [one["needed"] for one in price["materials"] if one["unit"] == "boards"]
    assert bought == [stock["boards"] for stock in cut["stocks"]]
    work = {one["name"]: one["times"] for one in price["work"]}
    assert work["set the saw"] == cut["setups"]["count"]
    passes = [*cut["setups"]["settings"], *cut["setups"]["squaring"]]
    for kind in ("rip", "crosscut"):
        assert work[kind] == sum(one["cuts"] for one in passes if one["kind"] == kind)
    assert (price["spare_parts"] > 0) == ("saw.spare_parts=10" in asked)


def test_one_box_is_priced_by_the_plan_that_is_printed_and_sold_with_it() -> None:
    box = shipped("stoop-tub")
    assert list(price_batch([(box, 1)], shop()).plans) == box.saw_plans
    dear = load_shop(None).model_copy(update={"board_price": {"fence-58": _price("900")}})
    assert list(price_batch([(box, 1)], dear).plans) == box.saw_plans


@pytest.mark.thorough
def test_a_box_without_a_count_is_priced_in_batches_of_six_sizes(tmp_path: Path) -> None:
    """The first answer is there at once and no batch of it is cheaper than the settled one."""
    done = run_here("price", "sill-box", "--ask", "90", cwd=tmp_path)
    first, settled = (
        [line.split() for line in text.splitlines() if re.match(r"\s+\d+\s+\d+\s", line)]
        for text in (done.stderr, done.stdout)
    )
    assert "first answer" in done.stderr
    assert [int(row[0]) for row in settled] == [int(row[0]) for row in first] == list(SIZES)
    told = json.loads(run_here("price", "sill-box", "--json", cwd=tmp_path).stdout)["batches"]
    alone = json.loads(run_here("price", "sill-box:5", "--json", cwd=tmp_path).stdout)
    assert told[2] == alone
    for row, batch, quick in zip(settled, told, first, strict=True):
        assert row[4:6] == [batch["boxes"][0]["unit_cost"], batch["boxes"][0]["offers"][0]["price"]]
        assert float(row[4]) <= float(quick[4])
        # what is left of 90 after a fee, told beside what is left of the price that is advised
        assert float(row[-1]) < 90 - float(row[4])


def test_a_box_that_is_named_twice_is_one_batch_or_two_and_never_guessed(tmp_path: Path) -> None:
    for command in ("price", "cut"):
        done = run_here(command, "sill-box:10", "sill-box:20", cwd=tmp_path)
        assert done.returncode == 2
        assert "sill-box:30" in done.stderr and "a command for each batch" in done.stderr


# --- the chart ---


@pytest.mark.thorough
def test_a_mixed_batch_is_drawn_beside_each_variant_alone() -> None:
    mixed = price_batch([(shipped("stoop-tub"), 2), (shipped("sill-box"), 1)], shop(), seconds=10)
    how = Search(10, False, Silent())
    chart = cost_chart([LumberPrice("fence-58", mixed)], shop(), how)
    assert [bar.label for bar in chart.bars] == [
        "2 x stoop-tub\nin this batch", "2 x stoop-tub\nalone",
        "1 x sill-box\nin this batch", "1 x sill-box\nalone",
    ]  # fmt: skip
    for i, box in enumerate(mixed.boxes):
        assert sum(chart.bars[2 * i].parts) == pytest.approx(float(box.unit_cost))
    # set-ups are shared by the number of boxes, so a simple box may carry some of another's: it
    # is the whole that is cheaper
    together, alone = (
        sum(sum(bar.parts) * box.count for bar, box in zip(bars, mixed.boxes, strict=True))
        for bars in (chart.bars[0::2], chart.bars[1::2])
    )
    assert together == pytest.approx(float(mixed.cost))
    assert together < alone


def test_lumbers_are_drawn_side_by_side() -> None:
    rows = [
        (name, priced([(box, 1, work_of(box, "outside"))], plans, shop()))
        for name in ("fence-58", "fence-58-cedar")
        for box in [shipped("stoop-tub", f"lumber.board={name}")]
        for plans in [first_plans(batch_demands([(box, 1)]), saw_of(box.parameters))]
    ]
    chart = cost_chart([LumberPrice(*row) for row in rows], shop(), Search(10, False, Silent()))
    assert [bar.label for bar in chart.bars] == ["fence-58", "fence-58-cedar"]
    assert [bar.parts for bar in chart.bars] == [parts_of(one) for _, one in rows]
    boards = [bar.parts[0] for bar in chart.bars]
    assert boards[1] / boards[0] == pytest.approx(5.9 / 3.4)
