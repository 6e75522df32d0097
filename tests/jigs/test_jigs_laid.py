"""Jigs laid on the box in space: holes on their screws, fences on their edges, in all lumber."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, event, given, settings
from hypothesis import strategies as st

from case_lists import mostly_thorough, tried
from jig_cases import PLATES, VARIANTS, along, boxed, hole_error, made, part_block
from palewright.catalogue.lumber import LUMBER_CASES, LumberCase
from palewright.construction.box_layout import Box, lay_out
from palewright.construction.face_patterns import FACE_PATTERNS
from palewright.geometry.contours import extent
from palewright.jigs import jigs_of
from palewright.jigs.panel_plates import panel_views, symmetries
from palewright.jigs.records import Jig, JigSet, Pose
from palewright.parameters.variant_files import parameters_from
from palewright.reading.errors import InputError
from palewright.solids.convex_prisms import prism_of

OFF, ASKEW = 0.01, 0.01
"""A laid hole is no further (mm) and no more askew (degrees) from its screw's axis."""

HAIR = 0.02
"""What touches shares this thickness (mm) with what it bears on when it is pressed so far."""

CASES = [(name, plate) for name in VARIANTS for plate in PLATES]


def faults_of_holes(jigs: JigSet, box: Box, kind: str) -> list[str]:
    """Every hole of a kind of jig that is not on its screw, in words."""
    screws = {screw.name: screw for screw in box.screws}
    found = []
    for jig in (jig for jig in jigs.jigs if jig.kind == kind):
        for pose in (*jig.poses, *jig.also):
            for guide, name in pose.served:
                off, lean = hole_error(jig, pose, guide, screws[name], box)
                if off > OFF or lean > ASKEW:
                    found.append(f"{jig.name} {pose.where} {name}: {off:.3f} mm {lean:.3f}°")
    return found


def faults_of_service(jigs: JigSet, box: Box, kind: str, uses: tuple[str, ...]) -> list[str]:
    """Every screw that no jig of a kind serves, or that is served more than once."""
    served = Counter(
        name
        for jig in jigs.jigs
        if jig.kind == kind
        for pose in jig.poses
        for _, name in pose.served
    )
    wanted = Counter(screw.name for screw in box.screws if screw.use in uses)
    return sorted((served - wanted) + (wanted - served))


def faults_of_fences(jig: Jig, pose: Pose, box: Box, met: list[str]) -> list[str]:
    """What a laid jig's strips run into, and what they should bear on but do not."""
    found = []
    touching = {touch.part: touch.boards for touch in pose.touches}
    for part in jig.parts[1:]:
        block = part_block(jig, part, pose, box)
        for name in met:
            shared = block.overlap(prism_of(box.boards[name]))
            if shared.volume > 1.0:
                found.append(f"{jig.name} {pose.on}: {part.name} runs into {name}")
        pressed = part_block(jig, part, pose, box, bite=True)
        for name in touching.get(part.name, ()):
            area = pressed.overlap(prism_of(box.boards[name])).volume / HAIR
            if area < 20.0:
                found.append(f"{jig.name} {pose.on}: {part.name} misses {name}: {area:.1f} mm²")
    return found


def panel_boards(box: Box, pose: Pose) -> list[str]:
    """What lies on the bench while a panel is drilled: frame and staves."""
    panel = pose.on.split()[0]
    loose = ("cleat", "post")
    return [b.name for b in box.boards.values() if b.panel == panel and b.role not in loose]


@pytest.mark.parametrize("case", mostly_thorough(LUMBER_CASES, "thick"))
@pytest.mark.parametrize(("name", "plate"), CASES)
def test_panel_holes_are_on_their_screws_in_all_lumber(
    name: str, plate: str, case: LumberCase
) -> None:
    assert faults_of_holes(made(name, plate).jigs, boxed(name, case), "panel") == []


@pytest.mark.parametrize(("name", "plate"), CASES)
def test_every_wall_screw_is_served_once(name: str, plate: str) -> None:
    tub = made(name, plate)
    assert faults_of_service(tub.jigs, tub.box, "panel", ("wall",)) == []
    assert faults_of_service(tub.jigs, tub.box, "corner", ("corner", "post")) == []


@pytest.mark.parametrize("case", mostly_thorough(LUMBER_CASES, "thick"))
@pytest.mark.parametrize(("name", "plate"), CASES)
def test_fences_bear_on_their_edges_and_run_into_nothing(
    name: str, plate: str, case: LumberCase
) -> None:
    box = boxed(name, case)
    for jig in (jig for jig in made(name, plate).jigs.jigs if jig.kind == "panel"):
        for pose in (*jig.poses, *jig.also):
            assert faults_of_fences(jig, pose, box, panel_boards(box, pose)) == []


@pytest.mark.parametrize("case", LUMBER_CASES)
@pytest.mark.parametrize("name", VARIANTS)
def test_the_plate_lies_on_the_proudest_stave_and_its_fences_stay_off_the_bench(
    name: str, case: LumberCase
) -> None:
    box = boxed(name, case)
    for jig in (jig for jig in made(name, "half").jigs.jigs if jig.kind == "panel"):
        for pose in jig.poses:
            place = pose.placement(box.boards, jig.plate.thickness)
            boards = [box.boards[one] for one in panel_boards(box, pose)]
            low, high = along(boards, place.normal)
            level = float(np.dot(place.origin, place.normal))
            if pose.turned:
                assert level + jig.plate.thickness == pytest.approx(low, abs=1e-9)
                assert level + jig.plate.thickness + jig.fixed["fence height"] <= high - 1e-9
            else:
                assert level == pytest.approx(high, abs=1e-9)
                assert level - jig.fixed["fence height"] >= low + 1e-9


@pytest.mark.parametrize("name", VARIANTS)
def test_corner_holes_are_on_their_screws_in_the_lumber_they_are_made_for(name: str) -> None:
    jigs, box = made(name).jigs, boxed(name, "nominal")
    assert faults_of_holes(jigs, box, "corner") == []
    loose = [board.name for board in box.boards.values() if board.panel not in ("cap", "trellis")]
    for jig in (jig for jig in jigs.jigs if jig.kind == "corner"):
        for pose in jig.poses:
            assert faults_of_fences(jig, pose, box, loose) == []


@pytest.mark.parametrize("case", ["thin", "thick"])
@pytest.mark.parametrize("name", VARIANTS)
def test_corner_holes_in_other_lumber_are_off_by_no_more_than_it_varies(
    name: str, case: LumberCase
) -> None:
    """The side stile's middle moves by half the spread; a post's by the whole wall's."""
    jigs, box = made(name).jigs, boxed(name, case)
    spread = box.sizes.board.thickness_spread
    post = box.parameters.materials.stock["post"].thickness_spread
    screws = {screw.name: screw for screw in box.screws}
    for jig in (jig for jig in jigs.jigs if jig.kind == "corner"):
        for pose in jig.poses:
            for guide, served in pose.served:
                off, lean = hole_error(jig, pose, guide, screws[served], box)
                edge = screws[served].use == "corner"
                assert lean < ASKEW
                assert off <= (spread / 2 if edge else 2 * spread + post / 2) + 1e-6


def test_a_hole_half_a_millimetre_off_is_found() -> None:
    tub = made("stoop-tub")
    jigs = tub.jigs
    first = next(jig for jig in jigs.jigs if jig.kind == "panel")
    (x, y), *rest = first.guides
    wrong = replace(first, guides=((x + 0.5, y), *rest))
    found = faults_of_holes(JigSet((wrong,), ()), tub.box, "panel")
    # two panels, one way each: a peak cannot be drilled from either end
    assert len(found) == 2
    assert all("0.500 mm" in fault for fault in found)


def test_a_forgotten_hole_and_one_drilled_twice_are_found() -> None:
    tub = made("stoop-tub")
    jig = next(jig for jig in tub.jigs.jigs if jig.kind == "panel")
    pose = jig.poses[0]
    others = tuple(one for one in tub.jigs.jigs if one is not jig)
    for served in (pose.served[1:], (*pose.served, pose.served[0])):
        wrong = replace(jig, poses=(replace(pose, served=served), *jig.poses[1:]))
        jigs = JigSet((wrong, *others), ())
        assert len(faults_of_service(jigs, tub.box, "panel", ("wall",))) == 1


def test_a_fence_a_millimetre_off_is_found() -> None:
    tub = made("stoop-tub")
    jig = next(jig for jig in tub.jigs.jigs if jig.kind == "panel")
    pose = jig.poses[0]
    for shift, word in ((1.0, "runs into"), (-1.0, "misses")):
        side = jig.parts[1]
        x, y, z = side.placement.origin
        moved = replace(side, placement=replace(side.placement, origin=(x + shift, y, z)))
        wrong = replace(jig, parts=(jig.parts[0], moved, *jig.parts[2:]))
        found = faults_of_fences(wrong, pose, tub.box, panel_boards(tub.box, pose))
        assert any(word in fault and "side fence" in fault for fault in found)


@pytest.mark.parametrize("name", VARIANTS)
def test_a_jig_is_reversible_where_the_spacing_is(name: str) -> None:
    """Said by the geometry: a half turn of the screws about the wall's middle maps them on."""
    tub = made(name)
    views = {view.name: view for view in panel_views(tub.box)}
    for jig in (jig for jig in tub.jigs.jigs if jig.kind == "panel"):
        panels = [pose.on.split()[0] for pose in jig.poses]
        turns = []
        for panel in panels:
            view = views[panel]
            here = np.array([(u, v) for u, v, _ in view.screws])
            there = np.array([view.plan.width, view.foot + view.top]) - here
            apart = np.linalg.norm(here[:, None] - there[None], axis=2)
            turns.append(bool((apart.min(axis=0) < OFF).all() and (apart.min(axis=1) < OFF).all()))
            assert ("half turn" in symmetries(view)) == turns[-1]
        assert (jig.reversal == "half turn") == all(turns)
        engraved = " ".join(words.text for words in jig.plate.words)
        assert ("EITHER WAY ROUND" in engraved) == all(turns)
        assert [pose.on for pose in jig.also] == [pose.on for pose in jig.poses if all(turns)]


def test_one_half_plate_drills_both_halves_where_it_may() -> None:
    """Slants turn round, a peak is a mirror image, a wall with its filler aside is neither."""
    slant = made("winter-tub-small", "half").jigs.jigs
    assert [(jig.reversal, len(jig.poses)) for jig in slant if jig.kind == "panel"] == [
        ("half turn", 4),
        ("half turn", 4),
    ]
    words = [one.text for jig in slant for one in jig.plate.words if jig.kind == "panel"]
    assert words.count("HALF A TURN FOR THE OTHER HALF") == 2
    (peak,) = [jig for jig in made("market-gable", "half").jigs.jigs if jig.name == "panel-front"]
    assert (peak.reversal, [pose.turned for pose in peak.poses]) == ("turned over", [False, True])
    assert "TURN OVER FOR THE OTHER HALF" in [one.text for one in peak.plate.words]
    trough = [jig for jig in made("herb-trough", "half").jigs.jigs if jig.kind == "panel"]
    assert [jig.reversal for jig in trough] == [""] * 4


@st.composite
def boxes(draw: st.DrawFn) -> dict[str, Any]:
    """Boxes and jigs anywhere in what a shop makes, and a little beyond."""

    def inches(low: int, high: int, part: int = 16) -> str:
        return f"{draw(st.integers(low * part, high * part))}/{part} in"

    return {
        "box": {
            "width": inches(10, 60),
            "depth": inches(8, 30),
            "height": inches(6, 50),
            "foot": inches(0, 6),
        },
        "face": {
            "front": draw(st.sampled_from([*FACE_PATTERNS])),
            "sides": draw(st.sampled_from([*FACE_PATTERNS, "same"])),
            "back": draw(st.sampled_from([*FACE_PATTERNS, "same"])),
        },
        "lumber": {"board": draw(st.sampled_from(["fence-58", "fence-34", "fence-16-metric"]))},
        "panel": {"stile_width": inches(2, 5), "rail_width": inches(2, 4)},
        "wall": {
            "layout": draw(st.sampled_from(["filler", "equal"])),
            "gap": draw(st.sampled_from(["0 in", "1/16 in", "1/4 in"])),
        },
        "floor": {"kind": "none"},
        "corner": {"style": draw(st.sampled_from(["edge", "post"]))},
        "saw": {"tool": draw(st.sampled_from(["1/8 in", "1/4 in", "1/2 in"]))},
        "jig": {
            "thickness": draw(st.sampled_from(["1/4 in", "1/2 in", "3/4 in"])),
            "plate": draw(st.sampled_from(PLATES)),
            "sheet_length": inches(12, 60, 1),
            "sheet_width": inches(6, 40, 1),
            "guide": draw(st.sampled_from(["auto", "5/16 in", "1/2 in"])),
        },
        "product": {"units": draw(st.sampled_from(["inch", "metric"]))},
    }


@settings(max_examples=tried(60), deadline=None, suppress_health_check=list(HealthCheck))
@given(said=boxes(), case=st.sampled_from(LUMBER_CASES))
def test_whatever_the_box_its_jigs_are_right_or_say_why_there_are_none(
    said: dict[str, Any], case: LumberCase
) -> None:
    parameters = parameters_from(said, {})
    try:
        nominal, box = lay_out(parameters), lay_out(parameters, case)
    except InputError:
        assume(False)
    jigs = jigs_of("box", nominal)
    event(f"{len(jigs.jigs)} jigs, {len(jigs.notes)} notes")
    assert faults_of_holes(jigs, box, "panel") == []
    assert faults_of_holes(jigs, nominal, "corner") == []
    for kind, uses in (("panel", ("wall",)), ("corner", ("corner", "post"))):
        if not any(kind in note.about for note in jigs.notes):
            assert faults_of_service(jigs, nominal, kind, uses) == []
    sheet = sorted((parameters.jig.sheet_length, parameters.jig.sheet_width))
    for jig in jigs.jigs:
        for pose in (*jig.poses, *jig.also):
            if jig.kind == "panel":
                assert faults_of_fences(jig, pose, box, panel_boards(box, pose)) == []
        if jig.kind == "panel":
            x0, y0, x1, y1 = extent(jig.plate.contour)
            size = sorted((x1 - x0, y1 - y0))
            assert size[0] <= sheet[0] + 1e-6
            assert size[1] <= sheet[1] + 1e-6
