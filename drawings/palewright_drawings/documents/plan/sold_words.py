"""What a buyer is told: the box at a glance, its weight and strength in a few lines."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from palewright.construction.liners import filling_top, inside_size, soil_bottom
from palewright.design import Design
from palewright.reading.lengths import in_one_unit
from palewright.reading.quantities import print_mass, print_quantity
from palewright.sawing.numbered_plans import NumberedPlan
from palewright_drawings.documents.plan.first_build import first_build_text, skill_text
from palewright_drawings.documents.plan.shopping_list import tilted
from palewright_drawings.documents.plan.texts import (
    boards_told,
    holds_text,
    outside,
    size_line,
)


def at_a_glance(design: Design, plans: Sequence[NumberedPlan] = ()) -> list[tuple[str, str]]:
    """Return what the cover says, as (what, how much).

    Args:
        design: the box.
        plans: how its boards are cut; none where a batch is cut together.
    """
    parameters, sizes = design.parameters, design.box.sizes
    system, weights = parameters.product.units, design.loads.weights
    boards = boards_told((p.plan.demand.stock, p.plan.plan.boards) for p in plans)
    found = [("outside, over the cap", size_line(outside(parameters), system))]
    if parameters.box.kind == "planter":
        deep = max(0.0, filling_top(parameters, sizes) - soil_bottom(parameters, sizes))
        filling = "of soil" if weights.mix.loose else "for pots"
        inside = size_line((*inside_size(sizes), deep), system)
        found.append((f"inside, with the depth {filling}", inside))
    found += [
        ("holds", in_one_unit(holds_text(design), system)),
        *([("cut from", boards)] if plans else []),
        ("put together with", f"{len(design.box.screws)} screws"),
        *([("time for a first one", first_build_text(design, plans))] if plans else []),
        ("skill", skill_text(design)),
    ]
    ripped = any(part.width < part.stock.width - 1e-6 for part in design.parts)
    saws = ["table saw"] * ripped + ["mitre gauge or saw"] * bool(tilted(design.parts)) + ["drill"]
    found.append(("main tools", ", ".join(saws)))
    weight = f"about {print_mass(weights.empty.mass, system)}"
    if weights.filled:
        weight += f"; soaked {print_mass(weights.saturated.mass, system)}"
    found.append(("weight, empty", weight))
    return found


def strength_lines(design: Design) -> list[str]:
    """Return five lines at most on weight, place, wind and wood: what a buyer has to know."""
    system = design.parameters.product.units
    return [in_one_unit(line, system) for line in _lines(design)]


def _lines(design: Design) -> Iterator[str]:
    """Yield the lines, amounts in both units."""
    weights, stance, site = design.loads.weights, design.loads.stance, design.parameters.site
    told = f"Empty it weighs about {print_mass(weights.empty.mass)}"
    if weights.filled:
        told += f", filled and soaked about {print_mass(weights.saturated.mass)}"
    yield f"{told}. Carry it with two, and only empty; fill it where it is to stand."
    if weights.filled and site.stands_on != "ground":
        yield (
            f"Soaked it presses {print_quantity(stance.deck_pressure, 'pressure')} on what it "
            "covers. Before it stands on a deck, balcony or roof, ask somebody licensed what that "
            "carries."
        )
    if math.isfinite(stance.steady_wind):
        state = "Watered" if weights.filled else "Empty"
        yield (
            f"{state} it stands in a wind of {print_quantity(stance.steady_wind, 'speed')}, with "
            "room to spare; where it blows harder, or where a child may climb on it, tie it to "
            "something firm."
        )
    lives = {
        design.parameters.materials.species[board.stock].life
        for board in design.box.boards.values()
    }
    for life in sorted(lives - {""}):
        # where a saying comes from is the bench edition's
        told = life.removesuffix(" (common practice, no source)")
        yield f"{told[0].upper()}{told[1:]}."
    yield "Strength was checked after published formulas; local code and licensed practice decide."
