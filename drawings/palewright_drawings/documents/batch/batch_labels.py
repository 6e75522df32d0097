"""``labels.pdf`` and ``labels.csv``: a label a piece of a batch, box by box and tray by tray."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.reading.lengths import tape_text
from palewright_drawings.cad_files.cutlist_csv import csv_bytes
from palewright_drawings.documents.batch.batch_pieces import PrintedBatch
from palewright_drawings.documents.labels import PieceLabel, box_labels, labels_data, short_ends
from palewright_drawings.documents.typst_pdf import pdf_of

COLUMNS = ("label", "box", "variant", "tray", "part", "length", "width", "ends", "board")
"""Header of the labels' list."""


def batch_label_files(batch: PrintedBatch) -> Iterator[tuple[str, bytes]]:
    """Yield name and content of the labels as PDF and CSV."""
    yield "labels.pdf", pdf_of("labels", labels_data(batch_labels(batch), batch.first, batch.title))
    yield "labels.csv", csv_bytes(COLUMNS, label_rows(batch))


def batch_labels(batch: PrintedBatch) -> Iterator[PieceLabel]:
    """Yield the labels box by box, each tray behind its header; spares last."""
    for box in batch.boxes:
        yield from box_labels(box.design, box.origins, box.called, box.tag)
    count = len(batch.spares)
    if count:
        told = (f"spare: {count} {'piece' if count == 1 else 'pieces'}", "for knots and splits")
        yield PieceLabel("spare", "", told, f"spare {count}")
    for mark, origin in batch.spares:
        label = f"{mark}{origin.piece}"
        where = f"spare  ·  board {origin.board}"
        yield PieceLabel("spare", label, ("spare", where), f"{label} spare board {origin.board}")


def label_rows(batch: PrintedBatch) -> Iterator[list[str]]:
    """Yield a row a piece, in the order of the labels; spares have neither box nor tray."""
    for box in batch.boxes:
        system = box.design.parameters.product.units
        part_of = {name: part for part in box.design.parts for name in part.boards}
        for tray, names in box.design.tree.items():
            for name in sorted(names, key=lambda n: (part_of[n].mark, box.origins[n].piece)):
                part, origin = part_of[name], box.origins[name]
                yield [
                    f"{box.tag}{part.mark}{origin.piece}",
                    str(box.number),
                    box.design.name,
                    tray,
                    name,
                    tape_text(part.length, system),
                    tape_text(part.width, system),
                    short_ends(part),
                    str(origin.board),
                ]
    for mark, origin in batch.spares:
        yield [f"{mark}{origin.piece}", "", "", "spare", "", "", "", "", str(origin.board)]
