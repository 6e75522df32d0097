"""Variants drawn from the whole range of every setting, as tables of a variant file."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from palewright.catalogue.lumber import Stock, shipped_species, shipped_stock
from palewright.catalogue.screws import GAUGES
from palewright.construction.face_patterns import FACE_PATTERNS
from palewright.parameters.schema import keys_of
from palewright.parameters.schema import settings as every_setting
from palewright.reading.fields import Setting, setting_of
from palewright.reading.lengths import read_length

FINE = 1000
"""Lengths are drawn in steps of a thousandth of a millimetre."""


def lengths(low: str, high: str) -> st.SearchStrategy[str]:
    """Every length of a range, both ends included, as a variant file writes it."""
    first, last = (round(read_length(text) * FINE) for text in (low, high))
    if first / FINE < read_length(low):
        first += 1
    if last / FINE > read_length(high):
        last -= 1
    steps = st.integers(first, last).map(lambda n: f"{n / FINE:.3f} mm")
    return st.one_of(steps, st.sampled_from([low, high]))


SCREW_NAMES = st.builds(
    lambda gauge, eighths: f"#{gauge} x {eighths}/8 in",
    st.sampled_from(sorted(GAUGES)),
    st.integers(4, 48),
)


def values(one: Setting) -> st.SearchStrategy[Any]:
    """Every value that a setting allows."""
    table, _, name = one.key.partition(".")
    if one.kind == "length":
        range_of = lengths(str(one.low), str(one.high))
        return st.one_of(st.just("auto"), range_of) if one.may_be_auto else range_of
    if one.kind == "count":
        return st.integers(int(one.low or 0), int(one.high or 0))
    if one.kind == "yes or no":
        return st.booleans()
    if one.kind == "quantity":
        low, unit = str(one.low).split()
        high = str(one.high).split()[0]
        steps = st.integers(int(low) * 100, int(high) * 100)
        return steps.map(lambda n: f"{n / 100:.2f} {unit}")
    if one.among:
        return st.sampled_from(one.among)
    if table == "screws":
        return SCREW_NAMES
    if table == "face":
        return st.sampled_from([*FACE_PATTERNS, *([] if name == "front" else ["same"])])
    if table == "lumber":
        same = [] if name in ("board", "post") else ["same"]
        return st.sampled_from([*shipped_stock(), "mine", *same])
    return st.text(st.characters(exclude_categories=("Cc", "Cs")), max_size=20)


@st.composite
def own_stock(draw: st.DrawFn) -> dict[str, Any]:
    """Every stock that a maker may describe, most spreads no more than half the size."""
    found: dict[str, Any] = {}
    for name, info in Stock.model_fields.items():
        one = setting_of(info)
        if one.kind == "length":
            found[name] = draw(lengths(str(one.low), str(one.high)))
    for name in ("thickness", "width", "length"):
        half, spread = (read_length(found[key]) for key in (name, f"{name}_spread"))
        if spread > half / 2 and draw(st.integers(0, 19)):
            found[f"{name}_spread"] = f"{spread % (half / 2):.6f} mm"
    found["species"] = draw(st.sampled_from(sorted(shipped_species())))
    found["price"] = draw(st.integers(0, 10_000).map(lambda cents: f"{cents / 100:.2f}"))
    return found


KEYS = [key for key in keys_of() if key not in ("product.title", "product.note")]
EVERY_VALUE = {key: values(one) for key, one in every_setting().items()}


@st.composite
def near_settings(draw: st.DrawFn) -> dict[str, Any]:
    """A few settings anywhere in their ranges, the others at their defaults."""
    chosen = draw(st.lists(st.sampled_from(KEYS), max_size=8, unique=True))
    return {key: draw(EVERY_VALUE[key]) for key in chosen}


@st.composite
def likely_settings(draw: st.DrawFn) -> dict[str, Any]:
    """Boxes of sizes that a shop makes, with any construction: many of these fit."""
    said: dict[str, Any] = {
        "box.width": draw(lengths("14 in", "48 in")),
        "box.depth": draw(lengths("12 in", "24 in")),
        "box.height": draw(lengths("10 in", "30 in")),
        "face.front": draw(st.sampled_from([*FACE_PATTERNS])),
    }
    choices = [key for key, one in every_setting().items() if one.among or one.kind == "yes or no"]
    for key in (*choices, "face.sides", "face.back", "lumber.board", "lumber.seed"):
        said[key] = draw(EVERY_VALUE[key])
    return said | draw(near_settings()) if draw(st.integers(0, 3)) == 3 else said


WHOLE_RANGE = st.fixed_dictionaries(EVERY_VALUE)


def tables(flat: dict[str, Any], mine: dict[str, Any]) -> dict[str, Any]:
    """Flat settings and an own stock as the tables of a variant file."""
    said: dict[str, Any] = {}
    for key, value in flat.items():
        table, _, name = key.partition(".")
        said.setdefault(table, {})[name] = value
    if mine:
        said["stock"] = {"mine": mine}
    elif "mine" in flat.values():
        for name, value in said["lumber"].items():
            said["lumber"][name] = "fence-58" if value == "mine" else value
    return said


ANY_VARIANT = st.builds(
    tables,
    st.one_of(near_settings(), near_settings(), likely_settings(), likely_settings(), WHOLE_RANGE),
    st.one_of(st.just({}), own_stock()),
)
