"""Heads of screws in pictures: sunk in their countersinks, recessed, coated or painted over."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from shapely import Polygon

from case_lists import KINDS, mostly_thorough
from palewright.construction.boards import Hole
from palewright.design import design
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright.solids.convex_prisms import pierced
from palewright_drawings.rendering.scene.meshes import moved
from palewright_drawings.rendering.wood.board_meshes import seats_on
from palewright_drawings.rendering.wood.screw_heads import COATINGS, head, screw_heads
from palewright_drawings.rendering.wood.species_looks import FINISHES
from shipped_designs import shipped as box

Floats = NDArray[np.float64]


def ring(x: float, y: float, radius: float, sides: int = 24) -> Floats:
    turn = np.arange(sides) / sides * 2 * np.pi
    return np.column_stack([x + radius * np.cos(turn), y + radius * np.sin(turn)])


@given(st.lists(st.tuples(*[st.floats(6, 94)] * 2), max_size=6), st.floats(0.5, 5.0))
def test_a_pierced_outline_is_all_but_its_holes(spots: list[tuple[float, float]], r: float) -> None:
    kept: list[tuple[float, float]] = []
    for spot in spots:
        if all(np.hypot(spot[0] - a, spot[1] - b) > 2 * r + 0.01 for a, b in kept):
            kept.append(spot)
    outline, holes = (
        [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0, 100.0)],
        [ring(x, y, r) for x, y in kept],
    )
    points = np.concatenate([np.array(outline), *holes])
    a, b, c = (points[pierced(outline, holes)[:, i]] for i in range(3))
    u, v = b - a, c - a
    areas = (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]) / 2
    assert (areas > 0).all()
    assert areas.sum() == pytest.approx(1e4 - sum(Polygon(hole).area for hole in holes))
    whole = Polygon(outline, [hole.tolist() for hole in holes])
    assert all(whole.covers(Polygon([*p])) or whole.buffer(1e-6).covers(Polygon([*p]))
               for p in np.stack([a, b, c], axis=1))  # fmt: skip


@pytest.mark.parametrize(
    "name",
    mostly_thorough(shipped_variants(), *KINDS),
)
def test_every_head_lies_in_its_countersink_and_no_wood_is_in_it(name: str) -> None:
    of = box(name)
    flocks = screw_heads(of, FINISHES["bare"])
    assert sum(len(flock.places) for flock in flocks) == len(of.box.screws)
    screws = {tuple(np.round(screw.head, 3)): screw for screw in of.box.screws}
    for flock in flocks:
        for place in flock.places:
            screw = screws[tuple(np.round(place[:3, 3], 3))]
            board = of.box.boards[screw.stack[0]]
            seat = seats_on(board)[screw.name]
            own = moved(flock.group[0].mesh, place).points
            x, y, z = np.array([board.placement.into(tuple(point)) for point in own]).T
            down = board.thickness - z if seat.far else z
            out = np.hypot(x - seat.x, y - seat.y)
            # flush or a little sunk, within a cone of 90 degrees, above what closes it
            assert 0.2 <= down.min() <= 0.8
            assert (out <= seat.rim - down + 0.26).all() and down.max() < seat.depth
            assert out.max() == pytest.approx(screw.kind.gauge.head / 2, abs=1e-6)


@pytest.mark.parametrize("wide", [6.65, 7.92, 12.2])
def test_a_head_faces_out_and_has_a_star_recess(wide: float) -> None:
    mesh = head(wide)
    a, b, c = (mesh.points[mesh.triangles[:, i]] for i in range(3))
    normal = np.cross(b - a, c - a)
    assert (normal[:, 2] <= 1e-9).all()
    # its outside is seen: normals of the recess's wall point to the middle
    assert -normal[:, 2].sum() / 2 == pytest.approx(np.pi * (wide / 2) ** 2, rel=0.01)
    lip = mesh.points[mesh.points[:, 2] == mesh.points[:, 2].min()]
    far = np.hypot(lip[:, 0], lip[:, 1])
    lip = lip[far < 0.4 * wide]  # the recess, not the rim
    turn = np.argsort(np.arctan2(lip[:, 1], lip[:, 0]))
    radius = np.unique(np.round(np.hypot(*lip[turn][:, :2].T), 6))
    assert 2 * radius.max() == pytest.approx(0.5 * wide) and radius.min() < 0.75 * radius.max()
    spectrum = np.abs(np.fft.rfft(np.hypot(*lip[turn][::2, :2].T)))[1:]
    assert spectrum.argmax() + 1 == 6
    assert np.ptp(mesh.points[:, 2]) > 0.15 * wide  # deep enough to be dark
    assert np.ptp(head(wide, painted=True).points[:, 2]) < 0.12 * wide


@pytest.mark.parametrize("finish", FINISHES)
def test_paint_goes_over_heads_and_nothing_else_does(finish: str) -> None:
    surfaces = {f.group[0].surface for f in screw_heads(box("stoop-tub"), FINISHES[finish])}
    (found,) = surfaces
    if finish.endswith("-paint"):
        assert found.colour == FINISHES[finish].colour and not found.metal
    else:
        assert found == COATINGS["rated"]


@pytest.mark.parametrize("coating", COATINGS)
def test_heads_have_the_colour_of_their_coating(coating: str) -> None:
    made = load_variant("stoop-tub", [f"screws.coating={coating}"]).parameters
    flocks = screw_heads(design(made, "stoop-tub"), FINISHES["bare"])
    assert {flock.group[0].surface for flock in flocks} == {COATINGS[coating]}
    assert len({surface.colour for surface in COATINGS.values()}) == len(COATINGS)


def test_no_two_neighbouring_heads_are_driven_to_the_same_turn() -> None:
    (flock,) = screw_heads(box("stoop-tub"), FINISHES["bare"])
    flat = np.array([place[:3, 0] for place in flock.places])
    assert len(np.unique(np.round(flat, 4), axis=0)) == len(flat)
    for place in flock.places:
        np.testing.assert_allclose(place[:3, :3].T @ place[:3, :3], np.eye(3), atol=1e-9)
        assert np.linalg.det(place[:3, :3]) == pytest.approx(1.0)


def test_a_head_that_has_no_room_lies_on_the_wood() -> None:
    board = next(iter(box("stoop-tub").box.boards.values()))
    top = board.thickness

    def hole(x: float, y: float, name: str, sink: float = 8.0) -> Hole:
        return Hole("clearance", (x, y, top), (0.0, 0.0, -1.0), 4.4, top, True, sink, name)

    y = board.width / 2
    holes = [hole(80, y, "a"), hole(84, y, "too near a"), hole(3, y, "over the end"),
             hole(200, y, "no sink", 0.0), hole(89, y, "b")]  # fmt: skip
    assert set(seats_on(replace(board, holes=tuple(holes)))) == {"a", "b"}
