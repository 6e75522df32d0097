"""The fewest saw settings that are found, against counts by hand and by trying all covers."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from case_lists import mostly_thorough
from palewright.cutting_stock.master.integer_master import Cover, CoveringProblem
from palewright.cutting_stock.sawing import few_settings
from shipped_designs import shipped

SETTINGS = {
    "bean-tower": 36, "gate-pair": 29, "herb-trough": 37, "market-gable": 20, "porch-cube": 20,
    "sill-box": 27, "stoop-tub-wide": 25, "stoop-tub": 20, "terrace-crate": 23,
    "winter-tub-small": 16, "winter-tub": 29,
}  # fmt: skip
"""What an integer program over all known patterns found before slope scaling did."""


@pytest.mark.parametrize("name", mostly_thorough(SETTINGS, "stoop-tub", "terrace-crate"))
def test_no_shipped_variant_takes_a_setting_more_than_it_did(name: str) -> None:
    assert sum(one.plan.setups.count for one in shipped(name).saw_plans) <= SETTINGS[name]


@pytest.mark.parametrize("seed", range(12))
def test_a_small_cover_has_as_few_settings_as_any(seed: int) -> None:
    draws = np.random.default_rng(seed)
    parts, settings, boards = 3, 8, 3
    counts = draws.permutation(np.unique(draws.integers(0, 3, (10, parts)), axis=0))
    board_patterns = len(counts)
    needs = [frozenset(draws.choice(settings, 3, replace=False).tolist()) for _ in counts]
    demand = counts[draws.integers(0, board_patterns, boards)].sum(0)

    def covered(some: tuple[int, ...]) -> bool:
        return bool((counts[list(some)].sum(0) >= demand).all())

    def needed(some: tuple[int, ...]) -> int:
        return len(frozenset().union(*(needs[i] for i in some)))

    covers = list(
        filter(covered, itertools.combinations_with_replacement(range(board_patterns), boards))
    )
    worst = max(covers, key=needed)
    columns = [few_settings.Column(row, 0, 1, lambda i=i: i) for i, row in enumerate(counts)]  # type: ignore[misc]
    start = Cover(tuple((columns[i], worst.count(i)) for i in sorted(set(worst))), boards, boards)
    covering = CoveringProblem(demand, [_Kind()], 1, 0.0, lambda *_: None)  # type: ignore[list-item]
    found = list(few_settings.fewer_settings(_Book(needs), covering, columns, start, boards))  # type: ignore[arg-type]
    told = [
        needed(tuple(i for c, n in one.columns for i in [c.recipe()] * n))  # type: ignore[misc]
        for one in found
    ]
    assert told == sorted(set(told), reverse=True)
    assert min([needed(worst), *told]) == min(map(needed, covers))


class _Kind:
    available = None
    on_hand = False


class _Facts:
    def __init__(self, settings: frozenset[int]) -> None:
        self.settings = settings


class _Book:
    """Settings by the pattern's number, for a stock of one kind."""

    def __init__(self, needs: list[frozenset[int]]) -> None:
        self.needs = needs
        self.problem = type("Stock", (), {"stock": [_Kind()]})()

    def of(self, _kind: int, number: int) -> _Facts:
        return _Facts(self.needs[number])
