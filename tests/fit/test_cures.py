"""Remedies: what a finding says to change makes it go, and brings nothing as bad."""

from __future__ import annotations

import random
from functools import cache
from typing import Any

import pytest

from case_lists import mostly_thorough
from palewright.catalogue.lumber import shipped_stock
from palewright.construction.box_layout import Box, lay_out
from palewright.construction.face_patterns import FACE_PATTERNS
from palewright.design import design
from palewright.fit.cures import WAYS, WORK, cured
from palewright.fit.findings import CODES, SEVERITIES, Change, Finding
from palewright.fit.trials import applied
from palewright.fit.verdict import Verdict, judge
from palewright.parameters.schema import settings
from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import load_variant, parameters_from, shipped_variants
from palewright.reading.errors import InputError
from palewright_drawings.output.terminal import PIPED, plain
from palewright_drawings.texts.check_text import findings_text
from shipped_designs import shipped

Flat = dict[str, Any]


def parameters_of(flat: Flat) -> Parameters:
    """Return the parameters of flat settings."""
    said: dict[str, Any] = {}
    for key, value in flat.items():
        *tables, name = key.split(".")
        table = said
        for one in tables:
            table = table.setdefault(one, {})
        table[name] = value
    return parameters_from(said, {})


def assert_cures(flat: Parameters, before: Verdict, finding: Finding) -> None:
    """The changes of a finding are settings, and after them it is gone and nothing as bad there."""
    assert {one.key for one in finding.changes} <= settings().keys()
    after = judge(applied(flat, finding.changes))
    left = {(one.code, one.group or one.boards) for one in after.findings}
    assert (finding.code, finding.group or finding.boards) not in left, finding.remedy
    known = {one.code for one in before.findings} | before.implied
    worst = SEVERITIES.index(finding.severity)
    fresh = {f.code for f in after.findings if SEVERITIES.index(f.severity) <= worst} - known
    assert not fresh, (finding.code, finding.remedy)


def assert_told_shortly(findings: tuple[Finding, ...]) -> None:
    """Each fault and warning takes two lines of the terminal at most, in one system of units."""
    for finding in findings:
        if finding.severity == "note":
            continue
        for system in ("inch", "metric"):
            lines = plain(findings_text([finding], system)).splitlines()
            assert len(lines) <= 2, lines
            assert all(len(line) <= PIPED for line in lines), lines


TREE: Flat = {
    "box.kind": "tree", "floor.kind": "none", "box.width": "26 in", "box.depth": "26 in"
}  # fmt: skip
POST: Flat = {"corner.style": "post", "box.width": "24 in"}
LADDER: Flat = {"trellis.fit": True, "box.width": "24 in"}
CURABLE: dict[str, Flat] = {
    "PW101": LADDER | {"trellis.bars": 14, "trellis.height": "20 in"},
    "PW102": {"panel.lip": "5/8 in"},
    "PW104": {"panel.lip": "1-15/16 in"},
    "PW105": {"panel.side_stile_width": "3 in"},
    "PW201": LADDER | {"trellis.uprights": 8},
    "PW203": {"panel.stile_width": "1-3/4 in", "panel.lip": "1-3/8 in"},
    "PW205": POST | {"box.foot": "6 in"},
    "PW301": POST | {"screws.post": "#8 x 1-1/4 in"},
    "PW302": {"screws.wall": "#8 x 1-1/4 in"},
    "PW303": {"screws.wall": "#8 x 1-3/32 in"},
    "PW304": {"screws.corner": "#10 x 2 in"},
    "PW307": POST | {"panel.stile_width": "1-3/4 in"},
    "PW308": POST | {"panel.stile_width": "1-11/16 in"},
    "PW309": {"panel.stile_width": "9-17/32 in"},
    "PW310": {"screws.corner": "#8 x 1 in"},
    "PW401": TREE | {"floor.kind": "cleats", "tree.halves": True},
    "PW501": {"floor.gap": "1/16 in"},
    "PW502": {"floor.gap": "1 in", "liner.fit": False},
    "PW503": {"floor.kind": "hung"},
    "PW504": {"floor.play": "5/32 in"},
    "PW505": {"box.foot": "1/4 in"},
    "PW601": TREE | {"tree.stand_diameter": "23 in"},
    "PW602": TREE | {"tree.stand_height": "15 in"},
    "PW603": TREE | {"cap.width": "11 in"},
    "PW604": TREE | {"cap.width": "10 in"},
    "PW605": TREE | {"cap.width": "11 in"},
    "PW701": {"floor.cleat_width": "1-1/4 in"},
    "PW703": {"box.width": "72 in"},
    "PW704": {"panel.stile_width": "5-1/2 in"},
    "PW903": {"site.stands_on": "deck"},
    "PW905": {"site.plant_height": "6 ft"},
    "PW906": {"site.pull": "40 lbf", "box.width": "14 in"},
    "PW911": {"box.width": "30 in", "box.depth": "26 in", "box.height": "24 in"},
    "PW914": {"trellis.fit": True},
    "PW922": {"box.width": "34 in", "box.height": "30 in"},
    "PW926": {"screws.coating": "zinc"},
    "PW927": {"trellis.fit": True},
    "PW931": {"wall.gap": "0 in", "wall.layout": "equal"},
    "PW933": {"liner.fit": False},
    "PW934": {"floor.gap": "0 in"},
}  # fmt: skip
"""By code, a box whose finding is cured by what it says."""

LONG = {"PW101", "PW205", "PW301", "PW401", "PW601", "PW603", "PW605"} | {
    "PW703", "PW911", "PW914", "PW922", "PW927", "PW903", "PW201", "PW303", "PW926", "PW934",
    "PW502", "PW604", "PW503", "PW701", "PW203",
}  # fmt: skip
"""Codes whose cure takes most of a second or more: of boxes with trellises, posts or trees and of
large ones, of which each kind has another code among the rest."""

OTHERS = {
    "PW202": "comes with other findings of its joint",
    "PW902": "no box of the tool's range but the very largest, and those have more than one fault",
    "PW912": "as PW902: what breaks is far from what holds",
    "PW923": "as PW902",
}
"""Codes of which no box is known that has the finding, alone and curable; why."""


@cache
def told(code: str) -> tuple[Parameters, Verdict, Verdict]:
    """Return a code's box, its verdict, and the verdict with remedies."""
    box = parameters_of(CURABLE[code])
    verdict = judge(box)
    return box, verdict, cured(box, verdict)


def test_each_fault_and_warning_has_settings_that_bear_on_it() -> None:
    ours = {"PW801"}  # the tool's own mistake: no setting mends it
    judged = {c for c, one in CODES.items() if one.severity != "note"} - ours
    assert set(WAYS) == judged == set(CURABLE) | set(OTHERS)


@pytest.mark.parametrize("code", mostly_thorough(sorted(CURABLE), *(set(CURABLE) - LONG)))
def test_a_code_is_cured_by_what_its_finding_says(code: str) -> None:
    box, before, after = told(code)
    found = [one for one in after.findings if one.code == code]
    assert found, [one.code for one in after.findings]
    assert all(one.changes for one in found), [one.remedy for one in found]
    for finding in found:
        assert_cures(box, before, finding)
        for change in finding.changes:
            assert f"{change.key} to {change.value}" in finding.remedy
    assert_told_shortly(after.findings)


def drawn(seed: int) -> Parameters | None:
    """Return a random variant, its sizes in eighths of an inch; None if it is refused."""
    rng = random.Random(seed)

    def eighths(low: float, high: float) -> str:
        return f"{rng.randint(round(low * 8), round(high * 8)) / 8} in"

    among: list[tuple[str, float, Any]] = [
        ("box.width", 0.8, lambda: eighths(9, 40)),
        ("box.depth", 0.8, lambda: eighths(9, 30)),
        ("box.height", 0.6, lambda: eighths(6, 36)),
        ("box.foot", 0.3, lambda: eighths(0.25, 3)),
        ("panel.stile_width", 0.4, lambda: eighths(1.5, 5.5)),
        ("panel.rail_width", 0.4, lambda: eighths(1.5, 5.5)),
        ("panel.lip", 0.15, lambda: eighths(0.5, 3)),
        ("panel.setback", 0.15, lambda: eighths(0, 2)),
        ("face.front", 0.5, lambda: rng.choice(sorted(FACE_PATTERNS))),
        ("face.brace_width", 0.3, lambda: eighths(1.5, 3)),
        ("wall.layout", 0.4, lambda: rng.choice(["equal", "filler"])),
        ("wall.gap", 0.2, lambda: eighths(0, 0.25)),
        ("cap.style", 0.3, lambda: rng.choice(["mitre", "butt", "none"])),
        ("cap.width", 0.3, lambda: eighths(2, 5)),
        ("corner.style", 0.3, lambda: rng.choice(["edge", "post"])),
        ("floor.kind", 0.2, lambda: rng.choice(["cleats", "none", "hung"])),
        ("floor.gap", 0.3, lambda: eighths(0, 1)),
        ("floor.rise", 0.3, lambda: eighths(1.5, 12)),
        ("liner.fit", 0.3, lambda: rng.choice(["true", "false"])),
        ("screws.wall", 0.2, lambda: f"#{rng.choice([6, 8, 10])} x {eighths(0.75, 1.25)}"),
        ("screws.corner", 0.2, lambda: f"#{rng.choice([6, 8, 10])} x {eighths(1, 2.5)}"),
        ("screws.pitch", 0.2, lambda: eighths(3, 10)),
        ("screws.coating", 0.1, lambda: rng.choice(["zinc", "plain"])),
        ("lumber.board", 0.3, lambda: rng.choice(sorted(shipped_stock()))),
        ("trellis.fit", 0.15, lambda: rng.choice(["true", "false"])),
    ]
    name = rng.choice(sorted(shipped_variants()))
    typed = [f"{key}={draw()}" for key, share, draw in among if rng.random() < share]
    try:
        return load_variant(name, typed).parameters
    except InputError:
        return None


def assert_all_cured(seed: int) -> tuple[int, int]:
    """Every remedy of a random variant cures; returns how many findings have one, and of how many.

    The work is bounded, and each finding that has none says so.
    """
    box = drawn(seed)
    if box is None:
        return 0, 0
    try:
        before = judge(box)
    except InputError:
        return 0, 0
    found = [f for f in cured(box, before).findings if f.severity != "note"]
    assert [(f.code, f.message) for f in found] == [
        (f.code, f.message) for f in before.findings if f.severity != "note"
    ]
    for finding in found:
        if finding.changes:
            assert_cures(box, before, finding)
        else:
            assert "tried" in finding.remedy
    assert_told_shortly(tuple(found))
    return sum(bool(f.changes) for f in found), len(found)


@pytest.mark.thorough
def test_remedies_of_random_variants_cure_them() -> None:
    counts = [assert_all_cured(seed) for seed in range(4)]
    # most are cured: else the test above tries nothing
    assert sum(done for done, _ in counts) > 0.7 * sum(all_ for _, all_ in counts) > 3


@pytest.mark.thorough
@pytest.mark.parametrize("chunk", range(4))
def test_remedies_of_many_random_variants_cure_them(chunk: int) -> None:
    counts = [assert_all_cured(1000 + 25 * chunk + seed) for seed in range(25)]
    assert sum(done for done, _ in counts) > 0.6 * sum(all_ for _, all_ in counts) > 9


SENT_ROUND = [
    "panel.side_rail_width=7-1/8 in", "trellis.play=2.4 mm", "trellis.height=973.2 mm",
    "box.width=18-1/2 in", "box.depth=16-3/4 in", "wall.layout=equal", "floor.gap=3/8 in",
    "tree.spout=1-1/8 in", "panel.side_stile_width=3-5/16 in", "tree.stand_diameter=11-7/8 in",
    "stock.mine.thickness=9/16 in", "stock.mine.thickness_spread=2.9 mm",
    "stock.mine.width=6-11/16 in", "stock.mine.width_spread=3.6 mm", "stock.mine.length=96 in",
    'stock.mine.price="4.00"', "lumber.board=mine",
]  # fmt: skip
"""Settings of a crate in which two checks ask for opposite things, found by the thorough tests."""


@pytest.mark.timeout(120)
@pytest.mark.thorough
def test_two_checks_that_ask_for_opposite_things_do_not_send_each_other_round() -> None:
    box = design(load_variant("terrace-crate", SENT_ROUND).parameters)
    assert not box.verdict.passed
    assert [finding.code for finding in box.cured.findings] == [
        finding.code for finding in box.verdict.findings
    ]


@pytest.mark.thorough
def test_trying_is_bounded_lazy_and_always_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    import palewright.fit.cures as module
    import palewright.fit.verdict as verdicts

    asked: list[int] = []

    def counted(*asked_for: Any) -> Box:
        asked.append(1)
        return lay_out(*asked_for)

    box = parameters_of({"panel.stile_width": "1 in", "box.height": "30 in", "liner.fit": False})
    verdict = judge(box)
    first = cured(box, verdict)
    monkeypatch.setattr(verdicts, "lay_out", counted)
    assert cured(box, verdict) == first
    assert 0 < len(asked) <= WORK + 6
    asked.clear()
    monkeypatch.setattr(module, "WORK", 18)
    assert cured(box, verdict) != first
    assert 0 < len(asked) <= 18 + 6
    sound = parameters_of({})
    fine = judge(sound)
    asked.clear()
    assert cured(sound, fine) == fine and not asked


def test_what_is_applied_is_what_the_command_line_would_set() -> None:
    said = [
        ("box.width", "21-1/2 in"), ("liner.fit", "false"), ("screws.wall", "#6 x 1 in"),
        ("trellis.bars", "7"), ("panel.lip", "auto"),
    ]  # fmt: skip
    changes = [Change(*one) for one in said]
    typed = [f"{one.key}={one.value}" for one in changes]
    assert (
        applied(load_variant("stoop-tub").parameters, changes)
        == load_variant("stoop-tub", typed).parameters
    )


@pytest.mark.parametrize("name", shipped_variants())
def test_a_shipped_variant_has_nothing_to_mend(name: str) -> None:
    findings = shipped(name).verdict.findings
    assert {one.severity for one in findings} <= {"note"}, [one.message for one in findings]
    assert len({one.code for one in findings}) == len(findings)  # one note a cause


def test_findings_that_one_change_mends_stand_together() -> None:
    one = Finding("PW203", ("a",), 2.0, 1.0, "count", "a is loose", "", (Change("k", "1 in"),))
    other = Finding("PW701", ("a",), 1.0, 2.0, "mm", "a is 1 in (25.4 mm)", "", one.changes)
    apart = Finding("PW504", ("b",), 1.0, 2.0, "mm", "b is short", "plane it")
    note = Finding("PW305", ("b",), 1.0, 2.0, "mm", "near", "clamp it")
    assert plain(findings_text([one, apart, other, note], "inch")).splitlines() == [
        "fault PW203: a is loose",
        "fault PW701: a is 1 in",
        "      set k to 1 in",
        "fault PW504: b is short",
        "      plane it",
        "1 note: --notes",
    ]
    assert "25.4 mm" in plain(findings_text([other], "metric"))
    assert "clamp it" in plain(findings_text([note], "inch", notes=True))
