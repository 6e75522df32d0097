"""What steps ask for in numbers: against the parameters and sizes that the boards came from."""

from __future__ import annotations

import math

import pytest

from palewright.assembly.assembly_steps import AssemblyStep, assembly_steps
from palewright.assembly.step_facts import (
    Press,
    step_measures,
    step_presses,
)
from palewright.design import Design, design
from palewright.parameters.variant_files import load_variant, shipped_variants

VARIANTS = tuple(shipped_variants())


def design_of(name: str, *typed: str) -> Design:
    return design(load_variant(name, list(typed)).parameters, name)


def step_of(one: Design, key: str) -> AssemblyStep:
    return next(step for step in assembly_steps(one.box) if step.key == key)


def sizes_in(one: Design, key: str) -> dict[str, float]:
    return {m.what: m.length for m in step_measures(step_of(one, key), one.box)}


@pytest.mark.parametrize("name", VARIANTS)
def test_steps_drive_all_screws_and_take_all_boards(name: str) -> None:
    one = design_of(name)
    bought: dict[str, int] = {}
    for step in assembly_steps(one.box):
        for screw in step.screws:
            bought[screw.kind.label] = bought.get(screw.kind.label, 0) + step.times
        assert sum(len(set(part.boards) & set(step.added)) for part in one.parts) == len(step.added)
        measures = step_measures(step, one.box)
        assert len({m.what for m in measures}) == len(measures)
        assert all(m.length > 0 for m in measures)
    needed: dict[str, int] = {}
    for screw in one.box.screws:
        needed[screw.kind.label] = needed.get(screw.kind.label, 0) + 1
    assert bought == needed


@pytest.mark.parametrize("name", VARIANTS)
def test_sizes_are_those_of_the_variant(name: str) -> None:
    one = design_of(name)
    sizes, p = one.box.sizes, one.parameters
    frame = sizes_in(one, "front-frame")
    assert frame["from the stiles' lower ends to the lower rail"] == pytest.approx(p.box.foot)
    assert frame["from corner to corner, both ways alike"] == pytest.approx(
        math.hypot(sizes.width, sizes.top)
    )
    staves = sizes_in(one, "front-staves")
    assert staves["from each edge of the panel to the first stave"] == pytest.approx(sizes.lip)
    assert staves.get("between staves", 0.0) == pytest.approx(sizes.gap, abs=0.5)
    side = sizes_in(one, "left-staves")
    assert side["from each edge of the panel to the first stave"] == pytest.approx(sizes.setback)
    side = sizes_in(one, "left-frame")
    assert side["from corner to corner, both ways alike"] == pytest.approx(
        math.hypot(sizes.side_length, sizes.top)
    )
    for step in assembly_steps(one.box):
        for measure in step_measures(step, one.box):
            if measure.what == "between slats":
                assert measure.length == pytest.approx(p.floor.gap)
            if measure.what.startswith("the cap overhangs"):
                assert measure.length == pytest.approx(p.cap.overhang)
            if measure.what.endswith("to the cleat's upper edge"):
                free = 0.0 if p.wall.rail_lap is None else p.panel.rail_width - p.wall.rail_lap
                assert measure.length == pytest.approx(p.floor.rise - free)


def test_a_changed_size_changes_what_is_printed() -> None:
    wider = design_of("stoop-tub", "floor.gap=9 mm", "cap.overhang=31 mm", "panel.lip=50 mm")
    assert sizes_in(wider, "box-3") == {"between slats": pytest.approx(9)}
    assert list(sizes_in(wider, "box-4").values()) == [pytest.approx(31)]
    edge = "from each edge of the panel to the first stave"
    assert sizes_in(wider, "front-staves")[edge] == pytest.approx(50)


def test_what_is_pressed_where_is_said_once() -> None:
    one = design_of("stoop-tub")
    assert [p.text for p in step_presses(step_of(one, "front-staves"), one.box)] == [
        "stile, rail and brace tight against stave"
    ]
    cap = step_presses(step_of(one, "box-4"), one.box)
    assert [p.text for p in cap] == ["cap tight against stile, rail and stave", "glue cap to cap"]
    assert Press("bearing", ("slat",), ("cleat",)).text == "slat rests on cleat"
    slid = step_of(design_of("winter-tub"), "box-3")
    assert step_presses(slid, design_of("winter-tub").box) == ()
