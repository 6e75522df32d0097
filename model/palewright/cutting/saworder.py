"""The saw order: which settings a plan needs, grouped so that each is set once.

First all boards are ripped to their true width, then blocks are crosscut (one stop-block
setting a block length), blocks are ripped (one fence setting a strip width), strips are
crosscut (one stop-block setting a part length, one mitre-gauge setting an angle).
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from palewright.cutting.fillings import BlockRecipe, Recipe
from palewright.cutting.layouts import block_length, plain_layout
from palewright.cutting.records import Cut, CutKind, Layout, Piece, SetUp
from palewright.cutting.surplus import BoardGroup, rows_apart
from palewright.cutting.whole import WholeQuestion

Key = tuple[int, CutKind, float, float]
"""Stage, kind, setting and angle: what has to be alike for two cuts to need one setting."""


def cut_key(cut: Cut) -> Key:
    """The setting of a cut; angles count by their size: laid the other way, it is the same."""
    return cut.stage, cut.kind, round(cut.setting, 4), round(abs(cut.angle), 2)


def layout_keys(layout: Layout) -> frozenset[Key]:
    """The settings that one layout needs, the first rip to true width among them."""
    keys = {cut_key(cut) for cut in layout.cuts}
    if not layout.on_hand:
        keys.add((0, "rip", round(layout.stock_width, 4), 0.0))
    return frozenset(keys)


def saw_settings(layouts: Sequence[Layout]) -> tuple[SetUp, ...]:
    """The settings in working order."""
    cuts: dict[Key, int] = {}
    places: dict[Key, list[tuple[int, int]]] = {}
    parts: dict[Key, set[str]] = {}
    for number, layout in enumerate(layouts):
        if not layout.on_hand:
            first: Key = (0, "rip", round(layout.stock_width, 4), 0.0)
            cuts[first] = cuts.get(first, 0) + layout.count
            places.setdefault(first, []).append((number, 0))
        for cut in layout.cuts:
            key = cut_key(cut)
            cuts[key] = cuts.get(key, 0) + layout.count
            places.setdefault(key, []).append((number, block_of(layout, cut)))
            parts.setdefault(key, set()).update(p.part for p in pieces_of(layout, cut))
    return tuple(
        SetUp(
            stage=key[0],
            kind=key[1],
            setting=key[2],
            angle=key[3],
            cuts=cuts[key],
            parts=tuple(sorted(parts.get(key, ()))),
            places=tuple(dict.fromkeys(places[key])),
        )
        for key in _in_order(cuts, layouts)
    )


def _in_order(keys: Iterable[Key], layouts: Sequence[Layout]) -> list[Key]:
    """By stage and angle, the greatest first; but a rip that takes waste off before a wider
    strip, as at a clipped end, comes before that strip's."""
    waiting = sorted(keys, key=lambda k: (k[0], k[3], -k[2]))
    before: dict[Key, set[Key]] = {}
    for layout in layouts:
        rips = [cut for cut in layout.cuts if cut.kind == "rip"]
        for first, then in itertools.pairwise(rips):
            if first.block == then.block and first.setting < then.setting - 1e-6:
                before.setdefault(cut_key(then), set()).add(cut_key(first))
    done: list[Key] = []
    while waiting:
        free = (key for key in waiting if not before.get(key, set()) & set(waiting))
        done.append(next(free, waiting[0]))
        waiting.remove(done[-1])
    return done


def block_of(layout: Layout, cut: Cut) -> int:
    """The block that a cut makes or divides: -1 stands for the one at the clipped end."""
    if cut.block >= 0:
        return cut.block
    return max((piece.block for piece in layout.pieces), default=0)


def pieces_of(layout: Layout, cut: Cut) -> list[Piece]:
    """The pieces that a last crosscut makes; none for an earlier one."""
    return [
        piece
        for piece in layout.pieces
        if cut.stage == 3
        and (piece.block, piece.strip) == (cut.block, cut.strip)
        and abs(piece.length - cut.setting) < 1e-3
    ]


@dataclass(frozen=True)
class Facts:
    """What a way to cut a board asks and leaves: its settings and passes of the saw; the length
    of the longest offcut of the board's whole width (0 for none) and of all such together."""

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


class FactBook:
    """Looks up what recipes ask and leave, and works out each one once."""

    def __init__(self, question: WholeQuestion) -> None:
        self.question = question
        self._known: dict[tuple[int, Recipe], Facts] = {}
        self._lengths: dict[tuple[int, BlockRecipe], int] = {}

    def block_length(self, kind: int, block: BlockRecipe) -> int:
        """The length of a block with kerf, units."""
        found = self._lengths.get((kind, block))
        if found is None:
            found = block_length(self.question, self.question.stock[kind], block)
            self._lengths[kind, block] = found
        return found

    def of(self, kind: int, recipe: Recipe) -> Facts:
        """The facts of one recipe on a board of one kind."""
        found = self._known.get((kind, recipe))
        if found is None:
            apart = rows_apart(self.question, kind, recipe)
            layout = plain_layout(self.question, kind, apart)
            whole = [o.length for o in layout.offcuts if o.whole_width and o.usable]
            rips = sum(cut.kind == "rip" for cut in layout.cuts)
            found = Facts(
                settings=layout_keys(layout),
                crosscuts=len(layout.cuts) - rips,
                rips=rips + (not layout.on_hand),  # the rip to true width
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
