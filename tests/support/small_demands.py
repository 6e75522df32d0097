"""Small demands for boards, and what fills them: shared by the tests of pricing."""

from __future__ import annotations

import numpy as np
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

from case_lists import tried
from palewright.cutting_stock import PartDemand, SawSettings, StockBoard
from palewright.cutting_stock.pricing.pricing_problem import _three_stage
from palewright.cutting_stock.pricing.three_stage import ThreeStagePricing
from palewright.cutting_stock.problem.integer_units import integer_problem

EARED = StockBoard("eared", 1000.0, 140.0, clipped_end=40.0)
SAW = SawSettings(kerf=3.0)
few_parts = st.lists(
    st.builds(
        PartDemand,
        name=st.uuids().map(str),
        length=st.integers(min_value=12, max_value=98).map(lambda tens: tens * 10.0),
        width=st.sampled_from([30.0, 43.0, 67.0, 140.0]),
        count=st.integers(min_value=1, max_value=3),
    ),
    min_size=1,
    max_size=4,
)
relaxed = settings(
    max_examples=tried(100), deadline=None, suppress_health_check=[HealthCheck.too_slow]
)


def pricing_of(
    demand: list[PartDemand], board: StockBoard, *, listed: bool
) -> ThreeStagePricing | None:
    """What fills the board, with its blocks listed or not; None where no part fits."""
    try:
        problem = integer_problem(demand, [board], SAW)
    except ValueError:
        return None
    lengths, widths = problem.lengths, problem.widths
    most = (problem.stock[0].length // lengths + 1) * (problem.stock[0].width // widths)
    pricing = _three_stage(problem, problem.stock[0], np.minimum(problem.counts, most))
    assert pricing.listing is not None
    if not listed:
        pricing.listing = None
    return pricing
