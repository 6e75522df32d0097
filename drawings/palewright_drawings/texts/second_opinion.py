"""The second opinion for the command line: what the solids say, with progress, and as a table."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from palewright.catalogue.lumber import LumberCase
from palewright.design import Design
from palewright.reading.lengths import print_length
from palewright_drawings.output.progress import Progress
from palewright_drawings.output.terminal import table

if TYPE_CHECKING:
    from palewright.fit.checks.kernel_agreement import SolidOpinion
    from palewright_drawings.output.terminal import Part


def solid_opinions(
    box: Design, cases: Sequence[LumberCase], progress: Progress
) -> list[SolidOpinion]:
    """Return what the CAD kernel's solids say of the box, a lumber case each."""
    from palewright.fit.checks.kernel_agreement import solid_opinion

    opinions = []
    progress.begin("second opinion", len(cases))
    for case in cases:
        progress.note(f"solids in {case} lumber")
        opinions.append(solid_opinion(box.fit, box.surfaces, case))
        progress.advance()
    return opinions


def opinion_table(opinions: Iterable[SolidOpinion], system: str) -> Part:
    """Return a row a lumber case: what the solids say, and whether the check says the same."""
    rows = [
        (
            opinion.case,
            str(opinion.clashes),
            span_text(opinion.seat_least, opinion.seat_greatest, system),
            str(opinion.holes),
            f"{'agrees' if opinion.agrees else 'does not agree'} with the check",
        )
        for opinion in opinions
    ]
    return table(rows, ("solids", "clashes", CLEARANCE, "holes sought", ""), right={1, 3})


CLEARANCE = "side panels' play in the lips"
"""Heads the column of ``span_text``."""


def span_text(least: float, greatest: float, system: str) -> str:
    """Return two lengths (mm), such as ``1/16 to 3/32 in``."""
    ends = [print_length(end, system) for end in (least, greatest)]
    return ends[1] if ends[0] == ends[1] else " to ".join(ends)
