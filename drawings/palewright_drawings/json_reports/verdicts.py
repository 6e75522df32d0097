"""The object that ``check --json`` prints and ``report.json`` carries: one builder for both."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from palewright.design import Design
from palewright.fit.findings import merged

if TYPE_CHECKING:
    from palewright.fit.checks.kernel_agreement import SolidOpinion


def verdict_as_json(design: Design, opinions: Sequence[SolidOpinion] = ()) -> dict[str, object]:
    """Return the verdict as JSON-ready data; lengths in mm, numbers to a thousandth.

    ``boards`` is how many boards the box has, ``solids`` what the solids say in each lumber case
    where they were asked. What they say otherwise stands among the findings.

    Raises:
        InputError: if the parameters cannot be built at all.
    """
    verdict = design.cured
    differing = merged(finding for opinion in opinions for finding in opinion.findings)
    solids = {"solids": [opinion.as_json() for opinion in opinions]} if opinions else {}
    return {
        "variant": design.name,
        "passed": verdict.passed and not differing,
        "boards": len(design.box.boards),
        "lumber": [case.as_json() for case in verdict.cases],
        **solids,
        "findings": [finding.as_json() for finding in (*differing, *verdict.findings)],
    }
