"""Published values of soil, wind, tipping, lifting and bending, each with source and status.

``read``: in a text that quotes it; ``computed``: by hand from a read formula; ``from memory``.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from palewright.catalogue.fillings import MIXES, WATER, at_rest, side_pressure, wet_weight
from palewright.loads.beams import LineLoad, even_load, second_moment, section_modulus
from palewright.loads.overturning import (
    DRAG,
    LIFT,
    OVERTURNING,
    lifting_limit,
    sliding_pull,
    tipping_pull,
    tipping_speed,
    velocity_pressure,
)
from palewright.reading.quantities import (
    GRAVITY,
    MILE_AN_HOUR,
    POUND,
    POUND_A_CUBIC_FOOT,
    POUND_FORCE,
    PSF,
    PSI,
)

INCH, FOOT = 25.4, 304.8


class Row(NamedTuple):
    """One published value: what it is of, the value, where it stands, how it was seen."""

    of: tuple[float, ...]
    value: float
    source: str
    status: str


AT_REST = [
    Row((25,), 0.577, "1 - sin φ, Jaky 1944", "read"),
    Row((30,), 0.500, "1 - sin φ, Jaky 1944", "read"),
    Row((35,), 0.426, "1 - sin φ, Jaky 1944", "read"),
    Row((45,), 0.293, "1 - sin φ, Jaky 1944", "read"),
]
PRESSURES = [
    # (lb/ft3, K, depth in): psf
    Row((60, 0.5, 10), 25.0, "p = K γ h", "computed"),
    Row((60, 0.5, 14), 35.0, "p = K γ h", "computed"),
    Row((60, 0.5, 22), 55.0, "p = K γ h", "computed"),
    Row((62.4, 1.0, 10), 52.0, "water", "computed"),
    Row((62.4, 1.0, 14), 72.8, "water", "computed"),
    Row((62.4, 1.0, 22), 114.4, "water", "computed"),
]
WET = [
    # (dry g/cm3, share of water): lb/ft3; densities from Int. J. Agronomy 2012, 978528, Table 1
    Row((0.18, 0.48), 41, "pine bark, drained", "computed"),
    Row((0.22, 0.57), 49, "chip residual, drained", "computed"),
    Row((0.11, 0.87), 61, "peat, drained", "computed"),
    Row((0.18, 0.79), 61, "pine bark, flooded", "computed"),
    Row((0.22, 0.85), 67, "chip residual, flooded", "computed"),
    Row((0.11, 0.98), 68, "peat, flooded", "computed"),
]
DESIGN_WEIGHTS = [
    Row((MIXES["light"].moist,), 45, "chosen from the measured mixes", "judgement"),
    Row((MIXES["usual"].moist,), 60, "chosen from the measured mixes", "judgement"),
    Row((MIXES["heavy"].moist,), 85, "chosen from the measured mixes", "judgement"),
]
WIND = [
    Row((mph,), psf, "q = .00256 V², ASCE 7, 26.10", "computed")
    for mph, psf in (
        (20, 1.024), (30, 2.304), (40, 4.096), (60, 9.216), (90, 20.736), (115, 33.856)
    )
]  # fmt: skip
TIPPING = [
    # mph: factor against overturning, of 130 lb on 16 in under 8 ft2 of tree 4 ft up
    Row((20,), 2.64, "statics", "computed"),
    Row((30,), 1.18, "statics", "computed"),
    Row((40,), 0.66, "statics", "computed"),
]
BOXES = [
    # side in: lb of soil at 60 lb/ft3, psf of the footprint; fill S - 1.25 in a cube, walls 5/8 in
    Row((12, 43), 43, "statics", "computed"),
    Row((16, 63), 111, "statics", "computed"),
    Row((20, 82), 229, "statics", "computed"),
    Row((24, 102), 409, "statics", "computed"),
]


@pytest.mark.parametrize("row", AT_REST, ids=str)
def test_pressure_at_rest(row: Row) -> None:
    assert at_rest(row.of[0]) == pytest.approx(row.value, abs=5.1e-4)


@pytest.mark.parametrize("row", PRESSURES, ids=str)
def test_side_pressure(row: Row) -> None:
    weight, share, depth = row.of
    found = side_pressure(weight * POUND_A_CUBIC_FOOT, depth * INCH, share) / PSF
    assert found == pytest.approx(row.value, abs=0.02)


@pytest.mark.parametrize("row", WET, ids=str)
def test_wet_weights(row: Row) -> None:
    found = wet_weight(*row.of) / POUND_A_CUBIC_FOOT
    assert abs(found - row.value) <= 0.61


@pytest.mark.parametrize("row", DESIGN_WEIGHTS, ids=str)
def test_design_weights(row: Row) -> None:
    assert row.of[0] / POUND_A_CUBIC_FOOT == pytest.approx(row.value)


def test_a_mix_is_lighter_dry_than_moist_than_flooded() -> None:
    assert pytest.approx(62.4, abs=0.05) == WATER / POUND_A_CUBIC_FOOT
    for mix in MIXES.values():
        assert 0 < mix.dry < mix.moist < mix.saturated
        assert mix.source
    assert MIXES["light"].moist < MIXES["usual"].moist < MIXES["heavy"].moist


@pytest.mark.parametrize("row", WIND, ids=str)
def test_velocity_pressure(row: Row) -> None:
    found = velocity_pressure(row.of[0] * MILE_AN_HOUR) / 1e3 / PSF
    assert found == pytest.approx(row.value, abs=5e-4)


def test_velocity_pressure_with_all_factors() -> None:
    """.00256 x .90 x 1 x .85 x 100² = 19.58 psf (read)."""
    found = 0.90 * 0.85 * velocity_pressure(100 * MILE_AN_HOUR) / 1e3 / PSF
    assert found == pytest.approx(19.58, abs=0.005)


def test_a_tub_with_a_tree_tips_at_thirty_two_miles_an_hour() -> None:
    """130 lb on 16 in, 8 ft² centred 4 ft up, drag 1.0: 32.5 mph (computed)."""
    foot = FOOT * 1e-3
    speed = tipping_speed(130 * POUND, 16 * INCH, DRAG * 8 * foot**2 * 4 * foot)
    assert speed / MILE_AN_HOUR == pytest.approx(32.5, abs=0.1)
    for row in TIPPING:
        assert (speed / MILE_AN_HOUR / row.of[0]) ** 2 == pytest.approx(row.value, abs=0.011)
    assert OVERTURNING == 1.5  # common retaining-wall practice, from memory
    assert tipping_speed(50.0, 400.0, 0.0) == math.inf


@pytest.mark.parametrize("row", BOXES, ids=str)
def test_soil_of_a_cube_in_pounds_and_on_its_footprint(row: Row) -> None:
    side, psf = row.of
    soil = (side - 1.25) ** 3 / 1728 * 60
    assert soil == pytest.approx(row.value, abs=0.6)
    pressure = soil * POUND_FORCE / ((side * INCH) ** 2 * 1e-3)
    assert pressure / PSF == pytest.approx(psf, abs=0.6)


def test_a_pull_tips_and_slides_by_statics() -> None:
    assert tipping_pull(60.0, 400.0, 1200.0) == pytest.approx(60 * GRAVITY / 6)
    assert sliding_pull(60.0) == pytest.approx(30 * GRAVITY)


def test_lifting_limit() -> None:
    """NIOSH 94-110 (read): 51 lb at best; H 16, V 10, D 20, a fair grip .95: 23.4 lb (computed)."""
    assert pytest.approx(51.0) == LIFT / POUND
    best = lifting_limit(10 * INCH, 30 * INCH, 10 * INCH, grip=1.0)
    assert best / POUND == pytest.approx(51.0)
    found = lifting_limit(16 * INCH, 10 * INCH, 20 * INCH)
    assert found / POUND == pytest.approx(23.4, abs=0.05)


@given(st.floats(0.0, 40.0), st.floats(0.0, 60.0), st.floats(0.0, 60.0), st.floats(0.0, 20.0))
def test_reaching_further_never_allows_more(
    reach: float, height: float, travel: float, more: float
) -> None:
    base = lifting_limit(reach * INCH, height * INCH, travel * INCH)
    assert 0 <= base <= LIFT
    assert lifting_limit((reach + more) * INCH, height * INCH, travel * INCH) <= base
    assert lifting_limit(reach * INCH, height * INCH, (travel + more) * INCH) <= base


def test_a_fence_board_flatwise() -> None:
    """5-1/2 x 5/8 in: S .3581 in³, I .1119 in⁴ (computed)."""
    assert section_modulus(5.5 * INCH, 0.625 * INCH) / INCH**3 == pytest.approx(0.3581, abs=5e-5)
    assert second_moment(5.5 * INCH, 0.625 * INCH) / INCH**4 == pytest.approx(0.1119, abs=5e-5)


def test_the_worked_bottom_board() -> None:
    """14 in of fill at 60 lb/ft³, K .5, 16 in of span: 34.4 in-lb, 96 psi, .0091 in (computed)."""
    pressure = side_pressure(60 * POUND_A_CUBIC_FOOT, 14 * INCH, 0.5) * 1e-3
    load = even_load(16 * INCH, pressure * 5.5 * INCH)
    # the row counts the board's mean depth, 11-1/4 in of 14
    mean = even_load(load.span, load.first * (1.074 / (35 / 144 * 5.5)))
    assert mean.first * INCH / POUND_FORCE == pytest.approx(1.074, abs=1e-3)
    moment = mean.greatest_moment
    assert moment / POUND_FORCE / INCH == pytest.approx(34.4, abs=0.05)
    stress = moment / section_modulus(5.5 * INCH, 0.625 * INCH)
    assert stress / PSI == pytest.approx(96.0, abs=0.15)
    stiff = 0.9e6 * PSI * second_moment(5.5 * INCH, 0.625 * INCH)
    assert mean.sag_at_middle(stiff) / INCH == pytest.approx(0.0091, abs=6e-5)
    assert mean.left / POUND_FORCE == pytest.approx(8.59, abs=0.01)


def test_even_and_triangular_loads_in_closed_form() -> None:
    """Beam tables (from memory): wL²/8, 5wL⁴/384EI; .1283 W L at .577 L, W = wL/2."""
    span, w = 700.0, 0.8
    even = even_load(span, w)
    assert even.greatest_moment == pytest.approx(w * span**2 / 8)
    assert even.sag_at_middle(1.0) == pytest.approx(5 * w * span**4 / 384)
    ramp = LineLoad(span, 0.0, span, 0.0, w)
    whole = w * span / 2
    assert ramp.total == pytest.approx(whole)
    assert (ramp.left, ramp.right) == (pytest.approx(whole / 3), pytest.approx(2 * whole / 3))
    assert ramp.greatest_moment == pytest.approx(2 * whole * span / (9 * math.sqrt(3)))
    assert ramp.greatest_moment == pytest.approx(0.1283 * whole * span, rel=5e-4)
    assert ramp.moment(span / math.sqrt(3)) == pytest.approx(ramp.greatest_moment)
    # half of an even load, by symmetry of the triangle with its mirror
    assert ramp.sag_at_middle(1.0) == pytest.approx(5 * w * span**4 / 768)


LOADS = st.builds(
    lambda span, a, b, p, q: LineLoad(span, min(a, b) * span, max(a, b) * span + 1e-3 * span, p, q),
    st.floats(50.0, 3000.0),
    st.floats(0.0, 0.999),
    st.floats(0.0, 0.999),
    st.floats(0.0, 5.0),
    st.floats(0.0, 5.0),
)


@given(LOADS)
def test_any_line_load_agrees_with_itself_cut_in_slices(load: LineLoad) -> None:
    """Reactions, greatest moment and sag against a sum of a thousand point loads."""
    count = 1000
    step = (load.end - load.start) / count
    places = [load.start + (i + 0.5) * step for i in range(count)]
    slope = (load.last - load.first) / (load.end - load.start)
    forces = [(load.first + slope * (x - load.start)) * step for x in places]
    right = sum(f * x for f, x in zip(forces, places, strict=True)) / load.span
    scale = max(load.total, 1e-9)
    assert load.right == pytest.approx(right, abs=1e-5 * scale)
    assert load.left + load.right == pytest.approx(sum(forces), abs=1e-6 * scale)
    greatest = max(load.moment(load.span * i / 400) for i in range(401))
    assert load.greatest_moment >= greatest - 1e-6 * scale * load.span
    assert load.greatest_moment <= greatest + 3e-3 * scale * load.span
    assert load.moment(load.span) == pytest.approx(0.0, abs=1e-6 * scale * load.span)
    sag = sum(
        f * min(x, load.span - x) * (3 * load.span**2 - 4 * min(x, load.span - x) ** 2) / 48
        for f, x in zip(forces, places, strict=True)
    )
    assert load.sag_at_middle(1.0) == pytest.approx(sag, rel=1e-4, abs=1e-9)


@given(st.floats(1.0, 90.0), st.floats(50.0, 1000.0), st.floats(0.01, 9.0), st.floats(1.0, 2.0))
def test_a_heavier_or_broader_box_never_tips_sooner(
    mass: float, base: float, area: float, more: float
) -> None:
    speed = tipping_speed(mass, base, area)
    assert tipping_speed(mass * more, base, area) >= speed
    assert tipping_speed(mass, base * more, area) >= speed
    assert tipping_speed(mass, base, area * more) <= speed
