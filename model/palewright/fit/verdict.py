"""The verdict: does the box fit, in which lumber, and what was found."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from typing_extensions import TypedDict

from palewright.catalogue.lumber import LUMBER_CASES, LumberCase, piles_of
from palewright.construction.box_layout import lay_out
from palewright.fit import checks as _registered  # noqa: F401  (importing it registers the checks)
from palewright.fit.cases import CHECKS, DESIGN_CHECKS, FitCase
from palewright.fit.findings import Finding, causes, merged
from palewright.parameters.tables import Parameters


class SpanJson(TypedDict):
    """Least and greatest, mm to a thousandth."""

    min: float
    max: float


class CaseJson(TypedDict):
    """What one lumber case came to, mixed lumber in its worst pile."""

    case: LumberCase
    clashes: int
    seat_clearance_mm: SpanJson


@dataclass(frozen=True, slots=True)
class CaseResult:
    """What one lumber case came to.

    Attributes:
        case: thin, nominal, thick or mixed.
        clashes: pairs of boards that share volume, in the worst pile.
        seat_least, seat_greatest: clearance of the side panels in their lips, mm.
        faults: how many were found in this lumber; those of the cut sizes are not among them.
    """

    case: LumberCase
    clashes: int
    seat_least: float
    seat_greatest: float
    faults: int = 0

    def as_json(self) -> CaseJson:
        """Return the result as JSON-ready data; mm to a thousandth."""
        return {
            "case": self.case,
            "clashes": self.clashes,
            "seat_clearance_mm": {
                "min": round(self.seat_least, 3) + 0.0,
                "max": round(self.seat_greatest, 3) + 0.0,
            },
        }


@dataclass(frozen=True, slots=True)
class Verdict:
    """Findings and results of all lumber cases that were tried.

    Attributes:
        cases: what each lumber case came to.
        findings: one a cause, the worst of all lumber cases.
        implied: codes of what was found too, and follows from them.
    """

    cases: tuple[CaseResult, ...]
    findings: tuple[Finding, ...]
    implied: frozenset[str] = frozenset()

    @property
    def passed(self) -> bool:
        """Whether nothing of severity fault was found."""
        return not self.faults

    @property
    def faults(self) -> int:
        """How many findings of severity fault there are."""
        return sum(finding.severity == "fault" for finding in self.findings)


def judge(
    parameters: Parameters,
    cases: Sequence[LumberCase] = LUMBER_CASES,
    nominal: FitCase | None = None,
    progress: Callable[[str], None] | None = None,
) -> Verdict:
    """Return the verdict on a box.

    Args:
        parameters: the box.
        cases: lumber cases to try; the checks of cut sizes always run, on nominal lumber.
        nominal: the box in nominal lumber, if it is there already.
        progress: told the name of each lumber case as it begins.

    Raises:
        InputError: if the parameters cannot be built at all.
    """
    nominal = nominal or FitCase(lay_out(parameters), "nominal")
    found: list[Finding] = []
    results = []
    for case in cases:
        if progress:
            progress(case)
        fits = [nominal]
        if case != "nominal":
            boxes = (lay_out(parameters, case, pile) for pile in piles_of(case))
            fits = [FitCase(box, case) for box in boxes]
        here = merged(finding for fit in fits for check in CHECKS for finding in check(fit))
        found += [finding.in_case(case) for finding in here]
        lips = [seat.clearance for fit in fits for seat in fit.seats]
        clashes = max(len(fit.clashes) for fit in fits)
        faults = sum(finding.severity == "fault" for finding in here)
        results.append(CaseResult(case, clashes, min(lips), max(lips), faults))
        if case == "nominal":
            found += [finding for check in DESIGN_CHECKS for finding in check(nominal)]
    if "nominal" not in cases:
        found += [finding for check in DESIGN_CHECKS for finding in check(nominal)]
    everything = merged(found)
    told = causes(everything)
    implied = {f.code for f in everything} - {f.code for f in told}
    return Verdict(tuple(results), tuple(told), frozenset(implied))
