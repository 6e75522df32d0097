"""Shipped boxes in the scenes that they are pictured in, each set up once in a process."""

from __future__ import annotations

from functools import cache

from palewright_drawings.listing.rendered_picture import SCENES, box_points
from palewright_drawings.rendering.scene.scene import Scene
from palewright_drawings.rendering.tracer.cameras import VIEWS, framing_of
from palewright_drawings.rendering.wood.species_looks import FINISHES
from shipped_designs import shipped

DENSITY = 0.1
"""Pixels a mm of wood: a look at its noise asks for so many, and where things stand for none."""


@cache
def scene_of(name: str, scene: str) -> Scene:
    """Return a shipped variant's scene, set up for a square picture."""
    framing = framing_of(box_points(shipped(name)), VIEWS["hero"], 100, 100)
    return SCENES[scene](shipped(name), FINISHES["bare"], DENSITY, framing)
