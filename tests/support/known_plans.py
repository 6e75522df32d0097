"""Equal questions to the saw planner are answered once in a process.

`plan_cuts` has one answer to a question, which `test_same_everywhere` and `test_cut_*` hold it to
without this; what asks through a design, a price or a command asks the same few questions again.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from asked_once import asked_instead
from palewright.cutting_stock import CutPlan, plan_cuts
from palewright.cutting_stock.problem import work_clock
from palewright.cutting_stock.sawing import labour_search
from palewright.sawing import stock_plans

_KNOWN: dict[Any, tuple[CutPlan, list[tuple[str, float]]]] = {}
"""A plan and what was told on the way, by all that was asked."""


def known_plan(
    demand: Any, stock: Any, saw: Any, *, progress: Callable[[str, float], None] | None = None,
    **asked: Any,
) -> CutPlan:  # fmt: skip
    """Return what `plan_cuts` returns, tell what it tells and count what it counts as work."""
    if work_clock._break.get() is not None:  # what the clock may break off has no one answer
        return plan_cuts(demand, stock, saw, progress=progress, **asked)
    key = tuple(demand), tuple(stock), saw, labour_search.FEW_BOARDS, *sorted(asked.items())
    if key not in _KNOWN:
        told: list[tuple[str, float]] = []

        def tell(what: str, share: float) -> None:
            told.append((what, share))
            if progress:
                progress(what, share)

        _KNOWN[key] = plan_cuts(demand, stock, saw, progress=tell, **asked), told
        return _KNOWN[key][0]
    plan, told = _KNOWN[key]
    work_clock.spend(plan.seconds)
    for one in told if progress else ():
        progress(*one)
    return plan


equal_plans_once = asked_instead(stock_plans, "plan_cuts", known_plan)
"""Have designs, prices and commands of this process ask `known_plan`, in fixtures too."""


@pytest.fixture
def settings_as_they_come(monkeypatch: pytest.MonkeyPatch) -> None:
    """Have no work spent on fewer saw settings: for what holds of every plan."""

    def hurried(*asked: Any, **more: Any) -> CutPlan:
        return known_plan(*asked, **{**more, "setup_time": 0.0})

    monkeypatch.setattr(stock_plans, "plan_cuts", hurried)


@pytest.fixture
def few_boards_as_many(monkeypatch: pytest.MonkeyPatch) -> None:
    """Have a batch of few boards weighed at the saw as a large one is, without the search over all
    its settings at once, which takes seconds a batch: for what holds of every price."""
    weigh_few_as_many(monkeypatch)


def weigh_few_as_many(patch: pytest.MonkeyPatch) -> None:
    """As `few_boards_as_many`, as long as a patch stands: for a fixture of a whole module."""
    patch.setattr(labour_search, "FEW_BOARDS", 0)


@pytest.fixture
def plans_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    """Have every plan made again, for a test that two are the same."""
    monkeypatch.setattr(stock_plans, "plan_cuts", plan_cuts)
