"""Every screw for whoever checks the box: how far it bites in each lumber, when it is driven."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from palewright.assembly.assembly_steps import (
    AssemblyStep,
    assembly_steps,
    panel_kinds,
    panel_steps,
)
from palewright.catalogue.lumber import LUMBER_CASES, LumberCase, piles_of
from palewright.construction.box_layout import Box, lay_out
from palewright.construction.joints import Screw
from palewright.fit.screw_spans import ScrewSpans


@dataclass(frozen=True, slots=True)
class NumberedStep:
    """A step as the plan numbers it, with what is done to every panel that is made so.

    Attributes:
        number: from 1.
        step: what is shown, of the first such panel.
        boards: names of the boards that come on, in all of these panels.
        screws: names of the screws that are driven, in all of these panels.
    """

    number: int
    step: AssemblyStep
    boards: tuple[str, ...]
    screws: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlacedScrew:
    """A screw in its place.

    Attributes:
        screw: in nominal lumber.
        bites: mm of it in the last board of its stack, in each lumber case; 0 where it misses.
        step: number of the step in which it is driven.
    """

    screw: Screw
    bites: Mapping[LumberCase, float]
    step: int


def numbered_steps(box: Box) -> list[NumberedStep]:
    """Return the steps in the plan's order; every screw of the box is driven in one of them."""
    steps = assembly_steps(box)
    boards = {step.key: step.added for step in steps}
    screws = {step.key: tuple(screw.name for screw in step.screws) for step in steps}
    for first, *others in panel_kinds(box):
        for other in others:
            for twin in panel_steps(box, (other,), {screw.name: screw for screw in box.screws}):
                key = f"{first}{twin.key.removeprefix(other)}"
                if key not in boards:  # only the twin has heads on the bench
                    key = key.removesuffix("-screws")
                boards[key] += twin.added
                screws[key] += tuple(screw.name for screw in twin.screws)
    return [
        NumberedStep(number, step, boards[step.key], screws[step.key])
        for number, step in enumerate(steps, start=1)
    ]


def placed_screws(box: Box) -> Iterator[PlacedScrew]:
    """Yield every screw of a box that is laid out in nominal lumber, in the box's order."""
    steps = {name: one.number for one in numbered_steps(box) for name in one.screws}
    cases = {
        case: _bites(
            [box]
            if case == "nominal"
            else [lay_out(box.parameters, case, pile) for pile in piles_of(case)]
        )
        for case in LUMBER_CASES
    }
    for screw in box.screws:
        bites = {case: found[screw.name] for case, found in cases.items()}
        yield PlacedScrew(screw, bites, steps[screw.name])


def _bites(boxes: Sequence[Box]) -> dict[str, float]:
    """Return the least length (mm) of each screw in the last board of its stack, of all piles."""
    found = [_bites_in(box) for box in boxes]
    return {name: min(bites[name] for bites in found) for name in found[0]}


def _bites_in(box: Box) -> dict[str, float]:
    """Return the length (mm) of each screw in the last board of its stack."""
    spans = ScrewSpans(box)
    found = {}
    for s, screw in enumerate(box.screws):
        b = spans.index[screw.stack[-1]]
        begin, finish = max(spans.enter[s, b], 0.0), min(spans.leave[s, b], screw.kind.length)
        found[screw.name] = max(float(finish - begin), 0.0)
    return found
