"""Scenes as few meshes: copies stand where they stood, every colour is seen where it belongs."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from palewright_drawings.rendering.scene.meshes import aimed, block, grid_triangles, standing
from palewright_drawings.rendering.scene.scene import (
    Camera,
    Flock,
    Mesh,
    Scene,
    Solid,
    Surface,
    Wood,
)
from palewright_drawings.rendering.tracer.mesh_merging import (
    linear_colours,
    merged,
    shelved,
    stays_copied,
)
from palewright_drawings.rendering.tracer.path_tracer import Rendering
from palewright_drawings.rendering.tracer.ply import write_ply
from palewright_drawings.rendering.wood.board_meshes import Skin

Floats = NDArray[np.float64]

ACROSS = 7
ABOVE = Camera(
    (0.0, -1e-3, 1000.0), (0.0, 0.0, 0.0), 2 * float(np.degrees(np.arctan(0.35))), 70, 70
)
"""Sees 700 by 700 mm of the ground, 10 mm a pixel."""


def squares(seed: int) -> list[tuple[Floats, Floats]]:
    """Return 7 by 7 squares of 100 mm that fill the picture: corner and colour."""
    draw = np.random.default_rng(seed)
    return [
        (np.array([-350.0 + 100 * i, -350.0 + 100 * j, 0.0]), draw.uniform(0.1, 0.9, 3))
        for i in range(ACROSS)
        for j in range(ACROSS)
    ]


def seen_colours(scene: Scene) -> Floats:
    """Return the albedo in the middle of each square that the path tracer finds, linear light."""
    albedo, _ = Rendering(scene, ABOVE).guides(samples=1)
    # pixels go down the picture, squares up
    return np.array([albedo[65 - 10 * j, 5 + 10 * i] for i in range(ACROSS) for j in range(ACROSS)])


def test_every_solid_is_seen_in_its_own_colour() -> None:
    found = squares(1)
    solids = []
    for number, (corner, colour) in enumerate(found):
        mesh = block(corner + np.array([1, 1, -5]), corner + np.array([99, 99, 0]))
        surface = Surface((float(colour[0]), float(colour[1]), float(colour[2])), 0.5)
        solids.append(Solid(f"{number}", mesh, surface))
    expected = linear_colours(np.array([colour for _, colour in found]))
    np.testing.assert_allclose(seen_colours(Scene("s", solids=tuple(solids))), expected, atol=0.01)


def test_every_copy_is_seen_in_the_colours_of_its_points() -> None:
    found = squares(2)
    corners = np.array([[0.0, 0, 0], [98, 0, 0], [0, 98, 0], [98, 98, 0]])
    flocks = []
    for number, (corner, colour) in enumerate(found):
        tint = np.tile(colour, (4, 1)) + np.array([-0.09, 0.0, 0.0, 0.09])[:, None]
        mesh = Mesh(corners, grid_triangles(2, 2)[:, ::-1], colours=tint)
        place = np.eye(4)[None].copy()
        place[0, :3, 3] = corner
        flocks.append(Flock(f"{number}", (Solid("leaf", mesh, Surface((1, 1, 1))),), place))
    # the middle lies on the edge between the darkest corner and the lightest
    ends = [linear_colours(np.array([colour - 0.09, colour + 0.09])) for _, colour in found]
    expected = np.array(ends).mean(axis=1)
    np.testing.assert_allclose(seen_colours(Scene("s", flocks=tuple(flocks))), expected, atol=0.015)


def test_every_board_is_seen_with_its_own_picture_the_right_way_up() -> None:
    draw = np.random.default_rng(3)
    expected = np.zeros((ACROSS, ACROSS, 3))
    woods = []
    for row in range(ACROSS):
        # one board a row of squares, each square a colour; pictures of sizes that differ
        colours = draw.integers(30, 220, (ACROSS, 3))
        high, wide = 2 * (3 + row), 4 * (5 + row)
        upper = np.repeat(colours[None], high, axis=0).repeat(wide, axis=1)
        picture = np.concatenate([upper, 255 - upper]).astype(np.uint8)
        y = 350.0 - 100 * row
        points = np.array([[-350.0, y - 100, 0], [350, y - 100, 0], [350, y, 0], [-350, y, 0]])
        places = np.array([[0.0, 0.49], [1, 0.49], [1, 0], [0, 0]])
        skin = Skin(points, np.tile([0.0, 0, 1], (4, 1)), places,
                    np.array([[0, 1, 2], [0, 2, 3]]), picture)  # fmt: skip
        woods.append(Wood(f"{row}", skin, 0.15))
        expected[:, ACROSS - 1 - row] = linear_colours(colours / 255)
    found = seen_colours(Scene("s", woods=tuple(woods)))
    np.testing.assert_allclose(found, expected.reshape(-1, 3), atol=0.01)


def test_a_merged_flock_has_its_copies_points_and_normals() -> None:
    draw = np.random.default_rng(4)
    at, axis = draw.normal(0, 300, (5, 3)), draw.normal(0, 1, (5, 3))
    places = standing(at, axis, draw.uniform(0, 6, 5), draw.uniform(0.5, 2, 5))
    mesh = block((0, 0, 0), (3, 4, 5))
    (body,) = merged([], [Flock("f", (Solid("b", mesh, Surface((0.5, 0.5, 0.5))),), places)])
    expected = [
        place[:3, :3] @ mesh.points[corner] + place[:3, 3]
        for place in places
        for corner in mesh.triangles.reshape(-1)
    ]
    np.testing.assert_allclose(body.points, expected, atol=1e-3)
    triangle = body.points[body.triangles].astype(np.float64)
    normal = np.cross(triangle[:, 1] - triangle[:, 0], triangle[:, 2] - triangle[:, 0])
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    for corner in range(3):
        np.testing.assert_allclose(body.normals[body.triangles[:, corner]], normal, atol=1e-3)


def test_one_mesh_a_surface_whatever_its_colour() -> None:
    solids = [
        Solid(f"{i}", block((i, 0, 0), (i + 1, 1, 1)), Surface((0.1 * i, 0.5, 0.5), rough))
        for i, rough in enumerate((0.5, 0.7, 0.5, 0.5))
    ]
    assert sorted(len(body.triangles) for body in merged(solids)) == [12, 36]


def test_only_few_copies_of_a_heavy_group_stay_copies() -> None:
    grid = Mesh(np.zeros((101 * 101, 3)), grid_triangles(101, 101))
    heavy = (Solid("heavy", grid, Surface((0.5, 0.5, 0.5))),)
    light = (Solid("light", block((0, 0, 0), (1, 1, 1)), Surface((0.5, 0.5, 0.5))),)
    ones = [np.ones((count, 3)) for count in (5, 5, 500)]
    few, some, many = (aimed(a, a, a * [1, -1, 0], np.ones(len(a))) for a in ones)
    assert stays_copied(Flock("a", heavy, few))
    assert not stays_copied(Flock("b", light, some))
    assert not stays_copied(Flock("c", heavy, many))


@given(st.lists(st.tuples(st.integers(1, 90), st.integers(1, 90)), min_size=1, max_size=25))
def test_pictures_on_shelves_do_not_overlap(sizes: list[tuple[int, int]]) -> None:
    corners, (width, height) = shelved(sizes)
    taken = np.zeros((height, width), dtype=int)
    for (x, y), (w, h) in zip(corners, sizes, strict=True):
        assert x + w <= width and y + h <= height
        taken[y : y + h, x : x + w] += 1
    assert taken.max() == 1


def test_a_mesh_file_holds_the_mesh_for_another_reader(tmp_path: Path) -> None:
    import trimesh

    draw = np.random.default_rng(4)
    points, normals, places = (draw.normal(size=(9, k)).astype(np.float32) for k in (3, 3, 2))
    triangles = draw.permutation(9).reshape(3, 3)
    file = tmp_path / "mesh.ply"
    write_ply(file, points, normals, places, triangles)
    found = trimesh.load(file, process=False)
    assert isinstance(found, trimesh.Trimesh)
    np.testing.assert_array_equal(found.vertices, points)
    np.testing.assert_array_equal(found.faces, triangles)
    raw = found.metadata["_ply_raw"]["vertex"]["data"]
    read = np.column_stack([np.ravel(raw[name]) for name in ("nx", "ny", "nz", "u", "v")])
    np.testing.assert_array_equal(read, np.concatenate([normals, places], axis=1))
