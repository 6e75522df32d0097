"""The steps at the bench as the plan tells them: in groups, with the screws that go in alike.

Which steps there are, and which screw belongs to which, is the model's (``assembly_steps``).
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from palewright.assembly.assembly_steps import AssemblyStep
from palewright.assembly.step_facts import (
    step_joints,
    step_measures,
    step_presses,
)
from palewright.construction.boards import Board
from palewright.construction.corners import CORNERS
from palewright.construction.joints import Screw
from palewright.design import Design
from palewright.reading.lengths import noiseless, tape_reading, tape_text
from palewright_drawings.documents.plan.drilling import drilled
from palewright_drawings.documents.plan.hints import HINTS
from palewright_drawings.documents.plan.texts import screw_text
from palewright_drawings.figures.assembly_steps import StepPicture
from palewright_drawings.figures.panel_maps import mapped_screws

_PANEL_WORDS = {"left": "left side", "right": "right side"}
_COUNTS = ("", "", "two", "three", "four")


@dataclass(frozen=True, slots=True)
class StepScrews:
    """Screws that go in alike within one step.

    Attributes:
        screws: the screws.
        through: name of the board whose face the heads sit in.
        into: name of the board the thread holds in.
    """

    screws: tuple[Screw, ...]
    through: str
    into: str


@dataclass(frozen=True, slots=True)
class StepGroup:
    """Steps that belong together: one kind of panel, or the box.

    ``panels`` are those that are made alike, empty for the box.
    """

    title: str
    panels: tuple[str, ...]
    pictures: tuple[StepPicture, ...]


def step_groups(pictures: Sequence[StepPicture]) -> list[StepGroup]:
    """Return the steps in order, each kind of panel together, then the box."""
    return [
        StepGroup(panels_text(panels), panels, tuple(group))
        for panels, group in groupby(pictures, key=lambda one: one.step.panels)
    ]


def panels_text(panels: tuple[str, ...]) -> str:
    """Return what is made: ``Front and back panels, two alike``, ``The trellis``, ``The box``."""
    if not panels:
        return "The box"
    told = panels_named(panels)
    if len(panels) > 1:
        told = f"{told.removeprefix('the ')}, {_COUNTS[len(panels)]} alike"
    return told[0].upper() + told[1:]


def panels_named(panels: tuple[str, ...]) -> str:
    """Return panels as a sentence names them: ``the front and back panels``, ``the trellis``."""
    if panels == ("trellis",):
        return "the trellis"
    *others, last = (_PANEL_WORDS.get(panel, panel) for panel in panels)
    return f"the {', '.join(others)} and {last} panels" if others else f"the {last} panel"


def step_title(step: AssemblyStep) -> str:
    """Return what is done, as a heading; how often, where it is done again."""
    told = step.text[0].upper() + step.text[1:]
    if step.repeats > 1:
        told = told.replace("the slat ", f"the {step.repeats} slats ")
        told = told.replace("on its cleats", "on their cleats")
    return told


def screw_groups(screws: Sequence[Screw]) -> list[StepScrews]:
    """Return the screws by the board their heads sit in and the one that holds them, in order."""
    found: dict[tuple[str, str, str], list[Screw]] = {}
    for screw in screws:
        found.setdefault((screw.use, screw.stack[0], screw.stack[-1]), []).append(screw)
    return [StepScrews(tuple(group), through, into) for (_, through, into), group in found.items()]


def places_along(group: StepScrews, board: Board) -> list[float]:
    """Return how far the screws of a group stand from a board's lower or left end, mm, rising.

    Measured along the grain on the face; for upright boards from the lower end.
    """
    along = [board.placement.into(screw.head)[0] for screw in group.screws]
    if board.placement.grain[2] < -0.5:
        along = [board.length - x for x in along]
    return sorted(along)


def places_text(places: Sequence[float], system: str) -> str:
    """Return the places in a line, such as ``1-7/8, 6, 10-1/8 in``."""
    unit = "in" if system == "inch" else "mm"
    return f"{', '.join(tape_reading(place, system) for place in places)} {unit}"


def marks_counted(design: Design, boards: Sequence[str]) -> list[tuple[str, str, int]]:
    """Return (mark, role, how many) of the parts that some boards are, in the parts' order."""
    counted = Counter(
        part.mark for part in design.parts for name in part.boards if name in set(boards)
    )
    return [(p.mark, p.role, counted[p.mark]) for p in design.parts if counted[p.mark]]


_UNIT = re.compile(r"(\d) (in|mm)\b")
"""An amount and its unit: they stay together at the end of a line."""


def step_lines(design: Design, step: AssemblyStep) -> list[str]:
    """Return the sentences of a step, in the order of work."""
    lines = [hint for start, hint in HINTS if step.text.startswith(start)][:1]
    for press in step_presses(step, design.box):
        if press.kind == "glue":
            lines.append(f"{_glued(design, step)}, with glue for outdoors.")
        elif press.kind == "dry":
            lines.append(f"{press.text[0].upper()}{press.text[1:]}: this joint opens again.")
        elif press.kind == "bed":
            lines.append(
                f"{press.text[0].upper()}{press.text[1:]} in a bead of construction adhesive for "
                "outdoors: it fills the gaps where boards differ in thickness. Drive the screws "
                "only until the board lies on the thickest of them."
            )
    lines += [*measured(design, step), *_seats(design, step), *_screws(design, step)]
    return [_UNIT.sub("\\1\u00a0\\2", line) for line in lines]


def _glued(design: Design, step: AssemblyStep) -> str:
    """Return which corners of the cap are glued; nothing else is."""
    corners = [j.name.split()[-1] for j, _ in step_joints(step, design.box) if j.kind == "glue"]
    told = f"the {' and '.join(corners)} corners" if len(corners) < len(CORNERS) else "all corners"
    return f"Glue {told} of the cap"


def _seats(design: Design, step: AssemblyStep) -> Iterator[str]:
    """Yield how far the sides may stand off in the lips: the worst of all lumber cases."""
    seats = [(case.seat_least, case.seat_greatest) for case in design.verdict.cases]
    if not step.panels and not step.obstacles and "its lip" in step.text and seats:
        system = design.parameters.product.units
        low, high = (
            tape_text(gap, system) for gap in (min(s[0] for s in seats), max(s[1] for s in seats))
        )
        yield f"In the lip, beside the side's boards, a gap of {low} to {high} is right."


def measured(design: Design, step: AssemblyStep) -> Iterator[str]:
    """Yield the sizes that are set."""
    for one in step_measures(step, design.box):
        size = tape_text(one.length, design.parameters.product.units)
        yield f"{one.what[0].upper()}{one.what[1:]}: {size}."


def _screws(design: Design, step: AssemblyStep) -> Iterator[str]:
    """Yield the screws: those of a panel's map, then those whose places are told one by one."""
    mapped = {one.screw.name for panel in step.panels[:1] for one in mapped_screws(design, panel)}
    kinds = Counter(screw.kind for screw in step.screws if screw.name in mapped)
    for kind, count in kinds.items():
        yield f"{count} screws {screw_text(kind)}, drilled for and driven as on the panel's map."
    others = [screw for screw in step.screws if screw.name not in mapped]
    yield from _told_one_by_one(design, others)


def _told_one_by_one(design: Design, screws: Sequence[Screw]) -> Iterator[str]:
    """Yield lines for screws whose places are told one by one: how many, which, where, drilled."""
    system = design.parameters.product.units
    done: dict[tuple[object, ...], list[StepScrews]] = {}
    for group in screw_groups(screws):
        board, first = design.box.boards[group.through], group.screws[0]
        places = tuple(tape_text(place, system) for place in places_along(group, board))
        edges = tuple(sorted({tape_text(x, system) for x in from_edge(group, board)}))
        done.setdefault((first.use, first.kind, board.role, places, edges), []).append(group)
    for (use, *_), alike in done.items():
        board = design.box.boards[alike[0].through]
        every = [screw for group in alike for screw in group.screws]
        where = places_text(places_along(alike[0], board), system)
        each = f"{len(alike[0].screws)} each, " if len(alike) > 1 else ""
        edge = places_text(sorted(set(from_edge(alike[0], board))), system)
        yield (
            f"{len(every)} screws {screw_text(every[0].kind)} {_way(every[0], design)}: {each}"
            f"{where} {_from(board)}, {edge} from its {_EDGES.get(str(use), 'nearer')} edge."
        )
    bits = drilled(design, screws)
    for kind, _, told in bits:
        which = "Drill" if len(bits) == 1 else f"For {kind} drill"
        yield f"{which} {told}. Sink the heads flush."


_EDGES = {"corner": "outer", "post": "outer", "cap": "longer"}
"""From which edge of a board its screws are measured, by their use; else from the nearer one."""


def _way(screw: Screw, design: Design) -> str:
    """Return what a screw goes through and into."""
    roles = [design.box.boards[name].role.replace("filler", "stave") for name in screw.stack]
    into = "edge of the side's stile" if screw.use == "corner" else roles[-1]
    return f"through {' and '.join(roles[:-1])} into the {into}"


def from_edge(group: StepScrews, board: Board) -> list[float]:
    """Return how far each screw of a group stands from an edge of the board it goes through, mm.

    Of stiles and cap boards it is the edge that is farther from the middle of the box, else the
    nearer one.
    """
    found = []
    for screw in group.screws:
        x, y, _ = board.placement.into(screw.head)
        away = [math.hypot(*board.placement.out(x, edge)[:2]) for edge in (0.0, board.width)]
        ways = (y, board.width - y)
        outer = ways[0] if away[0] > away[1] else ways[1]
        found.append(noiseless(outer if group.screws[0].use in _EDGES else min(ways), 3))
    return found


def _from(board: Board) -> str:
    """Return from where the places of screws along a board are measured."""
    if abs(board.placement.grain[2]) > 0.5:
        return f"up from the {board.role}'s lower end"
    if board.role == "cap":
        return "from the end of its longer edge"
    return f"from the {board.role}'s end"
