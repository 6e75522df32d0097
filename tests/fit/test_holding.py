"""What holds a box together: least bites by hand, ends, and a graph of screws of the test's own."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from case_lists import mostly_thorough, tried
from palewright.catalogue.lumber import LUMBER_CASES, LumberCase, piles_of
from palewright.construction.boards import Board
from palewright.construction.box_layout import Box, lay_out
from palewright.construction.joints import Screw, held_reach
from palewright.fit.screw_spans import ScrewSpans
from palewright.fit.ties import Ties, closed_gap, least_bite, worst_bite
from palewright.fit.verdict import judge
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright.reading.errors import InputError
from palewright.reading.lengths import INCH

NUMBER_8 = 0.164 * INCH
"""Diameter of a #8 screw: NDS 2018, Appendix L, Table L3."""


def screws_of(box: Box, use: str) -> list[Screw]:
    return [screw for screw in box.screws if screw.use == use]


def test_least_bites_worked_by_hand() -> None:
    """4 D, or half of the thinnest board that holds the thread; 5/8 in boards vary by 1/16."""
    box = lay_out(load_variant("stoop-tub").parameters)
    for screw in screws_of(box, "wall") + screws_of(box, "cleat"):
        assert least_bite(screw, box) == pytest.approx(9 / 32 * INCH)
        assert worst_bite(screw, box) == pytest.approx((1 - 11 / 16) * INCH)
    for screw in screws_of(box, "corner") + screws_of(box, "cap"):
        assert least_bite(screw, box) == pytest.approx(4 * NUMBER_8)
    for screw in screws_of(box, "corner"):
        assert worst_bite(screw, box) == pytest.approx((2 - 11 / 16) * INCH)
    posts = lay_out(load_variant("gate-pair").parameters)
    for screw in screws_of(posts, "post"):
        assert worst_bite(screw, posts) == pytest.approx((2.25 - 2 * 11 / 16) * INCH)


@pytest.mark.parametrize(
    ("setting", "bite", "least"),
    [
        ("screws.wall=#8 x 3/4 in", 1 / 16 * INCH, 9 / 32 * INCH),
        ("screws.corner=#8 x 3/4 in", 1 / 16 * INCH, 4 * NUMBER_8),
        ("screws.corner=#8 x 1-1/4 in", 9 / 16 * INCH, 4 * NUMBER_8),
        ("screws.cap=#8 x 1-1/4 in", 9 / 16 * INCH, 4 * NUMBER_8),
    ],
)
def test_a_screw_that_bites_too_little_is_a_fault(setting: str, bite: float, least: float) -> None:
    found = [f for f in judge(load_variant("stoop-tub", [setting]).parameters).findings
             if f.code == "PW310"]  # fmt: skip
    assert [(f.measured, f.limit) for f in found] == [pytest.approx((bite, least))]
    assert found[0].severity == "fault"


def test_an_end_is_held_within_a_third_or_twice_the_advised_end_distance() -> None:
    """20 D of a #8 are 3.28 in; a third of 12 in is 4 in."""
    assert held_reach(12 * INCH, NUMBER_8) == pytest.approx(4 * INCH)
    assert held_reach(6 * INCH, NUMBER_8) == pytest.approx(3.28 * INCH)


def run_in(board: Board, screw: Screw) -> tuple[float, float]:
    """Where a screw's axis enters and leaves a board, mm from the head, by clipping with its faces.

    Empty (the first not less than the second) where it misses.
    """
    place = board.placement
    start, axis = place.into(screw.head), place.direction_into(screw.axis)
    low, high = 0.0, screw.kind.length
    walls = [((0.0, 0.0, 1.0), board.thickness), ((0.0, 0.0, -1.0), 0.0)]
    for a, b in zip(board.outline, board.outline[1:] + board.outline[:1], strict=True):
        out = (b[1] - a[1], a[0] - b[0], 0.0)
        walls.append((out, out[0] * a[0] + out[1] * a[1]))
    for out, reach in walls:
        speed = sum(o * x for o, x in zip(out, axis, strict=True))
        room = reach - sum(o * x for o, x in zip(out, start, strict=True))
        if abs(speed) < 1e-9:
            if room < -1e-9:
                return 1.0, 0.0
        elif speed > 0:
            high = min(high, room / speed)
        else:
            low = max(low, room / speed)
    return low, high


@pytest.mark.parametrize("case", LUMBER_CASES)
@pytest.mark.parametrize("name", mostly_thorough(sorted(shipped_variants()), "gate-pair"))
def test_a_screw_reaches_its_boards_over_the_gaps_that_clipping_finds(
    name: str, case: LumberCase
) -> None:
    short = ["screws.corner=#8 x 1/2 in", "screws.post=#8 x 3/4 in", "cap.overhang=1-1/2 in"]
    for typed in ([], short):
        box = lay_out(load_variant(name, typed).parameters, case)
        ties = Ties(ScrewSpans(box))
        missed = apart = 0
        for s, screw in enumerate(box.screws):
            runs = [run_in(box.boards[board], screw) for board in screw.stack]
            reached = all(low < high for low, high in runs)
            gap = max(after[0] - before[1] for before, after in itertools.pairwise(runs))
            assert ties.reaches[s] == reached
            assert ties.gaps[s] == pytest.approx(gap if reached else 0.0, abs=1e-6)
            assert ties.holding[s] == (reached and gap <= closed_gap(screw))
            missed += not reached
            apart += reached and gap > 0.1
        if typed:
            assert missed
        if case == "mixed" and name == "gate-pair":
            assert apart


def tied(box: Box, boards: set[str], uses: set[str]) -> Iterator[set[str]]:
    """Yield the pieces that boards make: those that a screw runs through one after the other."""
    links: dict[str, set[str]] = {name: set() for name in boards}
    for screw in box.screws:
        runs = [run_in(box.boards[name], screw) for name in screw.stack]
        gaps = [after[0] - before[1] for before, after in itertools.pairwise(runs)]
        if screw.use not in uses or any(low >= high for low, high in runs):
            continue
        if max(gaps) > closed_gap(screw) + 1e-6:
            continue
        mine = [name for name in screw.stack if name in boards]
        for name in mine:
            links[name] |= set(mine)
    left = set(boards)
    while left:
        piece, fresh = set(), {min(left)}
        while fresh:
            piece |= fresh
            fresh = set().union(*(links[name] for name in fresh)) - piece
        left -= piece
        yield piece


ALL_USES = {"wall", "corner", "post", "cap", "floor", "cleat", "trellis"}
SIDES = st.integers(36, 160).map(lambda quarters: f"{quarters / 4} in")


@settings(deadline=None, max_examples=tried(40))
@given(
    st.sampled_from(sorted(shipped_variants())), SIDES, SIDES,
    st.sampled_from(["filler", "equal"]), st.sampled_from(LUMBER_CASES),
)  # fmt: skip
def test_a_box_that_passes_is_one_piece(
    name: str, width: str, depth: str, layout: str, case: LumberCase
) -> None:
    """Each panel on the bench by its wall screws alone, then the box; in every lumber case."""
    said = [f"box.width={width}", f"box.depth={depth}", f"wall.layout={layout}"]
    try:
        parameters = load_variant(name, said).parameters
        verdict = judge(parameters, (case,))
    except InputError:
        return
    codes = {finding.code for finding in verdict.findings} | verdict.implied
    pieces = [most_pieces(lay_out(parameters, case, pile)) for pile in piles_of(case)]
    assert ("PW203" in codes) == (max(pieces) > 1), pieces


def most_pieces(box: Box) -> int:
    """The most pieces that one panel, or the box, is in."""
    whole = {n for n, b in box.boards.items() if b.role != "slat" and b.panel != "trellis"}
    panels = [
        {n for n in whole if box.boards[n].panel == side and box.boards[n].role != "cleat"}
        for side in ("front", "back", "left", "right")
    ]
    panels = [{n for n in one if box.boards[n].role != "post"} for one in panels]
    pieces = [len(list(tied(box, one, {"wall"}))) for one in panels]
    return max(*pieces, len(list(tied(box, whole, ALL_USES))))


def test_the_bean_towers_sides_hold_together() -> None:
    """At 14 in of depth its side staves fall so that none tied stile and rails."""
    parameters = load_variant("bean-tower", ["box.depth=14 in"]).parameters
    assert not [f for f in judge(parameters).findings if f.code in ("PW203", "PW205")]


def test_staves_that_differ_too_much_under_a_cleat_are_told_without_a_pile_that_shows_it() -> None:
    """Adhesive fills an eighth of an inch: boards that vary by 3/32 either way may leave 3/16."""
    stock = ["stock.rough.thickness=5/8 in", "stock.rough.thickness_spread=3/32 in",
             "stock.rough.width=5-1/2 in", "stock.rough.length=72 in", "stock.rough.price=1",
             "lumber.board=rough"]  # fmt: skip
    found = judge(load_variant("stoop-tub", stock).parameters, ("nominal",)).findings
    told = [f for f in found if f.code == "PW201"]
    assert [f.measured for f in told] == [pytest.approx(3 / 16 * INCH)]
    sixteenth = [text.replace("3/32", "1/16") for text in stock]
    found = judge(load_variant("stoop-tub", sixteenth).parameters, ("nominal",)).findings
    assert not [f for f in found if f.code == "PW201"]
