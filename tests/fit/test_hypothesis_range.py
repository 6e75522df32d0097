"""Whatever the parameters within their stated ranges: a verdict or an input error, never a crash.

What the verdict says of clashes, seats, points and stock sizes is said again by predicates that
share no code with the checks, of boxes that fit and of boxes that do not: convex bodies are
separated or intersected here by the separating axis theorem and by qhull, not by the model's
prisms; clearances are measured again on the boards' corners.
"""

from __future__ import annotations

import os
from functools import cached_property
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog
from scipy.spatial import ConvexHull, HalfspaceIntersection

from any_variants import ANY_VARIANT, likely_settings, near_settings, tables
from case_lists import tried
from palewright.catalogue.lumber import LUMBER_CASES, piles_of
from palewright.construction.boards import Board
from palewright.construction.box_layout import Box, lay_out
from palewright.construction.face_patterns import FACE_PATTERNS
from palewright.fit.cures import cured
from palewright.fit.trials import applied
from palewright.fit.verdict import Verdict, judge
from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import parameters_from
from palewright.reading.errors import InputError


class Body:
    """A board as a convex body, from its corners alone: half-spaces, face normals, edges."""

    def __init__(self, board: Board) -> None:
        self.name = board.name
        self.points = np.array(board.corners)
        half = len(self.points) // 2
        ring, up = self.points[:half], self.points[half] - self.points[0]
        edges = np.roll(ring, -1, axis=0) - ring
        self.normals = unit(np.vstack((np.cross(edges, up), up)))
        self.edges = unit(np.vstack((edges, up)))
        self.low, self.high = self.points.min(axis=0), self.points.max(axis=0)

    @cached_property
    def half_spaces(self) -> np.ndarray:
        """Rows (normal, offset) with normal · p + offset ≤ 0 inside, by qhull."""
        return ConvexHull(self.points).equations

    def entered(self, other: Body) -> float:
        """How deep it stands in another by the separating axis theorem, mm; ≤ 0: not at all."""
        mixed = np.cross(self.edges[:, None], other.edges[None, :]).reshape(-1, 3)
        axes = np.vstack((self.normals, other.normals, unit(mixed)))
        a, b = axes @ self.points.T, axes @ other.points.T
        depth = np.minimum(a.max(axis=1), b.max(axis=1)) - np.maximum(a.min(axis=1), b.min(axis=1))
        return float(depth.min())

    def shared_volume(self, other: Body) -> float:
        """The volume that it shares with another, mm³, by half-space intersection in qhull."""
        rows = np.vstack((self.half_spaces, other.half_spaces))
        sizes = np.linalg.norm(rows[:, :3], axis=1)
        roomiest = linprog(
            (0, 0, 0, -1),
            np.column_stack((rows[:, :3], sizes)),
            -rows[:, 3],
            bounds=[(None, None)] * 3 + [(0, None)],
        )
        if not roomiest.success or roomiest.x[3] < 1e-7:
            return 0.0
        corners = HalfspaceIntersection(rows, roomiest.x[:3]).intersections
        return float(ConvexHull(corners).volume)


def unit(rows: np.ndarray) -> np.ndarray:
    """Rows of some length, scaled to one."""
    sizes = np.linalg.norm(rows, axis=1)
    return rows[sizes > 1e-9] / sizes[sizes > 1e-9, None]


def overlapping(box: Box, least: float = 0.98) -> list[tuple[str, str, float]]:
    """Pairs of boards that share more than so many mm³, found without the model's prisms."""
    bodies = [Body(board) for board in box.boards.values()]
    low, high = (np.array([getattr(one, name) for one in bodies]) for name in ("low", "high"))
    shared = np.minimum(high[:, None], high[None, :]) - np.maximum(low[:, None], low[None, :])
    near = np.argwhere(np.triu((shared > 1e-6).all(axis=2), 1))
    found = []
    for first, second in ((bodies[i], bodies[j]) for i, j in near):
        if first.entered(second) > 1e-6:
            volume = first.shared_volume(second)
            if volume > least:
                found.append((first.name, second.name, volume))
    return found


def seat_clearances(box: Box) -> tuple[float, float]:
    """Least clearance (mm) of side panels from the outer staves' ends and faces, all corners."""
    lips, setbacks = [], []
    for side, sign in (("left", -1), ("right", 1)):
        for wall, back in (("front", -1), ("back", 1)):
            outer = [b for b in box.boards.values() if b.panel == wall and is_stave(b)]
            inner = [b for b in box.boards.values() if b.panel == side and is_stave(b)]
            nearest = max(inner, key=lambda b: max(back * p[1] for p in b.corners))
            last = max(outer, key=lambda b: max(sign * p[0] for p in b.corners))
            face = min(sign * p[0] for p in nearest.corners)
            lips.append(face - max(sign * p[0] for p in last.corners))
            wall_face = min(back * p[1] for p in last.corners)
            setbacks.append(wall_face - max(back * p[1] for p in nearest.corners))
    return min(lips), min(setbacks)


def is_stave(board: Board) -> bool:
    """Whether a board is a stave of a wall, ripped or not."""
    return board.role in ("stave", "filler")


def strays(box: Box) -> list[float]:
    """How far (mm) each screw's point is outside the board it should hold in, by the hulls."""
    bodies = {name: Body(board) for name, board in box.boards.items()}
    return [
        float((bodies[one.stack[-1]].half_spaces @ np.array([*one.tip, 1.0])).max())
        for one in box.screws
    ]


def verdict_of(said: dict[str, Any]) -> tuple[Parameters, Verdict] | InputError:
    """Return the verdict on what a variant file says, or the complaint that refuses it."""
    try:
        parameters = parameters_from(said, {})
        return parameters, judge(parameters)
    except InputError as error:
        assert error.key, f"refused without a key: {error}"
        assert "\n" not in error.message
        return error


def assert_true(said: dict[str, Any]) -> str:
    """A verdict or a refusal; and the verdict is true by predicates of this file's own.

    Returns in a word what it came to.
    """
    judged = verdict_of(said)
    if isinstance(judged, InputError):
        return f"refused: {judged.key}"
    parameters, verdict = judged
    assert {case.case for case in verdict.cases} == set(LUMBER_CASES)
    for finding in verdict.findings:
        data = finding.as_json()
        assert finding.message
        assert all(np.isfinite(float(data[key])) for key in ("measured", "limit"))  # type: ignore[arg-type]
    codes = {finding.code for finding in verdict.findings} | verdict.implied
    told = {frozenset(f.boards) for f in verdict.findings if f.code == "PW101"}
    met: set[frozenset[str]] = set()
    worst = {"PW102": 0.0, "point": 0.0, "PW703": 0.0, "PW704": 0.0}
    for result in verdict.cases:
        boxes = [lay_out(parameters, result.case, pile) for pile in piles_of(result.case)]
        piles = [overlapping(box) for box in boxes]
        met |= {frozenset(pair[:2]) for pairs in piles for pair in pairs}
        sure = max(sum(volume > 1.02 for *_, volume in pairs) for pairs in piles)
        assert sure <= result.clashes <= max(map(len, piles))
        for box in boxes:
            lip, setback = seat_clearances(box)
            assert result.seat_least <= max(lip, setback) + 1e-6
        point = max((stray for box in boxes for stray in strays(box)), default=0.0)
        faults = {"PW102": -result.seat_least, "point": point}
        for board in (board for box in boxes for board in box.boards.values()):
            assert board.stock.thinnest <= board.thickness <= board.stock.thickest
            squared = board.stock.true_length - 2 * parameters.saw.trim
            faults["PW703"] = max(faults.get("PW703", 0.0), board.length - squared)
            faults["PW704"] = max(faults.get("PW704", 0.0), board.width - board.stock.true_width)
        worst = {name: max(worst[name], much) for name, much in faults.items()}
    # a clash that is told is there, and one that is there is told
    assert told <= met
    assert not met or told or "PW102" in codes
    points = codes & {"PW301", "PW302"}
    for name, much in worst.items():
        if much > 1e-3:
            assert points if name == "point" else name in codes, name
        elif name != "point" and much < 1e-7:
            assert name not in codes, name
    if verdict.passed:
        assert not met and max(worst.values()) < 1e-3
    return "passed" if verdict.passed else "does not fit"


EXAMPLES = int(os.environ.get("PALEWRIGHT_EXAMPLES", "0"))
"""How many random variants to try instead of the suite's own, the same in every run."""


def tries(usual: int) -> settings:
    """How a whole-range test runs: always the same examples, or as many new ones as asked."""
    return settings(
        max_examples=EXAMPLES or tried(usual),
        derandomize=not EXAMPLES,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )


@tries(120)
@given(ANY_VARIANT)
def test_any_parameters_give_a_true_verdict_or_a_refusal(said: dict[str, Any]) -> None:
    event(assert_true(said))


@pytest.mark.thorough
@tries(20)
@given(st.builds(tables, st.one_of(near_settings(), likely_settings()), st.just({})))
def test_the_changes_that_a_finding_names_cure_it(said: dict[str, Any]) -> None:
    judged = verdict_of(said)
    if isinstance(judged, InputError):
        return
    parameters, verdict = judged
    for finding in cured(parameters, verdict).findings:
        if not finding.changes:
            continue
        again = judge(applied(parameters, finding.changes))
        left = [(one.code, one.group or one.boards) for one in again.findings]
        assert (finding.code, finding.group or finding.boards) not in left, finding.remedy


@pytest.mark.parametrize("pattern", sorted(FACE_PATTERNS))
def test_a_box_of_each_pattern_is_judged_truly(pattern: str) -> None:
    said = {"face": {"front": pattern}, "box": {"width": "24 in", "height": "20 in"}}
    assert assert_true(said) == "passed"
