"""What the cut command was asked, turned into plans: a batch of variants, or any parts list."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from palewright.costing.batch_price import BatchPrice, Yard, price_batch
from palewright.costing.shop_file import Shop
from palewright.cutting_stock import NotEnoughBoards, SawSettings, read_parts
from palewright.design import Design
from palewright.parameters.schema import settings as all_settings
from palewright.parameters.variant_files import Variant
from palewright.reading.errors import InputError
from palewright.reading.lengths import read_count, read_length
from palewright.sawing.stock_demands import StockDemand, demands_of, saw_of, with_spare_parts
from palewright.sawing.stock_plans import StockPlan, plan_demands
from palewright_drawings.cli.asked_box import laid_out, read_variant
from palewright_drawings.cli.options import say
from palewright_drawings.cli.stock_requests import read_offcut, read_stocks, require_prices
from palewright_drawings.output.progress import Progress

_MOST_BOXES = 1_000_000
"""More boxes than any shop makes: a slip of the finger is told before the work."""

_SIZES = {
    "kerf": ("kerf", "saw.kerf"),
    "trim": ("end_trim", "saw.trim"),
    "safe_rip": ("safe_rip_width", "wall.safe_rip"),
}
"""What each size of the saw is in its settings, and the key whose limits it keeps."""


@dataclass(frozen=True, slots=True)
class AskedPlans:
    """What was asked to be cut.

    Attributes:
        plans: stock by stock.
        system: ``inch`` or ``metric``, in which to print them.
        batch: the batch with its price, whose plans these are; None for a parts list.
    """

    plans: Sequence[StockPlan]
    system: str
    batch: BatchPrice | None = None


def asked_plans(
    variants: Sequence[str],
    parts: str,
    settings: Sequence[str],
    how: Mapping[str, Any],
    shop: Shop,
    progress: Progress,
) -> AskedPlans:
    """Return the plans: those of a batch are the ones that it is priced and printed with.

    Args:
        variants: names or paths, each with ``:COUNT`` or without.
        parts: a parts list, instead of variants.
        settings: ``KEY=VALUE`` for every variant.
        how: stocks, kerf, trim, order, offcuts, spares, work, fewest boards, as they were typed.
        shop: what work at the saw costs.
        progress: told the share done.

    Raises:
        InputError: for anything that cannot be used.
    """
    if parts:
        if variants or settings:
            raise InputError("--parts goes without a variant and without --set")
        return _listed_parts(parts, how, progress)
    if not variants:
        raise InputError("nothing to cut; allowed: VARIANT[:COUNT], or --parts FILE.csv")
    stocks = read_stocks(how["stocks"])
    batch = batch_of(variants, settings)
    first = batch[0][0].parameters
    demands = demands_of(batch)
    demands[0] = replace(demands[0], also=tuple(stocks))
    require_prices([demands[0].board, *stocks])
    yard = _yard(demands, saw_of(first), first.saw.spare_parts, how)
    weigh = not how["fewest_boards"]
    try:
        priced = price_batch(
            batch, shop, (), how["work"], told(progress), weigh_saw=weigh, yard=yard
        )
    except NotEnoughBoards as error:
        raise _short(yard, how["work"]) or error from None
    return AskedPlans(priced.plans, first.product.units, priced)


def _listed_parts(parts: str, how: Mapping[str, Any], progress: Progress) -> AskedPlans:
    """Return the plan of a parts list, and what fewer saw settings would cost."""
    stocks = read_stocks(how["stocks"])
    asked = read_parts(Path(parts), read_length, say)
    if not stocks:
        raise InputError("--parts needs --stock LENGTHxWIDTH beside it, such as 72inx5.5in")
    metric = re.search(r"\d\s*(mm|cm|m)\b", how["stocks"][0], re.IGNORECASE | re.ASCII)
    known = all_settings()
    usual: dict[str, Any] = {
        field: read_length(known[key].default) for field, key in _SIZES.values()
    }
    board = stocks[0] if len(stocks) > 1 else replace(stocks[0], name="board")
    demand = StockDemand("board", None, board, asked, tuple(stocks[1:]))
    yard = _yard([demand], SawSettings(**usual), 0, how)
    tell = told(progress)
    try:
        plans = plan_demands(yard.demands, yard.saw, yard.offcuts, how["work"], progress=tell)
    except NotEnoughBoards as error:
        raise _short(yard, how["work"]) or error from None
    return AskedPlans(plans, "metric" if metric else "inch")


def _yard(
    demands: Sequence[StockDemand], saw: SawSettings, spare_parts: int, how: Mapping[str, Any]
) -> Yard:
    """Return what is cut from what, and how, with what was typed laid over it."""
    percent = spare_parts if how["spare_parts"] is None else how["spare_parts"]
    return Yard(
        tuple(with_spare_parts(demand, percent) for demand in demands),
        _saw(saw, how),
        tuple(read_offcut(text) for text in how["offcuts"]),
    )


def _short(yard: Yard, work: float) -> InputError | None:
    """Return how many boards are at hand and how many are needed; None where some are endless."""
    for demand in yard.demands:
        kinds = (demand.board, *demand.also)
        if any(kind.available is None for kind in kinds):
            continue
        free = replace(
            demand,
            board=replace(demand.board, available=None),
            also=tuple(replace(kind, available=None) for kind in demand.also),
        )
        there = sum(kind.available or 0 for kind in kinds)
        needed = plan_demands([free], yard.saw, yard.offcuts, work)[0].plan.boards
        boards = "board" if there == 1 else "boards"
        return InputError(f"{there} {boards} at hand, {needed} needed", key="--stock")
    return None


def told(progress: Progress) -> Callable[[str, float], None]:
    """Return what moves a bar of a hundred steps to a share."""
    done = 0

    def tell(text: str, share: float) -> None:
        nonlocal done
        steps = max(0, int(100 * min(share, 1.0)) - done)
        done += steps
        progress.advance(steps)
        progress.note(text)

    return tell


def batch_of(variants: Sequence[str], settings: Sequence[str]) -> list[tuple[Design, int]]:
    """Return the designs and counts of a batch; see ``read_batch``."""
    return [(box, count) for _, box, count in read_batch(variants, settings)]


def read_batch(
    variants: Sequence[str], settings: Sequence[str]
) -> list[tuple[Variant, Design, int]]:
    """Return the variants of a batch, their designs laid out, and how many boxes of each.

    Args:
        variants: names or paths, each with ``:COUNT``; a count of one may be left out.
        settings: ``KEY=VALUE`` for every variant.

    Raises:
        InputError: for anything that cannot be used, at its place; for a box that is named twice:
            whether one batch or two are meant is not guessed.
    """
    batch: list[tuple[Variant, Design, int]] = []
    for text in variants:
        found, count = variant_counted(text, settings)
        box = laid_out(found)
        for _, other, before in batch:
            if box.name == other.name and box.parameters != other.parameters:
                raise InputError(f"two boxes are called '{box.name}'; allowed: names of their own")
            if box.name == other.name:
                both = before + count
                raise InputError(
                    f"'{text}': {box.name} is named twice; allowed: {box.name}:{both} for one "
                    f"batch of {both}, or a command for each batch"
                )
        batch.append((found, box, count))
    return batch


def variant_counted(text: str, settings: Sequence[str]) -> tuple[Variant, int]:
    """Return the variant and the count of ``VARIANT:COUNT``; a count of one may be left out.

    Raises:
        InputError: for a count that is none, or a variant that cannot be read.
    """
    name, colon, number = text.rpartition(":")
    if not colon:
        name, number = text, "1"
    count = read_count(number, _MOST_BOXES)
    if count is None:
        raise InputError(f"'{text}': the count is a whole number, 1 to {_MOST_BOXES}")
    return read_variant(name, settings), count


def _saw(saw: SawSettings, how: Mapping[str, Any]) -> SawSettings:
    """Return the saw settings with what was typed laid over them."""
    for option, (field, key) in _SIZES.items():
        if how.get(option):
            changed: dict[str, Any] = {field: _typed(option, key, how[option])}
            saw = replace(saw, **changed)
    if how["spare_boards"] is not None:
        saw = replace(saw, defect_allowance=how["spare_boards"] / 100)
    return replace(saw, order=how["order"]) if how["order"] else saw


def _typed(option: str, key: str, text: str) -> float:
    """Return a length (mm) as it was typed, within the limits of the key that it stands for."""
    told = f"--{option.replace('_', '-')}"
    try:
        size = read_length(text)
    except InputError as error:
        raise error.at(key=told) from None
    known = all_settings()[key]
    if not read_length(known.low) <= size <= read_length(known.high):
        raise InputError(f"'{text}' is not allowed; allowed: {known.low} to {known.high}", key=told)
    return size
