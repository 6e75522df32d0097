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
from palewright.construction.box_layout import lay_out
from palewright.cutting_stock import CutPlan, plan_cuts, quick_bound, whole_boards
from palewright.cutting_stock.problem.work_clock import counted, spend
from palewright.fit.verdict import judge
from palewright.loads.weights import weights_of
from palewright.parameters.tables import Parameters
from palewright.reading.errors import InputError
from palewright.sawing.stock_demands import StockDemand, demands_of_one, saw_of
from palewright.size_search.dominance import PartShape, shape_of, sure_parts
from palewright.size_search.looks import DRAWN, LAID_OUT, RIP, SPARED, Likeness, Look, richer
from palewright.size_search.pareto_sizes import BoxSize, OpenSize, RefusedSize, Sides
from palewright.size_search.size_grid import sized

_HOPEFUL, _HOPELESS = 0.97, 0.4
"""A plan of N boards is seldom there where the quick bound is above the first share of N; what
needs longer than the second share of the work is then left for a longer look."""

FIRST_LOOK = 1.2
"""Work for the first cut plan of a size; most need a tenth of it."""

TIGHT = 0.93
"""Where to look first: the quick bound of the greatest box of N boards is about this share of N."""

_BLAMED = 2
"""Where so many looks of one size are refused for one reason, it is the size: few are planned."""

_LEANEST = 4
"""So many looks, the leanest, say at which height to begin."""

_JUDGED = 0.025
"""Counted work, in seconds, of a fit check in one lumber case."""


@dataclass(frozen=True, slots=True)
class KnownNeed:
    """A part list in some look, of which no plan takes fewer boards."""

    look: Look
    shape: PartShape
    boards: int


@dataclass(frozen=True, slots=True)
class ColumnAsk:
    """What is asked of one width and depth. Lengths in mm.

    Attributes:
        width, depth, heights: outside; heights from the lowest.
        boards: each number of boards, with the index of the first height that is of interest.
        looks: what each size may look like.
        picks: of them so many are planned at one height, and what is above a height at which none
            of them is made stays open; None: all are, and every height.
        sound: codes of warnings that a look of its own may have: the drawn box has them.
        known: what neighbours were found to need.
        spurned: looks that the fit check refused before: they are planned last.
        tight: the share of N that the quick bound has where most plans of N boards end.
        doubtful: whether the fit check comes before the plan: it refused a neighbour.
        work: counted work for each cut plan, at most, in seconds (`cutting.clocks`).
    """

    width: float
    depth: float
    heights: tuple[float, ...]
    boards: tuple[tuple[int, int], ...]
    looks: tuple[Look, ...] = (DRAWN,)
    picks: int | None = None
    sound: frozenset[str] = frozenset()
    known: tuple[KnownNeed, ...] = ()
    spurned: frozenset[Look] = frozenset()
    tight: float = TIGHT
    doubtful: bool = False
    work: float = FIRST_LOOK


@dataclass(frozen=True, slots=True)
class ColumnAnswer:
    """What was found over one width and depth.

    Attributes:
        sizes: for each number of boards the greatest height that they make and that fits.
        refused: sizes that do not fit together.
        open: sizes that the work allowed left open, with the number of boards.
        known: what was learned for neighbours.
        spurned: looks that the fit check refused where another was made.
        tight, doubtful: as asked, for the next.
        work: counted work that was done, in seconds.
    """

    sizes: tuple[tuple[int, BoxSize], ...]
    refused: tuple[RefusedSize, ...]
    open: tuple[tuple[int, OpenSize], ...]
    known: tuple[KnownNeed, ...]
    spurned: frozenset[Look]
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


def later_look(
    parameters: Parameters, size: OpenSize, boards: int, most: float, sound: frozenset[str]
) -> SizeLook:
    """Return what a longer look at an open size finds: the fit check comes first.

    Args:
        parameters: the box as drawn.
        size: what was left open.
        boards: that it may take.
        most: counted work for the plan, in seconds.
        sound: as a `ColumnAsk` has it.
    """
    with counted() as work:
        spot = _TriedSize(parameters, size.sides, size.look, sound)
        spot.judge()
        if not spot.fault:
            spot.plan(boards, most)
        offered = spot.offered(boards)
    known = math.inf if size.upper_bound is None else size.upper_bound
    lower, upper = max(spot.lower, size.lower_bound), min(spot.upper, known)
    return SizeLook(offered, spot.fault or "", lower, upper, work[0])


def completed(parameters: Parameters, size: BoxSize, most: float) -> BoxSize:
    """Return an offered size with a plan of one board less, or the bound that rules it out.

    The cost then counts the boards of all stocks, and the box is weighed. most: counted work for
    each plan, in seconds.
    """
    with counted():
        return _completed(parameters, size, most)


def _completed(parameters: Parameters, size: BoxSize, most: float) -> BoxSize:
    spot = _TriedSize(parameters, size.sides, size.look)
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
    weight = weights_of(lay_out(spot.sized)).empty.mass
    return replace(size, boards=boards, lower_bound=lower, yield_=yield_, cost=cost, weight=weight)


def enriched(parameters: Parameters, size: BoxSize, most: float, sound: frozenset[str]) -> BoxSize:
    """Return a size in the least spare look that its boards allow, one thing after the other.

    Args:
        parameters: the box as drawn.
        size: an offer.
        most: counted work for each plan, in seconds.
        sound: as a `ColumnAsk` has it.
    """
    with counted():
        for key in SPARED:
            tried = (
                _TriedSize(parameters, size.sides, look, sound)
                for look in richer(parameters, size.look, key)
            )
            better = (
                _made_at_once(spot, size.boards, most) for spot in tried if spot.alike(parameters)
            )
            size = next((one for one in better if one is not None), size)
    return size


def _made_at_once(spot: _TriedSize, boards: int, most: float) -> BoxSize | None:
    """Return a size if a short look finds a plan of so many boards, and it fits."""
    if spot.lower > boards:
        return None
    spot.plan(boards, most)
    return spot.offered(boards)


class _TriedSize:
    """One size built in one way: what it asks, what is known of its boards, whether it fits.

    Attributes:
        lower, upper: boards of the panels' stock that the best plan takes at least, at most.
        fault: code of the first fault of the fit check, empty where it fits, None unasked.
        tried: numbers of boards that the work allowed left open.
    """

    def __init__(
        self,
        parameters: Parameters,
        sides: Sides,
        look: Look,
        sound: frozenset[str] = frozenset(),
    ) -> None:
        self.sides, self.look, self.sound = sides, look, sound
        self.sized = sized(parameters, sides, look)
        self.saw = saw_of(self.sized)
        self.quick, self.upper = math.inf, math.inf
        self.best: CutPlan | None = None
        self.fault: str | None = None
        self.tried: set[int] = set()
        self.demands: list[StockDemand] = []
        self._shape: PartShape | None = None
        spend(LAID_OUT)
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

    def alike(self, drawn: Parameters) -> bool:
        """Return whether it reads as the design that was drawn."""
        return not self.look or Likeness(drawn).holds(self.sized)

    @property
    def widths(self) -> int:
        """How many widths are ripped."""
        return len({part.width for part in self.demands[0].parts}) if self.demands else 0

    def may_be(self, boards: int) -> bool:
        """Return whether it could be offered for so many boards, for all that is known."""
        return self.lower <= boards and not self.fault

    def judge(self, first: LumberCase | None = None) -> None:
        """Put it to the fit check in every lumber case; one of them may come before the others."""
        if self.fault is not None:
            return
        if first is not None:
            self.fault = self._fault((first,))
        self.fault = self.fault or self._fault(LUMBER_CASES)

    def _fault(self, cases: Sequence[LumberCase]) -> str:
        """Return the code of the first fault in some lumber cases; empty where it fits.

        In a look that nobody drew a warning that the drawn box has not counts as a fault.
        """
        spend(_JUDGED * len(cases))
        for found in judge(self.sized, cases).findings:
            new = self.look and found.severity == "warning" and found.code not in self.sound
            if found.severity == "fault" or new:
                return found.code
        return ""

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
            self.look,
            plan.boards,
            min(int(self.lower), plan.boards),
            plan.yield_,
            0.0,
        )

    def left_open(self) -> OpenSize:
        """Return it as a size that the work allowed left open."""
        upper = None if math.isinf(self.upper) else int(self.upper)
        return OpenSize(self.sides, self.look, int(self.lower), upper)


class _SizeColumn:
    """The sizes over one width and depth, each looked at only when it is asked for."""

    def __init__(self, parameters: Parameters, ask: ColumnAsk) -> None:
        self.parameters, self.ask = parameters, ask
        self._alike = Likeness(parameters)
        self.known = list(ask.known)
        self.learned: list[KnownNeed] = []
        self.doubtful, self.tight = ask.doubtful, ask.tight
        self._spots: dict[tuple[int, int], _TriedSize | None] = {}
        self._least: dict[int, list[float]] = {}

    def answer(self) -> ColumnAnswer:
        """Return what is made, for every number of boards asked."""
        sizes = []
        for boards, first in self.ask.boards:
            size = self.greatest(boards, first)
            if size is not None:
                sizes.append((boards, size))
        sizes += self._made_later()
        refused = [RefusedSize(spot.sides, spot.fault) for spot in self.spots if spot.fault]
        return ColumnAnswer(
            tuple(sizes),
            tuple(refused),
            tuple(self._left_open(sizes)),
            tuple(self.learned),
            frozenset(spot.look for spot in self.spots if spot.fault) if sizes else frozenset(),
            self.tight,
            self.doubtful,
        )

    @property
    def spots(self) -> list[_TriedSize]:
        """The sizes and looks that were looked at."""
        return [spot for spot in self._spots.values() if spot is not None]

    def _made_later(self) -> list[tuple[int, BoxSize]]:
        """Return sizes left open for N boards that the plan for a larger N then made of N."""
        later = [
            (boards, spot.offered(boards))
            for spot in self.spots
            for boards in sorted(spot.tried)
            if spot.upper <= boards
        ]
        return [(boards, size) for boards, size in later if size is not None]

    def _left_open(self, sizes: Sequence[tuple[int, BoxSize]]) -> Iterator[tuple[int, OpenSize]]:
        """Yield the heights that may yet be made, above what is: each in its leanest look."""
        for boards, first in self.ask.boards:
            made = [size.height for count, size in sizes if count == boards]
            for index in range(first, len(self.ask.heights)):
                if self.ask.heights[index] > max(made, default=0.0):
                    spots = [s for s in self._possible(index, boards) if not s.fault]
                    if spots:
                        yield boards, min(spots, key=lambda spot: spot.quick).left_open()

    def greatest(self, boards: int, first: int) -> BoxSize | None:
        """Return the greatest height from index ``first`` on that the boards make and that fits.

        The fit check costs as much as a plan: only the greatest height is put to it, unless
        some were refused.
        """
        refused = 0
        while self.ask.picks is None or refused <= self.ask.picks:
            spot = self._greatest_made(boards, first)
            if spot is None:
                return None
            self._judge(spot)
            size = spot.offered(boards)
            if size is not None:
                return size
            refused += 1
        return None

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
            left = self._worthwhile(waiting, aim, made=made is not None)
            waiting = [i for i in left if self._may_be(i, boards)]
            below = [i for i in waiting if i < aim]
            if waiting:
                aim = below[-1] if below else waiting[0]
        return best

    def _worthwhile(self, waiting: Sequence[int], tried: int, *, made: bool) -> list[int]:
        """Return the heights that are looked at after one: of a few picks none above a failure."""
        if made:
            return [i for i in waiting if i > tried]
        return [i for i in waiting if i < tried or (i > tried and self.ask.picks is None)]

    def _likely(self, waiting: Sequence[int], boards: int) -> int:
        """Return the greatest height whose quick bound is as far below N as most plans' are."""
        likely = [i for i in waiting if self._quick(i) <= self.tight * boards]
        return likely[-1] if likely else (waiting[0] if waiting else 0)

    def _quick(self, index: int) -> float:
        """Return the least quick bound of a height in the looks that come first."""
        spots = (self._spot(index, number) for number in range(min(_LEANEST, len(self.ask.looks))))
        return min((spot.quick for spot in spots if spot is not None), default=math.inf)

    def _may_be(self, index: int, boards: int) -> bool:
        """Return whether a height could still be offered for so many boards."""
        return any(True for _ in self._untried(index, boards))

    def _untried(self, index: int, boards: int) -> Iterator[_TriedSize]:
        """Yield the looks of a height that could still be offered and were not planned yet."""
        return (spot for spot in self._possible(index, boards) if boards not in spot.tried)

    def _possible(self, index: int, boards: int) -> Iterator[_TriedSize]:
        """Yield the looks in which a height could be made of so many boards."""
        for number in range(len(self.ask.looks)):
            if self._least_at(index, number) > boards:
                continue
            spot = self._spot(index, number)
            if spot is not None and spot.may_be(boards) and not self._ruled_out(spot, boards):
                yield spot

    def _spot(self, index: int, number: int) -> _TriedSize | None:
        """Return a height in a look; None where it would read as another design."""
        key = (index, number)
        if key not in self._spots:
            look = self.ask.looks[number]
            sides = (self.ask.width, self.ask.depth, self.ask.heights[index])
            self._spots[key] = None
            if not look or self._alike.holds(sized(self.parameters, sides, look)):
                self._spots[key] = _TriedSize(self.parameters, sides, look, self.ask.sound)
        return self._spots[key]

    def _least_at(self, index: int, number: int) -> float:
        """Return what the boards that every height has take at this one, without laying it out."""
        if number not in self._least:
            heights, bounds = self.ask.heights, [0.0] * len(self.ask.heights)
            found = ((i, self._spot(i, number)) for i in range(len(heights)))
            lowest, spot = next(
                ((i, s) for i, s in found if s is not None and s.demands), (0, None)
            )
            if spot is not None:
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
            if need.look != spot.look or need.boards <= max(boards, spot.lower):
                continue
            if need.shape.within(spot.shape):
                spot.lower = need.boards
        return spot.lower > boards

    def _picked(self, index: int, boards: int) -> list[_TriedSize]:
        """Return the looks of a height that are planned, the likeliest first."""
        spots = list(self._untried(index, boards))
        if self.ask.picks is None:
            return spots
        spots.sort(key=lambda spot: (spot.look in self.ask.spurned, spot.quick + RIP * spot.widths))
        return spots[: self.ask.picks]

    def _made(self, index: int, boards: int) -> _TriedSize | None:
        """Return a height in the first look in which the boards make it."""
        for spot in self._picked(index, boards):
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
            if spot.fault and self.ask.picks is not None:
                self._blame(spot)

    def _blame(self, refused: _TriedSize) -> None:
        """Refuse a height in all its looks once two were refused for one reason."""
        here = [spot for spot in self.spots if spot.sides == refused.sides]
        if sum(spot.fault == refused.fault for spot in here) >= _BLAMED:
            for spot in here:
                spot.fault = spot.fault or refused.fault

    def _learn(self, spot: _TriedSize) -> None:
        """Keep what a size needs if no quick bound says so."""
        need = KnownNeed(spot.look, spot.shape, int(spot.lower))
        self.known.append(need)
        if spot.lower > whole_boards(spot.quick):
            self.learned.append(need)
