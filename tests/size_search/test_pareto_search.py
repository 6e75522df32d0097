"""The largest boxes of N boards: every size made again, every larger one tried and ruled out."""

from __future__ import annotations

import itertools
import json
import os
import signal
import subprocess
import sys
import time
import warnings
import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import replace
from multiprocessing import get_context
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
import shapely

from case_lists import thorough
from command_runs import run_here
from cut_cases import complaints_of
from palewright.construction.derived_sizes import least_sides, sizes_of
from palewright.cutting_stock import CutPlan, plan_cuts
from palewright.cutting_stock.problem import work_clock
from palewright.design import design
from palewright.fit.verdict import judge
from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright.reading.errors import InputError
from palewright.reading.lengths import print_length
from palewright.sawing.stock_demands import demands_of, saw_of
from palewright.size_search import height_search, pareto_search, size_trials
from palewright.size_search.pareto_search import frontiers_of
from palewright.size_search.pareto_sizes import BoxSize, Frontier, Sides, holds, largest_of
from palewright.size_search.size_grid import ranges_of, sized
from palewright_drawings.output.terminal import plain
from palewright_drawings.texts.size_search_text import (
    frontier_as_json,
    frontier_text,
    size_as_json,
)

ROOT = Path(__file__).resolve().parents[2]
LONG = 150.0
"""Seconds for what the first look leaves open on a busy machine."""
INCH = 25.4


def ranged(variant: str, step: int, **ranges: tuple[int, int]) -> list[str]:
    """The variant's name and the settings of its size table, whole inches."""
    settings = [f"size.step={step} in", "size.looks=drawn"]
    for side, (least, most) in ranges.items():
        settings += [f"size.least_{side}={least} in", f"size.most_{side}={most} in"]
    return [variant, *settings]


# the narrowest width is too narrow for any box: that rules out no wider one
SQUARE = ranged("stoop-tub", 2, width=(6, 14), height=(16, 22))
OBLONG = ranged("market-gable", 4, width=(16, 24), depth=(12, 16), height=(12, 20))
SMALL = ranged("market-gable", 4, width=(20, 20), depth=(12, 16), height=(12, 20))
ONE = ranged("market-gable", 4, width=(20, 20), depth=(16, 16), height=(16, 16))


def parameters(variant: str, *settings: str) -> Parameters:
    return load_variant(variant, settings).parameters


def shown_text(*what: Any) -> str:
    return plain(frontier_text(*what), 500)


def grid(table: Parameters) -> Iterator[Sides]:
    """Every size of the table, from its own numbers."""

    def steps(side: str) -> list[float]:
        low, high = getattr(table.size, f"least_{side}"), getattr(table.size, f"most_{side}")
        count = round((high - low) / table.size.step)
        return [low + i * table.size.step for i in range(count + 1)]

    square = table.box.width == table.box.depth
    for width in steps("width"):
        for depth in [width] if square else steps("depth"):
            yield from ((width, depth, height) for height in steps("height"))


def made_plan(sized: Parameters, enough: int) -> CutPlan | None:
    """The plan of one box's panels, or a bound above what is enough; None where no box exists."""
    try:
        demand = demands_of([(design(sized), 1)])[0]
    except InputError:
        return None
    saw = saw_of(sized)
    plan = plan_cuts(
        demand.parts, [demand.board], saw, time_limit=LONG, setup_time=0.0, enough=enough
    )
    assert complaints_of(plan, demand.parts, [demand.board], saw) == []
    return plan


def by_area(sized: Parameters) -> float:
    """Boards that the outlines of the panels' stock fill without any waste; 0 without a box."""
    try:
        box = design(sized)
        first = box.parts[0].stock
    except InputError:
        return 0.0
    area = sum(
        shapely.Polygon(board.outline).area
        for board in box.box.boards.values()
        if board.stock == first
    )
    return area / (first.length * first.width)


def at(table: Parameters, size: Sides) -> Parameters:
    sides = dict(zip(("width", "depth", "height"), size, strict=True))
    return table.model_copy(update={"box": table.box.model_copy(update=sides)})


def parameters_at(table: Parameters, size: BoxSize) -> Parameters:
    return sized(table, size.sides, size.look)


# --- what is offered ---

Found = dict[int, Frontier]


@pytest.mark.parametrize(
    ("table", "boards"),
    [thorough((SQUARE, (5, 6))), thorough((OBLONG, (5, 6)))],
    ids=["square", "oblong"],
)
def test_a_frontier_holds_every_way(table: list[str], boards: tuple[int, ...]) -> None:
    ours = parameters(*table)
    found = dict(zip(boards, frontiers_of(ours, boards), strict=True))
    each_is_made_of_its_boards_and_fits_together(ours, found)
    each_is_a_size_of_the_table(ours, found)
    none_beats_another(found)
    no_larger_box_exists(ours, found)
    more_boards_are_never_worse(found)
    square = ours.box.width == ours.box.depth
    ratios = {size.width == size.depth for f in found.values() for size in f.sizes}
    assert ratios == {True} if square else False in ratios


def each_is_made_of_its_boards_and_fits_together(table: Parameters, found: Found) -> None:
    for count, frontier in found.items():
        assert frontier.boards == count
        assert frontier.sizes
        for size in frontier.sizes:
            sized = parameters_at(table, size)
            assert (sized.box.width, sized.box.depth, sized.box.height) == size.sides
            plan = made_plan(sized, count)
            assert plan is not None
            assert plan.boards <= count
            assert size.lower_bound <= size.boards <= count
            assert size.volume == pytest.approx(size.width * size.depth * size.height / 1e6)
            verdict = judge(sized)
            assert [f.code for f in verdict.findings if f.severity == "fault"] == []
            warned = {f.code for f in verdict.findings if f.severity == "warning"}
            assert set(size.warnings) == warned
            price = float(design(sized).parts[0].stock.price)
            assert size.cost == pytest.approx(size.boards * price), "all is of one stock here"


def each_is_a_size_of_the_table(table: Parameters, found: Found) -> None:
    wanted = [tuple(round(side, 3) for side in size) for size in grid(table)]
    for frontier in found.values():
        for size in frontier.sizes:
            assert tuple(round(side, 3) for side in size.sides) in wanted


def none_beats_another(found: Found) -> None:
    for frontier in found.values():
        for one, other in itertools.permutations(frontier.sizes, 2):
            assert not holds(one.sides, other.sides)


def no_larger_box_exists(table: Parameters, found: Found) -> None:
    planned = ruled_out = 0
    for count, frontier in found.items():
        assert frontier.open == ()
        assert frontier.refused == ()
        offered = [size.sides for size in frontier.sizes]
        for size in grid(table):
            if any(holds(large, size) for large in offered):
                continue
            ruled_out += 1
            if by_area(at(table, size)) > count:
                continue
            plan = made_plan(at(table, size), count)
            planned += plan is not None
            assert plan is None or plan.lower_bound > count, (count, size)
    assert ruled_out > 8
    assert planned > 2


def more_boards_are_never_worse(found: Found) -> None:
    for few, many in itertools.pairwise(sorted(found)):
        larger = [size.sides for size in found[many].sizes]
        for size in found[few].sizes:
            assert any(holds(large, size.sides) for large in larger), (few, many)
        most = [max(size.volume for size in found[count].sizes) for count in (few, many)]
        assert most[0] < most[1]


def test_a_square_variant_is_sought_oblong_when_asked() -> None:
    table = ranged("stoop-tub", 2, width=(12, 12), depth=(10, 10), height=(16, 16))
    found = frontiers_of(parameters(*table, "size.shape=oblong"), [5])[0]
    assert found.open == ()
    assert any(size.width > size.depth for size in found.sizes)


def test_refused_sizes_are_told_and_not_offered() -> None:
    # a lip no deeper than a board leaves thick boards no play: nothing fits together at any size
    table = [*ONE, "panel.lip=5/8 in"]
    found = frontiers_of(parameters(*table), [7])[0]
    assert found.sizes == ()
    assert found.refused
    ours = parameters(*table)
    for one in found.refused:
        faults = [f.code for f in judge(at(ours, one.sides)).findings if f.severity == "fault"]
        assert one.code in faults


def test_what_is_warned_of_is_told_with_each_size() -> None:
    """A slim tub as drawn fits, but a pull tips it: nothing says that it holds."""
    narrow = ranged("stoop-tub", 1, width=(11, 13), height=(16, 24))
    ours = parameters(*narrow, "size.looks=drawn")
    (found,) = frontiers_of(ours, [5])
    assert len(found.sizes) == 3
    for size in found.sizes:
        warned = {f.code for f in judge(at(ours, size.sides)).findings if f.severity == "warning"}
        assert set(size.warnings) == warned == {"PW906"}
        told = size_as_json(size, ours)["warnings"]
        assert told == [{"code": "PW906", "title": "a pull may tip it"}]
    text = shown_text([found], ours)
    assert text.startswith("5 boards: 13 x 13 x 17 in (12.4 gal, warning PW906), as drawn. ")
    assert text.count("as drawn; warning PW906") == 3  # once a row
    assert "\nPW906: a pull may tip it; palewright explain PW906 says more." in text
    assert "None brings a warning." not in text
    calm = tuple(replace(size, warnings=()) for size in found.sizes)
    sound = replace(found, sizes=calm, drawn=calm[0])
    assert "None brings a warning." in shown_text([sound], ours)
    # the sentence names what is made as drawn beside a slimmer box, whether the table does or not
    slim = replace(calm[0], look=(("cap.width", 40.0),), width=400.0)
    text = shown_text([replace(found, sizes=(slim,))], ours)
    assert "which makes 13 x 13 x 17 in (12.4 gal, warning PW906). " in text
    assert "\nPW906: a pull may tip it; palewright explain PW906 says more." in text
    assert "None brings a warning." not in text


def test_work_that_ran_out_is_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    real = size_trials.plan_cuts

    def vague(*args: Any, **more: Any) -> CutPlan:
        plan = real(*args, **more)
        return replace(plan, boards=plan.boards + 50, lower_bound=1)

    monkeypatch.setattr(size_trials, "plan_cuts", vague)
    table = parameters(*ONE)
    found = frontiers_of(table, [7])[0]
    assert found.sizes == ()
    (left,) = found.open
    assert left.sides == (20 * INCH, 16 * INCH, 16 * INCH)
    assert left.lower_bound <= 7 < left.upper_bound
    text = shown_text([found], table)
    assert "1 size left undecided" in text
    assert "20 in x 16 in x 16 in" in text
    assert "--work" in text


def test_a_plan_that_comes_with_more_boards_is_not_lost(monkeypatch: pytest.MonkeyPatch) -> None:
    real = size_trials.plan_cuts

    def late(*args: Any, **more: Any) -> CutPlan:
        plan = real(*args, **more)
        in_time = more.get("enough") != 7
        return plan if in_time else replace(plan, boards=plan.boards + 50, lower_bound=1)

    monkeypatch.setattr(size_trials, "plan_cuts", late)
    low, high = 16 * INCH, 20 * INCH
    ask = height_search.ColumnAsk(
        20 * INCH, 16 * INCH, (low, high), ((7, 0), (8, 0)), tight={7: 0.01, 8: 0.01}, work=LONG
    )
    answer = height_search.column_answer(parameters(*ONE), ask)
    found = [(boards, size.height, size.boards) for boards, size in answer.sizes]
    assert (8, high) in [one[:2] for one in found]
    assert (7, low, 7) in found
    assert low not in [left.sides[2] for boards, left in answer.open if boards == 7]


def test_a_porch_cube_is_decided_without_the_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    def asked() -> float:
        raise AssertionError("the clock was asked")

    monkeypatch.setattr(work_clock, "time", SimpleNamespace(monotonic=asked))
    table = parameters(*ranged("porch-cube", 1, width=(10, 10), height=(18, 24)))
    found = frontiers_of(table, [4])[0]
    assert found.undecided == 0
    (tallest,) = found.sizes
    # the clock once took sizes away on a busy machine
    assert tallest.height == pytest.approx(20 * INCH)
    assert (tallest.boards, tallest.lower_bound) == (4, 4)
    monkeypatch.undo()
    plan = made_plan(parameters_at(table, tallest), 4)
    assert plan is not None
    assert plan.boards == 4
    taller = made_plan(at(table, (10 * INCH, 10 * INCH, 21 * INCH)), 4)
    assert taller is not None
    assert taller.lower_bound > 4


def test_nothing_is_looked_at_that_a_larger_box_beats(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[height_search.ColumnAsk] = []
    answered: list[height_search.ColumnAnswer] = []

    def noted(parameters: Parameters, ask: height_search.ColumnAsk) -> height_search.ColumnAnswer:
        asked.append(ask)
        answered.append(height_search.column_answer(parameters, ask))
        return answered[-1]

    monkeypatch.setattr(pareto_search, "column_answer", noted)
    counts = (5, 6)
    frontiers_of(parameters(*SQUARE), counts)
    assert len(asked) == 5
    left_out = 0
    for number, ask in enumerate(asked):
        floor = (ask.width, ask.depth, 0.0)
        assert not any(holds((one.width, one.depth, 0.0), floor) for one in asked[number + 1 :])
        # the last answer is not there yet when the next is asked for
        larger = [pair for answer in answered[: max(number - 1, 0)] for pair in answer.sizes]
        for count, first in ask.boards:
            known = max((size.height for made, size in larger if made == count), default=0.0)
            assert [height for height in ask.heights if height > known] == list(ask.heights[first:])
            left_out += first
    assert left_out > 0


@pytest.mark.thorough
def test_what_is_made_as_drawn_is_told_beside_larger_boxes_in_slimmer_looks() -> None:
    typed = [
        key for key in ranged("gate-pair", 1, width=(13, 20), height=(24, 25)) if "looks" not in key
    ]
    (found,) = frontiers_of(parameters(*typed), [8], work=10.0)
    assert found.drawn is not None
    assert found.drawn.boards == 8
    assert found.drawn.volume < max(size.volume for size in found.sizes)


def test_an_overview_seeks_all_that_is_larger_as_drawn_and_little_that_holds_less(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """All sizes as drawn, decided one by one, are the oracle of what an overview left out."""
    typed = ranged("porch-cube", 2, width=(10, 20), height=(8, 24))
    counts = (4, 6)
    whole = frontiers_of(parameters(*typed), counts)
    asked: list[height_search.ColumnAsk] = []

    def noted(parameters: Parameters, ask: height_search.ColumnAsk) -> height_search.ColumnAnswer:
        asked.append(ask)
        return height_search.column_answer(parameters, ask)

    monkeypatch.setattr(pareto_search, "column_answer", noted)
    free = parameters(*typed, "size.looks=free")
    overview = frontiers_of(free, counts, work=1.0)
    largest = {}
    for every, some in zip(whole, overview, strict=True):
        best = largest_of(every.sizes)
        assert best is not None and some.drawn is not None and every.proven
        assert some.drawn.volume == pytest.approx(best.volume)
        largest[some.boards] = best.volume * 1e6
    for ask in asked:
        for count, first in ask.boards:
            left_out = [ask.width * ask.depth * height for height in ask.heights[:first]]
            assert max(left_out, default=0.0) < largest[count] + 1
    drawn = [sum(not size.look for size in one.sizes) for one in overview]
    assert 3 * sum(drawn) < 2 * sum(len(one.sizes) for one in whole)
    hint = "ask for one number to see those that are narrower or lower"
    assert hint in shown_text(overview, free)
    assert hint not in shown_text(overview[:1], free)
    assert hint not in shown_text(whole, parameters(*typed))


def test_the_own_size_of_a_variant_is_told_if_its_boards_make_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A tub that is full of its three boards, which no short look finds; smaller ones are open too.

    That three boards make it says the plan of `palewright cut`, which the verifier has checked.
    """
    monkeypatch.setattr(height_search, "_SHORT", 0.01)
    near = ("size.least_width=16 in", "size.most_width=17 in", "size.least_height=11 in")
    table = parameters("picket-tub", *near, "size.most_height=12 in")
    box = table.box
    three, _ = frontiers_of(table, (3, 4), work=1.0)
    assert three.drawn is not None
    assert three.drawn.sides == (box.width, box.depth, box.height)
    plan = made_plan(table, 3)
    assert plan is not None and plan.boards == 3


def test_a_search_that_ends_early_counts_what_it_did_not_reach() -> None:
    table = parameters(*SQUARE)
    whole, short = frontiers_of(table, [5])[0], frontiers_of(table, [5], work=0.1)[0]
    assert whole.undecided == 0
    assert whole.unreached == ()
    assert short.unreached
    places = {(width, depth) for width, depth, _ in short.unreached}
    assert len(places) == len(short.unreached)
    for size in whole.sizes:  # nothing is lost unsaid
        reached = any(holds(known.sides, size.sides) for known in short.sizes)
        reached = reached or any(left.sides == size.sides for left in short.open)
        assert reached or (size.width, size.depth) in places
    counted = sum(
        (width, depth) in places
        and not any(holds(known.sides, (width, depth, height)) for known in short.sizes)
        for width, depth, height in grid(table)
    )
    assert short.undecided == counted + len(short.open)
    assert frontiers_of(table, [5], work=0.1)[0] == short
    said = frontier_as_json(short, table)
    assert said["undecided"] == short.undecided
    assert sum(one["heights"] for one in said["unreached"]) == counted
    text = shown_text([short], table, 0.1)
    assert f"{counted} sizes left undecided" in text
    assert f"before {len(places)} of its widths and depths" in text


@pytest.mark.parametrize("name", sorted(shipped_variants()))
def test_a_shipped_size_lies_within_its_own_ranges(name: str) -> None:
    table = parameters(name)
    ranges, own, step = ranges_of(table), table.box, table.size.step
    for side, (least, most) in ranges.items():
        size = getattr(own, side)
        assert least <= size <= most, (name, side)
        assert least % step == pytest.approx(0, abs=1e-6) or -least % step < 1e-6
        assert least >= size / 2 - 1e-6
        assert 1.5 * size <= most + 1e-6 < 1.5 * size + step + 1e-5
        frame = least_sides(sizes_of(table))[side]
        assert least >= min(frame, size - size % step) - 1e-6
    lowest = {side: least for side, (least, _) in ranges.items()}
    said = frontier_as_json(Frontier(3, ()), table)["ranges"]
    assert said["width_mm"][0] == pytest.approx(lowest["width"], abs=1e-3)
    text = shown_text([Frontier(3, ())], table)
    assert f"height {print_length(lowest['height'], table.product.units)} to " in text


def test_a_table_overrules_its_own_ranges_one_end_at_a_time() -> None:
    table = parameters("sill-box", "size.most_depth=9 in", "size.least_height=7 in")
    ranges = {k: tuple(round(v / INCH, 4) for v in ends) for k, ends in ranges_of(table).items()}
    assert ranges["depth"][1] == 9
    assert ranges["height"] == (7, 12)
    assert ranges["width"] == (11, 33)


@pytest.mark.parametrize("name", sorted(shipped_variants()))
def test_no_box_is_less_than_its_frame_needs(name: str) -> None:
    table = parameters(name)
    least = least_sides(sizes_of(table))
    for side, size in least.items():
        for short, refused in ((0.01, True), (-0.01, False)):
            box = table.box.model_copy(update={side: size - short})
            tried = table.model_copy(update={"box": box})
            if not refused:
                sizes_of(tried)
                continue
            with pytest.raises(InputError, match=f"box.{side}"):
                sizes_of(tried)


# --- what cannot be sought ---


@pytest.mark.parametrize(
    ("settings", "key"),
    [
        (["size.least_width=20 in", "size.most_width=12 in"], "size.most_width"),
        (["size.least_height=20 in", "size.most_height=19 in"], "size.most_height"),
        (["size.step=6 in", "size.least_width=13 in", "size.most_width=17 in"], "size.most_width"),
        (
            ["size.shape=oblong", "size.least_depth=20 in", "size.most_depth=10 in"],
            "size.most_depth",
        ),
        (
            ["size.shape=oblong", "size.step=1/8 in", "size.most_width=96 in"],
            "size.step",
        ),
    ],
)
def test_empty_ranges_and_too_many_places_are_refused(settings: list[str], key: str) -> None:
    with pytest.raises(InputError) as caught:
        frontiers_of(parameters("stoop-tub", *settings), [4])
    assert key in str(caught.value)
    assert "allowed" in str(caught.value)


# --- side by side ---


@contextmanager
def dask_threads() -> Iterator[Executor]:
    distributed = pytest.importorskip(
        "distributed", reason="the dask extra is not installed: pip install 'palewright[dask]'"
    )
    with (
        distributed.LocalCluster(
            n_workers=1,
            threads_per_worker=2,
            processes=False,
            protocol="inproc://",  # no port is opened
            dashboard_address=None,
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        yield client.get_executor()


@contextmanager
def processes() -> Iterator[Executor]:
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as pool:
        yield pool


@pytest.mark.parametrize("pool", [processes, dask_threads], ids=["processes", "dask"])
def test_any_executor_finds_the_same(pool: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    paths = [str(ROOT / "model"), str(ROOT / "drawings")]
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join(paths))
    table = parameters(*SMALL)
    alone = frontiers_of(table, [6, 5])
    told: list[tuple[Any, ...]] = []
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with pool() as executor:
            together = frontiers_of(table, [6, 5], executor, lambda *step: told.append(step))
    assert together == alone
    assert [frontier.boards for frontier in together] == [6, 5]
    first = [step[:3] for step in told if step[0] == "widths and depths"]
    assert first == [("widths and depths", done, 2) for done in (0, 1, 2)]
    assert [done for what, done, *_ in told if what == "sizes offered"][-1] == told[-1][2]


def test_lumber_that_nobody_keeps_is_refused_not_sought() -> None:
    with pytest.raises(InputError, match="no-such"):
        frontiers_of(parameters(*SMALL, "lumber.board=no-such"), [5])


def test_a_search_that_fails_ends_the_others() -> None:
    class Broken(ThreadPoolExecutor):
        cancelled = 0

        def submit(self, function: Any, /, *args: Any, **more: Any) -> Future[Any]:
            task: Future[Any] = Future()
            if args[1].depth == 16 * INCH:  # asked for first
                task.set_exception(RuntimeError("a worker died"))
            task.add_done_callback(self._count)
            return task

        def _count(self, task: Future[Any]) -> None:
            self.cancelled += task.cancelled()

    with Broken(1) as executor:
        with pytest.raises(RuntimeError, match="a worker died"):
            frontiers_of(parameters(*SMALL), [2, 3, 4], executor)
        assert executor.cancelled == 1


# --- the command ---


def size_command(*args: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    variant, *settings = SMALL
    typed = [part for setting in settings for part in ("--set", setting)]
    return run_here("size", variant, *typed, *args, cwd=cwd)


SIZE_KEYS = {"width_mm", "depth_mm", "height_mm", "volume_l", "boards", "lower_bound", "yield"}


def test_the_command_prints_json_with_its_keys(tmp_path: Path) -> None:
    done = size_command("--boards", "6", "--json", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    said = json.loads(done.stdout)
    assert set(said) >= {"boards", "sizes"}
    assert said["boards"] == 6
    alone = frontiers_of(parameters(*SMALL), [6])[0]
    assert [(s["width_mm"], s["depth_mm"], s["height_mm"], s["boards"]) for s in said["sizes"]] == [
        (*(round(side, 3) for side in s.sides), s.boards) for s in alone.sizes
    ]
    for size in said["sizes"]:
        assert set(size) >= SIZE_KEYS
        litres = size["width_mm"] * size["depth_mm"] * size["height_mm"] / 1e6
        assert size["volume_l"] == pytest.approx(litres, abs=0.01)
        assert 0 < size["yield"] <= 1
        assert size["lower_bound"] <= size["boards"] <= 6


def test_several_numbers_of_boards_are_a_list_a_table_and_a_chart(tmp_path: Path) -> None:
    done = size_command("--boards", "6", "--boards", "5", "--chart", "c.svg", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    rows = done.stdout.splitlines()
    assert rows[0].startswith("5 boards: ") and rows[1].startswith("6 boards: ")
    assert all("Proven" in row for row in rows[:2])
    assert rows[3].split()[:5] == ["boards", "pick", "size", "volume", "used"]
    offers = [row.split() for row in rows[4:] if row.strip()[:1] in ("5", "6") and " in " in row]
    assert {row[0] for row in offers} == {"5", "6"}
    for boards, answer in zip(("5", "6"), rows, strict=False):
        mine = [row for row in offers if row[0] == boards]
        gallons = [float(row[row.index("gal") - 1]) for row in mine]
        assert [row[1] for row in mine] == [str(i) for i in range(1, len(mine) + 1)]
        assert gallons == sorted(gallons, reverse=True)
        assert f"({gallons[0]:g} gal), as drawn" in answer
    assert ElementTree.parse(tmp_path / "c.svg").getroot().tag.endswith("svg")


@pytest.mark.parametrize(
    ("args", "words"),
    [
        ([], ["--boards"]),
        (["--boards", "0"], ["--boards", "0"]),
        (["--boards", "nan"], ["--boards", "nan"]),
        (["--boards", "2.5"], ["--boards"]),
        (["--boards", "9999"], ["--boards"]),
        (["--boards", "5", "--workers", "0"], ["--workers"]),
        (["--boards", "5", "--work", "0"], ["--work"]),
        (["--boards", "5", "--work", "nan"], ["--work", "nan"]),
        (["--boards", "1", "--chart", "none/c.svg"], ["--chart", "none", "no such folder"]),
        (["--boards", "5", "--set", "size.narrower_stiles=1 in"], ["size.least_stile"]),
        (["--boards", "5", "--set", "size.narrower_rails=1 in"], ["size.least_rail"]),
        (["--boards", "5", "--set", "size.narrower_step=1 in"], ["size.least_rail"]),
        (["--boards", "5", "--set", "size.either_wall=true"], ["size.walls"]),
        (["--boards", "5-4"], ["--boards", "5-4", "2-8"]),
        (["--boards", "5", "--spend", "9"], ["--boards", "--spend", "--minutes"]),
        (["--spend", "1"], ["--spend", "at least"]),
        (["--boards", "5", "--pick", "99", "--save", "tub"], ["--pick", "99", "1 to"]),
        (["--boards", "5,6", "--save", "tub"], ["--save", "one number"]),
        (["--boards", "5", "--save", "a/b/tub.toml"], ["no such folder"]),
        (["--boards", "5", "--set", "size.step=0 in"], ["size.step"]),
        (["--boards", "5", "--set", "size.most_width=10 in"], ["size.most_width"]),
        (["--boards", "5", "--set", "lumber.board=no-such"], ["lumber.board", "no-such"]),
        (["--boards", "5", "--chart", "c.pdf"], ["--chart", ".svg", ".png"]),
        (["--boards", "1", "--chart", "c.svg"], ["--chart", "no box"]),
    ],
    ids=lambda value: " ".join(value)[:50],
)
def test_nonsense_asked_is_one_line_and_exit_2(
    args: list[str], words: list[str], tmp_path: Path
) -> None:
    variant, *settings = SMALL
    typed = [part for setting in settings for part in ("--set", setting)]
    done = run_here("size", variant, *typed, *args, cwd=tmp_path)
    assert done.returncode == 2, done.stdout + done.stderr
    assert done.stdout == ""
    told = [line for line in done.stderr.splitlines() if not line.startswith("... ")]  # progress
    assert len(told) == 1
    for word in words:
        assert word in done.stderr
    assert list(tmp_path.iterdir()) == []


def worked(work: subprocess.Popen[str]) -> list[float]:
    """Return the processor time (s) that each other process of a command's session has taken."""
    listed = subprocess.run(["ps", "-eo", "sid,pid,cputimes"], capture_output=True, text=True)
    rows = [list(map(int, row.split())) for row in listed.stdout.splitlines()[1:]]
    return [seconds for sid, pid, seconds in rows if sid == work.pid != pid]


@pytest.mark.parametrize("all_of_them", [thorough(True), False], ids=["terminal", "kill"])
def test_an_interrupt_ends_the_search_and_its_workers_in_a_line(
    all_of_them: bool, tmp_path: Path
) -> None:
    paths = os.pathsep.join([str(ROOT / "model"), str(ROOT / "drawings")])
    work = subprocess.Popen(
        [sys.executable, "-m", "palewright_drawings.cli.main", "size", "herb-trough",
         "--boards", "6", "--chart", "c.svg"],
        cwd=tmp_path, env={**os.environ, "PYTHONPATH": paths}, start_new_session=True,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    while max(worked(work), default=0.0) < 0.3:  # a worker is at work
        assert work.poll() is None
        time.sleep(0.1)
    (os.killpg if all_of_them else os.kill)(work.pid, signal.SIGINT)
    shown, said = work.communicate(timeout=60)
    assert (work.returncode, shown) == (130, "")
    assert said.strip().count("\n") == 0
    assert "stopped" in said
    assert list(tmp_path.iterdir()) == []
    for _ in range(600):
        try:
            os.killpg(work.pid, 0)
        except ProcessLookupError:
            return
        time.sleep(0.1)
    raise AssertionError("a worker was left")
