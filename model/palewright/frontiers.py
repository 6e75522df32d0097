"""The largest boxes that N boards make: the sizes of which none is beaten in every dimension.

For each width and depth in the maker's step the greatest height is sought by bisection: at one
width and depth a higher box takes the same boards or more, each as long or longer, so that what N
boards make at one height they make at every lower one. Each answer rests on a cut plan, or on a
bound that says that there is none; where time ran out before either, the question is counted.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor, as_completed
from dataclasses import dataclass, field, replace

from palewright.cutting import CutPlan, CuttingError, plan_cuts
from palewright.demands import StockDemand, demands_of, saw_of
from palewright.design import design
from palewright.errors import InputError
from palewright.parameters import Parameters
from palewright.units import INCH, both_units
from palewright.verdicts import judge

SECONDS_A_PLAN = 5.0
"""Time for one cut plan of the search; what is open then is left out and counted."""

MOST_PLACES = 5_000
"""No search looks at more pairs of width and depth than this."""

_USUAL_YIELD = 0.8
"""The share of the boards that becomes parts in most plans: where to look first."""

_LOWER_TRIES = 4
"""Where a size does not fit together, so many lower ones are tried."""


@dataclass(frozen=True, slots=True)
class BoxSize:
    """A size that N boards make, with the numbers of its plan. Lengths in mm, outside.

    Attributes:
        width, depth, height: outside.
        stile, rail: widths of the front's stiles and rails at this size.
        boards: boards of the panels' stock that the plan uses.
        lower_bound: no plan uses fewer.
        yield_: share of those boards that becomes parts.
        cost: of the boards of all stocks, in the shop's currency.
    """

    width: float
    depth: float
    height: float
    stile: float
    rail: float
    boards: int
    lower_bound: int
    yield_: float
    cost: float

    @property
    def volume(self) -> float:
        """Outside volume in litres."""
        return self.width * self.depth * self.height / 1e6

    def beats(self, other: BoxSize) -> bool:
        """Return whether this is as large every way, and larger one way."""
        mine = (self.width, self.depth, self.height)
        its = (other.width, other.depth, other.height)
        return mine != its and all(a >= b - 1e-6 for a, b in zip(mine, its, strict=True))


@dataclass(frozen=True, slots=True)
class Frontier:
    """The largest boxes of N boards.

    Attributes:
        boards: N.
        sizes: sizes of which none is beaten in every dimension, by width, then depth.
        refused: sizes that N boards make but that do not fit together, with the finding's code.
        undecided: questions that time left open: a larger box may exist there.
        plans: how many cut plans were made.
    """

    boards: int
    sizes: tuple[BoxSize, ...]
    refused: tuple[tuple[BoxSize, str], ...] = ()
    undecided: int = 0
    plans: int = 0


def frontiers_of(
    parameters: Parameters,
    boards: Sequence[int],
    executor: Executor | None = None,
    progress: Callable[[int], None] | None = None,
) -> list[Frontier]:
    """Return the frontier of each number of boards, in the order asked.

    Args:
        parameters: the variant; its ``size`` table says where to look.
        boards: numbers of boards, each from 1.
        executor: runs the searches side by side, one a number of boards; any executor of
            `concurrent.futures` or with its interface. None: one after the other, here.
        progress: told each number of boards as its search ends.

    Raises:
        InputError: if the ranges of the ``size`` table hold no size, or too many, or if the
            lumber is not kept.
    """
    parameters.stock_of("board")  # else no size would have a box, and none say why
    parameters.stock_of("cap")
    parameters.stock_of("post")
    parameters.stock_of("strip")
    places = list(_places(parameters))
    if len(places) > MOST_PLACES:
        raise InputError(
            f"{len(places)} widths and depths are too many; allowed: at most {MOST_PLACES}: "
            "a coarser step or narrower ranges",
            key="size.step",
        )
    found: dict[int, Frontier] = {}
    if executor is None:
        for count in boards:
            found[count] = frontier_of(parameters, count)
            if progress:
                progress(count)
        return [found[count] for count in boards]
    # the most boards take longest: they go first
    tasks = {
        executor.submit(frontier_of, parameters, count): count
        for count in sorted(set(boards), reverse=True)
    }
    try:
        for task in as_completed(tasks):
            found[tasks[task]] = task.result()
            if progress:
                progress(tasks[task])
    except BaseException:
        for task in tasks:
            task.cancel()
        raise
    return [found[count] for count in boards]


def frontier_of(parameters: Parameters, boards: int) -> Frontier:
    """Return the largest boxes that so many boards of the panels' stock make."""
    search = _Search(parameters, boards)
    heights = _steps(parameters, "height")
    reached: dict[tuple[float, float], int] = {}
    sizes: list[BoxSize] = []
    for width, depth in _places(parameters):
        ceiling = min(
            (level for (w, d), level in reached.items() if w <= width + 1e-6 and d <= depth + 1e-6),
            default=len(heights) - 1,
        )
        level, best = search.greatest(width, depth, heights[: ceiling + 1])
        if level is not None:  # where there is no box at all, that tells nothing of larger ones
            reached[width, depth] = level
        if best is not None:
            sizes.append(best)
    kept = [one for one in sizes if not any(other.beats(one) for other in sizes)]
    kept = [search.bounded(one) for one in kept]
    return Frontier(boards, tuple(kept), tuple(search.refused), search.undecided, search.plans)


def is_square(parameters: Parameters) -> bool:
    """Return whether width and depth are varied as one."""
    shape = parameters.size.shape
    if shape == "auto":
        return abs(parameters.box.width - parameters.box.depth) < 1e-6
    return shape == "square"


def _steps(parameters: Parameters, side: str) -> list[float]:
    """Return the multiples of the step in one side's range, mm.

    Raises:
        InputError: if there is none.
    """
    step = parameters.size.step
    low, high = (getattr(parameters.size, f"{end}_{side}") for end in ("least", "most"))
    first, last = -int(-(low - 1e-6) // step), int((high + 1e-6) // step)
    if last < first:
        raise InputError(
            f"holds no multiple of the step of {both_units(step)}; allowed: at least "
            f"{both_units(first * step)}",
            key=f"size.most_{side}",
        )
    return [step * i for i in range(first, last + 1)]


def _places(parameters: Parameters) -> Iterator[tuple[float, float]]:
    """Yield the pairs of width and depth in question, the small ones first."""
    widths = _steps(parameters, "width")
    if is_square(parameters):
        yield from ((width, width) for width in widths)
        return
    for width in widths:
        yield from ((width, depth) for depth in _steps(parameters, "depth"))


@dataclass
class _Search:
    """Asks whether sizes are made of so many boards, and counts what it cost."""

    parameters: Parameters
    boards: int
    plans: int = 0
    undecided: int = 0
    refused: list[tuple[BoxSize, str]] = field(default_factory=list)

    def greatest(
        self, width: float, depth: float, heights: Sequence[float]
    ) -> tuple[int | None, BoxSize | None]:
        """Return the index of the greatest height that the boards make, and that size.

        The index is -1 where no height is made and None where there is no box at any height; the
        size is None where none fits together.
        """
        first = self._first_possible(width, depth, heights)
        if first is None:
            return None, None
        low, high, made = first - 1, len(heights), dict[int, BoxSize]()
        probe = self._likely(width, depth, heights, first)
        stride = 1
        while low + 1 < high:
            size = self._made(width, depth, heights[probe])
            if size is None:
                high, probe = probe, probe - stride
            else:
                made[probe] = size
                low, probe = probe, probe + stride
            stride *= 2
            if not low < probe < high:  # galloped past an end that is known: halve what is left
                probe, stride = (low + high) // 2, 1
        return (low, self._fitting(low, made, width, depth, heights)) if made else (-1, None)

    def _likely(self, width: float, depth: float, heights: Sequence[float], first: int) -> int:
        """Return the index at which to ask first: where the parts take a usual share of N boards.

        Area grows evenly with height, so two heights tell it of all.
        """
        last = len(heights) - 1
        low, high = (self._boards_by_area(width, depth, heights[i]) for i in (first, last))
        if last == first or high <= low:
            return first
        share = (_USUAL_YIELD * self.boards - low) / (high - low)
        return min(max(first + int(share * (last - first)), first), last)

    def _boards_by_area(self, width: float, depth: float, height: float) -> float:
        """Return how many boards the parts take by their area alone; infinite without a box."""
        try:
            demand = demands_of([(design(next(self._choices(width, depth, height))), 1)])[0]
        except (InputError, StopIteration):
            return float("inf")
        return _boards_by_area(demand)

    def _first_possible(self, width: float, depth: float, heights: Sequence[float]) -> int | None:
        """Return the index of the least height at which there is a box at all."""
        for i, height in enumerate(heights):
            if any(_laid_out(sized) for sized in self._choices(width, depth, height)):
                return i
        return None

    def _choices(self, width: float, depth: float, height: float) -> Iterator[Parameters]:
        """Yield the variant at a size: as it is, then with narrower stiles and rails."""
        size, panel = self.parameters.size, self.parameters.panel
        quarter = INCH / 4
        for less_stile in range(int(size.narrower_stiles / quarter + 1e-6) + 1):
            for less_rail in range(int(size.narrower_rails / quarter + 1e-6) + 1):
                stile = panel.stile_width - less_stile * quarter
                rail = panel.rail_width - less_rail * quarter
                if min(stile, rail) < INCH:
                    continue
                yield _sized(self.parameters, width, depth, height, stile, rail)

    def _made(self, width: float, depth: float, height: float) -> BoxSize | None:
        """Return the size if the boards make it, by the first choice that does."""
        for sized in self._choices(width, depth, height):
            plans = self._planned(sized)
            if plans is None:
                continue
            first = plans[0]
            if first.boards <= self.boards:
                return BoxSize(
                    width=width,
                    depth=depth,
                    height=height,
                    stile=sized.panel.stile_width,
                    rail=sized.panel.rail_width,
                    boards=first.boards,
                    lower_bound=first.lower_bound,
                    yield_=first.yield_,
                    cost=sum(plan.cost for plan in plans),
                )
            if first.lower_bound <= self.boards:
                self.undecided += 1
        return None

    def bounded(self, size: BoxSize) -> BoxSize:
        """Return the size with the plan and bound of a search for one board less."""
        if size.lower_bound >= size.boards:
            return size
        sized = parameters_at(self.parameters, size)
        demand = demands_of([(design(sized), 1)])[0]
        plan = self._plan(sized, demand, size.boards - 1)
        if plan.boards >= size.boards:
            return replace(
                size, lower_bound=min(max(size.lower_bound, plan.lower_bound), size.boards)
            )
        spared = (size.boards - plan.boards) * demand.board.price
        return replace(
            size,
            boards=plan.boards,
            lower_bound=max(size.lower_bound, plan.lower_bound),
            yield_=plan.yield_,
            cost=size.cost - spared,
        )

    def _plan(self, sized: Parameters, demand: StockDemand, enough: int | None) -> CutPlan:
        """Return a plan of one stock, no better than it must be."""
        self.plans += 1
        return plan_cuts(
            demand.parts,
            [demand.board],
            saw_of(sized),
            time_limit=SECONDS_A_PLAN,
            setup_time=0.0,
            enough=enough,
        )

    def _planned(self, sized: Parameters) -> list[CutPlan] | None:
        """Return the plans of one box, the panels' stock first; None where none exists."""
        try:
            demands = demands_of([(design(sized), 1)])
            if _boards_by_area(demands[0]) > self.boards:
                return None
            plans = []
            for i, demand in enumerate(demands):
                plan = self._plan(sized, demand, self.boards if i == 0 else None)
                plans.append(plan)
                if i == 0 and plan.boards > self.boards:
                    break
        except (CuttingError, InputError):
            return None
        return plans

    def _fitting(
        self,
        level: int,
        made: dict[int, BoxSize],
        width: float,
        depth: float,
        heights: Sequence[float],
    ) -> BoxSize | None:
        """Return the greatest height, from ``level`` down, that also fits together."""
        for i in range(level, max(level - _LOWER_TRIES, -1), -1):
            size = made.get(i) or self._made(width, depth, heights[i])
            if size is None:
                continue
            code = _fault(parameters_at(self.parameters, size))
            if not code:
                return size
            self.refused.append((size, code))
        return None


def _boards_by_area(demand: StockDemand) -> float:
    """Return a bound: the parts' own area, slanted ends cut off, in boards."""
    area = sum(sum(part.edge_lengths()) / 2 * part.width * part.count for part in demand.parts)
    return area / (demand.board.length * demand.board.width)


def parameters_at(parameters: Parameters, size: BoxSize) -> Parameters:
    """Return the variant at a size of its frontier."""
    return _sized(parameters, size.width, size.depth, size.height, size.stile, size.rail)


def _sized(
    parameters: Parameters, width: float, depth: float, height: float, stile: float, rail: float
) -> Parameters:
    """Return the variant at another outside size and with other stiles and rails, mm."""
    box = parameters.box.model_copy(update={"width": width, "depth": depth, "height": height})
    panel = parameters.panel.model_copy(update={"stile_width": stile, "rail_width": rail})
    return parameters.model_copy(update={"box": box, "panel": panel})


def _laid_out(parameters: Parameters) -> bool:
    """Return whether there is a box at all with these parameters."""
    try:
        design(parameters).box  # noqa: B018  (to see whether it raises)
    except InputError:
        return False
    return True


def _fault(parameters: Parameters) -> str:
    """Return the code of the first fault of a box; empty where it fits in every lumber case."""
    faults = [f.code for f in judge(parameters).findings if f.severity == "fault"]
    return faults[0] if faults else ""
