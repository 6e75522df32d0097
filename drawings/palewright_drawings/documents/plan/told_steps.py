"""The steps in the words of the plan: nothing twice that a builder has read a page before."""

from __future__ import annotations

import itertools
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from palewright.assembly.step_facts import boards_in_hand
from palewright.design import Design
from palewright_drawings.documents.plan.jigs import jigs_for
from palewright_drawings.documents.plan.likewise import Likewise, Panels, told_likewise
from palewright_drawings.documents.plan.steps import (
    StepGroup,
    marks_counted,
    panels_named,
    step_groups,
    step_lines,
    step_title,
)
from palewright_drawings.documents.plan.texts import screw_text
from palewright_drawings.figures.assembly_steps import step_pictures
from palewright_drawings.paper.figure import Figure

_WORTH_LOOKING_BACK = 60
"""Sentences of fewer letters are said again: they are read sooner than a step is looked up."""

_DRILLED = re.compile(r"Drill\b|For .+? drill\b")
"""How a sentence on drilling begins; in several sizes it says for which screw."""


@dataclass(frozen=True, slots=True)
class ToldStep:
    """A step, or some that are told at once.

    Attributes:
        number: of the step; ``4 to 6`` for several.
        title: what is done.
        take: mark and how many of each part that is taken in hand.
        lines: sentences in the order of work.
        jig: titles of the jigs that serve it.
        figure: its picture.
    """

    number: str
    title: str
    take: tuple[tuple[str, int], ...]
    lines: tuple[str, ...]
    jig: str
    figure: Figure


def told_steps(design: Design) -> list[tuple[str, list[ToldStep]]]:
    """Return the steps under the titles of their groups, numbered as everywhere else."""
    likewise = told_likewise(design)
    numbers, told = itertools.count(1), dict[str, int]()
    spans: dict[Panels, tuple[int, int]] = {}
    found = []
    for group in step_groups(step_pictures(design)):
        numbered = [next(numbers) for _ in group.pictures]
        spans[group.panels] = numbered[0], numbered[-1]
        like = likewise.get(group.panels)
        steps = (
            [_all_at_once(design, group, like, spans)]
            if like
            else list(_one_by_one(design, group, numbered, told))
        )
        found.append((group.title, steps))
    return found


def _one_by_one(
    design: Design, group: StepGroup, numbers: Sequence[int], told: dict[str, int]
) -> Iterator[ToldStep]:
    """Yield the steps of a group."""
    for number, one in zip(numbers, group.pictures, strict=True):
        yield ToldStep(
            str(number),
            step_title(one.step),
            _taken(design, boards_in_hand(one.step, design.box)),
            tuple(said_once(step_lines(design, one.step), number, told)),
            jigs_for(design, one.step),
            one.figure,
        )


def _taken(design: Design, boards: Sequence[str]) -> tuple[tuple[str, int], ...]:
    """Return mark and count of the parts that some boards are."""
    return tuple((mark, count) for mark, _, count in marks_counted(design, boards))


def _all_at_once(
    design: Design, group: StepGroup, like: Likewise, spans: Mapping[Panels, tuple[int, int]]
) -> ToldStep:
    """Return the steps of panels that are others without some boards, as one."""
    steps = [one.step for one in group.pictures]
    first, last = spans[like.first]
    lacks = ", ".join(mark for mark, _ in _taken(design, like.without))
    screws = Counter(screw.kind for step in steps for screw in step.screws)
    lines = [
        f"{count} screws {screw_text(kind)}, drilled for and driven as on the map of "
        f"{panels_named(like.first)}; none into {lacks}."
        for kind, count in screws.items()
    ]
    jigs = [jig for step in steps for jig in jigs_for(design, step).split("; ") if jig]
    return ToldStep(
        f"{spans[group.panels][0]} to {spans[group.panels][1]}",
        f"As in steps {first} to {last}, without {lacks}",
        _taken(design, [name for step in steps for name in boards_in_hand(step, design.box)]),
        ("The same sizes, in the same order.", *lines),
        "; ".join(dict.fromkeys(jigs)),
        group.pictures[0].figure,
    )


def said_once(lines: Sequence[str], number: int, told: dict[str, int]) -> list[str]:
    """Return a step's sentences, what an earlier step said word for word by that step's number.

    Screws are counted in every step.

    Args:
        lines: of the step.
        number: of the step.
        told: sentences that were said, each with the step that said it first; the step's are added.
    """
    found: list[str] = []
    for line in lines:
        first = told.setdefault(line, number)
        if first == number or len(line) < _WORTH_LOOKING_BACK or line[0].isdigit():
            found.append(line)
        else:
            drilled = _DRILLED.match(line)
            found.append(f"{f'{drilled[0]} and sink as' if drilled else 'As'} in step {first}.")
    return list(dict.fromkeys(found))
