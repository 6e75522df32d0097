"""The verdict: does the box fit, in which lumber, and what was found."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from typing_extensions import TypedDict

from palewright.catalogue.lumber import LUMBER_CASES, LumberCase, piles_of
from palewright.construction.box_layout import lay_out
from palewright.fit import checks as _registered  # noqa: F401  (importing it registers the checks)
from palewright.fit.cases import CHECKS, DESIGN_CHECKS, FitCase
from palewright.fit.findings import Finding, causes, causes_of, merged
from palewright.parameters.tables import Parameters

NOMINAL: tuple[LumberCase, ...] = ("nominal",)


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


class Judging:
    """One box under judgement: laid out once in each lumber, however often it is asked for."""

    def __init__(self, parameters: Parameters, nominal: FitCase | None = None) -> None:
        """Begin with nothing laid out, but the box in nominal lumber if it is there already."""
        self._parameters = parameters
        self._fits: dict[LumberCase, list[FitCase]] = {"nominal": [nominal]} if nominal else {}

    def _in(self, case: LumberCase) -> list[FitCase]:
        """Return the box in the lumber of one case: one of each pile."""
        if case not in self._fits:
            boxes = [lay_out(self._parameters, case, pile) for pile in piles_of(case)]
            self._fits[case] = [FitCase(box, case) for box in boxes]
        return self._fits[case]

    def found(self, key: tuple[str, object], cases: Sequence[LumberCase]) -> list[Finding]:
        """Return what the verdict in some lumber cases has of one finding's key: one or none.

        No more is tried than what may tell of it, or of what it would follow from.
        """
        codes = {key[0], *causes_of(key[0])}
        everything = merged(
            finding
            for checks, some in ((CHECKS, cases), (DESIGN_CHECKS, NOMINAL))
            for check, told in checks.items()
            if codes & told
            for case in some
            for fit in self._in(case)
            for finding in check(fit)
        )
        return [one for one in causes(everything) if one.key == key]

    def verdict(
        self, cases: Sequence[LumberCase], progress: Callable[[str], None] | None = None
    ) -> Verdict:
        """Return the verdict in some lumber cases, as `judge` does."""
        (nominal,) = self._in("nominal")
        found: list[Finding] = []
        results = []
        for case in cases:
            if progress:
                progress(case)
            fits = self._in(case)
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
    return Judging(parameters, nominal).verdict(cases, progress)
