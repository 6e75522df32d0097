"""Surfaces of triangles: ``model.stl``, one STL a board, and ``model.glb``.

STL is in mm and glTF in metres with y up, as its standard says. The bytes follow from the design
alone.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from palewright import __version__
from palewright.boards import Board
from palewright.design import Design
from palewright.solids import Mesh
from palewright_drawings.colours import Colour, board_colour, hex_of, linear
from palewright_drawings.progress import Progress, Silent

Floats = NDArray[np.float64]

_STL_TRIANGLE = np.dtype(
    [("normal", "<f4", (3,)), ("corners", "<f4", (3, 3)), ("attribute", "<u2")]
)
_METRE = 0.001
_FLOAT, _SHORT, _INT = 5126, 5123, 5125  # glTF component types
_VERTICES, _INDICES = 34962, 34963  # glTF buffer targets


def stl_bytes(title: str, meshes: list[Mesh]) -> bytes:
    """Return meshes as one binary STL: 84 bytes and 50 a triangle, little-endian.

    Args:
        title: goes into the 80-byte header, after our own name: a header that began with
            ``solid`` would be taken for the text form.
        meshes: vertices (n, 3) and triangles (m, 3).
    """
    header = f"palewright {__version__} {title} mm".encode("ascii", "replace")[:80].ljust(80)
    corners = np.concatenate([points[triangles] for points, triangles in meshes])
    rows = np.zeros(len(corners), dtype=_STL_TRIANGLE)
    rows["corners"] = corners + 0.0
    rows["normal"] = _normals(corners) + 0.0
    return header + struct.pack("<I", len(rows)) + rows.tobytes()


def _normals(corners: Floats) -> Floats:
    """Return the unit normals (n, 3) of triangles (n, 3, 3); zero for a triangle of no area."""
    sides = corners[:, 1:] - corners[:, :1]
    across = np.cross(sides[:, 0], sides[:, 1])
    length = np.linalg.norm(across, axis=1, keepdims=True)
    unit: Floats = np.round(across / np.where(length > 0, length, 1.0), 7)
    return unit


def box_stl(design: Design, progress: Progress | None = None) -> bytes:
    """Return the whole box as one binary STL, mm, in the box's frame (z up, front at -y)."""
    progress = progress or Silent()
    progress.begin("model.stl", len(design.box.boards))
    meshes = []
    for name in design.box.boards:
        meshes.append(design.solids.placed_mesh(name))
        progress.advance()
    return stl_bytes(design.name, meshes)


def board_stls(design: Design, progress: Progress | None = None) -> Iterator[tuple[str, bytes]]:
    """Yield (board name, binary STL in the board's own frame, mm): datum face at z = 0."""
    progress = progress or Silent()
    progress.begin("parts", len(design.box.boards))
    for name in design.box.boards:
        yield name, stl_bytes(name, [design.solids.mesh(name)])
        progress.advance()


def box_glb(design: Design, progress: Progress | None = None) -> bytes:
    """Return the box as binary glTF 2.0: metres, y up, front towards +z.

    Nodes stand as box → panel → board; each board has a mesh of its own name, and boards of
    equal shape read the same vertices. Corners are sharp: each triangle has its own normal.
    """
    progress = progress or Silent()
    progress.begin("model.glb", len(design.box.boards))
    scene = _Scene(design.name)
    for panel, names in design.tree.items():
        nodes = []
        for name in names:
            board = design.box.boards[name]
            surface = scene.surface(board.shape_key, design.solids.mesh(name))
            material = scene.material(board_colour(design.parameters, board), board)
            nodes.append(scene.board(board, surface, material))
            progress.advance()
        scene.panel(panel, nodes)
    return scene.glb()


class _Scene:
    """A glTF scene that grows board by board."""

    def __init__(self, name: str) -> None:
        """Begin with the box's node alone."""
        self.nodes: list[dict[str, Any]] = [{"name": name, "children": []}]
        self.meshes: list[dict[str, Any]] = []
        self.materials: dict[object, dict[str, Any]] = {}
        self.views: list[dict[str, Any]] = []
        self.accessors: list[dict[str, Any]] = []
        self.surfaces: dict[object, tuple[int, int, int]] = {}
        self.buffer = bytearray()

    def surface(self, key: object, mesh: Mesh) -> tuple[int, int, int]:
        """Return the accessors (positions, normals, indices) of a shape, stored once."""
        if key not in self.surfaces:
            points, normals, indices = flat_surface(mesh)
            low, high = points.min(axis=0).tolist(), points.max(axis=0).tolist()
            short = len(points) < 0xFFFF
            self.surfaces[key] = (
                self._stored(points, "VEC3", _FLOAT, _VERTICES, min=low, max=high),
                self._stored(normals, "VEC3", _FLOAT, _VERTICES),
                self._stored(
                    indices.astype("<u2" if short else "<u4"),
                    "SCALAR", _SHORT if short else _INT, _INDICES,
                ),
            )  # fmt: skip
        return self.surfaces[key]

    def _stored(
        self, values: NDArray[Any], kind: str, component: int, target: int, **limits: list[float]
    ) -> int:
        """Append an array to the buffer and return its accessor."""
        self.buffer += bytes(-len(self.buffer) % 4)
        content = values.tobytes()
        view = {"buffer": 0, "byteOffset": len(self.buffer), "byteLength": len(content)}
        self.views.append(view | {"target": target})
        self.buffer += content
        accessor = {"bufferView": len(self.views) - 1, "componentType": component}
        self.accessors.append(accessor | {"count": len(values), "type": kind} | limits)
        return len(self.accessors) - 1

    def material(self, colour: Colour, board: Board) -> int:
        """Return the material of a colour: bare wood, matt."""
        key = (board.stock.species, colour)
        if key not in self.materials:
            base = [round(channel, 6) for channel in linear(colour)] + [1.0]
            self.materials[key] = {
                "name": f"{board.stock.species} {hex_of(colour)}",
                "pbrMetallicRoughness": {
                    "baseColorFactor": base, "metallicFactor": 0.0, "roughnessFactor": 0.85,
                },
            }  # fmt: skip
        return list(self.materials).index(key)

    def board(self, board: Board, surface: tuple[int, int, int], material: int) -> int:
        """Add a board's mesh and node; return the node."""
        positions, normals, indices = surface
        primitive = {
            "attributes": {"POSITION": positions, "NORMAL": normals},
            "indices": indices,
            "material": material,
        }
        self.meshes.append({"name": board.name, "primitives": [primitive]})
        place = board.placement
        columns = [_upright(v) for v in (place.grain, place.across, place.normal)]
        turn = quaternion(np.array(columns, dtype=np.float64).T)
        origin = [round(x * _METRE, 9) + 0.0 for x in _upright(place.origin)]
        self.nodes.append(
            {"name": board.name, "mesh": len(self.meshes) - 1, "translation": origin,
             "rotation": turn}
        )  # fmt: skip
        return len(self.nodes) - 1

    def panel(self, name: str, children: list[int]) -> None:
        """Add a panel's node over its boards'."""
        self.nodes.append({"name": name, "children": children})
        self.nodes[0]["children"].append(len(self.nodes) - 1)

    def glb(self) -> bytes:
        """Return the scene as GLB: a JSON chunk padded with blanks, a binary one with zeros."""
        self.buffer += bytes(-len(self.buffer) % 4)
        content = {
            "asset": {"version": "2.0", "generator": f"palewright {__version__}"},
            "scene": 0,
            "scenes": [{"name": self.nodes[0]["name"], "nodes": [0]}],
            "nodes": self.nodes,
            "meshes": self.meshes,
            "materials": list(self.materials.values()),
            "accessors": self.accessors,
            "bufferViews": self.views,
            "buffers": [{"byteLength": len(self.buffer)}],
        }
        text = json.dumps(content, separators=(",", ":"), ensure_ascii=False).encode("utf-8")
        text += b" " * (-len(text) % 4)
        whole = 12 + 8 + len(text) + 8 + len(self.buffer)
        return b"".join(
            (
                struct.pack("<4sII", b"glTF", 2, whole),
                struct.pack("<I4s", len(text), b"JSON"),
                text,
                struct.pack("<I4s", len(self.buffer), b"BIN\0"),
                bytes(self.buffer),
            )
        )


def flat_surface(mesh: Mesh) -> tuple[NDArray[np.float32], NDArray[np.float32], NDArray[np.int64]]:
    """Return positions (n, 3) in metres, unit normals (n, 3) and indices (3 m) for flat shading.

    Corners of triangles that agree in place and normal are one vertex. Triangles that single
    precision leaves without area are dropped: no viewer can light them.
    """
    points, triangles = mesh
    corners = points[triangles]
    normals = _normals(corners)
    kept = np.any(normals != 0.0, axis=1)
    normals = np.repeat(normals[kept, None, :], 3, axis=1)
    rows = np.concatenate((corners[kept] * _METRE, normals), axis=2).reshape(-1, 6)
    rows32 = (rows + 0.0).astype("<f4")
    unique, inverse = np.unique(rows32, axis=0, return_inverse=True)
    return (
        np.ascontiguousarray(unique[:, :3]),
        np.ascontiguousarray(unique[:, 3:]),
        inverse.reshape(-1),
    )


def _upright(v: tuple[float, float, float]) -> tuple[float, float, float]:
    """Return a direction or place of the box (z up) in glTF's axes (y up, front at +z)."""
    return v[0], v[2], -v[1]


def quaternion(turn: Floats) -> list[float]:
    """Return a rotation matrix (3, 3) as a unit quaternion (x, y, z, w), w not negative.

    The matrix's largest diagonal sum is divided by, so that half turns stay exact.
    """
    m = turn
    squares = np.array(
        [
            1 + m[0, 0] - m[1, 1] - m[2, 2],
            1 - m[0, 0] + m[1, 1] - m[2, 2],
            1 - m[0, 0] - m[1, 1] + m[2, 2],
            1 + m[0, 0] + m[1, 1] + m[2, 2],
        ]
    )
    rows = np.array(
        [
            [squares[0], m[0, 1] + m[1, 0], m[0, 2] + m[2, 0], m[2, 1] - m[1, 2]],
            [m[0, 1] + m[1, 0], squares[1], m[1, 2] + m[2, 1], m[0, 2] - m[2, 0]],
            [m[0, 2] + m[2, 0], m[1, 2] + m[2, 1], squares[2], m[1, 0] - m[0, 1]],
            [m[2, 1] - m[1, 2], m[0, 2] - m[2, 0], m[1, 0] - m[0, 1], squares[3]],
        ]
    )
    q = rows[int(np.argmax(squares))]
    q = q / np.linalg.norm(q)
    return [round(float(x), 9) + 0.0 for x in (q if q[3] >= 0 else -q)]
