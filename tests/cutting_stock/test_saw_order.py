"""Saw settings, offcuts, spares and mixed boards: best answers by trying all, and by hand."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations, groupby, product

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from case_lists import thorough, tried
from cut_brute import partitions
from cut_cases import board_question, complaints_of
from palewright.cutting_stock import (
    CutPlan,
    Layout,
    Offcut,
    PartDemand,
    SawSettings,
    StockBoard,
    plan_as_json,
    plan_cuts,
)
from palewright.cutting_stock.problem.integer_units import integer_problem
from palewright.cutting_stock.problem.patterns import BlockRecipe, StripRecipe
from palewright.cutting_stock.sawing import saw_settings
from palewright.cutting_stock.sawing.post_optimisation import gathered_waste
from palewright.cutting_stock.sawing.saw_settings import FactBook
from palewright.cutting_stock.sawing.surplus_parts import BoardGroup
from palewright.design import design
from palewright.parameters.variant_files import load_variant
from palewright.sawing.saw_lists import (
    block_label,
    board_numbers,
    kits_of,
    piece_numbers,
    ready_pieces,
    saw_steps,
)
from palewright.sawing.stock_demands import StockDemand, demands_of, saw_of, with_spare_parts
from palewright.sawing.stock_plans import plan_demands

LENGTH, WIDTH, KERF = 100.0, 40.0, 2.0
BOARD = StockBoard("board", LENGTH, WIDTH)
SAW = SawSettings(kerf=KERF)
few = settings(max_examples=tried(40), deadline=None, suppress_health_check=[HealthCheck.too_slow])


def rows(lengths: Sequence[int]) -> list[PartDemand]:
    """Parts as wide as the board: nothing is ripped."""
    counted = sorted(Counter(lengths).items())
    return [PartDemand(f"p{size}", float(size), WIDTH, count) for size, count in counted]


def board_use(board: Sequence[int]) -> float:
    return sum(board) + KERF * (len(board) - 1)


def merit_of_rows(boards: Sequence[Sequence[int]], shortest: int) -> tuple[int, int, float]:
    """Boards, settings and the longest offcut (below 0), worked out from the lengths alone."""
    stops, longest = set(), 0.0
    for board in boards:
        flush = board_use(board) == LENGTH
        stops |= set(sorted(board)[1:] if flush else board)
        left = LENGTH - board_use(board) - KERF
        longest = max(longest, left if left >= shortest else 0.0)
    return len(boards), len(stops), -longest


def merit_of(plan: CutPlan) -> tuple[int, int, float]:
    whole = [o.length for lay in plan.layouts for o in lay.offcuts if o.whole_width and o.usable]
    return plan.boards, plan.setups.count, -max(whole, default=0.0)


def widest_offcuts(plan: CutPlan) -> list[float]:
    """Offcuts of the whole width, from the places of the pieces: what lies beyond the last one."""
    found = []
    for layout in plan.layouts:
        last = max(piece.x + piece.length for piece in layout.pieces)
        found += [layout.stock_length - last - plan.kerf] * layout.count
    return found


# --- boards, then settings, then the longest offcut ---


@few
@example([12, 17, 23, 31])  # padded blocks would end the last part at the board's end by chance
@example([49, 49, 26, 26, 12])
@given(st.lists(st.sampled_from([12, 17, 23, 29, 31, 40, 49, 58, 69]), min_size=2, max_size=6))
def test_among_fewest_boards_settings_then_the_longest_offcut(lengths: list[int]) -> None:
    plan = plan_cuts(rows(lengths), [BOARD], SAW)
    best = min(
        merit_of_rows(boards, min(lengths))
        for boards in partitions(tuple(lengths))
        if all(board_use(board) <= LENGTH for board in boards)
    )
    assert merit_of(plan) == (best[0], best[1], pytest.approx(best[2], abs=1e-3))
    assert complaints_of(plan, rows(lengths), [BOARD], SAW) == []


def test_waste_is_gathered_on_one_board_by_hand() -> None:
    # 150 of parts and two boards of 100: 49 + 49 on one (100 with the kerf), 26 + 26 on the
    # other, which leaves 100 - 54 - 2; two and two alike would leave twice 21
    plan = plan_cuts(rows([49, 49, 26, 26]), [BOARD], SAW)
    assert plan.boards == 2
    assert max(widest_offcuts(plan)) == pytest.approx(100 - 26 * 2 - 2 * KERF, abs=1e-3)


def test_two_parts_side_by_side_need_one_fence_and_one_stop() -> None:
    # four rails of 30 x 19 fill 62 of one board, two abreast: one block stop, one fence (the
    # second strip is as wide as what is left), one part stop; the board is true already
    demand = [PartDemand("rail", 30.0, 19.0, 4)]
    plan = plan_cuts(demand, [BOARD], SAW)
    assert plan.boards == 1
    keys = [(s.stage, s.kind, s.setting, s.angle) for s in plan.setups.settings]
    assert keys == [(1, "crosscut", 62, 0), (2, "rip", 19, 0), (3, "crosscut", 30, 0)]
    assert widest_offcuts(plan) == pytest.approx([36], abs=1e-3)


@pytest.mark.thorough
def test_what_is_known_of_recipes_from_other_batches_changes_no_plan() -> None:
    # the same parts in other numbers share what is known; another saw or board must not
    def planned(pieces: int, saw: SawSettings, board: StockBoard) -> CutPlan:
        demand = [PartDemand("rail", 30.0, 9.0, pieces), PartDemand("slat", 23.0, 9.0, pieces + 1)]
        plan = plan_cuts(demand, [board], saw)
        assert complaints_of(plan, demand, [board], saw) == []
        return plan

    wide = StockBoard("board", 100.0, 25.0)
    asked = list(product((2, 7), (SAW, replace(SAW, order="rip-first")), (BOARD, wide)))
    after = [planned(*one) for one in asked]
    alone = []
    for one in asked:
        saw_settings._known_facts.cache_clear()
        alone.append(planned(*one))
    assert after == alone
    assert len({repr(one.setups) for one in after}) > len(asked) // 2


def test_blocks_change_places_without_a_search() -> None:
    # three and two leave 50 at most; four (98 with their kerfs) and one leave 75
    book = FactBook(integer_problem(rows([23, 23, 23, 23, 23]), [BOARD], SAW))
    part = BlockRecipe((StripRecipe(book.problem.stock[0].width, ((0, 1),)),))
    spread = [BoardGroup(0, (part,) * 3, 1), BoardGroup(0, (part,) * 2, 1)]
    gathered = gathered_waste(book, spread)
    assert sorted(len(group.recipe) for group in gathered) == [1, 4]
    assert book.merit(spread).longest == pytest.approx(-(100 - 2 * 23 - 2 * KERF))
    assert book.merit(gathered).longest == pytest.approx(-(100 - 23 - KERF))
    assert book.merit(gathered).settings == book.merit(spread).settings == 1  # stop 23


@pytest.mark.parametrize(
    ("name", "boxes"),
    [thorough(case) for case in (("crate", 1), ("planter", 1), ("caddy", 10))],
)
def test_time_for_settings_never_costs_boards_nor_settings(name: str, boxes: int) -> None:
    demand, stock, saw = board_question(name, boxes)
    plain = plan_cuts(demand, stock, saw, setup_time=0.0)
    thrifty = plan_cuts(demand, stock, saw, setup_time=0.6)
    assert merit_of(thrifty) <= merit_of(plain)
    assert complaints_of(thrifty, demand, stock, saw) == []
    first, *more = thrifty.setups.trade
    assert (first.boards, first.setups) == (thrifty.boards, thrifty.setups.count)
    for less, dearer in zip([first, *more], more, strict=False):
        assert dearer.boards > less.boards
        assert dearer.setups < less.setups
    cuts = {(c.stage, c.kind, round(c.setting, 3), round(abs(c.angle), 2))
            for lay in thrifty.layouts for c in lay.cuts}  # fmt: skip
    assert len(cuts) == thrifty.setups.count  # the boards are true already


def test_without_time_for_settings_the_same_demand_has_the_same_plan() -> None:
    box = design(load_variant("stoop-tub").parameters, "stoop-tub")
    (demand, *_), saw = demands_of([(box, 2)]), saw_of(box.parameters)
    plans = [plan_cuts(demand.parts, [demand.board], saw, setup_time=0.0) for _ in range(2)]
    assert plan_as_json(plans[0]) == plan_as_json(plans[1])


# --- the order of cuts ---

abreast = st.lists(
    st.tuples(st.integers(9, 60), st.sampled_from([8, 12, 19, 40]), st.integers(1, 4)),
    min_size=1,
    max_size=5,
)


@few
@given(abreast, st.sampled_from(["rip-first", "crosscut-first", "best"]))
def test_every_order_is_sawable_as_it_says(sizes: list[tuple[int, int, int]], order: str) -> None:
    saw = SawSettings(kerf=KERF, order=order)  # type: ignore[arg-type]
    demand = [PartDemand(f"p{i}", float(a), float(b), n) for i, (a, b, n) in enumerate(sizes)]
    plan = plan_cuts(demand, [BOARD], saw, setup_time=0.2)
    assert complaints_of(plan, demand, [BOARD], saw) == []
    for layout in plan.layouts:
        stages = [cut.stage for cut in layout.cuts]
        assert stages == sorted(stages)
        if order == "rip-first":
            assert 1 not in stages
            assert {piece.block for piece in layout.pieces} == {0}


def test_a_plan_by_blocks_is_no_plan_by_whole_rips() -> None:
    # a stave as wide as the board and two rails abreast share a board only block by block
    demand = [PartDemand("stave", 50.0, 40.0, 1), PartDemand("rail", 40.0, 19.0, 2)]
    blocks = plan_cuts(demand, [BOARD], SAW)
    rips = plan_cuts(demand, [BOARD], SawSettings(kerf=KERF, order="rip-first"))
    assert (blocks.boards, rips.boards) == (1, 2)
    first = SawSettings(kerf=KERF, order="rip-first")
    assert any("separable" in text for text in complaints_of(blocks, demand, [BOARD], first))
    assert complaints_of(rips, demand, [BOARD], first) == []


# --- boards of several lengths and prices ---


def cheapest(lengths: Sequence[int], kinds: Sequence[StockBoard]) -> float:
    """The least price for whole-width parts, by trying every split and every kind for it."""
    best = math.inf
    for boards in partitions(tuple(lengths)):
        for chosen in product(kinds, repeat=len(boards)):
            used = Counter(kind.name for kind in chosen)
            if any(k.available is not None and used[k.name] > k.available for k in kinds):
                continue
            if all(board_use(b) <= k.length for b, k in zip(boards, chosen, strict=True)):
                best = min(best, sum(kind.price for kind in chosen))
    return best


@few
@given(
    st.lists(st.sampled_from([23, 31, 40, 49, 58, 69, 90]), min_size=1, max_size=5),
    st.integers(150, 900),
    st.integers(150, 900),
    st.integers(1, 2),
)
def test_the_cheapest_mix_of_boards_is_found_and_proven(
    lengths: list[int], short_cents: int, long_cents: int, short_count: int
) -> None:
    kinds = [
        StockBoard("short", 60.0, WIDTH, price=short_cents / 100, available=short_count),
        StockBoard("long", 130.0, WIDTH, price=long_cents / 100),
    ]
    plan = plan_cuts(rows(lengths), kinds, SAW, setup_time=0.2)
    assert complaints_of(plan, rows(lengths), kinds, SAW) == []
    assert plan.cost == pytest.approx(cheapest(lengths, kinds), abs=1e-6)
    assert plan.proven
    assert plan.cost_bound == pytest.approx(plan.cost)
    shown = {kind["name"]: kind["used"] for kind in plan_as_json(plan)["boards_used"]}
    paid = sum(shown[kind.name] * kind.price for kind in kinds)
    assert paid == pytest.approx(plan.cost)


def test_the_stock_of_a_plan_names_boards_and_offcuts_once() -> None:
    pieces: list[StockBoard | Offcut] = [BOARD, Offcut("rest", 50.0, 40.0, 3)]
    plan = plan_cuts(rows([49] * 5), pieces, SAW)
    assert [kind.name for kind in plan.stock] == ["board", "rest"]
    used = {kind["name"]: (kind["used"], kind["on_hand"]) for kind in
            plan_as_json(plan)["boards_used"]}  # fmt: skip
    assert used == {"board": (1, False), "rest": (3, True)}


# --- spares ---


@given(st.lists(st.integers(0, 30), min_size=1, max_size=4), st.integers(1, 50))
def test_spare_parts_are_a_share_of_each_part_and_at_least_one(
    counts: list[int], percent: int
) -> None:
    parts = tuple(
        PartDemand(f"p{i % 2}", 30.0 + i % 2, 19.0, n, kit=f"panel {i}")
        for i, n in enumerate(counts)
    )
    more = with_spare_parts(StockDemand("board", None, BOARD, parts), percent)
    assert more.parts[: len(parts)] == parts
    spares = more.parts[len(parts) :]
    for name in {part.name for part in parts}:
        asked = sum(part.count for part in parts if part.name == name)
        extra = [part.count for part in spares if part.name == name]
        assert sum(extra) == math.ceil(asked * percent / 100 - 1e-9)
        assert len(extra) == (1 if asked else 0)
    assert {part.kit for part in spares} <= {"spare"}


def test_no_spares_asked_none_cut() -> None:
    demand = StockDemand("board", None, BOARD, tuple(rows([30, 30])))
    assert with_spare_parts(demand, 0) is demand


# --- the saw list ---


@pytest.fixture(scope="module")
def tub_plan() -> CutPlan:
    box = design(load_variant("stoop-tub").parameters, "stoop-tub")
    return plan_demands(demands_of([(box, 3)]), saw_of(box.parameters), setup_seconds=0.2)[0].plan


def test_every_piece_comes_from_a_line_or_is_ready(tub_plan: CutPlan) -> None:
    made: Counter[str] = Counter()
    for layout in tub_plan.layouts:
        for piece in layout.pieces:
            made[piece.part] += layout.count
    ready = {one.part: one.count for one in ready_pieces(tub_plan)}
    cut: Counter[str] = Counter()
    for step in saw_steps(tub_plan):
        for line in step.lines:
            for one in (*line.made, *line.left):
                cut[one.part] += one.count
    assert all(cut[part] + ready.get(part, 0) == made[part] for part in made)
    gathered = Counter[str]()
    for kit in kits_of(tub_plan).values():
        for one in kit:
            gathered[one.part] += one.count
    assert gathered == made


def test_pieces_are_numbered_one_by_one(tub_plan: CutPlan) -> None:
    seen: dict[str, list[int]] = {}
    for layout, inside in zip(tub_plan.layouts, piece_numbers(tub_plan), strict=True):
        for piece, (first, last) in zip(layout.pieces, inside, strict=True):
            assert last - first + 1 == layout.count
            seen.setdefault(piece.part, []).extend(range(first, last + 1))
    assert all(sorted(numbers) == list(range(1, len(numbers) + 1)) for numbers in seen.values())


def test_waste_is_ripped_off_before_the_strip_beside_it() -> None:
    """The lines that name a block are in its layout's order: each is followed once, downwards."""
    name = "picket-tub-four"
    plan = design(load_variant(name).parameters, name).saw_plans[0].plan
    numbers = board_numbers(plan.layouts)
    lines = [line for step in saw_steps(plan) if step.stage == 2 for line in step.lines]
    waste = 0
    for layout, board in zip(plan.layouts, numbers, strict=True):
        for block in {piece.block for piece in layout.pieces}:
            label = block_label(layout, board, block)
            wanted = [
                round(cut.setting, 3)
                for cut in layout.cuts
                if cut.kind == "rip" and cut.block == block
            ]
            mine = [line for line in lines if label in line.places]
            assert [round(line.size, 3) for line in mine] == [size for size, _ in groupby(wanted)]
            waste += wanted != sorted(wanted, reverse=True)
    assert waste, "boards with clipped ends have strips that lie off the edge"


def test_short_blocks_and_pieces_are_flagged(tub_plan: CutPlan) -> None:
    for step in saw_steps(tub_plan):
        for line in step.lines:
            assert set(line.short) <= set(line.places)
            if step.stage in (1, 3):
                assert bool(line.short) == (0 < line.size < 152.4)  # 0: cut without a stop


def test_parts_of_one_width_share_a_strip_by_hand() -> None:
    # four parts of 20 with kerf take 84 of 100: one rip and one wide offcut, not four strips
    demand = [PartDemand("brace", 20.0, 8.0, 4)]
    plan = plan_cuts(demand, [BOARD], replace(SAW, order="rip-first"))
    layout = plan.layouts[0]
    assert {piece.strip for piece in layout.pieces} == {0}
    assert [cut.setting for cut in layout.cuts if cut.kind == "rip"] == [8]
    assert max(o.width for o in layout.offcuts if o.usable) == pytest.approx(40 - 8 - KERF)


@settings(max_examples=tried(40), deadline=None, suppress_health_check=list(HealthCheck))
@given(
    st.lists(
        st.tuples(st.integers(8, 60), st.sampled_from([8, 12, 19]), st.integers(1, 6)),
        min_size=1,
        max_size=4,
    )
)
def test_no_strip_could_take_the_parts_of_one_as_wide_beside_it(
    wanted: list[tuple[int, int, int]],
) -> None:
    demand = [PartDemand(f"p{i}", *sizes) for i, sizes in enumerate(wanted)]
    plan = plan_cuts(demand, [BOARD], replace(SAW, order="rip-first"), time_limit=2.0)
    for layout in plan.layouts:
        rows: dict[int, list[float]] = {}
        for piece in layout.pieces:
            rows.setdefault(piece.strip, [piece.width, -KERF])[1] += piece.length + KERF
        for (one, first), (other, second) in combinations(rows.values(), 2):
            too_long = first + second + KERF > LENGTH
            assert one != other or too_long or last_is_flush(layout, one)


def last_is_flush(layout: Layout, width: float) -> bool:
    """Whether the last strip, of another width, is what the rips leave of the board: with fewer
    of them it would have to be ripped, at a setting of its own."""
    last = max(layout.pieces, key=lambda piece: piece.y)
    return last.y + last.width > WIDTH - 1e-6 and width != last.width
