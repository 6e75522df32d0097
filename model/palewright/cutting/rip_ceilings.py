"""The most that a board can hold where its rip patterns are too many to list, and patterns for it.

For each block length the strips side by side are a knapsack over the board's width, and the blocks
one over its length (the two stages of P. C. Gilmore, R. E. Gomory, "Multistage cutting stock
problems of two and more dimensions", Operations Research 13 (1965) 94-120, cited from memory).
Sizes are rounded down to grids, a part may come more often than it is wanted, and a dog-eared end
is taken for a square one: each of these can only raise the ceiling, so that it holds.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np
from numpy.typing import NDArray

from palewright.cutting.growth import Tables
from palewright.cutting.listing import GRID_CELLS, fill_grid
from palewright.cutting.strips import ListedStrips

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LENGTH_CELLS = 400
WIDTH_CELLS = 1024
LOOKED_AT = 12
"""Block lengths of which the best pattern is read off."""


class RipCeiling:
    """The ceiling of one board for what its strips are worth.

    upper: no filling is worth more.
    """

    def __init__(
        self, listed: Mapping[int, ListedStrips], width: int, length: int, *, single: bool
    ) -> None:
        """listed: strips by width, priced; width, length: of the board, with kerf; single:
        whether the board is one block."""
        step = -(-length // LENGTH_CELLS)
        starts = np.arange(0, length + 1, step)
        ends = np.minimum(starts + step - 1, length)
        self._room = width
        self._worth = {w: np.maximum(s.ceiling_at(ends), 0.0) for w, s in listed.items()}
        blocks, _ = _side_by_side(self._worth, width)
        if single:
            self.upper = float(blocks[-1])
            self._looked_at = np.array([len(blocks) - 1])
            return
        shortest = min(int(s.steps[s.steps > 0].min(initial=length)) for s in listed.values())
        cell = max(1, -(-length // GRID_CELLS))
        tables = Tables({}, np.zeros(length // cell + 1), cell, 0.0)
        starts = np.maximum(starts, shortest)
        fill_grid(tables, starts, np.maximum.accumulate(blocks))
        self.upper = float(tables.grid[-1])
        rising = np.flatnonzero(np.diff(blocks, prepend=0.0) > 0)
        reach = blocks[rising] + tables.rest(length - starts[rising])
        self._looked_at = rising[np.argsort(-reach, kind="stable")[:LOOKED_AT]]

    def patterns(self) -> list[tuple[int, ...]]:
        """Strip widths side by side, widest first, of the blocks that reach highest."""
        worth = {w: value[self._looked_at] for w, value in self._worth.items()}
        best, steps = _side_by_side(worth, self._room, told=True)
        every, found = sorted(worth, reverse=True), dict[tuple[int, ...], None]()
        for number in range(len(best)):
            at, widths = -1, list[int]()
            for width, copies, cells, better in reversed(steps):
                if better[at, number]:
                    widths += [width] * copies
                    at -= cells
            found[_filled(widths, self._room, every)] = None
        return list(found)


Step = tuple[int, int, int, NDArray[np.bool_]]


def _side_by_side(
    worth: Mapping[int, Floats], room: int, *, told: bool = False
) -> tuple[Floats, list[Step]]:
    """The most that strips side by side are worth, for each length, and how it came about.

    worth: of one strip of each width, (n,). Of each step, where told: width, how many strips and
    cells it takes, and where (cells, n) that is better than without.
    """
    common = int(np.gcd.reduce(np.array(list(worth), dtype=np.int64)))
    cell = common * -(-room // (common * WIDTH_CELLS))
    cells, steps = room // cell, list[Step]()
    best = np.zeros((cells + 1, len(next(iter(worth.values())))))
    for width, value in worth.items():
        used, copies = width // cell, 1
        if used == 0:  # too narrow for the grid: as many as there could be, on top
            best += (room // width) * value
            continue
        while copies * used <= cells:
            taken = copies * used
            tried = best[:-taken] + copies * value
            if told:
                better = np.zeros(best.shape, dtype=bool)
                better[taken:] = tried > best[taken:]
                steps.append((width, copies, taken, better))
            np.maximum(best[taken:], tried, out=best[taken:])
            copies *= 2
    return np.asarray(best[-1]), steps


def _filled(widths: Iterable[int], room: int, every: Iterable[int]) -> tuple[int, ...]:
    """The widths that really fit side by side, and what still fits beside them."""
    kept: list[int] = []
    for width in sorted(widths, reverse=True):
        if width <= room:
            kept.append(width)
            room -= width
    for width in every:
        kept += [width] * (room // width)
        room %= width
    return tuple(sorted(kept, reverse=True))
