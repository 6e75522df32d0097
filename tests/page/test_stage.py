"""The stage: what a picture may cost, plants as the server packs them, true scale, rest."""

from __future__ import annotations

import json
import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import Page, expect

from case_lists import mostly_thorough
from page_process import PageServer
from palewright.design import design
from palewright.parameters.variant_files import load_variant
from palewright_drawings.page import request_guard
from palewright_drawings.page.jobs.design_snapshot import snapshot
from palewright_drawings.page.jobs.grown_plants import grown_in, thing_beside
from palewright_drawings.page.jobs.packed_meshes import of_solids, packed
from palewright_drawings.rendering.plants.beds import bed_of
from palewright_drawings.rendering.plants.clearances import box_obstacles
from palewright_drawings.rendering.plants.plantings import spring_planting

WEB = Path(request_guard.__file__).parent / "web"


def module(page: Page, name: str, use: str) -> Any:
    """Return what an expression makes of a module that imports nothing; ``it`` is the module."""
    text = (WEB / name).read_text(encoding="utf-8")
    return page.evaluate(
        "async ([text, use]) => { const it = await import('data:text/javascript,'"
        " + encodeURIComponent(text)); return new Function('it', `return ${use}`)(it); }",
        [text, use],
    )


CARD = "ANGLE (NVIDIA GeForce GTX 1650)"


@pytest.mark.parametrize(
    ("driver", "frames", "light"),
    [
        (CARD, [], False),
        (CARD, [16.0] * 9, False),
        (CARD, [900.0, 16.0, 16.0, 16.0, 16.0], False),  # a program that starts
        (CARD, [90.0] * 4, False),  # too few to judge by
        (CARD, [90.0] * 5, True),
        (CARD, [16.0] * 9 + [90.0] * 3, True),  # it became slow
        (CARD, [90.0] * 9 + [16.0] * 3, False),
        ("ANGLE (Google, Vulkan 1.3.0 (SwiftShader Device (Subzero)))", [1.0] * 9, True),
        ("llvmpipe (LLVM 15.0.7, 256 bits)", [], True),
    ],
)
def test_a_machine_without_a_card_and_a_slow_one_are_asked_for_less(
    window: Page,
    driver: str,
    frames: list[float],
    light: bool,
) -> None:
    asked = f"it.levelOf({json.dumps(driver)}, {json.dumps(frames)}) === it.LIGHT"
    assert module(window, "stage/pace.js", asked) is light
    light_, full = module(window, "stage/pace.js", "[it.LIGHT, it.FULL]")
    assert light_["moving"] == {"pixels": 0.5, "grain": False, "plants": False}
    assert full["moving"] == {"pixels": 1, "grain": True, "plants": True}
    assert light_["samples"] < full["samples"]


def unpacked(content: bytes) -> list[dict[str, Any]]:
    """Return flocks read back by NumPy alone: places (n, 3, 4), points and triangles of solids."""
    long = int.from_bytes(content[:4], "little")
    head, rest = json.loads(content[4 : 4 + long]), content[4 + long :]

    def array(kind: str, told: list[int]) -> Any:
        return np.frombuffer(rest, kind, told[1], told[0])

    for flock in head:
        flock["places"] = array("<f4", flock["places"]).reshape(-1, 3, 4)
        for solid in flock["solids"]:
            steps = array("<u2", solid["points"]).reshape(-1, 3)
            solid["points"] = np.array(solid["low"]) + steps * np.array(solid["step"])
            kind = "<u4" if solid["wide"] else "<u2"
            solid["triangles"] = array(kind, solid["triangles"]).reshape(-1, 3)
    return list(head)


def test_what_is_packed_is_what_the_pictures_show() -> None:
    box = design(load_variant("stoop-tub").parameters, "stoop-tub")
    around, seed = box_obstacles(box), box.parameters.lumber.seed
    grown = spring_planting(box, bed_of(box, around, seed), around, seed)
    content = packed(grown_in(box))
    assert content == packed(grown_in(box))
    alone, *flocks = unpacked(content)
    assert [one["name"] for one in flocks] == [one.name for one in grown.flocks if len(one.places)]
    kept = [one for one in grown.flocks if len(one.places)]
    for told, flock in zip(flocks, kept, strict=True):
        assert told["places"] == pytest.approx(flock.places[:, :3], abs=1e-3)
    pairs = [*zip(alone["solids"], grown.solids, strict=True)]
    for told, flock in zip(flocks, kept, strict=True):
        pairs += zip(told["solids"], flock.group, strict=True)
    for told, solid in pairs:
        assert told["points"] == pytest.approx(solid.mesh.points, abs=0.02)
        assert np.array_equal(told["triangles"], solid.mesh.triangles)
        assert told["colour"] == list(solid.surface.colour)


@pytest.mark.parametrize(
    "name", mostly_thorough(["bean-tower", "winter-tub", "herb-trough"], "bean-tower")
)
def test_what_grows_suits_the_box(name: str) -> None:
    """A climber up a trellis, needles for a tree, herbs in a herb trough; all above ground."""
    flocks = unpacked(packed(grown_in(design(load_variant(name).parameters, name))))
    names = {one["name"] for one in flocks}
    kind = {"bean-tower": "bean", "winter-tub": "twig", "herb-trough": "basil"}[name]
    assert any(one.startswith(kind) for one in names), names
    for flock in flocks:
        for solid in flock["solids"]:
            points = np.c_[solid["points"], np.ones(len(solid["points"]))]
            for place in flock["places"][::7]:
                assert (points @ place.T)[:, 2].min() > 0


def test_the_thing_beside_the_box_is_a_pot_of_six_inches() -> None:
    (flock,) = unpacked(of_solids(thing_beside()))
    points = np.concatenate([solid["points"] for solid in flock["solids"]])
    assert np.ptp(points, axis=0)[:2] == pytest.approx(6 * 25.4, abs=0.1)
    assert points[:, 2].min() == 0


def test_every_screw_is_shown_where_it_is_driven() -> None:
    box = design(load_variant("stoop-tub").parameters, "stoop-tub")
    shown = snapshot(box)["screws"]
    assert len(shown) == len(box.box.screws)
    for told, screw in zip(shown, box.box.screws, strict=True):
        assert told["at"] == pytest.approx(screw.head, abs=1e-3)
        assert told["axis"] == pytest.approx(screw.axis, abs=1e-6)
        assert told["board"] == screw.stack[0]
        assert told["wide"] == pytest.approx(screw.kind.gauge.head, abs=1e-3)


@pytest.mark.parametrize(
    ("radius", "height", "anew", "held"),
    [
        (100, 200, False, (106, 212)),  # as it was
        (60, 110, False, (106, 212)),  # smaller: true scale
        (106, 212, False, (106, 212)),  # within the air round it
        (120, 200, False, (120 * 1.325, 200 * 1.325)),  # out at the side: with room to grow
        (100, 260, False, (100 * 1.325, 260 * 1.325)),  # out at the top
        (40, 80, False, (42.4, 84.8)),  # lost in the picture: as large as can be
        (180, 360, True, (190.8, 381.6)),  # another box
    ],
)
def test_the_frame_keeps_true_scale_and_widens_in_steps(
    window: Page, radius: float, height: float, anew: bool, held: tuple[float, float]
) -> None:
    """The frame that held a box 100 by 200 mm; by hand: 1.06 of a box, 1.25 of that to grow."""
    text = (WEB / "stage/frame.js").read_text(encoding="utf-8")
    text = "\n".join(line for line in text.splitlines() if not line.startswith("import "))
    text = "class Vector3 { set() {} }\nconst distanceToSee = () => 0;\n" + text
    found = window.evaluate(
        """async ([text, radius, height, anew]) => {
          const code = "data:text/javascript," + encodeURIComponent(text);
          const { Frame, rimsOf } = await import(code);
          const frame = new Frame();
          const rims = (radius, height) => rimsOf([[radius, 0], [0.8 * radius, height]]);
          frame.hold(rims(100, 200), 150, true);
          frame.hold(rims(radius, height), 150, anew);
          return frame.rims.map((one) => [one.radius, one.height]);
        }""",
        [text, radius, height, anew],
    )
    assert found == [pytest.approx((held[0], 0)), pytest.approx((0.8 * held[0], held[1]))]


@pytest.mark.thorough
@pytest.mark.parametrize("unopened", [{"reduced_motion": "no-preference"}], indirect=True)
def test_a_picture_at_rest_is_refined_until_it_is_touched(
    unopened: Page, server: PageServer
) -> None:
    """Each sample is told as it is added; the next touch begins anew from none."""
    unopened.goto(server.address)
    canvas = unopened.locator("#canvas")
    some = re.compile(r"^([3-9]|\d\d)$")
    expect(canvas).to_have_attribute("data-samples", some)
    canvas.evaluate(
        """one => {
          window.counted = [];
          new MutationObserver((all) => counted.push(...all.map((each) => each.oldValue)))
            .observe(one, { attributeFilter: ["data-samples"], attributeOldValue: true });
        }"""
    )
    canvas.focus()
    unopened.keyboard.press("ArrowLeft")
    expect(canvas).to_have_attribute("data-still", "")
    expect(canvas).to_have_attribute("data-samples", some)
    told = unopened.evaluate("counted.map(Number)")
    counted = [b for a, b in pairwise([None, *told]) if a != b]
    anew = counted.index(0)
    assert counted[:anew] == [*range(counted[0], counted[0] + anew)]
    assert counted[anew:] == [*range(len(counted) - anew)]
