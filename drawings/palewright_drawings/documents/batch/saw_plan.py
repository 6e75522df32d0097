"""``saw-plan.pdf``, ``.json`` and ``saw-list.csv``: how the boards of a batch are cut."""

from __future__ import annotations

import json
from collections.abc import Iterator

from palewright.reading.lengths import rounded, tape_text
from palewright.sawing.saw_lists import SawLine
from palewright_drawings.cad_files.cutlist_csv import csv_bytes
from palewright_drawings.documents.batch.batch_pieces import PrintedBatch
from palewright_drawings.documents.batch.page_frame import page_of
from palewright_drawings.documents.plan import sections
from palewright_drawings.documents.plan.content import MARGIN, paper_of
from palewright_drawings.documents.plan.texts import ends_text, size_line, title_of
from palewright_drawings.documents.typst_pdf import pdf_of
from palewright_drawings.json_reports.cut_plans import plans_as_json
from palewright_drawings.output.json_data import Json
from palewright_drawings.texts.cut_texts import headline, line_made, line_places, saw_key
from palewright_drawings.texts.saw_cautions import saw_cautions


def saw_plan_files(batch: PrintedBatch) -> Iterator[tuple[str, bytes]]:
    """Yield name and content of the saw plan as PDF, JSON (as ``cut --json``) and CSV."""
    yield "saw-plan.pdf", pdf_of("batch-saw", saw_plan_content(batch))
    told = plans_as_json(batch.priced.plans)
    yield "saw-plan.json", f"{json.dumps(told, indent=2, ensure_ascii=False)}\n".encode()
    yield "saw-list.csv", csv_bytes(SAW_COLUMNS, saw_rows(batch))


def saw_plan_content(batch: PrintedBatch) -> Json:
    """Return what the template of the saw plan takes."""
    width, height = paper_of(batch.first)
    system = batch.first.parameters.product.units
    inner = height - 2 * MARGIN, (width - 2 * MARGIN) / 3
    plans = list(batch.plans)
    return {
        **page_of(batch, "saw plan"),
        "variants": [
            [
                tag,
                title_of(box.design),
                str(box.count),
                _range([one.number for one in batch.boxes if one.design is box.design]),
            ]
            for box, tag in zip(batch.priced.boxes, _tags(batch), strict=True)
        ],
        "plans": [headline(one.plan, system) for one in plans],
        "parts": _parts(batch),
        "spares": _spares(batch),
        "layouts-note": sections.LAYOUTS_NOTE,
        "layouts": sections.layouts(plans, inner, system),
        "saw-note": sections.SAW_NOTE,
        "saw-key": saw_key(plans),
        "saw": sections.saw_list(plans, system),
        "saw-cautions": [*saw_cautions([one.plan.plan for one in plans], system)],
    }


def _tags(batch: PrintedBatch) -> list[str]:
    """Return what stands before each variant's marks, in order."""
    return list({id(box.design): box.tag.rstrip(".") for box in batch.boxes}.values())


def _range(numbers: list[int]) -> str:
    """Return which boxes are meant."""
    first, last = numbers[0], numbers[-1]
    return f"box {first}" if first == last else f"boxes {first} to {last}"


def _parts(batch: PrintedBatch) -> list[list[str]]:
    """Return a row a part: mark, how many in all, role, size, ends, stock."""
    rows = []
    spare: dict[str, int] = {}
    for mark, _ in batch.spares:
        spare[mark] = spare.get(mark, 0) + 1
    for box, tag in zip(batch.priced.boxes, _tags(batch), strict=True):
        system = box.design.parameters.product.units
        for part in box.design.parts:
            mark = f"{tag}.{part.mark}" if tag else part.mark
            count = part.count * box.count
            more = f" + {spare[mark]} spare" if mark in spare else ""
            rows.append(
                [
                    mark,
                    f"{count}{more}",
                    part.role,
                    size_line((part.length, part.width, part.thickness), system),
                    ends_text(part, system),
                    box.design.parameters.materials.name_of(part.stock),
                ]
            )
    return rows


def _spares(batch: PrintedBatch) -> str:
    """Return which pieces are spare; nothing where none are."""
    told = ", ".join(f"{mark}{origin.piece}" for mark, origin in batch.spares)
    return f"Spare, for knots and splits: {told}." if told else ""


SAW_COLUMNS = (
    "setting", "stock", "step", "size", "size_mm", "angle_deg", "cuts", "places", "makes",
)  # fmt: skip
"""Header of the saw list; a setting has the number that stands on the layouts."""


def saw_rows(batch: PrintedBatch) -> Iterator[list[str]]:
    """Yield the saw list, a row a setting; what squares board ends has no number."""
    system = batch.first.parameters.product.units
    for plan in batch.plans:
        for one in plan.steps:
            for number, line in one.lines:
                yield [
                    str(number) if number else "",
                    plan.plan.demand.name,
                    _STEPS[one.step.stage],
                    *_sizes(line, system),
                    f"{one.step.angle:g}",
                    str(line.cuts),
                    line_places(one.step, line),
                    line_made(line, names=False),
                ]


_STEPS = {
    -1: "square ends",
    0: "rip to true width",
    1: "crosscut blocks",
    2: "rip strips",
    3: "crosscut parts",
}
"""What a step does, by its stage."""


def _sizes(line: SawLine, system: str) -> tuple[str, str]:
    """Return what is set, as the shop writes it and in mm; nothing where there is no stop."""
    if not line.size:
        return "", ""
    return tape_text(line.size, system), str(rounded(line.size, 2))
