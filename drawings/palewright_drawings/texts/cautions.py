"""Cautions: what can hurt someone who makes or uses the box, each printed only where it applies.

General text that defers to makers' manuals, local code and licensed practice.
"""

from __future__ import annotations

from dataclasses import dataclass

from palewright.design import Design
from palewright.reading.lengths import INCH, print_length
from palewright.reading.quantities import print_quantity

NARROW = 2 * INCH
"""Parts ripped narrower than this (mm) bring a hand near the blade (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution: a short topic, what it says, and why it is printed for this design."""

    topic: str
    text: str
    because: str


_SAW = (
    "Saws and drills cut flesh as readily as wood. Wear eye and ear protection, use the guard, "
    "clamp the work, and follow the manual of the machine and local rules for workshops."
)
_NARROW = (
    "Ripping narrow strips brings hands near the blade and can throw the strip back. Use a push "
    "stick, a splitter or riving knife and a feather board, or rip from a wide board and leave "
    "the strip on the far side of the blade."
)
_TREATED = (
    "Treated wood: wear gloves and a dust mask, saw outdoors or with extraction, wash before "
    "eating, never burn offcuts, and take waste where local rules say. Ask the seller of the wood "
    "whether its treatment suits soil for food plants."
)
_WEIGHT = (
    "Wet soil is heavy. Before a filled box stands on a deck, balcony or roof, have somebody "
    "licensed to judge it say what that floor carries; lift it only empty, or with help."
)
_TIPPING = (
    "A box can tip over in wind, more so with a trellis or a tree, and when a child climbs it. "
    "Fill it low and heavy, stand it level, and tie it to something firm; local code may ask for "
    "more."
)
_TREE = (
    "A cut tree dries out and burns fast. The box is no stand: the stand alone must hold the tree. "
    "Keep it watered, away from heat and exits, use only lights that are listed for the place, "
    "switch them off when nobody is there, and follow local fire rules."
)


def cautions_of(design: Design) -> list[Caution]:
    """Return the cautions that apply to a design, in the order in which it is worked on.

    Raises:
        InputError: if the parameters cannot be built at all.
    """
    parameters, parts = design.parameters, design.parts
    found = [Caution("saws", _SAW, "boards are cut to size and drilled")]
    narrow = [p.mark for p in parts if p.width < min(NARROW, p.stock.true_width - 0.01)]
    if narrow:
        found.append(Caution("narrow rips", _NARROW, f"narrow strips: {', '.join(narrow)}"))
    woods = [(p.stock.species, parameters.materials.species[p.stock]) for p in parts]
    treated = sorted({wood.meaning or name for name, wood in woods if wood.treated})
    if treated:
        found.append(Caution("treated wood", _TREATED, f"cut from {', '.join(treated)}"))
    box = parameters.box
    if box.kind == "planter":
        load = "soil" if design.loads.weights.mix.loose else "pots"
        found.append(Caution("filled weight", _WEIGHT, f"the box is filled with {load}"))
    tips = _tips(design)
    if tips:
        found.append(Caution("tipping over", _TIPPING, tips))
    if box.kind == "tree":
        found.append(Caution("cut tree", _TREE, "a cut tree stands in it"))
    return found


def _tips(design: Design) -> str:
    """Return what tips the box over, with its numbers; empty where nothing that is asked does."""
    loads, told = design.loads, []
    stance = loads.stance
    if loads.falls_in_wind:
        told.append(f"a wind of {print_quantity(stance.wind, 'speed')}")
    if loads.falls_by_pull:
        at = print_length(stance.pull_height, design.parameters.product.units)
        told.append(f"a level pull of {print_quantity(stance.pull, 'force')} {at} up")
    state = "watered, " if loads.weights.filled else ""
    return f"{state}{' or '.join(told)} tips it" if told else ""
