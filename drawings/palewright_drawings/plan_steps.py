"""The steps at the bench as the plan tells them: in groups, with the screws that go in alike.

Which steps there are, and which screw belongs to which, is the model's (``assembly_steps``).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from palewright.assembly_steps import AssemblyStep
from palewright.boards import Board
from palewright.design import Design
from palewright.joints import Screw
from palewright.units import print_length
from palewright_drawings.step_figures import StepPicture

_PANEL_WORDS = {"left": "left side", "right": "right side"}
_COUNTS = ("", "", "two", "three", "four")
_MOST_PLACES = 7
"""So many places of screws are told in a line; more are left to the picture and the jig."""


@dataclass(frozen=True, slots=True)
class ScrewGroup:
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
    if panels == ("trellis",):
        return "The trellis"
    words = [_PANEL_WORDS.get(panel, panel) for panel in panels]
    if len(words) == 1:
        return f"The {words[0]} panel"
    told = f"{', '.join(words[:-1])} and {words[-1]} panels, {_COUNTS[len(words)]} alike"
    return told[0].upper() + told[1:]


def step_title(step: AssemblyStep) -> str:
    """Return what is done, as a heading; how often, where it is done again."""
    told = step.text[0].upper() + step.text[1:]
    if step.repeats > 1:
        told = told.replace("the slat ", f"the {step.repeats} slats ")
        told = told.replace("on its cleats", "on their cleats")
    return told


def screw_groups(screws: Sequence[Screw]) -> list[ScrewGroup]:
    """Return the screws by the board their heads sit in and the one that holds them, in order."""
    found: dict[tuple[str, str, str], list[Screw]] = {}
    for screw in screws:
        found.setdefault((screw.use, screw.stack[0], screw.stack[-1]), []).append(screw)
    return [ScrewGroup(tuple(group), through, into) for (_, through, into), group in found.items()]


def places_along(group: ScrewGroup, board: Board) -> list[float]:
    """Return how far the screws of a group stand from a board's lower or left end, mm, rising.

    Measured along the grain on the face; for upright boards from the lower end.
    """
    along = [board.placement.into(screw.head)[0] for screw in group.screws]
    if board.placement.grain[2] < -0.5:
        along = [board.length - x for x in along]
    return sorted(along)


def places_text(places: Sequence[float], system: str) -> str:
    """Return the places in a line, such as ``1-7/8, 6, 10-1/8 in``; empty where too many."""
    if not places or len(places) > _MOST_PLACES:
        return ""
    texts = [print_length(place, system) for place in places]
    unit = texts[0].rpartition(" ")[2]
    return ", ".join(text.rpartition(" ")[0] for text in texts) + f" {unit}"


def marks_counted(design: Design, boards: Sequence[str]) -> list[tuple[str, str, int]]:
    """Return (mark, role, how many) of the parts that some boards are, in the parts' order."""
    counted = Counter(
        part.mark for part in design.parts for name in part.boards if name in set(boards)
    )
    return [(p.mark, p.role, counted[p.mark]) for p in design.parts if counted[p.mark]]
