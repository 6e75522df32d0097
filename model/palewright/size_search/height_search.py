"""All heights over one width and depth: which are made of N boards, for several N at once.

Every size in question is settled by itself: by a bound that needs no search, by a part list of
one shape that is known to need too many boards (`part_shapes`), by the fit check, or by a cut
plan. Nothing is taken from a neighbour on trust: a wider wall may need fewer boards, since its
filler may become a full board.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from palewright.catalogue.lumber import LUMBER_CASES, LumberCase
from palewright.cutting_stock import CutPlan, plan_cuts, quick_bound, whole_boards
from palewright.cutting_stock.problem.work_clock import counted, spend
from palewright.fit.verdict import judge
from palewright.parameters.tables import Parameters
from palewright.reading.errors import InputError
from palewright.sawing.stock_demands import StockDemand, demands_of_one, saw_of
from palewright.size_search.dominance import PartShape, shape_of, sure_parts
from palewright.size_search.pareto_sizes import BoxSize, OpenSize, RefusedSize, Sides, Way
from palewright.size_search.size_grid import sized, ways_of

_HOPEFUL, _HOPELESS = 0.97, 0.4
"""A plan of N boards is seldom there where the quick bound is above the first share of N; what
needs longer than the second share of the work is then left for a longer look."""

_LAID_OUT, _JUDGED = 0.008, 0.025
"""Counted work, in seconds, of laying out a box and of its fit check in one lumber case."""


@dataclass(frozen=True, slots=True)
class KnownNeed:
    """A part list of which no plan takes fewer boards."""

    shape: PartShape
    boards: int


@dataclass(frozen=True, slots=True)
class ColumnAsk:
    """What is asked of one width and depth. Lengths in mm.

    Attributes:
        width, depth, heights: outside; heights from the lowest.
        boards: each number of boards, with the index of the first height that is of interest.
        known: what neighbours were found to need.
        tight: the share of N that the quick bound has where most plans of N boards end.
        doubtful: whether the fit check comes before the plan: it refused a neighbour.
        work: counted work for each cut plan, at most, in seconds (`cutting.clocks`).
    """

    width: float
    depth: float
    heights: tuple[float, ...]
    boards: tuple[tuple[int, int], ...]
    known: tuple[KnownNeed, ...]
    tight: float
    doubtful: bool
    work: float


@dataclass(frozen=True, slots=True)
class ColumnAnswer:
    """What was found over one width and depth.

    Attributes:
        sizes: for each number of boards the greatest height that they make and that fits.
        refused: sizes that do not fit together.
        open: sizes that the work allowed left open, with the number of boards.
        known: what was learned for neighbours.
        tight, doubtful: as asked, for the next.
        work: counted work that was done, in seconds.
    """

    sizes: tuple[tuple[int, BoxSize], ...]
    refused: tuple[RefusedSize, ...]
    open: tuple[tuple[int, OpenSize], ...]
    known: tuple[KnownNeed, ...]
    tight: float
    doubtful: bool
    work: float = 0.0


@dataclass(frozen=True, slots=True)
class SizeLook:
    """What a look found: the size if it is made and fits, why it does not, bounds on boards, and
    the counted work, in seconds."""

    size: BoxSize | None
    fault: str
    lower: float
    upper: float
    work: float


def column_answer(parameters: Parameters, ask: ColumnAsk) -> ColumnAnswer:
    """Return what is made over one width and depth."""
    with counted() as work:
        answer = _SizeColumn(parameters, ask).answer()
    return replace(answer, work=work[0])


def later_look(parameters: Parameters, size: OpenSize, boards: int, most: float) -> SizeLook:
    """Return what a longer look at an open size finds: the fit check comes first.

    most: counted work for the plan, in seconds.
    """
    with counted() as work:
        spot = _TriedSize(parameters, size.sides, size.way)
        spot.judge()
        if not spot.fault:
            spot.plan(boards, most)
        offered = spot.offered(boards)
    lower, upper = max(spot.lower, size.lower_bound), min(spot.upper, size.upper_bound)
    return SizeLook(offered, spot.fault or "", lower, upper, work[0])


def completed(parameters: Parameters, size: BoxSize, most: float) -> BoxSize:
    """Return an offered size with a plan of one board less, or the bound that rules it out.

    The cost then counts the boards of all stocks. most: counted work for each plan, in seconds.
    """
    with counted():
        return _completed(parameters, size, most)


def _completed(parameters: Parameters, size: BoxSize, most: float) -> BoxSize:
    spot = _TriedSize(parameters, size.sides, size.way)
    first, *others = spot.demands
    boards, lower, yield_ = size.boards, size.lower_bound, size.yield_
    if lower < boards:
        spot.plan(boards - 1, most)
        lower = max(lower, min(int(spot.lower), boards))
        if spot.best is not None and spot.best.boards < boards:
            boards, yield_ = spot.best.boards, spot.best.yield_
    plans = [
        plan_cuts(one.parts, [one.board], spot.saw, time_limit=most, setup_time=0.0)
        for one in others
    ]
    cost = boards * first.board.price + sum(plan.cost for plan in plans)
    return replace(size, boards=boards, lower_bound=lower, yield_=yield_, cost=cost)


class _TriedSize:
    """One size built in one way: what it asks, what is known of its boards, whether it fits.

    Attributes:
        lower, upper: boards of the panels' stock that the best plan takes at least, at most.
        fault: code of the first fault of the fit check, empty where it fits, None unasked.
        tried: numbers of boards that the work allowed left open.
    """

    def __init__(self, parameters: Parameters, sides: Sides, way: Way) -> None:
        self.sides, self.way = sides, way
        self.sized = sized(parameters, sides, way)
        self.saw = saw_of(self.sized)
        self.quick, self.upper = math.inf, math.inf
        self.best: CutPlan | None = None
        self.fault: str | None = None
        self.tried: set[int] = set()
        self.demands: list[StockDemand] = []
        self._shape: PartShape | None = None
        spend(_LAID_OUT)
        try:
            self.demands = demands_of_one(self.sized)
            bounds = [quick_bound(one.parts, one.board, self.saw) for one in self.demands]
            self.quick = bounds[0]
        except InputError:
            self.demands = []
        self.lower: float = whole_boards(self.quick) if self.demands else math.inf

    @property
    def shape(self) -> PartShape:
        """The shape of what is cut from the panels' stock."""
        if self._shape is None:
            self._shape = shape_of(self.demands[0].parts, self.saw)
        return self._shape

    def may_be(self, boards: int) -> bool:
        """Return whether it could still be offered for so many boards."""
        return self.lower <= boards and not self.fault and boards not in self.tried

    def judge(self, first: LumberCase | None = None) -> None:
        """Put it to the fit check in every lumber case; one of them may come before the others."""
        if self.fault is not None:
            return
        if first is not None:
            self.fault = _fault(self.sized, (first,))
        self.fault = self.fault or _fault(self.sized, LUMBER_CASES)

    def plan(self, boards: int, most: float) -> None:
        """Look for a plan of so many boards, or for a bound above, for so many seconds of work."""
        if self.upper <= boards or self.lower > boards:
            return
        first = self.demands[0]
        plan = plan_cuts(
            first.parts,
            [first.board],
            self.saw,
            time_limit=most,
            setup_time=0.0,
            enough=boards,
        )
        self.lower = max(self.lower, plan.lower_bound)
        if plan.boards < self.upper:
            self.best, self.upper = plan, plan.boards
        if self.upper > boards >= self.lower:
            self.tried.add(boards)

    def offered(self, boards: int) -> BoxSize | None:
        """Return the size if a plan of so many boards is known and it fits together."""
        if self.best is None or self.upper > boards:
            return None
        self.judge()
        return None if self.fault else self.size(self.best)

    def size(self, plan: CutPlan) -> BoxSize:
        """Return it as a size with the numbers of a plan."""
        return BoxSize(
            *self.sides,
            self.way,
            plan.boards,
            min(int(self.lower), plan.boards),
            plan.yield_,
            0.0,
        )

    def left_open(self) -> OpenSize:
        """Return it as a size that the work allowed left open."""
        return OpenSize(self.sides, self.way, int(self.lower), int(self.upper))


def _fault(parameters: Parameters, cases: Sequence[LumberCase]) -> str:
    """Return the code of the first fault of a box in some lumber cases; empty where it fits."""
    spend(_JUDGED * len(cases))
    faults = (f.code for f in judge(parameters, cases).findings if f.severity == "fault")
    return next(faults, "")


class _SizeColumn:
    """The sizes over one width and depth, each looked at only when it is asked for."""

    def __init__(self, parameters: Parameters, ask: ColumnAsk) -> None:
        self.parameters, self.ask = parameters, ask
        self.ways = ways_of(parameters)
        self.known = list(ask.known)
        self.learned: list[KnownNeed] = []
        self.doubtful, self.tight = ask.doubtful, ask.tight
        self._spots: dict[tuple[int, int], _TriedSize] = {}
        self._least: dict[int, list[float]] = {}

    def answer(self) -> ColumnAnswer:
        """Return what is made, for every number of boards asked."""
        sizes = []
        for boards, first in self.ask.boards:
            size = self.greatest(boards, first)
            if size is not None:
                sizes.append((boards, size))
        sizes += self._made_later()
        spots = self._spots.values()
        refused = [RefusedSize(spot.sides, spot.fault) for spot in spots if spot.fault]
        open_ = [
            (boards, spot.left_open())
            for spot in spots
            for boards in sorted(spot.tried)
            if spot.lower <= boards < spot.upper and not spot.fault
        ]
        return ColumnAnswer(
            tuple(sizes),
            tuple(refused),
            tuple(open_),
            tuple(self.learned),
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

    def _greatest_made(self, boards: int, first: int) -> _TriedSize | None:
        """Return the greatest height that the boards make and that was not refused."""
        best: _TriedSize | None = None
        waiting = [i for i in range(first, len(self.ask.heights)) if self._may_be(i, boards)]
        aim = self._likely(waiting, boards)
        while waiting:
            made = self._made(aim, boards)
            if made is not None:
                best = made
                self.tight = 0.5 * self.tight + 0.5 * made.quick / boards
            left = [i for i in waiting if i != aim and (made is None or i > aim)]
            waiting = [i for i in left if self._may_be(i, boards)]
            below = [i for i in waiting if i < aim]
            if waiting:
                aim = below[-1] if below else waiting[0]
        return best

    def _likely(self, waiting: Sequence[int], boards: int) -> int:
        """Return the greatest height whose quick bound is as far below N as most plans' are."""
        likely = [i for i in waiting if self._spot(i, 0).quick <= self.tight * boards]
        return likely[-1] if likely else (waiting[0] if waiting else 0)

    def _may_be(self, index: int, boards: int) -> bool:
        """Return whether a height could still be offered for so many boards."""
        return any(self._possible(index, boards))

    def _possible(self, index: int, boards: int) -> Iterator[_TriedSize]:
        """Yield the ways in which a height could still be made of so many boards."""
        for number in range(len(self.ways)):
            if self._least_at(index, number) > boards:
                continue
            spot = self._spot(index, number)
            if spot.may_be(boards) and not self._ruled_out(spot, boards):
                yield spot

    def _spot(self, index: int, number: int) -> _TriedSize:
        key = (index, number)
        if key not in self._spots:
            sides = (self.ask.width, self.ask.depth, self.ask.heights[index])
            self._spots[key] = _TriedSize(self.parameters, sides, self.ways[number])
        return self._spots[key]

    def _least_at(self, index: int, number: int) -> float:
        """Return what the boards that every height has take at this one, without laying it out."""
        if number not in self._least:
            heights, bounds = self.ask.heights, [0.0] * len(self.ask.heights)
            lowest = next((i for i in range(len(heights)) if self._spot(i, number).demands), None)
            if lowest is not None:
                spot = self._spot(lowest, number)
                for i in range(lowest, len(heights)):
                    parts = sure_parts(spot.demands[0].parts, heights[i] - heights[lowest])
                    try:
                        bounds[i] = quick_bound(parts, spot.demands[0].board, spot.saw)
                    except InputError:  # too long for any board
                        bounds[i] = math.inf
            self._least[number] = bounds
        return self._least[number][index] - 1e-6

    def _ruled_out(self, spot: _TriedSize, boards: int) -> bool:
        """Return whether a known part list of its shape shows that it needs more boards."""
        for need in self.known:
            if need.boards > max(boards, spot.lower) and need.shape.within(spot.shape):
                spot.lower = need.boards
        return spot.lower > boards

    def _made(self, index: int, boards: int) -> _TriedSize | None:
        """Return a height in the first way in which the boards make it."""
        for spot in self._possible(index, boards):
            if self.doubtful:
                self._judge(spot)
                if spot.fault:
                    continue
            share = 1.0 if spot.quick <= _HOPEFUL * boards else _HOPELESS
            spot.plan(boards, share * self.ask.work)
            if spot.lower > boards:
                self._learn(spot)
            elif spot.upper <= boards:
                return spot
        return None

    def _judge(self, spot: _TriedSize) -> None:
        """Put a size to the fit check, first in thin lumber where another was just refused."""
        if spot.fault is None:
            spot.judge("thin" if self.doubtful else None)
            self.doubtful = bool(spot.fault)

    def _learn(self, spot: _TriedSize) -> None:
        """Keep what a size needs if no quick bound says so."""
        need = KnownNeed(spot.shape, int(spot.lower))
        self.known.append(need)
        if spot.lower > whole_boards(spot.quick):
            self.learned.append(need)
