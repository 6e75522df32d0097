"""Flat DXF files, read back by two readers and held against the boards they were drawn from."""

from __future__ import annotations

import csv
import io
import itertools
import math
import re
from collections import Counter
from pathlib import Path
from typing import Any

import ezdxf
import ezdxf.bbox
import numpy as np
import pyogrio
import pytest
import shapely

from palewright.construction.boards import Board, Hole
from palewright.design import Design, design
from palewright.geometry.polygons import area
from palewright.parameters.variant_files import parameters_from
from palewright_drawings.cad_files.board_dxf import (
    LAYERS,
    Circle,
    FlatView,
    drill_notes,
    dxf_bytes,
    flat_view,
)
from palewright_drawings.cad_files.board_kinds import kind_files

INCH = {"face": {"front": "cross", "sides": "slant"}, "floor": {"kind": "hung"}}
METRIC = {"product": {"units": "metric"}, "face": {"front": "peak"}, "corner": {"style": "post"}}
SCALE = {"inch": 25.4, "metric": 1.0}
"""Millimetres in one unit of the file."""


@pytest.fixture(scope="module", params=[INCH, METRIC], ids=["inch", "metric"])
def tub(request: pytest.FixtureRequest) -> Design:
    return design(parameters_from(request.param, {}), "tub")


def written(tub: Design) -> tuple[list[dict[str, str]], dict[str, bytes]]:
    """The index of one box, and each file by the first board that it is of."""
    made = dict(kind_files([(tub, 1)]))
    text = io.StringIO(made.pop("index.csv").decode(), newline="")
    index = list(csv.DictReader(text, strict=True))
    assert [row["file"] for row in index] == list(made)
    return index, {row["boards"].split()[0]: made[row["file"]] for row in index}


@pytest.fixture(scope="module")
def files(tub: Design) -> dict[str, bytes]:
    return written(tub)[1]


@pytest.fixture(scope="module")
def drawings(files: dict[str, bytes]) -> dict[str, Any]:
    return {name: ezdxf.read(io.StringIO(content.decode())) for name, content in files.items()}


def layer_of(hole: Hole) -> str:
    if not hole.square:
        return "EDGE_DRILL"
    if hole.through:
        return "DRILL_THROUGH"
    return "PILOT_DATUM" if hole.axis[2] > 0 else "PILOT_FAR"


def test_one_file_for_boards_that_are_alike(tub: Design, files: dict[str, bytes]) -> None:
    index, _ = written(tub)
    named = [row["boards"].split() for row in index]
    assert sorted(itertools.chain(*named)) == sorted(tub.box.boards)
    assert [int(row["in_a_box"]) for row in index] == list(map(len, named))
    assert len(files) == len(index) < len(tub.box.boards)


def test_audit_finds_nothing(drawings: dict[str, Any]) -> None:
    for document in drawings.values():
        audit = document.audit()
        assert (audit.errors, audit.fixes) == ([], [])
        assert document.dxfversion == "AC1024"


def test_units_and_extents_are_declared(tub: Design, drawings: dict[str, Any]) -> None:
    inch = tub.parameters.product.units == "inch"
    for name, document in drawings.items():
        board, scale = tub.box.boards[name], SCALE[tub.parameters.product.units]
        assert document.header["$INSUNITS"] == (1 if inch else 4)
        assert document.header["$MEASUREMENT"] == (0 if inch else 1)
        low, high = document.header["$EXTMIN"], document.header["$EXTMAX"]
        drawn = ezdxf.bbox.extents(document.modelspace())
        assert drawn.extmin.x >= low[0] - 1e-6
        assert drawn.extmin.y >= low[1] - 1e-6
        assert drawn.extmax.x <= high[0] + 1e-6
        assert drawn.extmax.y <= high[1] + 1e-6
        assert max(board.length, board.width) / scale <= high[0] - low[0] + 1e-6


def test_outline_and_holes_are_the_boards(tub: Design, drawings: dict[str, Any]) -> None:
    scale = SCALE[tub.parameters.product.units]
    for name, document in drawings.items():
        board, space = tub.box.boards[name], document.modelspace()
        (outline,) = space.query("LWPOLYLINE")
        assert outline.closed
        assert outline.dxf.layer == "OUTLINE"
        corners = [(x * scale, y * scale) for x, y in outline.get_points("xy")]
        assert np.array(corners) == pytest.approx(np.array(board.outline), abs=1e-4)
        assert area(tuple(corners)) == pytest.approx(area(board.outline), rel=1e-6)
        drawn = [
            (c.dxf.layer, (c.dxf.center.x * scale, c.dxf.center.y * scale, c.dxf.radius * scale))
            for c in space.query("CIRCLE")
        ]
        wanted = []
        for hole in (hole for hole in board.holes if hole.square):
            x, y, _ = hole.start
            wanted.append((layer_of(hole), (x, y, hole.diameter / 2)))
            if hole.sink:
                side = "DATUM" if hole.axis[2] > 0 else "FAR"
                wanted.append((f"SINK_{side}", (x, y, hole.sink / 2)))
        assert [layer for layer, _ in drawn] == [layer for layer, _ in wanted]
        for (_, found), (_, asked) in zip(drawn, wanted, strict=True):
            assert found == pytest.approx(asked, abs=1e-4)


def test_edge_holes_are_centre_lines_as_deep_as_drilled(
    tub: Design, drawings: dict[str, Any]
) -> None:
    scale = SCALE[tub.parameters.product.units]
    for name, document in drawings.items():
        lines = document.modelspace().query("LINE")
        edge = [hole for hole in tub.box.boards[name].holes if not hole.square]
        assert len(lines) == len(edge)
        for line, hole in zip(lines, edge, strict=True):
            assert line.dxf.layer == "EDGE_DRILL"
            assert (line.dxf.start * scale).isclose((*hole.start[:2], 0), abs_tol=1e-3)
            assert line.dxf.start.distance(line.dxf.end) * scale == pytest.approx(
                hole.depth, abs=1e-3
            )


@pytest.mark.parametrize("axis", [(1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (-0.6, 0.8, 0.0)])
def test_a_centre_line_goes_the_way_of_the_drill(
    tub: Design, axis: tuple[float, float, float]
) -> None:
    board = next(iter(tub.box.boards.values()))
    hole = Hole("pilot", (30.0, 40.0, 8.0), axis, 2.0, 20.0, False)
    (line,) = flat_view(board.with_holes([hole]), "A", "inch").lines
    assert line.start == (30.0, 40.0)
    assert line.end == pytest.approx((30 + 20 * axis[0], 40 + 20 * axis[1]))


def test_no_entity_is_doubled_or_of_no_length(drawings: dict[str, Any]) -> None:
    for document in drawings.values():
        seen = set()
        for entity in document.modelspace():
            kind, layer = entity.dxftype(), entity.dxf.layer
            if kind == "CIRCLE":
                key: Any = (kind, layer, entity.dxf.center.round(4), round(entity.dxf.radius, 4))
                assert entity.dxf.radius > 0
            elif kind == "LINE":
                key = (kind, layer, *sorted((entity.dxf.start.round(4), entity.dxf.end.round(4))))
                assert entity.dxf.start.distance(entity.dxf.end) > 1e-3
            elif kind == "LWPOLYLINE":
                corners = list(entity.get_points("xy"))
                key = (kind, layer)
                sides = zip(corners, corners[1:] + corners[:1], strict=True)
                assert min(math.dist(a, b) for a, b in sides) > 1e-3
            else:
                assert kind == "TEXT"
                key = (kind, layer, entity.dxf.text, entity.dxf.align_point or entity.dxf.insert)
            assert key not in seen
            seen.add(key)


def test_holes_that_two_screws_share_are_drawn_once(tub: Design) -> None:
    board = next(b for b in tub.box.boards.values() if any(h.square for h in b.holes))
    twice = board.with_holes((*board.holes, *board.holes))
    assert flat_view(twice, "A", "inch").circles == flat_view(board, "A", "inch").circles


def test_repeated_corners_are_drawn_once(tub: Design) -> None:
    board = next(iter(tub.box.boards.values()))
    first, *rest = board.outline
    doubled = Board(
        board.name, board.role, board.panel, board.stock, (first, first, *rest, first),
        board.thickness, board.placement,
    )  # fmt: skip
    assert flat_view(doubled, "A", "inch").outline == flat_view(board, "A", "inch").outline


def test_layers_are_plain_names_and_all_that_is_used(drawings: dict[str, Any]) -> None:
    for document in drawings.values():
        names = {layer.dxf.name for layer in document.layers} - {"0", "Defpoints"}
        assert names == set(LAYERS)
        assert {entity.dxf.layer for entity in document.modelspace()} <= names
    assert all(re.fullmatch(r"[A-Z0-9_]+", name) for name in LAYERS)


def test_every_angled_end_is_told_beside_it_on_its_own_layer(
    tub: Design, drawings: dict[str, Any]
) -> None:
    seen = 0
    for name, document in drawings.items():
        board, scale = tub.box.boards[name], SCALE[tub.parameters.product.units]
        texts = document.modelspace().query('TEXT[layer=="END_ANGLE"]')
        left = [t for t in texts if t.dxf.align_point.x < 0]
        right = [t for t in texts if t.dxf.align_point.x * scale > board.length]
        assert len(left) + len(right) == len(texts)
        for told, angles in ((left, board.left_angles), (right, board.right_angles)):
            if all(angle < 0.05 for angle in angles):
                assert told == []
                continue
            (text,) = told
            numbers = [float(n) for n in re.findall(r"[\d.]+(?=°)", text.plain_text())]
            assert numbers == pytest.approx(list(angles), abs=0.05)
            assert text.plain_text().endswith("° off square")
            seen += 1
    assert seen >= 4


def test_label_says_mark_role_count_and_size(tub: Design, drawings: dict[str, Any]) -> None:
    marks = {name: part.mark for part in tub.parts for name in part.boards}
    counts = {row["boards"].split()[0]: row["in_a_box"] for row in written(tub)[0]}
    for name, document in drawings.items():
        texts = [t.dxf.text for t in document.modelspace().query('TEXT[layer=="LABEL"]')]
        role = tub.box.boards[name].role
        assert texts[0] == f"{marks[name]}  {role}, {counts[name]} in a box"
        assert texts[1].count(" x ") == 2
        assert texts[1].count("in" if tub.parameters.product.units == "inch" else "mm") == 3


def test_no_text_lies_on_the_board(tub: Design, drawings: dict[str, Any]) -> None:
    from ezdxf import bbox

    for name, document in drawings.items():
        board, scale = tub.box.boards[name], SCALE[tub.parameters.product.units]
        for text in document.modelspace().query("TEXT"):
            box = bbox.extents([text], fast=True)
            beside = box.extmax.x <= 0 or box.extmin.x * scale >= board.length
            assert beside or box.extmax.y <= 1e-9


def test_drilling_notes_count_every_hole(tub: Design) -> None:
    for board in tub.box.boards.values():
        notes = drill_notes(board, "inch")
        counts = [int(note.split(" x ")[0]) for note in notes if " x drill" in note]
        assert sum(counts) == len(board.holes)
        edge = sum(int(n.split(" x ")[0]) for n in notes if "into the edge" in n)
        assert edge == sum(not hole.square for hole in board.holes)
        through = sum(int(n.split(" x ")[0]) for n in notes if "right through" in n)
        assert through == sum(hole.through for hole in board.holes)
        assert notes[-1] == "datum face down"


def test_another_reader_sees_the_same(tub: Design, files: dict[str, bytes], tmp_path: Path) -> None:
    scale = SCALE[tub.parameters.product.units]
    path = tmp_path / "flat.dxf"
    kinds: Counter[str] = Counter()
    for name in list(files)[::4]:
        board = tub.box.boards[name]
        path.write_bytes(files[name])
        meta, _, shapes, columns = pyogrio.raw.read(path)
        rows = dict(zip(meta["fields"], columns, strict=True))
        layers = Counter(str(layer) for layer in rows["Layer"])
        assert layers["OUTLINE"] == 1
        holes = Counter(layer_of(hole) for hole in board.holes)
        assert {layer: layers[layer] for layer in holes} == dict(holes)
        kinds += holes
        for shape, layer in zip(shapes, rows["Layer"], strict=True):
            read = shapely.from_wkb(shape)
            if layer == "OUTLINE":
                assert shapely.Polygon(read.coords).area * scale**2 == pytest.approx(
                    area(board.outline), rel=1e-6
                )
            if layer == "DRILL_THROUGH":
                across = (read.bounds[2] - read.bounds[0]) * scale
                drills = {round(h.diameter, 2) for h in board.holes if h.square and h.through}
                assert round(across, 2) in drills
        texts = [
            str(t)
            for t, layer in zip(rows["Text"], rows["Layer"], strict=True)
            if layer == "END_ANGLE"
        ]
        assert all(re.fullmatch(r"[\d.]+°( and [\d.]+°)? off square", text) for text in texts)
    assert kinds["DRILL_THROUGH"] and kinds["PILOT_DATUM"]


def test_bytes_do_not_depend_on_what_was_written_before(
    tub: Design, files: dict[str, bytes]
) -> None:
    assert written(tub)[1] == files


def test_ezdxf_keeps_its_own_setting() -> None:
    before = ezdxf.options.write_fixed_meta_data_for_testing
    view = FlatView(((0, 0), (10, 0), (10, 5)), (Circle("DRILL_THROUGH", (4, 1), 1),), (), ())
    content = dxf_bytes(view, "metric")
    assert ezdxf.options.write_fixed_meta_data_for_testing == before
    assert b"2000" in content or b"1970" in content or b"2451545" in content
    assert str(Path.home()).encode() not in content
