"""Words of a listing, from the design's facts only: title, sizes, weights, care, cautions."""

from __future__ import annotations

import re

import numpy as np

from palewright.design import Design
from palewright.reading.lengths import centimetres, millimetres, shop_inches
from palewright.reading.quantities import print_mass, print_quantity
from palewright_drawings.json_reports.report import wood_as_json
from palewright_drawings.texts.cautions import cautions_of

CUBIC_FOOT = 28.316846592
"""Litres: exact, from the inch of 25.4 mm."""

_CARE = (
    "Outdoors, wood moves and greys. Brush it clean, let it dry out now and then, and renew paint "
    "or oil when water no longer beads on it."
)
_CARE_PLANTED = "Water until it drains, and keep the gaps in the floor open."
_MOCK_UP = (
    "Pictures are computed from the drawings: grain and colour of real boards differ, and plants, "
    "trees, lights, pots, cans and parcels do not come with the box."
)

_FOOD = "Ask the seller whether the treatment suits soil for food plants"
_LINED = "; the liner keeps it off the boards."
_UNLINED = ", and line the box for those."

MAKERS = frozenset({"saws", "narrow rips"})
"""Topics of cautions for who makes a box, not for who buys it."""

BUYERS = {
    "treated wood": "The wood is treated with a preservative: never burn it, and wear gloves and "
    "a dust mask if you saw or sand it.",
    "filled weight": "Wet soil is heavy. Before it stands filled on a deck, balcony or roof, have "
    "somebody licensed to judge it say what that floor carries. Place it before you fill it; do "
    "not lift it filled.",
    "tipping over": "It can tip over in wind or when a child climbs it: stand it level, fill it "
    "low and heavy, and tie it to something firm.",
    "cut tree": "A cut tree dries out and burns fast. The box is no stand: the stand alone must "
    "hold the tree. Keep the tree watered, away from heat and exits, use only lights that are "
    "listed for the place, switch them off when nobody is there, and follow local fire rules.",
}
"""Cautions by topic, said to a buyer; a topic that is not here is said as to the maker."""

_SCREWS = {
    "rated": "coated screws, rated for treated wood",
    "hot-dip": "hot-dip galvanized screws",
    "stainless": "stainless steel screws",
    "zinc": "zinc-plated screws",
    "plain": "plain steel screws",
}


_SMALL = 30.0
"""Lengths below it (mm) are told in whole millimetres."""


def both(length: float) -> str:
    """Return a length (mm) as customers read it: inches to a sixteenth, and cm or mm."""
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
    return f"{both(wide)} wide, {both(deep)} deep, {both(tall)} high"


def overall_size(design: Design) -> str:
    """Return the overall size in one line: width x depth x height, in both units."""
    sizes = overall(design)
    inches = " x ".join(shop_inches(size, 16).removesuffix(" in") for size in sizes)
    return f"{inches} in ({' x '.join(centimetres(size).removesuffix(' cm') for size in sizes)} cm)"


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


def empty_mass(design: Design) -> float:
    """Return the mass (kg) of the drilled boards, as the plan's cover says it."""
    return float(str(wood_as_json(design)["empty_mass_kg"]))


def listing_text(design: Design, finish: str = "bare", wood: str = "") -> str:
    """Return a draft of the listing: facts that the design gives, and nothing else.

    Args:
        design: what is offered.
        finish: that it is pictured in, by name.
        wood: that it is pictured in; empty: its own.
    """
    sections = {
        "Size": _sizes(design),
        "Weight": _weights(design),
        "What you get": _included(design),
        "Wood": _wood(design, finish, wood),
        "Care": [_CARE, *([_CARE_PLANTED] if design.loads.weights.filled else [])],
        "Please note": [*_notes(design), _MOCK_UP],
    }
    title = f"{design.parameters.product.title}: {kind_words(design)} of {wood_words(design)}"
    parts = ["\n".join([head, *(f"- {line}" for line in lines)])
             for head, lines in sections.items()]  # fmt: skip
    return "\n\n".join([title, *parts]) + "\n"


def _sizes(design: Design) -> list[str]:
    parameters, soil = design.parameters, design.loads.weights.soil
    found = [f"Overall: {size_line(design)}."]
    if parameters.box.kind == "tree":
        tree = parameters.tree
        found += [
            f"Takes a stand up to {both(tree.stand_diameter)} across and "
            f"{both(tree.stand_height)} high, and a trunk up to {both(tree.trunk_diameter)} thick.",
            "Its back opens: it closes round a tree that already stands."
            if tree.halves
            else "It is lowered over the stand before the tree goes in.",
        ]
    elif design.loads.weights.filled:
        litres = soil.volume
        inside = f"{both(soil.width)} x {both(soil.depth)}, {both(soil.height)} deep"
        room = f"about {litres:.0f} litres ({litres / CUBIC_FOOT:.1f} cubic feet)"
        if parameters.site.soil == "pots":
            found.append(f"Inside: {inside}: {room} for pots that stand in it, not for loose soil.")
        else:
            found.append(f"Room for soil: {inside}, {room}.")
    return found


def _weights(design: Design) -> list[str]:
    weights, stance = design.loads.weights, design.loads.stance
    empty = empty_mass(design)
    found = [f"Empty: about {print_mass(empty)}."]
    if empty > stance.alone:
        found.append("Better lifted by two people.")
    if weights.filled:
        pressed = print_quantity(stance.deck_pressure, "pressure")
        pots = design.parameters.site.soil == "pots"
        filled = "pots of soaked soil" if pots else f"soaked soil ({weights.mix.meaning})"
        found += [
            f"Filled with {filled}: about {print_mass(weights.saturated.mass)}.",
            f"It then presses with about {pressed} on what it stands on.",
        ]
    return found


def _included(design: Design) -> list[str]:
    parameters = design.parameters
    boards, screws = len(design.box.boards), len(design.box.screws)
    found = [f"The {kind_words(design)}: {boards} boards, {screws} "
             f"{_SCREWS[parameters.screws.coating]}."]  # fmt: skip
    if parameters.trellis.fit:
        found.append("The trellis is a part of its own: it drops in and lifts out.")
    if parameters.floor.kind == "none":
        found.append("No floor.")
    else:
        found.append(f"A slatted floor that drains: gaps of {both(parameters.floor.gap)}.")
    if parameters.liner.fit:
        found.append("A liner, which keeps wet soil off the boards. The pictures do not show it.")
    left_out = "tree, stand, lights" if parameters.box.kind == "tree" else "plants, soil"
    found.append(f"Not included: {left_out}.")
    return found


def _wood(design: Design, finish: str, wood: str) -> list[str]:
    found = []
    for stock in sorted({b.stock for b in design.box.boards.values()}, key=lambda s: s.meaning):
        meaning = design.parameters.materials.species[stock].meaning or stock.species.replace(
            "-", " "
        )
        line = f"Boards {both(stock.thickness)} thick: {meaning}."
        if line not in found:
            found.append(line)
    shown = finish_words(finish) or "bare wood, no finish"
    pictured = f"{name_words(wood)}, {shown}" if wood else shown
    return [*found, f"Pictured: {pictured}.", *_differences(design, finish, wood)]


def _differences(design: Design, finish: str, wood: str) -> list[str]:
    """Return what the pictures show otherwise than the box is specified.

    A maker describes a finish in words of their own: it is the one pictured if they name it.
    """
    found, specified = [], design.parameters.plan.finish.strip()
    if wood and name_words(wood) != wood_words(design):
        found.append(f"The pictures show another wood than this box is of: {wood_words(design)}.")
    asked = {word for word in re.split(r"\W+", specified.lower()) if word}
    named = set((finish_words(finish) or "no finish").split()) <= asked
    if specified and not named:
        found.append(f"The pictures show another finish than this box gets: {specified}")
    elif finish_words(finish) and not specified:
        found.append("The pictures show a finish; this box gets none.")
    return found


def name_words(name: str) -> str:
    """Return the name of a wood or a finish as words."""
    return name.replace("-", " ")


def finish_words(finish: str) -> str:
    """Return a finish as words; empty for none."""
    return "" if finish == "bare" else name_words(finish)


def _notes(design: Design) -> list[str]:
    found = []
    for one in cautions_of(design):
        if one.topic not in MAKERS:
            found.append(BUYERS.get(one.topic, one.text))
        if one.topic == "treated wood" and design.loads.weights.filled:
            found[-1] += f" {_FOOD}{_LINED if design.parameters.liner.fit else _UNLINED}"
    return found
