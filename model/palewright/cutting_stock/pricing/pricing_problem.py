"""What fills boards of one kind: a row of parts, blocks of strips, or nothing."""

from __future__ import annotations

import numpy as np

from palewright.cutting_stock.pricing.dog_ears import dog_eared_end
from palewright.cutting_stock.pricing.one_stage import OneStagePricing
from palewright.cutting_stock.pricing.rip_patterns import clipped_patterns, rip_patterns
from palewright.cutting_stock.pricing.strip_knapsack import StripShelf
from palewright.cutting_stock.pricing.three_stage import ThreeStagePricing
from palewright.cutting_stock.problem.integer_units import IntegerProblem, IntegerStock, fits
from palewright.cutting_stock.problem.patterns import BoardPatterns, PricingProblem
from palewright.geometry.arrays import Floats, Ints


def pricing_of(problem: IntegerProblem, kind: IntegerStock) -> PricingProblem:
    """What fills boards of this kind: one row of parts, or blocks of strips."""
    bounds = np.array(
        [
            min(part.count, (kind.length // part.length + 1) * (kind.width // part.width))
            if fits(part, kind)
            else 0
            for part in problem.parts
        ],
        dtype=np.int64,
    )
    widths = [part.width for part, bound in zip(problem.parts, bounds, strict=True) if bound]
    straight = not any(slope for part in problem.parts for slope in part.ends.slopes)
    if not widths:
        return NoPricing(len(problem.parts))
    one_row = bool(widths) and 2 * min(widths) > kind.width
    mixed_rips = problem.saw.order == "rip-first" and len(set(widths)) > 1
    if one_row and straight and not kind.clipped and not mixed_rips:
        return OneStagePricing(problem.lengths, problem.widths, bounds, kind.length)
    return _three_stage(problem, kind, bounds)


def _three_stage(problem: IntegerProblem, kind: IntegerStock, bounds: Ints) -> ThreeStagePricing:
    shelves, most = {}, {}
    for width in sorted(set(problem.widths.tolist())):
        items = np.flatnonzero((problem.widths == width) & (bounds > 0))
        if not len(items):
            continue
        ends = [problem.parts[i].ends for i in items]
        shelves[width] = StripShelf(items, problem.lengths[items], bounds[items], ends, kind.length)
        most[width] = int(bounds[items].sum())
    patterns, every = rip_patterns(list(shelves), kind.width, most)
    pricing = ThreeStagePricing(
        shelves,
        patterns,
        clipped_patterns(patterns, kind),
        bounds,
        kind.length,
        dog_eared_end(kind),
        single_block=problem.saw.order == "rip-first",
        all_patterns=every,
        stock=kind,
    )
    pricing.list_blocks()
    return pricing


class NoPricing:
    """Stands for boards that no part fits on, or that are missing: it fills nothing."""

    def __init__(self, size: int) -> None:
        self.size = size

    def best(
        self,
        duals: Floats,
        threshold: float,
        limit: int,
        *,
        enough: int = 1,
        lean: bool = False,
        deadline: float = np.inf,
    ) -> BoardPatterns:
        """No pattern."""
        return self.all_above(duals, threshold, limit)

    def all_above(
        self, duals: Floats, threshold: float, limit: int, *, deadline: float = np.inf
    ) -> BoardPatterns:
        """No pattern."""
        counts = np.zeros((0, self.size), dtype=np.int64)
        return BoardPatterns(counts, np.zeros(0), 0.0, True, lambda i: ())

    def quick(self, worth: Floats, blocks: int) -> BoardPatterns:
        """No pattern."""
        return self.all_above(worth, 0.0, 0)

    def restricted(self, bounds: Ints) -> PricingProblem:
        """Still nothing."""
        return self
