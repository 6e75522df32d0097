"""The cutting problem in whole numbers, so that no rounding can spoil a plan.

One unit is 1/1600 mm: it measures 1/64 in and 0.01 mm exactly. What falls between is rounded
up for parts and kerf and down for boards. Sizes hold one kerf each ("with kerf") and so do the
boards, since n pieces in a row need n - 1 cuts.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from palewright.cutting_stock.problem.records import (
    CuttingError,
    NotEnoughBoards,
    Offcut,
    PartDemand,
    PartDoesNotFit,
    SawSettings,
    StockBoard,
)
from palewright.cutting_stock.problem.shared_mitres import MitreEnds, RowPart, mitre_ends
from palewright.geometry.arrays import Ints
from palewright.reading.lengths import both_units

UNITS = 1600
"""A millimetre in units: 1/64 in is 635, .01 mm is 16."""
NEAR = 1e-3
"""Of a unit: what unit conversion by floats may leave."""
LONGEST = 1e6
"""mm: a kilometre in units still leaves products of sizes within 64 bits."""
PRICE_STEP = 100
"""Prices are counted in hundredths: cents."""


def rounded_up(size: float) -> int:
    """Units of `size`, never less (a thousandth of a unit is forgiven)."""
    return math.ceil(size * UNITS - NEAR)


def rounded_down(size: float) -> int:
    """Units of `size`, never more (a thousandth of a unit is forgiven)."""
    return math.floor(size * UNITS + NEAR)


@dataclass(frozen=True)
class IntegerPart:
    """Parts of one size and one pair of ends, whatever they are called.

    length, width: with kerf; demands: those merged here; end_angles: as laid unturned.
    """

    length: int
    width: int
    ends: MitreEnds
    end_angles: tuple[float, float]
    demands: tuple[PartDemand, ...]
    count: int


@dataclass(frozen=True)
class IntegerStock:
    """A kind of board: usable length and width with kerf; price in hundredths, or 1 a board.

    trim: what squaring takes off each end; clipped, clip_depth: of the corners that it leaves.
    """

    name: str
    length: int
    width: int
    cost: int
    available: int | None
    clipped: int
    clip_depth: int
    on_hand: bool
    source: StockBoard
    trim: int = 0

    @property
    def true_ends(self) -> bool:
        """Whether a board is square and of its length as it comes, so that no end needs a cut."""
        return self.on_hand or not (self.trim or self.source.too_long)


Shapes = tuple[object, ...]
"""All that the geometry of a question's recipes follows from: compared and hashed alone."""


@dataclass(frozen=True)
class IntegerProblem:
    """Parts, boards and kerf as integers. `lengths`, `widths`, `counts` have shape (m,)."""

    parts: tuple[IntegerPart, ...]
    stock: tuple[IntegerStock, ...]
    kerf: int
    saw: SawSettings

    @property
    def shapes(self) -> Shapes:
        """Its parts, boards and saw, but not how many of each part are wanted, nor their names."""
        parts = ((one.length, one.width, one.ends, one.end_angles) for one in self.parts)
        return (*parts, self.stock, self.saw)

    @cached_property
    def rows(self) -> dict[tuple[tuple[int, int], ...], list[RowPart]]:
        """Shortest rows of parts (index, copies), as far as they were worked out."""
        return {}

    @cached_property
    def part_lengths(self) -> list[int]:
        """Part lengths with kerf, as plain numbers."""
        return [part.length for part in self.parts]

    @property
    def lengths(self) -> Ints:
        """Part lengths with kerf."""
        return np.array([part.length for part in self.parts], dtype=np.int64)

    @property
    def widths(self) -> Ints:
        """Part widths with kerf."""
        return np.array([part.width for part in self.parts], dtype=np.int64)

    @property
    def counts(self) -> Ints:
        """How often each is wanted."""
        return np.array([part.count for part in self.parts], dtype=np.int64)


def integer_problem(
    demand: Sequence[PartDemand], stock: Sequence[StockBoard | Offcut], saw: SawSettings
) -> IntegerProblem:
    """The problem in whole numbers; raises CuttingError where it cannot be answered."""
    kerf = rounded_up(saw.kerf)
    boards = _whole_stock(stock, saw, kerf)
    parts = _merged(demand, kerf)
    for part in parts:
        _check_fit(part, boards, saw, kerf)
    return IntegerProblem(parts, boards, kerf, saw)


def _merged(demand: Sequence[PartDemand], kerf: int) -> tuple[IntegerPart, ...]:
    groups: dict[tuple[int, int, tuple[float, float]], list[PartDemand]] = {}
    for part in demand:
        if max(part.length, part.width) > LONGEST:
            raise CuttingError(
                f"part {part.name!r}: {both_units(part.length)} x {both_units(part.width)} is not"
                f" allowed; allowed: up to {both_units(LONGEST)}"
            )
        if part.count == 0:
            continue
        left, right = part.end_angles
        angles = max((left, right), (-right + 0.0, -left + 0.0))
        key = (rounded_up(part.length), rounded_up(part.width), angles)
        groups.setdefault(key, []).append(part)
    return tuple(
        IntegerPart(
            length=length + kerf,
            width=width + kerf,
            ends=mitre_ends(angles, width, kerf),
            end_angles=angles,
            demands=tuple(group),
            count=sum(part.count for part in group),
        )
        for (length, width, angles), group in sorted(groups.items(), reverse=True)
    )


def _whole_stock(
    stock: Sequence[StockBoard | Offcut], saw: SawSettings, kerf: int
) -> tuple[IntegerStock, ...]:
    if not any(isinstance(kind, StockBoard) for kind in stock) and not stock:
        raise CuttingError("no board to cut from: give at least one")
    priced = any(isinstance(kind, StockBoard) and kind.price > 0 for kind in stock)
    boards = []
    for kind in stock:
        on_hand = isinstance(kind, Offcut)
        source = (
            StockBoard(kind.name, kind.length, kind.width, available=kind.count)
            if isinstance(kind, Offcut)
            else kind
        )
        length, width = source.length, source.width
        if max(length, width) > LONGEST:
            raise CuttingError(
                f"board {source.name!r}: {both_units(length)} x {both_units(width)} is not allowed;"
                f" allowed: up to {both_units(LONGEST)}"
            )
        trim = 0.0 if on_hand else saw.end_trim
        length -= 2 * trim
        if not on_hand:
            width -= 2 * saw.edge_trim
        # squaring a clipped end takes the tips of its corners with it
        clip = max(0.0, source.clipped_end - trim)
        depth = source.corner_depth * clip / source.clipped_end if clip else 0.0
        if length - clip <= 0 or width <= 0:
            raise CuttingError(
                f"board {source.name!r}: a trim of {both_units(saw.end_trim)} off each end leaves"
                f" nothing of {both_units(source.length)} x {both_units(source.width)}; allowed: a"
                " smaller trim (--trim) or a longer board"
            )
        cost = 0 if on_hand else (round(source.price * PRICE_STEP) if priced else 1)
        boards.append(
            IntegerStock(
                name=source.name,
                length=rounded_down(length) + kerf,
                width=rounded_down(width) + kerf,
                cost=cost,
                available=source.available,
                clipped=rounded_up(clip),
                clip_depth=rounded_up(depth),
                on_hand=on_hand,
                source=source,
                trim=rounded_up(trim),
            )
        )
    return tuple(boards)


def fits(part: IntegerPart, board: IntegerStock) -> bool:
    """Whether one such part can be cut from an otherwise empty board of this kind."""
    if part.width > board.width or part.length > board.length:
        return False
    if not board.clipped:
        return True
    return part.length + clip_loss(0, part.width, board, centred=True) <= board.length


def clip_loss(low: int, width: int, board: IntegerStock, *, centred: bool = False) -> int:
    """Return what a strip loses at the clipped end, rounded up.

    Args:
        low: y of its lower edge.
        width: with kerf.
        board: that it is cut from.
        centred: it lies in the middle, wherever `low` is.
    """
    full = board.width
    if centred:
        low = (full - width) // 2
    distance = min(low, full - (low + width))
    if not board.clipped or distance >= board.clip_depth:
        return 0
    return -(-board.clipped * (board.clip_depth - max(0, distance)) // board.clip_depth)


def _check_fit(
    part: IntegerPart, boards: Sequence[IntegerStock], saw: SawSettings, kerf: int
) -> None:
    name = part.demands[0].name
    length, width = (part.length - kerf) / UNITS, (part.width - kerf) / UNITS
    if not any(fits(part, board) for board in boards):
        longest = max((board.length - kerf) / UNITS for board in boards)
        widest = max((board.width - kerf) / UNITS for board in boards)
        raise PartDoesNotFit(
            f"part {name!r}: {both_units(length)} x {both_units(width)} fits on no board;"
            f" allowed: at most {both_units(longest)} long and {both_units(widest)} wide after"
            " trimming"
        )
    ripped = all(board.width != part.width for board in boards if fits(part, board))
    if ripped and width < saw.safe_rip_width - 1e-9:
        raise CuttingError(
            f"part {name!r}: a strip of {both_units(width)} is not safe to rip; allowed: at least"
            f" {both_units(saw.safe_rip_width)}"
        )
    if all(board.available is not None for board in boards if fits(part, board)):
        room = sum(
            (board.available or 0) * (board.length // part.length) * (board.width // part.width)
            for board in boards
            if not board.clipped and fits(part, board)
        )
        if room < part.count and not any(part.ends.slopes) and not any(b.clipped for b in boards):
            raise NotEnoughBoards(
                f"part {name!r}: {part.count} wanted, the boards at hand hold at most {room}"
            )
