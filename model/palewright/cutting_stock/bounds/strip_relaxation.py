"""A bound by strips: boards that parts take at least if strips could be crosscut anywhere.

Every block of a board is ripped by some pattern of widths that fit side by side, and each strip of
it is as long as the block. So blocks of every pattern, so long that each width has the length that
its parts ask, are a linear program over patterns, a relaxation of every plan: what widths leave
beside each other is counted, what lengths leave behind each other is not. Its dual prices of widths
are the best weights that `dual_feasible_functions` could choose for widths, so that with lengths as
they are no bound by these is higher.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from palewright.cutting_stock.bounds.dual_feasible_functions import boards_weighed
from palewright.cutting_stock.master.highs import INFINITY, add_columns, is_optimal, quiet_model
from palewright.cutting_stock.problem.integer_units import IntegerProblem, integer_problem
from palewright.cutting_stock.problem.records import PartDemand, SawSettings, StockBoard
from palewright.cutting_stock.problem.work_clock import CALL, spend

_MOST_PATTERNS = 3000
"""Of more no program is made: the bound is then that of the weights."""


def strip_bound(demand: Sequence[PartDemand], board: StockBoard, saw: SawSettings) -> float:
    """Boards, in fractions of one, that no plan falls below; no less than `quick_bound`.

    Raises CuttingError where there is no plan.
    """
    return boards_in_strips(integer_problem(demand, [board], saw))


def boards_in_strips(problem: IntegerProblem) -> float:
    """Return the `strip_bound` of a problem with one kind of board, in units."""
    if not problem.parts:
        return 0.0
    stock = problem.stock[0]
    lengths: dict[int, float] = {}
    for part in problem.parts:
        least = max(part.length - sum(part.ends.savings) / 2, 1.0)
        lengths[part.width] = lengths.get(part.width, 0.0) + part.count * least / stock.length
    widths = sorted(lengths, reverse=True)
    patterns = []
    for pattern in _patterns(widths, stock.width):
        patterns.append(pattern)
        if len(patterns) > _MOST_PATTERNS:
            return boards_weighed(problem)
    model = quiet_model()
    model.setOptionValue("presolve", "off")  # twice as quick: a dozen rows have nothing to spare
    for width in widths:
        model.addRow(lengths[width], INFINITY, 0, [], [])
    add_columns(model, np.ones(len(patterns)), np.array(patterns))
    model.run()
    spend(CALL * (4 + len(patterns) / 20))
    found = model.getInfo().objective_function_value if is_optimal(model) else 0.0
    return max(float(found) * (1 - 1e-9), boards_weighed(problem))


def _patterns(widths: Sequence[int], room: int) -> Iterator[list[int]]:
    """Yield how often each width lies side by side, where nothing more fits beside it."""
    if not widths:
        yield []
        return
    width, rest = widths[0], widths[1:]
    for count in range(room // width, -1, -1):
        left = room - count * width
        if not rest and left >= width:
            return
        for others in _patterns(rest, left):
            yield [count, *others]
