"""What settles a size without a plan: the quick bound, part lists of one shape, sure parts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from case_lists import tried
from palewright.construction.box_layout import bare_box, lay_out
from palewright.construction.face_patterns import FACE_PATTERNS
from palewright.cutting_stock import (
    PartDemand,
    PartDoesNotFit,
    SawSettings,
    StockBoard,
    plan_cuts,
    quick_bound,
    strip_bound,
)
from palewright.design import design
from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright.reading.errors import InputError
from palewright.sawing.stock_demands import demands_of, demands_of_one, saw_of
from palewright.size_search.dominance import shape_of, sure_parts
from palewright.size_search.height_search import LeastNeed
from palewright.size_search.looks import DRAWN
from palewright.size_search.size_grid import sized
from palewright.size_search.size_trials import TriedSize

SAW = SawSettings(kerf=3.0, end_trim=6.0, safe_rip_width=0.0)
BOARD = StockBoard("board", 1800.0, 140.0)
LONG_BOARD = StockBoard("board", 2400.0, 190.0)
VARIANTS = sorted(shipped_variants())


def part(length: float, width: float, count: int, slant: float = 0.0, name: str = "") -> PartDemand:
    return PartDemand(name or f"{length}x{width}", length, width, count, (slant, -slant))


lists = st.lists(
    st.builds(
        part,
        st.integers(200, 1700).map(float),
        st.sampled_from([30.0, 45.0, 68.5, 70.0, 95.0, 138.0, 140.0]),
        st.integers(1, 4),
        st.sampled_from([0.0, 0.0, 30.0, 45.0]),
    ),
    min_size=1,
    max_size=5,
)


# --- the quick bound ---


@settings(max_examples=tried(60), deadline=None)
@given(lists)
def test_no_plan_takes_fewer_boards_than_the_quick_bound(parts: list[PartDemand]) -> None:
    plan = plan_cuts(parts, [BOARD], SAW, time_limit=3.0, setup_time=0.0)
    bound = quick_bound(parts, BOARD, SAW)
    assert bound <= plan.boards + 1e-9
    usable = (BOARD.length - 2 * SAW.end_trim + SAW.kerf) * (BOARD.width + SAW.kerf)
    edges = sum(sum(p.edge_lengths()) / 2 * p.width * p.count for p in parts)
    assert bound >= edges / usable * (1 - 1e-3), "never worse than the area"
    assert bound - 1e-6 <= strip_bound(parts, BOARD, SAW) <= plan.boards + 1e-9


@pytest.mark.parametrize(
    ("parts", "boards"),
    [
        # more than half a board wide, so never two side by side; 1788 mm holds two of 800 in a row
        ([part(800, 75, 4)], 2),
        # three pieces of 500 mm to a board, however little that is of its area
        ([part(500, 140, 9)], 3),
        # a strip of 40 mm has no room beside 110 mm: three lie side by side, but beside no other
        ([part(1788, 110, 2), part(1788, 40, 2)], 3),
        ([part(1788, 140, 5)], 5),
    ],
)
def test_the_quick_bound_sees_waste_that_area_does_not(
    parts: list[PartDemand], boards: int
) -> None:
    usable = (BOARD.length - 2 * SAW.end_trim) * BOARD.width
    area = sum(p.length * p.width * p.count for p in parts) / usable
    bound = quick_bound(parts, BOARD, SAW)
    assert boards - 1 < bound <= boards + 1e-9
    assert area <= bound
    assert bound - 1e-6 <= strip_bound(parts, BOARD, SAW) <= boards
    plan = plan_cuts(parts, [BOARD], SAW, time_limit=3.0, setup_time=0.0)
    assert plan.boards == boards


def test_strips_that_leave_waste_beside_each_other_are_counted() -> None:
    # by hand, of boards 100 mm wide and no kerf: 64 mm goes beside neither other width, of 48 and
    # 37 mm two go side by side, never three: 2 boards and half of 4
    thin, saw = replace(BOARD, width=100.0), replace(SAW, kerf=0.0)
    parts = [part(1788, 64, 2), part(1788, 48, 1), part(1788, 37, 3)]
    assert strip_bound(parts, thin, saw) == pytest.approx(4)
    assert quick_bound(parts, thin, saw) < 3.6
    assert strip_bound([], BOARD, SAW) == 0.0


def test_a_part_that_fits_no_board_has_no_bound() -> None:
    with pytest.raises(PartDoesNotFit):
        quick_bound([part(1790, 40, 1)], BOARD, SAW)


# --- part lists of one shape ---


@st.composite
def pairs(draw: st.DrawFn) -> tuple[list[PartDemand], list[PartDemand]]:
    """A part list and one of the same shape with larger parts, or more of them."""
    small, large = [], []
    widths = sorted(draw(st.sets(st.integers(30, 90), min_size=1, max_size=3)))
    wider = draw(st.integers(0, 40))
    slants = {30.0: draw(st.sampled_from([30.0, 34.0, 38.0])), 0.0: 0.0}
    for i in range(draw(st.integers(1, 4))):
        width, slant = float(draw(st.sampled_from(widths))), draw(st.sampled_from([0.0, 30.0]))
        length, count = float(draw(st.integers(250, 1300))), draw(st.integers(1, 3))
        longer = length + draw(st.integers(0, 300))
        more = count + draw(st.integers(0, 1))
        small.append(part(length, width, count, slant, f"{i}"))
        large.append(part(longer, width + wider, more, slants[slant], f"{i}"))
    kits = [replace(one, kit=f"{i}") for i, one in enumerate(small)]
    return kits, [replace(one, kit=f"{i}") for i, one in enumerate(large)]


@settings(max_examples=tried(80), deadline=None)
@given(pairs())
def test_the_larger_of_two_lists_of_one_shape_never_takes_fewer_boards(
    lists: tuple[list[PartDemand], list[PartDemand]],
) -> None:
    small, large = lists
    shapes = shape_of(small, SAW), shape_of(large, SAW)
    if not shapes[0].within(shapes[1]):  # slants that save more, on parts hardly longer
        assert any(any(one.end_angles) for one in small)
        return
    try:
        more = plan_cuts(large, [BOARD], SAW, time_limit=3.0, setup_time=0.0)
    except InputError:
        return
    fewer = plan_cuts(small, [BOARD], SAW, time_limit=3.0, setup_time=0.0)
    assert fewer.lower_bound <= more.boards
    if fewer.proven:
        assert fewer.boards <= more.boards
    assert quick_bound(small, BOARD, SAW) <= more.boards + 1e-9


KITS = [replace(part(600, 70, 2), kit="a"), replace(part(300, 50, 4, 30.0), kit="b")]


@pytest.mark.parametrize(
    "other",
    [
        [replace(KITS[0], width=69.0), KITS[1]],  # narrower
        [replace(KITS[0], length=599.0), KITS[1]],  # shorter
        [replace(KITS[0], count=1), KITS[1]],  # fewer
        [KITS[0], replace(KITS[1], width=70.0)],  # two widths became one
        [KITS[0], replace(KITS[1], end_angles=(0.0, 0.0))],  # square, so that it shares no cut
        [KITS[0], replace(KITS[1], end_angles=(45.0, -45.0))],  # steeper and no longer
        [KITS[0]],
        [KITS[0], replace(KITS[1], kit="c")],
    ],
    ids=["narrower", "shorter", "fewer", "one width", "square", "steeper", "less", "other kit"],
)
def test_a_list_that_is_smaller_one_way_or_of_another_shape_proves_nothing(
    other: list[PartDemand],
) -> None:
    shape = shape_of(KITS, SAW)
    assert shape.within(shape)
    assert not shape.within(shape_of(other, SAW))


def test_a_filler_that_becomes_a_full_board_takes_fewer_boards_in_a_wider_wall() -> None:
    # why no size is ruled out because a narrower one was: 5.5 in boards, ripped no narrower
    # than 1.5 in; a wall of 12 in needs two fillers of 3.25 in, one of 12.5 in only one of 1.5 in
    table = load_variant("stoop-tub", ["panel.lip=2 in"]).parameters
    narrow, wide = (
        demands_of_one(sized(table, (inches * 25.4, 419.1, 419.1)))[0].parts
        for inches in (16, 16.5)
    )
    saw = saw_of(table)
    assert not shape_of(narrow, saw).within(shape_of(wide, saw))
    fillers = [
        [p.width for p in parts if p.role == "filler" and p.kit == "front"]
        for parts in (narrow, wide)
    ]
    assert fillers[0] != fillers[1]


# --- boards without their screws, and those that every height has ---


def tall(table: Parameters, higher: float) -> Parameters:
    box = table.box
    return sized(table, (box.width, box.depth, box.height + higher))


@pytest.mark.parametrize("name", VARIANTS)
def test_boards_are_cut_alike_whether_their_screws_are_placed_or_not(name: str) -> None:
    table = load_variant(name).parameters
    light, whole = bare_box(table).boards, lay_out(table).boards
    assert list(light) == list(whole)
    for board, same in zip(light.values(), whole.values(), strict=True):
        assert board.with_holes(same.holes) == same
    assert demands_of_one(table) == demands_of([(design(table), 1)])


FRAME = ("stave", "filler", "slat", "cleat", "rail", "stile")
"""Roles of boards that a higher box has at the very length that is told of it."""


def counted(parts: Sequence[PartDemand]) -> Counter[tuple[str, str, int, int]]:
    """How many of each role, kit, length and width; lengths in hundredths, ties rounded alike."""
    found: Counter[tuple[str, str, int, int]] = Counter()
    walls = min(one.length for one in parts if one.role in ("stave", "filler"))
    for one in parts:
        middle = one.role == "stile" and one.length < walls - 1e-6  # a pattern's, not the frame's
        if one.role in FRAME and not middle:
            sides = (round(100 * side + 1e-4) for side in (one.length, one.width))
            found[(one.role, one.kit, *sides)] += one.count  # type: ignore[index]
    return found


def room_taken(parts: Sequence[PartDemand]) -> dict[int, list[float]]:
    """What parts of each width (hundredths of a mm) take along a board, mm, the longest first.

    A slanted part its edges' mean: what two of them share at a cut saves no more than the slant.
    """
    found: dict[int, list[float]] = {}
    for one in parts:
        lengths = found.setdefault(round(100 * one.width + 1e-4), [])
        lengths += one.count * [sum(one.edge_lengths()) / 2]
    return {width: sorted(lengths, reverse=True) for width, lengths in found.items()}


def needs_no_more(low: Sequence[PartDemand], high: Sequence[PartDemand]) -> bool:
    """Whether parts can be put where others are, each on one as wide, and as long or longer."""
    taken, room = room_taken(low), room_taken(high)
    return all(
        len(lengths) <= len(room.get(width, []))
        and all(a <= b + 1e-6 for a, b in zip(lengths, room[width], strict=False))
        for width, lengths in taken.items()
    )


@pytest.mark.parametrize("name", VARIANTS)
def test_a_higher_box_has_room_for_the_sure_parts(name: str) -> None:
    table = load_variant(name).parameters
    lists = [demands_of_one(tall(table, 25.4 * inches))[0].parts for inches in range(8)]
    for i, low in enumerate(lists):
        for k, high in enumerate(lists[i:]):
            sure, has = sure_parts(low, 25.4 * k), counted(high)
            for key, count in counted(sure).items():
                assert has[key] >= count, (name, i, k, key)
            assert needs_no_more(sure, high), (name, i, k)
    assert not needs_no_more(sure_parts(lists[0], 25.4 * 1.01), lists[1]), "the wrong case"
    sure, high = sure_parts(lists[0], 25.4 * 7), lists[7]
    area = [sum(p.length * p.width * p.count for p in parts) for parts in (sure, high)]
    assert 0.8 * area[1] < area[0] < area[1] + 1e-6


@settings(max_examples=tried(60), deadline=None)
@given(
    st.sampled_from(sorted(FACE_PATTERNS)),
    st.integers(240, 900),
    st.integers(240, 700),
    st.integers(1, 400),
    st.integers(30, 70),
    st.integers(25, 60),
)
def test_no_pattern_has_less_in_a_higher_box(
    pattern: str, width: int, height: int, higher: int, brace: int, bar: int
) -> None:
    """A brace turns, bars are added, a middle stile becomes a rail: none needs less for it."""
    typed = [
        f"face.front={pattern}", f"face.brace_width={brace} mm", f"face.bar_width={bar} mm",
        f"box.width={width} mm", f"box.depth={width} mm", "panel.stile_width=60 mm",
        "panel.rail_width=50 mm", "wall.safe_rip=13 mm",
    ]  # fmt: skip
    table = load_variant("porch-cube", [*typed, "face.sides=same"]).parameters
    try:
        low, high = (
            demands_of_one(sized(table, (float(width), float(width), float(tall))))[0]
            for tall in (height, height + higher)
        )
    except InputError:  # no such brace, or bar, in an opening like that
        assume(False)
    assert needs_no_more(sure_parts(low.parts, float(higher)), high.parts)
    try:
        bound = quick_bound(sure_parts(low.parts, float(higher)), LONG_BOARD, SAW)
    except InputError:  # no board holds a part: then none holds the higher box's
        with pytest.raises(InputError):
            quick_bound(high.parts, LONG_BOARD, SAW)
    else:
        assert bound <= quick_bound(high.parts, LONG_BOARD, SAW) + 1e-6


@pytest.mark.parametrize("name", VARIANTS)
def test_heights_are_ruled_out_by_the_parts_of_every_panel(name: str) -> None:
    """As by the sure parts of the lowest, line by line."""
    table = load_variant(name).parameters
    box = table.box
    heights = [box.height + 25.4 * inches for inches in range(12)]
    spots = [TriedSize(table, (box.width, box.depth, height), DRAWN) for height in heights]
    first, saw = spots[0].demands[0], saw_of(table)
    bounds = []
    for height in heights:
        try:
            bounds.append(
                quick_bound(sure_parts(first.parts, height - box.height), first.board, saw)
            )
        except InputError:  # too long for any board, and so are those of higher ones
            break
    least = LeastNeed(heights, lambda index: spots[index])
    for boards in range(1, 20):
        assert least.within(boards) == sum(bound <= boards + 1e-6 for bound in bounds)


@pytest.mark.parametrize("name", VARIANTS)
def test_the_quick_bound_of_a_shipped_box_grows_with_its_height(name: str) -> None:
    table = load_variant(name).parameters
    bounds = []
    for inches in range(0, 10, 3):
        first = demands_of_one(tall(table, 25.4 * inches))[0]
        bounds.append(quick_bound(first.parts, first.board, saw_of(table)))
        sure = sure_parts(first.parts, 0.0)
        assert quick_bound(sure, first.board, saw_of(table)) <= bounds[-1] + 1e-9
    assert all(low < high for low, high in pairwise(bounds))
