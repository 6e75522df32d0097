"""Reads a parts list: CSV with the columns `part,length,width,count`, in any order.

Cells stand between commas, semicolons or tabs, whichever the header has. Other columns are left
aside, and said.

Lengths are text as the shop writes them; the caller hands in what reads them. A name may come
on several lines, which then add up; of two sizes under one name nobody could tell the pieces.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from pathlib import Path

from palewright.cutting_stock.problem.integer_units import LONGEST
from palewright.cutting_stock.problem.records import CuttingError, PartDemand, PartsListError
from palewright.reading.lengths import both_units, read_count

HEADER = ("part", "length", "width", "count")
MOST_BYTES = 5_000_000
MOST_COUNT = 10_000_000
SAME_SIZE = 1e-3
"""Lengths that differ by no more are one length, whatever unit each is written in (mm)."""


def untold(_text: str) -> None:
    """Tell nobody."""


def read_parts(
    path: Path, read_length: Callable[[str], float], tell: Callable[[str], None] = untold
) -> tuple[PartDemand, ...]:
    """The demand a parts list asks for, lengths in millimetres.

    read_length turns a cell into millimetres and raises ValueError where it cannot; tell takes a
    line about columns that are left aside. Raises PartsListError, one line with file, line, what
    is wrong and what is allowed.
    """
    name = path.name or str(path)  # "." has no name
    return parts_from_text(_text(path, name), name, read_length, tell)


def _text(path: Path, name: str) -> str:
    try:
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise PartsListError(
                f"{name}: {size} bytes; a parts list of up to {MOST_BYTES} bytes is allowed"
            )
        return path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise PartsListError(
            f"{name}: cannot be read ({error.strerror}); a CSV file is needed"
        ) from error
    except UnicodeDecodeError as error:
        raise PartsListError(f"{name}: is not text; a UTF-8 CSV file is needed") from error


def parts_from_text(
    text: str,
    name: str,
    read_length: Callable[[str], float],
    tell: Callable[[str], None] = untold,
) -> tuple[PartDemand, ...]:
    """As `read_parts`, from the text itself; `name` stands for the file in messages.

    Other arguments as for `read_parts`.
    """
    if "\0" in text:
        raise PartsListError(f"{name}: is not text; a UTF-8 CSV file is needed")
    rows = _rows(text, name)
    line, header = next(rows, (1, []))
    titles = [cell.strip().lower() for cell in header]
    if not all(titles.count(column) == 1 for column in HEADER):
        shown = ",".join(header)[:60]
        raise PartsListError(
            f"{name}, line {line}: the header is {shown!r}; it must name {','.join(HEADER)}, in "
            "any order, each once"
        )
    aside = [cell.strip()[:40] or "one without a name" for cell in header
             if cell.strip().lower() not in HEADER]  # fmt: skip
    places = [titles.index(column) for column in HEADER]
    read = (
        (number, _part(_picked(cells, places, header, where), where, read_length))
        for number, cells in rows
        for where in [f"{name}, line {number}"]
    )
    parts = _added_up(read, name)
    if not any(part.count for part in parts):
        raise PartsListError(f"{name}: asks for no parts; at least one line with a count is needed")
    if aside:
        tell(f"{name}: columns left aside: {', '.join(aside)}")
    return parts


def _added_up(read: Iterable[tuple[int, PartDemand]], name: str) -> tuple[PartDemand, ...]:
    """The parts, each once, of the lines that ask for them."""
    found: dict[str, tuple[int, PartDemand]] = {}
    for line, part in read:
        first, known = found.setdefault(part.name, (line, replace(part, count=0)))
        off = max(abs(part.length - known.length), abs(part.width - known.width))
        if off > SAME_SIZE:
            raise PartsListError(
                f"{name}, line {line}, part: {part.name!r} is of another size than on line {first};"
                " allowed: one size a name"
            )
        count = known.count + part.count
        if count > MOST_COUNT:
            raise PartsListError(
                f"{name}, line {line}, count: {part.name!r} comes to {count};"
                f" up to {MOST_COUNT} is allowed"
            )
        found[part.name] = (first, replace(known, count=count))
    return tuple(part for _, part in found.values())


def _rows(text: str, name: str) -> Iterator[tuple[int, list[str]]]:
    """Line numbers and cells of all lines that are not blank."""
    lines = text.splitlines()
    header = next((line for line in lines if line.strip()), "")
    between = max(",;\t", key=header.count)
    reader = csv.reader(lines, delimiter=between, skipinitialspace=True)
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield reader.line_num, cells
    except csv.Error as error:
        raise PartsListError(f"{name}, line {reader.line_num}: not CSV ({error})") from error


def _picked(cells: list[str], places: list[int], header: list[str], where: str) -> list[str]:
    """The cells of the known columns, in their order."""
    if len(cells) != len(header):
        titles = ",".join(header)[:60]
        raise PartsListError(
            f"{where}: has {len(cells)} cells; it must have {len(header)}: {titles}"
        )
    return [cells[place] for place in places]


def _part(cells: list[str], where: str, read_length: Callable[[str], float]) -> PartDemand:
    part, length, width, count = (cell.strip() for cell in cells)
    if not part:
        raise PartsListError(f"{where}, part: is empty; a name is needed")
    sizes = []
    for key, text in (("length", length), ("width", width)):
        try:
            sizes.append(read_length(text))
        except ValueError as error:
            raise PartsListError(f"{where}, {key}: {error}") from error
        if not 0 < sizes[-1] <= LONGEST:
            raise PartsListError(
                f"{where}, {key}: {text!r} is not allowed; allowed: above 0, up to"
                f" {both_units(LONGEST)}"
            )
    try:
        return PartDemand(part, sizes[0], sizes[1], _count(count, where))
    except PartsListError:
        raise
    except CuttingError as error:
        raise PartsListError(f"{where}: {error}") from error


def _count(text: str, where: str) -> int:
    count = read_count(text, MOST_COUNT, least=0)
    if count is None:
        raise PartsListError(
            f"{where}, count: is {text[:40]!r}; a whole number from 0 to {MOST_COUNT} is allowed"
        )
    return count
