"""Minutes that a batch takes, operation by operation: set-ups once, hands box by box."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from palewright.costing.materials import Counted, board_weights, piece_weights
from palewright.costing.shop_file import Shop
from palewright.cutting_stock import CutKind
from palewright.sawing.stock_plans import StockPlan


@dataclass(frozen=True, slots=True)
class Operation:
    """One kind of work in a batch.

    Attributes:
        name: what is done.
        times: how often, or how much, in ``unit``.
        unit: what it is counted in.
        pace: minutes each, once the box is known.
        minutes: of the batch, variant by variant, learning counted in.
        setup: done once a batch and never learned; shared among variants by number of boxes.
    """

    name: str
    times: float
    unit: str
    pace: float
    minutes: tuple[float, ...]
    setup: bool

    @property
    def total(self) -> float:
        """Minutes of the whole batch."""
        return sum(self.minutes)


def operations_of(
    batch: Sequence[Counted], plans: Sequence[StockPlan], shop: Shop, made_before: Sequence[int]
) -> list[Operation]:
    """Return the work of a batch: its set-ups, then what hands do, in the order of work.

    Args:
        batch: variants and counts.
        plans: how their boards are cut.
        shop: how long hands take.
        made_before: of each variant, before this batch.
    """
    return [*_setups(batch, plans, shop), *_hands(batch, plans, shop, made_before)]


def _setups(batch: Sequence[Counted], plans: Sequence[StockPlan], shop: Shop) -> list[Operation]:
    """Return what is set up once a batch, however many boxes."""
    told = shop.minutes
    works = [work for _, _, work in batch]
    coats = shop.finish.coats if any(work.finish_m2 for work in works) else 0
    bits = max(work.drills for work in works) + len({s for work in works for s in work.screws})
    settings = sum(plan.plan.setups.count for plan in plans)
    table = [
        ("clear the bench", 1, "batch", told.batch),
        ("set the saw", settings, "settings", told.saw_setting),
        ("change bits", bits, "bits", told.bit_change),
        ("set up finishing", coats, "coats", told.coat_setup),
    ]
    boxes = sum(count for _, count, _ in batch)
    return [
        Operation(
            name, times, unit, pace, tuple(times * pace * n / boxes for _, n, _ in batch), True
        )
        for name, times, unit, pace in table
        if times
    ]


def _hands(
    batch: Sequence[Counted], plans: Sequence[StockPlan], shop: Shop, made_before: Sequence[int]
) -> list[Operation]:
    """Return what hands do, each variant's boxes quicker by its own learning."""
    told, coats = shop.minutes, shop.finish.coats
    boards = [0.0] * len(batch)
    cuts: dict[CutKind, list[float]] = {"crosscut": list(boards), "rip": list(boards)}
    for plan in plans:
        _share(boards, plan.plan.boards + plan.plan.spare, board_weights(batch, plan))
        for kind, sums in cuts.items():
            count = plan.plan.setups.passes(kind)
            _share(sums, count, piece_weights(batch, plan))
    works = [(work, count) for _, count, work in batch]
    area = [w.finish_m2 * n for w, n in works]
    table: list[tuple[str, str, float, Sequence[float]]] = [
        ("fetch boards", "boards", told.board, boards),
        ("crosscut", "cuts", told.crosscut, cuts["crosscut"]),
        ("rip", "cuts", told.rip, cuts["rip"]),
        ("drill", "holes", told.hole, [w.holes * n for w, n in works]),
        ("sand", "m²", told.sanding, area),
        ("lay in place", "pieces", told.piece, [w.pieces * n for w, n in works]),
        ("glue", "joints", told.glue_joint, [w.glue_joints * n for w, n in works]),
        ("drive screws", "screws", told.screw, [w.screw_count * n for w, n in works]),
        ("line", "liners", told.liner, [n * (w.liner_m2 > 0) for w, n in works]),
        ("coat", "m²", told.coat, [coats * one for one in area]),
        ("pack", "pieces", told.packing, [n for _, n in works]),
    ]
    quicker = [shop.curve.average(n, made) for (_, n), made in zip(works, made_before, strict=True)]
    return [
        Operation(
            name,
            sum(times),
            unit,
            pace,
            tuple(t * pace * q for t, q in zip(times, quicker, strict=True)),
            False,
        )
        for name, unit, pace, times in table
        if sum(times)
    ]


def _share(sums: list[float], amount: float, weights: Sequence[float]) -> None:
    """Add an amount to sums, split by weight."""
    whole = sum(weights)
    for i, weight in enumerate(weights):
        sums[i] += amount * weight / whole
