"""The object that ``check --json`` prints and ``report.json`` carries: one builder for both."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from palewright.design import Design
from palewright.fit.findings import merged

if TYPE_CHECKING:
    from palewright.fit.checks.kernel_agreement import SolidOpinion
    from palewright.fit.mending import Mending


def verdict_as_json(
    design: Design, opinions: Sequence[SolidOpinion] = (), mending: Mending | None = None
) -> dict[str, object]:
    """Return the verdict as JSON-ready data; lengths in mm, numbers to a thousandth.

    ``boards`` is how many boards the box has, ``solids`` what the solids say in each lumber case
    where they were asked. What they say otherwise stands among the findings. ``mend`` is the one
    list of changes that cures all faults, ``leaves`` the codes of warnings that it leaves.

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
        **({"mend": _mending_as_json(mending)} if mending else {}),
        "findings": [finding.as_json() for finding in (*differing, *verdict.findings)],
    }


def _mending_as_json(mending: Mending) -> dict[str, object]:
    """Return the list of changes as JSON-ready data."""
    return {
        "changes": [{"key": one.key, "value": one.value} for one in mending.changes],
        "leaves": [one.code for one in mending.left],
    }
