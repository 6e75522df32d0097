"""Files of jigs, read back by other libraries: DXF by ezdxf and GDAL, STEP by another kernel."""

from __future__ import annotations

import hashlib
import io
import math
import re
from collections import Counter
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pyogrio
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from case_lists import mostly_thorough
from command_runs import run_python
from jig_cases import VARIANTS, made, over_jigs
from palewright.geometry.contours import drawn
from palewright.jigs.records import Jig
from palewright.jigs.text_places import LETTER_ADVANCE, text_width
from palewright_drawings.cad_files.jig_dxf import LAYERS, flat_places, jig_dxf, jig_files
from palewright_drawings.cad_files.jig_step import jig_step
from palewright_drawings.paper.stroke_font import plain_capitals, stroke_text

ROOT = Path(__file__).resolve().parents[2]
SCALE = {"inch": 25.4, "metric": 1.0}
NEAR = 1e-3

SIGNS = "".join(chr(code) for code in range(33, 127)) + "°×"


def read(name: str, jig: Jig) -> Any:
    return ezdxf.read(io.StringIO(jig_dxf(made(name), jig).decode()))


def drawable(text: str) -> bool:
    """Whether no sign of a text is engraved as the sign for a missing one."""
    missing = stroke_text("~", (0.0, 0.0), 6.0)
    return all(stroke_text(sign, (0.0, 0.0), 6.0) != missing for sign in plain_capitals(text))


def flat_outlines(name: str, jig: Jig) -> list[shapely.Polygon]:
    """A jig's parts flat, as the model says, mm."""
    places = flat_places(jig, made(name).parameters.saw.tool)
    return [
        shapely.Polygon([(x + dx, y + dy) for x, y in drawn(part.contour, 0.001)])
        for part, (dx, dy) in zip(jig.parts, places, strict=True)
    ]


@over_jigs(plates=("whole",))
def test_the_machine_file_holds_outlines_holes_and_strokes_and_nothing_else(
    name: str, jig: Jig
) -> None:
    document, scale = read(name, jig), SCALE[made(name).parameters.product.units]
    audit = document.audit()
    assert (audit.errors, audit.fixes) == ([], [])
    assert document.header["$INSUNITS"] == (1 if scale > 1 else 4)
    assert set(LAYERS) <= {layer.dxf.name for layer in document.layers}
    kinds = Counter((e.dxftype(), e.dxf.layer) for e in document.modelspace())
    assert set(kinds) <= {
        ("LWPOLYLINE", "JIG_CUT"),
        ("CIRCLE", "JIG_DRILL"),
        ("LWPOLYLINE", "JIG_ENGRAVE"),
    }
    assert kinds["LWPOLYLINE", "JIG_CUT"] == len(jig.parts)
    assert kinds["CIRCLE", "JIG_DRILL"] == len(jig.guides)
    assert kinds["LWPOLYLINE", "JIG_ENGRAVE"] > 10
    seen = set()
    for entity in document.modelspace():
        if entity.dxftype() == "CIRCLE":
            assert entity.dxf.radius * scale == pytest.approx(jig.guide / 2, abs=NEAR)
            spot = (round(entity.dxf.center.x, 3), round(entity.dxf.center.y, 3))
            assert spot not in seen
            seen.add(spot)
            continue
        assert entity.closed == (entity.dxf.layer == "JIG_CUT")
        points = [(x * scale, y * scale) for x, y in entity.get_points("xy")]
        sides = list(zip(points, points[1:] + points[:1] * entity.closed, strict=False))
        assert min(math.dist(a, b) for a, b in sides) > 0.05
        key = tuple(round(v, 3) for p in points for v in p)
        assert key not in seen
        seen.add(key)


@over_jigs(plates=("whole",))
def test_outlines_lie_apart_by_more_than_the_bit_and_are_the_model_s(name: str, jig: Jig) -> None:
    scale, tool = SCALE[made(name).parameters.product.units], made(name).parameters.saw.tool
    wanted = flat_outlines(name, jig)
    space = read(name, jig).modelspace()
    found = []
    for entity in space.query('LWPOLYLINE[layer=="JIG_CUT"]'):
        path = ezdxf.path.make_path(entity)
        points = [(v.x * scale, v.y * scale) for v in path.flattening(0.001 / scale)]
        found.append(shapely.Polygon(points))
    for one, other in zip(found, wanted, strict=True):
        assert one.symmetric_difference(other).area < 0.002 * one.length
    assert shapely.union_all(found).bounds[0] == pytest.approx(0.0, abs=NEAR)
    assert found[0].bounds[1] == pytest.approx(0.0, abs=NEAR)
    for i, one in enumerate(found):
        assert all(one.distance(other) > tool for other in found[i + 1 :])
    places = flat_places(jig, tool)
    holes = {(round(x + places[0][0], 2), round(y + places[0][1], 2)) for x, y in jig.guides}
    drawn_holes = {
        (round(c.dxf.center.x * scale, 2), round(c.dxf.center.y * scale, 2))
        for c in space.query("CIRCLE")
    }
    apart = [min(math.dist(a, b) for b in drawn_holes) for a in holes]
    assert len(drawn_holes) == len(jig.guides)
    assert max(apart, default=0.0) < 0.02


@pytest.mark.parametrize("name", mostly_thorough(VARIANTS, "stoop-tub", "terrace-crate"))
def test_gdal_reads_the_same(name: str, tmp_path: Path) -> None:
    scale = SCALE[made(name).parameters.product.units]
    for jig in made(name).jigs.jigs:
        path = tmp_path / f"{jig.name}.dxf"
        path.write_bytes(jig_dxf(made(name), jig))
        meta, _, shapes, columns = pyogrio.raw.read(path)
        layers = [str(x) for x in dict(zip(meta["fields"], columns, strict=True))["Layer"]]
        ours = Counter(e.dxf.layer for e in read(name, jig).modelspace())
        assert Counter(layers) == ours
        outlines = []
        for shape, layer in zip(shapes, layers, strict=True):
            geometry = shapely.from_wkb(shape)
            if layer == "JIG_CUT":
                outlines.append(shapely.Polygon(shapely.get_coordinates(geometry)[:, :2] * scale))
            elif layer == "JIG_ENGRAVE":
                assert geometry.geom_type == "LineString"
        for one, other in zip(outlines, flat_outlines(name, jig), strict=True):
            # GDAL draws arcs by chords of four degrees
            assert one.symmetric_difference(other).area < 0.05 + 1e-4 * other.area


@over_jigs(plates=("whole",))
def test_words_stand_on_the_wood_clear_of_holes_and_of_each_other(name: str, jig: Jig) -> None:
    for part in jig.parts:
        shape = shapely.Polygon(drawn(part.contour))
        blocks = []
        for words in part.words:
            assert drawable(words.text), words.text
            assert words.height >= min(3.0, made(name).parameters.jig.letter) - 1e-9
            strokes = stroke_text(words.text, words.at, words.height, words.angle)
            inked = shapely.MultiLineString(strokes)
            assert shape.buffer(-1.5).contains(inked), (part.name, words.text)
            for drill in part.drills:
                away = inked.distance(shapely.Point(drill.centre))
                assert away > drill.diameter / 2 + 1.0
            blocks.append(inked.envelope.buffer(0.3))
        for i, block in enumerate(blocks):
            assert not any(block.intersects(other) for other in blocks[i + 1 :]), part.name


@over_jigs(plates=("whole",))
def test_a_drilling_jig_names_its_bits_stops_screws_and_edges(name: str, jig: Jig) -> None:
    engraved = [words.text for words in jig.plate.words]
    text = " ".join(engraved)
    if jig.kind not in ("brace", "cap"):
        assert name.replace("-", " ").upper() in engraved
    if jig.kind == "brace":
        told = re.search(r"([\d.]+)°", text)
        assert told and abs(float(told[1]) - jig.fixed["angle"]) <= 0.06  # of hundredths, a tenth
        assert "GAUGE SIDE" in engraved
    if not jig.stops:
        return
    assert jig.screw.upper() in text
    for stop in jig.stops:
        (line,) = [one for one in engraved if one.startswith(stop.use[:5].upper())]
        found = re.search(r"STOP ([\d/.-]+) (IN|MM)", line)
        assert found
        whole, _, part = found[1].rpartition("-")
        a, _, b = part.partition("/")
        value = float(a) / float(b or 1) + float(whole or 0)
        if "/" not in part and whole:
            raise AssertionError(line)
        assert value * (25.4 if found[2] == "IN" else 1) == pytest.approx(stop.stop, abs=1e-3)
    if jig.kind == "panel":
        assert any("FOOT" in line for line in engraved)
        assert any("STILE" in line for line in engraved)
        assert f"{len(jig.guides)} HOLES" in text
        for pose in jig.poses:
            assert pose.on.split()[0].upper() in text


@pytest.fixture(scope="module")
def gmsh() -> Any:
    import gmsh

    gmsh.initialize(interruptible=False)
    gmsh.option.setNumber("General.Terminal", 0)
    yield gmsh
    gmsh.finalize()


@pytest.mark.parametrize("name", ["market-gable", "terrace-crate"])
def test_another_program_reads_each_part_of_the_step_with_its_volume(
    name: str, gmsh: Any, tmp_path: Path
) -> None:
    """Volume in closed form: outline less guide holes, times thickness; placed in the jig."""
    for jig in made(name).jigs.jigs:
        path = tmp_path / f"{jig.name}.step"
        path.write_bytes(jig_step(jig))
        gmsh.clear()
        gmsh.option.setString("Geometry.OCCTargetUnit", "MM")
        solids = gmsh.model.occ.importShapes(str(path))
        gmsh.model.occ.synchronize()
        found = sorted(gmsh.model.occ.getMass(3, tag) for dim, tag in solids if dim == 3)
        wanted = []
        for part in jig.parts:
            area = shapely.Polygon(drawn(part.contour, 1e-5)).area
            area -= sum(math.pi * drill.diameter**2 / 4 for drill in part.drills)
            wanted.append(area * part.thickness)
        assert found == pytest.approx(sorted(wanted), rel=1e-5)
        boxes = [gmsh.model.occ.getBoundingBox(3, tag) for dim, tag in solids if dim == 3]
        low = np.min([box[:3] for box in boxes], axis=0)
        high = np.max([box[3:] for box in boxes], axis=0)
        corners = [
            part.placement.out(x, y, z)
            for part in jig.parts
            for x, y in drawn(part.contour, 0.001)
            for z in (0.0, part.thickness)
        ]
        assert low == pytest.approx(np.min(corners, axis=0), abs=0.02)
        assert high == pytest.approx(np.max(corners, axis=0), abs=0.02)
        text = path.read_text()
        assert f"FILE_NAME('{jig.name}.step'" in text
        assert text.count("NEXT_ASSEMBLY_USAGE_OCCURRENCE(") == len(jig.parts)


@pytest.mark.thorough
@pytest.mark.parametrize("seed", ["1", "77"])
def test_the_bytes_do_not_depend_on_the_process(seed: str) -> None:
    code = (
        "import hashlib\n"
        "from palewright.design import design\n"
        "from palewright.parameters.variant_files import load_variant\n"
        "from palewright_drawings.cad_files.jig_dxf import jig_files\n"
        "box = design(load_variant('stoop-tub').parameters, 'stoop-tub')\n"
        "print(hashlib.sha256(repr(list(jig_files(box))).encode()).hexdigest())\n"
    )
    done = run_python("-c", code, PYTHONHASHSEED=seed)
    assert done.returncode == 0, done.stderr
    files = repr(list(jig_files(made("stoop-tub"))))
    assert done.stdout.strip() == hashlib.sha256(files.encode()).hexdigest()


def test_names_of_files_are_names_and_unique() -> None:
    for name in VARIANTS:
        names = (
            [path for path, _ in jig_files(made(name))]
            if name == "sill-box"
            else [jig.name for jig in made(name).jigs.jigs]
        )
        assert len(set(names)) == len(names)
        assert all(re.fullmatch(r"[a-z0-9.-]+", one) for one in names)


# --- letters ---


@pytest.mark.parametrize("sign", sorted(set(SIGNS.upper()) - set("!$%*;<>@[\\]^`{|}~")))
def test_each_letter_is_drawn_and_no_two_are_alike(sign: str) -> None:
    assert drawable(sign)
    strokes = stroke_text(sign, (0.0, 0.0), 6.0)
    xs, ys = zip(*(point for stroke in strokes for point in stroke), strict=True)
    assert min(xs) >= 0 and max(xs) <= 4.2
    assert min(ys) >= -1 and max(ys) <= 6.5
    assert all(len(stroke) > 1 for stroke in strokes)
    others = [stroke_text(o, (0.0, 0.0), 6.0) for o in set(SIGNS.upper()) - {sign} if drawable(o)]
    assert strokes not in others


def test_an_unknown_sign_is_seen_to_be_missing() -> None:
    assert not drawable("~")
    assert stroke_text("~", (0.0, 0.0), 6.0) == stroke_text("|", (0.0, 0.0), 6.0)
    assert len(stroke_text("~", (0.0, 0.0), 6.0)[0]) == 6


@given(
    text=st.text("ABC 1/2-#°é", min_size=1, max_size=30),
    x=st.floats(-100, 100),
    y=st.floats(-100, 100),
    height=st.floats(1, 50),
)
def test_a_line_is_as_wide_as_the_model_counts_and_turns_about_its_start(
    text: str, x: float, y: float, height: float
) -> None:
    level = stroke_text(text, (x, y), height)
    count = len(plain_capitals(text))
    for stroke in level:
        for px, py in stroke:
            assert x - 1e-6 <= px <= x + text_width(text, height) + 0.1 * height
            assert y - 0.1 * height <= py <= y + 1.1 * height
    assert text_width(text, height) < count * LETTER_ADVANCE * height
    upright = stroke_text(text, (x, y), height, 90.0)
    for a, b in zip(level, upright, strict=True):
        for (px, py), (qx, qy) in zip(a, b, strict=True):
            assert (qx - x, qy - y) == pytest.approx((-(py - y), px - x), abs=1e-6)
