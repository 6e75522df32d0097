"""The second opinion for the command line: what the solids say, with progress, and as a table."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from palewright.catalogue.lumber import LumberCase
from palewright.design import Design
from palewright.reading.lengths import millimetres
from palewright_drawings.output.progress import Progress

if TYPE_CHECKING:
    from palewright.fit.checks.kernel_agreement import SolidOpinion


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


def opinion_rows(opinions: Iterable[SolidOpinion]) -> list[str]:
    """Return a line a lumber case, under a heading."""
    rows = ["solids    clashes   side panels' clearance in the lips   holes sought"]
    for opinion in opinions:
        clear = f"{millimetres(opinion.seat_least, 2)} to {millimetres(opinion.seat_greatest, 2)}"
        agrees = "agrees" if opinion.agrees else "does not agree"
        row = f"{opinion.case:<9} {opinion.clashes:>7}   {clear:<34} {opinion.holes:>12}"
        rows.append(f"{row}   {agrees} with the check")
    return rows
