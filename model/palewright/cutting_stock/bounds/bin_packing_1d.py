"""Lengths on boards: whether some pieces fit on so many, and the weights that say why not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from palewright.cutting_stock.master.highs import INFINITY, quiet_model
from palewright.cutting_stock.problem.float_noise import TINY
from palewright.cutting_stock.problem.search_settings import SETTINGS
from palewright.cutting_stock.problem.work_clock import CALL, spend
from palewright.geometry.arrays import Floats, Ints


@dataclass(frozen=True)
class PackingWeights:
    """Weights of lengths that no board holds more than 1 of.

    All pieces come to `boards`, so that they take as many boards at least.

    Attributes:
        lengths: rising (k,).
        weights: of each (k,).
    """

    lengths: Ints
    weights: Floats
    boards: float


def packed_rows(lengths: Sequence[int], rooms: Sequence[int]) -> list[list[int]] | None:
    """Return for each room the numbers of the pieces that lie in it.

    None where they do not fit, or where that is not found in a fixed number of steps.
    """
    order = sorted(range(len(lengths)), key=lambda i: -lengths[i])
    rows: list[list[int]] = [[] for _ in rooms]
    left, steps = list(rooms), 0

    def place(at: int, spare: int) -> bool:
        """Put the pieces from `at` on into the rooms; spare: length that may stay empty."""
        nonlocal steps
        steps += 1
        if at == len(order):
            return True
        if spare < 0 or steps > SETTINGS.packing_nodes:
            return False
        size, tried = lengths[order[at]], set()
        for k in sorted(range(len(left)), key=lambda k: left[k]):
            if left[k] < size or left[k] in tried:
                continue
            tried.add(left[k])
            left[k] -= size
            rows[k].append(order[at])
            least = lengths[order[-1]] if at + 1 < len(order) else 0
            lost = left[k] if left[k] < least else 0
            if place(at + 1, spare - lost):
                return True
            rows[k].pop()
            left[k] += size
        return False

    fits = place(0, sum(rooms) - sum(lengths))
    spend(steps * CALL / 30)
    return rows if fits else None


def packing_weights(pieces: Counter[int], room: int) -> PackingWeights | None:
    """Return the weights that the linear program of packing these pieces gives.

    None beyond a fixed number of steps. Source: P. C. Gilmore, R. E. Gomory, Operations Research 9
    (1961) 849-859.
    """
    lengths = np.array(sorted(pieces), dtype=np.int64)
    model = quiet_model()
    for size in lengths.tolist():
        model.addRow(float(pieces[size]), INFINITY, 0, [], [])
    rows = np.diag(room // lengths)
    for _ in range(SETTINGS.packing_rows):
        for row in rows:
            at = np.flatnonzero(row)
            model.addCol(1.0, 0.0, INFINITY, len(at), at.astype(np.int32), row[at].astype(float))
        model.run()
        weights = np.maximum(np.array(model.getSolution().row_dual), 0.0)
        spend(CALL)
        best = _heaviest(lengths, weights, room)
        if best is None:
            return None
        heaviest = float(best @ weights)
        if heaviest <= 1 + TINY:
            break
        rows = best[None]
    weights = weights / max(heaviest, 1.0) * (1 - TINY)
    total = sum(
        pieces[size] * weight for size, weight in zip(lengths.tolist(), weights, strict=True)
    )
    return PackingWeights(lengths, weights, float(total))


def _heaviest(lengths: Ints, weights: Floats, room: int) -> Ints | None:
    """Return how often each length lies in the heaviest row that the room holds."""
    order = [i for i in np.argsort(-weights / lengths).tolist() if weights[i] > TINY]
    rates = [float(weights[i] / lengths[i]) for i in order] + [0.0]
    row, best, most, steps = [0] * len(lengths), [0] * len(lengths), 0.0, 0

    def fill(place: int, left: int, weight: float) -> None:
        nonlocal most, best, steps
        steps += 1
        if weight > most + TINY:
            most, best = weight, list(row)
        if weight + left * rates[place] <= most + TINY or steps > SETTINGS.packing_nodes:
            return
        i = order[place]
        for copies in range(int(left // lengths[i]), -1, -1):
            row[i] = copies
            fill(place + 1, left - copies * int(lengths[i]), weight + copies * float(weights[i]))
        row[i] = 0

    fill(0, room, 0.0)
    spend(steps * CALL / 100)
    return None if steps > SETTINGS.packing_nodes else np.array(best, dtype=np.int64)
