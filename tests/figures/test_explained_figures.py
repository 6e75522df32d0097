"""Figures that explain a box: section with names and sizes, panels apart, marks off screws."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations

import numpy as np
import pytest

from case_lists import mostly_thorough
from measured_boxes import measured
from palewright.assembly.assembly_steps import panel_kinds
from palewright.parameters.variant_files import shipped_variants
from palewright.reading.lengths import read_length
from palewright_drawings.documents.plan.content import STEP_HEIGHT, STEP_SHARE
from palewright_drawings.documents.plan.maps import HALF, WHOLE
from palewright_drawings.documents.plan.pictures import fitted, fitted_at
from palewright_drawings.figures.assembly_steps import step_pictures
from palewright_drawings.figures.exploded_panels import exploded_panel
from palewright_drawings.figures.panel_maps import mapped_screws, screw_map
from palewright_drawings.figures.panels import panel_figures, panel_view
from palewright_drawings.figures.section_marks import marked_section
from palewright_drawings.paper.marks import Placed, RoundMark
from shipped_designs import shipped

VARIANTS = mostly_thorough(shipped_variants(), "stoop-tub", "bean-tower")


def panels_of(name: str) -> list[str]:
    of = shipped(name)
    trellis = any(board.panel == "trellis" for board in of.box.boards.values())
    return [*(first for first, *_ in panel_kinds(of.box)), *(["trellis"] if trellis else [])]


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "winter-tub", "terrace-crate"))
def test_the_section_has_the_sizes_of_the_solids(name: str) -> None:
    """Wall, clear inside, floor and soil, measured on the STEP file."""
    of, solids = shipped(name), measured(name)
    figure = marked_section(of)
    unit, step = ("in", 25.4 / 16) if of.parameters.product.units == "inch" else ("mm", 1.0)
    depth = figure.name == "section-depth"
    told = {
        one.what: read_length(f"{one.text.removesuffix(' full').removesuffix(' bare')} {unit}")
        for one in figure.dimensions
    }
    wall = solids.inside_front - solids.front if depth else solids.inside_left - solids.left
    expected = {
        "wall, frame and staves": wall,
        "clear inside": solids.inside[1 if depth else 0],
        "outside, frame to frame": -2 * (solids.front if depth else solids.left),
    }
    if of.parameters.floor.kind != "none":
        expected["floor above the ground"] = solids.floor
    for what, size in expected.items():
        assert told[what] == pytest.approx(float(size), abs=step / 2 + 0.01), what
    planter = of.parameters.box.kind == "planter"
    assert ("depth of soil" in told) == (planter and of.parameters.floor.kind != "none")
    if planter:
        assert solids.floor + told["depth of soil"] < solids.overall[2]


@pytest.mark.parametrize("name", VARIANTS)
def test_the_section_names_each_kind_of_board_that_it_cuts(name: str) -> None:
    of = shipped(name)
    figure = marked_section(of)
    rings = {fill.board: fill.ring for fill in figure.fills if fill.tone == "grain"}
    named = {label.text.split()[0] for label in figure.labels}
    assert {of.box.boards[board].role for board in rings} <= named | {"stile"}
    marks = {board: part.mark for part in of.parts for board in part.boards}
    for label in figure.labels:
        role, mark = label.text.split()
        assert label.tip is not None
        hit = [
            board
            for board, ring in rings.items()
            if min(x for x, _ in ring) <= label.tip[0] <= max(x for x, _ in ring)
            and min(y for _, y in ring) <= label.tip[1] <= max(y for _, y in ring)
        ]
        assert any(of.box.boards[b].role == role and marks[b] == mark for b in hit), label.text


@pytest.mark.parametrize("name", VARIANTS)
def test_each_kind_of_panel_is_pulled_apart_with_all_its_marks(name: str) -> None:
    of = shipped(name)
    for panel in panels_of(name):
        figure = exploded_panel(of, panel)
        boards = {board.name for board in of.box.boards.values() if board.panel == panel}
        assert {fill.board for fill in figure.fills} == boards
        marks = {part.mark for part in of.parts if boards.intersection(part.boards)}
        assert {label.text for label in figure.labels} == marks
        assert any(stroke.layer == "path" for stroke in figure.strokes), "the way home is drawn"
        # taller than the panel laid flat, by what its layers are lifted
        flat = np.array([c for b in boards for c in of.box.boards[b].corners])
        thick = np.ptp(flat @ np.array(panel_view(of, panel).toward))
        _, low, _, high = figure.bounds
        assert high - low > 3 * thick


def placed_figures(name: str) -> Iterator[tuple[str, Placed]]:
    """Every figure with marks on boards and screws to be seen, at its size on paper."""
    of = shipped(name)
    width, height, system = 180.0, 243.0, of.parameters.product.units
    for panel in panels_of(name):
        frame, whole = panel_figures(of, panel)
        screws = mapped_screws(of, panel)
        for room in (WHOLE, HALF):
            wide, high = width * room.small_wide, height * room.small_high
            if not room.half:  # two on a page show the panel apart alone
                yield f"{panel} frame", fitted_at(frame.figure.bounds, frame.at, wide, high)
            yield (
                f"{panel} map",
                fitted_at(
                    whole.figure.bounds,
                    lambda s, whole=whole, screws=screws: screw_map(  # type: ignore[misc]
                        whole.at(s), screws, s, system
                    ),
                    width * room.map_wide,
                    height * room.map_highs[-1],
                ),
            )
    for picture in step_pictures(of):
        wide, high = width * STEP_SHARE, height * STEP_HEIGHT
        yield picture.figure.name, fitted(picture.figure, wide, high)


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), "gate-pair", "bean-tower"))
def test_no_balloon_lies_over_a_screw(name: str) -> None:
    """The disc of a part's mark and the circle of a head, or a driven screw's pin, on paper."""
    balloons = 0
    for title, placed in placed_figures(name):
        rings = [m for m in placed.marks if isinstance(m, RoundMark) and m.kind == "ring"]
        heads = [m for m in placed.marks if isinstance(m, RoundMark) and m.kind != "ring"]
        pins = [
            [placed.at(point) for point in stroke.points]
            for stroke in placed.figure.strokes
            if stroke.layer == "mark"
        ]
        balloons += len(rings)
        for one, other in combinations(rings, 2):
            apart = math.dist(one.centre, other.centre)
            assert apart > 1.3 * max(one.radius, other.radius), (title, "a letter is hidden")
        for ring in rings:
            for head in heads:
                apart = math.dist(ring.centre, head.centre)
                assert apart > ring.radius + head.radius - 0.05, (title, ring.centre)
            for pin in pins:
                for x, y in pin:
                    assert math.dist(ring.centre, (x, y)) > ring.radius, (title, ring.centre)
    assert balloons > 20
