"""The saw order: which settings a plan needs, grouped so that each is set once.

First board ends are squared, which needs no setting, and boards that are wider ripped to their
true width; then blocks are crosscut (one stop-block setting a block length), blocks are ripped
(one fence setting a strip width), strips are crosscut (`strip_cuts`: the angles one by one, one
stop-block setting a length).
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from palewright.cutting_stock.problem.integer_units import IntegerProblem, Shapes
from palewright.cutting_stock.problem.patterns import BlockRecipe, Recipe
from palewright.cutting_stock.problem.records import Cut, CutKind, Layout, SetUp, SetUps
from palewright.cutting_stock.sawing.layouts import CutStrips, block_length, plain_layout
from palewright.cutting_stock.sawing.surplus_parts import BoardGroup, rows_apart

Key = tuple[int, CutKind, float, float]
"""Stage, kind, setting and angle: what has to be alike for two cuts to need one setting."""


def cut_key(cut: Cut) -> Key:
    """The setting of a cut; angles count by their size: laid the other way, it is the same."""
    return cut.stage, cut.kind, round(cut.setting, 4), round(abs(cut.angle), 2)


def layout_keys(layout: Layout) -> frozenset[Key]:
    """The settings that one layout needs, the first rip to true width among them."""
    keys = {cut_key(cut) for cut in layout.cuts}
    if layout.true_rip:
        keys.add(_true_key(layout))
    return frozenset(keys)


def _true_key(layout: Layout) -> Key:
    return 0, "rip", round(layout.stock_width, 4), 0.0


@dataclass(frozen=True)
class _Pass:
    """A cut of the boards cut alike; `after`: which one (from 0) has to be made before."""

    key: Key
    layout: int
    cut: int
    after: int | None


def set_ups(layouts: Sequence[Layout]) -> SetUps:
    """The settings in working order, and which of them makes each cut.

    Followed from top to bottom the list keeps every layout: by stage and angle, the greatest size
    first, unless a cut has to wait for a smaller one; then its setting comes once more.
    """
    passes = list(_passes(layouts))
    lines: list[tuple[Key, list[_Pass]]] = []
    for _, group in itertools.groupby(
        sorted(passes, key=lambda one: (one.key[0], one.key[3])),
        key=lambda one: (one.key[0], one.key[3]),
    ):
        lines += _lines(list(group))
    found = [[-1] * len(layout.cuts) for layout in layouts]
    for number, (_, made) in enumerate(lines):
        for one in made:
            if one.cut >= 0:
                found[one.layout][one.cut] = number
    settings = tuple(_setting(layouts, key, made) for key, made in lines)
    squaring = _squaring(layouts)
    return SetUps(settings, lines=tuple(tuple(line) for line in found), squaring=squaring)


def _passes(layouts: Sequence[Layout]) -> Iterator[_Pass]:
    """All cuts of all layouts; number -1 stands for the rip to true width."""
    for number, layout in enumerate(layouts):
        if layout.true_rip:
            yield _Pass(_true_key(layout), number, -1, None)
        for i, cut in enumerate(layout.cuts):
            yield _Pass(cut_key(cut), number, i, i - 1 if cut.chained else None)


def _lines(waiting: list[_Pass]) -> list[tuple[Key, list[_Pass]]]:
    """The cuts of one stage and angle, setting by setting, none before what it waits for."""
    lines: list[tuple[Key, list[_Pass]]] = []
    while waiting:
        here = {(one.layout, one.cut): one for one in waiting}
        free: dict[Key, list[_Pass]] = {}
        for one in waiting:
            if _is_free(one, here):
                free.setdefault(one.key, []).append(one)
        wanted = Counter(one.key for one in waiting)
        whole = [key for key in free if len(free[key]) == wanted[key]]
        key = max(whole or free, key=lambda k: k[2])
        lines.append((key, free[key]))
        taken = {(one.layout, one.cut) for one in free[key]}
        waiting = [one for one in waiting if (one.layout, one.cut) not in taken]
    return lines


def _is_free(one: _Pass, waiting: Mapping[tuple[int, int], _Pass]) -> bool:
    """Whether all that a cut waits for is made, or is made at its own setting just before."""
    while one.after is not None:
        before = waiting.get((one.layout, one.after))
        if before is None:
            return True
        if before.key != one.key:
            return False
        one = before
    return True


def _setting(layouts: Sequence[Layout], key: Key, made: Sequence[_Pass]) -> SetUp:
    """One setting with all that is cut at it."""
    places, parts = [], set()
    for one in made:
        layout = layouts[one.layout]
        cut = layout.cuts[one.cut] if one.cut >= 0 else None
        places.append((one.layout, 0 if cut is None else block_of(layout, cut)))
        parts |= {layout.pieces[i].part for i in cut.made} if cut else set()
    return SetUp(
        stage=key[0],
        kind=key[1],
        setting=key[2],
        angle=key[3],
        cuts=sum(layouts[one.layout].count for one in made),
        parts=tuple(sorted(parts)),
        places=tuple(dict.fromkeys(places)),
    )


def _squaring(layouts: Sequence[Layout]) -> SetUp | None:
    """The pass that squares board ends; None where there is none to square."""
    here = [(number, layout) for number, layout in enumerate(layouts) if layout.squared]
    cuts = sum(layout.squared * layout.count for _, layout in here)
    places = tuple((number, 0) for number, _ in here)
    return SetUp(0, "crosscut", 0.0, 0.0, cuts, places=places) if here else None


def block_of(layout: Layout, cut: Cut) -> int:
    """The block that a cut makes or divides: -1 stands for the one at the clipped end."""
    if cut.block >= 0:
        return cut.block
    return max((piece.block for piece in layout.pieces), default=0)


@dataclass(frozen=True)
class Facts:
    """What a way to cut a board asks and leaves.

    Its settings and passes of the saw; the length of the longest offcut of the board's whole width
    (0 for none) and of all such together.
    """

    settings: frozenset[Key]
    crosscuts: int
    rips: int
    longest: float
    total: float


@dataclass(frozen=True, order=True)
class Merit:
    """How good a plan is among plans of one cost: the lesser the better.

    settings: of the saw; then the longest offcut of a board's whole width, which goes back on
    the rack as a board would, then the length of all of those (both below 0, caller's unit).
    """

    settings: int
    longest: float
    total: float


@lru_cache(maxsize=8)  # some boxes' stocks: each some MB of recipes
def _known_facts(
    shapes: Shapes,  # noqa: ARG001  (what they are known by)
) -> tuple[dict[tuple[int, Recipe], Facts], dict[tuple[int, BlockRecipe], int], CutStrips]:
    """What is known for these shapes: facts of recipes, block lengths, strips; empty at first."""
    return {}, {}, {}


class FactBook:
    """Looks up what recipes ask and leave, and works out each one once.

    Problems about the same parts and boards share what is known, however many are wanted: the
    batches of one box ask for the same recipes again and again.
    """

    def __init__(self, problem: IntegerProblem) -> None:
        self.problem = problem
        self._known, self._lengths, self._strips = _known_facts(problem.shapes)

    def block_length(self, kind: int, block: BlockRecipe) -> int:
        """The length of a block with kerf, units."""
        found = self._lengths.get((kind, block))
        if found is None:
            found = block_length(self.problem, self.problem.stock[kind], block)
            self._lengths[kind, block] = found
        return found

    def of(self, kind: int, recipe: Recipe) -> Facts:
        """The facts of one recipe on a board of one kind."""
        found = self._known.get((kind, recipe))
        if found is None:
            apart = rows_apart(self.problem, kind, recipe)
            layout = plain_layout(self.problem, kind, apart, self._strips)
            whole = [o.length for o in layout.offcuts if o.whole_width and o.usable]
            rips = sum(cut.kind == "rip" for cut in layout.cuts)
            found = Facts(
                settings=layout_keys(layout),
                crosscuts=len(layout.cuts) - rips + layout.squared,
                rips=rips + layout.true_rip,
                longest=max(whole, default=0.0),
                total=sum(whole),
            )
            self._known[kind, recipe] = found
        return found

    def merit(self, groups: Iterable[BoardGroup]) -> Merit:
        """The merit of boards together."""
        settings: set[Key] = set()
        longest = total = 0.0
        for group in groups:
            facts = self.of(group.kind, group.recipe)
            settings |= facts.settings
            longest = max(longest, facts.longest)
            total += facts.total * group.count
        return Merit(len(settings), -longest, -total)
