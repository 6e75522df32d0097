"""How many of each offer to build, hours and boards being scarce: a small integer program.

Box by box, the k-th box of an offer earns what it brings with the chance that it is sold, less
what it costs; it takes hours and boards. The first box also carries the batch's set-up. An offer's
boxes come in order, so a choice is a 0-1 program over boxes, solved exactly (HiGHS).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Ladder:
    """One offer, box by box: what each further box earns on average, and what it takes.

    Attributes:
        earns: expected gain of the k-th box; negative where it loses.
        hours: hours of the k-th box.
        boards: boards of the k-th box, in fractions.
        due: place of its market in the order of their dates, from 0.
    """

    earns: tuple[float, ...]
    hours: tuple[float, ...]
    boards: tuple[float, ...]
    due: int


def best_numbers(
    ladders: Sequence[Ladder], hours: Sequence[float], boards: float | None
) -> tuple[int, ...]:
    """Return how many boxes of each offer earn the most together.

    Args:
        ladders: the offers.
        hours: hours there are before each market, in the order of their dates; may be infinite.
        boards: boards for all; None for no limit.
    """
    import highspy
    import numpy as np

    from palewright.cutting.solver import INFINITY, quiet_model

    if not any(ladder.earns for ladder in ladders):
        return (0,) * len(ladders)  # the solver calls a program of nothing an error
    model = quiet_model()
    model.setOptionValue("mip_rel_gap", 0.0)
    model.setOptionValue("mip_abs_gap", 1e-7)
    model.setOptionValue("random_seed", 7)
    firsts, count = [], 0
    for ladder in ladders:
        firsts.append(count)
        for gain in ladder.earns:
            model.addCol(-gain, 0.0, 1.0, 0, np.empty(0, np.int32), np.empty(0))
            count += 1
    for column in range(count):
        model.changeColIntegrality(column, highspy.HighsVarType.kInteger)

    def limit(most: float, columns: Sequence[int], weights: Sequence[float]) -> None:
        """Keep a weighted sum of boxes at or below a limit."""
        model.addRow(
            -INFINITY, most, len(columns), np.array(columns, np.int32), np.array(weights, float)
        )

    for first, ladder in zip(firsts, ladders, strict=True):
        for k in range(1, len(ladder.earns)):  # the k-th box comes before the next
            limit(0.0, [first + k, first + k - 1], [1.0, -1.0])
    for place, most in enumerate(hours):
        early = [(f, one) for f, one in zip(firsts, ladders, strict=True) if one.due <= place]
        columns = [f + k for f, one in early for k in range(len(one.hours))]
        if columns:
            limit(most, columns, [x for _, one in early for x in one.hours])
    if boards is not None:
        limit(boards, list(range(count)), [x for one in ladders for x in one.boards])
    model.run()
    if model.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        raise ArithmeticError(f"the solver stopped: {model.getModelStatus()}")
    values = list(model.getSolution().col_value)
    return tuple(
        sum(round(values[first + k]) for k in range(len(ladder.earns)))
        for first, ladder in zip(firsts, ladders, strict=True)
    )
