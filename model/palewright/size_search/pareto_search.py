"""The largest boxes that N boards make: the sizes of which none is beaten in every dimension.

The widths and depths of the ``size`` table are gone through, wide and deep ones first; over each,
`height_search` finds the greatest height that fits together and that N boards make, for every N at
once. Heights that a wider or deeper box has are not looked at, since that one beats them. Sizes
that the first look leaves open get a longer one if no size that was found beats them, and are told
if that leaves them open as well. Several numbers of boards in all looks are an overview: of the box
as drawn little is sought that holds less than the largest, and it gets no longer looks. What each
look and the whole search may take is counted work (`work_clock`), not time, so that a busy machine
finds what a quiet one does.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, field, replace

from palewright.parameters.chosen_materials import STOCK_ROLES
from palewright.parameters.tables import Parameters
from palewright.size_search.crew import Crew, TellSearch
from palewright.size_search.height_search import (
    ColumnAnswer,
    ColumnAsk,
    column_answer,
)
from palewright.size_search.look_search import LookSearch
from palewright.size_search.pareto_sizes import (
    BoxSize,
    Frontier,
    OpenSize,
    RefusedSize,
    Sides,
    holds,
    is_beaten,
    largest_of,
    most_volume,
    not_reached,
    unbeaten,
)
from palewright.size_search.size_grid import heights_of, is_square, places_of
from palewright.size_search.size_trials import (
    FIRST_LOOK,
    SizeLook,
    TriedSize,
    completed,
    enriched,
    later_look,
)

WORK = 600.0
"""Counted work for the whole search, in seconds of a quiet processor."""

LATER_SHARE = 0.1
"""Of it for longer looks at what the first looks leave open; as drawn alone, all that is left."""

SLIM_SHARE = 0.1
"""Of the work for slimmer looks of one number of boards. Several are an overview: each gets a share
that falls faster than their number, so that seven together take half of what one may. Twice as much
found no larger box (four searches over three variants) and proved one gap smaller."""

_DRAWN_SHARE = 0.025
"""Of all work: what the look as drawn takes beyond it in an overview is taken off the slimmer
looks', half of it at most. A tub of thousands of sizes by half inches is told as soon as others."""

DEEPER = 2
"""So many times as many looks where one number of boards is sought alone."""

RICHER_LOOK = 0.3
"""Work for each plan that spends what is left on a look less spare: most are found at once."""

LONG_LOOK = 10.0
"""Work for each longer look, or a twentieth of all where that is less."""

_WORTH = 0.97
"""Of the largest volume known of so many boards: what holds less is no answer of an overview. Of a
tub by half inches it takes half of the work as drawn, and the largest boxes are the same."""

_AHEAD = 6
"""So many widths and depths are searched side by side at most, fewer where they form one line."""

_NEAR_STEPS = 3
"""What was learned is passed on to widths and depths so many steps smaller."""


def frontiers_of(
    parameters: Parameters,
    boards: Sequence[int],
    executor: Executor | None = None,
    progress: TellSearch | None = None,
    work: float = WORK,
) -> list[Frontier]:
    """Return the frontier of each number of boards, in the order asked.

    Args:
        parameters: the variant; its ``size`` table says where to look.
        boards: numbers of boards, each from 1.
        executor: runs the searches side by side, one a width and depth; any executor of
            `concurrent.futures` or with its interface. None: one after the other, here. What is
            found does not depend on it.
        progress: told how far the search is.
        work: counted work for the search, in seconds of a quiet processor; widths and depths
            that are not reached by then are told, as are sizes left open.

    Raises:
        InputError: if the ranges of the ``size`` table hold no size, or too many, or if the
            lumber is not kept.
    """
    for role in STOCK_ROLES:
        parameters.materials.stock[role]  # else no size would have a box, and none say why
    search = _ParetoSearch(parameters, sorted(set(boards)), Crew(executor), progress, work)
    search.look_everywhere()
    if parameters.size.looks == "free":
        search.look_slimmer()
    if not search.overview:
        search.look_again()
    search.complete()
    found = {count: search.frontier(count) for count in search.boards}
    return [found[count] for count in boards]


def is_overview(parameters: Parameters, numbers: int) -> bool:
    """Return whether a search for so many numbers of boards tells the largest boxes of each alone.

    In one look all sizes are sought, and of one number.
    """
    return parameters.size.looks == "free" and numbers > 1


@dataclass
class _ParetoSearch:
    """What is found so far, for all numbers of boards."""

    parameters: Parameters
    boards: list[int]
    crew: Crew
    progress: TellSearch | None
    most: float
    work: float = 0.0
    unreached: list[tuple[float, float]] = field(default_factory=list)
    offered: dict[int, list[BoxSize]] = field(default_factory=dict)
    refused: list[RefusedSize] = field(default_factory=list)
    open: dict[int, list[OpenSize]] = field(default_factory=dict)
    columns: dict[tuple[float, float], ColumnAnswer] = field(default_factory=dict)
    drawn: dict[int, BoxSize | None] = field(default_factory=dict)
    slim: LookSearch | None = None

    def __post_init__(self) -> None:
        self.offered = {count: [] for count in self.boards}
        self.open = {count: [] for count in self.boards}

    @property
    def overview(self) -> bool:
        """As `is_overview`."""
        return is_overview(self.parameters, len(self.boards))

    def _tell(self, what: str, done: int, steps: int, found: str = "") -> None:
        if self.progress is not None:
            self.progress(what, done, steps, found)

    def look_everywhere(self) -> None:
        """Ask for every width and depth; each ask is made with what is known by then."""
        places, heights = places_of(self.parameters), tuple(heights_of(self.parameters))
        ahead = 2 if is_square(self.parameters) else _AHEAD

        def asks() -> Iterator[tuple[object, ...]]:
            for place in places:
                if self.work < self.most:
                    yield self.parameters, self._ask(place, heights)

        self._tell("widths and depths", 0, len(places))
        answers = self.crew.answers(column_answer, asks(), ahead)
        for done, (place, answer) in enumerate(zip(places, answers, strict=False), start=1):
            self.columns[place] = answer
            self.work += answer.work
            for count, size in answer.sizes:
                self.offered[count].append(size)
            for count, size_left in answer.open:
                self.open[count].append(size_left)
            self.refused += answer.refused
            found = max(answer.sizes, key=lambda one: one[1].volume, default=None)
            self._tell("widths and depths", done, len(places), _told(*found) if found else "")
        self.unreached = places[len(self.columns) :]

    def _ask(self, place: tuple[float, float], heights: tuple[float, ...]) -> ColumnAsk:
        width, depth = place
        near = self._column_near(width, depth)
        firsts = []
        for count in self.boards:
            held = [s.height for s in self.offered[count] if holds(s.sides, (width, depth, 0.0))]
            beaten = max(held, default=0.0)
            least = _WORTH * most_volume(self._made_of(count)) if self.overview else 0.0
            few = [h for h in heights if h <= beaten + 1e-6 or width * depth * h / 1e6 < least]
            firsts.append((count, len(few)))
        return ColumnAsk(
            width=width,
            depth=depth,
            heights=heights,
            boards=tuple(firsts),
            tight=near.tight if near else {},
            doubtful=near.doubtful if near else False,
            work=FIRST_LOOK,
            short=self.parameters.size.looks == "free",
        )

    def _column_near(self, width: float, depth: float) -> ColumnAnswer | None:
        """Return what is known of the last width and depth that are a few steps larger."""
        reach = _NEAR_STEPS * self.parameters.size.step + 1e-6
        for (w, d), column in reversed(self.columns.items()):
            if -1e-6 < w - width < reach and -1e-6 < d - depth < reach:
                return column
        return None

    def look_again(self) -> None:
        """Take a longer look at what was left open, unless a size that was found beats it.

        As drawn the largest first; beside other looks what is just larger than the largest known
        of so many boards first, since it is the likeliest.
        """
        left = [
            (size, count)
            for count in self.boards
            for size in self.open[count]
            if not self._beaten(size.sides, count)
        ]
        self.open = {count: [] for count in self.boards}
        least = LATER_SHARE * self.most
        if self.slim is None:
            work, each = max(least, self.most - self.work), min(LONG_LOOK, self.most / 20)
            ahead = _AHEAD
            left.sort(key=lambda one: -one[0].volume)
        else:
            work, each, ahead = least, FIRST_LOOK, 2  # no more than its share
            best = {count: self.slim.best(count) for count in self.boards}
            left.sort(key=lambda one: _distance(one[0].volume, best[one[1]]))
        waiting, end = deque(left), self.work + work
        asked: list[tuple[OpenSize, int]] = []
        steps = len(waiting)

        def asks() -> Iterator[tuple[object, ...]]:
            while waiting and self.work < end:
                size, count = waiting.popleft()
                if not self._beaten(size.sides, count):
                    asked.append((size, count))
                    yield self.parameters, size, count, each, frozenset()

        for done, look in enumerate(self.crew.answers(later_look, asks(), ahead)):
            self._take(look, *asked[done])
            self._tell("sizes left open", steps - len(waiting), steps)
        for size, count in waiting:
            self.open[count].append(size)

    def _take(self, look: SizeLook, size: OpenSize, count: int) -> None:
        """Take in what a longer look found."""
        self.work += look.work
        if look.size is not None:
            self.offered[count].append(look.size)
        elif look.fault:
            self.refused.append(RefusedSize(size.sides, look.fault))
        elif look.lower <= count:
            left = replace(size, lower_bound=int(look.lower), upper_bound=int(look.upper))
            self.open[count].append(left)

    def _look_at_likeliest(self) -> None:
        """Take a longer look at the variant's own size, and at one of each number of none yet.

        What a slimmer look buys is told beside what is made as drawn.
        """
        box = self.parameters.box
        own = (box.width, box.depth, box.height)
        asked = []
        for count in self.boards:
            left = [size for size in self.open[count] if math.dist(size.sides, own) < 1e-6]
            if self.open[count] and not any(self._made_of(count)):
                left.append(min(self.open[count], key=self._quick))
            asked += [(size, count) for size in dict.fromkeys(left)]
        asks = [
            (self.parameters, size, count, FIRST_LOOK, frozenset[str]()) for size, count in asked
        ]
        for done, look in enumerate(self.crew.answers(later_look, asks, _AHEAD), start=1):
            size, count = asked[done - 1]
            self.open[count].remove(size)
            self._take(look, size, count)
            told = _told(count, look.size) if look.size else ""
            self._tell("likeliest sizes as drawn", done, len(asked), told)

    def _quick(self, size: OpenSize) -> float:
        """Return boards (fractions) that the strips of an open size take at least."""
        return TriedSize(self.parameters, size.sides, size.look).quick

    def look_slimmer(self) -> None:
        """Look for larger boxes in other looks."""
        self._look_at_likeliest()
        largest = {count: self._unbeaten(count) for count in self.boards}
        numbers = len(self.boards)
        share = SLIM_SHARE * self.most / math.pow(numbers, 1.4)
        beyond = max(0.0, self.work - _DRAWN_SHARE * self.most) if self.overview else 0.0
        less = min(beyond, numbers * share / 2)
        deeper = max(1, DEEPER // numbers)
        slim = LookSearch(self.parameters, largest, self.crew, self.progress, share, less, deeper)
        slim.run()
        self.work += slim.work
        self.slim = slim
        best = {count: largest_of(slim.offered[count]) for count in self.boards}
        slimmer = list(
            dict.fromkeys(size for size in best.values() if size is not None and size.look)
        )
        asks = [(self.parameters, size, RICHER_LOOK, slim.sound) for size in slimmer]
        richer = dict(zip(slimmer, self.crew.answers(enriched, asks, _AHEAD), strict=True))
        for count in self.boards:
            self.offered[count] = [richer.get(size, size) for size in slim.offered[count]]

    def complete(self) -> None:
        """Keep the sizes that none beats, with the best plan or its bound, and the whole cost."""
        kept = {count: self._unbeaten(count) for count in self.boards}
        self.drawn = {
            count: largest_of(size for size in self._made_of(count) if not size.look)
            for count in self.boards
        }
        drawn = [size for size in self.drawn.values() if size is not None]
        sizes = list(dict.fromkeys([s for count in self.boards for s in kept[count]] + drawn))
        asks = [(self.parameters, size, FIRST_LOOK) for size in sizes]
        done: dict[BoxSize, BoxSize] = {}
        for size, whole in zip(sizes, self.crew.answers(completed, asks, _AHEAD), strict=True):
            done[size] = whole
            self._tell("sizes offered", len(done), len(sizes))
        self.offered = {count: [done[size] for size in kept[count]] for count in self.boards}
        self.drawn = {count: size and done[size] for count, size in self.drawn.items()}

    def _unbeaten(self, count: int) -> list[BoxSize]:
        """Return the sizes that so many boards make and of which none is beaten."""
        sizes: dict[Sides, BoxSize] = {}
        for size in self._made_of(count):
            if size.boards <= sizes.get(size.sides, size).boards:
                sizes[size.sides] = size
        return unbeaten(sizes)

    def _made_of(self, count: int) -> Iterator[BoxSize]:
        """Yield what so many boards, or fewer, make."""
        for sizes in self.offered.values():
            yield from (size for size in sizes if size.boards <= count)

    def _beaten(self, sides: Sides, count: int) -> bool:
        return is_beaten(sides, self._made_of(count))

    def frontier(self, count: int) -> Frontier:
        """Return what was found for one number of boards."""
        refused = {one.sides: one for one in self.refused if not self._beaten(one.sides, count)}
        made = {size.sides for size in self.offered[count]}
        opened, places = list(self.open[count]), {}
        if self.slim is not None:
            opened += self.slim.left_open(count)
            places = self.slim.unreached(count)
        places |= dict.fromkeys(self.unreached, tuple(heights_of(self.parameters)))
        left = [one for one in opened if not self._beaten(one.sides, count)]
        missed = list(not_reached(places, self.offered[count]))
        volumes = [one.volume for one in left]
        volumes += [w * d * max(places[w, d]) / 1e6 for w, d, _ in missed]
        return Frontier(
            count,
            tuple(self.offered[count]),
            tuple(refused[sides] for sides in sorted(refused) if sides not in made),
            tuple(sorted(left, key=lambda one: (one.sides, one.look))),
            tuple(missed),
            self.drawn[count],
            max([most_volume(self.offered[count]), *volumes]),
            1 if self.slim is None else self.slim.looks(count),
            self.work,
        )


def _told(count: int, size: BoxSize) -> str:
    return f"{count} boards: {size.volume:.0f} l"


def _distance(volume: float, best: float) -> tuple[bool, float]:
    """Return what orders volumes (litres): larger ones than the best first, the nearest first."""
    return volume <= best + 1e-6, abs(volume - best) / max(best, 1e-6)
