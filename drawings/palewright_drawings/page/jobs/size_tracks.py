"""What the model knows along one size of a box: where it fits, how many boards, at what price.

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
from palewright_drawings.page.control_groups import shaping
from palewright_drawings.page.jobs.asked_variants import read_asked
from palewright_drawings.page.jobs.shop_figures import kept_figures

STEPS = {"inch": INCH / 4, "metric": 5.0}
"""The grid of a handle, mm: sizes that a maker says aloud; a judgement."""

FINE_STEPS = {"inch": INCH / 16, "metric": 1.0}
"""The grid of a small size, mm: the shop's step."""

SMALL = 100.0
"""Sizes under it are small, mm: a quarter of an inch more of a lip is another lip."""

COARSE = 8
"""Steps between the sizes that are tried first: 2 in or 40 mm, a third of a board."""

REACH = (0.6, 1.6)
"""Shares of the present size between which its track lies: farther off it is another box."""

LEAST_REACH = 50.0
"""So far a track reaches to either side at least, mm: else that of a size of nothing is none."""

PLAN_WORK = 1.0
"""Counted work for the boards of one size: first plans say one more at some sizes of a trough,
which contradicts the figure beside the verdict."""

Bill = tuple[int, float]
"""Boards to buy, and what they cost by the shop's figures."""

Band = tuple[float, float, int | None, float | None]
"""From, to (mm, on the grid), boards and their price of every size tried between; None: it does
not fit."""


@dataclass
class Track:
    """One size's grid and what is known of it.

    Attributes:
        key: the size.
        step: of the grid, mm.
        first: number of the grid's first size: it is so many steps.
        last: number of its last.
        currency: of the prices.
        known: what boards it takes, by number of steps; None where it does not fit.
    """

    key: str
    step: float
    first: int
    last: int
    currency: str = ""
    known: dict[int, Bill | None] = field(default_factory=dict)

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
            boards, price = self.known[number] or (None, None)
            size = round(number * self.step, 3)
            begun = found.pop()[0] if found and found[-1][2:] == (boards, price) else size
            found.append((begun, size, boards, price))
        return found

    def as_json(self) -> dict[str, Any]:
        """Return it as the page is told: ``exact`` where bands meet within a step."""
        return {
            "key": self.key,
            "step": self.step,
            "bands": self.bands(),
            "currency": self.currency,
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
    step = (FINE_STEPS if present < SMALL else STEPS)[units]
    least = min(REACH[0] * present, present - LEAST_REACH)
    most = max(REACH[1] * present, present + LEAST_REACH)
    first = math.ceil(max(low, least) / step - 1e-9)
    last = math.floor(min(high, most) / step + 1e-9)
    return Track(key, step, first, max(first, last))


def filled(
    track: Track, present: float, tried: Callable[[float], Bill | None], progress: Progress
) -> Iterator[Track]:
    """Yield a track after each size that was tried; the last is exact.

    Args:
        track: as `track_of` made it.
        present: the present size, mm.
        tried: from a size (mm) to its boards and their price, None where it does not fit.
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


def bill_at(request: Mapping[str, Any], key: str) -> Callable[[float], Bill | None]:
    """Return what tells, for a size (mm), the boards of the box; None if it cannot be."""
    from palewright.costing.materials import boards_cost

    shop, _ = kept_figures()
    asked = {one: request[one] for one in ("variant", "text", "file") if one in request}
    others = request.get("changes") or {}

    def tried(size: float) -> Bill | None:
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
        return sum(one.plan.boards for one in plans), float(boards_cost(plans, shop))

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
    low, high = shaping()[key]
    table, _, name = key.partition(".")
    present = getattr(getattr(parameters, table), name)
    if present is None:
        present = request.get("present")
        if not isinstance(present, int | float) or not low <= present <= high:
            limits = f"{low:g} to {high:g}"
            raise InputError(f"takes the drawn size in mm, {limits}", key="present")
    found = track_of(low, high, key, float(present), parameters.product.units)
    found.currency = kept_figures()[0].money.currency
    return found, float(present)
