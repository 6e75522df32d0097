"""The object that ``check --json`` prints and ``report.json`` carries: one builder for both."""

from __future__ import annotations

from palewright.design import Design


def verdict_as_json(design: Design) -> dict[str, object]:
    """Return the verdict as JSON-ready data; lengths in mm, numbers to a thousandth.

    ``boards`` is how many boards the box has.

    Raises:
        InputError: if the parameters cannot be built at all.
    """
    verdict = design.verdict
    return {
        "variant": design.name,
        "passed": verdict.passed,
        "boards": len(design.box.boards),
        "lumber": [case.as_json() for case in verdict.cases],
        "findings": [finding.as_json() for finding in verdict.findings],
    }
