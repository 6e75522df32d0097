"""All heights over one width and depth: which are made of N boards, for several N at once.

Every size in question is settled by itself: by a bound that needs no search, by a lower box of one
shape that is known to need too many boards (`dominance`), by the fit check, or by a cut plan.
Nothing is taken from a neighbour on trust: a wider wall may need fewer boards, since its filler may
become a full board.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from palewright.cutting_stock import PartDemand, quick_bound
from palewright.cutting_stock.problem.work_clock import counted
from palewright.parameters.tables import Parameters
from palewright.reading.errors import InputError
from palewright.size_search.dominance import PartShape, sure_parts
from palewright.size_search.looks import DRAWN
from palewright.size_search.pareto_sizes import BoxSize, OpenSize, RefusedSize
from palewright.size_search.size_trials import FIRST_LOOK, TriedSize

_HOPEFUL, _HOPELESS = 0.97, 0.4
"""A plan of N boards is seldom there where the quick bound is above the first share of N; what
needs longer than the second share of the work is then left for a longer look."""

_SHORT = 0.25
"""Where looks are short: plans that are found at all mostly need no more than this share of the
work. Above a height that was left open none is looked at."""

TIGHT = 0.93
"""Where to look first: the quick bound of the greatest box of N boards is about this share of N."""


@dataclass(frozen=True, slots=True)
class ColumnAsk:
    """What is asked of one width and depth. Lengths in mm.

    Attributes:
        width, depth, heights: outside; heights from the lowest.
        boards: each number of boards, with the index of the first height that is of interest.
        tight: for each number of boards the share of them that the quick bound has where most
            plans end; `TIGHT` where it is not known.
        doubtful: whether the fit check comes before the plan: it refused a neighbour.
        work: counted work for each cut plan, at most, in seconds (`work_clock`).
        short: whether a height gets a short look, since other looks of it are tried later; else
            what it comes to proves others.
    """

    width: float
    depth: float
    heights: tuple[float, ...]
    boards: tuple[tuple[int, int], ...]
    tight: Mapping[int, float] = field(default_factory=dict)
    doubtful: bool = False
    work: float = FIRST_LOOK
    short: bool = False


@dataclass(frozen=True, slots=True)
class ColumnAnswer:
    """What was found over one width and depth.

    Attributes:
        sizes: for each number of boards the greatest height that they make and that fits.
        refused: sizes that do not fit together.
        open: sizes that the work allowed left open, with the number of boards.
        tight, doubtful: as asked, for the next.
        work: counted work that was done, in seconds.
    """

    sizes: tuple[tuple[int, BoxSize], ...]
    refused: tuple[RefusedSize, ...]
    open: tuple[tuple[int, OpenSize], ...]
    tight: Mapping[int, float]
    doubtful: bool
    work: float = 0.0


def column_answer(parameters: Parameters, ask: ColumnAsk) -> ColumnAnswer:
    """Return what is made over one width and depth."""
    with counted() as work:
        answer = _SizeColumn(parameters, ask).answer()
    return replace(answer, work=work[0])


class LeastNeed:
    """What the boards that every higher box has take at least, over one width and depth.

    Args:
        heights: mm, the lowest first.
        spot_at: the size at the height of an index; None where it is out of the question.
    """

    def __init__(
        self, heights: Sequence[float], spot_at: Callable[[int], TriedSize | None]
    ) -> None:
        self._heights = heights
        spots = ((i, spot_at(i)) for i in range(len(heights)))
        self._lowest = next(((i, s) for i, s in spots if s is not None and s.laid_out), None)
        """Of the sizes that can be built: only this one is laid out. What no board holds, or is too
        narrow to rip, is so in higher ones as well."""
        self._parts = [] if self._lowest is None else _kits_together(self._lowest[1])
        self._bounds: dict[int, float] = {}

    def within(self, boards: int) -> int:
        """Return how many heights, from the lowest, may take no more boards; no higher one can."""
        return bisect_right(range(len(self._heights)), float(boards), key=self._bound)

    def _bound(self, index: int) -> float:
        if index not in self._bounds:
            self._bounds[index] = self._found_bound(index)
        return self._bounds[index]

    def _found_bound(self, index: int) -> float:
        if self._lowest is None or index < self._lowest[0]:
            return 0.0
        lowest, spot = self._lowest
        parts = sure_parts(self._parts, self._heights[index] - self._heights[lowest])
        try:
            return quick_bound(parts, spot.laid_out[0].board, spot.saw) - 1e-6
        except InputError:  # too long for any board
            return math.inf


def _kits_together(spot: TriedSize) -> list[PartDemand]:
    """Return what is cut from the panels' stock, a line a part: no bound asks for whose it is."""
    parts, counts = dict[str, PartDemand](), Counter[str]()
    for part in spot.laid_out[0].parts:
        parts.setdefault(part.name, part)
        counts[part.name] += part.count
    return [replace(part, count=counts[name]) for name, part in parts.items()]


class _SizeColumn:
    """The sizes over one width and depth as drawn, each looked at only when it is asked for."""

    def __init__(self, parameters: Parameters, ask: ColumnAsk) -> None:
        self.parameters, self.ask = parameters, ask
        self.needs: list[tuple[PartShape, int]] = []
        self.doubtful, self.tight = ask.doubtful, dict(ask.tight)
        self._spots: dict[int, TriedSize] = {}
        least = LeastNeed(ask.heights, self._spot)
        self._within = {boards: least.within(boards) for boards, _ in ask.boards}

    def answer(self) -> ColumnAnswer:
        """Return what is made, for every number of boards asked."""
        sizes = []
        for boards, first in self.ask.boards:
            size = self.greatest(boards, first)
            if size is not None:
                sizes.append((boards, size))
        sizes += self._made_later()
        refused = [
            RefusedSize(spot.sides, spot.fault) for spot in self._spots.values() if spot.fault
        ]
        return ColumnAnswer(
            tuple(sizes),
            tuple(refused),
            tuple(self._left_open(sizes)),
            self.tight,
            self.doubtful,
        )

    def _made_later(self) -> list[tuple[int, BoxSize]]:
        """Return sizes left open for N boards that the plan for a larger N then made of N."""
        later = [
            (boards, spot.offered(boards))
            for spot in self._spots.values()
            for boards in sorted(spot.tried)
            if spot.upper <= boards
        ]
        return [(boards, size) for boards, size in later if size is not None]

    def _left_open(self, sizes: Sequence[tuple[int, BoxSize]]) -> Iterator[tuple[int, OpenSize]]:
        """Yield the heights that may yet be made, above what is."""
        for boards, first in self.ask.boards:
            made = [size.height for count, size in sizes if count == boards]
            for index in range(first, len(self.ask.heights)):
                higher = self.ask.heights[index] > max(made, default=0.0)
                if higher and self._possible(index, boards):
                    yield boards, self._spot(index).left_open()

    def greatest(self, boards: int, first: int) -> BoxSize | None:
        """Return the greatest height from index ``first`` on that the boards make and that fits.

        The fit check costs as much as a plan: only the greatest height is put to it, unless
        some were refused.
        """
        while True:
            spot = self._greatest_made(boards, first)
            if spot is None:
                return None
            self._judge(spot)
            size = spot.offered(boards)
            if size is not None:
                return size

    def _greatest_made(self, boards: int, first: int) -> TriedSize | None:
        """Return the greatest height that the boards make and that was not refused."""
        best: TriedSize | None = None
        waiting = [i for i in range(first, len(self.ask.heights)) if self._may_be(i, boards)]
        aim, left = self._likely(waiting, boards), list[int]()
        while waiting:
            usual = 1.0 if self._is_hopeful(aim, boards) else _HOPELESS
            made = self._made(aim, boards, _SHORT if self.ask.short else usual)
            if made is not None:
                best, left = made, [i for i in left if i > aim]
            elif self._possible(aim, boards):
                left.append(aim)
            waiting = [
                i for i in waiting
                if i != aim and (made is None or i > aim) and self._may_be(i, boards)
                and not (self.ask.short and left and i > min(left))
            ]  # fmt: skip
            below = [i for i in waiting if i < aim]
            if waiting:
                aim = below[-1] if below else waiting[0]
        if best is not None and best.sides[2] < self.ask.heights[-1]:
            self.tight[boards] = (self._tight(boards) + best.quick / boards) / 2
        return best

    def _is_hopeful(self, index: int, boards: int) -> bool:
        return self._spot(index).quick <= _HOPEFUL * boards

    def _tight(self, boards: int) -> float:
        """Return the share of N that the quick bound has where most plans end."""
        return self.tight.get(boards, TIGHT)

    def _likely(self, waiting: Sequence[int], boards: int) -> int:
        """Return the greatest height whose quick bound is as far below N as most plans' are."""
        likely = [i for i in waiting if self._spot(i).quick <= self._tight(boards) * boards]
        return likely[-1] if likely else (waiting[0] if waiting else 0)

    def _may_be(self, index: int, boards: int) -> bool:
        """Return whether a height could still be offered, and was not planned yet."""
        return self._possible(index, boards) and boards not in self._spot(index).tried

    def _possible(self, index: int, boards: int) -> bool:
        """Return whether a height could be made of so many boards."""
        if index >= self._within[boards]:
            return False
        spot = self._spot(index)
        return spot.may_be(boards) and not self._ruled_out(spot, boards)

    def _spot(self, index: int) -> TriedSize:
        """Return a height."""
        if index not in self._spots:
            sides = (self.ask.width, self.ask.depth, self.ask.heights[index])
            self._spots[index] = TriedSize(self.parameters, sides, DRAWN)
        return self._spots[index]

    def _ruled_out(self, spot: TriedSize, boards: int) -> bool:
        """Return whether a lower box of its shape shows that it needs more boards."""
        for shape, need in self.needs:
            if need > max(boards, spot.lower) and shape.within(spot.shape):
                spot.lower = need
        return spot.lower > boards

    def _made(self, index: int, boards: int, share: float) -> TriedSize | None:
        """Return a height if the boards make it, found with a share of the work for a plan."""
        spot = self._spot(index)
        if self.doubtful:
            self._judge(spot)
            if spot.fault:
                return None
        spot.plan(boards, share * self.ask.work)
        if spot.lower > boards:
            self.needs.append((spot.shape, int(spot.lower)))
        return spot if spot.upper <= boards else None

    def _judge(self, spot: TriedSize) -> None:
        """Put a size to the fit check, first in thin lumber where another was just refused."""
        if spot.fault is None:
            spot.judge("thin" if self.doubtful else "nominal")
            self.doubtful = bool(spot.fault)
