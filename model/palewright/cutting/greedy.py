"""A first plan at once: fill one board as full as can be, cut as many like it as are of use.

Sequential filling by area, big parts first where the areas are alike; the plan is seldom best,
but its fillings are a good start for pricing and it is there whatever happens.
"""

from __future__ import annotations

import time
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from palewright.cutting.choices import Choice, Question
from palewright.cutting.covering import Column, column_of

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]

FAVOUR = 1.06


def greedy_cover(
    question: Question, areas: Floats, alone: Sequence[Column], seconds: float
) -> Choice | None:
    """A cover by full boards, or None where the boards at hand do not suffice.

    areas: (m,) of the parts; alone: for each part a column of nothing else, which what is left
    when `seconds` are over is cut by.
    """
    worth = (areas / areas.max()) ** FAVOUR
    rest = question.demand.copy()
    left = [kind.available for kind in question.kinds]
    end = time.monotonic() + seconds
    taken: list[tuple[Column, int]] = []
    while rest.any():
        if time.monotonic() > end:
            taken += _alone(alone, rest)
            break
        column = _fullest(question, np.where(rest > 0, worth, 0.0), rest, left)
        if column is None:
            return None
        held = column.counts > 0
        number = int(np.min(rest[held] // column.counts[held]))
        supply = left[column.kind]
        if supply is not None:
            number = min(number, supply)
            left[column.kind] = supply - number
        rest -= number * column.counts
        taken.append((column, number))
    return Choice(tuple(taken), sum(c.cost * n for c, n in taken), 0)


def _alone(alone: Sequence[Column], rest: Ints) -> list[tuple[Column, int]]:
    return [
        (column, int(-(-rest[part] // column.counts[part])))
        for part, column in enumerate(alone)
        if rest[part]
    ]


def _fullest(
    question: Question, worth: Floats, rest: Ints, left: list[int | None]
) -> Column | None:
    """The filling worth most for its price; boards that cost nothing come first."""
    best, best_rate = None, 0.0
    for k, kind in enumerate(question.kinds):
        if left[k] == 0:
            continue
        found = kind.filler.restricted(rest).quick(worth)
        if not len(found.values) or found.values[0] <= 0:
            continue
        rate = float(found.values[0]) / max(kind.cost, 1e-6)
        if rate > best_rate:
            best, best_rate = column_of(found, 0, k, kind.cost), rate
    return best
