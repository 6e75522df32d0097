"""What fills boards of one kind: a row of parts, blocks of strips, or nothing."""

from __future__ import annotations

import numpy as np

from palewright.cutting_stock.pricing.dog_ears import eared_end
from palewright.cutting_stock.pricing.one_stage import OneStagePricing
from palewright.cutting_stock.pricing.rip_patterns import clipped_patterns, rip_patterns
from palewright.cutting_stock.pricing.strip_knapsack import StripShelf
from palewright.cutting_stock.pricing.three_stage import ThreeStagePricing
from palewright.cutting_stock.problem.integer_units import WholeQuestion, WholeStock, fits
from palewright.cutting_stock.problem.patterns import Fillings, PricingProblem
from palewright.geometry.arrays import Floats, Ints


def pricing_of(whole: WholeQuestion, kind: WholeStock) -> PricingProblem:
    """What fills boards of this kind: one row of parts, or blocks of strips."""
    bounds = np.array(
        [
            min(part.count, (kind.length // part.length + 1) * (kind.width // part.width))
            if fits(part, kind)
            else 0
            for part in whole.parts
        ],
        dtype=np.int64,
    )
    widths = [part.width for part, bound in zip(whole.parts, bounds, strict=True) if bound]
    straight = not any(slope for part in whole.parts for slope in part.ends.slopes)
    if not widths:
        return NoPricing(len(whole.parts))
    one_row = bool(widths) and 2 * min(widths) > kind.width
    mixed_rips = whole.saw.order == "rip-first" and len(set(widths)) > 1
    if one_row and straight and not kind.clipped and not mixed_rips:
        return OneStagePricing(whole.lengths, whole.widths, bounds, kind.length)
    return _three_stage(whole, kind, bounds)


def _three_stage(whole: WholeQuestion, kind: WholeStock, bounds: Ints) -> ThreeStagePricing:
    shelves, most = {}, {}
    for width in sorted(set(whole.widths.tolist())):
        items = np.flatnonzero((whole.widths == width) & (bounds > 0))
        if not len(items):
            continue
        ends = [whole.parts[i].ends for i in items]
        shelves[width] = StripShelf(items, whole.lengths[items], bounds[items], ends, kind.length)
        most[width] = int(bounds[items].sum())
    patterns, every = rip_patterns(list(shelves), kind.width, most)
    pricing = ThreeStagePricing(
        shelves,
        patterns,
        clipped_patterns(patterns, kind),
        bounds,
        kind.length,
        eared_end(kind),
        single_block=whole.saw.order == "rip-first",
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
    ) -> Fillings:
        """No filling."""
        return self.all_above(duals, threshold, limit)

    def all_above(
        self, duals: Floats, threshold: float, limit: int, *, deadline: float = np.inf
    ) -> Fillings:
        """No filling."""
        counts = np.zeros((0, self.size), dtype=np.int64)
        return Fillings(counts, np.zeros(0), 0.0, True, lambda i: ())

    def quick(self, worth: Floats) -> Fillings:
        """No filling."""
        return self.all_above(worth, 0.0, 0)

    def restricted(self, bounds: Ints) -> PricingProblem:
        """Still nothing."""
        return self
