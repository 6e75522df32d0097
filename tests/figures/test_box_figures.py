"""Sections, the box pulled apart, steps and single boards, as data."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely

from palewright.assembly.assembly_steps import assembly_steps
from palewright.design import Design, design
from palewright.geometry.polygons import area
from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright.solids.convex_prisms import prism_of
from palewright_drawings.figures.assembly_steps import step_pictures
from palewright_drawings.figures.cut_areas import hatch_lines
from palewright_drawings.figures.exploded_view import exploded_figure
from palewright_drawings.figures.part_labels import RING
from palewright_drawings.figures.vertical_section import cut_place, section_figure
from palewright_drawings.figures.views import view_figure
from palewright_drawings.paper.figure import Figure
from palewright_drawings.projection.projections import VIEWS

VARIANTS = tuple(shipped_variants())
GOLDEN = Path(__file__).parents[1] / "data" / "figures" / "lines.json"


def design_of(name: str, *typed: str) -> Design:
    return design(load_variant(name, list(typed)).parameters, name)


def lengths(figure: Figure) -> dict[str, list[float]]:
    """Count and whole length (mm) of the strokes of each layer, then of circles."""
    found: dict[str, list[float]] = {}
    for stroke in figure.strokes:
        points = stroke.points + (stroke.points[:1] if stroke.closed else ())
        row = found.setdefault(stroke.layer, [0, 0.0])
        row[0] += 1
        row[1] += sum(math.dist(a, b) for a, b in pairwise(points))
    if figure.rounds:
        found["rounds"] = [len(figure.rounds), sum(r.radius for r in figure.rounds)]
    return {layer: [row[0], round(row[1], 1)] for layer, row in sorted(found.items())}


def golden_figures(name: str) -> Iterator[Figure]:
    one = design_of(name)
    yield from (view_figure(one, view) for view in VIEWS)
    yield section_figure(one)
    yield exploded_figure(one)
    yield from (picture.figure for picture in step_pictures(one))


@pytest.mark.parametrize("name", ["stoop-tub", "terrace-crate"])
def test_figures_have_the_lines_that_were_looked_at(name: str) -> None:
    """Numbers of figures that were opened and judged; renew them only after looking again.

    ``{figure: {layer: [count, mm]}}``, as ``lengths`` above gives them.
    """
    golden = json.loads(GOLDEN.read_text())[name]
    found = {figure.name: lengths(figure) for figure in golden_figures(name)}
    assert list(found) == list(golden)
    for figure, layers in golden.items():
        assert list(found[figure]) == list(layers), figure
        for layer, (count, length) in layers.items():
            assert found[figure][layer][0] == count, (figure, layer)
            assert found[figure][layer][1] == pytest.approx(length, abs=0.5), (figure, layer)


@pytest.mark.parametrize("name", VARIANTS)
@pytest.mark.parametrize("cut", ["depth", "width"])
def test_cut_areas_are_those_of_the_boards(name: str, cut: str) -> None:
    """The area of a cut is how fast the volume before it grows: manifold says how fast."""
    one = design_of(name)
    boards = one.box.boards
    normal = VIEWS["right" if cut == "depth" else "front"].toward
    at = cut_place(boards, normal)
    figure = section_figure(one, cut)  # type: ignore[arg-type]
    rings = {s.board: s.points for s in figure.strokes if s.layer == "cut"}
    hair = 0.25
    for board in boards.values():
        solid = prism_of(board).solid
        cuts = [
            solid.trim_by_plane([-x for x in normal], -(at + side)).volume()
            for side in (-hair, hair)
        ]
        grown = (cuts[1] - cuts[0]) / (2 * hair)
        ring_area = area(rings[board.name]) if board.name in rings else 0.0
        assert ring_area == pytest.approx(grown, rel=1e-3, abs=0.5), board.name
    assert sum(fill.tone == "grain" for fill in figure.fills) == len(rings) > 0


@pytest.mark.parametrize("name", VARIANTS)
def test_a_cut_keeps_off_joints_and_goes_through_the_floor(name: str) -> None:
    boards = design_of(name).box.boards
    for view in ("right", "front"):
        normal = np.array(VIEWS[view].toward)
        at = cut_place(boards, VIEWS[view].toward)
        spans = [np.array(b.corners) @ normal for b in boards.values()]
        assert min(float(np.abs(span - at).min()) for span in spans) >= 2.0
        slats = [s for s, b in zip(spans, boards.values(), strict=True) if b.role == "slat"]
        assert not slats or any(s.min() < at < s.max() for s in slats)
        assert abs(at) < 60.0


def test_hatching_covers_its_area_evenly_at_45_degrees() -> None:
    ring = ((0.0, 0.0), (200.0, 0.0), (230.0, 90.0), (0.0, 60.0))
    for rising in (True, False):
        lines = list(hatch_lines(ring, 5.0, rising))
        assert sum(math.dist(*line) for line in lines) * 5.0 == pytest.approx(area(ring), rel=0.01)
        for (x0, y0), (x1, y1) in lines:
            assert (y1 - y0) / (x1 - x0) == pytest.approx(1.0 if rising else -1.0)
        border = shapely.Polygon(ring).buffer(1e-6)
        assert all(border.contains(shapely.LineString(line)) for line in lines)


@pytest.mark.parametrize("name", ["stoop-tub", "terrace-crate", "winter-tub"])
def test_boards_that_touch_are_hatched_differently(name: str) -> None:
    figure = section_figure(design_of(name))
    rings = {s.board: shapely.Polygon(s.points) for s in figure.strokes if s.layer == "cut"}
    kinds: dict[str, tuple[bool, float]] = {}
    for board in rings:
        lines = [s.points for s in figure.strokes if s.layer == "hatch" and s.board == board]
        assert lines, board
        rising = lines[0][1][1] > lines[0][0][1]
        whole = sum(math.dist(*line) for line in lines)
        kinds[board] = rising, rings[board].area / whole
    for a, first in rings.items():
        for b, second in rings.items():
            if a < b and first.distance(second) < 0.1:
                alike = kinds[a][0] == kinds[b][0]
                spacing = kinds[a][1] / kinds[b][1]
                assert not alike or not 0.75 < spacing < 1.33, (a, b)


def all_labelled(name: str) -> list[Figure]:
    one = design_of(name)
    return [exploded_figure(one), *(picture.figure for picture in step_pictures(one))]


def topmost(figure: Figure, at: tuple[float, float]) -> str:
    """Name of the board that is painted at a point."""
    point = shapely.Point(at)
    return [f.board for f in figure.fills if shapely.Polygon(f.ring).covers(point)][-1]


@pytest.mark.parametrize("name", ["stoop-tub", "bean-tower", "gate-pair", "terrace-crate"])
def test_marks_stand_on_or_point_to_boards_of_their_part(name: str) -> None:
    one = design_of(name)
    of_mark = {part.mark: set(part.boards) for part in one.parts}
    panels = one.tree
    for figure in all_labelled(name):
        x0, y0, x1, y1 = figure.bounds
        ring = RING * max(x1 - x0, y1 - y0)
        lines = shapely.MultiLineString([s.points for s in figure.strokes])
        for label in figure.labels:
            at = label.at if label.tip is None else label.tip
            boards = of_mark[label.text] if label.ringed else set(panels[label.text])
            assert topmost(figure, at) in boards, (figure.name, label.text)
            if label.tip is None:
                assert lines.distance(shapely.Point(at)) >= 0.95 * ring
            else:
                assert not x0 < label.at[0] < x1
        for i, a in enumerate(figure.labels):
            for b in figure.labels[:i]:
                assert math.dist(a.at, b.at) >= 1.9 * ring, (figure.name, a.text, b.text)
    exploded = exploded_figure(one)
    assert {label.text for label in exploded.labels} == set(of_mark)


@pytest.mark.parametrize("name", VARIANTS)
def test_steps_show_what_comes_in_its_own_tone_with_ways_and_screws(name: str) -> None:
    one = design_of(name)
    for step, picture in zip(assembly_steps(one.box), step_pictures(one), strict=True):
        figure = picture.figure
        fresh = {fill.board for fill in figure.fills if fill.tone == "new"}
        assert fresh <= set(step.added)
        assert bool(fresh) == bool(step.added)
        stands = {fill.board for fill in figure.fills if fill.tone == "wood"}
        assert stands <= set(step.standing)
        names = {fill.board for fill in figure.fills if fill.tone in ("steel", "grain")}
        assert names <= set(step.obstacles)
        count = lengths(figure)
        assert ("path" in count) == bool(step.path)
        assert ("mark" in count) == bool(step.screws)
        if step.screws:
            assert count["mark"][0] <= 4 * len(step.screws)
        assert figure.title and figure.alt and "{" not in figure.title


def test_screws_on_the_bench_stand_on_the_boards_that_come_on() -> None:
    """All pins of a panel are in sight: as many shafts and heads as screws, as long as they are."""
    one = design_of("stoop-tub")
    step = next(s for s in assembly_steps(one.box) if s.key == "front-staves")
    [figure] = [one.figure for one in step_pictures(one) if one.step.key == "front-staves"]
    pins = [s for s in figure.strokes if s.layer == "mark"]
    assert len(pins) == 2 * len(step.screws)
    shafts = sum(math.dist(*pin.points) for pin in pins)
    kind = step.screws[0].kind
    rise = math.radians(38)
    each = kind.length * math.cos(rise) + kind.gauge.head
    assert shafts == pytest.approx(len(step.screws) * each, rel=1e-6)


@pytest.mark.parametrize("name", VARIANTS)
def test_the_box_pulled_apart_leaves_the_sides_and_moves_all_else_along_its_path(
    name: str,
) -> None:
    """Front and back part, floor and cap go up or back, by one drawn shift for a whole group."""
    one = design_of(name)
    home, apart = view_figure(one, "corner"), exploded_figure(one)
    view = VIEWS["corner"]
    back, up = (np.array(view.flat(way)) for way in ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0)))
    shifts: dict[str, set[tuple[float, float]]] = {}
    for board in one.box.boards:
        faces = [
            sorted((-area(f.ring), f.ring) for f in figure.fills if f.board == board)
            for figure in (home, apart)
        ]
        # boards painted piece by piece, or hidden in one of the two, cannot be compared
        if not faces[0] or [round(a) for a, _ in faces[0]] != [round(a) for a, _ in faces[1]]:
            continue
        middles = [np.mean(rows[0][1], axis=0) for rows in faces]
        shift = middles[1] - middles[0]
        shifts.setdefault(board.partition(".")[0], set()).add(
            (round(float(shift[0]), 1) + 0.0, round(float(shift[1]), 1) + 0.0)
        )
    for panel, found in shifts.items():
        if panel in ("left", "right"):
            assert found == {(0.0, 0.0)}
            continue
        # tree boxes lay three boards of the cap on first: two shifts
        assert len(found) <= (2 if panel == "cap" else 1), panel
        for u, v in found:
            along_back, along_up = u / back[0], (v - u / back[0] * back[1]) / up[1]
            size = max(one.parameters.box.width, one.parameters.box.depth)
            assert max(abs(along_back), abs(along_up)) > 0.2 * min(size, 400), panel
            assert (along_back > -1) == (panel != "front") or panel == "floor"
    # of a side panel each face may be partly hidden in one of the two
    assert {"front", "back"} & set(shifts)


def test_a_figure_is_drawn_once_a_design() -> None:
    one, other = design(Parameters(), "one"), design(Parameters(), "one")
    for draw in (exploded_figure, step_pictures):
        assert draw(one) is draw(one)
        assert draw(one) is not draw(other)
        assert draw(one) == draw(other)
    assert view_figure(one, "front") is view_figure(one, "front") != view_figure(one, "top")
