"""What follows from the published values together, and must hold for whatever box is asked.

No value is called the standard's outside its scope, end grain is given nothing, a point that ends
flush is told, both gravities stay apart, assumed strength says so, wet soil is ground contact, a
deck's load is told beside the box's, and stability is judged before any screw.
"""

from __future__ import annotations

from functools import cache
from itertools import product
from typing import Any

import pytest
from hypothesis import HealthCheck, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from palewright.catalogue.lumber import LUMBER_CASES
from palewright.catalogue.screws import GAUGES
from palewright.construction.box_layout import lay_out
from palewright.design import design
from palewright.fit.cases import DESIGN_CHECKS, FitCase
from palewright.fit.findings import CODES, Finding, merged
from palewright.fit.verdict import judge
from palewright.loads.box_loads import BoxLoads
from palewright.loads.screw_design_values import DURATION, WET, lateral
from palewright.loads.screw_forces import in_end_grain, screw_values
from palewright.loads.trellis_wind import TrellisWind, pulled_about
from palewright.parameters.variant_files import load_variant, parameters_from, shipped_variants
from palewright.reading.lengths import INCH
from palewright.reading.quantities import PSF

VARIANTS = shipped_variants()
few = hypothesis_settings(
    max_examples=25, derandomize=True, deadline=None, suppress_health_check=list(HealthCheck)
)


@cache
def loads_of(name: str) -> BoxLoads:
    return BoxLoads(lay_out(load_variant(name).parameters))


def findings_of(said: dict[str, Any]) -> list[Finding]:
    fit = FitCase(lay_out(parameters_from(said, {})), "nominal")
    return merged(finding for check in DESIGN_CHECKS for finding in check(fit))


@pytest.mark.parametrize(("gauge", "length"), [*product((6, 7, 8, 9, 10), (1.0, 1.25))])
def test_short_screws_through_fence_boards_have_no_lateral_value(gauge: int, length: float) -> None:
    deep = (length - 0.625) * INCH
    assert 0.374 < deep / INCH < 0.626
    assert lateral(GAUGES[gauge], 0.625 * INCH, deep, 0.55, 0.55) is None


@pytest.mark.parametrize("name", VARIANTS)
def test_outside_the_standards_scope_no_number_is_called_its(name: str) -> None:
    loads = loads_of(name)
    fit = FitCase(loads.box, "nominal")
    found = merged(finding for check in DESIGN_CHECKS for finding in check(fit))
    told = [f for f in found if f.code == "PW921"]
    short = {}
    for one in (*loads.screws, *(loads.trellis.screws if loads.trellis else ())):
        if one.values is None:
            continue
        # NDS 12.1.5.6: 6 D across; in pull no more than the tip of 2 D, Table L3, is no thread
        deep = one.values.penetration
        outside = (one.pushed > 0 and deep < 6 - 1e-9) or (one.pulled > 0 and deep < 2 + 1e-9)
        assert (one.value is None) == (not one.in_scope) == outside
        if outside:
            short[one.use] = one
            for finding in found:
                judged = finding.code == "PW922" and finding.group == one.use
                if judged or (finding.code == "PW927" and f"worst {one.use} " in finding.message):
                    assert "counts whole" in finding.message
    assert len(told) == bool(short)
    for finding in told:
        assert "told, not judged" in finding.message
        assert all(f"{use} {one.values.penetration:.1f} D" in finding.message
                   for use, one in short.items() if one.values)  # fmt: skip
        assert set(finding.boards) == {name for one in short.values() for name in one.screws}


@pytest.mark.parametrize("name", VARIANTS)
def test_threads_in_end_grain_are_given_nothing_and_hold_no_soil(name: str) -> None:
    loads = loads_of(name)
    hung = [one for one in loads.screws if one.use == "hung floor"]
    assert not hung
    screws = {screw.name: screw for screw in loads.box.screws}
    groups = [*loads.screws, *(loads.trellis.screws if loads.trellis else ())]
    for one in (group for group in groups if group.pulled > 0):
        assert not any(in_end_grain(screws[screw], loads.box) for screw in one.screws)
        assert one.values is None or one.values.out_whole > 0


def test_end_grain_is_given_nothing_and_two_thirds_across() -> None:
    hung = BoxLoads(lay_out(parameters_from({"floor": {"kind": "hung"}}, {})))
    held = [s for s in hung.box.screws if s.use == "floor" and in_end_grain(s, hung.box)]
    assert held
    for screw in held:
        values = screw_values(screw, hung.box, DURATION["permanent"])
        assert values is not None and values.out == 0.0


def test_a_point_that_ends_flush_with_the_far_face_is_told() -> None:
    """1-1/4 in through two boards of 5/8 in: nothing is left; thin boards let it through."""
    for length, code in (("1-1/4 in", "PW302"), ("1-7/32 in", "PW303"), ("1 in", None)):
        said = {"screws": {"wall": f"#8 x {length}"}}
        verdict = judge(parameters_from(said, {}), LUMBER_CASES)
        told = {finding.code for finding in verdict.findings} | verdict.implied
        codes = told & {"PW302", "PW303"}
        assert (code in codes) if code else not codes


def test_each_formula_takes_its_own_gravity() -> None:
    plain = lay_out(load_variant("stoop-tub").parameters)
    screw = next(s for s in plain.screws if s.use == "wall")
    first = screw_values(screw, plain, 0.9)
    assert first is not None and first.breaking is not None
    for key, value in (("gravity", 0.44), ("gravity_12", 0.44)):
        parameters = load_variant("stoop-tub").parameters
        pine = parameters.materials.species[parameters.materials.stock["board"]]
        changed = parameters.model_copy(
            update={"species": {"treated-pine": pine.model_copy(update={key: value})}}
        )
        values = screw_values(screw, lay_out(changed), 0.9)
        assert values is not None and values.breaking is not None
        assert (values.out_whole == first.out_whole) == (key == "gravity_12")
        assert (values.breaking == first.breaking) == (key == "gravity")


@pytest.mark.parametrize("name", VARIANTS)
def test_bending_of_boards_without_a_grade_is_an_assumption_and_says_so(name: str) -> None:
    loads = loads_of(name)
    for bent in loads.bent:
        wood = loads.box.parameters.materials.species[loads.box.boards[bent.boards[0]].stock]
        if wood.bending is None:  # a wood of the variant's own, of which it is not known
            assert bent.allowed is None
            continue
        assert bent.allowed == pytest.approx(0.9 * wood.bending)
        assert "judgement" in wood.strength_source
    assert "assumed" in CODES["PW911"].basis and "no grade" in CODES["PW911"].basis


def test_wet_soil_against_picket_treatment_is_ground_contact() -> None:
    bare = findings_of({"liner": {"fit": False}})
    (found,) = [f for f in bare if f.code == "PW933"]
    assert "ground contact" in found.message and "UC4A" in found.remedy
    assert "liner.fit" in found.remedy
    assert "PW933" not in {f.code for f in findings_of({})}


def test_a_deck_is_told_both_figures_and_who_decides() -> None:
    """A 20 in cube: its wet mix alone presses twice a deck's 40 psf over its footprint."""
    said = {"box": {"width": "20 in", "depth": "20 in", "height": "20 in"}}
    (found,) = [f for f in findings_of(said) if f.code == "PW904"]
    assert found.measured / PSF > 1.5 * 40
    assert found.limit / PSF == pytest.approx(40)
    assert "40 psf" in found.message and "whole floor" in found.message
    assert "official" in found.remedy and "engineer" in found.remedy


def test_wind_is_judged_whatever_the_screws_carry() -> None:
    """A tree or ladder tips the box long before the soil's screws are asked too much."""
    said = {"site": {"plant_height": "4 ft", "plant_width": "24 in", "wind": "35 mph"}}
    codes = {finding.code for finding in findings_of(said)}
    assert "PW905" in codes and not codes & {"PW922", "PW923"}


@pytest.mark.parametrize("name", VARIANTS)
def test_screws_are_judged_in_wet_service_for_good(name: str) -> None:
    """C_M .7 and C_D .9 for soil, 1.6 for wind, on every value that is printed."""
    loads = loads_of(name)
    screws = {screw.name: screw for screw in loads.box.screws}
    brief = ("cap", "top rail")
    for one in loads.screws:
        duration = DURATION["seven days"] if one.use in brief else DURATION["permanent"]
        assert one.values == screw_values(screws[one.screws[0]], loads.box, duration)
    for one in loads.trellis.screws if loads.trellis else ():
        assert one.values == screw_values(screws[one.screws[0]], loads.box, DURATION["wind"])
    assert WET == 0.7


@given(st.lists(st.floats(5, 400), min_size=1, max_size=8), st.floats(1, 1e6))
def test_pulls_that_grow_with_distance_hold_the_moment(rows: list[float], moment: float) -> None:
    most = pulled_about(rows, moment)
    pulls = [most * d / max(rows) for d in rows]
    assert sum(p * d for p, d in zip(pulls, rows, strict=True)) == pytest.approx(moment)
    assert pulled_about([*rows, max(rows)], moment) < most


@few
@given(st.integers(10, 60), st.integers(1, 12), st.integers(12, 50))
def test_more_wind_or_a_higher_trellis_never_pulls_or_bends_less(
    mph: int, more: int, height: int
) -> None:
    def wind(speed: int, high: int) -> TrellisWind:
        said = {
            "box": {"width": "24 in"},
            "trellis": {"fit": True, "height": f"{high} in"},
            "site": {"wind": f"{speed} mph"},
        }
        found = BoxLoads(lay_out(parameters_from(said, {}))).trellis
        assert found is not None
        return found

    base, windier, higher = wind(mph, height), wind(mph + more, height), wind(mph, height + more)
    share = ((mph + more) / mph) ** 2
    assert windier.stress == pytest.approx(base.stress * share)
    for one, other in zip(base.screws, windier.screws, strict=True):
        assert other.pulled == pytest.approx(one.pulled * share)
        assert other.value == one.value
    assert higher.stress > base.stress and higher.force > base.force
    for one, other in zip(base.screws, higher.screws, strict=True):
        if one.use != "trellis bar":
            assert other.pulled > one.pulled


def test_one_gust_is_one_finding_about_all_screws_that_it_asks_too_much_of() -> None:
    """Which those are, and which is worst, is read off the loads, group by group."""
    tower = design(load_variant("bean-tower", ["site.wind=100 mph"]).parameters)
    assert tower.loads.trellis is not None
    groups = tower.loads.trellis.screws
    over = [one for one in groups if one.limit is not None and one.pulled > one.limit]
    assert len({one.use for one in over}) > 1, "the case shows nothing"
    (found,) = (one for one in tower.verdict.findings if one.code == "PW927")
    assert set(found.boards) == {name for one in over for name in one.screws}
    share = max(one.pulled / one.limit for one in over if one.limit)
    assert found.measured / found.limit == pytest.approx(share)
    assert all(f"{one.use} screw" in found.message for one in over)
