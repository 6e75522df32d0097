"""The wood that a box is pictured in: its own, or another for comparison."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from palewright.catalogue.lumber import Stock, shipped_species
from palewright.design import Design
from palewright.reading.errors import InputError, nearest
from palewright_drawings.rendering.wood.species_looks import LOOKS

OWN = "own"
"""Each board in the wood that it is of."""


def wood_known(name: str) -> str:
    """Return a wood's name if there is a look of it.

    Raises:
        InputError: naming what is allowed.
    """
    known = (OWN, *LOOKS)
    if name not in known:
        raise InputError(
            f"no wood '{name}'{nearest(name, known)}; allowed: {', '.join(known)}", key="--lumber"
        )
    return name


def seen_in(design: Design, wood: str = OWN) -> Design:
    """Return the box for pictures only: every board of one wood, or of its own.

    A species of the maker's own, which no look is known of, is drawn as the wood whose colour is
    nearest to it. Sizes, boards and screws stay as they are; weights mean nothing any more.

    Raises:
        InputError: if the parameters cannot be built at all.
    """
    parameters = design.parameters
    own, woods = dict(parameters.stock), dict(parameters.species)
    for stock in {board.stock for board in design.box.boards.values()}:
        look = nearest_look(design, stock) if wood == OWN else wood
        if look != stock.species:
            changed = stock.model_copy(update={"species": look})
            own[parameters.materials.name_of(stock)] = changed
            # a look that is no wood, such as weathered, is drilled as the wood that it is
            if look not in shipped_species():
                woods[look] = parameters.materials.species[stock]
    if own == parameters.stock:
        return design
    # another wood swells otherwise: its gaps would be of another box
    wall = parameters.wall.model_copy(update={"gap": design.box.sizes.gap})
    changes = {"stock": own, "species": woods, "wall": wall}
    return replace(design, parameters=parameters.model_copy(update=changes))


def nearest_look(design: Design, stock: Stock) -> str:
    """Return the look of a stock's wood: its own, else the nearest to its colour."""
    if stock.species in LOOKS:
        return stock.species
    text = design.parameters.materials.species[stock].color
    colour = np.array([int(text[i : i + 2], 16) for i in (1, 3, 5)]) / 255
    far = {
        name: float(np.linalg.norm((np.array(look.early) + np.array(look.late)) / 2 - colour))
        for name, look in LOOKS.items()
    }
    return min(far, key=lambda name: far[name])
