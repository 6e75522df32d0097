"""Surfaces of triangles: ``model.stl``, one STL a kind of board, and ``model.glb``.

STL is in mm and glTF in metres with y up, as its standard says. trimesh writes both; what it has
no word for, our name and exact colours, is laid in. The bytes follow from the design alone.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from palewright import __version__
from palewright.design import Design
from palewright.solids.surfaces import matrix
from palewright_drawings.cad_files.board_kinds import board_kinds
from palewright_drawings.cad_files.colours import board_colour, hex_of, linear
from palewright_drawings.output.progress import Progress, Silent

if TYPE_CHECKING:
    from palewright.solids.surfaces import Surface

_METRE = 0.001
"""Metres in a mm: glTF 2.0 counts in metres."""

_UPRIGHT = np.array([[1, 0, 0, 0], [0, 0, 1, 0], [0, -1, 0, 0], [0, 0, 0, 1]])
"""From the box's axes (z up, front at -y) to glTF's (y up, front at +z)."""

_ROUGHNESS = 0.85
"""Bare wood is matt: a judgement."""

_STL_HEADER = 84
"""Bytes before the first triangle of a binary STL: 80 of text, and how many triangles follow."""

_ABOVE, _BOX = "above", "box"
"""Names in trimesh's graph, where each must be its own: none of a panel's or a board's."""


def stl_bytes(title: str, surfaces: Iterable[Surface]) -> bytes:
    """Return surfaces as one binary STL, mm.

    Args:
        title: goes into the 80-byte header, after our own name: a header that began with
            ``solid`` would be taken for the text form.
        surfaces: what it holds, one after the other; each may go once it is written.
    """
    header = f"palewright {__version__} {title} mm".encode("ascii", "replace")[:80].ljust(80)
    content = io.BytesIO()  # it gives its bytes away without a second copy
    content.write(header + bytes(_STL_HEADER - len(header)))
    count = 0
    for surface in surfaces:
        content.write(surface.export(file_type="stl")[_STL_HEADER:])
        count += len(surface.faces)
    content.seek(len(header))
    content.write(count.to_bytes(4, "little"))
    return content.getvalue()


def box_stl(design: Design, progress: Progress | None = None) -> bytes:
    """Return the whole box as one binary STL, mm, in the box's frame (z up, front at -y)."""
    progress = progress or Silent()
    progress.begin("model.stl", len(design.box.boards))

    def placed() -> Iterator[Surface]:
        for name in design.box.boards:
            yield design.surfaces.placed(name)
            progress.advance()

    return stl_bytes(design.name, placed())


def board_stls(design: Design, progress: Progress | None = None) -> Iterator[tuple[str, bytes]]:
    """Yield (name of a kind, binary STL in the board's own frame, mm): datum face at z = 0."""
    progress, kinds = progress or Silent(), board_kinds(design)
    progress.begin("parts", len(kinds))
    for kind in kinds:
        surface = design.surfaces.own(kind.boards[0].name)
        yield kind.name, stl_bytes(kind.name, [surface.copy()])
        progress.advance()


def box_glb(design: Design, progress: Progress | None = None) -> bytes:
    """Return the box as binary glTF 2.0: metres, y up, front towards +z.

    Nodes stand as box → panel → board; each board has a mesh of its own name, and boards of
    equal shape read the same vertices. Corners are sharp: each triangle has its own normal.
    """
    import trimesh

    progress = progress or Silent()
    progress.begin("model.glb", len(design.box.boards))
    scene = trimesh.Scene(base_frame=_ABOVE)
    scene.graph.update(frame_from=_ABOVE, frame_to=_BOX)
    shapes: dict[object, tuple[NDArray[Any], NDArray[Any], NDArray[Any]]] = {}
    colours: dict[str, list[float]] = {}
    for panel, names in design.tree.items():
        scene.graph.update(frame_from=_BOX, frame_to=panel)
        for name in names:
            board = design.box.boards[name]
            if board.shape_key not in shapes:
                shapes[board.shape_key] = flat_surface(design.surfaces.own(name).copy())
            points, normals, triangles = shapes[board.shape_key]
            colour = board_colour(design.parameters, board)
            wood = f"{board.stock.species} {hex_of(colour)}"
            colours[wood] = [round(channel, 6) for channel in linear(colour)] + [1.0]
            material = trimesh.visual.material.PBRMaterial(
                name=wood, baseColorFactor=colours[wood], metallicFactor=0.0,
                roughnessFactor=_ROUGHNESS,
            )  # fmt: skip
            mesh = trimesh.Trimesh(
                points, triangles, vertex_normals=normals, process=False,
                visual=trimesh.visual.TextureVisuals(material=material),
            )  # fmt: skip
            place = _UPRIGHT @ matrix(board.placement)
            place[:3, 3] *= _METRE
            scene.add_geometry(
                mesh, node_name=name, geom_name=name, parent_node_name=panel,
                transform=np.round(place, 9) + 0.0,
            )  # fmt: skip
            progress.advance()

    def ours(tree: dict[str, Any]) -> None:
        """Lay in what trimesh's scene has no place for: it keeps a colour in 8 bits."""
        tree["asset"]["generator"] = f"palewright {__version__}"
        tree["scenes"][0]["name"] = tree["nodes"][0]["name"] = design.name
        for material in tree["materials"]:
            material["pbrMetallicRoughness"]["baseColorFactor"] = colours[material["name"]]

    content: bytes = trimesh.exchange.gltf.export_glb(
        scene, include_normals=True, tree_postprocessor=ours
    )
    return content


def flat_surface(surface: Surface) -> tuple[NDArray[Any], NDArray[Any], NDArray[Any]]:
    """Return positions (n, 3) in metres, unit normals (n, 3), triangles (m, 3) for flat shading.

    Corners of triangles that agree in place and normal are one vertex. Triangles that single
    precision leaves without area are dropped: no viewer can light them.
    """
    normals = np.round(surface.face_normals, 7)
    kept = np.any(normals != 0.0, axis=1)
    corners = np.asarray(surface.triangles)[kept] * _METRE
    rows = np.concatenate((corners, np.repeat(normals[kept, None], 3, axis=1)), axis=2)
    unique, inverse = np.unique(
        (rows.reshape(-1, 6) + 0.0).astype("<f4"), axis=0, return_inverse=True
    )
    # in double precision trimesh takes the arrays themselves, so that equal boards share them
    wide = unique.astype(np.float64)
    points, normals = (np.ascontiguousarray(wide[:, at]) for at in (slice(3), slice(3, 6)))
    return points, normals, inverse.reshape(-1, 3)
