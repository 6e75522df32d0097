"""Every screw of ``report.json``: where it sits, how far it bites, when it is driven.

Bites are worked out again from the boards' corners alone, by clipping the screw's line with the
faces of the hull that qhull finds; order and steps from the steps of assembly.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from typing import Any

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from palewright.assembly.assembly_steps import assembly_steps
from palewright.catalogue.lumber import LUMBER_CASES, piles_of
from palewright.construction.boards import Board
from palewright.construction.box_layout import lay_out
from palewright.design import design
from palewright.parameters.variant_files import load_variant
from palewright.reading.errors import InputError
from palewright_drawings.documents.plan.steps import step_groups
from palewright_drawings.figures.assembly_steps import step_pictures
from palewright_drawings.json_reports.report import report

BOXES = {
    "stoop-tub": [],
    "bean-tower": [],
    "winter-tub": [],
    "gate-pair": [],
    "porch-cube": [],
    "market-gable": ["box.width=655 mm", "lumber.seed=7"],
    "herb-trough": ["box.width=31-5/16 in", "face.front=cross"],
}


@pytest.fixture(scope="module", params=BOXES)
def told(request: pytest.FixtureRequest) -> tuple[Any, dict[str, Any]]:
    box = design(load_variant(request.param, BOXES[request.param]).parameters, request.param)
    return box, report(box)


def line_in(board: Board, head: np.ndarray, axis: np.ndarray) -> tuple[float, float]:
    """Where a line enters and leaves a board, mm from the head, by the faces of its hull."""
    faces = ConvexHull(np.array(board.corners)).equations
    speed, room = faces[:, :3] @ axis, -(faces[:, :3] @ head + faces[:, 3])
    along = np.abs(speed) < 1e-9
    if (room[along] < -1e-6).any():
        return np.inf, -np.inf
    enter = max(room[i] / speed[i] for i in range(len(faces)) if not along[i] and speed[i] < 0)
    leave = min(room[i] / speed[i] for i in range(len(faces)) if not along[i] and speed[i] > 0)
    return float(enter), float(leave)


def test_every_screw_is_listed_once_in_its_place(told: tuple[Any, dict[str, Any]]) -> None:
    box, said = told
    wanted = [(s.use, s.kind.label, list(s.stack)) for s in box.box.screws]
    assert [(p["use"], p["screw"], p["boards"]) for p in said["screw_places"]] == wanted
    for screw, one in zip(box.box.screws, said["screw_places"], strict=True):
        assert one["head_mm"] == pytest.approx(screw.head, abs=1e-4)
        assert one["axis"] == pytest.approx(screw.axis, abs=1e-9)
    heads = {(*one["head_mm"], *one["axis"]) for one in said["screw_places"]}
    assert len(heads) == len(box.box.screws), "no two screws in one place"
    counted = Counter((one["use"], one["screw"]) for one in said["screw_places"])
    summed: Counter[tuple[str, str]] = Counter()
    for kind in said["screws"]:
        summed[kind["use"], kind["screw"]] += kind["count"]
    assert counted == summed


def test_boards_come_in_order_from_head_to_point(told: tuple[Any, dict[str, Any]]) -> None:
    box, said = told
    for one in said["screw_places"]:
        head, axis = np.array(one["head_mm"]), np.array(one["axis"])
        assert np.linalg.norm(axis) == pytest.approx(1.0, abs=1e-8)
        spans = [line_in(box.box.boards[name], head, axis) for name in one["boards"]]
        assert all(enter < leave for enter, leave in spans)
        assert spans[0][0] == pytest.approx(0.0, abs=0.01), "the head lies flush"
        assert [enter for enter, _ in spans] == sorted(enter for enter, _ in spans)


def test_bites_are_what_the_corners_give_in_every_lumber(told: tuple[Any, dict[str, Any]]) -> None:
    box, said = told
    for case in LUMBER_CASES:
        least: dict[str, float] = {}
        for pile in piles_of(case):
            laid = lay_out(box.parameters, case, pile)
            assert len(laid.screws) == len(said["screw_places"])
            for screw in laid.screws:
                board = laid.boards[screw.stack[-1]]
                enter, leave = line_in(board, np.array(screw.head), np.array(screw.axis))
                bite = max(0.0, min(leave, screw.kind.length) - max(enter, 0.0))
                least[screw.name] = min(bite, least.get(screw.name, bite))
        for screw, one in zip(box.box.screws, said["screw_places"], strict=True):
            assert one["bite_mm"][case] == pytest.approx(least[screw.name], abs=2e-3)


def test_a_screw_is_driven_when_its_boards_are_there(told: tuple[Any, dict[str, Any]]) -> None:
    box, said = told
    steps = assembly_steps(box.box)
    assert [one["number"] for one in said["steps"]] == list(range(1, len(steps) + 1))
    come: dict[str, int] = {}
    for one in said["steps"]:
        for name in one["boards"]:
            come.setdefault(name, one["number"])
    assert set(come) == set(box.box.boards), "every board comes on in some step"
    driven = defaultdict(list)
    for one in said["screw_places"]:
        step = steps[one["step"] - 1]
        driven[one["step"]].append(one)
        assert max(come[name] for name in one["boards"]) <= one["step"]
        panels = {name.partition(".")[0] for name in one["boards"]}
        if step.panels:  # one panel on the bench, or its twin
            assert len(panels) == 1
            assert panels <= set(step.panels)
        else:
            assert set(one["boards"]) <= {*step.standing, *step.added}
    # what the plan shows of the first of equal panels is in the report, once a panel
    for number, step in enumerate(steps, start=1):
        shown = Counter(screw.use for screw in step.screws)
        assert Counter(one["use"] for one in driven[number]) == Counter(
            {use: count * step.times for use, count in shown.items()}
        )


def test_steps_are_numbered_as_in_the_printed_plan() -> None:
    box = design(load_variant("porch-cube").parameters, "porch-cube")
    printed = [
        one.step for group in step_groups(list(step_pictures(box))) for one in group.pictures
    ]
    told = report(box)["steps"]
    assert isinstance(told, list)
    assert [one["text"] for one in told] == [step.text for step in printed]
    assert [tuple(one["panels"]) for one in told] == [step.panels for step in printed]


def test_the_boards_to_buy_are_told_with_their_proof_or_why_no_saw_plan_makes_them(
    told: tuple[Any, dict[str, Any]],
) -> None:
    box, found = told
    cut = found["cut"]
    if "refusal" in cut:
        with pytest.raises(InputError, match=re.escape(cut["refusal"])):
            _ = box.board_plans
        assert cut["proven"] is False
        return
    plans = [one.plan for one in box.board_plans]
    assert cut["boards"] == sum(plan.boards for plan in plans)
    assert cut["boards"] == sum(stock["boards"] for stock in cut["stocks"])
    assert cut["lower_bound"] <= cut["boards"]
    assert cut["proven"] == (cut["lower_bound"] == cut["boards"])
