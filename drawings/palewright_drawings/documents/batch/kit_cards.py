"""``kits.pdf`` and ``kits.csv``: a card a box, which goes with its trays from saw to bench."""

from __future__ import annotations

from collections.abc import Iterator

from palewright_drawings.cad_files.cutlist_csv import csv_bytes
from palewright_drawings.documents.batch.batch_pieces import BatchBox, PrintedBatch
from palewright_drawings.documents.batch.page_frame import page_of
from palewright_drawings.documents.plan.shopping_list import screws_to_buy
from palewright_drawings.documents.plan.texts import screw_text, title_of
from palewright_drawings.documents.typst_pdf import pdf_of
from palewright_drawings.output.json_data import Json

COLUMNS = ("box", "variant", "tray", "mark", "role", "count", "pieces")
"""Header of the kits' list; ``pieces`` are numbers of the part, set apart by blanks."""


def kit_files(batch: PrintedBatch) -> Iterator[tuple[str, bytes]]:
    """Yield name and content of the kit cards as PDF and CSV."""
    yield "kits.pdf", pdf_of("kits", kit_content(batch))
    yield "kits.csv", csv_bytes(COLUMNS, kit_rows(batch))


def kit_content(batch: PrintedBatch) -> Json:
    """Return what the template of the kit cards takes: a card a box."""
    return {**page_of(batch, "kit cards"), "cards": [_card(box) for box in batch.boxes]}


def _card(box: BatchBox) -> Json:
    """Return the card of one box: its trays with their pieces, and its screws."""
    design = box.design
    trays = [
        [
            tray,
            "   ".join(
                f"{mark}{' '.join(map(str, pieces))}"
                if len(pieces) == 1
                else f"{mark} {' '.join(map(str, pieces))}"
                for mark, _, pieces in _marks(box, names)
            ),
            str(len(names)),
        ]
        for tray, names in design.tree.items()
    ]
    screws = [f"{one.count} × {screw_text(one.kind)}" for one in screws_to_buy(design)]
    return {
        "number": str(box.number),
        "title": title_of(design),
        "trays": trays,
        "screws": ", ".join(screws),
    }


def _marks(box: BatchBox, names: list[str]) -> list[tuple[str, str, list[int]]]:
    """Return (mark, role, piece numbers) of some boards of a box, in the order of its parts."""
    found = []
    for part in box.design.parts:
        pieces = sorted(box.origins[name].piece for name in part.boards if name in set(names))
        if pieces:
            found.append((f"{box.tag}{part.mark}", part.role, pieces))
    return found


def kit_rows(batch: PrintedBatch) -> Iterator[list[str]]:
    """Yield a row a box, tray and part."""
    for box in batch.boxes:
        for tray, names in box.design.tree.items():
            for mark, role, pieces in _marks(box, names):
                numbers = " ".join(map(str, pieces))
                yield [
                    str(box.number), box.design.name, tray, mark, role, str(len(pieces)), numbers,
                ]  # fmt: skip
