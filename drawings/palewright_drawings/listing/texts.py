"""Words that listing, captions and gallery share: sizes in both units, what it is, its wood."""

from __future__ import annotations

import numpy as np

from palewright.design import Design
from palewright.reading.lengths import centimetres, millimetres, own_unit_first, shop_inches

_SMALL = 30.0
"""Lengths below it (mm) are told in whole millimetres."""


def both(length: float) -> str:
    """Return a length (mm) as customers read it: inches to a sixteenth, and cm or mm.

    ``own_unit_first`` turns a text of them round for a metric shop.
    """
    metric = millimetres(length, 0) if length < _SMALL else centimetres(length)
    return f"{shop_inches(length, 16)} ({metric})"


def overall(design: Design) -> tuple[float, float, float]:
    """Return width, depth and height over everything, mm."""
    corners = np.array([c for board in design.box.boards.values() for c in board.corners])
    x, y, z = (float(value) for value in np.ptp(corners, axis=0))
    return x, y, z


def size_line(design: Design) -> str:
    """Return the overall size in a sentence's words."""
    wide, deep, tall = overall(design)
    told = f"{both(wide)} wide, {both(deep)} deep, {both(tall)} high"
    return own_unit_first(told, design.parameters.product.units)


def overall_size(design: Design) -> str:
    """Return the overall size in one line: width x depth x height, in both units."""
    sizes = overall(design)
    inches = " x ".join(shop_inches(size, 16).removesuffix(" in") for size in sizes)
    metric = " x ".join(centimetres(size).removesuffix(" cm") for size in sizes)
    return own_unit_first(f"{inches} in ({metric} cm)", design.parameters.product.units)


def kind_words(design: Design) -> str:
    """Return what it is, for a customer."""
    parameters = design.parameters
    if parameters.box.kind == "tree":
        return "tree-stand box"
    what = "herb planter" if grows_herbs(design) else "planter"
    return f"{what} with a trellis" if parameters.trellis.fit else what


def grows_herbs(design: Design) -> bool:
    """Whether herbs grow in it, in pictures and words."""
    return design.parameters.product.grows == "herbs"


def wood_words(design: Design) -> str:
    """Return the woods it is made of, in alphabetical order."""
    found = sorted({board.stock.species for board in design.box.boards.values()})
    return " and ".join(species.replace("-", " ") for species in found)


def name_words(name: str) -> str:
    """Return the name of a wood or a finish as words."""
    return name.replace("-", " ")


def finish_words(finish: str) -> str:
    """Return a finish as words; empty for none."""
    return "" if finish == "bare" else name_words(finish)
