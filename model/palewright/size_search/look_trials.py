"""What the slimmer looks of a size are worth: which may be made, and a few of them tried."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace

from palewright.cutting_stock import PartDemand
from palewright.cutting_stock.problem.work_clock import counted
from palewright.parameters.tables import Parameters
from palewright.size_search.dominance import UPRIGHT
from palewright.size_search.height_search import TIGHT, LeastNeed
from palewright.size_search.looks import (
    Likeness,
    Look,
    lean_looks,
    leanest,
    looks_of,
)
from palewright.size_search.pareto_sizes import BoxSize, Sides
from palewright.size_search.size_grid import heights_of, places_of, sized
from palewright.size_search.size_trials import TriedSize
from palewright.size_search.unsteady_sizes import BENDS, TIPS, all_bend, all_tip

_HIGHER, _DEEPER = 4 / 3, 1.18
"""Beyond so much more or less height for its width, or depth, it is another design. Judgement."""


@dataclass(frozen=True, slots=True)
class LookPlace:
    """A width and depth with the heights that suit them (mm), and the volume that is likely."""

    width: float
    depth: float
    heights: tuple[float, ...]
    promised: float

    @property
    def sides(self) -> tuple[float, float]:
        """Width and depth, mm."""
        return self.width, self.depth

    @property
    def likely(self) -> float:
        """Height (mm) of the volume that is likely."""
        return self.promised * 1e6 / (self.width * self.depth)

    def above(self, least: float) -> LookPlace:
        """Return it with the heights of a volume (litres) from the least on."""
        area = self.width * self.depth / 1e6
        return replace(self, heights=tuple(h for h in self.heights if least <= area * h))


@dataclass(frozen=True, slots=True)
class LikelyLooks:
    """Where to look for boxes of so many boards, the most promising first, and in which looks.

    Attributes:
        places: widths and depths.
        lean: looks, walls divided as drawn.
        work: counted work that was done, in seconds.
    """

    places: tuple[LookPlace, ...]
    lean: tuple[Look, ...]
    work: float


@dataclass(frozen=True, slots=True)
class RatedLook:
    """A look of a size, what boards (fractions) it takes at least or about, and widths to rip."""

    look: Look
    quick: float
    rips: int = 0


@dataclass(frozen=True, slots=True)
class LookAsk:
    """What is asked of a width and depth for one number of boards.

    Attributes:
        boards: how many there are.
        heights: in question, mm, the lowest first.
        likely: the height (mm) that is likely.
        lean: looks whose walls are divided in every way there is.
    """

    boards: int
    heights: tuple[float, ...]
    likely: float
    lean: tuple[Look, ...]


@dataclass(frozen=True, slots=True)
class RatedPlace:
    """The heights (mm) over a width and depth, each with its looks: as many lists as asks."""

    looks: tuple[tuple[tuple[float, tuple[RatedLook, ...]], ...], ...]
    work: float


@dataclass(frozen=True, slots=True)
class LookTrials:
    """What trying some looks of a size came to.

    Attributes:
        size: the first that was made and fits.
        open: looks that the work allowed left open.
        tried: how many were tried; none after one that was made.
        doubtful: whether the fit check refused the last that boards made.
        work: counted work that was done, in seconds.
    """

    size: BoxSize | None
    open: tuple[RatedLook, ...]
    tried: int
    doubtful: bool
    work: float


def likely_looks(
    parameters: Parameters, boards: int, deeper: int, need: float, sound: frozenset[str]
) -> LikelyLooks:
    """Return about where boxes of so many boards lie, and their looks.

    Boards go with the area of the walls: the variant is scaled, its leanest frame found, and that
    scaled anew. How high the leanest look may then be over a width and depth says what volume is
    likely there.

    Args:
        parameters: of the box as drawn.
        boards: how many there are.
        deeper: so many times as many looks.
        need: boards (fractions) that the leanest frame takes at the variant's own size.
        sound: as `TriedSize` has it.
    """
    with counted() as work:
        box = parameters.box
        sides: Sides = (box.width, box.depth, box.height)
        for again in (True, False):
            if math.isfinite(need):
                sides = _on_grid(parameters, sides, math.sqrt(TIGHT * boards / need))
            if again:
                need = leanest(sized(parameters, sides))
        lean = tuple(lean_looks(sized(parameters, sides), deeper))
        places = []
        bent: dict[float, bool] = {}
        for place, heights in _alike_places(parameters):
            width = place[0]
            if width not in bent:
                bent[width] = BENDS not in sound and all_bend(
                    parameters, (*place, heights[-1]), lean
                )
            if bent[width]:
                continue
            if TIPS not in sound:
                heights = tuple(
                    height for height in heights
                    if not all_tip(parameters, (*place, height), lean, boards)
                )  # fmt: skip
            if heights:
                promised = _promised(parameters, place, heights, lean[0], boards)
                places.append(LookPlace(*place, heights, promised))
    return LikelyLooks(tuple(sorted(places, key=lambda one: -one.promised)), lean, work[0])


def _on_grid(parameters: Parameters, sides: Sides, scale: float) -> Sides:
    """Return the size in question that is nearest to a scaled one."""
    width, depth, height = (side * scale for side in sides)
    places, heights = places_of(parameters), heights_of(parameters)
    near = min(places, key=lambda place: math.hypot(place[0] - width, place[1] - depth))
    return (*near, min(heights, key=lambda one: abs(one - height)))


def _alike_places(
    parameters: Parameters,
) -> list[tuple[tuple[float, float], tuple[float, ...]]]:
    """Return widths and depths of about the variant's proportions, with heights that suit them."""
    box = parameters.box
    deep, high = box.depth / box.width, box.height / math.sqrt(box.width * box.depth)
    found = []
    for width, depth in places_of(parameters):
        middle = math.sqrt(width * depth)
        heights = tuple(
            height
            for height in heights_of(parameters)
            if abs(math.log(height / middle / high)) <= math.log(_HIGHER) + 1e-9
        )
        if heights and abs(math.log(depth / width / deep)) <= math.log(_DEEPER) + 1e-9:
            found.append(((width, depth), heights))
    return found


def _promised(
    parameters: Parameters,
    place: tuple[float, float],
    heights: Sequence[float],
    look: Look,
    boards: int,
) -> float:
    """Return the volume (litres) of the greatest height whose quick bound is as most plans' is.

    Of the lowest, if that may be made at all; else 0.
    """
    low, high, lowest = 0, len(heights), math.inf
    aim = high // 2
    while low < high:
        spot = TriedSize(parameters, (*place, heights[aim]), look)
        room = TIGHT * boards - spot.quick
        if spot.demands and room < 0:
            high, lowest = aim, spot.quick
        else:  # a box too low for its own frame says nothing of higher ones
            low = aim + 1
        aim = (low + high) // 2
        if spot.demands:  # boards go evenly with the height
            likely = bisect_right(heights, spot.sides[2] + room / _for_each_mm(spot)) - 1
            aim = min(max(likely, low), high - 1)
    if not low and lowest > boards:
        return 0.0
    return math.prod((*place, heights[max(low - 1, 0)])) / 1e6


def _looks_asked(
    parameters: Parameters, place: tuple[float, float], asks: Sequence[LookAsk]
) -> dict[Look, list[int]]:
    """Return looks of a width and depth, each with the asks (indices) that it is one of."""
    asked: dict[Look, list[int]] = {}
    for index, ask in enumerate(asks):
        for look in looks_of(sized(parameters, (*place, ask.heights[-1])), ask.lean):
            asked.setdefault(look, []).append(index)
    return asked


def rated_place(
    parameters: Parameters, place: tuple[float, float], asks: Sequence[LookAsk]
) -> RatedPlace:
    """Return the heights that some numbers of boards may make, with about what each look takes.

    Each look is laid out at the height that is likely: boards go evenly with the height, by how
    wide all uprights are together.

    Args:
        parameters: of the box as drawn.
        place: width and depth, mm.
        asks: of each number of boards.
    """
    rated: list[dict[float, list[RatedLook]]] = [{h: [] for h in ask.heights} for ask in asks]
    known: list[set[tuple[tuple[PartDemand, ...], ...]]] = [set() for _ in asks]
    with counted() as work:
        alike = Likeness(parameters)
        middles = [min(ask.heights, key=lambda h: abs(h - ask.likely)) for ask in asks]
        for look, indices in _looks_asked(parameters, place, asks).items():
            spots: dict[float, TriedSize] = {}
            for index, middle in ((i, middles[i]) for i in indices):
                if middle not in spots:
                    spots[middle] = TriedSize(parameters, (*place, middle), look)
                spot = spots[middle]
                box = tuple(one.parts for one in spot.demands)
                if not box or box in known[index]:  # no box, or what another look comes to as well
                    continue
                known[index].add(box)
                rips = len({part.width for part in spot.demands[0].parts})
                rise = _for_each_mm(spot)
                beyond = _ruled_out(spot, asks[index])
                for height, looks in rated[index].items():
                    if height in beyond:
                        continue
                    quick = spot.quick + (height - middle) * rise
                    if not look or alike.holds(sized(parameters, (*place, height), look)):
                        looks.append(RatedLook(look, quick, rips))
    found = tuple(
        tuple(
            (height, tuple(looks))
            for height, looks in heights.items()
            if min((look.quick for look in looks), default=math.inf) <= _NEARLY * ask.boards
        )
        for heights, ask in zip(rated, asks, strict=True)
    )
    return RatedPlace(found, work[0])


_NEARLY = 1.02
"""Of N: what is about to take more is not tried. `possible_heights` says whether it may be made."""


def _for_each_mm(spot: TriedSize) -> float:
    """Return what boards (fractions) a mm of height takes: of uprights, braces left out."""
    demand = spot.demands[0]
    wide = sum(part.width * part.count for part in demand.parts if part.role in UPRIGHT)
    return wide / (demand.board.length * demand.board.width)


def _ruled_out(spot: TriedSize, ask: LookAsk) -> set[float]:
    """Return the heights (mm), from its own on, that a quick bound rules out in a size's look."""
    heights = [height for height in ask.heights if height >= spot.sides[2]]
    return set(heights[LeastNeed(heights, lambda _: spot).within(ask.boards) :])


def possible_heights(
    parameters: Parameters, place: tuple[float, float], asks: Sequence[LookAsk]
) -> RatedPlace:
    """Return the heights that no quick bound rules out in every look, each with one that is left.

    Args:
        parameters: of the box as drawn.
        place: width and depth, mm.
        asks: of each number of boards.
    """
    heights = sorted({height for ask in asks for height in ask.heights})
    left: list[dict[float, RatedLook]] = [{} for _ in asks]
    with counted() as work:
        alike = Likeness(parameters)
        for look, indices in _looks_asked(parameters, place, asks).items():
            spots: dict[int, TriedSize | None] = {}

            def spot_at(
                index: int, look: Look = look, spots: dict[int, TriedSize | None] = spots
            ) -> TriedSize | None:
                sides = (*place, heights[index])
                if index not in spots:
                    holds = not look or alike.holds(sized(parameters, sides, look))
                    spots[index] = TriedSize(parameters, sides, look) if holds else None
                return spots[index]

            wanted = [i for i in indices if len(left[i]) < len(asks[i].heights)]
            if not wanted:
                continue
            least = LeastNeed(heights, spot_at)
            for ask, mine in ((asks[i], left[i]) for i in wanted):
                for index in range(least.within(ask.boards)):
                    height = heights[index]
                    asked = height in ask.heights and height not in mine
                    spot = spot_at(index) if asked else None
                    if spot is not None and spot.may_be(ask.boards):
                        mine[height] = RatedLook(look, spot.quick)
    found = tuple(tuple((h, (mine[h],)) for h in sorted(mine)) for mine in left)
    return RatedPlace(found, work[0])


def tried_looks(
    parameters: Parameters,
    sides: Sides,
    looks: Sequence[RatedLook],
    boards: int,
    each: float,
    sound: frozenset[str],
    doubtful: bool,
) -> LookTrials:
    """Return the first look of a size that so many boards make and that fits.

    Args:
        parameters: the box as drawn.
        sides: the size, mm.
        looks: in the order of being tried.
        boards: that it may take.
        each: counted work for a plan, in seconds.
        sound: as `TriedSize` has it.
        doubtful: whether the fit check comes before the plan: it refused the last.
    """
    made, left, tried = None, [], 0
    with counted() as work:
        for one in looks:
            tried += 1
            spot = TriedSize(parameters, sides, one.look, sound)
            if doubtful and spot.may_be(boards):
                spot.judge(whole=False)
            spot.plan(boards, each)
            made = spot.offered(boards)
            doubtful = bool(spot.fault) if spot.fault is not None else doubtful
            if made is not None:
                break
            if spot.may_be(boards):
                left.append(one)
    return LookTrials(made, tuple(left), tried, doubtful, work[0])
