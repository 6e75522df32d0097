"""Scenes: nothing grows in a board of any variant; the same seed grows the same plants."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from case_lists import mostly_thorough
from palewright.construction.boards import Board
from palewright.design import design
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright_drawings.rendering.plants.beds import bed_of
from palewright_drawings.rendering.plants.box_interior import hollow_of
from palewright_drawings.rendering.plants.clearances import (
    box_obstacles,
    free_flock,
    obstacles,
    probes,
)
from palewright_drawings.rendering.plants.conifers import Conifer, conifer
from palewright_drawings.rendering.plants.leaves import LEAVES, leaf, leaf_solids
from palewright_drawings.rendering.plants.plantings import spring_planting
from palewright_drawings.rendering.plants.plants import GrownPlants
from palewright_drawings.rendering.scene.meshes import aimed
from palewright_drawings.rendering.scene.scene import Scene
from palewright_drawings.rendering.tracer.mesh_merging import patched
from placed_scenes import scene_of
from shipped_designs import shipped as box

Floats = NDArray[np.float64]

GROWN = [
    ("stoop-tub", "spring-porch"),
    ("sill-box", "spring-porch"),
    ("gate-pair", "spring-porch"),
    ("herb-trough", "spring-porch"),
    ("porch-cube", "spring-porch"),
    ("bean-tower", "garden"),
    ("market-gable", "garden"),
    ("stoop-tub-wide", "garden"),
    ("terrace-crate", "garden"),
    ("winter-tub", "winter-room"),
    ("winter-tub-small", "winter-room"),
    ("stoop-tub", "winter-room"),
]


def vertices(grown: Scene | GrownPlants) -> dict[str, Floats]:
    """All points of all that is no wood and no screw, each copy in its place."""
    found = {solid.name: solid.mesh.points for solid in grown.solids}
    for flock in grown.flocks:
        if flock.name.startswith("heads-"):
            continue
        own = np.concatenate([solid.mesh.points for solid in flock.group])
        for_all = np.einsum("nij,kj->nki", flock.places[:, :3, :3], own)
        found[flock.name] = (for_all + flock.places[:, None, :3, 3]).reshape(-1, 3)
    return found


def depth_in(board: Board, points: Floats) -> Floats:
    """How deep points lie in a board, mm, by the board's own frame and outline."""
    place = board.placement
    axes = np.array([place.grain, place.across, place.normal])
    own = (points - np.array(place.origin)) @ axes.T
    gaps = [own[:, 2], board.thickness - own[:, 2]]
    outline = np.array(board.outline)
    for start, end in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        run = end - start
        if np.hypot(*run) > 1e-6:
            over = run[0] * (own[:, 1] - start[1]) - run[1] * (own[:, 0] - start[0])
            gaps.append(over / np.hypot(*run))
    return np.min(gaps, axis=0)


def deepest(name: str, points: Floats) -> float:
    """How deep the deepest point lies in any board, mm; -1 where none comes near the box."""
    boards = box(name).box.boards.values()
    corners = np.array([corner for board in boards for corner in board.corners])
    near = (points > corners.min(axis=0)).all(axis=1) & (points < corners.max(axis=0)).all(axis=1)
    if not near.any():
        return -1.0
    return max(float(depth_in(board, points[near]).max()) for board in boards)


# the last is refused to a customer, but its lights must not run through boards either
@pytest.mark.parametrize(
    ("name", "scene"),
    mostly_thorough([*GROWN, ("bean-tower", "winter-room")], ("sill-box", "spring-porch")),
)
def test_nothing_grows_in_a_board(name: str, scene: str) -> None:
    for what, points in vertices(scene_of(name, scene)).items():
        # soil lies round the uprights of a trellis: only the walls may not be in it
        if len(points) and what != "soil":
            assert deepest(name, points) <= 0.0, what


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "stoop-tub", "winter-tub"))
def test_a_tree_stands_in_soil_or_in_its_stand(name: str) -> None:
    found = vertices(scene_of(name, "winter-room"))
    trunk = found["trunk"]
    foot = float(trunk[:, 2].min())
    ring = trunk[trunk[:, 2] < foot + 1.0]
    middle, thick = ring.mean(axis=0), float(np.ptp(ring[:, 0]))
    boards = box(name).box.boards.values()
    floor = max((c[2] for b in boards if b.panel == "floor" for c in b.corners), default=0.0)
    if box(name).parameters.box.kind == "tree":
        stand = found["stand"]
        assert floor <= stand[:, 2].min() <= foot < stand[:, 2].max()
        assert np.abs(stand[:, :2] - middle[:2]).max(axis=0).min() > thick / 2
    else:
        earth = next(points for key, points in found.items() if key in ("soil", "pot-soil"))
        near = np.hypot(*(earth[:, :2] - middle[:2]).T) < thick
        assert near.any(), "soil all round the trunk"
        assert floor < foot < earth[near][:, 2].min() - 20.0


def test_copies_left_out_are_those_that_come_too_near_by_every_single_point() -> None:
    of = box("bean-tower")
    around = box_obstacles(of, 300.0)
    draw = np.random.default_rng(3)
    corners = np.array([corner for board in of.box.boards.values() for corner in board.corners])
    at = draw.uniform(corners.min(axis=0) - 80, corners.max(axis=0) + 80, (250, 3))
    size = draw.uniform(0.3, 2.0, 250)
    places = aimed(at, draw.normal(size=(250, 3)), draw.normal(size=(250, 3)), size)
    group = leaf_solids("bean", 1, ("near",))[0]
    own = probes(group[0].mesh)
    expected = []
    for place in places:
        points = own @ place[:3, :3].T + place[:3, 3]
        deep = max(depth_in(board, points).max() for board in of.box.boards.values())
        expected.append(deep <= -1.0 and points[:, 2].min() >= 1.0 and points[:, 1].max() <= 300.0)
    found = free_flock("bean", group, places, around).places
    assert 20 < sum(expected) < 230
    np.testing.assert_array_equal(found, places[expected])


def test_fewer_needles_cover_as_much() -> None:
    def covered(density: float) -> tuple[int, float]:
        tree = Conifer(0.0, 60.0, 700.0, 200.0, 60.0, seed=1, density=density)
        groups = [flock.group[0].mesh for flock in conifer(tree, obstacles(())).flocks]
        edges = [mesh.points[mesh.triangles] for mesh in groups]
        areas = [np.cross(t[:, 1] - t[:, 0], t[:, 2] - t[:, 0]) for t in edges]
        sizes = [float(np.linalg.norm(area, axis=1).sum() / 2) for area in areas]
        return sum(map(len, edges)), sum(sizes)

    (many, whole), (few, coarse) = covered(4.0), covered(0.5)
    assert few == pytest.approx(many / 2, rel=0.01)
    assert coarse == pytest.approx(whole, rel=0.05)


@pytest.mark.parametrize("name", ["stoop-tub", "bean-tower", "sill-box"])
def test_soil_fills_the_box_and_stays_inside_its_walls(name: str) -> None:
    around = box_obstacles(box(name))
    grown = spring_planting(box(name), bed_of(box(name), around, 1), around, 1)
    points = vertices(grown)["soil"]
    walls = [board for board in box(name).box.boards.values()
             if board.panel in ("front", "back", "left", "right", "cap")]  # fmt: skip
    assert max(float(depth_in(board, points).max()) for board in walls) <= 0.0
    for side in range(4):
        edge = points[[points[:, 0].argmin(), points[:, 0].argmax(),
                       points[:, 1].argmin(), points[:, 1].argmax()][side]]  # fmt: skip
        assert max(float(depth_in(board, edge[None])[0]) for board in walls) > -2.0


@pytest.mark.parametrize("settings", [[], ["box.width=40in"], ["box.depth=40in"]])
def test_a_box_for_pots_has_pots_standing_on_its_floor(settings: list[str]) -> None:
    of = design(load_variant("porch-cube", settings).parameters, "cube")
    hollow, around = hollow_of(of), box_obstacles(of)
    bed = bed_of(of, around, 1)
    names = [solid.name for solid in bed.growth.solids]
    assert names.count("pot") == names.count("pot-soil") == len(bed.roots) == 1 + len(settings)
    assert "soil" not in names and not bed.growth.flocks and not bed.loose
    floor = max(c[2] for b in of.box.boards.values() if b.panel == "floor" for c in b.corners)
    x0, y0, x1, y1 = hollow.opening
    pots = [solid.mesh.points for solid in bed.growth.solids if solid.name == "pot"]
    for pot, room in zip(pots, bed.roots, strict=True):
        low, high = pot.min(axis=0), pot.max(axis=0)
        assert floor < low[2] < floor + 1.0 and room.soil < high[2] < hollow.rim
        assert around.frees(pot, 0.4).all(), "it stands free"
        # it passes the opening, and is no beaker in a hall
        assert x0 < low[0] and high[0] < x1 and y0 < low[1] and high[1] < y1
        assert np.ptp(pot[:, 0]) > 0.9 * min(hollow.width, hollow.depth)
    for one, other in pairwise(pots):
        assert (other.min(axis=0) > one.max(axis=0)).any()
    assert any(key.startswith("tulip") for key in vertices(spring_planting(of, bed, around, 1)))


def test_a_leaf_in_a_board_is_seen_by_the_test_and_left_out_by_the_plant() -> None:
    of = box("stoop-tub")
    board = of.box.boards["front.stile-left"]
    middle = np.array(board.corners).mean(axis=0)
    place = np.eye(4)[None].copy()
    place[0, :3, 3] = middle
    leaf_there = leaf_solids("ivy", 1, ("x",))[0]
    assert deepest("stoop-tub", leaf_there[0].mesh.points + middle) > 1.0
    assert len(free_flock("ivy", leaf_there, place, box_obstacles(of)).places) == 0
    place[0, :3, 3] = middle + np.array([0.0, -400.0, 300.0])
    assert len(free_flock("ivy", leaf_there, place, box_obstacles(of)).places) == 1


@pytest.mark.parametrize(
    ("name", "scene"),
    mostly_thorough(
        GROWN,
        ("sill-box", "spring-porch"),
        GROWN[-1],
    ),
)
def test_a_box_is_full_whatever_its_size(name: str, scene: str) -> None:
    copies = {flock.name: len(flock.places) for flock in scene_of(name, scene).flocks}
    if scene == "winter-room":
        assert sum(count for key, count in copies.items() if key.startswith("twig")) > 700
        return
    bed = bed_of(box(name), box_obstacles(box(name)), 1)
    if box(name).parameters.product.grows == "herbs":
        kinds = ("rosemary", "basil", "chive", "parsley", "sage", "thyme-trail")
        assert all(
            sum(n for key, n in copies.items() if key.startswith(kind)) >= 12 for kind in kinds
        )
        assert not any(key.startswith(("tulip", "daisy", "bedding")) for key in copies)
        return
    leaves = sum(count for key, count in copies.items() if key.startswith("bedding"))
    assert leaves > 0.4 * sum(room.width * room.depth for room in bed.roots) / 240.0
    assert any("trail" in key and count for key, count in copies.items()) == bed.loose
    assert sum(count for key, count in copies.items() if key.startswith(("daisy", "trumpet"))) >= 5


def test_a_climber_reaches_the_top_of_its_trellis() -> None:
    found = vertices(scene_of("bean-tower", "garden"))
    points = np.concatenate([p for key, p in found.items() if key.startswith("bean-trail")])
    top = max(c[2] for b in box("bean-tower").box.boards.values() for c in b.corners)
    hollow = hollow_of(box("bean-tower"))
    assert points[:, 2].max() > 0.85 * top
    # all the way up: no fifth of the way without leaves
    bins, _ = np.histogram(points[:, 2], bins=5, range=(hollow.rim, top))
    assert bins.min() > 200


def test_trailers_hang_below_the_rim_outside() -> None:
    hollow = hollow_of(box("stoop-tub"))
    found = vertices(scene_of("stoop-tub", "spring-porch"))
    ivy = np.concatenate([p for key, p in found.items() if key.startswith("ivy-trail")])
    low = ivy[ivy[:, 2] < hollow.rim - 60.0]
    assert len(low) > 400
    inside = (np.abs(low[:, 0]) < hollow.x1) & (low[:, 1] > hollow.y0) & (low[:, 1] < hollow.y1)
    assert not inside.any()


def test_the_same_seed_grows_the_same_and_another_does_not() -> None:
    around = box_obstacles(box("sill-box"))
    bed = bed_of(box("sill-box"), around, 1)
    first, again, other = (
        np.concatenate(list(vertices(spring_planting(box("sill-box"), bed, around, seed)).values()))
        for seed in (1, 1, 2)
    )
    assert np.array_equal(first, again)
    assert first.shape != other.shape or not np.allclose(first, other)


@pytest.mark.parametrize("kind", LEAVES)
def test_a_leaf_has_its_size_and_no_two_are_alike(kind: str) -> None:
    shape = LEAVES[kind]
    leaves = [leaf(shape, (kind, i)) for i in range(6)]
    for one in leaves:
        assert one.colours is not None and ((one.colours >= 0) & (one.colours <= 1)).all()
        reach = np.linalg.norm(one.points, axis=1).max()
        assert 0.6 * shape.length < reach < 1.35 * shape.length
        # wide as it is, and aside as far as it bends
        assert np.ptp(one.points[:, 1]) < 1.6 * shape.width + 0.15 * shape.length
    assert not np.allclose(leaves[0].points, leaves[1].points)


def test_colours_read_from_a_patch_are_those_of_the_corners_and_linear_between() -> None:
    draw = np.random.default_rng(3)
    colours = draw.uniform(0.4, 0.6, (12, 3))
    triangles = np.array([draw.choice(12, 3, replace=False) for _ in range(7)])
    cut = patched(triangles, colours)
    size = np.array(cut.picture.shape[1::-1])

    def read(place: Floats) -> Floats:
        x, y = place * size - 0.5
        i, j = int(np.floor(x + 1e-9)), int(np.floor(y + 1e-9))
        i, j = min(i, size[0] - 2), min(j, size[1] - 2)
        u, v, p = x - i, y - j, cut.picture
        return np.asarray(
            (1 - v) * ((1 - u) * p[j, i] + u * p[j, i + 1])
            + v * ((1 - u) * p[j + 1, i] + u * p[j + 1, i + 1])
        )

    for m, triangle in enumerate(triangles):
        corners = cut.places[3 * m : 3 * m + 3]
        for share in (np.eye(3)[0], np.full(3, 1 / 3), np.array([0.2, 0.5, 0.3])):
            np.testing.assert_allclose(read(share @ corners), share @ colours[triangle], atol=1e-9)
