"""What a batch of boxes asks of the yard: parts and boards, stock by stock."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from palewright.catalogue.lumber import Stock
from palewright.construction.boards import Board
from palewright.construction.box_layout import Box, bare_box
from palewright.cutting_stock import PartDemand, SawSettings, StockBoard
from palewright.parameters.tables import Parameters
from palewright.reading.errors import InputError
from palewright.sawing.cut_parts import CutPart, cut_parts


class CutBox(Protocol):
    """What of a box's design the saw has to know."""

    @property
    def name(self) -> str:
        """Of the variant."""

    @property
    def parameters(self) -> Parameters:
        """What was asked."""

    @property
    def box(self) -> Box:
        """The boards in their places."""

    @property
    def parts(self) -> tuple[CutPart, ...]:
        """What has to be cut: equal boards together."""


@dataclass(frozen=True, slots=True)
class StockDemand:
    """The parts of a batch that are cut from one stock. Lengths in mm.

    Attributes:
        name: of the stock.
        stock: the stock; None for boards that are no kept stock.
        board: the same as the cut planner takes it: every board at its true width and length.
        parts: what is asked, a line a part and kit.
        also: further boards, as thick, that the parts may be cut from.
    """

    name: str
    stock: Stock | None
    board: StockBoard
    parts: tuple[PartDemand, ...]
    also: tuple[StockBoard, ...] = ()


def signed_end_angles(board: Board) -> tuple[float, float]:
    """Return the degrees off square of the left and right end, with their lean.

    Positive where the lower edge (y = 0) is the longer one: (45, 45) is a cap board,
    (36, -36) a slanted brace.
    """
    top = board.width
    low = [x for x, y in board.outline if y < 1e-6]
    high = [x for x, y in board.outline if y > top - 1e-6]
    left, right = min(high) - min(low), max(low) - max(high)
    return tuple(round(math.degrees(math.atan2(d, top)), 6) + 0.0 for d in (left, right))  # type: ignore[return-value]


def demands_of(batch: Sequence[tuple[CutBox, int]]) -> list[StockDemand]:
    """Return what a batch asks, by stock, in the order in which stocks first appear.

    Args:
        batch: designs and how many boxes of each.

    Raises:
        InputError: if a count is below one.
    """
    several = len(batch) > 1
    gathered: dict[Stock, tuple[str, list[PartDemand]]] = {}
    for box, count in batch:
        if count < 1:
            raise InputError(f"{box.name}:{count} asks for no box; allowed: a count from 1")
        before = f"{box.name} " if several else ""
        for part in box.parts:
            name = box.parameters.materials.name_of(part.stock)
            _, parts = gathered.setdefault(part.stock, (name, []))
            parts += _demanded(part, box.box.boards, count, before)
    return _by_stock(gathered)


def demands_of_one(parameters: Parameters) -> list[StockDemand]:
    """Return what one box asks, as `demands_of` does, without working out its screws.

    Raises:
        InputError: if the parameters cannot be built at all.
    """
    return demands_of_box(bare_box(parameters))


def demands_of_box(box: Box) -> list[StockDemand]:
    """Return what a laid-out box asks, whether its screws have their places or not."""
    materials = box.parameters.materials
    gathered: dict[Stock, tuple[str, list[PartDemand]]] = {}
    for part in cut_parts(box.boards):
        _, parts = gathered.setdefault(part.stock, (materials.name_of(part.stock), []))
        parts += _demanded(part, box.boards, 1, "")
    return _by_stock(gathered)


def _demanded(
    part: CutPart, boards: Mapping[str, Board], count: int, before: str
) -> Iterator[PartDemand]:
    """Yield one part of so many boxes, a line a kit; names begin with ``before``."""
    angles = signed_end_angles(boards[part.boards[0]])
    kits: dict[str, int] = {}
    for board in part.boards:
        panel = boards[board].panel
        kits[panel] = kits.get(panel, 0) + 1
    for panel, each in kits.items():
        yield PartDemand(
            name=f"{before}{part.mark}",
            length=part.length,
            width=part.width,
            count=each * count,
            end_angles=angles,
            kit=f"{before}{panel}",
            role=part.role,
        )


def _by_stock(gathered: Mapping[Stock, tuple[str, list[PartDemand]]]) -> list[StockDemand]:
    """Return what is asked of each stock with the board that it is cut from."""
    return [
        StockDemand(name, stock, planner_board(name, stock), tuple(parts))
        for stock, (name, parts) in gathered.items()
    ]


SPARE_KIT = "spare"
"""The kit of parts that are cut on top, in case knots or splits spoil others."""


def with_spare_parts(demand: StockDemand, percent: int) -> StockDemand:
    """Return a demand with so many percent more of each part, rounded up: at least one of each.

    Boards bought on top help where a whole board is bad; parts cut on top where a knot shows up
    at the saw, when the fence has long been moved.
    """
    if not percent:
        return demand
    counts: dict[str, int] = {}
    for part in demand.parts:
        counts[part.name] = counts.get(part.name, 0) + part.count
    first = {part.name: part for part in reversed(demand.parts)}
    spares = tuple(
        replace(first[name], count=-(-count * percent // 100), kit=SPARE_KIT)
        for name, count in counts.items()
        if count
    )
    return replace(demand, parts=(*demand.parts, *spares))


def planner_board(name: str, stock: Stock) -> StockBoard:
    """Return a stock as the cut planner takes it."""
    return StockBoard(
        name=name,
        length=stock.true_length,
        width=stock.true_width,
        price=float(stock.price),
        clipped_end=stock.clipped_end,
        sold_length=stock.length,
        sold_width=stock.width,
    )


def saw_of(parameters: Parameters) -> SawSettings:
    """Return the saw settings of a variant as the cut planner takes them."""
    saw = parameters.saw
    return SawSettings(
        kerf=saw.kerf,
        end_trim=saw.trim,
        safe_rip_width=parameters.wall.safe_rip,
        defect_allowance=saw.spare / 100,
        order=saw.order,
    )
