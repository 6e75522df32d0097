"""A search for the largest boxes that tells what it found before it is through."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor, Future
from typing import TYPE_CHECKING, Any

from palewright.parameters.tables import Parameters
from palewright.reading.errors import InputError
from palewright.size_search.height_search import ColumnAnswer
from palewright.size_search.look_trials import LookTrials
from palewright.size_search.pareto_search import WORK
from palewright.size_search.pareto_sizes import (
    BoxSize,
    Frontier,
    OpenSize,
    is_beaten,
    not_reached,
    unbeaten,
)
from palewright.size_search.size_grid import heights_of, places_of
from palewright_drawings.output.progress import Progress
from palewright_drawings.texts.size_search_text import frontier_as_json, sought

if TYPE_CHECKING:
    from palewright.costing.box_budgets import Afforded
    from palewright.costing.shop_file import Shop

PAUSE = 1.0
"""Least time between two tellings, seconds."""

TellFrontier = Callable[[Mapping[str, Any]], None]
"""Takes a frontier as JSON, with ``places``: how many widths and depths are in question."""


def searched(
    parameters: Parameters,
    count: int,
    progress: Progress,
    part: TellFrontier | None,
    work: float = WORK,
) -> Frontier:
    """Return the largest boxes that so many boards make.

    Args:
        parameters: the variant.
        count: of boards.
        progress: told how far the search is.
        part: told now and then what is found so far; the last of it is all there is where the
            search is ended.
        work: counted work for the search, in seconds of a quiet processor.

    Raises:
        InputError: as `frontiers_of` does.
    """
    watched = _Watched(parameters, [count], part) if part else None
    return sought(parameters, [count], 1, progress, work, watched)[0]


_SEARCHES = 6
"""Numbers of boards that are tried for so many minutes, at most: they share the work."""


def afforded(
    parameters: Parameters,
    kind: str,
    most: float,
    shop: Shop,
    progress: Progress,
    part: TellFrontier | None,
    work: float,
) -> Afforded:
    """Return the largest boxes of so much money for boards, or of so many minutes.

    Args:
        parameters: the variant.
        kind: ``spend`` or ``minutes``.
        most: money, or minutes.
        shop: whose work it is.
        progress: told how far the search is.
        part: told now and then what is found so far. Of minutes that is what was timed: the boxes
            of each number of boards that was searched whole.
        work: counted work for all of it, in seconds of a quiet processor.

    Raises:
        InputError: where it affords no box.
    """
    from palewright.costing.box_budgets import within_minutes, within_money

    def search(counts: Sequence[int]) -> list[Frontier]:
        if kind == "minutes":
            return sought(parameters, counts, 1, progress, work / _SEARCHES)
        watched = _Watched(parameters, counts, part, most) if part else None
        return sought(parameters, counts, 1, progress, work, watched)

    def told(best: Afforded) -> None:
        if part:
            part(frontier_as_json(best.frontier, parameters, best.minutes))

    try:
        if kind == "spend":
            return within_money(parameters, most, search)
        return within_minutes(parameters, most, shop, search, told)
    except InputError as error:
        raise InputError(error.message, key=error.key.lstrip("-")) from None


class _Watched(Executor):
    """Does all at once in this process, and looks at what is found over widths and depths."""

    def __init__(
        self,
        parameters: Parameters,
        counts: Sequence[int],
        part: TellFrontier,
        money: float = math.inf,
    ) -> None:
        self._parameters, self._counts, self._part = parameters, counts, part
        self._money = money
        self._places, self._heights = places_of(parameters), heights_of(parameters)
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
        elif isinstance(answer, LookTrials) and answer.size is not None:
            self._sizes.append(answer.size)
            self._tell()
        task.set_result(answer)
        return task

    def _take(self, answer: ColumnAnswer) -> None:
        """Take in what was found over one width and depth, and tell it after a pause."""
        self._reached += 1
        self._sizes += [
            size
            for count, size in answer.sizes
            if count in self._counts and size.cost <= self._money + 1e-9
        ]
        self._open += [size for count, size in answer.open if count in self._counts]
        self._tell()

    def _tell(self) -> None:
        """Tell what is found, unless that was done a moment ago."""
        now = time.monotonic()
        if now - self._told >= PAUSE:
            self._told = now
            self._part(self.as_json())

    def as_json(self) -> dict[str, Any]:
        """Return what is found so far."""
        self._sizes = unbeaten({size.sides: size for size in self._sizes})
        left = {one.sides: one for one in self._open if not is_beaten(one.sides, self._sizes)}
        self._open = list(left.values())
        places = self._places[self._reached :]
        found = Frontier(
            max(self._counts),
            tuple(self._sizes),
            (),
            tuple(self._open),
            tuple(not_reached(dict.fromkeys(places, self._heights), self._sizes)),
        )
        return {**frontier_as_json(found, self._parameters), "places": len(self._places)}
