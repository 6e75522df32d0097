"""The fewest boards by trying everything: for a handful of parts only."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache

Size = tuple[int, int]


def fewest_boards(sizes: Sequence[Size], length: int, width: int, kerf: int) -> int:
    """Fewest boards for these parts (length, width), crosscut - rip - crosscut."""

    @cache
    def strip_length(parts: tuple[Size, ...]) -> int:
        return sum(size[0] + kerf for size in parts) - kerf

    @cache
    def block_length(parts: tuple[Size, ...]) -> int | None:
        """Shortest block that holds the parts in strips; None where it is too wide."""
        best: int | None = None
        for strips in partitions(parts):
            if any(len({size[1] for size in strip}) > 1 for strip in strips):
                continue
            if sum(strip[0][1] + kerf for strip in strips) - kerf > width:
                continue
            long = max(strip_length(strip) for strip in strips)
            best = long if best is None else min(best, long)
        return best

    @cache
    def one_board(parts: tuple[Size, ...]) -> bool:
        for blocks in partitions(parts):
            lengths = [block_length(block) for block in blocks]
            if None in lengths:
                continue
            if sum((long or 0) + kerf for long in lengths) - kerf <= length:
                return True
        return False

    best = len(sizes)
    for boards in partitions(tuple(sorted(sizes))):
        if len(boards) < best and all(one_board(board) for board in boards):
            best = len(boards)
    return best


def partitions(parts: tuple[Size, ...]) -> Iterator[list[tuple[Size, ...]]]:
    """All ways to split the parts into groups (equal parts make some twice)."""
    if not parts:
        yield []
        return
    first, rest = parts[0], parts[1:]
    for groups in partitions(rest):
        for i, group in enumerate(groups):
            yield [*groups[:i], (first, *group), *groups[i + 1 :]]
        yield [(first,), *groups]
