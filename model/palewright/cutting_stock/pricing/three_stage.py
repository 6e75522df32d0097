"""Patterns of a board by crosscutting blocks, ripping them into strips, crosscutting those.

Prices and enumerates three-stage guillotine patterns (P. C. Gilmore, R. E. Gomory, "Multistage
cutting stock problems of two and more dimensions", Operations Research 13 (1965) 94-120, cited from
memory): the best value of strips for each block length, of rip patterns for each block length,
and of blocks for each board length gives a ceiling; patterns that respect how often each part is
wanted are then grown under that ceiling, and of partial patterns with equal parts only the shortest
is kept. All sizes hold one kerf.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from palewright.cutting_stock.pricing.block_enumeration import (
    BlockListing,
    by_length,
    listable,
)
from palewright.cutting_stock.pricing.block_heuristic import best_blocks
from palewright.cutting_stock.pricing.completion_bounds import (
    CompletionBounds,
    LagrangianBound,
    RipBound,
)
from palewright.cutting_stock.pricing.dog_ears import DogEaredEnd, dog_eared_lengths
from palewright.cutting_stock.pricing.label_extension import (
    Blocks,
    BoardLabels,
    Goal,
    Tables,
    TooMany,
    block_labels,
    joined_blocks,
    no_blocks,
    picked_blocks,
)
from palewright.cutting_stock.pricing.pattern_recipes import recipes_of
from palewright.cutting_stock.pricing.rip_patterns import (
    RipPattern,
    clipped_patterns,
    patterns_of,
)
from palewright.cutting_stock.pricing.strip_knapsack import StripShelf
from palewright.cutting_stock.problem.float_noise import TINY
from palewright.cutting_stock.problem.integer_units import IntegerStock
from palewright.cutting_stock.problem.patterns import BoardPatterns, CountPacker, shortest_of_each
from palewright.cutting_stock.problem.search_settings import SETTINGS
from palewright.cutting_stock.problem.work_clock import CALL, CELL, ROW, now, spend
from palewright.geometry.arrays import Floats, Ints


class ThreeStagePricing:
    """Three-stage patterns of one kind of board (or rip-first ones: a single block).

    shelves: strips by width; patterns: rip patterns of a plain block; clipped_patterns: those
    of the block at the dog-eared end, whose strips lose length; bounds: (m,) most of each part.
    """

    def __init__(
        self,
        shelves: dict[int, StripShelf],
        patterns: Sequence[RipPattern],
        clipped_patterns: Sequence[RipPattern],
        bounds: Ints,
        length: int,
        dog_eared: DogEaredEnd | None,
        *,
        single_block: bool,
        all_patterns: bool,
        listing: BlockListing | None = None,
        stock: IntegerStock | None = None,
    ) -> None:
        """stock: the board, where patterns that are not listed may be found as needed."""
        self.shelves = shelves
        self.patterns = list(patterns)
        self.clipped_patterns = list(clipped_patterns)
        self.bounds = bounds
        self.packer = CountPacker(bounds)
        self.widths = sorted(shelves)
        self.length = length
        self.dog_eared, self.ear = dog_eared, dog_eared.clipped if dog_eared else 0
        self.plain_length = length - self.ear
        self.single_block = single_block
        self.all_patterns, self.stock = all_patterns, stock
        self.complete = self.all_patterns and all(s.complete for s in shelves.values())
        self.listing = listing
        self._set_ceilings()
        self._share = 0
        self._until_listed = -2

    def restricted(self, bounds: Ints) -> ThreeStagePricing:
        """The same board with at most `bounds` (m,) of each part."""
        if self.all_patterns and (bounds >= self.bounds).all():  # the first board of a filling
            return self
        spend(2 * CALL)
        shelves = {width: shelf.restricted(bounds) for width, shelf in self.shelves.items()}
        plain, ends = self.patterns, self.clipped_patterns
        if self.listing is None:
            used = {width: shelf for width, shelf in shelves.items() if shelf.bounds.any()}
            shelves = used or shelves
            plain, ends = patterns_of(plain, shelves), patterns_of(ends, shelves)
        less = ThreeStagePricing(
            shelves,
            plain,
            ends,
            np.minimum(self.bounds, bounds),
            self.length,
            self.dog_eared,
            single_block=self.single_block,
            all_patterns=self.all_patterns,
            listing=self.listing.restricted(bounds) if self.listing else None,
        )
        less._share = self._share
        less._until_listed = 1 if less.listing is None else -2
        return less

    def list_blocks(self, tried: int = SETTINGS.most_tried) -> None:
        """Lists all blocks once and for all, where at most so many need be tried."""
        everyone = (*self.patterns, *self.clipped_patterns)
        if not self.all_patterns or not listable(everyone, self.shelves, tried):
            return
        tables = self._tables(np.zeros(len(self.bounds)))
        goal = Goal(-np.inf, SETTINGS.most_blocks, np.inf, lean=False)
        try:
            plain = self._blocks(tables, self.patterns, goal, self.plain_length)
            ends = self._blocks(tables, self.clipped_patterns, goal, self.length)
        except TooMany:
            return
        if len(plain.values) + len(ends.values) <= SETTINGS.most_blocks:
            strips = {width: shelf.counts for width, shelf in self.shelves.items()}
            self.listing = BlockListing(by_length(plain), by_length(ends), strips)

    def _tables(self, duals: Floats) -> Tables:
        self._until_listed = max(-2, self._until_listed - 1)
        if self._until_listed == -1:  # asked again: worth listing, which takes as long as pricing
            self.list_blocks(SETTINGS.tried_at_once)
        if self.listing is not None:
            spend(CALL + CELL * self.listing.plain.counts.size)
            return self.listing.tables(
                duals, self.length, self.plain_length, single=self.single_block
            )
        return self.ceilings.tables(duals)

    def _set_ceilings(self) -> None:
        """Sets up the ceilings of the patterns known so far."""
        self.ceilings = CompletionBounds(
            self.shelves,
            self.patterns,
            self.clipped_patterns,
            self.length,
            self.ear,
            single=self.single_block,
        )

    def _ceiling(self, duals: Floats) -> RipBound | None:
        """The ceiling over all patterns, where not all are listed."""
        if self.all_patterns or self.stock is None:
            return None
        listed = {width: shelf.priced(duals) for width, shelf in self.shelves.items()}
        width, single = self.stock.width, self.single_block
        return RipBound(listed, width, self.length, single=single)

    def _grow_patterns(self, ceiling: RipBound) -> bool:
        """Takes in the patterns that reach highest; False where all of them are known."""
        known = {pattern.widths for pattern in self.patterns}
        new = [RipPattern(w, (0,) * len(w)) for w in ceiling.patterns() if w not in known]
        if not new or self.stock is None or len(known) + len(new) > SETTINGS.most_rips:
            return False
        self.patterns += new
        self.clipped_patterns += clipped_patterns(new, self.stock)
        self._set_ceilings()
        return True

    def best(
        self,
        duals: Floats,
        threshold: float,
        limit: int,
        *,
        enough: int = 1,
        lean: bool = False,
        deadline: float = np.inf,
        blocks: int = SETTINGS.least_blocks,
    ) -> BoardPatterns:
        """Up to about `limit` of the most valuable patterns worth at least `threshold`.

        blocks: so many of the best at least are looked at in a lean look.
        """
        asked = (duals, threshold, limit, enough, lean, deadline, blocks)
        found = self._best_of_listed(*asked)
        ceiling = self._ceiling(duals)
        if ceiling is None:
            return found if self.all_patterns else replace(found, upper=np.inf)
        while (
            not len(found.values)
            and threshold <= ceiling.upper
            and now() < deadline
            and self._grow_patterns(ceiling)
        ):
            found = self._best_of_listed(*asked)
        return replace(found, upper=ceiling.upper)

    def _best_of_listed(
        self,
        duals: Floats,
        threshold: float,
        limit: int,
        enough: int,
        lean: bool,
        late: float,
        blocks: int,
    ) -> BoardPatterns:
        """As `best`, with the patterns that are listed."""
        tables = self._tables(duals)
        upper = tables.whole
        if upper < threshold:
            return self._none(upper)
        if lean and self.listing is None:
            found = self._of_best_blocks(tables, duals, threshold, limit, blocks)
            if len(found.values):
                return found
        found = self._none(upper)
        skipped = max(0, self._share - 1) if lean else 0
        for place, share in enumerate(SETTINGS.goal_shares[skipped:], skipped):
            goal = max(threshold, upper - share * (upper - min(threshold, upper)))
            goal = threshold if share == 1.0 else goal
            try:
                found = self._grown(tables, duals, goal, limit, lean=lean, late=late)
            except TooMany:
                found = replace(self._none(upper), complete=False)
                break
            if found.complete and self.complete and not len(found.values):
                upper = min(upper, goal)
            if len(found.values) >= enough:
                self._share = place
                break
        if found.complete and self.complete and len(found.values):
            upper = min(upper, float(found.values[0]) + TINY)
        elif self.listing is None and not (found.complete or lean or len(found.values)):
            found = self._best_under_lagrangian(tables, duals, threshold, limit, late)
            upper = min(upper, found.upper)  # what a higher goal ruled out holds too
        return BoardPatterns(found.counts, found.values, upper, found.complete, found.recipe)

    def _best_under_lagrangian(
        self, tables: Tables, duals: Floats, threshold: float, limit: int, late: float
    ) -> BoardPatterns:
        """Return as `best`, under a ceiling that counts no part more often than it is wanted.

        Slower, but there is less to look at, so that nothing is left out where nothing is there.
        """
        lagrangian = self._lagrangian(tables, duals, threshold)
        upper = lagrangian.upper
        if upper < threshold:
            return self._none(upper)
        try:
            found = self._grown(
                lagrangian.tables, duals, threshold, limit, late=late, taken=lagrangian.taken
            )
        except TooMany:
            return replace(self._none(upper), complete=False)
        if found.complete and self.complete:
            upper = min(upper, float(found.values.max(initial=threshold)) + TINY)
        return replace(found, upper=upper)

    def _of_best_blocks(
        self, tables: Tables, duals: Floats, threshold: float, limit: int, least: int
    ) -> BoardPatterns:
        """As `best`, from no more than the best block at each length."""
        goal = Goal(threshold - TINY, limit, None, lean=True)
        most = max(least, SETTINGS.block_fan * limit)
        known, found = self.ceilings.spots(tables.listed), []
        for place, patterns in enumerate((self.patterns, self.clipped_patterns)):
            reach = tables.spot_reach[place]
            good = np.flatnonzero(reach >= goal.value)
            if len(good) > most:
                good = good[np.argpartition(-reach[good], most)[:most]]
            blocks = best_blocks(
                patterns, known[place], good, tables.listed, self.shelves, self.bounds
            )
            found.append(self._apart(tables, blocks, patterns))
        plain, ends = found
        return self._filled(tables, duals, plain, ends, goal, goal.value)

    def all_above(
        self, duals: Floats, threshold: float, limit: int, *, deadline: float = np.inf
    ) -> BoardPatterns:
        """Every pattern worth at least `threshold`; `complete` is False beyond `limit`."""
        lagrangian = self._lagrangian(self._tables(duals), duals, threshold)
        if lagrangian.upper < threshold:
            return self._none(lagrangian.upper)
        try:
            found = self._grown(
                lagrangian.tables, duals, threshold, limit, deadline, taken=lagrangian.taken
            )
        except TooMany:
            return replace(self._none(lagrangian.upper), complete=False)
        return replace(found, upper=lagrangian.upper)

    def _lagrangian(self, tables: Tables, duals: Floats, threshold: float) -> LagrangianBound:
        """The ceiling for boards with no part more often than it is wanted."""
        if self.listing is not None or tables.whole < threshold:
            return LagrangianBound(tables.whole, 0.0, tables)
        return self.ceilings.lagrangian(duals, self.bounds, threshold, tables)

    def quick(self, worth: Floats, blocks: int) -> BoardPatterns:
        """A few good patterns for these values, from the best strip of each length.

        blocks: so many of the best at least are looked at.
        """
        least = float(worth[worth > 0].min())
        found = self.best(worth, least, SETTINGS.quick_patterns, lean=True, blocks=blocks)
        return found if len(found.values) else self.best(worth, least, SETTINGS.quick_patterns)

    def _none(self, upper: float) -> BoardPatterns:
        empty = np.zeros((0, len(self.bounds)), dtype=np.int64)
        return BoardPatterns(empty, np.zeros(0), upper, self.complete, lambda i: ())

    def _grown(
        self,
        tables: Tables,
        duals: Floats,
        threshold: float,
        limit: int,
        deadline: float | None = None,
        lean: bool = False,
        late: float = np.inf,
        taken: float = 0.0,
    ) -> BoardPatterns:
        """taken: what the tables' values may be less than those for the duals."""
        goal = Goal(threshold - taken - TINY, limit, deadline, lean, late)
        if self.listing is not None:
            plain = self._picked(tables, self.listing.plain, 0, goal)
            ends = self._picked(tables, self.listing.ends, 1, goal)
        else:
            plain = self._blocks(tables, self.patterns, goal, self.plain_length)
            ends = self._blocks(tables, self.clipped_patterns, goal, self.length)
        return self._filled(tables, duals, plain, ends, goal, threshold - TINY)

    def _filled(
        self,
        tables: Tables,
        duals: Floats,
        plain: Blocks,
        ends: Blocks,
        goal: Goal,
        least: float,
    ) -> BoardPatterns:
        """Boards of these blocks that are worth the goal, and `least` for the duals."""
        listed = {width: strips.counts for width, strips in tables.listed.items()}
        strips = self.listing.strips if self.listing is not None else listed
        boards = BoardLabels(self, tables, plain, ends, goal)
        counts, picks, complete = boards.grow()
        values = counts @ duals
        spend(CALL + CELL * counts.size)
        good = np.flatnonzero(values >= least)
        good = good[np.argsort(-values[good], kind="stable")]
        complete = complete and self.complete and plain.complete and ends.complete
        sources = (ends, self.clipped_patterns), (plain, self.patterns)
        recipe = recipes_of(self.shelves, self.dog_eared, strips, sources, picks[good])
        return BoardPatterns(counts[good], values[good], tables.whole, complete, recipe)

    def _blocks(
        self, tables: Tables, patterns: Sequence[RipPattern], goal: Goal, length: int
    ) -> Blocks:
        """Blocks that can be part of a pattern worth `goal`, shortest of equal contents."""
        most = max((len(pattern.widths) for pattern in patterns), default=1)
        found = [no_blocks(len(self.bounds), most)]
        reach = tables.reach if patterns is self.patterns else tables.end_reach
        numbers = np.arange(len(patterns))
        if goal.deadline is None:  # a strict list also has blocks of what is worth nothing
            numbers = np.flatnonzero(reach >= goal.value)
        if goal.deadline is None and len(numbers) > SETTINGS.pattern_fan:
            found[0].complete = False
            numbers = numbers[np.argsort(-reach[numbers])[: SETTINGS.pattern_fan]]
        for number in numbers.tolist():
            spend(CALL / 2)
            labels = block_labels(self, tables, patterns[number], goal, length)
            if labels is not None:
                found.append(labels.blocks(number, most))
        joined = self._apart(tables, joined_blocks(found), patterns)
        return self._best_of(tables, joined, goal)

    def _apart(self, tables: Tables, blocks: Blocks, patterns: Sequence[RipPattern]) -> Blocks:
        """Return the blocks that hold something, of equal ones the shortest.

        At the dog-eared end they are as long as their strips really need there, and never shorter
        than the ear.
        """
        if self.dog_eared is not None and patterns is not self.patterns:
            lengths = dog_eared_lengths(self.dog_eared, patterns, blocks, tables.listed)
            blocks.lengths = np.maximum(lengths, self.ear)
            blocks = picked_blocks(blocks, np.flatnonzero(blocks.lengths <= self.length))
        spend(CALL + ROW * len(blocks.values))
        keep = shortest_of_each(self.packer.pack(blocks.counts), blocks.lengths)
        return picked_blocks(blocks, keep[np.any(blocks.counts[keep], axis=1)])

    def _picked(self, tables: Tables, listed: Blocks, which: int, goal: Goal) -> Blocks:
        """Of the listed blocks those that can be part of a pattern worth `goal`."""
        listed = replace(listed, values=tables.worth[which])
        reach = listed.values + tables.rest(self.length - listed.lengths)
        blocks = picked_blocks(listed, np.flatnonzero(reach >= goal.value))
        return self._best_of(tables, blocks, goal)

    def _best_of(self, tables: Tables, blocks: Blocks, goal: Goal) -> Blocks:
        """The blocks that reach highest, as many as the goal's limit allows."""
        most = SETTINGS.block_fan * goal.limit
        if goal.deadline is not None or len(blocks.values) <= most:
            return blocks
        reach = blocks.values + tables.rest(self.length - blocks.lengths)
        best = picked_blocks(blocks, np.argpartition(-reach, most)[:most])
        best.complete = False
        return best
