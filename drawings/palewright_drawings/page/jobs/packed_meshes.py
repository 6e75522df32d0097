"""Meshes of the pictures as bytes for the page: a head in JSON, then arrays.

Four bytes tell the length of the head (little-endian), a multiple of four. It lists flocks:
``name``, ``places`` (rows 0 to 2 of each copy's matrix, 32-bit floats), ``solids`` with ``points``
(16 bits between ``low`` and ``low`` + 65535 ``step``, mm), ``triangles`` (16 bits, 32 where
``wide``), ``colours`` of the points (sRGB bytes) or null, and the surface's ``colour``, ``rough``,
``metal``, ``both``, ``smooth``. An array is told as its offset after the head and its count.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from palewright_drawings.rendering.plants.plants import GrownPlants
from palewright_drawings.rendering.scene.scene import Flock, Solid

KIND = "application/octet-stream"
"""The media type of what is packed."""

_STEPS = 65535
"""Steps of 16 bits: of a tree of 2 m each is 0.03 mm."""

_MANY = 65536
"""Points that 16 bits can tell apart."""


class _Pool:
    """Arrays one after the other, each at a multiple of four bytes."""

    def __init__(self) -> None:
        self.bytes = bytearray()

    def put(self, array: NDArray[Any]) -> list[int]:
        """Add an array; return its place and count."""
        told = [len(self.bytes), int(array.size)]
        self.bytes += array.tobytes()
        self.bytes += bytes(-len(self.bytes) % 4)
        return told


def packed(grown: GrownPlants) -> bytes:
    """Return solids and flocks as bytes; the same meshes give the same bytes."""
    pool = _Pool()
    alone = Flock("alone", grown.solids, np.eye(4)[None])
    flocks = [_flock(one, pool) for one in (alone, *grown.flocks) if len(one.places) and one.group]
    head = json.dumps(flocks).encode()
    head += b" " * (-len(head) % 4)
    return len(head).to_bytes(4, "little") + head + bytes(pool.bytes)


def of_solids(solids: Iterable[Solid]) -> bytes:
    """Return solids where they stand as bytes."""
    return packed(GrownPlants(tuple(solids)))


def _flock(flock: Flock, pool: _Pool) -> dict[str, Any]:
    places = flock.places[:, :3, :].astype("<f4")
    return {
        "name": flock.name,
        "places": pool.put(places),
        "solids": [_solid(one, pool) for one in flock.group],
    }


def _solid(solid: Solid, pool: _Pool) -> dict[str, Any]:
    mesh, surface = solid.mesh, solid.surface
    low = mesh.points.min(axis=0)
    step = np.maximum(np.ptp(mesh.points, axis=0), 1e-6) / _STEPS
    wide = len(mesh.points) > _MANY
    colours = mesh.colours
    return {
        "points": pool.put(np.round((mesh.points - low) / step).astype("<u2")),
        "low": low.tolist(),
        "step": step.tolist(),
        "triangles": pool.put(mesh.triangles.astype("<u4" if wide else "<u2")),
        "wide": wide,
        "colours": None
        if colours is None
        else pool.put(np.round(255 * np.clip(colours, 0.0, 1.0)).astype(np.uint8)),
        "colour": list(surface.colour),
        "rough": surface.rough,
        "metal": surface.metal,
        "both": surface.both,
        "smooth": mesh.smooth,
    }
