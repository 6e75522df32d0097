"""The writers of a batch's packet: a table as that of one box. Importing it loads no heavy library.

All of it is the shop's own: it is built by, never sold. The plans of its boxes are those of each
box's own packet, whose letters it shares, without what the batch's own papers say of the saw.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from palewright_drawings.json_reports.parameters import parameters_as_json
from palewright_drawings.output.progress import Progress, Silent
from palewright_drawings.packet.writers import Files, Writer

if TYPE_CHECKING:
    from palewright.costing.batch_price import BatchPrice
    from palewright.costing.shop_file import Shop
    from palewright.design import Design
    from palewright_drawings.documents.batch.batch_pieces import PrintedBatch


@dataclass(frozen=True)
class BatchRequest:
    """What a batch's packet is made of.

    Attributes:
        priced: variants and counts, plans and money.
        shop: whose figures that money is made of.
        source: where those come from, in words.
        kinds: of files that the packet will hold.
    """

    priced: BatchPrice
    shop: Shop
    source: str
    kinds: tuple[str, ...] = ()

    @cached_property
    def printed(self) -> PrintedBatch:
        """The batch, every piece in its box."""
        from palewright_drawings.documents.batch.batch_pieces import printed_batch

        return printed_batch(self.priced)

    @property
    def batch(self) -> list[tuple[Design, int]]:
        """Designs and counts."""
        return [(box.design, box.count) for box in self.priced.boxes]

    @property
    def name(self) -> str:
        """What its folder is called."""
        from palewright_drawings.documents.batch.batch_pieces import batch_name

        return batch_name(self.priced.boxes)

    @property
    def table(self) -> Mapping[str, Writer[Any]]:
        """The writers of its files."""
        return BATCH_WRITERS

    def require(self) -> None:
        """Complain, before anything is made, of what cannot be built: it was priced already."""

    def subject(self) -> dict[str, object]:
        """Return what the manifest says of it: each variant's count and parameters."""
        return {
            "batch": [
                {
                    "variant": design.name,
                    "count": count,
                    "parameters": parameters_as_json(design.parameters),
                }
                for design, count in self.batch
            ]
        }


def _read_first(asked: BatchRequest, progress: Progress) -> Files:
    from palewright_drawings.documents.read_first import batch_read_first

    progress.begin("read first", 1)
    told = [(BATCH_WRITERS[kind].where, BATCH_WRITERS[kind].purpose) for kind in asked.kinds]
    yield "READ-FIRST.html", batch_read_first(asked.printed, asked.kinds, told)
    progress.advance()


def _saw(asked: BatchRequest, progress: Progress) -> Files:
    from palewright_drawings.documents.batch.saw_plan import saw_plan_files

    yield from _told("saw plan", saw_plan_files(asked.printed), progress)


def _workshop(asked: BatchRequest, progress: Progress) -> Files:
    from palewright_drawings.documents.workshop.workshop_sheets import batch_workshop

    yield from _told("workshop", iter([("workshop.html", batch_workshop(asked.printed))]), progress)


def _labels(asked: BatchRequest, progress: Progress) -> Files:
    from palewright_drawings.documents.batch.batch_labels import batch_label_files

    yield from _told("labels", batch_label_files(asked.printed), progress)


def _kits(asked: BatchRequest, progress: Progress) -> Files:
    from palewright_drawings.documents.batch.kit_cards import kit_files

    yield from _told("kit cards", kit_files(asked.printed), progress)


def _plans(asked: BatchRequest, progress: Progress) -> Files:
    from palewright_drawings.documents.plan.content import plan_pdf

    for design, _ in asked.batch:
        yield f"plans/{design.name}.pdf", plan_pdf(design, progress, in_batch=True)


def _templates(asked: BatchRequest, progress: Progress) -> Files:
    from palewright_drawings.documents.template_sheets import templates_pdf

    for design, _ in asked.batch:
        if content := templates_pdf(design, progress):
            yield f"templates/{design.name}.pdf", content


def _buying(asked: BatchRequest, progress: Progress) -> Files:
    from palewright_drawings.documents.batch.buying_list import buying_files

    yield from _told("buying list", buying_files(asked.printed), progress)


def _cutlist(asked: BatchRequest, progress: Progress) -> Files:
    from palewright_drawings.cad_files.cutlist_csv import batch_cut_list

    progress.begin("cut list", 1)
    yield "cutlist.csv", batch_cut_list(asked.batch)
    progress.advance()


def _flat(asked: BatchRequest, progress: Progress) -> Files:
    from palewright_drawings.cad_files.board_kinds import kind_files

    for path, content in kind_files(asked.batch, progress):
        yield f"flat/{path}", content


def _jigs(asked: BatchRequest, progress: Progress) -> Files:
    from palewright_drawings.cad_files.jig_dxf import jig_files

    progress.begin("jigs", len(asked.batch))
    for design, _ in asked.batch:
        folder = f"jigs/{design.name}" if len(asked.batch) > 1 else "jigs"
        for path, content in jig_files(design, Silent()):
            yield f"{folder}/{path}", content
        progress.advance()


def _costs(asked: BatchRequest, progress: Progress) -> Files:
    from palewright_drawings.documents.cost_sheet import batch_cost_files

    files = batch_cost_files(asked.priced, asked.shop, asked.source)
    yield from _told("costs", files, progress, "maker/")


def _told(
    text: str, files: Files, progress: Progress, folder: str = ""
) -> Iterator[tuple[str, bytes]]:
    """Yield files inside a folder of the packet, as one step of progress."""
    progress.begin(text, 1)
    for path, content in files:
        yield f"{folder}{path}", content
    progress.advance()


BATCH_WRITERS: dict[str, Writer[BatchRequest]] = {
    writer.kind: writer
    for writer in (
        Writer("read-first", "READ-FIRST.html", "what is here, and in which order", _read_first),
        Writer("buying", "buying-list.*", "what to buy, as it is sold: PDF and CSV", _buying),
        Writer("saw", "saw-*", "layouts and saw list of the batch: PDF, CSV, JSON", _saw),
        Writer("workshop", "workshop.html", "for the phone at the saw: cuts, trays", _workshop),
        Writer("labels", "labels.*", "a label a piece, by box and tray: PDF and CSV", _labels),
        Writer("kits", "kits.*", "a card a box, for its trays: PDF and CSV", _kits),
        Writer("plans", "plans/*", "how each kind of box goes together: maps, steps", _plans),
        Writer("templates", "templates/*", "paper templates of the jigs at full size", _templates),
        Writer("jigs", "jigs/*", "jigs, once for the batch: for the router, and solid", _jigs),
        Writer("flat", "flat/*", "a DXF for each kind of board, and their counts", _flat),
        Writer("cutlist", "cutlist.csv", "what to cut: a row a part, counted", _cutlist),
        Writer("costs", "maker/*", "what the batch costs and sells for", _costs, private=True),
    )
}
"""All writers by kind, in the order in which a batch's packet is written."""
