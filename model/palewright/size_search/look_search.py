"""The largest boxes of N boards in slimmer looks: near the likely size first, the volume in mind.

For each N the looks that may be tried are worked out at a likely size, once. Then widths and depths
are asked for, the likeliest first: over each, a few looks of every height that is worth it are
planned (`height_search`). Worth it is what is nearly as much as the most that is known by then, and
as high for its width as the variant, about.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from palewright.cutting_stock.problem.work_clock import counted
from palewright.fit.verdict import judge
from palewright.parameters.tables import Parameters
from palewright.reading.errors import InputError
from palewright.size_search.crew import Crew, TellSearch
from palewright.size_search.height_search import (
    FIRST_LOOK,
    TIGHT,
    ColumnAnswer,
    ColumnAsk,
    KnownNeed,
    column_answer,
)
from palewright.size_search.looks import Look, leanest, looks_of
from palewright.size_search.pareto_sizes import BoxSize, OpenSize, Sides, is_beaten
from palewright.size_search.size_grid import heights_of, places_of, sized

PICKS = 3
"""Looks that are planned at one height; a fourth made one height in forty larger."""

LONGER = 3
"""So many times as many, for so much more work each, where one number of boards is sought alone."""

_WORTH = 0.92
"""Of the largest volume known: what holds less is left to the look as drawn. Judgement."""

_HIGHER, _DEEPER = 4 / 3, 1.18
"""Beyond so much more or less height for its width, or depth, it is another design. Judgement."""

_AHEAD = 8
"""So many asks are under way at most, whoever works."""


@dataclass
class LookSearch:
    """What slimmer looks make of each number of boards.

    Attributes:
        offered: sizes that are made, by number of boards; those as drawn when it begins.
        sound: codes of the warnings that the variant has as it is drawn.
        most: counted work, in seconds.
        picks: looks that are planned at one height; None: all.
        each: counted work for a plan at most, in seconds.
    """

    parameters: Parameters
    offered: dict[int, list[BoxSize]]
    crew: Crew
    progress: TellSearch | None
    most: float
    picks: int | None = PICKS
    each: float = FIRST_LOOK
    work: float = 0.0
    sound: frozenset[str] = frozenset()
    looks: dict[int, tuple[Look, ...]] = field(default_factory=dict)
    open: dict[int, list[OpenSize]] = field(default_factory=dict)
    unreached: dict[int, list[tuple[float, float]]] = field(default_factory=dict)
    _found: str = ""

    def run(self) -> None:
        """Look at all numbers of boards, one width and depth of each in turn."""
        boards = sorted(self.offered)
        asks = [(self.parameters, count) for count in boards]
        likely: dict[int, Sides] = {}
        for count, found in zip(boards, self.crew.answers(likely_looks, asks, _AHEAD), strict=True):
            likely[count], self.looks[count], work = found
            self.work += work
        self.open = {count: [] for count in boards}
        self.unreached = {count: [] for count in boards}
        self.sound = sound_of(self.parameters)
        lists = {count: _places(self.parameters, likely[count]) for count in boards}
        turns = [
            (count, lists[count][turn])
            for turn in range(max(map(len, lists.values()), default=0))
            for count in boards
            if turn < len(lists[count])
        ]
        known: dict[int, list[KnownNeed]] = {count: [] for count in boards}
        spurned: dict[int, frozenset[Look]] = {count: frozenset() for count in boards}
        asked: list[int] = []

        def column_asks() -> Iterator[tuple[object, ...]]:
            for done, (count, place) in enumerate(turns):
                if self.progress is not None:
                    self.progress("slimmer looks", done, len(turns), self._found)
                ask = self._ask(count, place, known[count], spurned[count])
                if ask is None:
                    continue
                if self.work >= self.most:
                    self.unreached[count].append((ask.width, ask.depth))
                    continue
                asked.append(count)
                yield self.parameters, ask

        answers: Iterator[ColumnAnswer] = self.crew.answers(column_answer, column_asks(), _AHEAD)
        for done, answer in enumerate(answers):
            count = asked[done]
            self.work += answer.work
            self.offered[count] += [size for _, size in answer.sizes]
            self.open[count] += [size for _, size in answer.open]
            if answer.sizes:
                self._found = f"{count} boards: {self.best(count):.0f} l so far"
            known[count] += answer.known
            spurned[count] |= answer.spurned

    def best(self, count: int) -> float:
        """Return the largest volume (litres) known of so many boards."""
        sizes = (size for n in self.offered if n <= count for size in self.offered[n])
        return max((size.volume for size in sizes), default=0.0)

    def _ask(
        self,
        count: int,
        place: tuple[float, float, Sequence[float]],
        known: Sequence[KnownNeed],
        spurned: frozenset[Look],
    ) -> ColumnAsk | None:
        """Return what is asked of a width and depth; None where nothing there is worth it."""
        width, depth, heights = place
        least = _WORTH * self.best(count)
        larger = [size for n in self.offered if n <= count for size in self.offered[n]]
        worth = tuple(
            height
            for height in heights
            if width * depth * height / 1e6 >= least
            and not is_beaten((width, depth, height), larger)
        )
        if not worth:
            return None
        return ColumnAsk(
            width, depth, worth, ((count, 0),), self.looks[count], self.picks, self.sound,
            tuple(known), spurned, TIGHT, doubtful=False, work=self.each,
        )  # fmt: skip


def sound_of(parameters: Parameters) -> frozenset[str]:
    """Return the codes of the warnings that the variant has as it is drawn."""
    try:
        findings = judge(parameters).findings
    except InputError:
        return frozenset()
    return frozenset(one.code for one in findings if one.severity == "warning")


def likely_looks(parameters: Parameters, count: int) -> tuple[Sides, tuple[Look, ...], float]:
    """Return about the size (mm) that so many boards make, its looks, and the counted work.

    Boards go with the area of the walls: the variant is scaled, its leanest frame found, and that
    scaled anew.
    """
    with counted() as work:
        box = parameters.box
        sides: Sides = (box.width, box.depth, box.height)
        for _ in range(2):
            need = leanest(sized(parameters, sides))
            if math.isfinite(need):
                sides = _on_grid(parameters, sides, math.sqrt(TIGHT * count / need))
        looks = tuple(looks_of(sized(parameters, sides)))
    return sides, looks, work[0]


def _on_grid(parameters: Parameters, sides: Sides, scale: float) -> Sides:
    """Return the size in question that is nearest to a scaled one."""
    width, depth, height = (side * scale for side in sides)
    places, heights = places_of(parameters), heights_of(parameters)
    near = min(places, key=lambda place: math.hypot(place[0] - width, place[1] - depth))
    return (*near, min(heights, key=lambda one: abs(one - height)))


def _places(parameters: Parameters, likely: Sides) -> list[tuple[float, float, tuple[float, ...]]]:
    """Return widths and depths with the heights that suit them, the likeliest first. All mm."""
    box = parameters.box
    deep, high = box.depth / box.width, box.height / math.sqrt(box.width * box.depth)
    found = []
    for width, depth in places_of(parameters):
        other = abs(math.log(depth / width / deep))
        if other > math.log(_DEEPER) + 1e-9:
            continue
        middle = math.sqrt(width * depth)
        heights = tuple(
            height
            for height in heights_of(parameters)
            if abs(math.log(height / middle / high)) <= math.log(_HIGHER) + 1e-9
        )
        if heights:
            far = abs(math.log(middle / math.sqrt(likely[0] * likely[1])))
            found.append((far + other, (width, depth, heights)))
    return [place for _, place in sorted(found, key=lambda one: one[0])]
