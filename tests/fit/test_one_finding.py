"""One finding asked for alone is the one that the whole verdict has: cures are sought that way.

What is asked for alone is found by the checks that say that they tell its code. One that told more
than it says would be left out there, and not in the verdict.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from oracle_variants import MOST_BOARDS, drawn
from palewright.catalogue.lumber import LUMBER_CASES
from palewright.construction.box_layout import lay_out
from palewright.fit.cases import CHECKS, DESIGN_CHECKS
from palewright.fit.findings import CODES, Finding
from palewright.fit.verdict import Judging, judge
from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import load_variant
from palewright.reading.errors import InputError


def assert_alone_as_with_all(parameters: Parameters) -> int:
    """Every finding of a box, asked for in each lumber and in all, is there or gone as it is in the
    verdict there; returns how often it was gone."""
    keys = {one.key for one in judge(parameters).findings} | {
        (code, "pieces") for code in ("PW203", "PW205")
    }
    gone = 0
    for cases in ((), *((case,) for case in LUMBER_CASES), LUMBER_CASES):
        findings = judge(parameters, cases).findings
        box = Judging(parameters)
        for key in sorted(keys, key=str):
            whole = [one for one in findings if one.key == key]
            alone = box.found(key, cases)
            assert [plain(one) for one in alone] == [plain(one) for one in whole], (key, cases)
            gone += not whole
    return gone


def plain(finding: Finding) -> Finding:
    """Return a finding without its lumber case, which who asks for it alone knows."""
    return replace(finding, case="")


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        # uneven boards, whose screws bridge gaps that are too wide
        (drawn(79).base, drawn(79).settings),
        # loose pieces that follow from a screw that misses, beside findings of all other kinds
        ("gate-pair", ["screws.post=#8 x 1-1/4 in", "panel.stile_width=1-3/4 in"]),
        ("stoop-tub", ["panel.stile_width=1-3/4 in", "panel.lip=1-3/8 in", "floor.play=1 in"]),
        ("winter-tub", ["tree.stand_diameter=30 in", "cap.width=11 in"]),
        ("bean-tower", ["trellis.bars=14", "trellis.height=20 in", "liner.fit=false"]),
    ],
)
def test_a_finding_asked_for_alone_is_the_verdicts(name: str, typed: Sequence[str]) -> None:
    assert assert_alone_as_with_all(load_variant(name, typed).parameters) > 0


@pytest.mark.thorough
def test_a_finding_of_any_box_asked_for_alone_is_the_verdicts() -> None:
    told = 0
    for number in range(5000, 5025):
        one = drawn(number)
        try:
            parameters = load_variant(one.base, one.settings).parameters
            if len(lay_out(parameters).boards) > MOST_BOARDS:
                continue
        except InputError:
            continue
        told += assert_alone_as_with_all(parameters)
    assert told > 75


def test_every_code_but_the_kernels_is_told_by_a_check() -> None:
    told = frozenset().union(*CHECKS.values(), *DESIGN_CHECKS.values())
    assert told == CODES.keys() - {"PW801"}
