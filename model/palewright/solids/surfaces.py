"""The solids as surfaces of triangles. The model's only door to trimesh.

Each shape is tessellated once and placed as often as it occurs. The second opinion is formed on
these surfaces, and STL and glTF are written from them: what is proved is what is written.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from palewright.construction.boards import Placement
from palewright.solids.kernel_solids import Solids, tessellated

if TYPE_CHECKING:
    import trimesh

    Surface: TypeAlias = trimesh.Trimesh


class Surfaces:
    """The closed surfaces of some boards' solids, holes included, mm."""

    def __init__(self, solids: Solids) -> None:
        """Take the solids; nothing is tessellated yet."""
        self.solids = solids
        self._shapes: dict[object, Surface] = {}

    def own(self, name: str) -> Surface:
        """Return a board's surface in the board's own frame: corners that agree are one vertex."""
        import trimesh

        key = self.solids.boards[name].shape_key
        if key not in self._shapes:
            points, triangles = tessellated(self.solids.shape(name))
            surface = trimesh.Trimesh(points, triangles, process=False)
            surface.merge_vertices()
            self._shapes[key] = surface
        return self._shapes[key]

    def points(self, name: str) -> NDArray[np.float64]:
        """Return the vertices (n, 3) of a board's surface where it stands in the box, mm."""
        turn = matrix(self.solids.boards[name].placement)
        found: NDArray[np.float64] = np.asarray(self.own(name).vertices) @ turn[:3, :3].T
        return found + turn[:3, 3]

    def placed(self, name: str) -> Surface:
        """Return a board's surface where it stands in the box.

        Made anew, since trimesh keeps of each surface that was looked at five times as much as its
        vertices take.
        """
        import trimesh

        return trimesh.Trimesh(self.points(name), self.own(name).faces, process=False)

    def shared_volume(self, first: str, second: str) -> float:
        """Return the volume (mm³) that two boards share, by the manifold engine."""
        import trimesh

        pair = [self.placed(first), self.placed(second)]
        low = np.max([surface.bounds[0] for surface in pair], axis=0)
        high = np.min([surface.bounds[1] for surface in pair], axis=0)
        # the engine takes single precision, 0.03 mm³ for each thousand mm² that touch a foot from
        # the origin: where the two meet becomes the origin, so that faces that touch lie in it
        near = [surface.copy().apply_translation(-(low + high) / 2) for surface in pair]
        shared = trimesh.boolean.intersection(near, engine="manifold", check_volume=False)
        return signed_volume(shared.triangles)


def signed_volume(triangles: NDArray[Any]) -> float:
    """Return the volume (mm³) inside closed triangles (n, 3, 3); 0 for none."""
    a, b, c = np.asarray(triangles, dtype=np.float64).reshape(-1, 3, 3).transpose(1, 0, 2)
    return float(np.einsum("nk,nk->", a, np.cross(b, c)) / 6)


def matrix(placement: Placement) -> NDArray[np.float64]:
    """Return a placement as a 4 × 4 matrix from the board's frame to the box's, mm."""
    full = np.eye(4)
    full[:3, 0], full[:3, 1], full[:3, 2] = placement.grain, placement.across, placement.normal
    full[:3, 3] = placement.origin
    return full
