"""Patterns put together from known blocks: the most valuable against trying all."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from palewright.cutting_stock.problem.patterns import BlockRecipe
from palewright.cutting_stock.sawing.labour_pool import GRID, PoolBlocks

BLOCK = st.tuples(st.integers(1, 9), st.booleans(), st.floats(-1, 5))


def blocks_of(lengths: list[int], clipped: list[bool], room: int) -> PoolBlocks:
    """PoolBlocks of these lengths; nothing else counts here."""
    size = len(lengths)
    return PoolBlocks(
        recipes=(BlockRecipe(()),) * size,
        taken=np.array(lengths, np.int64),
        clipped=np.array(clipped, bool),
        counts=np.zeros((size, 1), np.int64),
        cuts=np.zeros(size),
        needs=np.zeros((size, 0), bool),
        room=room,
        cost=0.0,
        bare=np.zeros(0, bool),
    )


@hypothesis_settings(deadline=None, max_examples=150)
@given(st.lists(BLOCK, min_size=1, max_size=6), st.integers(1, 14))
def test_no_other_board_of_known_blocks_is_worth_more(
    rows: list[tuple[int, bool, float]], room: int
) -> None:
    lengths, clipped, values = map(list, zip(*rows, strict=True))
    blocks = blocks_of([GRID * n for n in lengths], clipped, GRID * room)
    found = list(blocks.best(np.array(values)))
    best = 0.0
    for count in range(1, room + 1):
        for some in itertools.combinations_with_replacement(range(len(rows)), count):
            fits = sum(lengths[i] for i in some) <= room
            if fits and sum(clipped[i] for i in some) <= 1:
                best = max(best, sum(values[i] for i in some))
    for value, inside in found:
        assert sum(lengths[i] for i in inside) <= room
        assert sum(clipped[i] for i in inside) <= 1
        assert value == pytest.approx(sum(values[i] for i in inside))
    assert max((value for value, _ in found), default=0.0) == pytest.approx(best, abs=1e-9)
    for least in (0.3 * best, best):
        assert list(blocks.best(np.array(values), least)) == [
            one for one in found if one[0] > least
        ]


def test_blocks_a_hair_too_long_for_a_board_are_left_out() -> None:
    # each rounds down to four cells, three of them fill twelve, and are three units too long
    blocks = blocks_of([4 * GRID + 1], [False], 12 * GRID)
    assert list(blocks.best(np.array([1.0]))) == []
