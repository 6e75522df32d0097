"""One size in one look: what it asks, its plan, whether it fits, what else it allows."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from palewright.catalogue.lumber import LUMBER_CASES, LumberCase
from palewright.construction.box_layout import Box, bare_box, lay_out
from palewright.cutting_stock import CutPlan, plan_cuts, quick_bound, strip_bound, whole_boards
from palewright.cutting_stock.problem.work_clock import counted, spend
from palewright.fit.cases import FitCase
from palewright.fit.checks.strength import bending
from palewright.fit.findings import Finding
from palewright.fit.verdict import judge
from palewright.loads.weights import weights_of
from palewright.parameters.tables import Parameters
from palewright.reading.errors import InputError
from palewright.sawing.stock_demands import StockDemand, demands_of_box, saw_of
from palewright.size_search.dominance import PartShape, shape_of
from palewright.size_search.looks import LAID_OUT, SPARED, Likeness, Look, richer
from palewright.size_search.pareto_sizes import BoxSize, OpenSize, Sides
from palewright.size_search.size_grid import sized
from palewright.size_search.unsteady_sizes import TIPS, falls

FIRST_LOOK = 1.2
"""Work for the first cut plan of a size; most need a tenth of it."""

_JUDGED = 0.025
"""Counted work, in seconds, of a fit check in one lumber case."""

_BENT = 0.002
"""Counted work, in seconds, of finding out what soil bends."""


@dataclass(frozen=True, slots=True)
class SizeLook:
    """What a look found: the size if it is made and fits, why it does not, bounds on boards, and
    the counted work, in seconds."""

    size: BoxSize | None
    fault: str
    lower: float
    upper: float
    work: float


def later_look(
    parameters: Parameters, size: OpenSize, boards: int, most: float, sound: frozenset[str]
) -> SizeLook:
    """Return what a longer look at an open size finds: the fit check comes first.

    Args:
        parameters: the box as drawn.
        size: what was left open.
        boards: that it may take.
        most: counted work for the plan, in seconds.
        sound: as `TriedSize` has it.
    """
    with counted() as work:
        spot = TriedSize(parameters, size.sides, size.look, sound)
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
    spot = TriedSize(parameters, size.sides, size.look)
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
        sound: as `TriedSize` has it.
    """
    with counted():
        for key in SPARED:
            tried = (
                TriedSize(parameters, size.sides, look, sound)
                for look in richer(parameters, size.look, key)
            )
            better = (
                _made_at_once(spot, size.boards, most) for spot in tried if spot.alike(parameters)
            )
            size = next((one for one in better if one is not None), size)
    return size


def _made_at_once(spot: TriedSize, boards: int, most: float) -> BoxSize | None:
    """Return a size if a short look finds a plan of so many boards, and it fits."""
    spot.plan(boards, most)
    return spot.offered(boards)


class TriedSize:
    """One size built in one way: what it asks, what is known of its boards, whether it fits.

    Attributes:
        laid_out: what it asks, whether boards hold it or not; empty where it cannot be built.
        demands: the same, empty where no board holds a part.
        sound: codes of warnings that a look of its own may have: the drawn box has them.
        lower, upper: boards of the panels' stock that the best plan takes at least, at most.
        fault: code of the first fault of the fit check, empty where none is known, None unasked.
        warnings: codes of what it warns of, as far as it was asked.
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
        self.lower, self.upper = math.inf, math.inf
        self.best: CutPlan | None = None
        self.fault: str | None = None
        self.warnings: set[str] = set()
        self.tried: set[int] = set()
        self.laid_out: list[StockDemand] = []
        self.demands: list[StockDemand] = []
        self._bare: Box | None = None
        self._shape: PartShape | None = None
        self._nominal: FitCase | None = None
        self._rest: tuple[LumberCase, ...] = ()
        spend(LAID_OUT)
        try:
            self._bare = bare_box(self.sized)
            self.laid_out = demands_of_box(self._bare)
            bounds = [quick_bound(one.parts, one.board, self.saw) for one in self.laid_out]
            self.demands, self.lower = self.laid_out, float(whole_boards(bounds[0]))
        except InputError:  # no box, or a part that no board holds
            pass

    @cached_property
    def quick(self) -> float:
        """Boards (fractions) that its strips take at least; infinite where there is no box."""
        if not self.demands:
            return math.inf
        return strip_bound(self.demands[0].parts, self.demands[0].board, self.saw)

    @property
    def shape(self) -> PartShape:
        """The shape of what is cut from the panels' stock."""
        if self._shape is None:
            self._shape = shape_of(self.demands[0].parts, self.saw)
        return self._shape

    def alike(self, drawn: Parameters) -> bool:
        """Return whether it reads as the design that was drawn."""
        return not self.look or Likeness(drawn).holds(self.sized)

    def may_be(self, boards: int) -> bool:
        """Return whether it could be offered for so many boards, for all that is known."""
        if self.lower <= boards:
            self.lower = max(self.lower, whole_boards(self.quick))
        return self.lower <= boards and not self.fault

    def judge(self, first: LumberCase = "nominal", *, whole: bool = True) -> None:
        """Put it to the fit check in one lumber case, and if it fits and ``whole`` in the others.

        Most that do not fit show it in nominal lumber, at a quarter of the cost.
        """
        if self.fault is None:
            self.fault = self._fault((first,))
            self._rest = tuple(case for case in LUMBER_CASES if case != first)
        if whole and not self.fault and self._rest:
            self.fault = self._fault(self._rest)
            self._rest = ()

    def _fault(self, cases: Sequence[LumberCase]) -> str:
        """Return the code of a fault in some lumber cases, the first as drawn; empty where it fits.

        In a look that nobody drew a warning that the drawn box has not counts as a fault.
        """
        if self._nominal is None:
            if fault := self._bends() or self._tips():
                return fault
            self._nominal = FitCase(lay_out(self.sized), "nominal")
        spend(_JUDGED * len(cases))
        found = judge(self.sized, cases, self._nominal).findings
        self.warnings |= {one.code for one in found if one.severity == "warning"}
        return next((one.code for one in found if self._refuses(one)), "")

    def _bends(self) -> str:
        """Return the code of a fault where soil bends a board too far, however it is screwed.

        Of a slimmer look alone, since only that is not told why; cleats span from screw to screw.
        Most that are refused are refused for this, in large boxes.
        """
        if not self.look or self._bare is None:
            return ""
        spend(_BENT)
        found = bending(FitCase(self._bare, "nominal"))
        return next((one.code for one in found if one.group != "cleat" and self._refuses(one)), "")

    def _tips(self) -> str:
        """Return the code of a pull that tips it, whatever screws it gets: of a slimmer look alone.

        It spares finding their places, which takes most of the time.
        """
        if not self.look or self._bare is None or TIPS in self.sound:
            return ""
        boards = self._bare.boards.values()
        faces = [(board.stock, board.volume / board.thickness) for board in boards]
        return TIPS if falls(self._bare, faces) else ""

    def _refuses(self, found: Finding) -> bool:
        """Return whether a finding counts as a fault."""
        new = self.look and found.severity == "warning" and found.code not in self.sound
        return found.severity == "fault" or bool(new)

    def plan(self, boards: int, most: float) -> None:
        """Look for a plan of so many boards, or for a bound above, for so many seconds of work."""
        if self.upper <= boards or not self.may_be(boards):
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
            warnings=tuple(sorted(self.warnings)),
        )

    def left_open(self) -> OpenSize:
        """Return it as a size that the work allowed left open."""
        upper = None if math.isinf(self.upper) else int(self.upper)
        return OpenSize(self.sides, self.look, int(self.lower), upper)
