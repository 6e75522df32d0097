"""One list of changes: it cures all faults in one go, and has no setting too many."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from case_lists import mostly_thorough, thorough
from palewright.construction.box_layout import Box, lay_out
from palewright.fit.cures import WAYS, steps_of
from palewright.fit.findings import Change
from palewright.fit.mending import Mending, mended
from palewright.fit.trials import applied
from palewright.fit.verdict import Verdict, judge
from palewright.parameters.schema import settings
from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright.reading.errors import InputError
from palewright.reading.lengths import print_length, read_length

Broken = tuple[str, list[str], Parameters, Verdict]

LENGTHS = [
    ("box.width", 9, 40), ("box.depth", 9, 30), ("box.height", 6, 36), ("box.foot", 0.25, 4),
    ("panel.stile_width", 1, 5.5), ("panel.rail_width", 1, 5.5), ("panel.lip", 0.5, 3),
    ("panel.setback", 0, 2), ("face.brace_width", 1, 4), ("cap.width", 1, 7),
    ("cap.overhang", 0, 4), ("floor.play", 0, 1), ("floor.cleat_width", 0.5, 3),
    ("wall.safe_rip", 1, 4), ("tree.stand_diameter", 8, 30), ("tree.stand_height", 4, 18),
    ("screws.pitch", 2, 10),
]  # fmt: skip
WORDS = [
    "wall.layout=equal", "wall.layout=filler", "corner.style=post", "floor.kind=hung",
    "screws.corner=#8 x 1 in", "screws.wall=#8 x 1-1/4 in", "cap.style=none", "face.front=cross",
    "lumber.board=fence-34",
]  # fmt: skip


def broken(seed: int, names: list[str]) -> Broken | None:
    """A random variant with faults; None if it has none, or cannot be laid out."""
    rng = random.Random(seed)
    name = rng.choice(names)
    typed = [
        f"{key}={rng.randint(round(low * 8), round(high * 8)) / 8} in"
        for key, low, high in rng.sample(LENGTHS, rng.randint(1, 2))
    ]
    typed += [rng.choice(WORDS)] if rng.random() < 0.4 else []
    try:
        box = load_variant(name, typed).parameters
        verdict = judge(box)
    except InputError:
        return None
    return None if verdict.passed else (name, typed, box, verdict)


def brute_cure(box: Parameters, verdict: Verdict) -> Change | None:
    """A single setting of those that the faults name that cures, over its whole stated range."""
    keys: dict[str, None] = {}
    for finding in verdict.findings:
        ways = WAYS.get(finding.code, ()) if finding.severity == "fault" else ()
        for way in ways:
            keys |= {one.key: None for one in steps_of(way, finding, box) if one is not None}
    for key in keys:
        setting = settings()[key]
        values: Iterator[str] = iter(setting.among)
        if setting.kind == "length":
            low, high = read_length(setting.low), read_length(setting.high)
            steps = (low + (high - low) * i / 23 for i in range(24))
            values = (print_length(step, box.product.units) for step in steps)
        for value in values:
            change = Change(key, value)
            try:
                tried = applied(box, [change])
                if judge(tried, ("nominal",)).passed and judge(tried).passed:
                    return change
            except InputError:
                continue
    return None


def wrong(verdict: Verdict) -> tuple[int, int]:
    counts = [one.severity for one in verdict.findings]
    return counts.count("fault"), counts.count("warning")


def assert_mends(found: Broken, mending: Mending) -> None:
    """Typed beside what broke it, the list cures; without any one of it, it does not as well."""
    name, typed, _, _ = found
    told = [f"{one.key}={one.value}" for one in mending.changes]
    after = judge(load_variant(name, [*typed, *told]).parameters)
    assert after.passed, (typed, told)
    assert wrong(after)[1] == len(mending.left)
    for one in told if len(told) > 1 else ():
        less = [other for other in told if other != one]
        try:
            assert wrong(judge(load_variant(name, [*typed, *less]).parameters)) > wrong(after)
        except InputError:
            continue


def assert_all_mended(seeds: range, names: list[str]) -> int:
    """Every broken variant is cured in one go, but where brute force finds no cure either."""
    mended_ones = 0
    for seed in seeds:
        found = broken(seed, names)
        if found is None:
            continue
        mending = mended(found[2], found[3])
        if mending is None:
            assert (cure := brute_cure(found[2], found[3])) is None, (seed, found[:2], cure)
            continue
        assert_mends(found, mending)
        mended_ones += 1
    return mended_ones


@pytest.mark.thorough
def test_random_broken_variants_are_cured_in_one_go() -> None:
    assert assert_all_mended(range(100, 105), ["stoop-tub", "sill-box", "winter-tub"]) > 1


@pytest.mark.thorough
@pytest.mark.parametrize("chunk", range(12))
def test_hundreds_of_broken_variants_are_cured_in_one_go(chunk: int) -> None:
    names = sorted(shipped_variants())
    assert assert_all_mended(range(1000 + 25 * chunk, 1025 + 25 * chunk), names) > 2


@pytest.mark.parametrize(
    ("name", "typed", "keys"),
    [
        # three faults of a tree's stand, each with a remedy of its own
        thorough(("stoop-tub", ["box.kind=tree", "tree.stand_diameter=18 in"],
                  {"floor.kind", "box.width", "box.depth"})),
        thorough(("winter-tub", ["tree.stand_diameter=30 in"], {"box.width", "box.depth"})),
        # several faults, one setting
        ("winter-tub", ["tree.stand_height=14 in"], {"box.height"}),
        ("stoop-tub", ["panel.rail_width=1 in"], {"panel.rail_width"}),
        thorough(("stoop-tub", ["panel.stile_width=1 in"], {"panel.stile_width"})),
        # remedies that once led nowhere
        ("stoop-tub", ["floor.kind=hung"], {"floor.kind"}),
        ("stoop-tub", ["floor.play=1 in"], {"floor.play"}),
        thorough(("stoop-tub", ["corner.style=post", "lumber.post=fence-58"], {"corner.style"})),
    ],
)  # fmt: skip
def test_the_list_is_as_short_as_it_can_be(name: str, typed: list[str], keys: set[str]) -> None:
    box = load_variant(name, typed).parameters
    verdict = judge(box)
    mending = mended(box, verdict)
    assert mending is not None
    assert {one.key for one in mending.changes} == keys
    assert_mends((name, typed, box, verdict), mending)


@pytest.mark.thorough
@pytest.mark.parametrize("stand", mostly_thorough([16, 18, 22], 18))
def test_a_square_box_stays_square(stand: int) -> None:
    typed = ["box.kind=tree", f"tree.stand_diameter={stand} in"]
    for name, square in (("stoop-tub", True), ("herb-trough", False)):
        box = load_variant(name, typed).parameters
        mending = mended(box, judge(box))
        assert mending is not None and mending.verdict.passed
        sides = {one.value for one in mending.changes if one.key in ("box.width", "box.depth")}
        assert len(sides) == 1 or not square


def test_what_nothing_cures_is_taken_back_as_far_as_needed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where no step cures, what was changed goes back, but only what is to blame."""
    typed = ["screws.corner=#8 x 1 in", "box.width=20 in"]
    box = load_variant("stoop-tub", typed).parameters
    back = [Change("screws.corner", "#8 x 2 in"), Change("box.width", "19 in")]
    monkeypatch.setattr("palewright.fit.mending.steps_of", lambda *_: ())
    verdict = judge(box)
    unasked = Verdict(verdict.cases, tuple(replace(one, changes=()) for one in verdict.findings))
    assert mended(box, unasked) is None
    mending = mended(box, unasked, back)
    assert mending is not None and mending.taken_back
    assert mending.changes == (back[0],)


def test_a_sound_box_has_no_list_and_costs_no_work(monkeypatch: pytest.MonkeyPatch) -> None:
    box = load_variant("stoop-tub").parameters
    verdict = judge(box)
    monkeypatch.setattr("palewright.fit.verdict.lay_out", None)
    assert mended(box, verdict, [Change("box.width", "20 in")]) is None


@pytest.mark.thorough
def test_the_work_is_counted_and_the_answer_always_the_same(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    import palewright.fit.mending as module
    import palewright.fit.verdict as verdicts

    asked: list[int] = []

    def counted(*asked_for: Any) -> Box:
        asked.append(1)
        return lay_out(*asked_for)

    typed = ["trellis.height=96 in", "trellis.bars=30", "trellis.strip_width=4 in"]
    box = load_variant("bean-tower", typed).parameters
    verdict = judge(box)
    monkeypatch.setattr(verdicts, "lay_out", counted)
    monkeypatch.setattr(module, "WORK", 18)
    first = mended(box, verdict)
    once = len(asked)
    assert mended(box, verdict) == first
    # with far steps too, each to a last verdict
    assert 0 < once == len(asked) - once <= 2 * (18 + 6)
