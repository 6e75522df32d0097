"""Every parameter as data for a control, in groups as the maker thinks of a box."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any

from palewright.catalogue.lumber import shipped_stock
from palewright.construction.face_patterns import FACE_PATTERNS
from palewright.parameters.schema import tables
from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright.reading.fields import Setting
from palewright.reading.lengths import read_length
from palewright_drawings.page.control_words import FIRST, SYNONYMS, name_of

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

SHAPES = ("box", "panel", "face", "wall", "cap", "floor", "liner", "tree", "trellis")
"""Tables whose lengths are sizes of the box or of its boards: what is known along them is told."""


@cache
def shaping() -> dict[str, tuple[float, float]]:
    """Return every length that shapes the box, with the least and greatest that it takes, mm."""
    return {
        one.key: (round(read_length(one.low), 4), round(read_length(one.high), 4))
        for name in SHAPES
        for one in tables()[name][1]
        if one.kind == "length"
    }


def control_groups() -> list[dict[str, Any]]:
    """Return the groups: ``{"heading", "controls": [...]}``, every setting in exactly one.

    A control is ``{"key", "label", "words", "first", "kind", "meaning", "allowed", "auto", "low",
    "high", "reach", "shapes", "among"}``; ``low`` and ``high`` of a length are mm, of a count or
    number plain numbers. ``words`` are others for its name, ``first`` its place among the dozen, or
    None; ``reach`` (mm) is where a slider's scale ends; ``shapes``: it is one of `shaping`.
    """
    known = tables()
    shipped = [load_variant(name).parameters for name in shipped_variants()]
    return [
        {
            "heading": heading,
            "controls": [_control(one, shipped) for name in names for one in known[name][1]],
        }
        for heading, names in GROUPS
    ]


_REACH = 1.25
"""A slider reaches so far beyond the largest shipped box: sizes past that are typed. Judgement."""


def _reach(setting: Setting, low: float, high: float, shipped: Sequence[Parameters]) -> float:
    """Return where a length's slider ends, mm: one scale for all values of all boxes."""
    table, _, name = setting.key.partition(".")
    said = [getattr(getattr(one, table), name) for one in shipped]
    known = (
        None not in said and max(said) > 0
    )  # what is auto in a box has a number of its own there
    return min(high, max(_REACH * max(said), 3 * low)) if known else high


def _control(setting: Setting, shipped: Sequence[Parameters]) -> dict[str, Any]:
    """Return one setting as data for its control."""
    low, high, reach = setting.low, setting.high, None
    if setting.kind == "length":
        least, most = (round(read_length(end), 4) for end in (low, high))
        low, high, reach = least, most, _reach(setting, least, most, shipped)
    return {
        "key": setting.key,
        "label": name_of(setting.key),
        "words": SYNONYMS.get(setting.key, ""),
        "first": FIRST.index(setting.key) if setting.key in FIRST else None,
        "kind": setting.kind,
        "meaning": setting.meaning,
        "allowed": setting.allowed,
        "auto": setting.may_be_auto,
        "low": low,
        "high": high,
        "reach": reach,
        "shapes": setting.key in shaping(),
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
