"""Meshes as binary PLY files, the only way in which the path tracer takes them at full speed."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

_CORNERS = ("x", "y", "z", "nx", "ny", "nz", "u", "v")
_POINT = np.dtype([("at", "<f4", 3), ("normal", "<f4", 3), ("place", "<f4", 2)])
"""A point of a binary PLY file, little endian: place, normal, place in the picture."""

_FACE = np.dtype([("count", "u1"), ("corners", "<i4", 3)])
"""A face of it: how many corners, and which."""


def write_ply(
    file: Path, points: ArrayLike, normals: ArrayLike, places: ArrayLike, triangles: ArrayLike
) -> None:
    """Write a mesh.

    Args:
        file: to write to.
        points: (n, 3), mm.
        normals: (n, 3), unit vectors.
        places: (n, 2) in the mesh's picture.
        triangles: (m, 3) indices.
    """
    faces = np.asarray(triangles)
    corners = np.empty(len(np.asarray(points)), _POINT)
    corners["at"], corners["normal"], corners["place"] = points, normals, places
    lists = np.empty(len(faces), _FACE)
    lists["count"], lists["corners"] = 3, faces
    head = [
        "ply",
        "format binary_little_endian 1.0",
        f"element vertex {len(corners)}",
        *(f"property float {name}" for name in _CORNERS),
        f"element face {len(lists)}",
        "property list uchar int vertex_indices",
        "end_header\n",
    ]
    with file.open("wb") as out:
        out.write("\n".join(head).encode("ascii"))
        corners.tofile(out)
        lists.tofile(out)
