"""The words of a listing, as the seller says them: from the design's facts, with slots to fill in.

A fact is said only where the design holds it. What a design cannot know (what the wood was treated
with, lead time, shipping, the maker's own line) is a slot: ``[FILL IN: what to write]``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from palewright.design import Design
from palewright.reading.lengths import INCH, own_unit_first
from palewright.reading.quantities import CUBIC_FOOT, print_mass, print_quantity
from palewright_drawings.json_reports.report import wood_as_json
from palewright_drawings.listing.texts import (
    both,
    finish_words,
    grows_herbs,
    kind_words,
    name_words,
    overall_size,
    size_line,
    wood_words,
)
from palewright_drawings.texts.cautions import cautions_of

SPACING = 8 * INCH
"""From one plant to the next, mm: herbs and bedding plants (common practice, no source)."""

_RAISED = 5 * INCH
"""A floor higher above the ground (mm) is one that saves soil: a judgement."""

_CARE = "Outdoors, wood moves and greys. Brush it clean and let it dry out now and then."
_CARE_PLANTED = "Water until it drains, and keep the gaps in the floor open."
_MOCK_UP = (
    "Pictures are computed from the drawings: grain and colour of real boards differ, and plants, "
    "trees, lights, pots, cans and parcels do not come with the box."
)

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


def slot(what: str) -> str:
    """Return a place that the maker fills in, marked so that none is overlooked."""
    return f"[FILL IN: {what}]"


SLOT = re.compile(r"\[FILL IN: [^\]]+\]")
"""Such a place in a text."""


def empty_mass(design: Design) -> float:
    """Return the mass (kg) of the drilled boards, as the plan's cover says it."""
    return wood_as_json(design)["empty_mass_kg"]


def listing_text(design: Design, finish: str = "bare", wood: str = "") -> str:
    """Return the listing's words: what sells first, the table of facts after, slots between.

    Args:
        design: what is offered.
        finish: that it is pictured in, by name.
        wood: that it is pictured in; empty: its own.
    """
    sections = {
        "Why you will like it": list(_benefits(design)),
        "Size": list(_sizes(design)),
        "Weight": list(_weights(design)),
        "What you get": list(_included(design)),
        "Wood and finish": [*_wood(design, finish, wood), *_treatment(design)],
        "Making and shipping": list(_shipping(design)),
        "Care": list(_care(design)),
        "Please note": [*_notes(design), _MOCK_UP],
    }
    parts = [
        "\n".join([head, *(f"- {line}" for line in lines)]) for head, lines in sections.items()
    ]
    body = "\n\n".join([_title(design), "\n".join(_lead(design)), *parts])
    body = own_unit_first(body, design.parameters.product.units)
    return f"{_to_do(body)}\n\n{body}\n"


def _to_do(body: str) -> str:
    """Return the line that goes before anybody buys."""
    count = len(SLOT.findall(body))
    return (
        f"Draft: write your own words in the {count} places that begin with [FILL IN, "
        "then take this line out."
    )


def _title(design: Design) -> str:
    return (
        f"{design.parameters.product.title}: {kind_words(design)} of {wood_words(design)}, "
        f"{overall_size(design)}"
    )


def _lead(design: Design) -> Iterator[str]:
    """Yield what it is for, in a sentence, and the maker's own line."""
    parameters, soil = design.parameters, design.loads.weights.soil
    if parameters.box.kind == "tree":
        yield (
            "Your tree stands in it and nobody sees the stand: four boarded sides, and a cap that "
            "frames the trunk."
        )
    elif parameters.site.soil == "pots":
        yield (
            "Set your pots in and change them with the season: what you see is wood, what you "
            "water stays a pot."
        )
    elif design.loads.weights.filled:
        count = plants(soil.width, soil.depth)
        what = "herbs" if grows_herbs(design) else "plants"
        places = f"{count} {what}" if count > 1 else f"one of your {what}"
        apart = f"{both(SPACING)} from one to the next"
        yield f"Room for {places}, {apart}, in {volume_words(soil.volume)} of soil."
    yield slot("one line of your own: who it is for, where you have seen it stand")


def volume_words(litres: float) -> str:
    """Return a volume (litres) in both units, such as ``1.9 cubic feet (54 litres)``."""
    return f"{litres / CUBIC_FOOT:.1f} cubic feet ({litres:.0f} litres)"


def plants(width: float, depth: float) -> int:
    """Return how many plants stand in a bed (mm) at ``SPACING``, each in a square of its own."""
    rows = [max(1, int(side / SPACING + 1e-6)) for side in (width, depth)]
    return rows[0] * rows[1]


def _benefits(design: Design) -> Iterator[str]:
    """Yield what a buyer gains, each from a fact of the design."""
    parameters, sizes = design.parameters, design.box.sizes
    tree = parameters.box.kind == "tree"
    if tree and parameters.tree.halves:
        yield "Its back opens: I made it to close round a tree that already stands."
    elif tree:
        yield "You lower it over the stand before the tree goes in."
    if parameters.floor.kind != "none":
        gap = both(parameters.floor.gap)
        yield f"I leave gaps of {gap} between the boards of its floor: water drains."
    if parameters.liner.fit:
        yield "I line it: wet soil never touches the boards. The pictures do not show the liner."
    rise = design.loads.weights.soil.bottom
    if design.loads.weights.filled and parameters.site.soil != "pots" and rise > _RAISED:
        yield (
            f"I raised its floor to {both(rise)} above the ground: tall to look at, with less soil "
            "to buy and to carry."
        )
    if parameters.trellis.fit:
        high = both(parameters.trellis.height)
        yield f"Its ladder reaches {high} above the box, drops in and lifts out."
    if sizes.foot > 0:
        air = both(sizes.foot)
        yield f"It stands on its corners: {air} of air below the walls lets the wood dry."
    yield (
        f"I build its walls in two layers, a frame on staves, {both(2 * sizes.board.thickness)} "
        f"together, with {len(design.box.screws)} screws and no nails."
    )


def _sizes(design: Design) -> Iterator[str]:
    parameters, soil = design.parameters, design.loads.weights.soil
    yield f"Overall: {size_line(design)}."
    if parameters.box.kind == "tree":
        tree = parameters.tree
        yield (
            f"Takes a stand up to {both(tree.stand_diameter)} across and "
            f"{both(tree.stand_height)} high, and a trunk up to {both(tree.trunk_diameter)} thick."
        )
    elif design.loads.weights.filled:
        inside = f"{both(soil.width)} x {both(soil.depth)}, {both(soil.height)} deep"
        room = f"about {volume_words(soil.volume)}"
        if parameters.site.soil == "pots":
            yield f"Inside: {inside}: {room} for pots that stand in it, not for loose soil."
        else:
            yield f"Room for soil: {inside}, {room}."


def _weights(design: Design) -> Iterator[str]:
    weights, stance = design.loads.weights, design.loads.stance
    empty = empty_mass(design)
    hands = "better lifted by two" if empty > stance.alone else "one person carries it"
    yield f"Empty: about {print_mass(empty)}; {hands}."
    if weights.filled:
        pressed = print_quantity(stance.deck_pressure, "pressure")
        pots = design.parameters.site.soil == "pots"
        filled = "pots of soaked soil" if pots else f"soaked soil ({weights.mix.meaning})"
        yield f"Filled with {filled}: about {print_mass(weights.saturated.mass)}."
        yield f"It then presses with about {pressed} on what it stands on."


def _included(design: Design) -> Iterator[str]:
    parameters = design.parameters
    boards, screws = len(design.box.boards), len(design.box.screws)
    coating = _SCREWS[parameters.screws.coating]
    yield f"The {kind_words(design)}: {boards} boards, {screws} {coating}."
    if parameters.trellis.fit:
        yield "The trellis, a part of its own."
    if parameters.floor.kind == "none":
        yield "No floor."
    else:
        yield "A slatted floor."
    if parameters.liner.fit:
        yield "A liner."
    left_out = "tree, stand, lights" if parameters.box.kind == "tree" else "plants, soil"
    yield f"Not included: {left_out}."


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
        said = specified.replace("[", "(").replace("]", ")")
        shown = finish_words(finish) or "bare wood"
        found.append(
            slot(f"which finish a buyer gets: the pictures show {shown}, your plan says: {said}")
        )
    elif finish_words(finish) and not specified:
        found.append("The pictures show a finish; this box gets none.")
    return found


def _treatment(design: Design) -> Iterator[str]:
    """Yield the slots on what is on the wood: a buyer who eats what grows asks that first."""
    treated = any(
        design.parameters.materials.species[board.stock].treated
        for board in design.box.boards.values()
    )
    food = bool(design.loads.weights.filled)
    if treated and food:
        yield slot(
            "what the yard says that the boards are treated with, and whether it suits soil for "
            "food plants"
            + (" behind a liner" if design.parameters.liner.fit else ": this box has no liner")
        )
    elif treated:
        yield slot("what the yard says that the boards are treated with")
    elif food:
        yield slot("what is on the wood, and whether it suits soil for food plants")
    yield slot("the finishes that you offer")


def _shipping(design: Design) -> Iterator[str]:
    yield slot("lead time: how many days until it leaves your shop")
    yield slot("shipping: where you deliver, what it costs, whether it can be fetched")
    yield (
        f"It travels as one piece of {overall_size(design)} and {print_mass(empty_mass(design))}, "
        "before packing."
    )
    yield slot("what a buyer does if something arrives damaged")


def _care(design: Design) -> Iterator[str]:
    yield _CARE
    if design.loads.weights.filled:
        yield _CARE_PLANTED
    yield slot("care: with what, and how often, your finish is renewed")


def _notes(design: Design) -> Iterator[str]:
    for one in cautions_of(design):
        if one.topic not in MAKERS:
            yield BUYERS.get(one.topic, one.text)
