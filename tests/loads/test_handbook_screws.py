"""Published values of wood screws, each row with its source and how it was seen.

``read``: in a text that quotes or transcribes the standard, page-cited; ``computed``: worked by
hand from a read formula, apart from this program. NDS: ANSI/AWC NDS 2018 (2024 alike).
"""

from __future__ import annotations

import math
from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from palewright.catalogue.screws import GAUGES, ScrewKind
from palewright.catalogue.tolerances import TOLERANCES
from palewright.loads import screw_design_values
from palewright.loads.box_loads import NOT_COVERED
from palewright.loads.screw_design_values import (
    bearing_strength,
    bending_yield,
    combined,
    lateral,
    lead_hole,
    pull_through,
    reduction_term,
    shear_lead_holes,
    thread_length,
    withdrawal,
    withdrawal_breaking,
    yield_modes,
)
from palewright.reading.quantities import POUND_FORCE, PSI

INCH = 25.4
LB_IN = POUND_FORCE / INCH


class Row(NamedTuple):
    """One published value: what it is of, the value, where it stands, how it was seen."""

    of: tuple[float, ...]
    value: float
    source: str
    status: str


WITHDRAWAL = [
    # (gauge, G): lb an inch of thread
    Row((8, 0.42), 82, "NDS Table 12.2B", "read"),
    Row((10, 0.50), 135, "NDS Table 12.2B", "read"),
    Row((14, 0.42), 121, "NDS Table 12.2B", "read"),
    Row((14, 0.50), 172, "NDS Table 12.2B", "read"),
    Row((14, 0.55), 208, "NDS Table 12.2B", "read"),
    *(
        Row((gauge, gravity), value, "NDS Eq. 12.2-2, rounded", "computed")
        for gravity, values in {
            0.55: (119, 130, 141, 153, 164), 0.50: (98, 108, 117, 126, 135),
            0.43: (73, 80, 86, 93, 100), 0.42: (69, 76, 82, 89, 96),
            0.36: (51, 56, 61, 65, 70), 0.35: (48, 53, 57, 62, 66),
        }.items()
        for gauge, value in zip((6, 7, 8, 9, 10), values, strict=True)
    ),
]  # fmt: skip

PULL_THROUGH = [
    # (G, head in, board in): lb
    Row((0.50, 0.234, 5 / 16), 40, "NDS Table 12.2F", "read"),
    Row((0.50, 0.312, 1.0), 132, "NDS Table 12.2F", "read"),
    Row((0.50, 0.312, 0.75), 127, "NDS Table 12.2F", "read"),
    Row((0.42, 0.500, 1.5), 239, "NDS Table 12.2F", "read"),
]

LATERAL = [
    # (gauge, side in, G): lb at 10 D of penetration, both boards of one wood
    Row((8, 0.5, 0.50), 73, "NDS Table 12L", "read"),
    Row((10, 0.5, 0.50), 90, "NDS Table 12L", "read"),
    Row((14, 0.5, 0.50), 120, "NDS Table 12L", "read"),
    Row((10, 1.5, 0.50), 117, "NDS Table 12L", "read"),
    Row((12, 0.5, 0.42), 91, "NDS Table 12L", "read"),
]

LATERAL_58 = [
    Row((gauge, 0.625, gravity), value, "NDS Table 12.3.1A, side 5/8 in", "computed")
    for gravity, values in {
        0.55: (75.8, 82.6, 91.5, 103.1, 110.9), 0.50: (65.9, 72.0, 80.0, 90.6, 97.5),
        0.43: (53.3, 58.3, 65.2, 74.3, 80.1), 0.42: (51.6, 56.5, 63.2, 72.2, 77.8),
        0.36: (42.6, 46.7, 52.7, 60.5, 65.2), 0.35: (40.9, 44.9, 50.6, 58.3, 62.8),
    }.items()
    for gauge, value in zip((6, 7, 8, 9, 10), values, strict=True)
]  # fmt: skip

BEARING = [
    Row((0.50,), 4650, "NDS Table 12.3.3", "read"),
    *(
        Row((g,), v, "NDS Table 12.3.3, footnote 2", "computed")
        for g, v in ((0.55, 5550), (0.43, 3500), (0.42, 3350), (0.36, 2550), (0.35, 2400))
    ),
]

BENDING_YIELD = [
    # nominal diameter, in: psi
    Row((0.099,), 100_000, "NDS Table I1", "read"),
    Row((0.138,), 100_000, "NDS Table I1", "read"),
    Row((0.164,), 90_000, "NDS Table I1", "read"),
    Row((0.190,), 80_000, "NDS Table I1", "read"),
    Row((0.242,), 70_000, "NDS Table I1", "read"),
]

GAUGE_ROWS = [
    # gauge: D, D_r, D_H in inches
    Row((6,), 0.138, "NDS Table L3", "read"), Row((7,), 0.151, "NDS Table L3", "read"),
    Row((8,), 0.164, "NDS Table L3", "read"), Row((9,), 0.177, "NDS Table L3", "read"),
    Row((10,), 0.190, "NDS Table L3", "read"), Row((12,), 0.216, "NDS Table L3", "read"),
    Row((14,), 0.242, "NDS Table L3", "read"),
]  # fmt: skip
ROOTS = dict(zip((6, 7, 8, 9, 10, 12, 14), (113, 122, 131, 142, 152, 171, 196), strict=True))
HEADS = dict(zip((6, 7, 8, 9, 10, 12, 14), (262, 287, 312, 337, 363, 414, 480), strict=True))

FACTORS = [
    Row((screw_design_values.DURATION["permanent"],), 0.9, "NDS Table 2.3.2", "read"),
    Row((screw_design_values.DURATION["ten years"],), 1.0, "NDS Table 2.3.2", "read"),
    Row((screw_design_values.DURATION["two months"],), 1.15, "NDS Table 2.3.2", "read"),
    Row((screw_design_values.DURATION["seven days"],), 1.25, "NDS Table 2.3.2", "read"),
    Row((screw_design_values.DURATION["wind"],), 1.6, "NDS Table 2.3.2", "read"),
    Row((screw_design_values.WET,), 0.7, "NDS Table 11.3.3", "read"),
    Row((screw_design_values.END_GRAIN_LATERAL,), 0.67, "NDS 12.5.2.2", "read"),
    Row((screw_design_values.LEAST_PENETRATION,), 6.0, "NDS 12.1.5.6", "read"),
    Row((screw_design_values.FULL_PENETRATION,), 10.0, "NDS Table 12L, footnote 3", "read"),
    Row((screw_design_values.TIP,), 2.0, "NDS Table L3, footnote 6", "read"),
    Row((screw_design_values.GRAVITY_RANGE[0],), 0.31, "NDS Table 12.2B", "read"),
    Row((screw_design_values.GRAVITY_RANGE[1],), 0.73, "NDS Table 12.2B", "read"),
]


@pytest.mark.parametrize("row", WITHDRAWAL, ids=str)
def test_withdrawal_is_the_tables(row: Row) -> None:
    """The rows seen in the table itself are rounded down to the pound, those by hand rounded."""
    gauge, gravity = row.of
    found = withdrawal(gravity, GAUGES[int(gauge)].diameter, INCH) / POUND_FORCE
    assert row.value == (round(found) if row.status == "computed" else math.floor(found))


@pytest.mark.parametrize("row", PULL_THROUGH, ids=str)
def test_pull_through_is_the_tables(row: Row) -> None:
    gravity, head, board = row.of
    found = pull_through(gravity, head * INCH, board * INCH) / POUND_FORCE
    assert abs(found - row.value) <= 0.5 + 1e-9


@pytest.mark.parametrize("row", LATERAL, ids=str)
def test_lateral_is_the_tables(row: Row) -> None:
    gauge, side, gravity = row.of
    screw = GAUGES[int(gauge)]
    found = lateral(screw, side * INCH, 10 * screw.diameter, gravity, gravity)
    assert found is not None
    assert abs(found / POUND_FORCE - row.value) <= 0.5


@pytest.mark.parametrize("row", LATERAL_58, ids=str)
def test_lateral_of_fence_boards_is_what_a_hand_works_out(row: Row) -> None:
    gauge, side, gravity = row.of
    screw = GAUGES[int(gauge)]
    found = lateral(screw, side * INCH, 10 * screw.diameter, gravity, gravity)
    assert found is not None
    assert found / POUND_FORCE == pytest.approx(row.value, abs=0.052)


@pytest.mark.parametrize("row", BEARING, ids=str)
def test_bearing_strength_is_the_tables(row: Row) -> None:
    assert bearing_strength(row.of[0]) / PSI == pytest.approx(row.value, abs=1e-6)


@pytest.mark.parametrize("row", BENDING_YIELD, ids=str)
def test_bending_yield_is_the_tables(row: Row) -> None:
    assert bending_yield(row.of[0] * INCH) / PSI == pytest.approx(row.value)


@pytest.mark.parametrize("row", GAUGE_ROWS, ids=str)
def test_gauges_are_the_tables(row: Row) -> None:
    gauge = GAUGES[int(row.of[0])]
    assert gauge.diameter / INCH == pytest.approx(row.value, abs=1e-5)
    assert gauge.root / INCH == pytest.approx(ROOTS[gauge.number] / 1e3, abs=1e-5)
    assert gauge.head / INCH == pytest.approx(HEADS[gauge.number] / 1e3, abs=1e-5)


@pytest.mark.parametrize("row", FACTORS, ids=str)
def test_factors_are_the_tables(row: Row) -> None:
    assert row.of[0] == row.value


def test_all_six_modes_of_a_number_8_in_fence_board() -> None:
    """Computed by hand, 5/8 in side, 1.476 in of bearing; the least governs."""
    by_hand = {
        0.55: (487.78, 206.55, 163.54, 172.82, 91.51, 100.65),
        0.36: (224.12, 94.90, 75.14, 84.75, 52.66, 68.23),
    }
    for gravity, values in by_hand.items():
        m = yield_modes(GAUGES[8], 0.625 * INCH, 1.476 * INCH, gravity, gravity)
        found = [x / POUND_FORCE for x in (m.I_m, m.I_s, m.II, m.III_m, m.III_s, m.IV)]
        assert found == pytest.approx(list(values), abs=0.006)
        assert m.least == min(m.I_m, m.I_s, m.II, m.III_m, m.III_s, m.IV) == m.III_s


def test_breaking_withdrawal_is_five_and_a_half_times_the_reference() -> None:
    """Wood Handbook Eq. 8-10a: 108.25 G² D L in N and mm (read); 15,700 in pounds and inches."""
    assert withdrawal_breaking(1.0, 1.0, 1.0) == pytest.approx(108.25, rel=3e-5)
    ratio = withdrawal_breaking(0.5, 4.0, 20.0) / withdrawal(0.5, 4.0, 20.0)
    assert ratio == pytest.approx(5.509, abs=0.001)


@pytest.mark.parametrize(
    ("gravity", "out", "head", "wet_out", "wet_head"),
    [(0.36, 60.58, 54.8, 23.9, 34.5), (0.55, 141.39, 127.9, 55.7, 80.6)],
)
def test_worked_wet_permanent_number_8(
    gravity: float, out: float, head: float, wet_out: float, wet_head: float
) -> None:
    """Computed: thread 5/8 in, board 5/8 in, C_D .9 and C_M .7."""
    screw, factor = GAUGES[8], 0.9 * 0.7
    thread = withdrawal(gravity, screw.diameter, 0.625 * INCH)
    assert thread / LB_IN / INCH / 0.625 == pytest.approx(out, abs=0.006)
    assert thread * factor / POUND_FORCE == pytest.approx(wet_out, abs=0.06)
    under = pull_through(gravity, screw.head, 0.625 * INCH)
    assert under / POUND_FORCE == pytest.approx(head, abs=0.06)
    assert under * factor / POUND_FORCE == pytest.approx(wet_head, abs=0.06)


@pytest.mark.parametrize(("gauge", "shortest"), [(6, 1.453), (8, 1.609), (10, 1.765)])
def test_no_lateral_value_below_six_diameters(gauge: int, shortest: float) -> None:
    """Through 5/8 in, a shorter screw is outside the standard's scope (computed, to .001 in)."""
    screw, side = GAUGES[gauge], 0.625 * INCH
    within = lateral(screw, side, (shortest + 5e-4) * INCH - side, 0.5, 0.5)
    assert within is not None and within > 0
    assert lateral(screw, side, (shortest - 1e-3) * INCH - side, 0.5, 0.5) is None
    assert lateral(screw, side, (1.25 - 0.625) * INCH, 0.5, 0.5) is None


def test_penetration_between_six_and_ten_diameters_takes_its_share() -> None:
    screw = GAUGES[8]
    found = lateral(screw, 15.875, 8 * screw.diameter, 0.5, 0.5)
    modes = yield_modes(screw, 15.875, 7 * screw.diameter, 0.5, 0.5)
    assert found == pytest.approx(0.8 * modes.least)


def test_lead_holes_by_wood() -> None:
    """NDS 12.1.5.2, wording of a formula handbook (read)."""
    assert lead_hole(0.65, 3.0) == pytest.approx(2.7)
    assert lead_hole(0.55, 3.0) == pytest.approx(2.1)
    assert lead_hole(0.36, 3.0) == 0.0


@pytest.mark.parametrize(
    ("gravity", "share"), [(0.36, 7 / 8), (0.55, 7 / 8), (0.59, 7 / 8), (0.6, 1.0), (0.7, 1.0)]
)
def test_lead_holes_of_lateral_values_by_wood(gravity: float, share: float) -> None:
    """NDS 12.1.5.3, wording of a formula handbook (read second-hand)."""
    for gauge in GAUGES.values():
        shank, thread = shear_lead_holes(gravity, gauge)
        assert shank == pytest.approx(share * gauge.diameter)
        assert thread == pytest.approx(share * gauge.root)


def test_what_is_drilled_is_not_what_lateral_values_are_for() -> None:
    # said among what is not covered: the shank slides, the thread's hole is narrower
    for gauge in GAUGES.values():
        for gravity in (0.36, 0.55, 0.65):
            kind = ScrewKind(gauge, 50.0).into(gravity)
            shank, thread = shear_lead_holes(gravity, gauge)
            assert kind.clearance >= shank
            assert kind.pilot < thread
    assert any("7/8 of shank and root" in text for text in NOT_COVERED)


DISTANCES = {
    # diameters, wood to wood, prebored, advisory; three texts that quote the table agree
    "edge_advised": Row((), 2.5, "NDS 2018 Commentary, Table C12.1.5.7: edge", "read"),
    "end_advised": Row((), 10.0, "NDS 2018 Commentary, Table C12.1.5.7: end, tension", "read"),
}


@pytest.mark.parametrize("name", sorted(DISTANCES))
def test_advised_distances_are_the_published_ones(name: str) -> None:
    assert getattr(TOLERANCES, name) == DISTANCES[name].value


@pytest.mark.parametrize(
    ("gauge", "edge", "end"), [(6, 0.35, 1.38), (8, 0.41, 1.64), (10, 0.47, 1.90)]
)
def test_advised_distances_in_inches(gauge: int, edge: float, end: float) -> None:
    """2.5 and 10 D of Table L3's diameters, to a hundredth of an inch: computed."""
    diameter = GAUGES[gauge].diameter / INCH
    assert TOLERANCES.edge_advised * diameter == pytest.approx(edge, abs=0.0051)
    assert TOLERANCES.end_advised * diameter == pytest.approx(end, abs=0.0051)
    # so a screw along the middle of a 5/8 in edge is always nearer than advised
    assert TOLERANCES.edge_advised * diameter > 0.625 / 2


def test_thread_of_a_standard_screw() -> None:
    """NDS Table L3, footnotes 2 and 3 (read): the greater of 4 D and two thirds."""
    assert thread_length(60.0, 4.0) == pytest.approx(40.0)
    assert thread_length(18.0, 4.0) == pytest.approx(16.0)
    assert thread_length(14.0, 4.0) == pytest.approx(14.0)


def test_reduction_term_by_root() -> None:
    """NDS Table 12.3.1B (read)."""
    assert reduction_term(0.17 * INCH) == 2.2
    assert reduction_term(0.196 * INCH) == pytest.approx(2.46)


WOODS = st.floats(0.31, 0.73)
SCREWS = st.sampled_from(sorted(GAUGES))
SIDES = st.floats(6.0, 60.0)


@given(WOODS, WOODS, SCREWS, SIDES, st.floats(0.0, 60.0))
def test_a_thicker_board_a_denser_wood_or_a_deeper_point_is_never_weaker(
    first: float, second: float, gauge: int, side: float, more: float
) -> None:
    screw, (light, dense) = GAUGES[gauge], sorted((first, second))
    deep = 6 * screw.diameter
    base = lateral(screw, side, deep, light, light)
    assert base is not None
    for other in (
        lateral(screw, side, deep + more, light, light),
        lateral(screw, side, deep, dense, dense),
    ):
        assert other is not None and other >= base * (1 - 1e-12)
    whole = yield_modes(screw, side, deep, light, light)
    assert yield_modes(screw, side, deep + more, light, light).least >= whole.least * (1 - 1e-12)
    assert yield_modes(screw, side + more, deep, light, light).IV == whole.IV
    head = pull_through(light, screw.head, side)
    assert pull_through(dense, screw.head, side + more) >= head * (1 - 1e-3)


@given(st.floats(10.0, 60.0), st.floats(10.0, 60.0), st.floats(0.0, math.pi / 2))
def test_a_slanted_pull_lies_between_the_two_values(
    out: float, across: float, angle: float
) -> None:
    found = combined(out, across, angle)
    assert min(out, across) * (1 - 1e-9) <= found <= max(out, across) * (1 + 1e-9)
    assert combined(out, across, 0.0) == pytest.approx(across)
    assert combined(out, across, math.pi / 2) == pytest.approx(out)


@given(WOODS, SCREWS, st.floats(0.25, 2.0), st.floats(1.0, 3.0))
def test_formulas_hold_in_pounds_and_inches_alike(
    gravity: float, gauge: int, side: float, deep: float
) -> None:
    """Written once more as printed, in pounds, inches and psi, and compared in newtons."""
    screw = GAUGES[gauge]
    d, root, head = (x / INCH for x in (screw.diameter, screw.root, screw.head))
    printed = 2850 * gravity**2 * d * deep
    found = withdrawal(gravity, screw.diameter, deep * INCH)
    assert found == pytest.approx(printed * POUND_FORCE)
    printed = 15_700 * gravity**2 * d * deep
    found = withdrawal_breaking(gravity, screw.diameter, deep * INCH)
    assert found == pytest.approx(printed * POUND_FORCE)
    thin = 690 * math.pi * head * gravity**2 * side
    thick = 1725 * math.pi * head**2 * gravity**2
    assert pull_through(gravity, screw.head, side * INCH) == pytest.approx(
        (thin if side <= 2.5 * head else thick) * POUND_FORCE
    )
    f_e = round(16_600 * gravity**1.84 / 50) * 50
    f_y = bending_yield(screw.diameter) / PSI
    r_d = 2.2 if root <= 0.17 else 10 * root + 0.5
    modes = yield_modes(screw, side * INCH, deep * INCH, gravity, gravity)
    assert modes.I_m == pytest.approx(root * deep * f_e / r_d * POUND_FORCE)
    assert modes.I_s == pytest.approx(root * side * f_e / r_d * POUND_FORCE)
    assert pytest.approx(root**2 / r_d * math.sqrt(2 * f_e * f_y / 6) * POUND_FORCE) == modes.IV
