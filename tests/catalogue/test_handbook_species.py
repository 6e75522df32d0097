"""Published values of the woods that ship, each with source and status.

``read``: in a text that quotes or transcribes the table; ``computed``: worked by hand from a read
value; ``from memory``: not seen in any text; ``judgement``: chosen, with its reason beside it.
"""

from __future__ import annotations

from typing import NamedTuple

import pytest

from palewright.catalogue.lumber import shipped_species
from palewright.catalogue.wood_moisture import movement_coefficient
from palewright.reading.quantities import POUND_A_CUBIC_FOOT, PSI

WH = "Wood Handbook"


class Row(NamedTuple):
    """One published value: the wood, what of it, the value, where it stands, how seen."""

    name: str
    key: str
    value: float
    source: str
    status: str


SPECIES = [
    Row("treated-pine", "gravity", 0.55, "NDS Table 12.3.3A, Southern Pine", "read"),
    Row("cedar", "gravity", 0.36, "NDS Table 12.3.3A, Western Cedars", "read"),
    Row("douglas-fir", "gravity", 0.50, "NDS Table 12.3.3A, Douglas Fir-Larch", "read"),
    Row("spruce", "gravity", 0.42, "NDS Table 12.3.3A, SPF", "read"),
    Row("treated-pine", "gravity_12", 0.51, f"{WH} Table 5-3b, loblolly, 12 %", "read"),
    Row("cedar", "gravity_12", 0.32, f"{WH} Table 5-3b, western redcedar, 12 %", "read"),
    Row("douglas-fir", "gravity_12", 0.48, f"{WH} Table 5-3b, coast, 12 %", "read"),
    Row("treated-pine", "breaking", 7300, f"{WH} Table 5-3b, loblolly, green, psi", "read"),
    Row("cedar", "breaking", 5200, f"{WH} Table 5-3b, western redcedar, green, psi", "read"),
    Row("douglas-fir", "breaking", 7700, f"{WH} Table 5-3b, coast, green, psi", "read"),
    Row("treated-pine", "stiffness", 1.40e6, f"{WH} Table 5-3b, loblolly, green, psi", "read"),
    Row("cedar", "stiffness", 0.94e6, f"{WH} Table 5-3b, western redcedar, green, psi", "read"),
    Row("douglas-fir", "stiffness", 1.56e6, f"{WH} Table 5-3b, coast, green, psi", "read"),
    Row("treated-pine", "bending", 500, "half of No. 2, 6 wide, 1000 psi, Supp. 4B", "judgement"),
    Row("cedar", "bending", 350, "half of No. 2, 700 psi, Supp. 4A, from memory", "judgement"),
    Row("treated-pine", "shrink_tangential", 7.4, f"{WH} Table 4-3, loblolly", "from memory"),
    Row("cedar", "shrink_tangential", 5.0, f"{WH} Table 4-3, western redcedar", "read"),
    Row("douglas-fir", "shrink_tangential", 7.6, f"{WH} Table 4-3, coast", "read"),
    Row("cedar", "saturation", 22, f"{WH} Table 13-5, footnote", "from memory"),
    Row("treated-pine", "saturation", 30, f"{WH} Table 13-5, footnote", "read"),
]

DENSITIES = [
    Row("treated-pine", "density", 35.6, "62.4 G (1 + M/100), loblolly, 12 %, lb/ft3", "computed"),
    Row("cedar", "density", 22.4, "the same, western redcedar", "computed"),
    Row("douglas-fir", "density", 33.5, "the same, coast", "computed"),
]

MOVEMENTS = [
    Row("treated-pine", "tangential", 0.00259, f"{WH} Table 13-5, loblolly", "computed"),
    Row("cedar", "tangential", 0.00234, f"{WH} Table 13-5, redcedar", "computed"),
    Row("douglas-fir", "tangential", 0.00267, f"{WH} Table 13-5, coast", "read, trade table"),
]


@pytest.mark.parametrize("row", SPECIES, ids=str)
def test_a_wood_that_ships_has_its_tables_value(row: Row) -> None:
    scale = PSI if row.key in ("bending", "breaking", "stiffness") else 1.0
    found = getattr(shipped_species()[row.name], row.key)
    assert found / scale == pytest.approx(row.value, rel=1e-9)


@pytest.mark.parametrize("row", DENSITIES, ids=str)
def test_a_wood_that_ships_weighs_what_its_gravity_says(row: Row) -> None:
    wood = shipped_species()[row.name]
    assert wood.density / POUND_A_CUBIC_FOOT == pytest.approx(row.value, abs=0.06)
    assert wood.gravity_12 is not None
    by_gravity = 62.4 * wood.gravity_12 * 1.12
    assert by_gravity == pytest.approx(row.value, abs=0.06)


@pytest.mark.parametrize("row", MOVEMENTS, ids=str)
def test_a_wood_that_ships_moves_as_its_table_says(row: Row) -> None:
    wood = shipped_species()[row.name]
    assert wood.shrink_tangential is not None
    found = movement_coefficient(wood.shrink_tangential, wood.saturation)
    assert found == pytest.approx(row.value, abs=6e-6)


def test_what_is_from_memory_or_a_judgement_says_so_where_it_is_used() -> None:
    for row in SPECIES:
        wood = shipped_species()[row.name]
        shrinks = row.key.startswith("shrink")
        told = wood.shrinkage_source if shrinks else wood.strength_source
        if row.key != "saturation" and row.status in ("from memory", "judgement"):
            assert row.status in told, row
    spruce = shipped_species()["spruce"]
    assert "from memory" in spruce.strength_source and "from memory" in spruce.shrinkage_source


def test_both_gravities_are_kept_apart() -> None:
    """Assigned G (oven-dry weight and volume) and G at 12 % differ by document, never swapped."""
    for wood in shipped_species().values():
        assert wood.gravity is not None and wood.gravity_12 is not None
        assert wood.gravity > wood.gravity_12
