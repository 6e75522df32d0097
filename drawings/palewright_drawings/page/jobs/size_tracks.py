"""What the model knows along one size of a box: where it fits, and how many boards it takes.

Sizes are tried on the shop's grid, coarsely first, then halfway between neighbours that differ,
until bands meet within a step; always from the present size outward, so that what is near the hand
is known first. Each size tried is one nominal verdict and one short plan of the boards.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from palewright.design import design
from palewright.fit.verdict import judge
from palewright.reading.errors import InputError
from palewright.reading.lengths import INCH
from palewright.sawing.stock_demands import demands_of, saw_of
from palewright.sawing.stock_plans import plan_demands
from palewright_drawings.output.progress import Progress
from palewright_drawings.page.control_groups import control_groups
from palewright_drawings.page.jobs.asked_variants import read_asked

KEYS = (
    "box.width", "box.depth", "box.height", "cap.width", "face.brace_width", "floor.slat_width",
    "panel.stile_width", "panel.side_stile_width", "panel.rail_width", "panel.side_rail_width",
    "trellis.strip_width",
)  # fmt: skip
"""Sizes that have a track: of the box, and the widths of its boards."""

STEPS = {"inch": INCH / 4, "metric": 5.0}
"""The grid of a handle, mm: sizes that a maker says aloud; a judgement."""

COARSE = 8
"""Steps between the sizes that are tried first: 2 in or 40 mm, a third of a board."""

REACH = (0.6, 1.6)
"""Shares of the present size between which its track lies: farther off it is another box."""

PLAN_WORK = 1.0
"""Counted work for the boards of one size: first plans say one more at some sizes of a trough,
which contradicts the figure beside the verdict."""

Band = tuple[float, float, int | None]
"""From, to (mm, on the grid), and the boards of every size tried between; None: it does not fit."""


@dataclass
class Track:
    """One size's grid and what is known of it.

    Attributes:
        key: the size.
        step: of the grid, mm.
        first: number of the grid's first size: it is so many steps.
        last: number of its last.
        known: boards by number of steps; None where it does not fit.
    """

    key: str
    step: float
    first: int
    last: int
    known: dict[int, int | None] = field(default_factory=dict)

    def coarse(self, present: float) -> list[int]:
        """Return the numbers that are tried first, from the present size (mm) outward."""
        middle = min(max(round(present / self.step), self.first), self.last)
        found = {*range(middle, self.last, COARSE), *range(middle, self.first, -COARSE)}
        return sorted(found | {self.first, self.last}, key=lambda n: (abs(n - middle), n))

    def between(self, present: float = 0.0) -> list[int]:
        """Return the numbers halfway between neighbours that differ; none if bands meet.

        Args:
            present: the present size, mm: what is nearest to it comes first.
        """
        found = [
            (a + b) // 2
            for a, b in pairwise(sorted(self.known))
            if b - a > 1 and self.known[a] != self.known[b]
        ]
        return sorted(found, key=lambda n: abs(n * self.step - present))

    def bands(self) -> list[Band]:
        """Return runs of sizes tried that are alike, in order."""
        found: list[Band] = []
        for number in sorted(self.known):
            boards, size = self.known[number], round(number * self.step, 3)
            if found and found[-1][2] == boards:
                found[-1] = (found[-1][0], size, boards)
            else:
                found.append((size, size, boards))
        return found

    def as_json(self) -> dict[str, Any]:
        """Return it as the page is told: ``exact`` where bands meet within a step."""
        return {
            "key": self.key,
            "step": self.step,
            "bands": self.bands(),
            "exact": not self.between(),
        }


def track_of(low: float, high: float, key: str, present: float, units: str) -> Track:
    """Return the grid of a size, nothing known of it.

    Args:
        low: least size that the key takes, mm.
        high: the greatest.
        key: the size.
        present: what it is now, mm.
        units: of the box, ``inch`` or ``metric``.
    """
    step = STEPS[units]
    first = math.ceil(max(low, REACH[0] * present) / step - 1e-9)
    last = math.floor(min(high, REACH[1] * present) / step + 1e-9)
    return Track(key, step, first, max(first, last))


def filled(
    track: Track, present: float, tried: Callable[[float], int | None], progress: Progress
) -> Iterator[Track]:
    """Yield a track after each size that was tried; the last is exact.

    Args:
        track: as `track_of` made it.
        present: the present size, mm.
        tried: from a size (mm) to its boards, None where it does not fit.
        progress: told how many sizes are tried.
    """
    todo = track.coarse(present)
    while todo:
        progress.begin("trying sizes", len(todo))
        for number in todo:
            track.known[number] = tried(number * track.step)
            progress.advance()
            yield track
        todo = track.between(present)


def boards_at(request: Mapping[str, Any], key: str) -> Callable[[float], int | None]:
    """Return what tells, for a size (mm), how many boards the box takes; None if it cannot be."""
    asked = {one: request[one] for one in ("variant", "text", "file") if one in request}
    others = request.get("changes") or {}

    def tried(size: float) -> int | None:
        try:
            box = design(
                read_asked({**asked, "changes": {**others, key: f"{size:.4f} mm"}}).parameters
            )
            if not judge(box.parameters, ("nominal",), box.fit).passed:
                return None
            saw = saw_of(box.parameters)
            plans = plan_demands(demands_of([(box, 1)]), saw, (), PLAN_WORK, setup_seconds=0.0)
        except InputError:
            return None
        return sum(one.plan.boards for one in plans)

    return tried


def asked_track(request: Mapping[str, Any], key: str) -> tuple[Track, float]:
    """Return the track that a request asks for, nothing known of it, and the present size (mm).

    Args:
        request: as `read_asked` takes it; ``present``: what the size is drawn at, mm, which a
            width that follows from others does not say itself.
        key: the size.

    Raises:
        InputError: if the request cannot be used.
    """
    parameters = read_asked(request).parameters
    one = next(one for group in control_groups() for one in group["controls"] if one["key"] == key)
    table, _, name = key.partition(".")
    present = getattr(getattr(parameters, table), name)
    if present is None:
        present = request.get("present")
        if not isinstance(present, int | float) or not one["low"] <= present <= one["high"]:
            limits = f"{one['low']:g} to {one['high']:g}"
            raise InputError(f"takes the drawn size in mm, {limits}", key="present")
    found = track_of(one["low"], one["high"], key, float(present), parameters.product.units)
    return found, float(present)
