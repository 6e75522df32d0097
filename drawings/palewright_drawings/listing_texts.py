"""Words of a listing, from the design's facts only: title, sizes, weights, care, cautions."""

from __future__ import annotations

import numpy as np

from palewright.design import Design
from palewright.measures import print_mass
from palewright.units import shop_inches
from palewright_drawings.cautions import cautions_of

_CARE = (
    "Outdoors, wood moves and greys. Brush it clean, let it dry out now and then, and renew paint "
    "or oil when water no longer beads on it."
)
_WORKSHOP = frozenset({"saws", "narrow rips"})
"""Cautions for who makes a box, not for who buys it."""

_MOCK_UP = "Pictures are computed from the drawings; grain and colour of real boards differ."


def both(length: float) -> str:
    """Return a length (mm) as customers read it: inches to a sixteenth, and centimetres."""
    return f"{shop_inches(length, 16)} ({length / 10:.1f} cm)"


def overall(design: Design) -> tuple[float, float, float]:
    """Return width, depth and height over everything, mm."""
    corners = np.array([c for board in design.box.boards.values() for c in board.corners()])
    x, y, z = (float(value) for value in np.ptp(corners, axis=0))
    return x, y, z


def size_line(design: Design) -> str:
    """Return the overall size in one line."""
    wide, deep, tall = overall(design)
    return f"{both(wide)} wide, {both(deep)} deep, {both(tall)} high"


def kind_words(design: Design) -> str:
    """Return what it is, for a customer."""
    parameters = design.parameters
    if parameters.box.kind == "tree":
        return "tree-stand box"
    return "planter with a trellis" if parameters.trellis.fit else "planter"


def wood_words(design: Design) -> str:
    """Return the woods it is made of, in alphabetical order."""
    found = sorted({board.stock.species for board in design.box.boards.values()})
    return " and ".join(species.replace("-", " ") for species in found)


def listing_text(design: Design) -> str:
    """Return a draft of the listing: facts that the design gives, and nothing else."""
    parameters = design.parameters
    weights = design.loads.weights
    mass = weights.empty.mass
    lines = [
        f"{parameters.product.title}: {kind_words(design)} of {wood_words(design)}",
        "",
        f"Overall: {size_line(design)}.",
        f"Weight, empty: about {print_mass(mass)}.",
    ]
    if weights.filled:
        soaked, litres = weights.saturated.mass, weights.soil.volume
        lines += [
            f"Filled with soaked soil: about {print_mass(soaked)}.",
            f"Holds about {litres:.0f} litres.",
        ]
    boards, screws = len(design.box.boards), len(design.box.screws)
    included = f"Made of {boards} boards and {screws} screws."
    if parameters.box.kind == "tree":
        lines += [included, "Not included: tree, stand, lights."]
    else:
        lines += [included, "Not included: plants, soil."]
    lines += ["", "Care", _CARE, "", "Please note", _MOCK_UP]
    lines += [f"- {one.text}" for one in cautions_of(design) if one.topic not in _WORKSHOP]
    return "\n".join(lines) + "\n"
