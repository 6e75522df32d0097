"""Findings: what a check has to say, with both numbers and what to do; and all their codes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

Severity = Literal["fault", "warning", "note"]
SEVERITIES: tuple[Severity, ...] = ("fault", "warning", "note")


@dataclass(frozen=True, slots=True)
class Code:
    """One kind of finding.

    Attributes:
        title: what is wrong, in a few words.
        severity: ``fault``: it does not fit or hold; ``warning``: it may not last or look right;
            ``note``: worth knowing.
        basis: where the limit comes from.
    """

    title: str
    severity: Severity
    basis: str


GEOMETRY = "geometry of the solids"
PRACTICE = "common practice, no source"
NDS_TABLE = "NDS 2018 Commentary, Table C12.1.5.7 (advisory, holes drilled first)"

CODES: dict[str, Code] = {
    "PW101": Code("two boards share volume", "fault", GEOMETRY),
    "PW102": Code("a side panel does not enter its lip", "fault", GEOMETRY),
    "PW103": Code("side staves run into the outer staves", "fault", GEOMETRY),
    "PW104": Code("a side panel has too much play in its lip", "warning", PRACTICE),
    "PW105": Code("stiles look unequal round a corner", "warning", PRACTICE),
    "PW201": Code("a joint does not touch", "fault", GEOMETRY),
    "PW202": Code("a joint touches over too little area", "fault", PRACTICE),
    "PW203": Code("a board hangs on nothing", "fault", GEOMETRY),
    "PW204": Code("a joint has no screw", "fault", PRACTICE),
    "PW301": Code("a screw misses a board that it should join", "fault", GEOMETRY),
    "PW302": Code("a screw's point comes through", "fault", GEOMETRY),
    "PW303": Code("a screw's point ends close under the face", "warning", PRACTICE),
    "PW304": Code("a screw runs too near an edge", "fault", PRACTICE),
    "PW305": Code("a screw is nearer an edge than advised", "warning", NDS_TABLE),
    "PW306": Code("a screw is nearer an end than advised", "warning", NDS_TABLE),
    "PW307": Code("two screws meet", "fault", GEOMETRY),
    "PW308": Code("a screw enters a board that it should not", "fault", GEOMETRY),
    "PW309": Code("a screw sits too near an end", "fault", PRACTICE),
    "PW401": Code("parts cannot be put together in this order", "fault", GEOMETRY),
    "PW501": Code("drain gaps are too narrow", "warning", PRACTICE),
    "PW502": Code("drain gaps let soil through without a liner", "warning", PRACTICE),
    "PW503": Code(
        "floor hangs on screws in end grain", "warning",
        "NDS 2018, 12.2.2.3: no withdrawal load in end grain",
    ),
    "PW504": Code("slats bear on too little of the cleat", "fault", PRACTICE),
    "PW505": Code("the floor stands too near the ground to drain", "warning", PRACTICE),
    "PW601": Code("the stand does not fit between the walls", "fault", GEOMETRY),
    "PW602": Code("the stand is higher than the box", "fault", GEOMETRY),
    "PW603": Code("the trunk does not pass the cap", "fault", GEOMETRY),
    "PW604": Code("the stand cannot be watered past the trunk", "warning", PRACTICE),
    "PW605": Code("stand or trunk runs into a board", "fault", GEOMETRY),
    "PW701": Code("a strip is narrower than is safe to rip", "fault", PRACTICE),
    "PW702": Code("two saw angles are nearly the same", "note", PRACTICE),
    "PW703": Code("a board is longer than the stock", "fault", GEOMETRY),
    "PW704": Code("a board is wider than the stock", "fault", GEOMETRY),
    "PW801": Code("the kernel's solid and the checked prism differ", "fault", GEOMETRY),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Change:
    """The one-parameter change that answers a finding: a key and the text to give it."""

    key: str
    value: str


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing a check found.

    Attributes:
        code: stable code, see ``CODES``.
        boards: names of the boards concerned.
        measured: what was found.
        limit: what it is held against.
        unit: unit of both, such as ``mm``, ``mm2``, ``deg``, ``D`` (screw diameters), ``count``.
        message: one sentence.
        remedy: what to do, in the variant's own keys.
        change: the same as data, where one parameter answers it.
        case: the lumber case it was found in.
        group: findings of one code and group are one; empty: the boards are the group.
    """

    code: str
    boards: tuple[str, ...]
    measured: float
    limit: float
    unit: str
    message: str
    remedy: str
    change: Change | None = None
    case: str = ""
    group: str = ""

    @property
    def severity(self) -> Severity:
        """Fault, warning or note: fixed by the code."""
        return CODES[self.code].severity

    @property
    def distance(self) -> float:
        """How far it is from the limit, in its unit."""
        return abs(self.measured - self.limit)

    def in_case(self, case: str) -> Finding:
        """Return the finding marked with its lumber case."""
        return replace(self, case=case)

    def as_json(self) -> dict[str, object]:
        """Return the finding as JSON-ready data; numbers to a thousandth."""
        found: dict[str, object] = {
            "code": self.code,
            "severity": self.severity,
            "boards": list(self.boards),
            "measured": round(self.measured, 3) + 0.0,
            "limit": round(self.limit, 3) + 0.0,
            "unit": self.unit,
            "message": self.message,
            "remedy": self.remedy,
        }
        if self.change:
            found["change"] = {"key": self.change.key, "value": self.change.value}
        if self.case:
            found["case"] = self.case
        return found


def merged(findings: Iterable[Finding]) -> list[Finding]:
    """Return one finding for each code and group: the worst of all lumber cases.

    Faults first, then by code, in the order they were found.
    """
    worst: dict[tuple[str, object], Finding] = {}
    for finding in findings:
        key = (finding.code, finding.group or finding.boards)
        if key not in worst or finding.distance > worst[key].distance:
            worst[key] = finding
    return sorted(worst.values(), key=lambda f: (SEVERITIES.index(f.severity), f.code))
