"""Names for pieces: parts of one size are cut alike, but each is called as on its label."""

from __future__ import annotations

import numpy as np

from palewright.cutting_stock.problem.integer_units import IntegerProblem
from palewright.cutting_stock.problem.records import PartDemand
from palewright.geometry.arrays import Ints


class NameBook:
    """Hands out the names of the demand, each as often as it was asked for."""

    def __init__(self, problem: IntegerProblem) -> None:
        self.demands = [part.demands for part in problem.parts]
        self.left = [[demand.count for demand in part.demands] for part in problem.parts]

    def take(self, counts: Ints, boards: int) -> tuple[int, dict[int, list[PartDemand]]]:
        """Names for up to `boards` boards alike, each with `counts` (m,) pieces.

        Returns for how many boards the names serve and the names of each part's pieces.
        """
        chosen: dict[int, list[int]] = {}
        serves = boards
        for part in np.flatnonzero(counts):
            picks = self._picks(int(part), int(counts[part]))
            chosen[int(part)] = picks
            for name in set(picks):
                serves = min(serves, self.left[part][name] // picks.count(name))
        names: dict[int, list[PartDemand]] = {}
        for number, picks in chosen.items():
            names[number] = [self.demands[number][name] for name in picks]
            for name in picks:
                self.left[number][name] -= serves
        return serves, names

    def _picks(self, part: int, copies: int) -> list[int]:
        """Which names `copies` pieces of a board take: always the one with most left."""
        picks: list[int] = []
        used = [0] * len(self.left[part])
        for _ in range(copies):
            name = max(range(len(used)), key=lambda n: (self.left[part][n] - used[n], -n))
            used[name] += 1
            picks.append(name)
        return sorted(picks)
