"""Sizes that no look makes steady: held against the fit check, and a reckoning by hand."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pytest

from case_lists import mostly_thorough
from palewright.fit.verdict import judge
from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright.reading.errors import InputError
from palewright.sawing.stock_demands import demands_of_one
from palewright.size_search.look_trials import likely_looks
from palewright.size_search.looks import DRAWN, Look, lean_looks
from palewright.size_search.pareto_sizes import Sides
from palewright.size_search.size_grid import sized
from palewright.size_search.size_trials import TriedSize
from palewright.size_search.unsteady_sizes import BENDS, TIPS, all_bend, all_tip, tips

INCH, GRAVITY = 25.4, 9.80665

CLOSE = "screws.pitch=2 in"
"""The most screws that a file can ask for along a board."""


def pulled(table: Parameters, newtons: float) -> Parameters:
    """A box that should stand a level pull."""
    return table.model_copy(update={"site": table.site.model_copy(update={"pull": newtons})})


def boxes(name: str, *typed: str) -> Iterator[Parameters]:
    """A variant from half to one and a half times as large, as drawn and in some lean looks."""
    table = load_variant(name, typed).parameters
    for scale in (0.5, 0.7, 1.0, 1.5):
        sides = tuple(scale * side for side in (table.box.width, table.box.depth, table.box.height))
        try:
            looks: list[Look] = [DRAWN, *lean_looks(sized(table, sides))[:3]]  # type: ignore[arg-type]
        except InputError:
            looks = [DRAWN]
        yield from (sized(table, sides, look) for look in looks)  # type: ignore[arg-type]


def fewest_boards(table: Parameters) -> int:
    """As many of the panels' boards as its parts' area fills: no plan takes fewer."""
    first = demands_of_one(table)[0]
    area = sum(part.length * part.width * part.count for part in first.parts)
    return max(1, math.ceil(area / (first.board.length * first.board.width) * 0.97))


def pull_that_tips(table: Parameters) -> float:
    """The pull (N) that tips a box: what the fit check tells of one that should stand any."""
    found = judge(pulled(table, 1e6), ("nominal",)).findings
    return next((one.measured for one in found if one.code == TIPS), math.inf)


@pytest.mark.parametrize("typed", [(), (CLOSE,)], ids=["usual", "close"])
@pytest.mark.parametrize("name", mostly_thorough(sorted(shipped_variants()), "gate-pair"))
def test_no_box_weighs_more_than_is_reckoned_with(name: str, typed: tuple[str, ...]) -> None:
    """A pull that just does not tip it never surely does; one that is half as much again mostly."""
    sure = asked = 0
    for table in boxes(name, *typed):
        try:
            most = pull_that_tips(table)
        except InputError:
            continue
        if math.isinf(most):  # nothing fills it, or it slides first
            assert not tips(pulled(table, 1e6), 1), "nothing is said of it"
            continue
        boards = fewest_boards(table)
        assert not tips(pulled(table, most), boards)
        asked += not table.trellis.fit
        sure += tips(pulled(table, 1.5 * most), boards)
    assert 2 * sure >= asked


def test_a_box_is_reckoned_with_as_by_hand() -> None:
    """Gate-pair of four fence boards, 13 in square and 20 in high; sizes and weights typed here.

    Boards of 5/8 x 5-3/8 x 71-3/4 in, the cap cut from them; four posts, 1-1/2 in square, as high
    as the panels; pine of 570 kg/m³. 500 screws to the m², No. 8 (.164 in) by 2-1/4 in, of steel
    of 7850 kg/m³. Soil of 60 lb/ft³ (961.1 kg/m³) from a floor of 5/8 in over a foot of 2 and a
    rise of 9 in to 1 in below the panels, within walls 1-1/4 in thick.
    """
    top = 20 - 5 / 8
    boards, posts = 4 * 5.375 * 71.75, 4 * top * 1.5  # sq in
    wood = (boards * 5 / 8 + posts * 1.5) * INCH**3 * 570e-9
    screws = (boards + posts) * INCH**2 * 500e-6 * math.pi / 4 * 0.164**2 * 2.25 * INCH**3 * 7850e-9
    soil = (13 - 2 * 1.25) ** 2 * (top - 1 - (2 + 9 + 5 / 8)) * INCH**3 * 961.1078e-9
    limit = (wood + screws + soil) * GRAVITY * 13 / (2 * 20)
    sides: Sides = (13 * INCH, 13 * INCH, 20 * INCH)
    box = sized(load_variant("gate-pair").parameters, sides)
    assert not tips(pulled(box, limit * 0.9999), 4)
    assert tips(pulled(box, limit * 1.0001), 4)
    assert not tips(pulled(box, limit * 1.0001), 5), "another board's weight holds it"


def test_what_says_that_it_tips_the_fit_check_refuses() -> None:
    table = load_variant("gate-pair").parameters
    told = 0
    for width, height in ((11, 18), (12, 20), (13, 24), (14, 22), (15, 18), (20, 26)):
        sides: Sides = (width * INCH, width * INCH, height * INCH)
        looks = [look for look in lean_looks(sized(table, sides)) if look][:4]
        sure = all_tip(table, sides, looks, 4)
        told += sure
        for look in looks if sure else ():
            spot = TriedSize(table, sides, look)
            codes = {one.code for one in judge(spot.sized, ("nominal",)).findings}
            assert TIPS in codes
            assert spot._tips() == TIPS, "seen without its screws as well"
        assert sure or width == 20
    assert told == 5


def test_a_size_stands_if_it_stands_in_one_look_or_in_the_drawn_one_with_other_walls() -> None:
    table = load_variant("gate-pair").parameters
    sides: Sides = (13 * INCH, 13 * INCH, 20 * INCH)
    high: Look = (("floor.rise", 9.5 * INCH),)  # half an inch less soil
    most = {look: pull_that_just_tips(sized(table, sides, look), 4) for look in (DRAWN, high)}
    assert most[high] < 0.99 * most[DRAWN]
    between = pulled(table, (most[DRAWN] + most[high]) / 2)
    assert all_tip(between, sides, [high], 4)
    assert not all_tip(between, sides, [high, DRAWN], 4)
    wide: Look = (("panel.stile_width", 8 * INCH),)  # no box at all
    assert all_tip(between, sides, [high, wide], 4)


def pull_that_just_tips(table: Parameters, boards: int) -> float:
    """The least pull (N) that is said to tip a box, by halving."""
    low, high = 0.0, 1000.0
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (low, middle) if tips(pulled(table, middle), boards) else (middle, high)
    return high


def test_sizes_that_tip_are_not_sought_unless_the_drawn_box_may() -> None:
    table = load_variant("gate-pair").parameters
    found = [likely_looks(table, 4, 1, 12.0, frozenset(sound)) for sound in ((), (TIPS,))]
    strict, lenient = (
        {(*place.sides, height) for place in one.places for height in place.heights}
        for one in found
    )
    assert strict < lenient
    left_out = sorted(lenient - strict)
    assert len(left_out) > 30
    for sides in left_out[::4]:
        spot = TriedSize(table, sides, found[0].lean[0])
        if spot.may_be(4):  # the whole fit check refuses what four boards might make
            assert TIPS in {one.code for one in judge(spot.sized, ("nominal",)).findings}


def test_nothing_is_said_of_a_trellis_or_of_an_empty_box() -> None:
    small: Sides = (12 * INCH, 12 * INCH, 20 * INCH)
    gate = load_variant("gate-pair").parameters
    assert tips(sized(gate, small), 4)
    assert not tips(sized(load_variant("gate-pair", ["trellis.fit=true"]).parameters, small), 4)
    assert not tips(sized(load_variant("gate-pair", ["floor.rise=17 in"]).parameters, small), 4)
    assert not tips(pulled(sized(gate, small), 0.0), 4), "no pull is asked for"
    wide: Sides = (24 * INCH, 24 * INCH, 20 * INCH)
    assert not tips(pulled(sized(gate, wide), 1e6), 4), "it slides first"


def is_bent(tried: Parameters) -> bool:
    """Whether the fit check, which places every screw, warns of a trellis bent by wind."""
    return BENDS in {one.code for one in judge(tried, ("nominal",)).findings}


@pytest.mark.parametrize("width", mostly_thorough([24, 28, 30, 31, 32, 33, 36, 42], 31, 33))
def test_what_wind_bends_in_every_look_the_fit_check_warns_of(width: int) -> None:
    table = load_variant("bean-tower").parameters
    lean = lean_looks(table)
    some = [lean[0], lean[-2], DRAWN]
    sides = [(width * INCH, deep * INCH, high * INCH) for deep, high in ((17, 17), (21, 15))]
    for look in some:
        bent = {is_bent(sized(table, one, look)) for one in sides}
        assert len(bent) == 1, "depth or height matter"
        assert {all_bend(table, one, [look]) for one in sides} == bent
    assert all_bend(table, sides[0], some) is all(all_bend(table, sides[0], [one]) for one in some)
    assert not all_bend(table, (width * INCH, 17 * INCH, 6 * INCH), some), "no box is so low"


def test_a_trellis_bends_in_some_looks_and_only_if_wind_is_asked_for() -> None:
    table, sides = load_variant("bean-tower").parameters, (32 * INCH, 17 * INCH, 17 * INCH)
    lean = lean_looks(table)
    bent = [all_bend(table, sides, [look]) for look in (lean[0], DRAWN)]
    assert bent == [True, False], "staves that lap the rails less let the packers end lower"
    assert not all_bend(table, sides, [lean[0], DRAWN])
    calm = load_variant("bean-tower", ["site.wind=0 mph"]).parameters
    assert not all_bend(calm, (60 * INCH, *sides[1:]), [lean[0]])
    assert not all_bend(load_variant("gate-pair").parameters, sides, [DRAWN])


def test_widths_at_which_a_trellis_bends_are_not_sought_unless_the_drawn_one_may() -> None:
    ranges = ["size.least_width=24 in", "size.most_width=40 in", "size.step=2 in"]
    table = load_variant("bean-tower", ranges).parameters
    strict, lenient = (
        {place.width for place in likely_looks(table, 8, 1, 12.0, frozenset(sound)).places}
        for sound in ((), (BENDS,))
    )
    assert strict < lenient
    assert max(strict) < min(lenient - strict), "the wider the box, the more wind it catches"
