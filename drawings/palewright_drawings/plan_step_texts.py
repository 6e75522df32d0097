"""What a step says: what to take up, where the screws go, what to watch for."""

from __future__ import annotations

import re
from collections.abc import Iterator

from palewright.assembly_steps import AssemblyStep
from palewright.boards import Board
from palewright.design import Design
from palewright.step_facts import step_measures, step_presses, step_screws
from palewright.units import print_length
from palewright_drawings.plan_steps import (
    ScrewGroup,
    places_along,
    places_text,
    screw_groups,
)
from palewright_drawings.plan_texts import screw_text

_HINTS = (
    ("lay the frame out", "On a flat bench. Close every joint, square it, and clamp it."),
    ("turn the panel over", "Drill and sink from the outer face."),
    ("lay the uprights", "Lower ends in one line."),
    ("lay the front panel down", "The front lies on its outer face, on packing that keeps it "
     "level. Each side stands on end in its lip, its outer face flush with the stile's edge."),
    ("stand the box on its feet", "Clamp, square, drill, drive."),
    ("seat the back", "Measure both diagonals of the box: equal is square. Clamp, drill, drive."),
    ("drop the slat", "Loose, not screwed: they lift out to be cleaned. Leave the same gap "
     "between all."),
    ("slide the slat", "Between the posts, one after the other; leave the same gap between all."),
    ("screw the slat", "Turn the box over. Leave the same gap between all."),
    ("screw the packers", "Upright, each behind its trellis upright."),
    ("lay the cap on", "Lay all four boards loose, close the corners, even the overhang all "
     "round, then drill, sink and drive."),
    ("lay on three", "Front and sides only; lay the back board on loose to close the corners."),
    ("slide the open", "Two people: lift it, do not drag it. The stand holds the tree, not the "
     "box."),
    ("close the back", "The back panel and its cap board close the box; these screws come out "
     "again when the tree goes."),
    ("lower the box", "Before the tree goes into its stand."),
    ("drop the trellis", "The uprights go down behind the cap, in front of their packers."),
)  # fmt: skip
"""What to watch for in a step, by how its text begins."""


_UNIT = re.compile(r"(\d) (in|mm)\b")
"""An amount and its unit: they stay together at the end of a line."""


def step_lines(design: Design, step: AssemblyStep) -> list[str]:
    """Return the sentences of a step, in the order of work."""
    lines = [hint for start, hint in _HINTS if step.text.startswith(start)][:1]
    for press in step_presses(step, design.box):
        if press.kind == "glue":
            lines.append(f"{press.text[0].upper()}{press.text[1:]}, with glue for outdoors.")
        elif press.kind == "bed":
            lines.append(
                f"{press.text[0].upper()}{press.text[1:]} in a bead of construction adhesive for "
                "outdoors: it fills the gaps where boards differ in thickness. Drive the screws "
                "only until the board lies on the thickest of them."
            )
    lines += [*_measures(design, step), *_placed(design, step), *_spaced(design, step)]
    return [_UNIT.sub("\\1\u00a0\\2", line) for line in lines]


def _measures(design: Design, step: AssemblyStep) -> Iterator[str]:
    """Yield the sizes that are set."""
    for one in step_measures(step, design.box):
        size = print_length(one.length, design.parameters.product.units)
        yield f"{one.what[0].upper()}{one.what[1:]}: {size}."


def _placed(design: Design, step: AssemblyStep) -> Iterator[str]:
    """Yield a line for screws whose places are told one by one: how many, which, where."""
    done: dict[tuple[str, str, str, tuple[str, ...]], list[ScrewGroup]] = {}
    system = design.parameters.product.units
    for group in screw_groups([screw for screw in step.screws if screw.use in _WHERE]):
        board, first = design.box.boards[group.through], group.screws[0]
        places = tuple(print_length(place, system) for place in places_along(group, board))
        kind = screw_text(first.kind, system)
        done.setdefault((first.use, kind, board.role, places), []).append(group)
    for (use, kind, _, places), alike in done.items():
        count = sum(len(group.screws) for group in alike)
        board = design.box.boards[alike[0].through]
        where = places_text(places_along(alike[0], board), system)
        each = f"{len(places)} each, " if len(alike) > 1 else ""
        told = f": {each}{where} {_from(board)}" if where else ""
        yield f"{count} screws {kind} {_WHERE[use]}{told}."


_WHERE = {
    "corner": "through the stile into the edge of the side's stile",
    "post": "through stile and stave into the post",
    "cap": "down through the cap into the rails",
}
"""Where the screws go in whose places are told one by one."""


def _spaced(design: Design, step: AssemblyStep) -> Iterator[str]:
    """Yield a line for screws of which only the spacing is told: the picture shows the rest."""
    system = design.parameters.product.units
    for group in step_screws(step, design.box):
        if group.use in _WHERE:
            continue
        through = " and ".join(group.through)
        told = f"{group.count} screws {screw_text(group.kind, system)} through {through} into "
        told += group.into
        if group.spacing is not None:
            low, high = (print_length(gap, system) for gap in group.spacing)
            apart = f"{low} apart" if low == high else f"{low} to {high} apart"
            end = "" if group.from_end is None else print_length(group.from_end, system)
            told += f": {end} from the end of the {group.into}, {apart}" if end else f": {apart}"
        yield f"{told}."


def _from(board: Board) -> str:
    """Return from where the places of screws along a board are measured."""
    if abs(board.placement.grain[2]) > 0.5:
        return "up from the stile's lower end"
    return "from the end of the board, at its longer edge"
