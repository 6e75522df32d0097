"""Graphics over pictures: sizes are the boards', labels cover nothing, grids keep pictures."""

from __future__ import annotations

import io
import itertools

import numpy as np
import pytest
from click import Context
from click.testing import CliRunner
from hypothesis import example, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image, ImageCms
from shapely import LineString, MultiPoint

from case_lists import mostly_thorough, tried
from known_size_views import known_size_view
from palewright.parameters.variant_files import shipped_variants
from palewright.reading.lengths import read_length
from palewright_drawings.cli.main import main
from palewright_drawings.cli.picture_commands import picture
from palewright_drawings.listing.image_encoding import image_file
from palewright_drawings.listing.picture_grid import PictureGrid
from palewright_drawings.listing.pictured_wood import seen_in
from palewright_drawings.listing.rendered_picture import SCENE_WORDS, SCENES, box_points
from palewright_drawings.listing.size_camera import sized_view
from palewright_drawings.listing.size_graphics import GAP, helper_lines, sized
from palewright_drawings.listing.size_labels import apart, chips, span_points
from palewright_drawings.rendering.tracer.cameras import VIEWS, framing_of, seen
from palewright_drawings.rendering.wood.species_looks import FINISHES, LOOKS
from shipped_designs import shipped as box

Floats = NDArray[np.float64]

VARIANTS = mostly_thorough(shipped_variants(), "bean-tower", "gate-pair", "porch-cube")
"""Quick: a tall one, a long and low one, and a cube."""


@pytest.mark.parametrize("name", VARIANTS)
def test_the_sizes_drawn_are_those_of_the_boards(name: str) -> None:
    points = box_points(box(name))
    _, found = known_size_view(points, 600, 600)
    spans = {span.what: span for span in found}
    assert set(spans) == {"width", "depth", "height"}
    for axis, what in enumerate(("width", "depth", "height")):
        size = float(np.ptp(points[:, axis]))
        inches, metric = spans[what].texts
        # read back: to half of a sixteenth, and half of a millimetre
        assert read_length(inches) == pytest.approx(size, abs=25.4 / 32 + 1e-6)
        assert read_length(metric) == pytest.approx(size, abs=0.5 + 1e-6)
        # along its axis alone, between corners of boards that reach as far as any
        way = spans[what].end - spans[what].start
        assert way[axis] == pytest.approx(size) == np.linalg.norm(way)
        low, high = spans[what].edge_start, spans[what].edge_end
        assert (low == points).all(axis=1).any() and (high == points).all(axis=1).any()
        assert low[axis] == pytest.approx(points[:, axis].min(), abs=0.01)
        assert high[axis] == pytest.approx(points[:, axis].max(), abs=0.01)


@pytest.mark.parametrize("name", VARIANTS)
def test_a_box_is_large_beside_its_sizes(name: str) -> None:
    """It spans three quarters of the picture one way or the other, be it long, flat or tall."""
    points = box_points(box(name))
    camera, _ = known_size_view(points, 600, 600)
    assert (np.ptp(seen(camera, points), axis=0) / 600).max() > 0.75


def tied(points: Floats, width: int, height: int) -> None:
    """Lines to a size begin just off a corner of the box and run on one way past the size's own."""
    camera, spans = known_size_view(points, width, height)
    unit = min(width, height) / 1000
    places = seen(camera, points)
    for span in spans:
        lines = helper_lines(camera, span)
        for (start, end), tip in zip(lines, (span.start, span.end), strict=True):
            near = np.linalg.norm(places - start, axis=1).min()
            assert near <= GAP * unit + 1e-6
            (tip,) = seen(camera, tip[None])
            assert np.linalg.norm(end - tip) == pytest.approx(12 * unit)
            assert np.linalg.norm(end - start) > np.linalg.norm(tip - start)
            assert np.linalg.norm(tip - start) > 2 * GAP * unit, "a line, not a speck"
        # parallel in space, so that they meet the size at one angle; a corner of boards that do
        # not reach equally far aside
        one, other = span.start - span.edge_start, span.end - span.edge_end
        apart_by = np.linalg.norm(np.cross(one, other))
        assert apart_by < 0.35 * np.linalg.norm(one) * np.linalg.norm(other)


@pytest.mark.parametrize("name", VARIANTS)
def test_lines_to_sizes_begin_at_the_box(name: str) -> None:
    tied(box_points(box(name)), 600, 600)


def judge(points: Floats, width: int, height: int) -> None:
    """Labels are in the picture, hide neither box nor label nor their own line, by shapely."""
    camera, spans = known_size_view(points, width, height)
    hulls = [MultiPoint(chip.corners).convex_hull for chip in chips(camera, spans)]
    outline = MultiPoint(seen(camera, points)).convex_hull
    for i, hull in enumerate(hulls):
        x0, y0, x1, y1 = hull.bounds
        assert x0 > 0 and y0 > 0 and x1 < width and y1 < height
        assert not hull.intersects(outline)
        assert not any(hull.intersects(other) for other in hulls[:i])
        line = LineString(seen(camera, np.array([spans[i].start, spans[i].end])))
        assert line.difference(hull).length >= min(line.length, 0.08 * min(width, height))
    ends = seen(camera, span_points(spans))
    assert ends.min() > 0 and (ends < np.array([width, height])).all()


@pytest.mark.parametrize("name", VARIANTS)
def test_labels_lie_beside_the_box_and_inside_the_picture(name: str) -> None:
    judge(box_points(box(name)), 600, 600)


@example(wide=250.0, deep=250.0, tall=1787.0, shape=(600, 600))
@settings(max_examples=tried(40))
@given(wide=st.floats(250, 2400), deep=st.floats(250, 1200), tall=st.floats(200, 2400),
       shape=st.sampled_from([(600, 600), (800, 450), (480, 600)]))  # fmt: skip
def test_labels_find_room_beside_a_box_of_any_size(
    wide: float, deep: float, tall: float, shape: tuple[int, int]
) -> None:
    corners = [[x, y, z] for x in (0, wide) for y in (0, deep) for z in (0, tall)]
    judge(np.array(corners), *shape)


@given(st.integers(0, 2**32 - 1))
def test_parted_hulls_are_those_that_do_not_meet(seed: int) -> None:
    draw = np.random.default_rng(seed)
    a, b = draw.uniform(0, 10, (5, 2)), draw.uniform(0, 10, (5, 2)) + draw.uniform(0, 12)
    far = MultiPoint(a).convex_hull.distance(MultiPoint(b).convex_hull)
    assert not (far == 0 and apart(a, b)), "called apart, yet they meet"
    assert apart(a, b) or far < 0.2, "well apart, yet not found"


def test_lines_and_labels_are_drawn_and_the_rest_stays_as_it_was() -> None:
    points = box_points(box("stoop-tub"))
    camera, spans = known_size_view(points, 400, 400)
    assert sized_view(points, 400, 400)[0] == camera, "the same, asked again"
    plain = np.random.default_rng(2).integers(150, 255, (400, 400, 3)).astype(np.uint8)
    drawn = sized(plain, camera, spans)
    for x, y in seen(camera, span_points(spans)):
        spot = drawn[round(y) - 1 : round(y) + 2, round(x) - 1 : round(x) + 2]
        assert spot.min() < 90, "each line ends in a dark dot"
    for chip in chips(camera, spans):
        (x0, y0), (x1, y1) = chip.corners[0].astype(int) + 3, chip.corners[2].astype(int) - 3
        label = drawn[y0:y1, x0:x1]
        assert label.max() == 255 and label.min() < 90 and (label == 255).mean() > 0.4
    changed = (drawn != plain).any(axis=2)
    assert 0.01 < changed.mean() < 0.2
    rim = np.concatenate([changed[0], changed[-1], changed[:, 0], changed[:, -1]])
    assert not rim.any()


@pytest.mark.parametrize(
    "grid", [PictureGrid(400, 400, 2, 2), PictureGrid(400, 300, 2, 1), PictureGrid(613, 211, 3, 1)]
)
def test_a_grid_keeps_every_picture_and_adds_names(grid: PictureGrid) -> None:
    draw = np.random.default_rng(1)
    wide, high = grid.shape
    count = grid.columns * grid.rows
    pictures = [draw.integers(0, 255, (high, wide, 3), dtype=np.uint8) for _ in range(count)]
    found = grid.filled(pictures, [f"name {i}" for i in range(count)])
    assert found.shape == (grid.height, grid.width, 3)
    for i, one in enumerate(pictures):
        x, y = grid.corner(i)
        assert np.array_equal(found[y : y + high, x : x + wide], one)
        band = found[y + high : y + high + grid.band, x : x + wide]
        assert band.min() < 120 and band[:, :4].min() == 255, "its name, not cut off"
    assert wide * high * count > 0.8 * grid.width * grid.height


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_files_say_that_they_are_srgb_and_are_the_same_twice(kind: str) -> None:
    ramp = np.linspace(0, 255, 64 * 48 * 3).reshape(48, 64, 3).astype(np.uint8)
    content = image_file(ramp, kind)
    assert content == image_file(ramp, kind)
    image = Image.open(io.BytesIO(content))
    assert image.format == kind and image.size == (64, 48)
    assert np.abs(np.asarray(image).astype(int) - ramp).mean() < (0.01 if kind == "PNG" else 3)
    profile = ImageCms.ImageCmsProfile(io.BytesIO(image.info["icc_profile"]))
    assert "sRGB" in ImageCms.getProfileDescription(profile)
    assert image.info["icc_profile"][24:30] == bytes([7, 208, 0, 1, 0, 1])  # no clock: 2000-01-01


def test_a_box_is_seen_in_one_wood_or_in_what_is_nearest_to_its_own() -> None:
    tower, gable = box("bean-tower", "lumber.strip=one-by-2"), box("market-gable")
    assert seen_in(tower) is tower
    assert {b.stock.species for b in tower.box.boards.values()} == {"treated-pine", "douglas-fir"}
    cedar = seen_in(tower, "cedar")
    assert {b.stock.species for b in cedar.box.boards.values()} == {"cedar"}
    for one, wood in ((tower, "cedar"), (tower, "weathered"), (gable, "cedar"), (gable, "own")):
        other = seen_in(one, wood).box.boards
        assert {name: board.corners for name, board in other.items()} == {
            name: board.corners for name, board in one.box.boards.items()
        }
    # silver grey, so not the yellow of new spruce
    assert {b.stock.species for b in seen_in(gable).box.boards.values()} == {"weathered"}


def test_every_scene_has_words_for_the_help() -> None:
    assert list(SCENE_WORDS) == list(SCENES)


def test_the_help_names_all_that_can_be_asked_for() -> None:
    shown = CliRunner().invoke(main, ["picture", "--help"]).output
    for name in (*SCENES, *VIEWS, *FINISHES, *LOOKS):
        assert name in " ".join(shown.split()).replace("- ", "-"), name
    assert "winter-room   with a cut conifer" in shown


def test_names_are_completed() -> None:
    def offered(option: str, typed: str) -> list[str]:
        (found,) = [one for one in picture.params if option in one.opts]
        return [item.value for item in found.shell_complete(Context(picture), typed)]

    assert offered("--scene", "s") == ["studio", "spring-porch"]
    assert offered("--lumber", "o") == ["own"] and offered("--finish", "walnut") == ["walnut-stain"]
    assert set(offered("--view", "")) == set(VIEWS)


@pytest.mark.parametrize(
    ("name", "shape"),
    mostly_thorough(
        itertools.product(
            ["winter-tub", "winter-tub-small", "stoop-tub", "sill-box"],
            [(1000, 1000), (800, 1000), (1600, 900)],
        ),
        ("winter-tub", (1600, 900)),
    ),
)
def test_no_lamp_sheet_is_in_the_picture(name: str, shape: tuple[int, int]) -> None:
    """Its back is black: the corners of each sheet lie behind the camera, or all to one side."""
    framing = framing_of(box_points(box(name)), VIEWS["hero"], *shape)
    scene = SCENES["winter-room"](box(name), FINISHES["bare"], 0.01, framing)
    camera = framing(scene.subject)
    ahead = np.array(camera.towards) - np.array(camera.at)
    sheets = [lamp for lamp in scene.lamps if not lamp.ball]
    assert len(sheets) == 2
    for lamp in sheets:
        at, along = np.array(lamp.at), np.array(lamp.towards) - np.array(lamp.at)
        right = np.cross([0.0, 0.0, 1.0], along)
        right /= np.linalg.norm(right)
        up = np.cross(along / np.linalg.norm(along), right)
        corners = np.array([at + lamp.half * (a * right + b * up)
                            for a in (-1, 1) for b in (-1, 1)])  # fmt: skip
        places = corners[(corners - np.array(camera.at)) @ ahead > 0]
        if len(places):
            x, y = seen(camera, places).T
            assert x.max() < 0 or x.min() > shape[0] or y.max() < 0 or y.min() > shape[1]
