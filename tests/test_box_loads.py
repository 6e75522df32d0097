"""Loads of whole boxes: balance of forces, masses against the boards, and what never goes down."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from palewright.boxes import lay_out
from palewright.errors import InputError
from palewright.loads.bent_boards import floor_pressure, stave_load
from palewright.loads.box_loads import BoxLoads
from palewright.loads.climates import CITIES
from palewright.loads.loaded_screws import pressed_between, tributaries
from palewright.loads.screw_values import lateral, pull_through, withdrawal
from palewright.loads.soils import FRICTION_ANGLE, MIXES, at_rest, side_pressure
from palewright.measures import GRAVITY
from palewright.screws import GAUGES
from palewright.units import INCH
from palewright.variant_files import load_variant, parameters_from, shipped_variants


def loads_of(said: dict[str, Any]) -> BoxLoads:
    """Return the loads of what a variant file says."""
    return BoxLoads(lay_out(parameters_from(said, {})))


@pytest.mark.parametrize("name", shipped_variants())
def test_masses_and_middles_add_up(name: str) -> None:
    box = lay_out(load_variant(name).parameters)
    weights = BoxLoads(box).weights
    masses, middles = [], []
    for board in box.boards.values():
        density = box.parameters.species_of(board.stock).density
        # each board by the corners of its own outline, cut in triangles
        points = np.array(board.outline)
        x, y = points[:, 0], points[:, 1]
        areas = [
            (x[i] - x[0]) * (y[i + 1] - y[0]) - (x[i + 1] - x[0]) * (y[i] - y[0])
            for i in range(1, len(x) - 1)
        ]
        middle = sum(
            a * (points[0] + points[i] + points[i + 1]) / 3 for i, a in enumerate(areas, start=1)
        ) / sum(areas)
        masses.append(sum(areas) / 2 * board.thickness * density * 1e-9)
        middles.append(board.placement.out(middle[0], middle[1], board.thickness / 2))
        for hole in board.holes:  # what each takes away, its countersink a frustum of 82 degrees
            r, big, deep = hole.diameter / 2, hole.sink / 2, hole.depth
            taken = [(np.pi * r * r * deep, deep / 2)]
            if big > r:
                cone = (big - r) / np.tan(np.radians(41))
                z = np.linspace(0, cone, 20_001)
                ring = np.pi * ((big - (big - r) * z / cone) ** 2 - r * r)
                volume = np.trapezoid(ring, z)
                taken.append((volume, np.trapezoid(ring * z, z) / volume))
            for volume, down in taken:
                masses.append(-volume * density * 1e-9)
                spot = [a + b * down for a, b in zip(hole.start, hole.axis, strict=True)]
                middles.append(board.placement.out(*spot))
    assert weights.wood == pytest.approx(sum(masses))
    for screw in box.screws:
        steel = np.pi / 4 * screw.kind.diameter**2 * screw.kind.length * 7.85e-6
        masses.append(steel)
        middles.append(tuple(np.add(screw.head, screw.tip) / 2))
    assert weights.steel == pytest.approx(sum(masses) - weights.wood)
    assert weights.empty.mass == pytest.approx(sum(masses))
    expected = np.average(np.array(middles), axis=0, weights=masses)
    assert np.allclose(weights.empty.centre, expected)
    soil = weights.soil.volume * 1e-3
    for state, density in (
        (weights.dry, weights.mix.dry),
        (weights.moist, weights.mix.moist),
        (weights.saturated, weights.mix.saturated),
    ):
        assert state.mass == pytest.approx(weights.empty.mass + soil * density)
    if weights.filled:
        assert weights.empty.mass < weights.dry.mass < weights.moist.mass < weights.saturated.mass
        low, high = sorted((weights.empty.centre[2], (weights.soil.bottom + weights.soil.top) / 2))
        assert low <= weights.moist.centre[2] <= high


@pytest.mark.parametrize("name", ["stoop-tub", "gate-pair", "bean-tower", "terrace-crate"])
def test_what_the_soil_presses_is_what_the_screws_hold(name: str) -> None:
    """Corner screws of one stile together hold half of what bears on their wall."""
    loads = BoxLoads(lay_out(load_variant(name).parameters))
    soil, sizes = loads.weights.soil, loads.box.sizes
    pressed = pressed_between(loads.weights)
    deepest = side_pressure(loads.weights.mix.moist, soil.height, at_rest(FRICTION_ANGLE)) * 1e-3
    whole = deepest * soil.height / 2
    assert pressed(sizes.foot, sizes.top) == pytest.approx(whole)
    heights = [s.head[2] for s in loads.box.screws if s.use in ("corner", "post")][:4]
    cells = tributaries(heights, sizes.foot, sizes.top)
    assert sum(pressed(low, high) for low, high in cells) == pytest.approx(whole)
    assert cells[0][0] == sizes.foot and cells[-1][1] == sizes.top
    load = stave_load("front", loads.box, loads.weights)
    assert load is not None
    assert load.left + load.right == pytest.approx(load.total)
    assert load.total <= whole + 1e-9


@pytest.mark.parametrize("name", ["stoop-tub", "gate-pair", "bean-tower", "terrace-crate"])
def test_the_floor_carries_all_the_soil(name: str) -> None:
    loads = BoxLoads(lay_out(load_variant(name).parameters))
    weights = loads.weights
    soaked = (weights.saturated.mass - weights.empty.mass) * GRAVITY
    area = weights.soil.width * weights.soil.depth
    assert floor_pressure(weights) * area == pytest.approx(soaked)
    cleat = next(one for one in loads.screws if one.use == "cleat")
    assert cleat.pushed * len(cleat.screws) * 2 == pytest.approx(soaked)


BOXES = st.fixed_dictionaries(
    {
        "width": st.integers(12, 60),
        "depth": st.integers(12, 40),
        "height": st.integers(11, 40),
        "rise": st.integers(2, 5),
    }
)
MANY = hypothesis_settings(
    max_examples=60, derandomize=True, deadline=None, suppress_health_check=list(HealthCheck)
)


def said_of(box: dict[str, int], **more: dict[str, Any]) -> dict[str, Any]:
    """Return a variant's tables of a size in whole inches."""
    size = {key: f"{box[key]} in" for key in ("width", "depth", "height")}
    return {"box": size, "floor": {"rise": f"{box['rise']} in"}, **more}


def both(first: dict[str, Any], second: dict[str, Any]) -> tuple[BoxLoads, BoxLoads]:
    """Return the loads of two variants; what cannot be built is not tried."""
    try:
        return loads_of(first), loads_of(second)
    except InputError:
        assume(False)
        raise


def strained(loads: BoxLoads) -> dict[tuple[str, int], float]:
    """Return the share of what it may carry that each bent board takes."""
    return {
        (one.role, i): one.stress / one.allowed
        for i, one in enumerate(loads.bent)
        if one.allowed is not None
    }


@MANY
@given(BOXES, st.sampled_from(["fence-58", "fence-1116"]))
def test_a_thicker_board_is_never_weaker(box: dict[str, int], stock: str) -> None:
    """The same box from boards a sixteenth thicker: no bent board is nearer its limit.

    A quarter of a sixteenth of the span and load goes with the thickness; the section gains more.
    """
    thin, thick = both(
        said_of(box, lumber={"board": stock, "cap": stock}),
        said_of(
            box,
            lumber={"board": "thicker", "cap": "thicker"},
            stock={
                "thicker": {
                    "thickness": "3/4 in", "thickness_spread": "1/16 in", "width": "5-1/2 in",
                    "width_spread": "1/8 in", "length": "72 in", "length_spread": "1/4 in",
                    "species": "treated-pine", "price": "4",
                }
            },
        ),
    )  # fmt: skip
    for key, share in strained(thin).items():
        assert strained(thick)[key] <= share * (1 + 1e-9), key
    for one, other in zip(thin.screws, thick.screws, strict=True):
        assert one.use == other.use
    assert thick.weights.empty.mass > thin.weights.empty.mass


@MANY
@given(BOXES)
def test_wetter_or_heavier_soil_is_never_easier(box: dict[str, int]) -> None:
    order = ("light", "usual", "heavy")
    tried = [
        both(said_of(box, site={"soil": soil}), said_of(box, site={"soil": soil}))[0]
        for soil in order
    ]
    for light, heavy in pairwise(tried):
        for one, other in zip(light.bent, heavy.bent, strict=True):
            assert one.role == other.role and other.stress >= one.stress
        for one, other in zip(light.screws, heavy.screws, strict=True):
            assert other.force >= one.force - 1e-9
        assert heavy.stance.deck_pressure > light.stance.deck_pressure
        assert heavy.stance.wind >= light.stance.wind
        assert heavy.stance.pull >= light.stance.pull


@MANY
@given(BOXES, st.integers(1, 6))
def test_a_deeper_box_never_loads_its_walls_less(box: dict[str, int], more: int) -> None:
    low, high = both(said_of(box), said_of(box | {"height": box["height"] + more}))
    for role in ("stave", "slat", "cleat"):
        first = max((o.stress for o in low.bent if o.role == role), default=0.0)
        second = max((o.stress for o in high.bent if o.role == role), default=0.0)
        assert second >= first * (1 - 1e-9), role
    assert high.stance.deck_pressure > low.stance.deck_pressure


@MANY
@given(BOXES, st.integers(5, 40), st.integers(0, 20), st.booleans())
def test_wetter_boards_shrink_more_and_swell_less(
    box: dict[str, int], bought: int, more: int, liner: bool
) -> None:
    drier, wetter = both(
        said_of(box, site={"bought_at": bought}, liner={"fit": liner}),
        said_of(box, site={"bought_at": bought + more}, liner={"fit": liner}),
    )
    first, second = drier.wall, wetter.wall
    assert first is not None and second is not None
    assert second.swelling <= first.swelling and second.shrinking >= first.shrinking
    assert first.widest >= first.swelling - 1e-9 >= -1e-9
    assert (first.wood.wettest == 30.0) == (not liner)


def test_screws_in_end_grain_are_given_nothing_in_withdrawal() -> None:
    hung = next(one for one in loads_of({"floor": {"kind": "hung"}}).screws
                if one.use == "hung floor")  # fmt: skip
    assert hung.values is not None and hung.values.out == 0.0
    assert hung.value == 0.0
    corner = next(one for one in loads_of({}).screws if one.use == "corner")
    assert corner.values is not None and corner.values.out > 0.0
    assert corner.value is not None
    low, high = sorted((corner.values.out, corner.values.across or 0.0))
    assert low <= corner.value <= high


def test_pots_press_on_no_wall() -> None:
    loads = loads_of({"site": {"soil": "pots"}})
    assert {one.role for one in loads.bent} == {"slat", "cleat"}
    assert {one.use for one in loads.screws} == {"cleat", "cap"}


def test_every_mix_and_city_says_where_it_comes_from() -> None:
    assert all(mix.source and mix.meaning for mix in MIXES.values())
    for city in CITIES.values():
        assert city.source and city.meaning
        low, high = city.range_in("all")
        assert 3 < low <= high < 20
        for season in ("winter", "spring", "summer", "autumn"):
            here = city.range_in(season)  # type: ignore[arg-type]
            assert low <= here[0] <= here[1] <= high


@pytest.mark.parametrize(
    ("city", "percents", "status"),
    [
        ("phoenix", (9.4, 6.1, 6.2, 7.0), "from memory"),
        ("seattle", (15.6, 13.7, 12.2, 15.3), "from memory"),
        ("atlanta", (13.3, 11.8, 13.8, 13.0), "from memory"),
        ("chicago", (14.2, 12.5, 12.8, 12.9), "from memory"),
        ("denver", (10.7, 9.6, 9.4, 9.5), "from memory"),
        ("miami", (13.5, 12.3, 13.7, 13.5), "from memory"),
        ("minneapolis", (13.7, 12.0, 12.5, 13.3), "from memory"),
        ("portland", (16.5, 13.5, 11.7, 15.0), "from memory"),
    ],
)
def test_outdoor_moisture_of_cities(city: str, percents: tuple[float, ...], status: str) -> None:
    """January, April, July, October: Wood Handbook Table 13-1, from memory."""
    found = CITIES[city]  # type: ignore[index]
    assert found.seasons == tuple((one, one) for one in percents)
    assert status in found.source


@pytest.mark.parametrize(
    ("city", "colder", "warmer"),
    [
        ("cheyenne", (10.5, 10.8), (9.7, 9.9)),
        ("casper", (10.1, 12.3), (9.0, 10.3)),
        ("sheridan", (11.4, 12.9), (9.2, 10.9)),
    ],
)
def test_outdoor_moisture_by_halves_of_the_year(
    city: str, colder: tuple[float, float], warmer: tuple[float, float]
) -> None:
    """November to June, July to October: read in columns that cite FPL-RN-0268 (1998).

    The columns name their months for Cheyenne; the other two are read by the same months.
    """
    found = CITIES[city]  # type: ignore[index]
    for season, expected in zip(
        ("winter", "spring", "summer", "autumn"), (colder, colder, warmer, warmer), strict=True
    ):
        assert found.knows(season) and found.range_in(season) == expected  # type: ignore[arg-type]
    assert found.range_in("all") == (warmer[0], colder[1])
    assert "columns that cite FPL-RN-0268" in found.source


def test_a_season_that_nobody_knows_is_said_to_be_the_whole_year() -> None:
    """Burlington, Vermont, 11.7 to 14.2 %: read in columns that cite FPL-RN-0268 (1998)."""
    burlington = CITIES["burlington"]
    assert burlington.range_in("all") == burlington.range_in("winter") == (11.7, 14.2)
    assert not burlington.knows("winter") and burlington.knows("all")
    assert "no winter is known" in burlington.told("winter")
    assert "known" not in burlington.told("all")


@pytest.mark.parametrize(
    ("site", "known", "word"),
    [
        ({"city": "cheyenne", "season": "winter"}, True, "winter"),
        ({"city": "burlington", "season": "autumn"}, False, "no autumn is known"),
        ({"season": "summer"}, False, "site.season (summer)"),
        ({"season": "all"}, True, "Eq. 4-5"),
        ({"city": "burlington"}, True, "Vermont"),
    ],
)
def test_no_season_is_passed_over_in_silence(site: dict[str, str], known: bool, word: str) -> None:
    wall = loads_of({"site": site}).wall
    assert wall is not None and wall.wood.season_known is known
    assert word in wall.wood.source


@pytest.mark.parametrize(("cap", "use"), [("mitre", "cap"), ("none", "top rail")])
def test_an_empty_box_is_lifted_by_its_cap_or_its_top_rails(cap: str, use: str) -> None:
    loads = loads_of({"cap": {"style": cap}, "box": {"width": "24 in"}})
    held = next(one for one in loads.screws if one.use == use)
    # twice the weight, for the jerk, on the two sides with the fewest screws
    assert held.force * len(held.screws) == pytest.approx(2 * loads.weights.empty.mass * GRAVITY)
    sides = {"front": 0, "back": 0, "left": 0, "right": 0}
    for screw in loads.box.screws:
        if cap == "mitre" and screw.use == "cap":
            sides[screw.stack[0].removeprefix("cap.")] += 1
        elif screw.use == "wall" and screw.stack[-1].endswith(".rail-top") and cap == "none":
            sides[screw.stack[-1].partition(".")[0]] += 1
    pairs = (sides["front"] + sides["back"], sides["left"] + sides["right"])
    assert len(held.screws) == min(pairs)
    assert (held.pulled > 0) == (cap == "mitre") and (held.pushed > 0) == (cap == "none")
    assert held.in_scope == (cap == "mitre")


def test_a_corner_screw_is_given_the_worst_of_thin_and_thick_lumber() -> None:
    """#8 x 2 in through 9/16 to 11/16 in of pine: point by the thickest, side by the thinnest."""
    corner = next(one for one in loads_of({}).screws if one.use == "corner")
    screw, deep = GAUGES[8], (2 - 11 / 16) * INCH
    across = lateral(screw, 9 / 16 * INCH, deep, 0.55, 0.55)
    out = min(
        withdrawal(0.55, screw.diameter, min(2 / 3 * 2 * INCH, deep)),
        pull_through(0.55, screw.head, 9 / 16 * INCH),
    )
    assert corner.values is not None and across is not None
    assert corner.values.across == pytest.approx(0.9 * 0.7 * across)
    assert corner.values.out == pytest.approx(0.9 * 0.7 * out)
    assert corner.values.penetration == pytest.approx(deep / screw.diameter)


@pytest.mark.parametrize("cap", ["mitre", "none"])
def test_rails_carry_the_ends_of_the_staves(cap: str) -> None:
    """From stile to stile, the lower rail the greater share; a cap keeps the upper one straight."""
    loads = loads_of({"cap": {"style": cap}, "box": {"height": "20 in"}})
    load = stave_load("front", loads.box, loads.weights)
    assert load is not None
    span = (16.5 - 2 * 3.5) * INCH
    section = 3.5 * INCH * (9 / 16 * INCH) ** 2 / 6
    ends = [load.left, load.right] if cap == "none" else [load.left]
    rails = [one for one in loads.bent if one.role == "rail" and "front.rail" in one.boards[0]]
    assert [one.stress for one in rails] == pytest.approx([e * span**2 / 8 / section for e in ends])
    assert [one.boards[0] for one in rails] == ["front.rail-bottom", "front.rail-top"][: len(ends)]
    # soil lies on the floor and ends below the brim: its middle is nearer the lower rail
    assert load.left > load.right
