"""Programs over blocks, rows of pieces, and work that is counted instead of time."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Sequence
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from case_lists import tried
from cut_cases import complaints_of
from palewright.cutting_stock import PartDemand, SawSettings, StockBoard, plan_cuts
from palewright.cutting_stock.bounds.bin_packing_1d import packed_rows, packing_weights
from palewright.cutting_stock.bounds.block_selection_mip import BlockProgram, block_program
from palewright.cutting_stock.pricing.pricing_problem import pricing_of
from palewright.cutting_stock.problem import work_clock as clocks
from palewright.cutting_stock.problem.integer_units import integer_problem
from palewright.cutting_stock.problem.work_clock import counted
from palewright.cutting_stock.sawing.surplus_parts import exact_groups, recipe_counts

SAW = SawSettings(kerf=3.0, end_trim=6.0)
PLAIN = StockBoard("board", 1800.0, 140.0)
EARED = StockBoard("eared", 1800.0, 140.0, clipped_end=40.0)

demands = st.lists(
    st.builds(
        lambda length, width, count, slant: PartDemand(
            f"{length}x{width}/{slant}", float(length), width, count, (slant, -slant)
        ),
        st.integers(200, 1500),
        st.sampled_from([40.0, 45.0, 65.0, 92.0, 140.0]),
        st.integers(1, 4),
        st.sampled_from([0.0, 0.0, 30.0]),
    ),
    min_size=1,
    max_size=5,
)


def program(
    parts: Sequence[PartDemand], board: StockBoard, boards: int, saw: SawSettings = SAW
) -> BlockProgram | None:
    problem = integer_problem(parts, [board], saw)
    kind = problem.stock[0]
    return block_program(pricing_of(problem, kind), problem.counts, kind.cost, boards)


@settings(max_examples=tried(60), deadline=None)
@given(demands, st.sampled_from([PLAIN, EARED]))
def test_a_program_never_contradicts_a_proven_plan(
    parts: list[PartDemand], board: StockBoard
) -> None:
    plan = plan_cuts(parts, [board], SAW, time_limit=5.0, setup_time=0.0)
    for boards in range(max(1, plan.boards - 2), plan.boards + 1):
        asked = program(parts, board, boards)
        if asked is None:
            return
        with counted() as work:
            asked.look(math.inf)
        assert work[0] > 0
        assert not (asked.impossible and asked.cover)
        if boards < plan.lower_bound:
            assert asked.cover is None
        if plan.boards <= boards:
            assert not asked.impossible
        if asked.cover is not None:
            problem = integer_problem(parts, [board], SAW)
            groups = exact_groups(asked.cover, problem.counts)
            made = sum(g.count * recipe_counts(g.recipe, len(problem.parts)) for g in groups)
            assert (made == problem.counts).all()
            assert sum(g.count for g in groups) <= boards


def test_a_program_settles_what_pricing_finds_hard() -> None:
    # porch-cube at 10 x 10 x 22 in and 23 in: 4 boards do; at 24 in there is no plan of 4
    parts = [
        (20.25, 3.75, 4), (20.25, 3.0, 4), (18.75, 5.375, 2), (18.75, 3.3125, 4), (18.75, 1.5, 2),
        (9.9375, 2.4375, 1), (8.4375, 2.6875, 2), (2.5, 3.5, 8), (2.5, 1.75, 16),
    ]  # fmt: skip
    inch = 25.4
    board = StockBoard("cedar", 95.25 * inch, 5.375 * inch)
    saw = SawSettings(kerf=inch / 8)
    asked = [PartDemand(f"{i}", a * inch, b * inch, n) for i, (a, b, n) in enumerate(parts)]
    asked.append(PartDemand("cap", 11.5 * inch, 3.75 * inch, 4, (45.0, 45.0)))
    for longer, boards in ((0, 4), (2, 4), (7, 5)):
        long = [
            PartDemand(p.name, p.length + (longer * inch if p.length > 18 * inch else 0), p.width,
                       p.count, p.end_angles)
            for p in asked
        ]  # fmt: skip
        with counted() as work:
            plan = plan_cuts(long, [board], saw, time_limit=4.0, setup_time=0.0, enough=boards)
        assert complaints_of(plan, long, [board], saw) == []
        assert plan.boards <= boards or plan.lower_bound > boards
        assert work[0] < 4.0
        alone = program(long, board, boards, saw)
        assert alone is not None
        with counted():
            alone.look(math.inf)
        # its first choices of blocks do not pack: without right inequalities it would find none
        assert (alone.cover is not None) == (plan.boards <= boards)


@settings(max_examples=tried(200), deadline=None)
@given(
    st.lists(st.integers(1, 60), max_size=7), st.lists(st.integers(20, 100), min_size=1, max_size=3)
)
def test_pieces_are_packed_where_any_arrangement_packs_them(
    lengths: list[int], rooms: list[int]
) -> None:
    rows = packed_rows(lengths, rooms)
    ways = itertools.product(range(len(rooms)), repeat=len(lengths))
    fits = any(
        all(
            sum(size for size, at in zip(lengths, way, strict=True) if at == k) <= room
            for k, room in enumerate(rooms)
        )
        for way in ways
    )
    assert (rows is not None) == fits
    if rows is not None:
        assert sorted(i for row in rows for i in row) == list(range(len(lengths)))
        for row, room in zip(rows, rooms, strict=True):
            assert sum(lengths[i] for i in row) <= room


@settings(max_examples=tried(100), deadline=None)
@given(st.dictionaries(st.integers(8, 100), st.integers(1, 4), min_size=1, max_size=5))
def test_no_row_weighs_more_than_one(pieces: dict[int, int]) -> None:
    found = packing_weights(Counter(pieces), 100)
    assert found is not None
    lengths = found.lengths.tolist()
    most = [range(100 // size + 1) for size in lengths]
    rows = np.array([row for row in itertools.product(*most) if np.dot(row, lengths) <= 100])
    assert (rows @ found.weights).max() <= 1 + 1e-9
    area = sum(size * number for size, number in pieces.items()) / 100
    assert found.boards >= area - 1e-6, "never worse than the length"
    assert found.boards == pytest.approx(
        sum(w * pieces[size] for size, w in zip(lengths, found.weights, strict=True))
    )


def test_counted_work_asks_no_clock_and_is_the_same_each_time(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def asked() -> float:
        raise AssertionError("the clock was asked")

    monkeypatch.setattr(clocks, "time", SimpleNamespace(monotonic=asked))
    parts = [PartDemand("a", 620.0, 65.0, 9, (30.0, -30.0)), PartDemand("b", 410.0, 92.0, 7)]
    found = []
    for _ in range(2):
        with counted() as work:
            plan = plan_cuts(parts, [PLAIN], SAW, time_limit=2.0, setup_time=0.0, enough=4)
        found.append((plan, work[0]))
    assert found[0] == found[1]
    with counted() as outer:
        with counted() as inner:
            clocks.spend(0.25)
        assert clocks.now() == outer[0] == inner[0] == 0.25
    assert clocks.now() == 0.0, "no time passes where nobody counts"
    with pytest.raises(AssertionError, match="clock"):
        clocks.clock_of(1.0)
