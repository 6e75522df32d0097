"""The largest boxes of N boards in slimmer looks: where the most is to be gained first.

For each N the looks that may be tried are worked out at a likely size, once. Widths and depths are
rated: the heights over them, each with the looks that no quick bound rules out. Then sizes are
tried, a few looks at a time: always the size that promises the most, which is what it would add to
the largest known by the chance that some look of it is made. The chance falls with the quick bound
and with every look tried in vain. Looks are tried in turn by how strips fill a board (stile, and
how walls are divided): where a look of a kind is made, most of the kind are. What is not decided
stays open and is told as a bound.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from palewright.fit.verdict import judge
from palewright.parameters.tables import Parameters
from palewright.reading.errors import InputError
from palewright.size_search.crew import Crew, TellSearch
from palewright.size_search.look_trials import (
    LikelyLooks,
    LookAsk,
    LookPlace,
    LookTrials,
    RatedLook,
    RatedPlace,
    likely_looks,
    possible_heights,
    rated_place,
    tried_looks,
)
from palewright.size_search.looks import RIP, Kind, Look, kinds_of, leanest
from palewright.size_search.pareto_sizes import BoxSize, OpenSize, Sides, is_beaten, most_volume

_WORTH = 0.92
"""Of the largest volume known: what holds less is left to the look as drawn. Judgement."""

_HOPED = 0.85
"""The same of the volume that is likely, before any is known."""

_PLACES = 5
"""So many widths and depths, the most promising, are rated for each number of boards."""

_AHEAD = 6
"""So many asks are under way at most, whoever works."""

_TOGETHER = 3
"""Looks of one size that one ask tries, until one is made."""

_WORKS = (0.3, 2.0)
"""Counted work for a plan, in seconds: most that are made need less than the first; what it leaves
open is tried again, after the others."""

_MIDDLE, _SPREAD = 0.955, 0.012
"""Quick bound, as a share of N, at which half of the sizes are made in some look, and by how much
it differs. Measured on square variants of two to five boards: .94 to 1."""

_KNOWN = 0.03
"""How much of the quick bound it weighs that looks of a kind were tried in vain. Judgement."""

_FADES = 0.88
"""Chance that is left to a size by each look that was tried in vain. Judgement."""

_OTHERWISE = 0.15
"""What a larger box of another width and depth is worth where it is not the largest of all."""

_RULED = 2.5
"""Of the work for a number of boards, what may be done before no more places are ruled out: what is
tried ends first, and a place that is not looked at is open."""


Rated = tuple[tuple[float, tuple[RatedLook, ...]], ...]
"""Heights (mm) with looks."""


@dataclass
class _Size:
    """A size that may be made of so many boards in some look.

    Attributes:
        sides: mm.
        waiting: looks in the order of being tried, each with how often it was.
        quick: the least quick bound.
        vain: how many looks were tried in vain, or are under way.
        left: looks that were tried to no end.
    """

    sides: Sides
    waiting: list[tuple[RatedLook, int]]
    quick: float
    vain: int = 0
    left: list[RatedLook] = field(default_factory=list)

    @property
    def volume(self) -> float:
        """Litres."""
        return math.prod(self.sides) / 1e6

    @property
    def undecided(self) -> bool:
        """Whether some look of it was not tried, or to no end."""
        return bool(self.waiting or self.left)

    def next_looks(self, told: _Tally) -> list[tuple[RatedLook, int]]:
        """Take the looks that are tried next: lean, of likely kinds, and tried as often."""

        def order(waits: tuple[RatedLook, int]) -> tuple[int, float]:
            rated = waits[0]
            return waits[1], (rated.quick + RIP * rated.rips) * told.doubt(rated.look)

        self.waiting.sort(key=order)
        again = self.waiting[0][1]
        alike = sum(waits[1] == again for waits in self.waiting[:_TOGETHER])
        some, self.waiting = self.waiting[:alike], self.waiting[alike:]
        return some

    def chance(self, boards: int) -> float:
        """Return the chance that a look of it is made of so many boards."""
        far = (self.quick / boards - _MIDDLE) / _SPREAD
        return _FADES**self.vain / (1 + math.exp(far))


class _Tally:
    """How often looks of each stile, and of each way to divide walls, were made or tried in vain.

    These decide how strips fill a board, at one size as at the next.
    """

    def __init__(self) -> None:
        self._made: Counter[Kind] = Counter()
        self._tried: Counter[Kind] = Counter()

    def note(self, look: Look, *, made: bool) -> None:
        """Count one look."""
        for kind in kinds_of(look):
            self._tried[kind] += 1
            self._made[kind] += made

    def doubt(self, look: Look) -> float:
        """Return what the quick bound of a look counts for, by what is known of its kinds."""
        missed = (
            (self._tried[k] - self._made[k] + 1) / (self._tried[k] + 2) for k in kinds_of(look)
        )
        return 1 + _KNOWN * math.prod(missed)


@dataclass(eq=False)
class _Count:
    """What is known of one number of boards.

    Attributes:
        boards: N.
        offered: sizes that are made.
        likely: where to look.
        work: counted work that was done, in seconds.
        sizes: that are in question.
        possible: larger sizes that no quick bound rules out, each in a look.
        doubtful: whether the last box that boards made did not fit.
        unreached: places at which that was not asked, for want of work.
        told: what its looks came to.
        sought: looks in question.
    """

    boards: int
    offered: list[BoxSize]
    likely: LikelyLooks
    work: float
    sizes: dict[Sides, _Size] = field(default_factory=dict)
    unreached: list[LookPlace] = field(default_factory=list)
    told: _Tally = field(default_factory=_Tally)
    sought: set[Look] = field(default_factory=set)
    possible: dict[Sides, RatedLook] = field(default_factory=dict)
    doubtful: bool = False

    def undecided(self, sides: Sides) -> bool:
        """Return whether some look of a size was not tried, or to no end."""
        return sides not in self.sizes or self.sizes[sides].undecided

    @property
    def hoped(self) -> float:
        """Volume (litres) that is likely."""
        return max((place.promised for place in self.likely.places), default=0.0)


@dataclass
class LookSearch:
    """What slimmer looks make of each number of boards.

    Attributes:
        offered: sizes that are made, by number of boards; those as drawn when it begins.
        most: counted work, in seconds, to try looks of each number of boards; what one leaves,
            the others get.
        less: what the look as drawn took of that, in seconds, for all numbers of boards together.
        deeper: so many times as many looks.
        sound: codes of the warnings that the variant has as it is drawn.
        placed: counted work, in seconds, that places took, for all numbers of boards.
    """

    parameters: Parameters
    offered: dict[int, list[BoxSize]]
    crew: Crew
    progress: TellSearch | None
    most: float
    less: float = 0.0
    deeper: int = 1
    sound: frozenset[str] = frozenset()
    counts: dict[int, _Count] = field(default_factory=dict)
    placed: float = 0.0
    _found: str = ""

    def run(self) -> None:
        """Look at all numbers of boards, in turn."""
        self.sound = sound_of(self.parameters)
        boards = sorted(self.offered)
        (need,) = self.crew.answers(leanest, [(self.parameters,)], 1)
        asks = [(self.parameters, count, self.deeper, need, self.sound) for count in boards]
        likely: Iterator[LikelyLooks] = self.crew.answers(likely_looks, asks, _AHEAD)
        for count, found in zip(boards, likely, strict=True):
            self.counts[count] = _Count(count, self.offered[count], found, found.work)
        self._rate()
        self._try_all()
        self._rule_out()

    @property
    def work(self) -> float:
        """Counted work that was done, in seconds."""
        return self.placed + sum(one.work for one in self.counts.values())

    def best(self, count: int) -> float:
        """Return the largest volume (litres) known of so many boards."""
        return most_volume(self._made_of(count))

    def left_open(self, count: int) -> list[OpenSize]:
        """Return what was not decided and would be the largest."""
        one, best = self.counts[count], self.best(count)
        return [
            OpenSize(sides, rated.look, count, None)
            for sides, rated in one.possible.items()
            if math.prod(sides) / 1e6 > best + 1e-6 and one.undecided(sides)
        ]

    def unreached(self, count: int) -> dict[tuple[float, float], tuple[float, ...]]:
        """Return widths and depths, with the heights (mm) that no bound was asked for in time."""
        return {place.sides: place.heights for place in self.counts[count].unreached}

    def looks(self, count: int) -> int:
        """Return how many looks were sought."""
        return len(self.counts[count].sought)

    def _made_of(self, count: int) -> list[BoxSize]:
        return [size for n in self.offered if n <= count for size in self.offered[n]]

    def _rate(self) -> None:
        """Rate the likely places."""
        near: dict[tuple[float, float], list[tuple[_Count, LookPlace]]] = {}
        for one in self.counts.values():
            least = _WORTH * max(self.best(one.boards), _HOPED * one.hoped)
            for place in one.likely.places[: _PLACES * self.deeper]:
                near.setdefault(place.sides, []).append((one, place.above(least)))
        for sides, one, found in self._asked("likely sizes", rated_place, near, math.inf):
            for height, looks in found:
                one.sought |= {look.look for look in looks}
                waiting = [(look, 0) for look in looks]
                quick = min(look.quick for look in looks)
                one.sizes[(*sides, height)] = _Size((*sides, height), waiting, quick)

    def _rule_out(self) -> None:
        """Rule out larger sizes in every look, by quick bounds; the rest is open."""
        larger: dict[tuple[float, float], list[tuple[_Count, LookPlace]]] = {}
        for one in self.counts.values():
            for place in one.likely.places:
                above = place.above(self.best(one.boards) + 1e-6)
                left = tuple(h for h in above.heights if one.undecided((*place.sides, h)))
                larger.setdefault(place.sides, []).append((one, replace(above, heights=left)))
        most = _RULED * self.most * len(self.counts)
        for sides, one, found in self._asked("larger sizes", possible_heights, larger, most):
            for height, looks in found:
                one.possible[(*sides, height)] = looks[0]

    def _asked(
        self,
        what: str,
        work: Callable[..., RatedPlace],
        places: Mapping[tuple[float, float], Sequence[tuple[_Count, LookPlace]]],
        most: float,
    ) -> Iterator[tuple[tuple[float, float], _Count, Rated]]:
        """Ask of each width and depth for all numbers of boards at once; yield each answer.

        most: counted work of the whole search after which no more is asked.
        """
        wanted = {
            sides: some
            for sides, every in places.items()
            if (some := [(one, place) for one, place in every if place.heights])
        }
        asked: list[tuple[float, float]] = []

        def asks() -> Iterator[tuple[object, ...]]:
            for sides, some in wanted.items():
                self._tell(what, len(asked), len(wanted))
                if self.work >= most:
                    for one, place in some:
                        one.unreached.append(place)
                    continue
                asked.append(sides)
                yield (
                    self.parameters,
                    sides,
                    [
                        LookAsk(one.boards, place.heights, place.likely, one.likely.lean)
                        for one, place in some
                    ],
                )

        answers: Iterator[RatedPlace] = self.crew.answers(work, asks(), _AHEAD)
        for done, answer in enumerate(answers):
            self.placed += answer.work
            for (one, _), found in zip(wanted[asked[done]], answer.looks, strict=True):
                yield asked[done], one, found

    def _try_all(self) -> None:
        """Try sizes while there is work left, and something to gain.

        What a short plan left open is tried again after all others, of every number of boards.
        """
        asked: list[tuple[_Count, _Size, list[tuple[RatedLook, int]]]] = []
        for again in range(len(_WORKS)):
            answers: Iterator[LookTrials] = self.crew.answers(
                tried_looks, self._asks(asked, again), _AHEAD
            )
            for done, answer in enumerate(answers, start=len(asked)):
                self._take(answer, *asked[done])

    def _asks(
        self, asked: list[tuple[_Count, _Size, list[tuple[RatedLook, int]]]], again: int
    ) -> Iterator[tuple[object, ...]]:
        """Yield what is tried next, one number of boards after the other."""
        active = list(self.counts.values())
        whole = self.most * len(self.counts) - self.less
        while active:
            for one in list(active):
                ended = sum(other.work for other in self.counts.values() if other not in active)
                size = None
                if one.work < (whole - ended) / len(active):
                    size = self._next(one, again)
                if size is None:
                    active.remove(one)
                    continue
                some = size.next_looks(one.told)
                looks, work = [look for look, _ in some], _WORKS[some[0][1]]
                size.vain += len(some)
                asked.append((one, size, some))
                spent = sum(other.work for other in self.counts.values())
                if math.isfinite(whole):
                    self._tell("slimmer looks", round(100 * min(spent / whole, 1)), 100)
                yield (
                    self.parameters, size.sides, looks, one.boards, work, self.sound, one.doubtful,
                )  # fmt: skip

    def _next(self, one: _Count, again: int) -> _Size | None:
        """Return the size that promises the most, if any promises something.

        Of those with looks that were tried no more than ``again`` times.
        """
        larger = self._made_of(one.boards)
        best = self.best(one.boards)
        here: dict[tuple[float, float], float] = {}
        for made in larger:
            place = (made.width, made.depth)
            here[place] = max(here.get(place, 0.0), made.volume)
        chosen, most = None, 0.0
        for size in one.sizes.values():
            if all(tried > again for _, tried in size.waiting) or is_beaten(size.sides, larger):
                continue
            other = max(_WORTH * best, here.get(size.sides[:2], 0.0))
            gain = max(size.volume - best, 0.0) + _OTHERWISE * max(size.volume - other, 0.0)
            promise = size.chance(one.boards) * gain
            if promise > most:
                chosen, most = size, promise
        return chosen

    def _take(
        self, answer: LookTrials, one: _Count, size: _Size, some: list[tuple[RatedLook, int]]
    ) -> None:
        """Take in what trying some looks came to."""
        one.work += answer.work
        one.doubtful = answer.doubtful
        again = some[0][1] + 1
        for look in answer.open:
            if again < len(_WORKS):
                size.waiting.append((look, again))
            else:
                size.left.append(look)
        if answer.size is not None:
            if answer.size.volume > self.best(one.boards) + 1e-6:
                self._found = f"{one.boards} boards: {answer.size.volume:.0f} l so far"
            one.offered.append(answer.size)
        for look, _ in some[: answer.tried]:
            made = answer.size is not None and look.look == answer.size.look
            one.told.note(look.look, made=made)

    def _tell(self, what: str, done: int, steps: int) -> None:
        if self.progress is not None:
            self.progress(what, done, steps, self._found)


def sound_of(parameters: Parameters) -> frozenset[str]:
    """Return the codes of the warnings that the variant has as it is drawn."""
    try:
        findings = judge(parameters).findings
    except InputError:
        return frozenset()
    return frozenset(one.code for one in findings if one.severity == "warning")
