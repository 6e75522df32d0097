"""Every parameter as data for a control, in groups as the maker thinks of a box."""

from __future__ import annotations

from typing import Any

from palewright.catalogue.lumber import shipped_stock
from palewright.construction.face_patterns import FACE_PATTERNS
from palewright.parameters.schema import tables
from palewright.reading.fields import Setting
from palewright.reading.lengths import read_length

GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Size", ("box",)),
    ("Frame", ("panel", "corner")),
    ("Faces", ("face",)),
    ("Walls and cap", ("wall", "cap")),
    ("Floor and liner", ("floor", "liner")),
    ("Tree", ("tree",)),
    ("Trellis", ("trellis",)),
    ("Lumber and saw", ("lumber", "saw")),
    ("Screws", ("screws",)),
    ("Where it stands", ("site",)),
    ("Size search", ("size",)),
    ("Jigs", ("jig",)),
    ("Paper", ("product", "plan")),
)
"""Heading, then the tables of the variant file below it: our own order, outside to paper."""


def control_groups() -> list[dict[str, Any]]:
    """Return the groups: ``{"heading", "controls": [...]}``, every setting in exactly one.

    A control is ``{"key", "label", "kind", "meaning", "allowed", "auto", "low", "high",
    "among"}``; ``low`` and ``high`` of a length are mm, of a count or number plain numbers.
    """
    known = tables()
    return [
        {
            "heading": heading,
            "controls": [_control(one) for name in names for one in known[name][1]],
        }
        for heading, names in GROUPS
    ]


def _control(setting: Setting) -> dict[str, Any]:
    """Return one setting as data for its control."""
    low, high = setting.low, setting.high
    if setting.kind == "length":
        low, high = (round(read_length(end), 4) for end in (low, high))
    return {
        "key": setting.key,
        "label": setting.key.partition(".")[2].replace("_", " "),
        "kind": setting.kind,
        "meaning": setting.meaning,
        "allowed": setting.allowed,
        "auto": setting.may_be_auto,
        "low": low,
        "high": high,
        "among": list(setting.among) or _names(setting.key),
    }


def _names(key: str) -> list[str]:
    """Return the names that a free choice takes, where they are known beforehand."""
    if key == "face.front":
        return sorted(FACE_PATTERNS)
    if key in ("face.sides", "face.back"):
        return ["same", *sorted(FACE_PATTERNS)]
    if key in ("lumber.board", "lumber.post"):
        return sorted(shipped_stock())
    return ["same", *sorted(shipped_stock())] if key in ("lumber.cap", "lumber.strip") else []
