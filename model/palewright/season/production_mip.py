"""How many of each offer to build, hours and boards being scarce: a small integer program.

Each number of boxes of an offer is one way to build it; of each offer one way is taken, or none.
Solved exactly (HiGHS).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class OfferWay:
    """So many boxes of one offer.

    Attributes:
        boxes: 1 or more.
        earns: what they earn on average; negative where they lose.
        hours: at the bench.
        boards: to buy.
    """

    boxes: int
    earns: float
    hours: float
    boards: float


def best_numbers(
    offers: Sequence[Sequence[OfferWay]],
    due: Sequence[int],
    hours: Sequence[float],
    boards: float | None,
) -> tuple[int, ...]:
    """Return how many boxes of each offer earn the most together; 0 is always allowed.

    Args:
        offers: the ways to build each; none where no box of it may be built.
        due: place of each offer's market in the order of their dates, from 0.
        hours: hours there are before each market, in that order; may be infinite.
        boards: boards for all; None for no limit.
    """
    import numpy as np

    from palewright.cutting_stock.master.highs import INFINITY, is_optimal, make_whole, quiet_model

    ways = [(i, way) for i, some in enumerate(offers) for way in some]
    if not ways:
        return (0,) * len(offers)
    model = quiet_model()
    model.setOptionValue("mip_rel_gap", 0.0)
    model.setOptionValue("mip_abs_gap", 1e-7)
    model.setOptionValue("random_seed", 7)
    model.setOptionValue("mip_allow_restart", False)
    for heuristic in ("rens", "rins", "root_reduced_cost", "feasibility_jump"):
        # the program is so small that it is branched on in half the time that these take
        model.setOptionValue(f"mip_heuristic_run_{heuristic}", False)
    for _, way in ways:
        model.addCol(-way.earns, 0.0, 1.0, 0, np.empty(0, np.int32), np.empty(0))
    make_whole(model)

    def limit(most: float, columns: Sequence[int], weights: Sequence[float]) -> None:
        """Keep a weighted sum of ways at or below a limit."""
        model.addRow(
            -INFINITY, most, len(columns), np.array(columns, np.int32), np.array(weights, float)
        )

    for i in range(len(offers)):
        mine = [column for column, (offer, _) in enumerate(ways) if offer == i]
        limit(1.0, mine, [1.0] * len(mine))
    for place, most in enumerate(hours):
        early = [column for column, (offer, _) in enumerate(ways) if due[offer] <= place]
        limit(most, early, [ways[column][1].hours for column in early])
    if boards is not None:
        limit(boards, list(range(len(ways))), [way.boards for _, way in ways])
    model.run()
    if not is_optimal(model):
        raise ArithmeticError(f"the solver stopped: {model.getModelStatus()}")
    numbers = [0] * len(offers)
    for (offer, way), value in zip(ways, model.getSolution().col_value, strict=True):
        numbers[offer] += way.boxes * round(value)
    return tuple(numbers)
