"""How walls are divided into staves and floors into slats."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from palewright.catalogue.lumber import LUMBER_CASES, LumberCase
from palewright.construction.box_layout import Box, lay_out
from palewright.construction.floors import slat_places
from palewright.construction.panels import Stave, divide_wall
from palewright.parameters.variant_files import parameters_from
from palewright.reading.errors import InputError
from palewright.reading.lengths import INCH

SPANS = st.floats(40, 2400)
BOARDS = st.floats(38.1, 300)
GAPS = st.floats(0, 12.7)
RIPS = st.floats(12.7, 38.1)
LAYOUTS = st.sampled_from(["filler", "equal"])
PLAY = 0.5
"""A remainder below this (mm) for each board is left as play: no saw rips it."""


def best_least(span: float, board: float, gap: float) -> float:
    """The widest that the narrowest strip can be, by trying every number of staves."""
    fewest = math.ceil((span + gap) / (board + gap) - 1e-9)
    return max((span - gap * (n - 1)) / n for n in range(max(fewest, 1), fewest + 3))


@given(SPANS, BOARDS, GAPS, RIPS, LAYOUTS)
def test_staves_fill_a_wall_exactly_and_keep_their_gaps(
    span: float, board: float, gap: float, rip: float, layout: str
) -> None:
    staves = divide_wall(span, board, gap, rip, layout)  # type: ignore[arg-type]
    assert staves[0].start == 0.0
    last = staves[-1]
    if len(staves) > 1 or layout == "equal":
        assert last.start + last.width == pytest.approx(span, abs=1e-6)
    assert last.start + last.width <= span + 1e-6
    for first, second in itertools.pairwise(staves):
        between = second.start - first.start - first.width
        assert gap - 1e-6 <= between <= gap + 2 * PLAY + 1e-6
    for stave in staves:
        assert 0 < stave.width <= board + 1e-6
        assert stave.filler == (stave.width < board - 1e-6)


@given(SPANS, BOARDS, GAPS, RIPS, LAYOUTS)
def test_no_strip_is_ripped_narrower_than_is_safe_where_that_is_possible(
    span: float, board: float, gap: float, rip: float, layout: str
) -> None:
    staves = divide_wall(span, board, gap, rip, layout)  # type: ignore[arg-type]
    least = min(stave.width for stave in staves)
    possible = min(best_least(span, board, gap), board)
    assert least >= min(rip, possible) - 1e-6


@given(SPANS, BOARDS, GAPS, RIPS)
def test_the_filler_wall_uses_as_many_full_boards_as_it_can(
    span: float, board: float, gap: float, rip: float
) -> None:
    staves = divide_wall(span, board, gap, rip, "filler")
    if len(staves) > 2 and all(stave.filler for stave in staves):
        assert board < 2 * rip  # so narrow that two fillers would be unsafe: all are equal
        return
    full = sum(not stave.filler for stave in staves)
    most = math.floor((span + gap) / (board + gap) + 1e-9)
    assert most - 1 <= full <= most
    assert len(staves) <= most + 1
    fillers = [stave for stave in staves if stave.filler]
    assert len(fillers) <= 2
    if len(fillers) == 2:
        assert fillers[0].width == pytest.approx(fillers[1].width)
        assert span + gap - most * (board + gap) - gap < rip
    # the fillers are in the middle, to one board
    kinds = [stave.filler for stave in staves]
    if fillers:
        left, right = kinds.index(True), list(reversed(kinds)).index(True)
        assert abs(left - right) <= 1


@given(SPANS, BOARDS, GAPS, RIPS)
def test_the_equal_wall_is_equal_and_of_the_fewest(
    span: float, board: float, gap: float, rip: float
) -> None:
    staves = divide_wall(span, board, gap, rip, "equal")
    assert {round(stave.width, 6) for stave in staves} == {round(staves[0].width, 6)}
    fewer = len(staves) - 1
    if fewer:
        assert (span - gap * (fewer - 1)) / fewer > board - 1e-6


def ties(
    staves: list[tuple[float, float]], span: float, lap: float, stile: float, rail: float
) -> bool:
    """Whether at both ends one strip has room for a screw on the stile and on the rail."""
    mirrored = [(span - start - width, width) for start, width in staves]
    return all(
        any(start + stile <= lap and start + width >= lap + rail for start, width in side)
        for side in (staves, mirrored)
    )


@given(SPANS, BOARDS, GAPS, RIPS, LAYOUTS, st.floats(5, 200), st.floats(8, 15), st.floats(0, 8))
def test_a_wall_ties_stiles_and_rails_wherever_equal_strips_would(
    span: float, board: float, gap: float, rip: float, layout: str,
    lap: float, stile: float, more: float,
) -> None:  # fmt: skip
    """No seam falls where no stave could hold both, if some division avoids it."""
    rail = stile + more
    staves = divide_wall(span, board, gap, rip, layout, lap, [(stile, rail)])  # type: ignore[arg-type]
    plain = divide_wall(span, board, gap, rip, layout)  # type: ignore[arg-type]
    last = staves[-1]
    assert last.start + last.width <= span + 1e-6
    assert min(s.width for s in staves) >= min(rip, min(s.width for s in plain)) - 1e-6
    assert max(s.width for s in staves) <= board + 1e-6
    for first, second in itertools.pairwise(staves):
        assert second.start - first.start - first.width >= gap - 1e-6
    laid = [(s.start, s.width) for s in staves]
    if lap < stile or ties(laid, span, lap, stile - 1e-6, rail - 1e-6):
        return
    for count in range(len(plain), len(plain) + 4):
        width = (span - gap * (count - 1)) / count
        equal = [(i * (width + gap), width) for i in range(count)]
        assert not rip <= width <= board or not ties(equal, span, lap, stile + 1e-6, rail + 1e-6)


def test_a_seam_beside_a_stile_moves_away() -> None:
    """7-3/4 in from boards of 5-3/8: the filler would end an eighth beside a stile of 2-1/2."""
    plain = [(s.start, s.width) for s in divide_wall(200, 136.5, 0, 38, "filler")]
    assert plain == [(0, 136.5), (136.5, 63.5)]
    assert not ties(plain, 200, 62, 12.5, 19)
    moved = divide_wall(200, 136.5, 0, 38, "filler", 62, [(12.5, 19)])
    assert [(s.start, s.width) for s in moved] == [(0, 100), (100, 100)]


def wall(*args: float) -> list[tuple[float, float]]:
    """Starts and widths in inches of a filler wall given in inches."""
    staves: list[Stave] = divide_wall(*(a * INCH for a in args), layout="filler")  # type: ignore[misc]
    return [(round(s.start / INCH, 4), round(s.width / INCH, 4)) for s in staves]


def test_walls_worked_by_hand() -> None:
    # 13-5/8 in from boards of 5-3/8: two full ones and 2-7/8 in the middle
    assert wall(13.625, 5.375, 0, 1.5) == [(0, 5.375), (5.375, 2.875), (8.25, 5.375)]
    # 11-3/4: a filler of 1 in would be unsafe: two of 3-3/16 instead, one full board
    assert wall(11.75, 5.375, 0, 1.5) == [(0, 3.1875), (3.1875, 3.1875), (6.375, 5.375)]
    # 10-3/4: two full boards and nothing to fill
    assert wall(10.75, 5.375, 0, 1.5) == [(0, 5.375), (5.375, 5.375)]
    # with a gap of 1/8: three boards of 5-3/8 and two gaps are 16-3/8
    assert wall(16.375, 5.375, 0.125, 1.5) == [(0, 5.375), (5.5, 5.375), (11, 5.375)]
    # narrower than one board: one strip
    assert wall(4, 5.375, 0, 1.5) == [(0, 4)]


def test_a_wall_narrower_than_the_safe_rip_is_refused() -> None:
    assert len(divide_wall(38.1, 136.5, 0, 38.1, "filler")) == 1
    with pytest.raises(InputError) as refused:
        divide_wall(38.0, 136.5, 0, 38.1, "filler")
    assert refused.value.key == "wall.safe_rip"


@given(st.floats(30, 2400), st.floats(25.4, 300), st.floats(0, 50.8))
def test_slats_fill_a_floor_with_gaps_and_are_the_fewest(
    span: float, widest: float, gap: float
) -> None:
    try:
        slats = slat_places(span, widest, gap)
    except InputError as refused:
        assert refused.key == "floor.gap"
        assert (span - gap) / 2 < 5.0 or gap > widest
        return
    width = slats[0][1]
    assert slats[0][0] == 0.0
    assert slats[-1][0] + width == pytest.approx(span, abs=1e-6)
    assert all(each == pytest.approx(width) for _, each in slats)
    assert 0 < width <= widest + 1e-6
    for (start, _), (after, _) in itertools.pairwise(slats):
        assert after - start - width == pytest.approx(gap, abs=1e-6)
    fewer = len(slats) - 1
    if fewer:
        assert (span - gap * (fewer - 1)) / fewer > widest - 1e-6


FLOORS = {
    "cleats": {},
    "cleats, oblong": {"box": {"width": "30 in", "depth": "14 in"}},
    # boards that vary by a sixteenth leave too little bearing from side to side
    "cleats, deep": {"box": {"width": "14 in", "depth": "30 in"}},
    "cleats, deep, metric": {
        "box": {"width": "14 in", "depth": "30 in"},
        "lumber": {"board": "fence-16-metric"},
    },
    "hung": {"floor": {"kind": "hung"}},
}


def slats_of(box: Box) -> list[tuple[float, float, float, float, float, float]]:
    """Bounds (x0, x1, y0, y1, z0, z1) of the slats, mm."""
    found = []
    for board in box.boards.values():
        if board.role == "slat":
            axes = list(zip(*board.corners, strict=True))
            found.append(tuple(f(axis) for axis in axes for f in (min, max)))
    return found  # type: ignore[return-value]


@pytest.mark.parametrize("case", LUMBER_CASES)
@pytest.mark.parametrize("kind", FLOORS)
def test_slats_lie_side_by_side_with_the_gap_asked_for(kind: str, case: LumberCase) -> None:
    said = FLOORS[kind] | {"floor": FLOORS[kind].get("floor", {}) | {"gap": "3/8 in"}}
    box = lay_out(parameters_from(said, {}), case)
    slats = slats_of(box)
    assert len(slats) > 1
    sides_run = "metric" in kind  # slats from side to side lie one behind the other
    axis = 2 if sides_run else 0
    slats.sort(key=lambda s: s[axis])
    for first, second in itertools.pairwise(slats):
        assert second[axis] - first[axis + 1] == pytest.approx(0.375 * INCH)
    # the floor is in the middle of the box
    assert slats[0][axis] == pytest.approx(-slats[-1][axis + 1])


@pytest.mark.parametrize("case", LUMBER_CASES)
def test_a_floor_on_cleats_lies_on_them_and_within_the_walls(case: LumberCase) -> None:
    box = lay_out(parameters_from({}, {}), case)
    bottom = (1.5 + 2.5) * INCH
    tops = [max(p[2] for p in b.corners) for b in box.boards.values() if b.role == "cleat"]
    assert tops == pytest.approx([bottom] * 2)
    for x0, x1, y0, y1, z0, _ in slats_of(box):
        assert z0 == pytest.approx(bottom)
        # clear of the walls when every board is at its thickest, less 1/16 in of play
        assert max(-y0, y1) == pytest.approx((20 / 2 - 0.625 - 11 / 16 - 1 / 16) * INCH)
        assert max(-x0, x1) <= (20 / 2 - 22 / 16 - 1 / 16) * INCH + 1e-6


def test_a_hung_floor_hangs_under_the_walls() -> None:
    box = lay_out(parameters_from({"floor": {"kind": "hung"}}, {}))
    for *_, z0, z1 in slats_of(box):
        assert z1 == pytest.approx(1.5 * INCH)
        assert z0 == pytest.approx((1.5 - 0.625) * INCH)


@pytest.mark.parametrize(
    ("said", "key"),
    [
        ({"floor": {"rise": "40 in"}}, "floor.rise"),
        ({"floor": {"rise": "1 in"}}, "floor.rise"),
        ({"corner": {"style": "post"}, "floor": {"rise": "40 in"}}, "floor.rise"),
        ({"floor": {"kind": "hung"}, "box": {"foot": "1/2 in"}}, "box.foot"),
        ({"floor": {"kind": "hung"}, "panel": {"stile_width": "1 in"}}, "floor.kind"),
    ],
)
def test_a_floor_outside_the_box_is_refused(said: dict[str, dict[str, str]], key: str) -> None:
    with pytest.raises(InputError) as refused:
        lay_out(parameters_from(said, {}))
    assert refused.value.key == key
