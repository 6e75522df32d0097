"""A batch box by box: which piece off the saw goes into which box, and what it is called.

Boxes are numbered through the whole batch, and filled in that order as pieces come off the saw.
Where a batch has several variants, their marks begin with the variant's number: ``2.A`` is part A
of the second. Its letters are those of the variant's own plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from palewright.costing.batch_price import BatchPrice, BoxPrice
from palewright.cutting_stock import PartDemand, Piece
from palewright.design import Design
from palewright.reading.errors import InputError
from palewright.sawing.numbered_plans import NumberedPlan, numbered_plans
from palewright.sawing.stock_demands import SPARE_KIT
from palewright.sawing.stock_plans import StockPlan
from palewright_drawings.documents.plan.numbered_cuts import Origin, sawn
from palewright_drawings.documents.plan.texts import title_of

_LONGEST_NAME = 120
"""Letters of a batch's folder: file systems take some 255 bytes, and others stand beside it."""


@dataclass(frozen=True, slots=True)
class BatchBox:
    """One box of a batch.

    Attributes:
        number: through the whole batch, from 1.
        design: what it is.
        tag: stands before its marks; empty where the batch has one variant.
        origins: where each of its boards comes from, by the board's name.
    """

    number: int
    design: Design
    tag: str
    origins: dict[str, Origin]

    @property
    def called(self) -> str:
        """Its name in words."""
        return f"box {self.number}"


@dataclass(frozen=True, slots=True)
class PrintedBatch:
    """A batch as its papers tell it.

    Attributes:
        priced: variants and counts, how the boards are cut, what is used up.
        plans: how the boards are cut, everything numbered, pieces by their marks.
        boxes: in order.
        spares: mark of each part that is cut on top, and where it comes from.
    """

    priced: BatchPrice
    plans: tuple[NumberedPlan, ...]
    boxes: tuple[BatchBox, ...]
    spares: tuple[tuple[str, Origin], ...]

    @property
    def title(self) -> str:
        """What it is, in words."""
        return ", ".join(f"{box.count} {title_of(box.design)}" for box in self.priced.boxes)

    @property
    def first(self) -> Design:
        """The variant whose units, paper, saw and words the papers take."""
        return self.priced.boxes[0].design


def batch_name(boxes: Sequence[BoxPrice]) -> str:
    """Return a folder's name for a batch: ``10-stoop-tub+4-herb-trough``.

    Raises:
        InputError: if it gets too long for a folder.
    """
    name = "+".join(f"{box.count}-{box.design.name}" for box in boxes)
    if len(name) > _LONGEST_NAME:
        raise InputError(
            f"a batch of these variants has a name of {len(name)} letters; allowed: "
            f"{_LONGEST_NAME}: batches of fewer variants"
        )
    return name


def printed_batch(priced: BatchPrice) -> PrintedBatch:
    """Return a batch with every piece in its box."""
    tags = tags_of(priced.boxes)
    plans = numbered_plans([_called(one, tags) for one in priced.plans])
    waiting: dict[tuple[str, str], list[tuple[int, str]]] = {}
    boxes: list[BatchBox] = []
    for variant in priced.boxes:
        tag = tags[variant.design.name]
        for _ in range(variant.count):
            boxes.append(BatchBox(len(boxes) + 1, variant.design, tag, {}))
            for part in variant.design.parts:
                for name in part.boards:
                    panel = variant.design.box.boards[name].panel
                    key = f"{tag}{part.mark}", f"{tag}{panel}"
                    waiting.setdefault(key, []).append((boxes[-1].number, name))
    for wanted in (one for plan in plans for one in plan.plan.demand.parts):
        if wanted.kit == SPARE_KIT:  # box 0 stands for the shelf
            shelf = [(0, f"{wanted.name} {k}") for k in range(wanted.count)]
            waiting[wanted.name, SPARE_KIT] = shelf
    spares = []
    for (number, name), origin in sawn(waiting, plans).items():
        if number:
            boxes[number - 1].origins[name] = origin
        else:
            spares.append((name.partition(" ")[0], origin))
    return PrintedBatch(priced, tuple(plans), tuple(boxes), tuple(spares))


def tags_of(boxes: Sequence[BoxPrice]) -> dict[str, str]:
    """Return what stands before each variant's marks, by the variant's name."""
    if len(boxes) == 1:
        return {boxes[0].design.name: ""}
    return {box.design.name: f"{i}." for i, box in enumerate(boxes, 1)}


def _called(one: StockPlan, tags: dict[str, str]) -> StockPlan:
    """Return a plan whose pieces and kits are called by their variants' tags."""
    if len(tags) == 1:
        return one

    def called(part: str, kit: str) -> tuple[str, str]:
        variant, _, mark = part.rpartition(" ")
        tag = tags[variant]
        panel = kit.removeprefix(f"{variant} ")
        return f"{tag}{mark}", kit if kit == SPARE_KIT else f"{tag}{panel}"

    def piece_called(piece: Piece) -> Piece:
        part, kit = called(piece.part, piece.kit)
        return replace(piece, part=part, kit=kit)

    def demand_called(demand: PartDemand) -> PartDemand:
        part, kit = called(demand.name, demand.kit)
        return replace(demand, name=part, kit=kit)

    layouts = tuple(
        replace(layout, pieces=tuple(map(piece_called, layout.pieces)))
        for layout in one.plan.layouts
    )
    demand = replace(one.demand, parts=tuple(map(demand_called, one.demand.parts)))
    return replace(one, demand=demand, plan=replace(one.plan, layouts=layouts))
