"""The same plans and the same bytes, however quick the clock runs and whatever else runs beside."""

from __future__ import annotations

import ast
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

import pytest

from case_lists import KINDS, mostly_thorough
from cut_batches import MIXED, Batch
from known_plans import known_plan
from packet_files import contents, differing
from palewright.cutting_stock import WORK, CutPlan, Labour, SawSettings, first_plan, plan_cuts
from palewright.cutting_stock.problem.work_clock import broken_off, clock_of, counted, now
from palewright.design import design
from palewright.parameters.variant_files import load_variant
from palewright.sawing.stock_demands import StockDemand, demands_of, saw_of
from palewright_drawings.cli import main as commands
from palewright_drawings.packet.packet import write_packet
from palewright_drawings.packet.writers import PacketRequest

ROOT = Path(__file__).resolve().parents[2]
CLOCKS = ("monotonic", "perf_counter", "process_time", "thread_time", "time")
SPEEDS = (50.0, 1 / 50)
LOOPS = 4
FEW: Batch = (("terrace-crate", 1),)
LABOUR = Labour(setting=1.5, crosscut=0.02, rip=0.05, board=0.1)

pytestmark = pytest.mark.usefixtures("plans_anew", "solids_anew")


@contextmanager
def at_speed(monkeypatch: pytest.MonkeyPatch, speed: float) -> Iterator[None]:
    """Every clock that Python has runs so many times as fast meanwhile."""

    def hastened(clock: Callable[[], float]) -> Callable[[], float]:
        began = clock()
        return lambda: began + speed * (clock() - began)

    with monkeypatch.context() as patch:
        for name in CLOCKS:
            patch.setattr(time, name, hastened(getattr(time, name)))
        yield


@contextmanager
def beside_busy_loops() -> Iterator[None]:
    """Meanwhile other processes take all the time that they get."""
    loops = [subprocess.Popen([sys.executable, "-c", "while True: pass"]) for _ in range(LOOPS)]
    try:
        yield
        assert all(loop.poll() is None for loop in loops), "they ran to the end"
    finally:
        for loop in loops:
            loop.kill()
            loop.wait()


@cache
def asked(batch: Batch) -> tuple[tuple[StockDemand, ...], SawSettings]:
    """What a batch asks of each stock, and how it is sawn."""
    boxes = [(design(load_variant(name).parameters), count) for name, count in batch]
    return tuple(demands_of(boxes)), saw_of(boxes[0][0].parameters)


def plans(batch: Batch) -> list[CutPlan]:
    """The plans of a batch with all that can be asked: boards, settings, offcuts, labour."""
    demands, saw = asked(batch)
    return [
        plan_cuts(one.parts, [one.board], saw, setup_time=0.3, labour=labour)
        for one in demands
        for labour in (None, LABOUR)
    ]


def boards_alone(batch: Batch) -> list[CutPlan]:
    """The plans of a batch for the fewest boards, in work that proves none of a large one."""
    demands, saw = asked(batch)
    return [
        plan_cuts(one.parts, [one.board], saw, time_limit=0.2, setup_time=0.0) for one in demands
    ]


@cache
def usual_plans() -> tuple[list[CutPlan], list[CutPlan]]:
    return plans(FEW), boards_alone(MIXED[2])


def packet(folder: Path, variant: str) -> dict[str, bytes]:
    """The usual files of a packet by name."""
    place = write_packet(PacketRequest(design(load_variant(variant).parameters, variant)), folder)
    return contents(place)


@pytest.mark.parametrize("speed", mostly_thorough(SPEEDS))
def test_plans_do_not_depend_on_the_clock(monkeypatch: pytest.MonkeyPatch, speed: float) -> None:
    usual = usual_plans()
    with at_speed(monkeypatch, speed):
        assert (plans(FEW), boards_alone(MIXED[2])) == usual


@pytest.mark.thorough
# among the quick tests `test_packet` makes a packet in a process whose clocks run quicker
@pytest.mark.parametrize("variant", KINDS)
def test_every_packet_is_the_same_bytes_by_any_clock_and_beside_other_work(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, variant: str
) -> None:
    usual = packet(tmp_path / "usual", variant)
    with at_speed(monkeypatch, SPEEDS[0]), beside_busy_loops():
        assert differing(usual, packet(tmp_path / "disturbed", variant)) == []


@pytest.mark.thorough
def test_plans_do_not_depend_on_other_work() -> None:
    usual = plans(MIXED[0])
    with beside_busy_loops():
        assert plans(MIXED[0]) == usual


def test_a_known_plan_is_the_same_and_tells_and_counts_the_same_as_when_it_was_made() -> None:
    (demand, *_), saw = asked(FEW)
    whole = plan_cuts(demand.parts, [demand.board], saw, setup_time=0.0)
    each = []
    for _ in range(2):
        told: list[tuple[str, float]] = []
        with counted() as work:
            plan = known_plan(
                demand.parts, [demand.board], saw, setup_time=0.0,
                progress=lambda *one, told=told: told.append(one),
            )  # fmt: skip
        each.append((plan, told, work[0]))
    assert each[0] == each[1] and each[0][0] == whole and each[0][1]
    assert each[0][2] == whole.seconds


def test_only_a_break_that_was_asked_for_reads_the_clock() -> None:
    """Nothing in the model reads a clock but `clock_of`, and no solver is given one."""
    reading = []
    for path in sorted((ROOT / "model").rglob("*.py")):
        text = path.read_text(encoding="utf-8")
        for node in ast.walk(ast.parse(text)):
            names = [one.name for one in node.names] if isinstance(node, ast.Import) else []
            if "time" in names or (isinstance(node, ast.ImportFrom) and node.module == "time"):
                reading.append(path.name)
        assert '"time_limit",' not in text, "HiGHS ends by nodes"
    assert reading == ["work_clock.py"]


def test_each_command_is_given_the_work_of_the_packet() -> None:
    """So that they say the same of one batch; the number stands twice to keep the start quick."""
    for name in ("cut", "price", "season"):
        (work,) = [one for one in commands.main.commands[name].params if one.name == "work"]
        assert work.default == WORK


def test_a_break_by_the_clock_comes_when_it_is_due_and_is_told(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    at = 100.0
    monkeypatch.setattr(time, "monotonic", lambda: at)
    with broken_off(clock_of(5.0)) as one, counted():
        at = 105.0
        assert now() == 0.0 and not one.came
        at = 105.1
        assert now() > WORK and one.came
        at = 101.0
        assert now() > WORK, "what was broken off stays so"
    assert now() == 0.0
    with broken_off(lambda: True) as one:
        hurried = plans(FEW)
    assert one.came
    demands, saw = asked(FEW)
    for plan, demand in zip(hurried[::2], demands, strict=True):
        assert plan.boards <= first_plan(demand.parts, [demand.board], saw).boards
