"""Colours of a mesh's points as a picture: the path tracer reads colours of copies only from one.

A colour kept with a point is looked up by place, which is wrong in a copy that stands elsewhere
(measured with mitsuba 3.9: colours far below zero). A place in a picture travels with the copy.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Patched:
    """A mesh cut into its triangles, and a picture that colours them.

    Attributes:
        corners: (3 m,), the point that each corner was.
        triangles: (m, 3).
        places: (3 m, 2), from the left and from the top, 0 to 1.
        picture: (height, width, 3).
    """

    corners: Ints
    triangles: Ints
    places: Floats
    picture: Floats


def patched(triangles: Ints, colours: Floats) -> Patched:
    """Return a picture of two by two dots a triangle.

    Read between the middles of its dots such a patch is linear where its fourth dot completes the
    plane through the other three: so colours run over a triangle as they do between its corners.

    Args:
        triangles: (m, 3) indices.
        colours: (n, 3) of the points.
    """
    count = len(triangles)
    across = max(1, math.ceil(math.sqrt(count)))
    down = math.ceil(count / across)
    picture = np.zeros((2 * down, 2 * across, 3))
    row, column = np.divmod(np.arange(count), across)
    a, b, c = (colours[triangles[:, i]] for i in range(3))
    picture[2 * row, 2 * column] = a
    picture[2 * row, 2 * column + 1] = b
    picture[2 * row + 1, 2 * column] = c
    picture[2 * row + 1, 2 * column + 1] = np.maximum(b + c - a, 0.0)
    places = np.zeros((count, 3, 2))
    for i, (right, low) in enumerate(((0, 0), (1, 0), (0, 1))):
        places[:, i, 0] = (2 * column + right + 0.5) / (2 * across)
        places[:, i, 1] = (2 * row + low + 0.5) / (2 * down)
    corners = triangles.reshape(-1)
    return Patched(corners, np.arange(3 * count).reshape(-1, 3), places.reshape(-1, 2), picture)
