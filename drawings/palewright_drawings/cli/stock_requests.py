"""Boards and offcuts as they are typed: ``LENGTHxWIDTH``, with a price, with a count."""

from __future__ import annotations

import re
from collections.abc import Sequence

from palewright.cutting_stock import Offcut, StockBoard
from palewright.reading.errors import InputError
from palewright.reading.lengths import read_count, read_length

_SIZE = re.compile(
    r"(.*?(?:in|inch|inches|ft|feet|mm|cm|m|\"|'))\s*[x×]\s*(.+)", re.IGNORECASE | re.ASCII
)
_STOCK = re.compile(
    r"(?P<size>[^@:]+)(@(?P<price>\d{1,9}(\.\d{1,2})?))?(:(?P<count>\d{1,9}))?", re.ASCII
)
_MOST_BOARDS = 1_000_000
"""More boards than any yard has."""

_MOST_PRICE = 100_000
"""Dearer than any board: a slip of the finger is told."""


def read_stocks(texts: Sequence[str]) -> list[StockBoard]:
    """Return the boards that ``LENGTHxWIDTH[@PRICE][:COUNT]`` name, one kind a text.

    Without a count there are as many as it takes.

    Raises:
        InputError: if one is not written so, if a board is named twice, or if some have a
            price and others none.
    """
    found = [_read_stock(text) for text in texts]
    names = [board.name for board in found]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice:
        raise InputError(f"'{twice}' is named twice; allowed: each board once", key="--stock")
    require_prices(found)
    return found


def require_prices(boards: Sequence[StockBoard]) -> None:
    """Refuse boards of which some have a price and others none: there would be no cheapest mix.

    Raises:
        InputError: naming the first without a price.
    """
    free = [board.name for board in boards if not board.price]
    if free and len(free) < len(boards):
        raise InputError(
            f"'{free[0]}' has no price beside boards that have one; "
            "allowed: LENGTHxWIDTH@PRICE for all, or no prices at all",
            key="--stock",
        )


def _read_stock(text: str) -> StockBoard:
    """Return one kind of board.

    Raises:
        InputError: if it is not written as ``LENGTHxWIDTH[@PRICE][:COUNT]``.
    """
    match = _STOCK.fullmatch(text.strip())
    if not match:
        raise InputError(
            f"'{text}' is no board; write LENGTHxWIDTH[@PRICE][:COUNT], such as 72inx5.5in@3.40:20",
            key="--stock",
        )
    length, width = read_size(match["size"], "--stock")
    price, count = float(match["price"] or 0), match["count"]
    if match["price"] and not 0 < price <= _MOST_PRICE:
        raise InputError(f"'{text}': the price is above 0 and at most {_MOST_PRICE}", key="--stock")
    if count and read_count(count, _MOST_BOARDS) is None:
        raise InputError(f"'{text}': the count is 1 to {_MOST_BOARDS}", key="--stock")
    size = "".join(match["size"].split())
    name = f"{size}@{match['price']}" if match["price"] else size
    return StockBoard(name, length, width, price, int(count) if count else None)


def read_size(text: str, key: str) -> tuple[float, float]:
    """Return the two lengths (mm) of ``LENGTHxWIDTH``, such as ``72in x 5-1/2in``.

    Raises:
        InputError: if it is not written so.
    """
    match = _SIZE.fullmatch(text.strip())
    if not match:
        raise InputError(f"'{text}' is no size; write LENGTHxWIDTH, such as 72inx5.5in", key=key)
    try:
        length, width = read_length(match[1]), read_length(match[2])
    except InputError as error:
        raise error.at(key=key) from None
    if min(length, width) <= 0:
        raise InputError(f"'{text}' is no size; both lengths are above 0", key=key)
    return length, width


def read_offcut(text: str) -> Offcut:
    """Return the piece on hand that ``LENGTHxWIDTH[:COUNT]`` names.

    Raises:
        InputError: if it is not written so.
    """
    size, colon, number = text.rpartition(":")
    if not colon:
        size, number = text, "1"
    count = read_count(number, _MOST_BOARDS)
    if count is None:
        raise InputError(
            f"'{text}': the count is a whole number, 1 to {_MOST_BOARDS}", key="--offcut"
        )
    length, width = read_size(size, "--offcut")
    return Offcut(f"offcut {size.strip()}", length, width, count)
