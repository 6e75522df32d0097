"""The order of work: everything is added once, driven once, and can be reached."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from case_lists import tried
from palewright.assembly.assembly_steps import AssemblyStep, assembly_steps, panel_kinds
from palewright.construction.boards import dot
from palewright.construction.box_layout import Box, lay_out
from palewright.geometry.polygons import area
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright.reading.errors import InputError

VARIANTS = tuple(shipped_variants())


def box_of(name: str) -> Box:
    return lay_out(load_variant(name).parameters)


def same_as(box: Box) -> dict[str, str]:
    """The panel shown for each panel."""
    return {name: kind[0] for kind in panel_kinds(box) for name in kind}


def assert_sound(box: Box) -> None:
    steps = assembly_steps(box)
    shown = same_as(box)
    assert len({step.key for step in steps}) == len(steps)
    # every screw is driven in exactly one step, counting equal panels by the first of them
    driven = [screw for step in steps for screw in step.screws]
    assert len({screw.name for screw in driven}) == len(driven)
    assert sum(len(step.screws) * step.times for step in steps) == len(box.screws)
    for panel in shown:
        of_panel = [s for s in box.screws if all(n.startswith(f"{panel}.") for n in s.stack)]
        here = [s for s in driven if all(n.startswith(f"{panel}.") for n in s.stack)]
        assert len(here) == (len(of_panel) if shown[panel] == panel else 0)
    # bench steps make each board of the panels shown, box steps bring all boards together
    bench = [n for step in steps if step.panels for n in step.added]
    assert len(set(bench)) == len(bench)
    assert {n for n in bench if n.partition(".")[0] in shown} == {
        n for n, b in box.boards.items() if b.panel in shown and shown[b.panel] == b.panel
    }
    arrived = {n for n, b in box.boards.items() if b.panel in ("left", "right")}
    for step in (step for step in steps if not step.panels):
        fresh = set(step.added) - arrived
        assert set(step.standing) <= arrived
        assert not fresh or fresh == set(step.added)
        arrived |= fresh
    assert arrived == set(box.boards)
    for step in steps:
        there = set(step.standing) | set(step.added)
        for screw in step.screws:
            assert set(screw.stack) <= there
            assert dot(screw.axis, step.up) <= 0.5, "its head would lie on the bench"
        if step.path and step.panels:
            assert dot(step.path[0], step.up) < 0, "parts are laid on from above"


@pytest.mark.parametrize("name", VARIANTS)
def test_everything_is_added_and_driven_once(name: str) -> None:
    assert_sound(box_of(name))


@settings(deadline=None, max_examples=tried(40))
@given(
    width=st.integers(300, 900),
    depth=st.integers(300, 700),
    height=st.integers(250, 700),
    front=st.sampled_from(["plain", "slant", "cross", "double-cross", "upright-bars"]),
    sides=st.sampled_from(["same", "plain", "slant"]),
    corner=st.sampled_from(["edge", "post"]),
    floor=st.sampled_from(["cleats", "hung", "none"]),
    fit=st.booleans(),
)
def test_everything_is_added_and_driven_once_at_any_size(
    width: int, depth: int, height: int, front: str, sides: str, corner: str, floor: str,
    fit: bool,
) -> None:  # fmt: skip
    typed = {
        "box.width": f"{width} mm", "box.depth": f"{depth} mm", "box.height": f"{height} mm",
        "face.front": front, "face.sides": sides, "corner.style": corner, "floor.kind": floor,
        "trellis.fit": "true" if fit else "false",
    }  # fmt: skip
    p = load_variant("stoop-tub", [f"{key}={value}" for key, value in typed.items()]).parameters
    try:
        box = lay_out(p)
    except InputError:
        return
    assert_sound(box)


def test_equal_panels_are_made_together_and_different_ones_are_not() -> None:
    assert panel_kinds(box_of("stoop-tub")) == [("front", "back"), ("left", "right")]
    assert panel_kinds(box_of("bean-tower")) == [("front",), ("back",), ("left", "right")]
    plain_back = load_variant("stoop-tub", ["face.back=plain"]).parameters
    assert panel_kinds(lay_out(plain_back))[0] == ("front",)


def keys(name: str) -> list[str]:
    return [step.key for step in assembly_steps(box_of(name))]


def by_key(name: str) -> dict[str, AssemblyStep]:
    return {step.key: step for step in assembly_steps(box_of(name))}


def test_a_tub_is_made_in_nine_steps() -> None:
    assert keys("stoop-tub") == [
        "front-frame", "front-staves", "front-cleats", "left-frame", "left-staves",
        "box-1", "box-2", "box-3", "box-4",
    ]  # fmt: skip
    steps = by_key("stoop-tub")
    assert steps["box-1"].text == (
        "stand the left and the right panel on the bench, back edge down, then "
        "lay the front panel on, the sides in its lip"
    )
    assert steps["box-1"].up == (0.0, -1.0, 0.0) and steps["box-2"].up == (0.0, 1.0, 0.0)
    # the corner is closed before anything is turned over
    assert {s.use for s in steps["box-1"].screws} == {"corner"}
    assert steps["box-3"].repeats == 5 and len(steps["box-3"].added) == 5
    assert steps["front-frame"].times == 2 and steps["box-4"].times == 1


def test_posts_are_screwed_from_the_face_once_the_panel_is_turned() -> None:
    steps = by_key("gate-pair")
    assert steps["front-posts"].screws == ()
    turned = steps["front-posts-screws"]
    assert turned.up == (0.0, -1.0, 0.0) and turned.added == ()
    assert {screw.stack[-1] for screw in turned.screws} == {"front.post-left", "front.post-right"}
    # sides are screwed to the front's posts as soon as the front lies on them
    assert {s.stack[-1] for s in steps["box-1"].screws} == {"front.post-left", "front.post-right"}


def test_hung_slats_are_screwed_with_the_box_on_its_head() -> None:
    hung = load_variant("porch-cube", ["floor.kind=hung"])
    box = lay_out(hung.parameters)
    (step,) = [s for s in assembly_steps(box) if "from below" in s.text]
    assert step.up == (0.0, 0.0, -1.0)
    assert step.repeats == sum(board.panel == "floor" for board in box.boards.values()) > 1
    assert {screw.use for screw in step.screws} == {"floor"}


def test_a_tree_box_is_slid_whole_round_the_tree() -> None:
    steps = assembly_steps(box_of("winter-tub"))
    (slide,) = [s for s in steps if s.text.startswith("slide")]
    assert slide.standing == () and slide.obstacles == ("stand", "trunk")
    box = box_of("winter-tub")
    left_out = set(box.boards) - set(slide.added)
    assert {box.boards[n].panel for n in left_out} == {"back", "cap"}
    assert all(area(box.boards[n].outline) > 0 for n in slide.added)
