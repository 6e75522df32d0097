"""Sections of the plan as JSON-ready data: needs, cautions, parts, layouts, saw list, family."""

from __future__ import annotations

from collections.abc import Sequence

from palewright.design import Design, design
from palewright.parameters.tables import Parameters
from palewright.reading.errors import InputError
from palewright.reading.lengths import drill_size, in_one_unit
from palewright.sawing.numbered_plans import NumberedPlan
from palewright.sawing.saw_lists import SawLine, SawStep, ready_pieces
from palewright_drawings.documents.plan.layout_pictures import ABOVE, MARGIN_LEFT, layout_picture
from palewright_drawings.documents.plan.numbered_cuts import boards_text
from palewright_drawings.documents.plan.pictures import DENOMINATORS, scale_text
from palewright_drawings.documents.plan.shopping_list import (
    boards_to_buy,
    drills,
    screws_to_buy,
    supplies,
    tools,
)
from palewright_drawings.documents.plan.texts import (
    boards_told,
    ends_text,
    holds_text,
    outside,
    screw_text,
    size_line,
    stock_told,
)
from palewright_drawings.output.json_data import Json
from palewright_drawings.texts.cautions import cautions_of
from palewright_drawings.texts.cut_texts import (
    has_clipped_ends,
    line_made,
    line_places,
    line_size,
    step_heading,
)

LAYOUTS_NOTE = (
    "Each board lies with its square end to the left. A framed number is a cut: its line in the "
    "saw list. Cut in the order of the numbers. 3b is the second block of board 3; grey is left."
)
SAW_NOTE = "Set the saw once a line, make every cut with that number on all boards, tick the line."


def needs(box: Design, plans: list[NumberedPlan], jigs: bool) -> Json:
    """Return what has to be bought and fetched."""
    system = box.parameters.product.units
    bought = boards_to_buy(plans)
    return {
        "boards": [
            {
                "buy": str(one.count + one.spare),
                "meaning": one.stock.meaning or one.name,
                "size": size_line((one.stock.length, one.stock.width, one.stock.thickness), system),
                "share": f"{100 * one.share:.0f} %",
                "note": _boards_note(one.count, one.least, one.spare),
            }
            for one in bought
        ],
        "screws": [
            {
                "screw": screw_text(one.kind),
                "count": str(one.count),
                "buy": str(one.buy),
                "uses": ", ".join(f"{use} {count}" for use, count in one.uses),
            }
            for one in screws_to_buy(box)
        ],
        "drills": [
            {"drill": drill_size(one.diameter, system), "purpose": one.purpose}
            for one in drills(box)
        ],
        "tools": tools(box, jigs),
        "supplies": supplies(box, jigs),
    }


def _boards_note(count: int, least: int, spare: int) -> str:
    """Return how sure the number of boards is."""
    told = f"Of these {count} {'is' if count == 1 else 'are'} cut as the board layouts show"
    if count > least:
        told += f"; at least {least} are needed, and fewer than {count} are not promised"
    else:
        told += ", and no layout could do with fewer"
    return f"{told}; {spare} to spare, for a knot or a split in the wrong place."


def cautions(box: Design) -> list[Json]:
    """Return the cautions that apply."""
    return [{"topic": c.topic, "text": c.text, "because": c.because} for c in cautions_of(box)]


def parts(box: Design) -> list[Json]:
    """Return the parts: mark, how many, sizes, ends, where they go."""
    system = box.parameters.product.units
    several = len({part.stock for part in box.parts}) > 1
    found = []
    for part in box.parts:
        panels: dict[str, int] = {}
        for name in part.boards:
            panel = box.box.boards[name].panel
            panels[panel] = panels.get(panel, 0) + 1
        found.append(
            {
                "mark": part.mark,
                "role": part.role,
                "count": str(part.count),
                "size": size_line((part.length, part.width, part.thickness), system),
                "ends": ends_text(part, system),
                "stock": stock_told(part.stock) if several else "",
                "where": ", ".join(f"{panel} {count}" for panel, count in panels.items()),
            }
        )
    return found


def layout_scale(plan: NumberedPlan, width: float, height: float) -> float:
    """Return the scale at which every board of a stock keeps within a size on paper (mm)."""
    boards = [(one.layout.stock_length, one.layout.stock_width) for one in plan.layouts]
    wide, high = width - MARGIN_LEFT - 1.0, height - ABOVE - 1.0
    return next(
        1 / d for d in DENOMINATORS if all(x / d <= wide and y / d <= high for x, y in boards)
    )


def layouts(plans: list[NumberedPlan], room: tuple[float, float], system: str) -> list[Json]:
    """Return the board layouts, those of one stock at one scale.

    Args:
        plans: numbered.
        room: width and height, mm of paper, that the drawing of one board may take.
        system: ``inch`` or ``metric``.
    """
    found = []
    for plan in plans:
        board, kerf = plan.plan.demand.board, plan.plan.plan.kerf
        scale = layout_scale(plan, *room)
        for one in plan.layouts:
            kept = [size_line((o.length, o.width), system) for o in one.layout.offcuts if o.usable]
            told = boards_text(one.boards)
            found.append(
                {
                    "title": told[0].upper() + told[1:],
                    "scale": scale_text(scale),
                    "stock": stock_told(plan.plan.demand.stock) if len(plans) > 1 else "",
                    "keep": f"keep: {', '.join(kept)}" if kept else "",
                    "drawing": layout_picture(one, board, kerf, scale, system).as_json(),
                }
            )
    return found


def saw_list(plans: list[NumberedPlan], system: str) -> list[Json]:
    """Return the saw list: stocks, their steps, the settings with their numbers."""
    found = []
    for plan in plans:
        steps: list[Json] = []
        for one in plan.steps:
            heading = step_heading(one.step, has_clipped_ends(plan.plan))
            lines = [_saw_line(number, line, one.step, system) for number, line in one.lines]
            steps.append({"heading": heading[0].upper() + heading[1:], "lines": lines})
        ready = ", ".join(f"{m.count} {m.part}" for m in ready_pieces(plan.plan.plan))
        found.append(
            {
                "stock": stock_told(plan.plan.demand.stock) if len(plans) > 1 else "",
                "steps": steps,
                "ready": f"To length as their blocks were cut: {ready}." if ready else "",
            }
        )
    return found


def _saw_line(number: int, line: SawLine, step: SawStep, system: str) -> Json:
    """Return one line of the saw list; the pass that squares ends has no number."""
    return {
        "number": str(number) if number else "",
        "size": line_size(step, line, system),
        "cuts": f"{line.cuts} ×",
        "places": line_places(step, line),
        "made": line_made(line, names=False),
    }


def family(box: Design, related: Sequence[tuple[str, Parameters]]) -> list[Json]:
    """Return the sizes of a box and of its relatives; empty if there are none."""
    if not related:
        return []
    rows = [(box, True)]
    rows += [(design(parameters, name), False) for name, parameters in related]
    return [row for one, this in rows if (row := _family_row(one, this)) is not None]


def _family_row(one: Design, this: bool) -> Json | None:
    """Return one variant's row; None for a relative that cannot be built."""
    try:
        boards = boards_told((p.demand.stock, p.plan.boards) for p in one.board_plans)
        holds = in_one_unit(holds_text(one), one.parameters.product.units)
    except InputError:
        return None
    return {
        "title": one.parameters.product.title,
        "this": this,
        "size": size_line(outside(one.parameters), one.parameters.product.units),
        "boards": boards,
        "holds": holds,
    }
