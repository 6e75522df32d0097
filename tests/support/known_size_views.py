"""A box is looked at with its sizes beside it once in a process, from each shape of picture.

To find room for the labels takes a third of a second a picture. `test_picture_graphics` holds
views to what they must be; what lists a box again and again asks for the same one.
"""

from __future__ import annotations

from typing import Any

from asked_once import asked_instead
from palewright.geometry.arrays import Floats
from palewright_drawings.listing import shots
from palewright_drawings.listing.size_camera import SizeView, sized_view

_KNOWN: dict[tuple[Any, ...], SizeView] = {}
"""Views by all that was asked."""


def known_size_view(points: Floats, width: int, height: int, system: str = "inch") -> SizeView:
    """Return what `sized_view` returns."""
    key = points.shape, points.tobytes(), width, height, system
    if key not in _KNOWN:
        _KNOWN[key] = sized_view(points, width, height, system)
    return _KNOWN[key]


equal_size_views_once = asked_instead(shots, "sized_view", known_size_view)
"""Have the listings of this process ask `known_size_view`."""
