"""A first plan at once: fill one board as full as can be, cut as many like it as are of use.

Sequential pattern by area, big parts first where the areas are alike; the plan is seldom best,
but its patterns are a good start for pricing and it is there whatever happens.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from palewright.cutting_stock.master.integer_master import Cover, CoveringProblem
from palewright.cutting_stock.master.restricted_master import Column, column_of
from palewright.cutting_stock.problem.search_settings import SETTINGS
from palewright.cutting_stock.problem.work_clock import now
from palewright.geometry.arrays import Floats, Ints


def greedy_cover(
    covering: CoveringProblem, areas: Floats, alone: Sequence[Column], seconds: float, most: float
) -> Cover | None:
    """Return a cover by full boards, or None where the boards at hand do not suffice.

    Args:
        covering: what is to be covered.
        areas: (m,) of the parts.
        alone: for each part a column of nothing else.
        seconds: of counted work; what is left then is cut by what is known.
        most: patterns found; what is left then likewise.
    """
    worth, end = (areas / areas.max()) ** SETTINGS.area_favour, now() + seconds
    rest, taken = covering.demand.copy(), list[tuple[Column, int]]()
    left, blocks = [kind.available for kind in covering.kinds], SETTINGS.least_blocks
    for one in _filled(covering, worth, rest, left, blocks):
        taken.append(one)
        if rest.any() and (now() > end or len(taken) >= most):
            free = [c for c, _ in taken if covering.kinds[c.kind].available is None]
            return _cover_of([*taken, *_by_known((*free, *alone), rest, areas)])
    return None if rest.any() else _cover_of(taken)


def insistent_cover(
    covering: CoveringProblem, areas: Floats, boards: int, seconds: float
) -> Cover | None:
    """Return a cover, by so many boards if one is found; None where boards do not make all parts.

    Boards are filled one by one, again and again: what was left over becomes worth more, what was
    not a little less (squeaky wheel optimization: D. E. Joslin and D. P. Clements, Journal of
    Artificial Intelligence Research 10, 1999; cited from memory). Where boards are few it finds in
    a few rounds what rounding a linear program misses; it proves nothing.

    Args:
        covering: what is to be covered, with one kind of board and as many as one likes.
        areas: (m,) of the parts.
        boards: how many there may be.
        seconds: of counted work, after which no round begins but the first.
    """
    worth, end = (areas / areas.max()) ** SETTINGS.area_favour, now() + seconds
    rest, blocks = covering.demand.copy(), SETTINGS.filling_blocks
    taken = list(_filled(covering, worth, rest, [boards], blocks))
    missing = rest.copy()
    more = list(_filled(covering, worth, missing, [None], blocks))
    whole = None if missing.any() else _cover_of([*taken, *more])
    for _ in range(SETTINGS.fillings):
        if not rest.any():
            return _cover_of(taken)
        if now() > end:
            break
        share = rest / covering.demand
        worth *= np.where(rest > 0, 1 + SETTINGS.dearer * share, SETTINGS.cheaper)
        rest = covering.demand.copy()
        taken = list(_filled(covering, worth, rest, [boards], blocks))
    return whole


def _filled(
    covering: CoveringProblem, worth: Floats, rest: Ints, left: list[int | None], blocks: int
) -> Iterator[tuple[Column, int]]:
    """Yield boards filled one by one, with how many alike, as long as there are parts and boards.

    rest: (m,) parts to be made; left: boards of each kind. Both are brought down by what is filled.
    blocks: looked at for each board.
    """
    while rest.any():
        column = _fullest(covering, np.where(rest > 0, worth, 0.0), rest, left, blocks)
        if column is None:
            return
        held = column.counts > 0
        number = int(np.min(rest[held] // column.counts[held]))
        supply = left[column.kind]
        if supply is not None:
            number = min(number, supply)
            left[column.kind] = supply - number
        rest -= number * column.counts
        yield column, number


def _cover_of(taken: Sequence[tuple[Column, int]]) -> Cover:
    return Cover(tuple(taken), sum(c.cost * n for c, n in taken), 0)


def _by_known(columns: Sequence[Column], rest: Ints, areas: Floats) -> list[tuple[Column, int]]:
    """What is left cut by patterns that are known already, each time by the one of most use."""
    taken, rest = [], rest.copy()
    counts = np.array([column.counts for column in columns])
    costs = np.array([max(column.cost, 1e-6) for column in columns])
    while rest.any():
        best = int(np.argmax(np.minimum(counts, rest) @ areas / costs))
        held = (counts[best] > 0) & (rest > 0)
        number = max(1, int(np.min(rest[held] // counts[best][held])))
        taken.append((columns[best], number))
        rest = np.maximum(rest - number * counts[best], 0)
    return taken


def _fullest(
    covering: CoveringProblem, worth: Floats, rest: Ints, left: list[int | None], blocks: int
) -> Column | None:
    """The pattern worth most for its price; boards that cost nothing come first."""
    best, best_rate = None, 0.0
    for k, kind in enumerate(covering.kinds):
        if left[k] == 0:
            continue
        found = kind.pricing.restricted(rest).quick(worth, blocks)
        if not len(found.values) or found.values[0] <= 0:
            continue
        rate = float(found.values[0]) / max(kind.cost, 1e-6)
        if rate > best_rate:
            best, best_rate = column_of(found, 0, k, kind.cost), rate
    return best
