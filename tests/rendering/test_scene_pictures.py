"""Pictures of whole scenes: on the ground, apart from what is beside it, low in noise, repeated."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from case_lists import thorough
from command_runs import run_command
from palewright_drawings.listing.rendered_picture import (
    PREVIEW_SAMPLES,
    PictureRequest,
    box_points,
    picture_file,
    pictured,
    samples_for,
)
from palewright_drawings.rendering.plants.flowers import ball
from palewright_drawings.rendering.tracer.cameras import VIEWS, framed
from palewright_drawings.rendering.tracer.path_tracer import Rendering, glowing, shown
from placed_scenes import scene_of
from shipped_designs import shipped as box

Floats = NDArray[np.float64]

PLACED = [
    ("sill-box", "spring-porch"),
    ("bean-tower", "garden"),
    ("winter-tub", "winter-room"),
    thorough(("stoop-tub", "garden")),
    thorough(("winter-tub-small", "winter-room")),
]
"""Quick: scenes that `test_scenes` looks at too."""

PROPS = ("pot", "can", "parcel", "band", "riser", "tread", "siding", "plaster", "skirting", "hedge")
GROUNDS = ("slabs", "joints")


@pytest.mark.parametrize(("name", "scene"), [*PLACED, ("stoop-tub", "studio")])
def test_a_box_stands_on_the_ground(name: str, scene: str) -> None:
    found = scene_of(name, scene)
    assert box_points(box(name))[:, 2].min() == pytest.approx(0.0, abs=1e-9)
    own = set(box(name).box.boards)
    tops = [float(wood.skin.points[:, 2].max()) for wood in found.woods if wood.name not in own]
    tops += [float(s.mesh.points[:, 2].max()) for s in found.solids if s.name in GROUNDS]
    # a sweep rises behind the box
    back = box_points(box(name))[:, 1].max()
    sheets = [s.mesh.points for s in found.solids if s.name == "sweep"]
    tops += [float(points[points[:, 1] <= back + 1.0, 2].max()) for points in sheets]
    # slabs differ by less than a joint shows; none stands above the box's feet
    assert tops and -1.5 <= max(tops) <= 0.01


@pytest.mark.parametrize(("name", "scene"), PLACED)
def test_what_stands_beside_a_box_keeps_off_it(name: str, scene: str) -> None:
    low, high = (f(box_points(box(name)), axis=0) for f in (np.min, np.max))
    props = [solid for solid in scene_of(name, scene).solids if solid.name.startswith(PROPS)]
    assert props
    for solid in props:
        points = solid.mesh.points
        apart = (points.min(axis=0) > high) | (points.max(axis=0) < low)
        assert apart.any(), solid.name
        # on the ground, or on what stands there
        assert points[:, 2].min() <= 1.0 + 1e-9 or points[:, 2].min() > 20.0, solid.name


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("name", "scene"),
    [("stoop-tub", "spring-porch"), ("winter-tub-small", "winter-room")],
)
def test_noise_left_at_the_samples_of_a_large_picture_is_below_what_is_seen(
    name: str, scene: str
) -> None:
    """At the fewest samples that pictures get, against a reference of twelve times as many."""
    found = scene_of(name, scene)
    large = (2000, 2000)
    camera = framed(box_points(box(name)), VIEWS["hero"], *large)
    # the middle of the large picture, dot for dot
    angle = 2 * np.degrees(np.arctan(np.tan(np.radians(camera.angle / 2)) * 80 / 2000))
    rendering = Rendering(found, replace(camera, angle=float(angle), width=80, height=80))

    def light(linear: NDArray[np.float32]) -> Floats:
        pixels = shown(glowing(linear, found.glow), found.exposure, found.warmth)
        return pixels.astype(np.float64)

    truth = light(rendering.noisy(12 * samples_for(large), seed=9))
    noisy = rendering.noisy(samples_for(large))
    clean = rendering.denoised(noisy, *rendering.guides())
    noise, left = (float(np.sqrt(((light(p) - truth) ** 2).mean())) for p in (noisy, clean))
    assert left < 6.0  # of 255
    assert left < 0.45 * noise


@pytest.mark.parametrize(
    ("name", "scene"),
    [
        ("stoop-tub", "studio"),
        thorough(("herb-trough", "spring-porch")),
        thorough(("bean-tower", "garden")),
        thorough(("winter-tub", "winter-room")),
    ],
)
def test_a_picture_is_neither_burnt_nor_dark_nor_black_in_its_corners(
    name: str, scene: str
) -> None:
    asked = PictureRequest(scene, shape=(96, 96), samples=8)
    light = pictured(box(name), asked, lambda _what, _share: None).pixels.mean(axis=2)
    assert (light >= 250).mean() < 0.01 and (light <= 10).mean() < 0.05
    assert 95 < light.mean() < 215
    corners = [light[rows, columns].mean() for rows in (slice(8), slice(-8, None))
               for columns in (slice(8), slice(-8, None))]  # fmt: skip
    assert min(corners) > 40


def test_a_ball_of_flowers_is_closed() -> None:
    """From all round no way leads between its florets: its outline is filled."""
    parts = ball((0.9, 0.9, 0.9), (0.8, 0.9, 0.7), (1, 2))
    draw, dots, reach = np.random.default_rng(3), 4.0, 26.0
    for _ in range(6):
        turn, _ = np.linalg.qr(draw.normal(0, 1, (3, 3)))
        image = Image.new("1", (320, 320))
        for part in parts:
            flat = (part.mesh.points - [0.0, 0.0, 24.0]) @ turn[:, :2] * dots + 160
            for corners in flat[part.mesh.triangles]:
                ImageDraw.Draw(image).polygon([tuple(corner) for corner in corners], fill=1)
        y, x = np.indices((320, 320)) - 160
        assert np.asarray(image)[np.hypot(x, y) < dots * reach].all()


@pytest.mark.thorough
def test_another_process_makes_the_same_picture_of_plants(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTHONHASHSEED", "7")
    args = ("sill-box", "--scene", "spring-porch", "--pixels", "64", "--quick")
    done = run_command("picture", *args, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    (file,) = tmp_path.iterdir()
    request = PictureRequest("spring-porch", shape=(64, 64), samples=PREVIEW_SAMPLES)
    assert file.read_bytes() == picture_file(box("sill-box"), request, lambda _what, _share: None)


def test_samples_fall_as_pixels_rise_and_stay_within_limits() -> None:
    assert samples_for((1000, 1000)) == 32
    assert samples_for((2000, 2000)) == 16
    assert samples_for((4000, 4000)) == 12
    assert samples_for((100, 100)) == 48


def test_what_glows_at_one_edge_does_not_shine_in_at_the_other() -> None:
    dark = np.zeros((400, 600, 3), dtype=np.float32)
    dark[0, 300] = dark[200, 0] = 50.0
    found = glowing(dark, 0.5)
    assert found[3, 300].min() > 0.01 < found[200, 3].min()  # it does glow
    assert np.abs(found[-30:]).max() < 1e-6
    assert np.abs(found[:, -30:]).max() < 1e-6
