"""Layouts: where each named piece lies on its board, the cuts in order, the offcuts.

x runs along the grain from the board's square end, y across from the trued edge. Blocks lie
from the square end on, so that what is left of a board is one long offcut; a clipped block lies
at the dog-eared end.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from palewright.cutting_stock.problem.integer_units import (
    UNITS,
    IntegerProblem,
    IntegerStock,
    clip_loss,
    rounded_up,
)
from palewright.cutting_stock.problem.patterns import BlockRecipe, Recipe, StripRecipe
from palewright.cutting_stock.problem.records import Cut, Layout, PartDemand, Piece, Remnant
from palewright.cutting_stock.problem.shared_mitres import RowPart, row_length, shortest_row
from palewright.cutting_stock.sawing.crosscuts import RowPiece, StripCut, spread_row, strip_cuts
from palewright.cutting_stock.sawing.piece_names import NameBook
from palewright.cutting_stock.sawing.surplus_parts import BoardGroup, recipe_counts


def strip_row(problem: IntegerProblem, strip: StripRecipe) -> list[RowPart]:
    """The strip's parts in an order of least length, each with its start."""
    row = problem.rows.get(strip.parts)
    if row is None:
        parts = [part for part, copies in strip.parts for _ in range(copies)]
        ends = [part.ends for part in problem.parts]
        row = problem.rows[strip.parts] = shortest_row(parts, problem.part_lengths, ends)
    return row


def strip_length(problem: IntegerProblem, strip: StripRecipe) -> int:
    """Length with kerf of the strip's row."""
    return row_length(strip_row(problem, strip), problem.part_lengths)


def strip_loss(stock: IntegerStock, strip: StripRecipe) -> int:
    """What the strip loses at the dog-eared end; 0 in a plain block."""
    return 0 if strip.offset is None else clip_loss(strip.offset, strip.width, stock)


def block_length(problem: IntegerProblem, stock: IntegerStock, block: BlockRecipe) -> int:
    """Return the length with kerf that the block needs, or the longer one it was given.

    One at the dog-eared end is never shorter than the ear, which no other block may reach into.
    """
    needed = (strip_length(problem, s) + strip_loss(stock, s) for s in block.strips)
    return max(block.length, stock.clipped if block.clipped else 0, *needed)


def layouts_of(problem: IntegerProblem, groups: Sequence[BoardGroup]) -> tuple[Layout, ...]:
    """The layouts, most used first, with every piece named."""
    book = NameBook(problem)
    found, strips = [], CutStrips()
    ordered = sorted(groups, key=lambda g: (-g.count, g.kind, repr(g.recipe)))
    for group in ordered:
        counts = recipe_counts(group.recipe, len(problem.parts))
        left = group.count
        while left:
            boards, names = book.take(counts, left)
            left -= boards
            maker = _LayoutMaker(problem, problem.stock[group.kind], names, strips)
            found.append(maker.layout(group.recipe, boards))
    return tuple(sorted(found, key=lambda layout: -layout.count))


def plain_layout(problem: IntegerProblem, kind: int, recipe: Recipe, strips: CutStrips) -> Layout:
    """The cuts and offcuts of one recipe on one board, without its pieces.

    Args:
        problem: parts and boards.
        kind: of the board.
        recipe: how it is cut.
        strips: of the same parts and boards, worked out before; new ones are added.
    """
    return _LayoutMaker(problem, problem.stock[kind], {}, strips).layout(recipe, 1)


@dataclass(frozen=True)
class CutStrip:
    """A strip's parts in a row, where they come to lie, its crosscuts, its length with kerf."""

    items: Sequence[RowPart]
    pieces: Sequence[RowPiece]
    cuts: Sequence[StripCut]
    used: int


CutStrips = dict[tuple[StripRecipe, int, int | None], CutStrip]
"""Strips that were worked out, by all that they follow from."""


def _cut_strip(
    problem: IntegerProblem, strip: StripRecipe, usable: int, to_length: int | None
) -> CutStrip:
    """Return how a strip is cut into its parts.

    Args:
        problem: parts and kerf.
        strip: parts and width.
        usable: length that there is, without kerf.
        to_length: of a row that ends where the strip has a square end; None where it has none.
    """
    kerf, items = problem.kerf, strip_row(problem, strip)
    used = row_length(items, problem.part_lengths)
    row = [_row_piece(problem, item) for item in items]
    pieces = spread_row(row, kerf, usable - (used - kerf))
    used += pieces[-1].start - row[-1].start
    exact = to_length is not None and used - kerf >= to_length
    cuts = strip_cuts(pieces, (strip.width - kerf, kerf), exact=exact)
    return CutStrip(items, pieces, cuts, used)


def _row_piece(problem: IntegerProblem, item: RowPart) -> RowPiece:
    """The part as it lies in its row."""
    whole = problem.parts[item.part]
    left, right = whole.end_angles
    angles = (-right + 0.0, -left + 0.0) if item.turned else (left, right)
    return RowPiece(item.start, whole.length - problem.kerf, angles, item.shared)


@dataclass
class _Laid:
    """A block laid on the board: where it begins, its length, both in units without kerf.

    exact: its far end is square and in its place without a further cut.
    """

    block: BlockRecipe
    start: int
    length: int
    exact: bool = True


class _LayoutMaker:
    """Works out one layout, in units, and writes it in the caller's unit."""

    def __init__(
        self,
        problem: IntegerProblem,
        stock: IntegerStock,
        names: dict[int, list[PartDemand]],
        strips: CutStrips,
    ) -> None:
        self.problem, self.stock, self.names, self.strips = problem, stock, names, strips
        self.kerf = problem.kerf
        narrowest = min((part.width for part in problem.parts), default=0)
        safe = rounded_up(problem.saw.safe_rip_width) + self.kerf
        shortest = min((part.length for part in problem.parts), default=0)
        self.smallest = (shortest, max(narrowest, safe))
        self.length, self.width = stock.length - self.kerf, stock.width - self.kerf
        self.pieces: list[Piece] = []
        self.cuts: list[list[Cut]] = [[], [], []]
        self.offcuts: list[Remnant] = []
        self.from_far = False
        """Whether a block is measured from the clipped end, which then has to be square."""

    def layout(self, recipe: Recipe, count: int) -> Layout:
        """The layout of one recipe."""
        for number, laid in enumerate(self._blocks(recipe)):
            self._block(number, laid)
        stock = self.stock
        return Layout(
            stock=stock.name,
            stock_length=stock.source.length,
            stock_width=stock.source.width,
            count=count,
            pieces=tuple(self.pieces),
            cuts=tuple(cut for stage in self.cuts for cut in stage),
            offcuts=tuple(sorted(self.offcuts, key=lambda o: -o.length * o.width)),
            on_hand=stock.on_hand,
            true_rip=not stock.on_hand and stock.source.too_wide,
            trim=stock.trim / UNITS,
            squared=(1 + self.from_far) if stock.trim else 0,
        )

    def _blocks(self, recipe: Recipe) -> list[_Laid]:
        """Plain blocks from the square end, longest first, the clipped one at the far end."""
        lengths = [block_length(self.problem, self.stock, block) for block in recipe]
        order = sorted(range(len(recipe)), key=lambda i: (recipe[i].clipped, -lengths[i]))
        true = self.stock.true_ends
        laid, at, end = [], 0, self.length
        for number in order:
            block, length = recipe[number], lengths[number] - self.kerf
            if self.problem.saw.order == "rip-first":
                laid.append(_Laid(block, 0, self.length, true))
                return laid
            if block.clipped:
                end = self.length - length
                laid.append(_Laid(block, end, length, true))
                continue
            reaches = at + length >= self.length
            # at a rough far end a block of one part's length is cut with those like it
            cut = not reaches or (not true and self._is_to_length(block, length))
            laid.append(_Laid(block, at, length, cut or true))
            if cut:
                self._cut(0, "crosscut", at + length, length, block=len(laid) - 1)
            at += length + self.kerf
        self._end_offcut(at, end)
        if recipe and recipe[order[-1]].clipped:
            laid[-1].exact = self.from_far or (true and at == end)
        return laid

    def _is_to_length(self, block: BlockRecipe, length: int) -> bool:
        """Whether a block is crosscut to the length of a part that is then only ripped."""
        alone = (strip.parts[0] for strip in block.strips if sum(n for _, n in strip.parts) == 1)
        return any(self.problem.parts[i].length - self.kerf == length for i, _ in alone)

    def _end_offcut(self, at: int, end: int) -> None:
        """What is left between the last plain block and the clipped one or the far end."""
        clipped_off = end == self.length
        square = end - (self.stock.clipped if clipped_off else self.kerf)
        if end < self.length and at < end - self.kerf:
            self.from_far = True
            self._cut(0, "crosscut", end - self.kerf, self.length - end, block=-1)
        self._offcut(at, 0, square - at, self.width)

    def _block(self, number: int, laid: _Laid) -> None:
        strips = list(laid.block.strips)
        if any(strip.offset is not None for strip in strips):
            strips.sort(key=lambda strip: strip.offset or 0)
        else:
            strips.sort(key=lambda strip: -strip.width)
        top = 0
        for row, strip in enumerate(strips):
            low = top if strip.offset is None else strip.offset
            wide = strip.width - self.kerf
            if low > top:
                # the fence is set to what is kept, so that waste, often a sliver, falls free
                self._cut(1, "rip", low - self.kerf, self.width - low, number, row, waste=True)
                self._offcut(laid.start, top, laid.length, low - self.kerf - top)
            if low + wide < self.width:
                self._cut(1, "rip", low + wide, wide, number, row)
            self._strip(number, row, strip, laid, low)
            top = low + strip.width
        self._offcut(laid.start, top, laid.length, self.width - top)

    def _strip(self, number: int, row: int, strip: StripRecipe, laid: _Laid, low: int) -> None:
        usable = laid.length - (strip_loss(self.stock, strip) if laid.block.clipped else 0)
        asked = strip, usable, laid.length if laid.exact else None
        if asked not in self.strips:
            self.strips[asked] = _cut_strip(self.problem, *asked)
        cut = self.strips[asked]
        first = len(self.pieces)
        if self.names:
            for item, piece in zip(cut.items, cut.pieces, strict=True):
                self._piece(item, piece, (laid.start + piece.start, low), number, row)
        for one in cut.cuts:
            self._part_cut(one, laid.start, first, number, row)
        self._offcut(laid.start + cut.used, low, usable - cut.used, strip.width - self.kerf)

    def _part_cut(self, cut: StripCut, start: int, first: int, number: int, row: int) -> None:
        self.cuts[2].append(
            Cut(
                kind="crosscut",
                stage=3,
                position=(start + cut.at) / UNITS,
                setting=cut.setting,
                block=number,
                strip=row,
                angle=cut.angle,
                held=tuple(first + k for k in cut.held),
                made=tuple(first + k for k in cut.made),
                chained=cut.chained,
            )
        )

    def _piece(
        self, item: RowPart, laid: RowPiece, place: tuple[int, int], number: int, row: int
    ) -> None:
        """Lay a piece with its lower left corner at a place, units."""
        demand, (x, y) = self.names[item.part].pop(), place
        angles = laid.angles
        self.pieces.append(
            Piece(
                part=demand.name,
                x=x / UNITS,
                y=y / UNITS,
                length=demand.length,
                width=demand.width,
                end_angles=angles,
                turned=angles != demand.end_angles,
                kit=demand.kit,
                block=number,
                strip=row,
                role=demand.role,
            )
        )

    def _cut(
        self,
        stage: int,
        kind: str,
        position: int,
        setting: int,
        block: int = 0,
        strip: int = 0,
        *,
        waste: bool = False,
    ) -> None:
        cut = Cut(
            kind="rip" if kind == "rip" else "crosscut",
            stage=stage + 1,
            position=position / UNITS,
            setting=setting / UNITS,
            block=block,
            strip=strip,
            waste=waste,
            chained=kind == "rip" and any(other.block == block for other in self.cuts[stage]),
        )
        self.cuts[stage].append(cut)

    def _offcut(self, x: int, y: int, length: int, width: int) -> None:
        if length <= 0 or width <= 0:
            return
        usable = length + self.kerf >= self.smallest[0] and width + self.kerf >= self.smallest[1]
        self.offcuts.append(
            Remnant(
                x=x / UNITS,
                y=y / UNITS,
                length=length / UNITS,
                width=width / UNITS,
                usable=bool(usable),
                whole_width=width == self.width,
            )
        )
