"""A search for the largest boxes that tells what it found before it is through."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from concurrent.futures import Executor, Future
from typing import Any

from palewright.box_sizes import BoxSize, Frontier, OpenSize, Sides, holds
from palewright.parameters import Parameters
from palewright.size_columns import ColumnAnswer
from palewright.size_places import places_of
from palewright_drawings.frontier_texts import frontier_as_json, sought
from palewright_drawings.progress import Progress

PAUSE = 1.0
"""Least time between two tellings, seconds."""

Part = Callable[[Mapping[str, Any]], None]
"""Takes a frontier as JSON, with ``places`` (widths and depths in question) and ``unreached``."""


def searched(parameters: Parameters, count: int, progress: Progress, part: Part | None) -> Frontier:
    """Return the largest boxes that so many boards make.

    Args:
        parameters: the variant.
        count: of boards.
        progress: told how far the search is.
        part: told now and then what is found so far; the last of it is all there is where the
            search is ended.

    Raises:
        InputError: as `frontiers_of` does.
    """
    watched = _Watched(count, len(places_of(parameters)), part) if part else None
    return sought(parameters, [count], 1, progress, executor=watched)[0]


class _Watched(Executor):
    """Does all at once in this process, and looks at what is found over widths and depths."""

    def __init__(self, count: int, places: int, part: Part) -> None:
        self._count, self._places, self._part = count, places, part
        self._reached = 0
        self._told = time.monotonic()
        self._sizes: list[BoxSize] = []
        self._open: list[OpenSize] = []

    def submit(  # type: ignore[override]
        self, work: Callable[..., Any], /, *ask: object
    ) -> Future[Any]:
        """Return the answer, already there."""
        task: Future[Any] = Future()
        answer = work(*ask)
        if isinstance(answer, ColumnAnswer):
            self._take(answer)
        task.set_result(answer)
        return task

    def _take(self, answer: ColumnAnswer) -> None:
        """Take in what was found over one width and depth, and tell it after a pause."""
        self._reached += 1
        self._sizes += [size for count, size in answer.sizes if count == self._count]
        self._open += [size for count, size in answer.open if count == self._count]
        now = time.monotonic()
        if now - self._told >= PAUSE:
            self._told = now
            self._part(self.as_json())

    def as_json(self) -> dict[str, Any]:
        """Return what is found so far."""
        made = {size.sides: size for size in self._sizes}
        self._sizes = [size for sides, size in made.items() if not _beaten(sides, made)]
        best = {size.sides: size for size in self._sizes}
        left = {one.sides: one for one in self._open if not _beaten(one.sides, best)}
        self._open = list(left.values())
        found = Frontier(
            self._count, tuple(best[sides] for sides in sorted(best)), (), tuple(self._open)
        )
        return {
            **frontier_as_json(found),
            "places": self._places,
            "unreached": self._places - self._reached,
        }


def _beaten(sides: Sides, sizes: Mapping[Sides, BoxSize]) -> bool:
    """Return whether another size is as large every way."""
    return any(other != sides and holds(other, sides) for other in sizes)
