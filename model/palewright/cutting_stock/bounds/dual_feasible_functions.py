"""A lower bound on boards without any search: parts weighed by how badly they share a board.

Every part is weighed by a function of its width times a function of its length. Both are dual
feasible: numbers that sum to at most 1 have weights that do, so that what one board holds weighs
1 at most, however it is cut, and the weights' sum is a bound. The functions that are tried: the
share itself; shares above 1 - e as a whole and below e as nothing; so many to a board (S. P.
Fekete, J. Schepers, "New classes of fast lower bounds for bin packing problems", Mathematical
Programming 91 (2001) 11-31; products for two dimensions: "A general framework for bounds for
higher-dimensional orthogonal packing problems", Mathematical Methods of Operations Research 60
(2004) 311-329).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from palewright.cutting_stock.problem.float_noise import TINY
from palewright.cutting_stock.problem.integer_units import IntegerProblem, integer_problem
from palewright.cutting_stock.problem.records import PartDemand, SawSettings, StockBoard
from palewright.cutting_stock.problem.search_settings import SETTINGS
from palewright.geometry.arrays import Floats


def quick_bound(demand: Sequence[PartDemand], board: StockBoard, saw: SawSettings) -> float:
    """Boards, in fractions of one, that no plan falls below.

    Raises CuttingError where there is no plan.
    A slanted part counts with half of what a shared cut can save at each of its ends, so that
    a row of parts is never shorter than the sum.
    """
    problem = integer_problem(demand, [board], saw)
    return boards_weighed(problem) if problem.parts else 0.0


def boards_weighed(problem: IntegerProblem) -> float:
    """As `quick_bound`, of a question with parts, on boards like its first."""
    stock = problem.stock[0]
    least = [part.length - sum(part.ends.savings) / 2 for part in problem.parts]
    lengths = np.maximum(np.array(least), 1.0) / stock.length
    widths = problem.widths / stock.width
    return float((_weighed(widths) * problem.counts @ _weighed(lengths).T).max())


def length_weights(shares: Floats) -> Floats:
    """Block lengths (n,), as shares of the board, by each function: (functions, n).

    What one board holds weighs 1 at most in every row.
    """
    splits = sorted({max(share, 1 - share) for share in shares.tolist()} - {0.5, 1.0})
    return np.unique(_by_each(shares, splits, SETTINGS.most_in_a_row), axis=0)


def _weighed(shares: Floats) -> Floats:
    """The shares (m,) by each function that is tried: (functions, m)."""
    splits = list(set(shares[shares > 0.5].tolist()))
    return _by_each(shares, splits, SETTINGS.most_to_a_board)


def _by_each(shares: Floats, splits: Sequence[float], most: int) -> Floats:
    """The shares (m,) as they are, split at 1 less each of some, and counted up to so many.

    (functions, m); all of a kind at once, since few shares are asked for often.
    """
    return np.vstack((shares, _split(shares, 1 - np.array(splits)), _counted(shares, most)))


def _split(shares: Floats, least: Floats) -> Floats:
    """Shares of at least 1 - `least` as 1, below `least` as nothing, others as they are.

    By each least (n,): (n, m).
    """
    low = least[:, None]
    whole = shares >= 1 - low - TINY
    return np.where(whole, 1.0, np.where(shares < low + TINY, 0.0, shares))


def _counted(shares: Floats, most: int) -> Floats:
    """X where (number + 1) x is whole, else the next lower whole number over `number`.

    By each number from 1 to the most: (numbers, m).
    """
    numbers = np.arange(1, most + 1)[:, None]
    times = (numbers + 1) * shares
    even = np.abs(times - np.rint(times)) < TINY
    return np.where(even, shares, np.floor(times) / numbers)


def whole_boards(bound: float) -> int:
    """The least whole number of boards that is not below a bound."""
    return math.ceil(bound - 1e-6)
