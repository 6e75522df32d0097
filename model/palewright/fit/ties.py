"""What holds what: the screws that bite and whose boards touch, and the pieces they make.

Bearing holds nothing, and neither does glue: a cap's glued mitres are never its only tie.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from palewright.catalogue.tolerances import TOLERANCES
from palewright.construction.boards import Board
from palewright.construction.box_layout import Box
from palewright.construction.joints import Screw
from palewright.fit.screw_spans import ScrewSpans
from palewright.geometry.arrays import Floats

_ASLANT = 0.7
"""Cosine from which on a screw runs along a direction of a board: all are driven square."""


def closed_gap(screw: Screw) -> float:
    """Return how wide a gap (mm) a screw may bridge, because the plan says how it is closed.

    Cleats and packers lie over staves of unequal thickness: they are bedded in adhesive that
    fills gaps. A trellis's uprights are long and thin: their screws draw them to their packers.
    """
    if screw.use == "cleat" or screw.stack[0].startswith("packers."):
        return TOLERANCES.bedding
    if screw.use == "trellis" and not screw.stack[-1].startswith("trellis."):
        return TOLERANCES.drawn
    return TOLERANCES.touch


def least_bite(screw: Screw, box: Box) -> float:
    """Return how far (mm) a screw has to go into the board that holds its thread.

    Four diameters, or half of that board where it is thinner than eight: see
    ``Tolerances.least_bite`` and ``thin_bite``.
    """
    through = _through(screw, box.boards[screw.stack[-1]])[0]
    return min(TOLERANCES.least_bite * screw.kind.diameter, TOLERANCES.thin_bite * through)


def worst_bite(screw: Screw, box: Box) -> float:
    """Return the least length (mm) of a screw beyond the boards under its head.

    That is where each of them is at its thickest and they lie close, whatever the lumber case.
    """
    return screw.kind.length - sum(_through(screw, box.boards[n])[1] for n in screw.stack[:-1])


def _through(screw: Screw, board: Board) -> tuple[float, float]:
    """Return the least and the greatest length (mm) of a screw from face to face of a board."""
    x, y, _ = (abs(part) for part in board.placement.direction_into(screw.axis))
    if x > _ASLANT:
        return board.length, board.length
    if y > _ASLANT:
        return board.width, board.width
    return board.stock.thinnest, board.stock.thickest


class Ties:
    """The screws of one box in one lumber case that hold their boards together.

    Attributes:
        gaps: widest gap (mm) along each screw between two neighbours of its stack, (screws,).
        holding: whether each screw reaches its last board, over gaps that may be, (screws,).
    """

    def __init__(self, spans: ScrewSpans) -> None:
        """Look at every screw, board by board along it."""
        self.screws = spans.screws
        self.names = spans.names
        screws, boards = spans.stacked
        begin, finish = spans.held(screws, boards)
        self.reaches: NDArray[np.bool_] = np.ones(len(self.screws), dtype=np.bool_)
        np.logical_and.at(self.reaches, screws, finish > begin)
        self.gaps: Floats = np.full(len(self.screws), -np.inf)
        later = np.flatnonzero(screws[1:] == screws[:-1]) + 1  # boards that one screw leads on to
        gaps = spans.enter[screws, boards][later] - spans.leave[screws, boards][later - 1]
        np.maximum.at(self.gaps, screws[later], gaps)
        self.gaps[~self.reaches] = 0.0
        widest = np.array([closed_gap(screw) for screw in spans.screws])
        self.holding: NDArray[np.bool_] = self.reaches & (self.gaps <= widest)

    def groups(
        self,
        boards: Iterable[str],
        uses: Sequence[str] = (),
        joined: Sequence[Sequence[str]] = (),
    ) -> list[list[str]]:
        """Return the pieces that some boards make, the largest first.

        Args:
            boards: names; a screw counts with those of its stack that are among them.
            uses: only screws of these uses; all of them by default.
            joined: boards that are taken for one piece whatever holds them.
        """
        root = {name: name for name in boards}

        def find(name: str) -> str:
            while root[name] != name:
                root[name] = name = root[root[name]]
            return name

        for names in joined:
            for name in names[1:]:
                root[find(name)] = find(names[0])
        for s in np.flatnonzero(self.holding):
            screw = self.screws[s]
            if uses and screw.use not in uses:
                continue
            mine = [name for name in screw.stack if name in root]
            for name in mine[1:]:
                root[find(name)] = find(mine[0])
        found: dict[str, list[str]] = {}
        for name in root:
            found.setdefault(find(name), []).append(name)
        return sorted(found.values(), key=len, reverse=True)

    @cached_property
    def of_board(self) -> dict[str, list[Screw]]:
        """The holding screws by the name of each board that they go through."""
        found: dict[str, list[Screw]] = {name: [] for name in self.names}
        for s in np.flatnonzero(self.holding):
            for name in self.screws[s].stack:
                found[name].append(self.screws[s])
        return found

    @cached_property
    def _pairs(self) -> dict[tuple[str, str], int]:
        """How many holding screws pass from one board straight into another."""
        found: dict[tuple[str, str], int] = {}
        for s in np.flatnonzero(self.holding):
            for pair in pairwise(self.screws[s].stack):
                key = (min(pair), max(pair))
                found[key] = found.get(key, 0) + 1
        return found

    def between(self, first: str, second: str) -> int:
        """Return how many holding screws join two boards that are neighbours in their stacks."""
        return self._pairs.get((min(first, second), max(first, second)), 0)
