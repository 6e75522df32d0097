"""Frames of scenes: what stands beside a box is whole in the picture, and no ground runs out."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from case_lists import mostly_thorough, thorough
from palewright.construction.boards import Board
from palewright_drawings.listing.rendered_picture import SCENES, box_points
from palewright_drawings.rendering.places.studio import backdrop
from palewright_drawings.rendering.scene.scene import Camera, Scene, Skin
from palewright_drawings.rendering.tracer.cameras import VIEWS, framed, framing_of, seen, sight_of
from palewright_drawings.rendering.tracer.path_tracer import Rendering, shown
from palewright_drawings.rendering.wood import box_boards
from palewright_drawings.rendering.wood.board_meshes import board_skin
from palewright_drawings.rendering.wood.species_looks import FINISHES
from shipped_designs import shipped as box

Floats = NDArray[np.float64]

SHAPES = [(800, 1000), (1600, 900), (400, 1600), (1600, 400)]
"""Those of a listing that are not square, and the narrowest that may be asked for."""

BESIDE = ("pot", "can", "parcel", "band")
WALLS = ("siding", "plaster", "hedge-core")
FRAMES = [
    *(("bean-tower", "garden", "hero", shape) for shape in SHAPES),
    *(("gate-pair", "garden", view, shape) for view in VIEWS for shape in SHAPES),
    *(("stoop-tub", "spring-porch", view, shape) for view in VIEWS for shape in SHAPES),
    *(("sill-box", "spring-porch", "hero", shape) for shape in SHAPES),
    *(("winter-tub", "winter-room", view, shape) for view in VIEWS for shape in SHAPES),
    *(("herb-trough", "winter-room", "three-quarter", shape) for shape in SHAPES),
]


@pytest.fixture(autouse=True, scope="module")
def boards_painted_once() -> Iterator[None]:
    """Have the wood of a shipped box painted once, not in each frame: its skin stays in place."""
    known: dict[int, Skin] = {}

    def once(board: Board, *asked: Any, **more: Any) -> Skin:
        if id(board) not in known:  # of a design that `shipped` keeps
            known[id(board)] = board_skin(board, *asked, **more)
        return known[id(board)]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(box_boards, "board_skin", once)
        yield


def pictured(name: str, scene: str, view: str, shape: tuple[int, int]) -> tuple[Scene, Camera]:
    framing = framing_of(box_points(box(name)), VIEWS[view], *shape)
    found = SCENES[scene](box(name), FINISHES["bare"], 0.001, framing)
    return found, framing(found.subject)


def points(scene: Scene, names: tuple[str, ...]) -> Floats:
    """Return the points of all that is so named, boards as well."""
    found = [solid.mesh.points for solid in scene.solids if solid.name.startswith(names)]
    found += [wood.skin.points for wood in scene.woods if wood.name.startswith(names)]
    return np.concatenate(found)


def rays(camera: Camera, across: Floats, down: Floats) -> Floats:
    """Return directions through places in the picture, shares of its sides: the test's own."""
    ahead = np.array(camera.towards) - np.array(camera.at)
    ahead /= np.linalg.norm(ahead)
    right = np.cross(ahead, [0.0, 0.0, 1.0])
    right /= np.linalg.norm(right)
    pixel = 2 * math.tan(math.radians(camera.angle / 2)) / max(camera.width, camera.height)
    x, y = (across - 0.5) * camera.width * pixel, (0.5 - down) * camera.height * pixel
    return ahead + x[:, None] * right + y[:, None] * np.cross(right, ahead)


@pytest.mark.parametrize(
    ("name", "scene", "view", "shape"),
    mostly_thorough(
        FRAMES,
        ("stoop-tub", "spring-porch", "hero", SHAPES[3]),
        ("winter-tub", "winter-room", "hero", SHAPES[2]),
    ),
)
def test_things_beside_the_box_are_whole_and_the_ground_fills_the_picture(
    name: str, scene: str, view: str, shape: tuple[int, int]
) -> None:
    found, camera = pictured(name, scene, view, shape)
    held = seen(camera, np.concatenate([points(found, BESIDE), box_points(box(name))]))
    assert (held > 0).all() and (held < shape).all()
    at = np.array(camera.at)
    across, down = (grid.ravel() for grid in np.meshgrid(*2 * [np.linspace(0, 1, 60)]))
    through = rays(camera, across, down)
    floor, wall = points(found, ("deck", "slabs")), points(found, WALLS)
    with np.errstate(divide="ignore", invalid="ignore"):
        below = np.where(through[:, 2] < 0, -at[2] / through[:, 2], np.inf)
        behind = np.where(through[:, 1] > 0, (wall[:, 1].min() - at[1]) / through[:, 1], np.inf)
    on_floor = below < behind
    assert np.isfinite(np.minimum(below, behind)).all()  # nothing looks past both
    laid = at + through[on_floor] * below[on_floor, None]
    slack = 12.0  # mm: a joint, or siding that leans out of its plane
    assert np.abs(laid[:, 0]).max() <= np.abs(floor[:, 0]).max() + slack
    assert laid[:, 1].min() >= floor[:, 1].min() - slack
    hung = at + through[~on_floor] * behind[~on_floor, None]
    if len(hung):
        assert np.abs(hung[:, 0]).max() <= np.abs(wall[:, 0]).max() + slack
        # over a hedge there is sky, over a wall there is not
        assert scene == "garden" or hung[:, 2].max() <= wall[:, 2].max() + slack


@given(
    size=st.tuples(*[st.floats(150, 2400)] * 3),
    view=st.sampled_from(sorted(VIEWS)),
    shape=st.tuples(*[st.integers(400, 1600)] * 2),
)
def test_the_sweep_fills_every_picture_and_has_no_edge(
    size: tuple[float, float, float], view: str, shape: tuple[int, int]
) -> None:
    """Every ray meets the sheet's own profile, from its lit side; it turns a degree a step."""
    a, b, c = size
    held = np.array([[x, y, z] for x in (-a / 2, a / 2) for y in (-b / 2, b / 2) for z in (0, c)])
    framing = framing_of(held, VIEWS[view], *shape)
    sheet, camera = backdrop(held, framing), framing(None)
    side = sheet.points[:, 0].max()
    line = sheet.points[sheet.points[:, 0] == side][:, 1:]  # y and z, from the front to the top
    run = np.diff(line, axis=0)
    turns = np.degrees(np.diff(np.arctan2(run[:, 1], run[:, 0])))
    assert turns.min() > 0 and turns.max() <= 1.0 and turns.sum() == pytest.approx(90.0)
    level = line[line[:, 1] < 1e-9]
    assert level[:, 0].max() > held[:, 1].max(), "the box stands on what is level"
    at = np.array(camera.at)
    across, down = (grid.ravel() for grid in np.meshgrid(*2 * [np.linspace(0, 1, 25)]))
    through = rays(camera, across, down)
    # at + t * ray meets start + s * run of the profile, t > 0 and s within 0 and 1
    y, z = through[:, 1, None], through[:, 2, None]
    from_y, from_z = line[:-1, 0] - at[1], line[:-1, 1] - at[2]
    with np.errstate(divide="ignore", invalid="ignore"):
        cross = y * run[:, 1] - z * run[:, 0]
        way = (from_y * run[:, 1] - from_z * run[:, 0]) / cross
        share = (from_y * z - from_z * y) / cross
    met = (way > 0) & (share > -1e-9) & (share < 1 + 1e-9)
    assert met.any(axis=1).all()
    first = np.where(met, way, np.inf).min(axis=1)
    assert np.abs(at[0] + first * through[:, 0]).max() <= side


@pytest.mark.parametrize("view", mostly_thorough(["front", "hero"], "hero"))
@pytest.mark.parametrize("shape", [thorough(((240, 60),)), thorough(((120, 120),)), (60, 240)])
def test_no_horizon_is_seen_behind_a_box(view: str, shape: tuple[int, int]) -> None:
    """Over a fortieth of its height the background changes by 6 of 255 at most."""
    for name in ("stoop-tub", "herb-trough"):
        found, camera = pictured(name, "studio", view, shape)
        bare = Rendering(Scene("bare", solids=found.solids, sky=found.sky), camera)
        rows = shown(bare.traced(24), found.exposure).mean(axis=(1, 2))
        step = max(1, shape[1] // 40)
        assert np.abs(rows[step:] - rows[:-step]).max() < 6.0
        assert rows.min() > 190 and rows.max() < 250, "bright, and not blown"


def test_what_a_camera_sees_is_told_in_closed_form() -> None:
    """Level, 1 m up, 2 m before the wall, 90 degrees wide and 2:1: as much below as above."""
    camera = Camera((0.0, -1500.0, 1000.0), (0.0, 500.0, 1000.0), 90.0, 200, 100)
    sight = sight_of(camera, 500.0)
    # its lower rim falls by half as much as it goes ahead: it meets the floor where the wall is
    assert sight.side == pytest.approx(2000.0)
    assert sight.top == pytest.approx(2000.0)
    assert sight.front == pytest.approx(-500.0)
    higher = sight_of(Camera((0.0, -1500.0, 500.0), (0.0, 500.0, 500.0), 90.0, 200, 100), 500.0)
    assert higher.front == pytest.approx(500.0)  # the floor begins 1 m ahead of the camera


def test_a_frame_holds_what_is_set_beside() -> None:
    own = box_points(box("stoop-tub"))
    beside = np.array([[900.0, 0.0, 0.0]])
    framing = framing_of(own, VIEWS["hero"], 400, 500)
    assert framing(None) == framed(own, VIEWS["hero"], 400, 500)
    assert not (seen(framing(None), beside) < (400, 500)).all()  # else this test says nothing
    assert (seen(framing(beside), np.concatenate([own, beside])) < (400, 500)).all()
