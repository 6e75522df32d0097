"""A box as it is measured on its STEP file, as another program reads it."""

from __future__ import annotations

from functools import cache
from itertools import pairwise

import numpy as np

from oracle.solids import Solid, read_step
from palewright_drawings.cad_files.step import step_file
from shipped_designs import shipped


@cache
def measured(name: str) -> Measured:
    """Return a shipped variant, measured once in a process."""
    return Measured(read_step(step_file(shipped(name))))


class Measured:
    """A box as it is measured on its STEP file, mm."""

    def __init__(self, solids: dict[str, Solid]) -> None:
        """Measure what a listing tells."""
        self.count = len(solids)
        low = np.min([one.low for one in solids.values()], axis=0)
        high = np.max([one.high for one in solids.values()], axis=0)
        self.overall = high - low

        def some(*words: str) -> list[Solid]:
            return [one for name, one in solids.items() if any(word in name for word in words)]

        staves = {
            panel: some(f"{panel}.stave", f"{panel}.filler") for panel in ("front", "back", "left")
        }
        self.front = min(one.low[1] for one in some("front.stile"))
        self.left = min(one.low[0] for one in some("left.stile"))
        self.inside_front = max(one.high[1] for one in staves["front"])
        self.inside_left = max(one.high[0] for one in staves["left"])
        self.inside = (-2 * self.inside_left, -2 * self.inside_front)  # the box is about its middle
        self.air = min(one.low[2] for one in some("rail", "stave", "filler")) - low[2]
        self.slats = sorted(some("slat"), key=lambda one: tuple(one.low))
        self.floor = max((one.high[2] for one in self.slats), default=0.0)
        self.ladder = high[2] - max(one.high[2] for one in some("cap") or solids.values())

    @property
    def wall(self) -> float:
        """Frame and staves of the front."""
        return float(self.inside_front - self.front)

    @property
    def gaps(self) -> set[float]:
        """Between one slat and the next."""
        found = set()
        for one, other in pairwise(self.slats):
            apart = np.maximum(other.low - one.high, one.low - other.high)
            found.add(round(float(apart.max()), 2))
        return found
