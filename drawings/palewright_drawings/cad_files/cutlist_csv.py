"""``cutlist.csv``: what to cut for one box, a row a part."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from palewright.design import Design
from palewright.parameters.tables import Parameters
from palewright.reading.lengths import rounded, tape_text
from palewright.sawing.cut_parts import CutPart

COLUMNS = (
    "mark", "role", "count", "stock",
    "length", "width", "thickness", "long_edge", "short_edge",
    "left_end_deg", "right_end_deg",
    "length_mm", "width_mm", "thickness_mm", "long_edge_mm", "short_edge_mm",
    "boards",
)  # fmt: skip
"""Header of the list. Lengths as they are read off a tape, then in mm."""


def cut_list(design: Design) -> bytes:
    """Return the cut list as CSV (RFC 4180: commas, CRLF, a header row), UTF-8.

    Angles are degrees off square; two at an end that is cut to a point are set apart by a slash,
    names of boards by a blank.
    """
    return csv_bytes(COLUMNS, (_row(part, design.parameters, 1) for part in design.parts))


def batch_cut_list(batch: Sequence[tuple[Design, int]]) -> bytes:
    """Return the cut list of a batch: the columns of one box behind the ``variant``.

    Args:
        batch: designs and how many boxes of each; ``count`` is of all of them.
    """
    rows = (
        [design.name, *_row(part, design.parameters, boxes)]
        for design, boxes in batch
        for part in design.parts
    )
    return csv_bytes(("variant", *COLUMNS), rows)


def csv_bytes(header: Sequence[str], rows: Iterable[Sequence[str | int]]) -> bytes:
    """Return rows as CSV (RFC 4180: commas, CRLF, a header row), UTF-8."""
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, dialect="excel")
    writer.writerow(header)
    writer.writerows(rows)
    return stream.getvalue().encode("utf-8")


def _row(part: CutPart, parameters: Parameters, boxes: int) -> list[str | int]:
    """Return the cells of one part, counted for so many boxes."""
    sizes = (part.length, part.width, part.thickness, part.long_edge, part.short_edge)
    return [
        part.mark,
        part.role,
        part.count * boxes,
        parameters.materials.name_of(part.stock),
        *(tape_text(size, parameters.product.units) for size in sizes),
        angles_text(part.left_angles),
        angles_text(part.right_angles),
        *(str(rounded(size, 2)) for size in sizes),
        " ".join(part.boards),
    ]


def angles_text(angles: tuple[float, ...]) -> str:
    """Return the angles of one end, such as ``36.7`` or ``27.2/62.8``, to a tenth of a degree."""
    return "/".join(str(rounded(angle, 1)) for angle in angles)
