"""``buying-list.pdf`` and ``.csv``: what a batch takes, as it is sold. No money stands in it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from palewright.reading.lengths import drill_size
from palewright.reading.quantities import print_supply, print_volume
from palewright_drawings.cad_files.cutlist_csv import csv_bytes
from palewright_drawings.documents.batch.batch_pieces import PrintedBatch
from palewright_drawings.documents.batch.page_frame import page_of
from palewright_drawings.documents.plan.shopping_list import drills, tools
from palewright_drawings.documents.plan.texts import size_line
from palewright_drawings.documents.typst_pdf import pdf_of
from palewright_drawings.output.json_data import Json
from palewright_drawings.texts.price_texts import needed_text

BAGS = {"inch": (56.6, "bags of 2 cubic feet"), "metric": (40.0, "bags of 40 litres")}
"""Litres in a bag of potting mix, and what it is called: common practice, no source."""

_WORN = ("saw blade", "drills", "driver bits")
"""What a batch only wears: it is at hand, not bought for it."""

COLUMNS = ("kind", "what", "needed", "unit", "buy", "of")
"""Header of the list: so many of such a package, ``buy`` ``of``."""


class Bought(NamedTuple):
    """A line of the list.

    Attributes:
        kind: boards, screws, supplies or soil.
        what: its name.
        needed: how much goes in.
        unit: what that is counted in.
        buy: how many packages of one size.
        of: what one of them is.
    """

    kind: str
    what: str
    needed: str
    unit: str
    buy: int
    of: str


def buying_files(batch: PrintedBatch) -> Iterator[tuple[str, bytes]]:
    """Yield name and content of the buying list as PDF and CSV."""
    lines = list(bought(batch))
    yield "buying-list.pdf", pdf_of("buying", buying_content(batch, lines))
    yield "buying-list.csv", csv_bytes(COLUMNS, ([*map(str, one)] for one in lines))


def bought(batch: PrintedBatch) -> Iterator[Bought]:
    """Yield what is bought: boards, screws by the package, supplies, soil in bags."""
    system = batch.first.parameters.product.units
    for plan in batch.priced.plans:
        stock = plan.demand.stock
        assert stock is not None  # a design's boards are of kept stock
        size = size_line((stock.length, stock.width, stock.thickness), system)
        needed = plan.plan.boards
        yield Bought(
            "boards", plan.demand.name, str(needed), "boards", needed + plan.plan.spare, size
        )
    for one in batch.priced.materials:
        if one.unit == "boards" or one.name in _WORN:
            continue
        amount, _, unit = needed_text(one, system).partition(" ")
        for pack, count in one.packs:
            kind = "screws" if one.whole else "supplies"
            of = f"box of {pack.holds}" if one.whole else print_supply(one.holds, one.unit, system)
            yield Bought(kind, one.name, amount, unit, count, of)
    litres, called = BAGS[system]
    for box in batch.priced.boxes:
        weights = box.design.loads.weights
        volume = weights.soil.volume * box.count
        if weights.loose:
            told = print_volume(volume, system)
            amount, _, unit = told.partition(" ")
            yield Bought(
                "soil", box.design.name, amount, unit, math.ceil(volume / litres - 1e-9), called
            )


def buying_content(batch: PrintedBatch, lines: list[Bought]) -> Json:
    """Return what the template of the buying list takes."""
    system = batch.first.parameters.product.units
    designs = [box.design for box in batch.priced.boxes]
    spare = sum(plan.plan.spare for plan in batch.priced.plans)
    bits = {bit.diameter: bit.purpose for design in designs for bit in drills(design)}
    return {
        **page_of(batch, "buying list"),
        "kinds": [
            {
                "kind": kind,
                "rows": [
                    [one.what, f"{one.needed} {one.unit}", str(one.buy), one.of]
                    for one in lines
                    if one.kind == kind
                ],
            }
            for kind in dict.fromkeys(one.kind for one in lines)
        ],
        "spare": f"{spare} of the boards are spare, for knots and splits." if spare else "",
        "finish": list(dict.fromkeys(design.parameters.plan.finish for design in designs)),
        "drills": [[drill_size(size, system), bits[size]] for size in sorted(bits)],
        "tools": list(dict.fromkeys(tool for one in designs for tool in tools(one, True))),
    }
