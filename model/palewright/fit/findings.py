"""Findings: what a check has to say, with both numbers and what to do; and all their codes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal, NotRequired

from typing_extensions import TypedDict

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

STATICS = "statics of simple beams; bending stress assumed, since fence boards carry no grade"
SCREWS = "NDS 2018, 12.2 and 12.3, in wet service (C_M .7)"
WOOD = "USDA Wood Handbook, Eq. 13-1 and Table 4-3"

CODES: dict[str, Code] = {
    "PW101": Code("two boards share volume", "fault", GEOMETRY),
    "PW102": Code("a side panel does not enter its lip", "fault", GEOMETRY),
    "PW104": Code("a side panel has too much play in its lip", "warning", PRACTICE),
    "PW105": Code("stiles look unequal round a corner", "warning", PRACTICE),
    "PW201": Code("a joint does not touch", "fault", GEOMETRY),
    "PW202": Code("a joint touches over too little area", "fault", PRACTICE),
    "PW203": Code("the box is not one piece", "fault", "the graph of its screws"),
    "PW205": Code(
        "a board's end is not held", "fault", "the graph of its screws; how near is a judgement"
    ),
    "PW206": Code("screws bridge a gap between uneven boards", "note", PRACTICE),
    "PW301": Code("a screw misses a board that it should join", "fault", GEOMETRY),
    "PW302": Code("a screw's point comes through", "fault", GEOMETRY),
    "PW303": Code("a screw's point ends close under the face", "warning", PRACTICE),
    "PW304": Code("a screw runs too near an edge", "fault", PRACTICE),
    "PW305": Code("screws are nearer an edge or an end than advised", "note", NDS_TABLE),
    "PW307": Code("two screws meet", "fault", GEOMETRY),
    "PW308": Code("a screw enters a board that it should not", "fault", GEOMETRY),
    "PW309": Code("a screw sits too near an end", "fault", PRACTICE),
    "PW310": Code(
        "a screw bites too little", "fault",
        "tapered point of 2 D (NDS 2018, Table L3) and as much full thread: a judgement",
    ),
    "PW401": Code("parts cannot be put together in this order", "fault", GEOMETRY),
    "PW501": Code("drain gaps are too narrow", "warning", PRACTICE),
    "PW502": Code("gaps let soil through without a liner", "warning", PRACTICE),
    "PW503": Code(
        "a floor's load hangs on screws in end grain", "fault",
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
    "PW801": Code("the solids and the quick check do not agree: our mistake", "fault", GEOMETRY),
    "PW900": Code("a wood's strength or shrinkage is not known", "note", "the species' table"),
    "PW901": Code("one person should not lift it", "note", "NIOSH 94-110, lifting equation"),
    "PW902": Code(
        "two people should not lift it empty", "warning", "NIOSH 94-110, lifting equation"
    ),
    "PW903": Code(
        "it presses more than the deck's even load", "warning",
        "even live load, such as 40 psf of IRC Table R301.5; site.deck_load",
    ),
    "PW904": Code(
        "it presses more than a deck's usual even load", "note",
        "even live load, such as 40 psf of IRC Table R301.5; site.deck_load",
    ),
    "PW905": Code(
        "wind may tip it", "warning",
        "ASCE 7, 26.10 (q = .00256 V²) and statics; factor 1.5 from memory, drag 1.0 a judgement",
    ),
    "PW906": Code("a pull may tip it", "warning", "statics; the pull is site.pull, a judgement"),
    "PW907": Code(
        "wind on a tree is for its own stand to carry", "note",
        "ASCE 7, 26.10 (q = .00256 V²); drag 1.0 a judgement",
    ),
    "PW911": Code("a board is bent more than is assumed for it", "warning", STATICS),
    "PW912": Code(
        "a board would break", "fault",
        "statics of simple beams; Wood Handbook Table 5-3b, clear green wood, average",
    ),
    "PW913": Code("a board will be seen to sag", "note", "statics; the limit is a judgement"),
    "PW914": Code("wind bends a trellis more than is assumed for it", "warning", STATICS),
    "PW921": Code(
        "screws are too short to count", "note",
        "NDS 2018, 12.1.5.6: no lateral value below 6 D of penetration; Table L3: a tip of 2 D, "
        "alone given no withdrawal (judgement)",
    ),
    "PW922": Code("a screw carries more than it is given", "warning", SCREWS),
    "PW923": Code(
        "screws would pull out", "fault", "Wood Handbook Eq. 8-10: average of tests, side grain"
    ),
    "PW925": Code("a dense wood is drilled wider for", "note", "NDS 2018, 12.1.5.2"),
    "PW926": Code(
        "the screws' coating does not last in this wood", "warning",
        "preservers' advice: hot-dip to ASTM A153, or stainless 304/316",
    ),
    "PW927": Code(
        "wind pulls a trellis's screws more than they are given", "warning",
        "NDS 2018, 12.2, in wet service and wind (C_D 1.6); ASCE 7, 26.10; statics",
    ),
    "PW928": Code(
        "a screw leans on a shear value that is for other holes", "note",
        "NDS 2018, 12.1.5.3; from half of the value on: a judgement",
    ),
    "PW931": Code("the wall swells more than its gaps take", "warning", WOOD),
    "PW932": Code("gaps open between the staves", "note", WOOD),
    "PW933": Code(
        "wet soil lies against wood that is not meant for it", "warning",
        "AWPA U1 use categories UC3B and UC4A, as summarised",
    ),
    "PW934": Code("too little of the floor is open to drain", "warning", PRACTICE),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Change:
    """One setting to change: its key, and its value as ``--set`` takes it."""

    key: str
    value: str

    def as_json(self) -> ChangeJson:
        """Return the change as JSON-ready data."""
        return {"key": self.key, "value": self.value}


class ChangeJson(TypedDict):
    """One setting to change, its value as ``--set`` takes it."""

    key: str
    value: str


class FindingJson(TypedDict):
    """One thing a check found, numbers to a thousandth of ``unit``.

    ``changes`` cure it, all of them together; ``change`` is the one, where one does. ``remedy``
    says in words what helps.
    """

    code: str
    severity: Severity
    basis: str
    boards: list[str]
    measured: float
    limit: float
    unit: str
    message: str
    remedy: str
    changes: NotRequired[list[ChangeJson]]
    change: NotRequired[ChangeJson]
    case: NotRequired[str]


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing a check found.

    Attributes:
        code: stable code, see ``CODES``.
        boards: names of the boards concerned.
        measured: what was found.
        limit: what it is held against.
        unit: unit of both, such as ``mm``, ``deg``, ``D`` (screw diameters), ``N``, ``count``.
        message: what is wrong, with how it is reckoned where that matters.
        advice: what helps and is no setting; may be empty.
        changes: settings to change, all of them together. A check's own are a guess;
            ``cures.cured`` puts what was tried and cures in their place.
        case: the lumber case it was found in.
        group: findings of one code and group are one; empty: the boards are the group.
        brief: the message in half a line, where it is longer.
    """

    code: str
    boards: tuple[str, ...]
    measured: float
    limit: float
    unit: str
    message: str
    advice: str = ""
    changes: tuple[Change, ...] = ()
    case: str = ""
    group: str = ""
    brief: str = ""

    @property
    def severity(self) -> Severity:
        """Fault, warning or note: fixed by the code."""
        return CODES[self.code].severity

    @property
    def key(self) -> tuple[str, object]:
        """What makes findings one: their code and group."""
        return self.code, self.group or self.boards

    @property
    def remedy(self) -> str:
        """What to do, in words: the settings to change, or the advice."""
        settings = " and ".join(f"{one.key} to {one.value}" for one in self.changes)
        return ", or ".join(filter(None, [settings and f"set {settings}", self.advice]))

    @property
    def distance(self) -> float:
        """How far it is from the limit, in its unit."""
        return abs(self.measured - self.limit)

    def in_case(self, case: str) -> Finding:
        """Return the finding marked with its lumber case."""
        return replace(self, case=case)

    def as_json(self) -> FindingJson:
        """Return the finding as JSON-ready data; numbers to a thousandth."""
        found: FindingJson = {
            "code": self.code,
            "severity": self.severity,
            "basis": CODES[self.code].basis,
            "boards": list(self.boards),
            "measured": round(self.measured, 3) + 0.0,
            "limit": round(self.limit, 3) + 0.0,
            "unit": self.unit,
            "message": self.message,
            "remedy": self.remedy,
        }
        if self.changes:
            found["changes"] = [one.as_json() for one in self.changes]
        if len(self.changes) == 1:
            found["change"] = found["changes"][0]  # the whole remedy is one setting
        if self.case:
            found["case"] = self.case
        return found


_CAUSES = {
    "PW203": ("PW301", "PW201"),
    "PW205": ("PW203", "PW301", "PW201"),
    "PW303": ("PW302",),
    "PW308": ("PW302",),
    "PW401": ("PW101",),
    "PW604": ("PW603",),
}
"""Findings that follow from others of the same boards or the same screws."""


def causes_of(code: str) -> tuple[str, ...]:
    """Return the codes from which findings of a code may follow, in one step or in several."""
    return _CAUSES.get(code, ())


def causes(findings: Iterable[Finding]) -> list[Finding]:
    """Return the findings that do not follow from another, in order."""
    found = list(findings)

    def follows(one: Finding, other: Finding) -> bool:
        alike = one.group.partition("/")[0] == other.group.partition("/")[0]
        shared = set(one.boards) & set(other.boards)
        return other.code in _CAUSES.get(one.code, ()) and bool(alike or shared)

    return [one for one in found if not any(follows(one, other) for other in found)]


def merged(findings: Iterable[Finding]) -> list[Finding]:
    """Return one finding for each code and group: the worst of all lumber cases.

    Faults first, then by code, in the order they were found.
    """
    worst: dict[tuple[str, object], Finding] = {}
    for finding in findings:
        known = worst.get(finding.key)
        if known is None or finding.distance > known.distance:
            worst[finding.key] = finding
    return sorted(worst.values(), key=lambda f: (SEVERITIES.index(f.severity), f.code))
