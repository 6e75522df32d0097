"""Few boards at once: which blocks make all parts, and whether those lie on so many boards.

A plan of N boards is a choice of blocks that makes every part and that packs into N board lengths.
Where all blocks of a board are listed and boards are few, an integer program over the blocks is
small. It holds the packing by inequalities only: block lengths weighed by dual-feasible functions
(sources in `quick_bounds`) may come to N at most. If it has no solution there is no plan. If it
has one, its blocks are packed exactly; where they do not fit, the weights that prove it (duals of
the linear program of packing these lengths) are one inequality more, and it is solved again.

A weight stands for its length and for all greater ones up to the next: a longer block on a board
could be exchanged for a shorter one, so the inequality holds for every plan.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from palewright.cutting_stock.bounds.bin_packing_1d import packed_rows, packing_weights
from palewright.cutting_stock.bounds.dual_feasible_functions import length_weights
from palewright.cutting_stock.master.highs import (
    INFINITY,
    Model,
    integer_model,
    is_infeasible,
    make_whole,
)
from palewright.cutting_stock.master.integer_master import Cover
from palewright.cutting_stock.master.restricted_master import Column, useful_at_most
from palewright.cutting_stock.pricing.pattern_recipes import recipes_of
from palewright.cutting_stock.pricing.three_stage import ThreeStagePricing
from palewright.cutting_stock.problem.float_noise import SAFE
from palewright.cutting_stock.problem.patterns import PricingProblem
from palewright.cutting_stock.problem.search_settings import SETTINGS
from palewright.cutting_stock.problem.work_clock import CALL, now, spend
from palewright.geometry.arrays import Floats, Ints

CELL_SECONDS, LARGE = 4e-6, 5e4
"""Counted work a cell of an integer program (block by row) in its first node, twice that where
there are so many."""


@dataclass(frozen=True)
class _ListedBlocks:
    """Blocks that no shorter one replaces; at the dog-eared end also the bare one.

    counts: (n, m); lengths: (n,) with kerf; picks: (n,) their numbers in the listing, -1 the bare
    one; ends: (n,) whether they lie at the dog-eared end.
    """

    counts: Ints
    lengths: Ints
    picks: Ints
    ends: NDArray[np.bool_]


class BlockProgram:
    """The program for one demand and number of boards.

    Attributes:
        cover: a plan of so many boards, once one is found.
        impossible: whether it is proven that there is none.
        ended: whether more rounds could find nothing more.
    """

    def __init__(self, pricing: ThreeStagePricing, demand: Ints, cost: int, boards: int) -> None:
        self.pricing, self.demand, self.cost, self.boards = pricing, demand, cost, boards
        self.blocks = _blocks_of(pricing)
        self.cover: Cover | None = None
        self.impossible = self.ended = False
        self._model = self._made()

    def look(self, end: float) -> None:
        """Solve, pack and add an inequality, again and again until `end` (of `clocks.now`)."""
        for _ in range(SETTINGS.program_rounds):
            if self.ended or now() > end:
                return
            uses = self._solved()
            if uses is not None:
                self._packed(uses)

    def _made(self) -> Model:
        blocks, length = self.blocks, self.pricing.length
        model = integer_model(SETTINGS.program_nodes)
        model.setOptionValue("mip_rel_gap", 0.01)
        counts = blocks.counts
        useful = useful_at_most(counts, self.demand)
        room = self.boards * (length // np.maximum(blocks.lengths, 1))
        most = np.where(blocks.ends, self.boards, np.minimum(useful, room))
        for size, top in zip(blocks.lengths, most, strict=True):
            model.addCol(float(size) / length, 0.0, float(top), 0, [], [])
        make_whole(model)
        for part, wanted in enumerate(self.demand):
            _add_row(model, counts[:, part].astype(float), float(wanted), INFINITY)
        if blocks.ends.any():
            _add_row(model, blocks.ends.astype(float), float(self.boards), float(self.boards))
        for row in length_weights(blocks.lengths / length):
            _add_row(model, row, -INFINITY, float(self.boards))
        return model

    def _solved(self) -> Ints | None:
        """How often each block is used (n,); None where there is no such choice or none found."""
        self._model.run()
        info = self._model.getInfo()
        cells = len(self.blocks.lengths) * self._model.getNumRow()
        spend(cells * CELL_SECONDS * (1 + cells / LARGE) * (1 + max(0, info.mip_node_count) / 20))
        if is_infeasible(self._model):
            self.impossible = self.ended = True
            return None
        values = np.array(self._model.getSolution().col_value)
        if info.primal_solution_status != 2 or not len(values):
            self.ended = True
            return None
        return np.asarray(np.rint(values), dtype=np.int64)

    def _packed(self, uses: Ints) -> None:
        """Pack the chosen blocks, or forbid what does not pack."""
        chosen = [i for i in np.flatnonzero(uses).tolist() for _ in range(int(uses[i]))]
        firsts = [i for i in chosen if self.blocks.ends[i]]
        made = uses @ self.blocks.counts
        if (made < self.demand).any() or (firsts and len(firsts) != self.boards):
            self.ended = True  # beyond the solver's tolerance
            return
        sizes = self.blocks.lengths
        taken = [int(sizes[i]) for i in firsts] or [0] * self.boards
        rest = [i for i in chosen if not self.blocks.ends[i]]
        rooms = [self.pricing.length - one for one in taken]
        rows = packed_rows([int(sizes[i]) for i in rest], rooms)
        if rows is not None:
            first = firsts or [-1] * self.boards
            boards = [(f, *(rest[k] for k in row)) for f, row in zip(first, rows, strict=True)]
            self.cover = self._as_cover(boards)
            self.ended = True
            return
        self._forbid(Counter(int(sizes[i]) for i in chosen))

    def _forbid(self, lengths: Counter[int]) -> None:
        """Add the inequality that says why these lengths do not fit."""
        found = packing_weights(lengths, self.pricing.length)
        if found is None or found.boards <= self.boards + SAFE:
            self.ended = True
            return
        place = np.searchsorted(found.lengths, self.blocks.lengths, side="right")
        heaviest = np.concatenate([[0.0], np.maximum.accumulate(found.weights)])
        _add_row(self._model, heaviest[place], -INFINITY, float(self.boards))

    def _as_cover(self, boards: Sequence[tuple[int, ...]]) -> Cover:
        """Return boards as a cover.

        Args:
            boards: of each the places of its blocks, first that at the dog-eared end, or -1.
        """
        alike = Counter((board[0], *sorted(board[1:])) for board in boards)
        columns = tuple((self._column(board), number) for board, number in alike.items())
        return Cover(columns, self.cost * len(boards), 0)

    def _column(self, board: tuple[int, ...]) -> Column:
        pricing, listing = self.pricing, self.pricing.listing
        assert listing is not None
        counts = self.blocks.counts[[i for i in board if i >= 0]].sum(axis=0, dtype=np.int64)
        picks = np.array([[self.blocks.picks[i] if i >= 0 else -1 for i in board]], dtype=np.int64)
        sources = (listing.ends, pricing.clipped_patterns), (listing.plain, pricing.patterns)
        recipe = recipes_of(pricing.shelves, pricing.dog_eared, listing.strips, sources, picks)
        return Column(counts, 0, self.cost, lambda: recipe(0))


def block_program(
    pricing: PricingProblem, demand: Ints, cost: int, boards: int
) -> BlockProgram | None:
    """Return the program for a demand (m,) and boards of one kind.

    None where not all blocks of a board are listed or there are too many.

    Args:
        pricing: of the kind: its blocks.
        demand: (m,).
        cost: of a board, in steps of the price.
        boards: how many there may be.
    """
    if (
        not isinstance(pricing, ThreeStagePricing)
        or pricing.listing is None
        or pricing.single_block
    ):
        return None
    listed = len(pricing.listing.plain.values) + len(pricing.listing.ends.values)
    if boards > SETTINGS.boards_in_program or listed > SETTINGS.blocks_in_program:
        return None
    return BlockProgram(pricing, demand, cost, boards)


def _blocks_of(pricing: ThreeStagePricing) -> _ListedBlocks:
    """Return the blocks worth choosing among."""
    assert pricing.listing is not None
    found = []
    for listed, ends in ((pricing.listing.plain, False), (pricing.listing.ends, True)):
        keep = _undominated(listed.counts, listed.lengths)
        counts, lengths = listed.counts[keep], listed.lengths[keep]
        if ends and pricing.ear:
            counts = np.concatenate([counts, np.zeros((1, len(pricing.bounds)), dtype=np.int64)])
            lengths, keep = np.append(lengths, pricing.ear), np.append(keep, -1)
        found.append((counts, lengths, keep, np.full(len(keep), ends)))
    return _ListedBlocks(*(np.concatenate(part) for part in zip(*found, strict=True)))


def _undominated(counts: Ints, lengths: Ints) -> Ints:
    """Return the numbers of the blocks of which none as short has as much of every part."""
    kept: list[int] = []
    held = np.zeros_like(counts)
    for i in np.lexsort((-counts.sum(axis=1), lengths)).tolist():
        if not (held[: len(kept)] >= counts[i]).all(axis=1).any():
            held[len(kept)] = counts[i]
            kept.append(i)
    spend(len(lengths) * CALL / 10)
    return np.array(kept, dtype=np.int64)


def _add_row(model: Model, values: Floats, low: float, high: float) -> None:
    at = np.flatnonzero(values)
    model.addRow(low, high, len(at), at.astype(np.int32), values[at])
