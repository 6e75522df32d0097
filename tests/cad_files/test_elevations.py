"""``elevations/*.dxf``: true size, real dimensions that say what they measure, clean to read."""

from __future__ import annotations

import io
import math
import re
from pathlib import Path
from typing import Any

import ezdxf
import ezdxf.bbox
import pyogrio
import pytest
import shapely

from case_lists import KINDS, mostly_thorough
from palewright.design import Design, design
from palewright.parameters.variant_files import load_variant
from palewright.reading.lengths import INCH, read_length
from palewright_drawings.cad_files.elevation_dxf import (
    MARKS_LAYER,
    SIZES_LAYER,
    elevation_dxfs,
    elevation_sheet,
    ratio,
)
from palewright_drawings.dimensioning.box_chains import dimensioned
from palewright_drawings.paper.figure import Figure, Stroke

VIEWS = {"front": "front", "side": "right", "top": "top", "section": "level"}


@pytest.fixture(scope="module", params=mostly_thorough(KINDS, *KINDS[1:]))
def box(request: pytest.FixtureRequest) -> Design:
    """An inch box, one with a trellis, a tree box, a metric one."""
    return design(load_variant(request.param).parameters, request.param)


@pytest.fixture(scope="module")
def files(box: Design) -> dict[str, bytes]:
    """The elevations of a box."""
    return dict(elevation_dxfs(box))


@pytest.fixture(scope="module")
def drawings(files: dict[str, bytes]) -> dict[str, Any]:
    """The elevations read back."""
    return {
        name: ezdxf.read(io.StringIO(content.decode("utf-8"))) for name, content in files.items()
    }


def unit(box: Design) -> float:
    """Millimetres of one unit of the file."""
    return INCH if box.parameters.product.units == "inch" else 1.0


def test_one_file_a_view_and_every_reader_finds_it_clean(drawings: dict[str, Any]) -> None:
    assert list(drawings) == list(VIEWS)
    for name, drawing in drawings.items():
        auditor = drawing.audit()
        assert (auditor.errors, auditor.fixes) == ([], []), name
        assert drawing.dxfversion == "AC1024"


def test_units_and_extents_are_declared(box: Design, drawings: dict[str, Any]) -> None:
    inch = box.parameters.product.units == "inch"
    for name, drawing in drawings.items():
        assert drawing.header["$INSUNITS"] == (1 if inch else 4)
        x0, y0, x1, y1 = dimensioned(box, VIEWS[name]).bounds
        low, high = drawing.header["$EXTMIN"], drawing.header["$EXTMAX"]
        assert low[0] <= x0 / unit(box) + 1e-4 and low[1] <= y0 / unit(box) + 1e-4
        assert high[0] >= x1 / unit(box) - 1e-4 and high[1] >= y1 / unit(box) - 1e-4


def test_every_dimension_says_what_its_points_measure(
    box: Design, drawings: dict[str, Any]
) -> None:
    inch = box.parameters.product.units == "inch"
    half_step = INCH / 32 + 1e-4 if inch else 0.501  # and a hair beside a line has a sign
    for name, drawing in drawings.items():
        figure = dimensioned(box, VIEWS[name])
        entities = list(drawing.modelspace().query("DIMENSION"))
        wanted = len(figure.dimensions) + len(figure.angles) + len(figure.widths)
        assert len(entities) == wanted
        for entity in entities:
            dxf, text = entity.dxf, entity.dxf.text
            if entity.dimtype == 5:
                corner = dxf.defpoint4
                rays = [
                    math.atan2(point[1] - corner[1], point[0] - corner[0])
                    for point in (dxf.defpoint2, dxf.defpoint3)
                ]
                measured = math.degrees((rays[1] - rays[0]) % (2 * math.pi))
                assert float(text.removesuffix("%%d")) == pytest.approx(measured, abs=0.0501)
                continue
            dx, dy = dxf.defpoint3[0] - dxf.defpoint2[0], dxf.defpoint3[1] - dxf.defpoint2[1]
            turn = math.radians(dxf.angle)
            measured = abs(dx * math.cos(turn) + dy * math.sin(turn)) * unit(box)
            off = measured - read_length(re.sub(r"^\d+ x |[+-]$", "", text))
            assert abs(off) <= half_step
            if abs(abs(off) - half_step / 2) > 1e-3:  # between the two either will do
                assert (text[-1] in "+-") == (abs(off) > half_step / 2), text
            assert text[-1] not in "+-" or (text[-1] == "+") == (off > 0)
            assert entity.get_measurement() * unit(box) == pytest.approx(measured, abs=1e-4)
            assert text.isascii()


def test_overall_sizes_are_the_parameters(box: Design, drawings: dict[str, Any]) -> None:
    sizes = box.parameters.box
    for name, keys in (("front", (sizes.width, sizes.height)), ("side", (sizes.depth,))):
        found = [
            entity.get_measurement() * unit(box)
            for entity in drawings[name].modelspace().query("DIMENSION")
            if entity.dimtype == 0
        ]
        for value in keys:
            assert min(abs(value - other) for other in found) < 1e-3


def test_the_text_that_is_drawn_is_the_text_that_is_stored(drawings: dict[str, Any]) -> None:
    for drawing in drawings.values():
        for entity in drawing.modelspace().query("DIMENSION"):
            (drawn,) = [e for e in entity.get_geometry_block() if e.dxftype() == "MTEXT"]
            assert drawn.text == entity.dxf.text
            style = drawing.dimstyles.get(entity.dxf.dimstyle)
            assert style.dxf.get("dimrnd", 0.0) == 0.0, "a reader that measures rounds nothing"


def test_layers_are_plain_names_and_lines_are_what_they_mean(drawings: dict[str, Any]) -> None:
    for drawing in drawings.values():
        used = {entity.dxf.layer for entity in drawing.modelspace()}
        used |= {entity.dxf.layer for entity in drawing.layouts.get("SHEET")} - {"0", "VIEWPORTS"}
        used |= {
            entity.dxf.layer
            for dimension in drawing.modelspace().query("DIMENSION")
            for entity in dimension.get_geometry_block()
        }
        assert all(re.fullmatch(r"[A-Z0-9_]+", layer) for layer in used - {"Defpoints"})
        declared = {layer.dxf.name for layer in drawing.layers} - {"0", "Defpoints"}
        assert declared == used - {"Defpoints"}
    front = drawings["side"].layers
    if front.has_entry("EDGE_HIDDEN"):
        line = front.get("EDGE_HIDDEN").dxf.linetype
        assert line == "EDGE_HIDDEN_LINE"
        tags = drawings["side"].linetypes.get(line).pattern_tags.tags
        dash, gap = (tag.value for tag in tags if tag.code == 49)
        assert dash > 0 > gap and dash == pytest.approx(-4 * gap), "ISO 128: 12 to 3"
    assert front.get("EDGE_SEEN").dxf.linetype == "Continuous"
    assert front.get("EDGE_SEEN").dxf.lineweight == 50
    assert front.get(SIZES_LAYER).dxf.lineweight == 18


def test_no_line_is_doubled_or_of_no_length(drawings: dict[str, Any]) -> None:
    for name, drawing in drawings.items():
        seen = set()
        for entity in drawing.modelspace().query("LINE"):
            ends = frozenset(
                (round(point.x, 4), round(point.y, 4))
                for point in (entity.dxf.start, entity.dxf.end)
            )
            assert len(ends) == 2, name
            key = (entity.dxf.layer, ends)
            assert key not in seen, (name, key)
            seen.add(key)


def test_no_thin_line_lies_over_a_cut_outline(drawings: dict[str, Any]) -> None:
    """Lengths in common, by another library: whichever prints last would hide the other."""
    space = drawings["section"].modelspace()
    outlines = shapely.union_all(
        [
            shapely.LinearRing(loop.get_points("xy"))
            for loop in space.query('LWPOLYLINE[layer=="EDGE_CUT"]')
        ]
    )
    assert outlines.length > 0
    behind = space.query('LINE[layer=="EDGE_BEHIND"]')
    assert len(behind) > 10
    for line in behind:
        thin = shapely.LineString([line.dxf.start.vec2, line.dxf.end.vec2])
        assert thin.intersection(outlines.buffer(1e-4)).length < 0.01
    hatch = space.query('LINE[layer=="CUT_HATCH"]')
    assert len(hatch) > 20


def test_no_line_of_a_size_lies_over_an_edge(box: Design, drawings: dict[str, Any]) -> None:
    """Lengths in common with edges that are seen: printed last, they would hide the outline."""
    space = drawings["front"].modelspace()
    edges = shapely.union_all(
        [
            shapely.LineString([line.dxf.start.vec2, line.dxf.end.vec2])
            for line in space.query('LINE[layer=="EDGE_SEEN"]')
        ]
    )
    slanted = 0
    for size in space.query("DIMENSION"):
        if size.dimtype in (0, 1) and abs(size.dxf.get("angle", 0.0)) in (0.0, 90.0):
            continue
        slanted += 1
        for line in size.get_geometry_block().query("LINE"):
            thin = shapely.LineString([line.dxf.start.vec2, line.dxf.end.vec2])
            assert thin.intersection(edges.buffer(1e-3)).length < 0.05 * edges.length / 100
    front = [board for board in box.box.boards.values() if board.panel == "front"]
    assert bool(slanted) == any(board.role == "brace" for board in front)


def test_parts_are_marked_on_the_elevations(box: Design, drawings: dict[str, Any]) -> None:
    """Every mark stands on a board of its part as that view shows it, clear of lines."""
    axes = {"front": (0, 2), "side": (1, 2), "top": (0, 1)}
    marks = {name: part.mark for part in box.parts for name in part.boards}
    found = set()
    for name, (across, up) in axes.items():
        space = drawings[name].modelspace()
        texts = space.query(f'TEXT[layer=="{MARKS_LAYER}"]')
        lines = [
            shapely.LineString([line.dxf.start.vec2, line.dxf.end.vec2])
            for line in space.query("LINE")
        ]
        for text in texts:
            place, tall = text.get_placement()[1], text.dxf.height
            at = shapely.Point(place.x, place.y)
            assert min(line.distance(at) for line in lines) >= tall / 2
            hit = {
                marks[board.name]
                for board in box.box.boards.values()
                if all(
                    min(c[axis] for c in board.corners) - 0.01
                    <= value * unit(box)
                    <= max(c[axis] for c in board.corners) + 0.01
                    for axis, value in ((across, place.x), (up, place.y))
                )
            }
            assert text.dxf.text in hit
            found.add(text.dxf.text)
        assert len({t.dxf.text for t in texts}) == len(texts), "each mark once a view"
    outside = {
        marks[board.name]
        for board in box.box.boards.values()
        if board.role in ("stile", "rail", "cap")
    }
    assert outside <= found


def test_each_file_has_a_page_that_shows_all_of_it_at_its_scale(
    box: Design, drawings: dict[str, Any]
) -> None:
    for name, drawing in drawings.items():
        page = drawing.layouts.get("SHEET")
        (window,) = (one for one in page.query("VIEWPORT") if one.dxf.id != 1)
        per_unit = window.dxf.height / window.dxf.view_height  # mm of paper for a unit
        words = [text.dxf.text for text in page.query("TEXT")]
        assert box.parameters.product.title in words
        assert dimensioned(box, VIEWS[name]).title in words
        (scale,) = (word for word in words if re.fullmatch(r"1:\d+", word))
        assert per_unit / unit(box) == pytest.approx(1 / int(scale[2:]))
        # letters are 2.5 mm high there (a size of ISO 3098-1, from memory)
        (style,) = (s for s in drawing.dimstyles if s.dxf.name == "SHOP_SIZES")
        assert style.dxf.dimtxt * per_unit == pytest.approx(2.5)
        # what is drawn, letters and all, lies within the window, and that within the paper
        drawn = ezdxf.bbox.extents(drawing.modelspace())
        x, y = window.dxf.view_center_point.x, window.dxf.view_center_point.y
        half = window.dxf.view_height / 2
        wide = half * window.dxf.width / window.dxf.height
        slack = 3.0 / per_unit  # a reader's letters are not ours
        assert x - wide - slack <= drawn.extmin.x and drawn.extmax.x <= x + wide + slack, name
        assert y - half - slack <= drawn.extmin.y and drawn.extmax.y <= y + half + slack, name
        width, height = page.dxf.paper_width, page.dxf.paper_height
        cx, cy = window.dxf.center.x, window.dxf.center.y
        assert cx - window.dxf.width / 2 > 0 and cx + window.dxf.width / 2 < width
        assert cy - window.dxf.height / 2 > 0 and cy + window.dxf.height / 2 < height


def test_lines_lie_where_the_view_has_them_at_full_size(
    box: Design, drawings: dict[str, Any]
) -> None:
    xs = [
        end.x * unit(box)
        for entity in drawings["front"].modelspace().query('LINE[layer=="EDGE_SEEN"]')
        for end in (entity.dxf.start, entity.dxf.end)
    ]
    cap = box.parameters.cap.overhang
    assert max(xs) - min(xs) == pytest.approx(box.parameters.box.width + 2 * cap, abs=1e-3)


def test_another_reader_sees_the_same(
    files: dict[str, bytes], drawings: dict[str, Any], tmp_path: Path
) -> None:
    for name, content in files.items():
        path = tmp_path / f"{name}.dxf"
        path.write_bytes(content)
        meta, _, shapes, columns = pyogrio.raw.read(path)
        layers = columns[list(meta["fields"]).index("Layer")]
        read = [str(layer) for layer in layers]
        space = drawings[name].modelspace()
        for layer in {entity.dxf.layer for entity in space} - {SIZES_LAYER}:
            wanted = sum(entity.dxf.layer == layer for entity in space)
            assert read.count(layer) == wanted, (name, layer)
        texts = columns[list(meta["fields"]).index("Text")]
        told = {str(text) for text in texts if text}
        for entity in space.query("DIMENSION"):
            plain = entity.dxf.text.replace("%%d", "°")
            assert any(plain in text for text in told), plain
        assert len(shapes) == len(read)


def test_the_same_box_gives_the_same_bytes(box: Design, files: dict[str, bytes]) -> None:
    again = design(box.parameters, box.name)
    assert dict(elevation_dxfs(again)) == files


def test_letters_grow_with_the_box() -> None:
    small = Figure("s", "", "", (Stroke("visible", ((0, 0), (100, 0))),))
    large = Figure("l", "", "", (Stroke("visible", ((0, 0), (2000, 0))),))
    assert (ratio(small), ratio(large)) == (1, 12)
    sheet = elevation_sheet(large)
    assert sheet.marking is not None and sheet.marking.text == pytest.approx(30.0)
