"""What ``explain`` says of one kind of finding."""

from __future__ import annotations

from typing import TYPE_CHECKING

from palewright.fit.cures import settings_of
from palewright.fit.explanations import EXPLANATIONS
from palewright.fit.findings import CODES
from palewright_drawings.output.terminal import coloured, pairs

if TYPE_CHECKING:
    from palewright_drawings.output.terminal import Part

_SEVERITIES = {
    "fault": "a fault: the box does not fit or does not hold",
    "warning": "a warning: it may not last or look right",
    "note": "a note: known, and taken care of by the plan",
}


def explanation_text(code: str) -> list[Part]:
    """Return what a finding means, why its limit is there, its source, and what bears on it."""
    kind, told = CODES[code], EXPLANATIONS[code]
    rows = [
        ("means", told.means),
        ("kind", _SEVERITIES[kind.severity]),
        ("look", told.sketch),
        ("limit", told.why),
        ("source", kind.basis),
        ("settings", ", ".join(settings_of(code)) or "none cures it"),
    ]
    head = coloured(f"{code}: ", kind.severity) + coloured(kind.title, "head")
    return [head, pairs([row for row in rows if row[1]], indent=2)]
