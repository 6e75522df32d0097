"""The plan's page on weight and strength says what the loads say, and no price."""

from __future__ import annotations

import math
import re

import pytest

from palewright.design import Design, design
from palewright.measures import POUND
from palewright.variant_files import load_variant, shipped_variants
from palewright_drawings.plan_loads import loads

VARIANTS = shipped_variants()


def box(name: str, *settings: str) -> Design:
    return design(load_variant(name, settings).parameters, name)


@pytest.mark.parametrize("name", VARIANTS)
def test_every_row_is_worked_out_from_the_loads(name: str) -> None:
    of = box(name)
    rows = dict(loads(of)["rows"])
    assert len(rows) == len(loads(of)["rows"])
    weights, stance = of.loads.weights, of.loads.stance
    told = {what: float(re.match(r"[\d.]+", much)[0]) for what, much in rows.items()  # type: ignore[index]
            if re.match(r"\d[\d.]* lb ", much)}  # fmt: skip
    assert told["empty"] * POUND == pytest.approx(weights.empty.mass, abs=0.25)
    for words, heap in (("dry", weights.dry), ("watered", weights.moist),
                        ("soaked", weights.saturated)):  # fmt: skip
        key = f"filled, {words}"
        assert (key in rows) == weights.filled
        if weights.filled:
            assert told[key] * POUND == pytest.approx(heap.mass, abs=0.25)
    for bent in of.loads.bent:
        if bent.allowed is not None:
            share = float(rows[f"worst {bent.role}, bending"].split()[0])
            assert share >= 100 * bent.stress / bent.allowed - 0.51
    gust = [share for what, share in rows.items() if what.endswith(", then")]
    assert bool(gust) == of.parameters.trellis.fit
    if of.loads.trellis is not None:
        over = {f.code for f in of.verdict.findings} & {"PW914", "PW927"}
        assert {int(share.split()[0]) > 100 for share in gust} == {bool(over)}
    assert ("watered, a wind tips it from" in rows) == (
        weights.filled and math.isfinite(stance.wind)
    )


def test_warnings_come_with_their_numbers_and_calm_boxes_have_none() -> None:
    assert not loads(box("winter-tub"))["warnings"]
    tower = loads(box("bean-tower"))["warnings"]
    assert len(tower) == 7 and all(re.search(r"\d", text) for text in tower)
    calm = loads(box("stoop-tub"))
    assert any("56 psf" in text and "40 psf" in text for text in calm["warnings"])
    assert any("outside the standard's scope" in text for text in calm["warnings"])
    assert dict(calm["rows"])["a deck is designed for"].startswith("40 psf")
    assert any("end tag" in text for text in calm["woods"])
    moves = next(told for what, told in calm["rows"] if what.startswith("a stave"))
    assert " in (" in moves and " mm)" in moves


def test_no_price_is_in_it_and_it_defers() -> None:
    found = str(loads(box("stoop-tub")))
    assert not re.search(r"\b(price|cost|margin|wage)\b", found)
    assert "local code" in found and "licensed" in found
