"""The model files are read back by other libraries than those that wrote them."""

from __future__ import annotations

import io
import json
import math
import re
import struct
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import cadquery as cq
import numpy as np
import pygltflib
import pytest
import stl
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from case_lists import mostly_thorough
from kernel_volumes import volumes_of
from palewright import __version__
from palewright.construction.boards import Board
from palewright.design import Design, design
from palewright.parameters.variant_files import parameters_from
from palewright.solids.kernel_solids import MESH_ANGLE, MESH_TOLERANCE
from palewright_drawings.cad_files import stl_and_glb
from palewright_drawings.cad_files.board_kinds import board_kinds
from palewright_drawings.cad_files.colours import board_colour, hex_of, linear
from palewright_drawings.cad_files.step import step_file
from palewright_drawings.cad_files.step_part21 import SCHEMA, escaped, finished

MODELS = {
    "face": {"front": "cross", "sides": "slant"},
    "lumber": {"cap": "fence-58-cedar"},
    "trellis": {"fit": True, "height": "12 in", "bars": 2},
}
NAME = "küche's \\tub"

STL_TRIANGLE = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
"""One triangle of a binary STL, after its 84 bytes of header and count."""

_GMSH = """
import gmsh, json, sys
gmsh.initialize()
gmsh.option.setNumber("General.Terminal", 0)
gmsh.option.setNumber("Geometry.OCCImportLabels", 1)
gmsh.merge(sys.argv[1])
print(json.dumps([
    (gmsh.model.getEntityName(3, tag), gmsh.model.occ.getMass(3, tag),
     gmsh.model.occ.getBoundingBox(3, tag), gmsh.model.getColor(3, tag))
    for _, tag in gmsh.model.getEntities(3)
]))
"""


@pytest.fixture(scope="module")
def tub() -> Design:
    return design(parameters_from(MODELS, {}), NAME)


@pytest.fixture(scope="module")
def step(tub: Design) -> bytes:
    return step_file(tub)


@pytest.fixture(scope="module")
def glb(tub: Design) -> bytes:
    return stl_and_glb.box_glb(tub)


@pytest.fixture(scope="module")
def gmsh_solids(step: bytes, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    path = tmp_path_factory.mktemp("step") / "model.step"
    path.write_bytes(step)
    read = subprocess.run(
        [sys.executable, "-c", _GMSH, str(path)], capture_output=True, text=True, check=True
    )
    rows = json.loads(read.stdout.splitlines()[-1])
    return {label.split("/")[-2]: (label, *rest) for label, *rest in rows}


def rgb(board: Board, of: Design) -> tuple[int, ...]:
    return tuple(round(255 * c) for c in board_colour(of.parameters, board))


def test_the_design_shows_what_is_tested(tub: Design) -> None:
    holes = [hole for board in tub.box.boards.values() for hole in board.holes]
    assert any(not hole.square for hole in holes)
    assert any(hole.square and hole.through and hole.sink for hole in holes)
    assert any(hole.square and not hole.through for hole in holes)
    assert any(max(board.end_angles) > 20 for board in tub.box.boards.values())
    assert tub.solids.shape_count < len(tub.box.boards)


def test_another_kernel_reads_every_board_of_the_step_with_its_volume(
    tub: Design, gmsh_solids: dict[str, Any]
) -> None:
    volumes = volumes_of(tub.solids)
    assert gmsh_solids.keys() == volumes.keys()
    for name, volume in volumes.items():
        assert gmsh_solids[name][1] == pytest.approx(volume, rel=1e-6)
    total = sum(volume for _, volume, _, _ in gmsh_solids.values())
    assert total == pytest.approx(sum(volumes.values()), rel=1e-6)


def test_another_kernel_reads_every_board_where_it_stands_in_mm(
    tub: Design, gmsh_solids: dict[str, Any]
) -> None:
    for name, board in tub.box.boards.items():
        columns = list(zip(*board.corners, strict=True))
        stands = [*map(min, columns), *map(max, columns)]
        # gmsh widens bounds by the tolerance of the shape, and by curves of countersinks
        assert gmsh_solids[name][2] == pytest.approx(stands, abs=1e-5)


def test_another_kernel_reads_tree_and_colours(tub: Design, gmsh_solids: dict[str, Any]) -> None:
    for name, board in tub.box.boards.items():
        label, _, _, colour = gmsh_solids[name]
        assert f"/{board.panel}/{name}/" in label
        assert tuple(colour[:3]) == rgb(board, tub)


def step_tree(step: bytes, path: Path) -> Iterator[tuple[int, str, str, tuple[int, ...] | None]]:
    """Yield (depth, instance, product, colour) of the tree as the kernel's own reader has it."""
    from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
    from OCP.STEPCAFControl import STEPCAFControl_Reader
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDF import TDF_Label, TDF_LabelSequence
    from OCP.TDocStd import TDocStd_Document
    from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool

    path.write_bytes(step)
    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    reader = STEPCAFControl_Reader()
    reader.SetColorMode(True)
    reader.SetNameMode(True)
    reader.ReadFile(str(path))
    reader.Transfer(document)
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())

    def name_of(label: Any) -> str:
        name = TDataStd_Name()
        return (
            str(name.Get().ToExtString())
            if label.FindAttribute(TDataStd_Name.GetID_s(), name)
            else ""
        )

    def walk(label: Any, depth: int) -> Iterator[tuple[int, str, str, tuple[int, ...] | None]]:
        target = TDF_Label()
        if not shapes.IsReference_s(label):
            target = label
        else:
            shapes.GetReferredShape_s(label, target)
        colour, found = Quantity_Color(), None
        shape = shapes.GetShape_s(target)
        for kind in (XCAFDoc_ColorType.XCAFDoc_ColorSurf, XCAFDoc_ColorType.XCAFDoc_ColorGen):
            if found is None and colours.GetColor(shape, kind, colour):
                values = colour.Values(Quantity_TypeOfColor.Quantity_TOC_sRGB)
                found = tuple(round(255 * c) for c in values)
        yield depth, name_of(label), name_of(target), found
        if shapes.IsAssembly_s(target):
            below = TDF_LabelSequence()
            shapes.GetComponents_s(target, below)
            for i in range(1, below.Length() + 1):
                yield from walk(below.Value(i), depth + 1)

    roots = TDF_LabelSequence()
    shapes.GetFreeShapes(roots)
    for i in range(1, roots.Length() + 1):
        yield from walk(roots.Value(i), 0)


def test_step_holds_the_tree_box_panel_board(tub: Design, step: bytes, tmp_path: Path) -> None:
    rows = list(step_tree(step, tmp_path / "model.step"))
    expected = [(0, NAME)]
    for panel, names in tub.tree.items():
        expected += [(1, panel), *((2, name) for name in names)]
    assert [(depth, name) for depth, name, _, _ in rows] == expected
    marks = {name: part.mark for part in tub.parts for name in part.boards}
    for depth, name, product, colour in rows:
        if depth == 2:
            board = tub.box.boards[name]
            assert re.fullmatch(rf"{marks[name]} {board.role}( \d+)?", product)
            assert colour == rgb(board, tub)


def test_equal_boards_are_one_definition_in_step(tub: Design, step: bytes) -> None:
    assert step.count(b"MANIFOLD_SOLID_BREP(") == tub.solids.shape_count
    assert step.count(b"NEXT_ASSEMBLY_USAGE_OCCURRENCE(") == len(tub.box.boards) + len(tub.tree)


def test_the_same_shape_in_another_wood_has_its_own_colour(tub: Design, tmp_path: Path) -> None:
    slat = tub.box.boards["floor.slat-2"]
    other = replace(slat, stock=slat.stock.model_copy(update={"species": "cedar"}))
    mixed = design(tub.parameters, "mixed")
    mixed.__dict__["box"] = replace(tub.box, boards={**tub.box.boards, slat.name: other})
    rows = {name: colour for _, name, _, colour in step_tree(step_file(mixed), tmp_path / "m.step")}
    assert rows[slat.name] == rgb(other, mixed) != rgb(slat, tub)
    assert rows["floor.slat-1"] == rgb(slat, tub)


def test_step_is_the_same_whatever_another_program_set_in_the_kernel(
    tub: Design, step: bytes, tmp_path: Path
) -> None:
    """The kernel's settings belong to the process; cadquery's own export leaves some behind."""
    from OCP.Interface import Interface_Static

    hostile = {
        "write.step.schema": "AP242DIS", "write.step.unit": "INCH", "xstep.cascade.unit": "M",
        "write.step.assembly": "0", "write.step.vertex.mode": "1", "write.step.nonmanifold": "1",
        "write.precision.mode": "1", "write.stepcaf.subshapes.name": "1",
        "write.surfacecurve.mode": "1",
    }  # fmt: skip
    before = {key: Interface_Static.CVal_s(key) for key in hostile}
    try:
        left = cq.Assembly(cq.Workplane().box(1, 1, 1), name="another")
        left.export(str(tmp_path / "other.step"), write_pcurves=True, precision_mode=1, unit="INCH")
        made_after = step_file(tub)
        assert all(Interface_Static.SetCVal_s(key, value) for key, value in hostile.items())
        made_among = step_file(tub)
    finally:
        for key, value in before.items():
            Interface_Static.SetCVal_s(key, value)
    assert (made_after == step) and (made_among == step)


def test_step_header_has_part_21_order_schema_and_no_trace_of_the_machine(step: bytes) -> None:
    text = step.decode("ascii")
    assert text.startswith("ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION(")
    assert text.endswith("ENDSEC;\nEND-ISO-10303-21;\n")
    header = text[: text.index("DATA;")]
    kinds = re.findall(r"^([A-Z_]+)\(", header, re.M)
    assert kinds == ["FILE_DESCRIPTION", "FILE_NAME", "FILE_SCHEMA"]
    assert f"FILE_SCHEMA(('{SCHEMA}'));" in header
    assert re.search(r"'1970-01-01T00:00:00',\(''\),\(''\),'palewright [\d.]+','palewright", header)
    assert str(Path.home()) not in text
    assert "Open CASCADE" not in text
    lengths = re.findall(r"LENGTH_UNIT\(\)[^;]*", text)
    assert lengths
    assert all("SI_UNIT(.MILLI.,.METRE.)" in unit for unit in lengths)
    assert "CONVERSION_BASED_UNIT" not in text


def test_step_statements_are_numbered_once_and_refer_to_what_is_there(step: bytes) -> None:
    data = step.decode("ascii").split("DATA;")[1]
    numbers = [int(n) for n in re.findall(r"^#(\d+) =", data, re.M)]
    assert len(numbers) == len(set(numbers))
    assert {int(n) for n in re.findall(r"#(\d+)", data)} == set(numbers)


@given(st.text())
def test_step_text_is_escaped_so_that_it_reads_back(text: str) -> None:
    written = escaped(text)
    assert all(32 <= ord(sign) < 127 for sign in written)
    back = re.sub(
        r"\\X[24]\\([0-9A-F]+)\\X0\\", lambda m: chr(int(m[1], 16)), written.replace("''", "'")
    )
    kept = "".join(c for c in text if 32 <= ord(c) < 127 or ord(c) >= 160)
    if "\\" not in text:
        assert back == kept
    assert written.replace("''", "").count("'") == 0
    assert len(re.findall(r"\\\\", re.sub(r"\\X[24]\\[0-9A-F]+\\X0\\", "", written))) == text.count(
        "\\"
    )


def test_a_product_without_a_solid_is_no_silent_loss_of_colour() -> None:
    with pytest.raises(KeyError):
        finished("DATA;\n#1 = DIRECTION('',(0.,0.,1.));\nENDSEC;", "x", {"A": (1.0, 1.0, 1.0)})


def test_stl_of_every_board_is_closed_in_its_own_frame_and_as_large_as_the_solid(
    tub: Design,
) -> None:
    volumes = volumes_of(tub.solids)
    written = dict(stl_and_glb.board_stls(tub))
    kinds = {kind.name: kind.boards for kind in board_kinds(tub)}
    assert written.keys() == kinds.keys()
    assert sum(map(len, kinds.values())) == len(tub.box.boards)
    for name, board in ((name, board) for name, boards in kinds.items() for board in boards):
        content = written[name]
        count = struct.unpack_from("<I", content, 80)[0]
        assert len(content) == 84 + 50 * count
        assert content.startswith(b"palewright")
        read = stl.Mesh.from_file("x", fh=io.BytesIO(content))
        assert len(read.vectors) == count
        assert read.is_closed(exact=True)
        low, high = read.vectors.min(axis=(0, 1)), read.vectors.max(axis=(0, 1))
        assert low == pytest.approx([0, 0, 0], abs=1e-4)
        assert high == pytest.approx([board.length, board.width, board.thickness], rel=1e-6)
        assert abs(float(read.get_mass_properties()[0]) - volumes[board.name]) < chord_error(board)


def chord_error(board: Board) -> float:
    """Return by how much (mm³) facets may leave the holes of a board, and single precision."""
    error = 1e-6 * board.volume
    for hole in board.holes:
        r = max(hole.diameter, hole.sink) / 2
        turn = min(MESH_ANGLE, 2 * math.acos(1 - min(1.0, MESH_TOLERANCE / r)))
        error += hole.depth * r * r * (math.pi - math.pi / turn * math.sin(turn))
    return error


def test_stl_of_the_box_is_its_boards_in_place(tub: Design) -> None:
    content = stl_and_glb.box_stl(tub)
    read = stl.Mesh.from_file("x", fh=io.BytesIO(content))
    assert len(content) == 84 + 50 * len(read.vectors)
    parts = sum(len(tub.surfaces.own(name).faces) for name in tub.box.boards)
    assert len(read.vectors) == parts
    corners = np.array([c for board in tub.box.boards.values() for c in board.corners])
    assert read.vectors.min(axis=(0, 1)) == pytest.approx(corners.min(axis=0), abs=1e-3)
    assert read.vectors.max(axis=(0, 1)) == pytest.approx(corners.max(axis=0), abs=1e-3)
    volume = float(read.get_mass_properties()[0])
    allowed = sum(chord_error(board) for board in tub.box.boards.values())
    assert abs(volume - sum(volumes_of(tub.solids).values())) < allowed
    across = np.cross(read.v1 - read.v0, read.v2 - read.v0).astype(float)
    unit = across / np.linalg.norm(across, axis=1, keepdims=True)
    told = np.frombuffer(content[84:], dtype=STL_TRIANGLE)["normal"]
    assert np.abs(told - unit).max() < 2e-3


def test_stl_header_stays_80_bytes_whatever_the_title() -> None:
    mesh = trimesh.Trimesh(np.eye(3), [[0, 1, 2]], process=False)
    for title in ("", "solid", "ä" * 200):
        content = stl_and_glb.stl_bytes(title, [mesh])
        assert len(content) == 134
        assert content.startswith(b"palewright")


def test_glb_has_a_named_mesh_a_board_in_the_tree(tub: Design, glb: bytes) -> None:
    read = pygltflib.GLTF2().load_from_bytes(glb)
    nodes = read.nodes
    assert read.scenes[read.scene].nodes == [0]
    assert nodes[0].name == NAME
    tree = {nodes[p].name: [nodes[b].name for b in nodes[p].children] for p in nodes[0].children}
    assert tree == dict(tub.tree)
    boards = [node for node in nodes if node.mesh is not None]
    assert [read.meshes[node.mesh].name for node in boards] == [node.name for node in boards]
    assert len({node.mesh for node in boards}) == len(tub.box.boards)
    for node in boards:
        primitive = read.meshes[node.mesh].primitives[0]
        factor = read.materials[primitive.material].pbrMetallicRoughness.baseColorFactor
        board = tub.box.boards[node.name]
        assert factor[:3] == pytest.approx(linear(board_colour(tub.parameters, board)), abs=1e-6)
        assert factor[3] == 1.0
        assert (
            hex_of(board_colour(tub.parameters, board)) in read.materials[primitive.material].name
        )


def test_glb_stores_equal_shapes_once(tub: Design, glb: bytes) -> None:
    read = pygltflib.GLTF2().load_from_bytes(glb)
    stored: dict[object, set[int]] = {}
    for mesh in read.meshes:
        key = tub.box.boards[mesh.name].shape_key
        stored.setdefault(key, set()).add(mesh.primitives[0].attributes.POSITION)
    assert all(len(places) == 1 for places in stored.values())
    blob = read.binary_blob()
    assert sum(view.byteLength for view in read.bufferViews) == len(blob)
    parts = [blob[v.byteOffset : v.byteOffset + v.byteLength] for v in read.bufferViews]
    assert len(set(parts)) == len(parts)


def test_glb_is_matt_wood_and_says_what_made_it(glb: bytes) -> None:
    read = pygltflib.GLTF2().load_from_bytes(glb)
    assert read.asset.generator == f"palewright {__version__}"
    assert read.scenes[0].name == NAME
    assert len({material.name for material in read.materials}) == len(read.materials)
    for material in read.materials:
        looks = material.pbrMetallicRoughness
        assert (looks.metallicFactor, looks.roughnessFactor) == (0.0, 0.85)
        assert not material.doubleSided
        assert material.alphaMode in (None, "OPAQUE")


@pytest.mark.parametrize(
    "name", mostly_thorough(["front", "cap", "world", "box", "above"], "front", "world")
)
def test_a_box_named_as_one_of_its_parts_keeps_its_tree(name: str) -> None:
    one = design(parameters_from({}, {}), name)
    read = pygltflib.GLTF2().load_from_bytes(stl_and_glb.box_glb(one))
    (root,) = read.scenes[0].nodes
    assert read.nodes[root].name == name
    panels = [read.nodes[place] for place in read.nodes[root].children]
    found = {p.name: [read.nodes[b].name for b in p.children] for p in panels}
    assert found == dict(one.tree)


def test_glb_limits_are_those_of_the_stored_positions_and_normals_are_flat(glb: bytes) -> None:
    read = pygltflib.GLTF2().load_from_bytes(glb)
    blob = read.binary_blob()

    def values(index: int, kind: str, columns: int) -> Any:
        accessor = read.accessors[index]
        start = read.bufferViews[accessor.bufferView].byteOffset
        flat = np.frombuffer(blob, dtype=kind, count=accessor.count * columns, offset=start)
        return flat.reshape(-1, columns)

    for mesh in read.meshes:
        primitive = mesh.primitives[0]
        points = values(primitive.attributes.POSITION, "<f4", 3)
        accessor = read.accessors[primitive.attributes.POSITION]
        assert (points.min(axis=0) == np.array(accessor.min, dtype="<f4")).all()
        assert (points.max(axis=0) == np.array(accessor.max, dtype="<f4")).all()
        normals = values(primitive.attributes.NORMAL, "<f4", 3).astype(float)
        short = read.accessors[primitive.indices].componentType == 5123
        corners = values(primitive.indices, "<u2" if short else "<u4", 1).reshape(-1, 3)
        assert (normals[corners[:, 0]] == normals[corners[:, 1]]).all()
        assert (normals[corners[:, 0]] == normals[corners[:, 2]]).all()
        assert np.linalg.norm(normals, axis=1) == pytest.approx(1.0, abs=1e-5)
        p = points[corners].astype(float)
        across = np.cross(p[:, 1] - p[:, 0], p[:, 2] - p[:, 0])
        assert ((across * normals[corners[:, 0]]).sum(axis=1) > 0).all()


def test_glb_stands_in_metres_with_y_up_and_the_front_at_plus_z(tub: Design, glb: bytes) -> None:
    scene = trimesh.load(io.BytesIO(glb), file_type="glb", process=False)
    for name, board in tub.box.boards.items():
        turn, geometry = scene.graph[name]
        points = trimesh.transform_points(scene.geometry[geometry].vertices, turn)
        stands = np.array([(x, z, -y) for x, y, z in board.corners]) / 1000
        assert points.min(axis=0) == pytest.approx(stands.min(axis=0), abs=2e-7)
        assert points.max(axis=0) == pytest.approx(stands.max(axis=0), abs=2e-7)
    assert scene.bounds[0][1] >= -1e-9
    front = scene.geometry[scene.graph["front.stile-left"][1]]
    assert (
        trimesh.transform_points(front.vertices, scene.graph["front.stile-left"][0])[:, 2].min() > 0
    )
