"""Blocks at a dog-eared end are as short as any order and place of their strips allows."""

from __future__ import annotations

from itertools import pairwise, permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from case_lists import mostly_thorough
from cut_cases import complaints_of
from palewright.cutting_stock import PartDemand, PartDoesNotFit, SawSettings, StockBoard, plan_cuts
from palewright.cutting_stock.pricing.dog_ears import DogEaredEnd
from palewright.cutting_stock.problem.records import Order

SAW = SawSettings(kerf=3.0)
END = DogEaredEnd(width=60, clipped=20, depth=25)

strips = st.lists(st.tuples(st.integers(5, 20), st.integers(0, 60)), min_size=1, max_size=4).filter(
    lambda rows: sum(width for width, _ in rows) <= END.width
)


def needed(order: list[tuple[int, int]], at: int) -> int:
    """The length that strips (width, length) need, one beside the other from `at` on."""
    most = 0
    for width, length in order:
        near = min(at, END.width - at - width)
        loss = -(-END.clipped * max(0, END.depth - near) // END.depth)
        most = max(most, length + loss)
        at += width
    return most


def by_trying(rows: list[tuple[int, int]]) -> int:
    """The least length over every order and every place across the board."""
    there = [row for row in rows if row[1]]
    spare = END.width - sum(width for width, _ in there)
    return min(needed(list(order), at) for order in permutations(there) for at in range(spare + 1))


@settings(max_examples=300, deadline=None)
@given(strips)
def test_no_order_or_place_makes_a_block_shorter(rows: list[tuple[int, int]]) -> None:
    widths = np.array([[width for width, _ in rows]])
    lengths = np.array([[length for _, length in rows]])
    least = int(END.lengths(widths, lengths)[0])
    assert least == by_trying(rows)
    laid = END.offsets(widths, lengths)[0]
    there = sorted((int(at), *row) for at, row in zip(laid, rows, strict=True) if row[1])
    assert all(a[0] + a[1] <= b[0] for a, b in pairwise(there))
    assert all(at >= 0 and at + width <= END.width for at, width, _ in there)
    assert max((needed([(w, n)], at) for at, w, n in there), default=0) == least


@pytest.mark.parametrize("order", mostly_thorough(["best", "crosscut-first", "rip-first"], "best"))
def test_parts_shorter_than_the_dog_ear_leave_it_to_them(order: Order) -> None:
    # a block at the eared end that is shorter than the ear once let its neighbour reach into it
    board = StockBoard("eared", 500.0, 140.0, clipped_end=60.0)
    sizes = [(20.0, 43.0, 8), (200.0, 43.0, 8), (140.0, 30.0, 3), (90.0, 30.0, 2)]
    demand = [PartDemand(f"p{i}", *size) for i, size in enumerate(sizes)]
    saw = SawSettings(kerf=3.0, order=order)
    for seconds in (0.0, 0.3):
        plan = plan_cuts(demand, [board], saw, setup_time=seconds)
        assert complaints_of(plan, demand, [board], saw) == []
        assert plan.proven


def test_a_stave_too_long_for_the_edges_is_cut_from_the_middle() -> None:
    # at an edge the ear takes 60 of 500 mm, in the middle, 20 mm off both, 40 mm
    board = StockBoard("eared", 500.0, 140.0, clipped_end=60.0)
    fits, too_long = PartDemand("stave", 458.0, 100.0, 3), PartDemand("stave", 462.0, 100.0, 3)
    plan = plan_cuts([fits], [board], SAW)
    assert (plan.boards, plan.proven) == (3, True)
    assert complaints_of(plan, [fits], [board], SAW) == []
    assert all(piece.y == pytest.approx(20.0, abs=0.01) for piece in plan.layouts[0].pieces)
    with pytest.raises(PartDoesNotFit):
        plan_cuts([too_long], [board], SAW)


def test_spare_width_is_shared_between_the_ears() -> None:
    # the long strip needs 6 mm from its edge and the short one 2 mm: neither edge will do, so
    # with the spare width at one of them two boards were once called the fewest
    board = StockBoard("eared", 500.0, 140.0, clipped_end=60.0)
    demand = [PartDemand("long", 446.0, 80.0, 1), PartDemand("short", 442.0, 49.0, 1)]
    plan = plan_cuts(demand, [board], SAW)
    assert (plan.boards, plan.proven) == (1, True)
    assert complaints_of(plan, demand, [board], SAW) == []
