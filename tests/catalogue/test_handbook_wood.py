"""Published values of wood: moisture, shrinkage, density, strength; each with source and status.

WH: USDA Wood Handbook, FPL-GTR-190 / FPL-GTR-282. ``read``: in a text that quotes or transcribes
it; ``computed``: by hand from a read formula; ``from memory``: not seen in any text.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from palewright.catalogue.wood_moisture import (
    density_at,
    equilibrium_moisture,
    is_estimate,
    movement,
    movement_coefficient,
)

INCH = 25.4


class Row(NamedTuple):
    """One published value: what it is of, the value, where it stands, how it was seen."""

    of: tuple[float, ...]
    value: float
    source: str
    status: str


EMC = [
    Row((temperature, humidity), value, "WH Table 4-2", "read")
    for temperature, row in {
        30: {30: 6.3, 50: 9.5, 65: 12.4, 80: 16.5, 95: 24.3},
        70: {5: 1.3, 30: 6.2, 50: 9.2, 65: 12.0, 75: 14.4, 85: 17.9, 95: 23.9},
        90: {30: 5.9, 50: 8.9, 65: 11.5, 80: 15.4, 95: 23.3},
        140: {55: 8.4},
    }.items()
    for humidity, value in row.items()
]

COEFFICIENTS = [
    # (shrinkage green to oven-dry %, fibre saturation %): movement a percent
    Row((4.8, 30), 0.00165, "WH Table 13-5, loblolly radial", "computed, agrees from memory"),
    Row((7.4, 30), 0.00259, "WH Table 13-5, loblolly tangential", "computed, agrees from memory"),
    Row((4.6, 30), 0.00158, "WH Table 13-5, shortleaf radial", "computed, agrees from memory"),
    Row((7.7, 30), 0.00271, "WH Table 13-5, shortleaf tangential", "computed, agrees from memory"),
    Row((5.1, 30), 0.00176, "WH Table 13-5, longleaf radial", "computed, agrees from memory"),
    Row((7.5, 30), 0.00263, "WH Table 13-5, longleaf tangential", "read, trade table"),
    Row((7.6, 30), 0.00267, "WH Table 13-5, Douglas-fir coast tangential", "read, trade table"),
    Row((4.8, 30), 0.00165, "WH Table 13-5, Douglas-fir coast radial", "computed"),
    Row((2.4, 22), 0.00111, "WH Table 13-5, redcedar radial", "computed, 22 from memory"),
    Row((5.0, 22), 0.00234, "WH Table 13-5, redcedar tangential", "computed, 22 from memory"),
    Row((2.4, 30), 0.00081, "the same with 30", "computed"),
    Row((5.0, 30), 0.00172, "the same with 30", "computed"),
    Row((3.3, 30), 0.00112, "WH Table 13-5, white fir radial", "computed, agrees from memory"),
    Row((7.0, 30), 0.00245, "WH Table 13-5, white fir tangential", "computed, agrees from memory"),
    Row((4.4, 30), 0.00151, "WH Table 13-5, red alder radial", "read"),
    Row((7.3, 30), 0.00256, "WH Table 13-5, red alder tangential", "read"),
    Row((4.9, 30), 0.00169, "WH Table 13-5, white ash radial", "read"),
    Row((7.8, 30), 0.00274, "WH Table 13-5, white ash tangential", "read"),
    Row((3.5, 30), 0.00119, "WH Table 13-5, quaking aspen radial", "read"),
    Row((6.7, 30), 0.00234, "WH Table 13-5, quaking aspen tangential", "read"),
]

MOVED = [
    # (width in, coefficient, from %, to %): in
    Row((5, 0.00129, 6, 9), 0.019, "flooring trade sheet, example", "read"),
    Row((9.15, 0.00245, 8, 11), 0.0673, "WH ch. 13, white fir example", "from memory"),
    Row((5.5, 0.00259, 12, 19), 0.100, "estimate, loblolly", "computed"),
    Row((5.5, 0.00234, 12, 19), 0.090, "estimate, redcedar", "computed"),
]


DENSITIES = [
    # (G at 12 %, moisture %): lb/ft3; 62.4 G (1 + M/100), WH ch. 4
    Row((0.51, 12), 35.6, "WH ch. 4, loblolly", "computed, formula from memory"),
    Row((0.32, 12), 22.4, "WH ch. 4, redcedar", "computed, formula from memory"),
    Row((0.48, 12), 33.5, "WH ch. 4, Douglas-fir", "computed, formula from memory"),
    Row((0.508, 75), 51.3, "WH ch. 4, green loblolly, G .47", "computed, formula from memory"),
    Row((0.508, 30), 38.1, "WH ch. 4, G .47 from saturation on", "computed, formula from memory"),
]


@pytest.mark.parametrize("row", DENSITIES, ids=str)
def test_density_by_moisture(row: Row) -> None:
    gravity, moisture = row.of
    found = density_at(1120 * gravity, moisture) / 1000 * 62.428
    assert found == pytest.approx(row.value, abs=0.08)


@pytest.mark.parametrize("row", EMC, ids=str)
def test_equilibrium_moisture_is_the_table_within_seven_hundredths(row: Row) -> None:
    temperature, humidity = row.of
    in_f = equilibrium_moisture(humidity, temperature, "F")
    in_c = equilibrium_moisture(humidity, (temperature - 32) / 1.8, "C")
    assert in_f == pytest.approx(row.value, abs=0.07)
    assert in_c == pytest.approx(row.value, abs=0.07)


@pytest.mark.parametrize("row", COEFFICIENTS, ids=str)
def test_a_coefficient_of_movement_follows_from_shrinkage(row: Row) -> None:
    shrinkage, saturation = row.of
    assert movement_coefficient(shrinkage, saturation) == pytest.approx(row.value, abs=6e-6)


@pytest.mark.parametrize("row", MOVED, ids=str)
def test_a_board_moves_as_the_examples_say(row: Row) -> None:
    width, coefficient, before, after = row.of
    found = movement(width * INCH, coefficient, before, after) / INCH
    assert found == pytest.approx(row.value, abs=5.1e-4)


AIR = st.floats(5.0, 95.0)
SCALES: st.SearchStrategy[Literal["F", "C"]] = st.sampled_from(["F", "C"])


@given(AIR, st.floats(0.1, 20.0), st.floats(-1.0, 55.0))
def test_damper_air_never_leads_to_drier_wood(humidity: float, more: float, celsius: float) -> None:
    damper = min(humidity + more, 97.0)
    assert equilibrium_moisture(damper, celsius) > equilibrium_moisture(humidity, celsius) > 0


@given(AIR, st.floats(-1.0, 60.0))
def test_both_sets_of_coefficients_say_the_same(humidity: float, celsius: float) -> None:
    """In steps of a degree: the two published fits lie within a quarter of a percent."""
    in_f = equilibrium_moisture(humidity, celsius * 1.8 + 32, "F")
    assert in_f == pytest.approx(equilibrium_moisture(humidity, celsius, "C"), abs=0.25)


@given(st.floats(0.5, 12.0), st.floats(20.0, 30.0), st.floats(10.0, 400.0))
def test_more_shrinkage_or_more_width_moves_more(
    shrinkage: float, saturation: float, width: float
) -> None:
    little = movement_coefficient(shrinkage, saturation)
    assert 0 < little < movement_coefficient(shrinkage + 0.1, saturation)
    assert movement(width, little, 10, 12) < movement(width + 1, little, 10, 12)
    assert movement(width, little, 12, 10) == -movement(width, little, 10, 12)
    assert movement(width, little, 30, 60) == 0.0
    assert movement(width, little, 60, 10) == movement(width, little, 30, 10)


@pytest.mark.parametrize(
    ("before", "after", "estimate"),
    [(6, 14, False), (8, 11, False), (19, 12, True), (5.9, 9, True)],
)
def test_outside_six_to_fourteen_percent_is_an_estimate(
    before: float, after: float, estimate: bool
) -> None:
    assert is_estimate(before, after) is estimate
