"""Pictures: wood that grew in a log, a camera that frames any size, the box's own silhouette."""

from __future__ import annotations

import io
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from shapely import MultiPoint, Polygon, unary_union

from case_lists import thorough, tried
from command_runs import run_here
from palewright.construction.boards import Board
from palewright.design import Design, design
from palewright.parameters.variant_files import load_variant
from palewright.reading.errors import InputError
from palewright_drawings.listing.rendered_picture import PictureRequest, picture_file
from palewright_drawings.rendering.scene.scene import Camera
from palewright_drawings.rendering.tracer.cameras import VIEWS, framed, held_still, seen
from palewright_drawings.rendering.wood.board_meshes import (
    EASE,
    _saw_marks,
    _wall_colours,
    board_skin,
)
from palewright_drawings.rendering.wood.box_boards import woods_of
from palewright_drawings.rendering.wood.grain_textures import Grain
from palewright_drawings.rendering.wood.logs import Growth, log_of
from palewright_drawings.rendering.wood.species_looks import FINISHES, LOOKS, look_of

Floats = NDArray[np.float64]

GROWTHS = {name: look.growth for name, look in LOOKS.items()}


def box(name: str) -> Design:
    return design(load_variant(name).parameters, name)


def corners(of: Design) -> Floats:
    return np.array([corner for board in of.box.boards.values() for corner in board.corners])


@pytest.fixture(scope="module")
def tub() -> Design:
    return box("stoop-tub")


def grain_of(name: str, size: tuple[float, float, float], finish: str = "bare") -> Grain:
    look = look_of("cedar")
    return Grain(log_of(name, 1, look.growth, size), look, FINISHES[finish], size)


@pytest.mark.parametrize("name", GROWTHS)
def test_ring_widths_have_the_median_and_spread_that_the_species_has(name: str) -> None:
    growth = GROWTHS[name]
    widths = np.concatenate(
        [np.diff(log_of(f"{i}", 1, growth, (400, 140, 16)).ring_radii) for i in range(300)]
    )
    assert (widths > 0).all()
    assert np.median(widths) == pytest.approx(growth.ring, rel=0.08)
    assert np.log(widths).std() == pytest.approx(growth.ring_spread, rel=0.1)
    # 200 m of rings: all but a few lie within three deviations of the median
    low, high = (growth.ring * np.exp(k * 3 * growth.ring_spread) for k in (-1, 1))
    assert ((widths > low) & (widths < high)).mean() > 0.99


def test_neighbouring_rings_are_alike_as_the_species_remembers() -> None:
    growth = GROWTHS["treated-pine"]
    logs = [
        np.log(np.diff(log_of(f"{i}", 1, growth, (400, 140, 16)).ring_radii)) for i in range(300)
    ]
    found = np.corrcoef(
        np.concatenate([w[50:-1] for w in logs]), np.concatenate([w[51:] for w in logs])
    )
    assert found[0, 1] == pytest.approx(growth.memory, abs=0.05)


@pytest.mark.parametrize("finish", FINISHES)
def test_the_grain_runs_over_the_edges(finish: str) -> None:
    size = (300.0, 120.0, 16.0)
    grain = grain_of("rail", size, finish)
    x = np.linspace(5, 295, 400)
    face = grain.face(x, np.array([0.0]), np.array([16.0]))[:, 0, 0]
    edge = grain.points(x, np.zeros(400), np.full(400, 16.0))
    np.testing.assert_allclose(face, edge, atol=1e-4)
    across = np.linspace(2, 118, 300)
    end = grain.points(np.full(300, 300.0), across, np.full(300, 16.0))
    face = grain.face(np.array([300.0]), across, np.array([16.0]))[0, :, 0]
    np.testing.assert_allclose(face, end, atol=1e-4)


@pytest.mark.parametrize(("ex", "ey"), [(0.0, 40.0), (90.0, 0.0), (60.0, 35.0)])
def test_a_wall_has_the_colours_of_its_points(ex: float, ey: float) -> None:
    grain = grain_of("rail", (300.0, 120.0, 16.0))
    share, z = np.linspace(0, 1, 70), np.linspace(16, 0, 9)
    x, y = 150.0 + share * ex, 20.0 + share * ey
    found = _wall_colours(grain, x, y, z)
    expected = [grain.points(x, y, np.full(70, height)) for height in z]
    np.testing.assert_allclose(found, np.array(expected), atol=1e-4)


def test_the_saw_leaves_faint_patches_and_no_weave() -> None:
    x, y = np.arange(0.0, 900.0, 0.25), np.arange(0.0, 120.0, 1.0)
    for name in ("a", "b", "c", "d"):
        marks = _saw_marks(x, y, grain_of(name, (900.0, 120.0, 16.0)))[..., 0] - 1.0
        assert 0.0 < np.abs(marks).max() < 0.02
        assert (np.abs(marks) < 0.001).mean() > 0.4, "most of a face is free of them"
        # a regular wave would have all its strength at one wavelength
        power = np.abs(np.fft.rfft(marks, axis=1)) ** 2
        assert power.mean(axis=0).max() < 0.3 * power.mean(axis=0).sum()


def test_no_two_boards_are_alike_and_the_same_board_is_always_the_same() -> None:
    size = (300.0, 120.0, 16.0)
    x, y, z = np.linspace(0, 300, 80), np.linspace(0, 120, 40), np.array([16.0])
    pictures = [
        grain_of(name, size).face(x, y, z).mean(axis=-1).ravel() for name in ("a", "b", "c", "a")
    ]
    assert np.array_equal(pictures[0], pictures[3])
    for i, j in ((0, 1), (0, 2), (1, 2)):
        assert abs(np.corrcoef(pictures[i], pictures[j])[0, 1]) < 0.5


@pytest.mark.parametrize(
    "others",
    [["stoop-tub-wide"], pytest.param(["stoop-tub-wide", "gate-pair", "terrace-crate"],
                                      marks=pytest.mark.thorough)],
)  # fmt: skip
def test_no_board_of_one_box_is_pictured_in_another_and_the_same_box_is_always_the_same(
    others: list[str],
) -> None:
    names = ("stoop-tub", *others, "stoop-tub")
    parts = ("front.stile-left", "front.stile-right")  # every box has them
    kept = [
        {wood.name: wood.skin.picture for wood in woods_of(box(name), FINISHES["bare"], 0.4)}
        for name in names
    ]
    assert all(np.array_equal(kept[0][part], kept[-1][part]) for part in kept[0])
    pieces = [pictures[part] for pictures in kept[:-1] for part in parts]
    high, wide = (min(one.shape[axis] for one in pieces) for axis in (0, 1))
    flat = [one[:high, : wide // 2].mean(axis=-1).ravel() for one in pieces]
    for i in range(len(flat)):
        for j in range(i):
            assert abs(np.corrcoef(flat[i], flat[j])[0, 1]) < 0.6, (i, j)


def test_paint_hides_the_wood_and_stain_keeps_its_grain() -> None:
    size = (300.0, 120.0, 16.0)
    x, y, z = np.linspace(20, 280, 200), np.linspace(20, 100, 80), np.array([16.0])
    bare, paint, stain = (
        grain_of("rail", size, name).face(x, y, z) for name in ("bare", "cream-paint", "oil")
    )
    assert paint.std(axis=(0, 1, 2)).max() < 0.35 * bare.std(axis=(0, 1, 2)).max()
    light = [values.mean(axis=-1).ravel() for values in (bare, stain)]
    assert np.corrcoef(light[0], light[1])[0, 1] > 0.9


def test_a_skin_is_closed_and_eased_within_its_board(tub: Design) -> None:
    import trimesh

    for board in tub.box.boards.values():
        look = look_of(board.stock.species)
        size = (board.length, board.width, board.thickness)
        grain = Grain(log_of(board.name, 1, look.growth, size), look, FINISHES["bare"], size)
        skin = board_skin(board, grain, 0.1)
        mesh = trimesh.Trimesh(skin.points, skin.triangles)
        mesh.merge_vertices(merge_norm=True, merge_tex=True)
        assert mesh.is_watertight and mesh.is_winding_consistent, board.name
        # only the eased edges are missing: e²/2 along every edge of both faces, and less at corners
        assert 0.985 * board.volume < mesh.volume < board.volume
        assert ((skin.places >= 0) & (skin.places <= 1)).all()
        np.testing.assert_allclose(np.linalg.norm(skin.normals, axis=1), 1.0, atol=1e-9)


@settings(max_examples=tried(60), deadline=None)
@given(
    size=st.tuples(*[st.floats(100, 2400)] * 3),
    view=st.sampled_from(sorted(VIEWS)),
    shape=st.sampled_from([(600, 600), (800, 1000), (1600, 900)]),
)
def test_every_size_fills_the_picture_and_stays_inside(
    size: tuple[float, float, float], view: str, shape: tuple[int, int]
) -> None:
    points = np.array([[x, y, z] for x in (-size[0] / 2, size[0] / 2)
                       for y in (-size[1] / 2, size[1] / 2) for z in (0, size[2])])  # fmt: skip
    camera = framed(points, VIEWS[view], *shape)
    places = seen(camera, points)
    margin = 0.09 * min(shape)
    low, high = places.min(axis=0), places.max(axis=0)
    free = np.concatenate([low, np.array(shape) - high])
    assert free.min() == pytest.approx(margin, abs=0.01)
    # one side or the other is filled, and what is free is shared on both sides alike
    assert free[0] == pytest.approx(free[2], abs=0.01) and free[1] == pytest.approx(
        free[3], abs=0.01
    )


def untold(_what: str, _share: float) -> None:
    """Progress that nobody hears."""


def eased_corners(board: Board) -> Floats:
    """What a board's eased edges leave of it: its faces shrunk, its walls lower, both by EASE.

    Its hull is the board as it is sanded; the shrinking is another library's.
    """
    by = min(EASE, 0.2 * board.thickness, 0.1 * board.width)
    face = Polygon(board.outline).buffer(-by, join_style="mitre", mitre_limit=30.0)
    out = board.placement.out
    found = [out(x, y, z) for x, y in face.exterior.coords for z in (0.0, board.thickness)]
    found += [out(x, y, z) for x, y in board.outline for z in (by, board.thickness - by)]
    return np.array(found)


def silhouette(of: Design, camera: Camera) -> NDArray[np.bool_]:
    """The box's outline drawn by another library from the model's own corners, edges eased."""
    boards = of.box.boards.values()
    hulls = [MultiPoint(seen(camera, eased_corners(board))).convex_hull for board in boards]
    over, pixels = 12, camera.width
    image = Image.new("1", (pixels * over, pixels * over))
    draw = ImageDraw.Draw(image)
    joined = unary_union(hulls)
    for shape in getattr(joined, "geoms", [joined]):
        # this library means the middles of dots by whole numbers
        draw.polygon([(x * over - 0.5, y * over - 0.5) for x, y in shape.exterior.coords], fill=1)
        for hole in shape.interiors:
            draw.polygon([(x * over - 0.5, y * over - 0.5) for x, y in hole.coords], fill=0)
    fine = np.array(image).reshape(pixels, over, pixels, over)
    return np.asarray(fine.mean(axis=(1, 3)) >= 0.5)


def rendered_silhouette(of: Design, camera: Camera) -> NDArray[np.bool_]:
    """Where boards as they are rendered cover half a pixel or more.

    They are whitened, so that a pixel's albedo is the share of it that they cover. The length of
    its mean normal is not: where an edge shows two faces, they take from each other.
    """
    from palewright_drawings.rendering.scene.scene import Scene
    from palewright_drawings.rendering.tracer.path_tracer import Rendering

    woods = woods_of(of, FINISHES["bare"], 0.05)
    white = [
        replace(wood, skin=replace(wood.skin, picture=np.full_like(wood.skin.picture, 255)))
        for wood in woods
    ]
    albedo, _ = Rendering(Scene("alone", woods=tuple(white)), camera).guides(samples=16)
    assert albedo.max() == 1.0 and albedo[0].max() == 0.0
    return np.asarray(albedo.mean(axis=-1) >= 0.5)


@pytest.mark.parametrize(
    ("name", "view", "pixels"),
    [
        ("stoop-tub", "three-quarter", 360),
        thorough(("winter-tub", "hero", 360)),
        thorough(("herb-trough", "above", 360)),
        thorough(("gate-pair", "front", 360)),
        thorough(("terrace-crate", "hero", 360)),
        # a trellis is mostly rim: of finer pixels fewer lie on it
        thorough(("bean-tower", "hero", 900)),
        thorough(("bean-tower", "three-quarter", 1000)),
        thorough(("bean-tower", "three-quarter", 2000)),
    ],
)
def test_the_rendered_box_has_the_models_silhouette(name: str, view: str, pixels: int) -> None:
    of = box(name)
    camera = framed(corners(of), VIEWS[view], pixels, pixels)
    rendered, expected = rendered_silhouette(of, camera), silhouette(of, camera)
    shared = (rendered & expected).sum() / (rendered | expected).sum()
    assert shared >= 0.995, shared
    moved = np.roll(rendered, 2, axis=1)
    assert (moved & expected).sum() / (moved | expected).sum() < 0.995


def test_a_picture_opens_is_srgb_and_is_the_same_twice(tub: Design) -> None:
    request = PictureRequest(shape=(96, 80), samples=4)
    first, second = (picture_file(tub, request, untold) for _ in range(2))
    assert first == second
    image = Image.open(io.BytesIO(first))
    assert image.size == (96, 80)
    light = np.asarray(image.convert("L"), dtype=float)
    assert light[:6].mean() > 150 > light.min()  # a bright wall, a box in it that is not


@pytest.mark.thorough
def test_denoised_is_nearer_to_the_truth_than_what_was_traced(tub: Design) -> None:
    from palewright_drawings.rendering.places.studio import studio
    from palewright_drawings.rendering.tracer.path_tracer import Rendering

    camera = framed(corners(tub), VIEWS["hero"], 100, 100)
    rendering = Rendering(studio(tub, FINISHES["bare"], 0.4, held_still(camera)), camera)
    truth = rendering.noisy(160, seed=7)
    noisy = rendering.noisy(16)
    clean = rendering.denoised(noisy, *rendering.guides())
    noise, left = (np.sqrt(((p - truth) ** 2).mean()) for p in (noisy, clean))
    assert left < 0.6 * noise
    assert left / truth.mean() < 0.12


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (["--scene", "studoi"], "did you mean 'studio'"),
        (["--view", "back"], "allowed: hero, three-quarter, front, above"),
        (["--finish", "gold"], "allowed: bare"),
        (["--lumber", "cedr"], "did you mean 'cedar'"),
        (["--pixels", "9"], "allowed: 64 to 4000"),
        (["--pixels", "900x5000"], "900 x 5000 pixels is not allowed; allowed: 64 to 4000"),
        (["--pixels", "3000x300"], "at most 4 times the shorter"),
        (["--pixels", "1e3"], "allowed: such as 1000, or 1600x900"),
        (["--out", "box.gif"], "--out: 'box.gif' does not end in a picture's way; allowed: .png"),
        (["--out", "."], "--out: is a folder; name a file"),
        (
            ["--scene", "winter-room", "--set", "trellis.fit=true"],
            "not for a box with a trellis: a conifer would stand in it; allowed: studio, spring",
        ),
        (["--out", "no/box.png"], "no: --out: no such folder"),
    ],
)
def test_nonsense_is_one_line_and_exit_2(args: list[str], said: str, tmp_path: Path) -> None:
    done = run_here("picture", "stoop-tub", *args, cwd=tmp_path)
    assert done.returncode == 2 and said in done.stderr and done.stderr.count("\n") == 1
    assert not list(tmp_path.iterdir())


def test_without_the_extra_a_clear_line_is_said(
    monkeypatch: pytest.MonkeyPatch, tub: Design
) -> None:
    monkeypatch.setitem(sys.modules, "mitsuba", None)
    with pytest.raises(InputError, match=r"pip install 'palewright\[pictures\]'"):
        picture_file(tub, PictureRequest(), untold)


def test_growth_is_a_record() -> None:
    assert {type(growth) for growth in GROWTHS.values()} == {Growth}
