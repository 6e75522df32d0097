"""Check that each side panel enters the outer panels' lips, with a clearance in numbers."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.findings import Finding
from palewright.fit_cases import FitCase, check, design_check
from palewright.remedies import lowered, raised
from palewright.units import both_units


@check
def seat_clearances(fit: FitCase) -> Iterator[Finding]:
    """Find corners where a side panel does not enter (PW102, PW103) or rattles (PW104)."""
    box, limits = fit.box, fit.tolerances
    system = box.parameters.product.units
    rounding = 1e-6
    for seat in fit.seats:
        staves = seat.boards[:2]
        if seat.lip < limits.seat_gap - rounding:
            yield Finding(
                "PW102",
                staves,
                seat.lip,
                limits.seat_gap,
                "mm",
                f"the side panel is {both_units(-seat.lip)} thicker than its lip is deep "
                f"at {seat.corner}",
                *raised("panel.lip", box.sizes.lip, limits.seat_gap - seat.lip, system),
            )
        if seat.setback < limits.seat_gap - rounding:
            yield Finding(
                "PW103",
                staves,
                seat.setback,
                limits.seat_gap,
                "mm",
                f"the side staves reach {both_units(-seat.setback)} past the outer staves' face "
                f"at {seat.corner}",
                *raised("panel.setback", box.sizes.setback, limits.seat_gap - seat.setback, system),
            )
        slack = 2 * box.sizes.board.thickness_spread * 2 + limits.seat_slack
        if seat.lip > slack + rounding:
            yield Finding(
                "PW104",
                staves,
                seat.lip,
                slack,
                "mm",
                f"the side panel has {both_units(seat.lip)} of play in its lip at {seat.corner}",
                *lowered("panel.lip", box.sizes.lip, seat.lip - slack, system),
            )


@design_check
def stile_widths(fit: FitCase) -> Iterator[Finding]:
    """Find corners where the stiles look unequal (PW105)."""
    limit, stile = fit.tolerances.stile_match, fit.box.sizes.side_stile
    system = fit.box.parameters.product.units
    for seat in fit.seats:
        more = seat.side_stile - seat.outer_stile
        if abs(more) > limit + 1e-6:
            change = lowered if more > 0 else raised
            yield Finding(
                "PW105",
                seat.boards[2:],
                abs(more),
                limit,
                "mm",
                f"round {seat.corner} one stile shows {both_units(seat.outer_stile)}, the other "
                f"{both_units(seat.side_stile)}",
                *change("panel.side_stile_width", stile, abs(more), system),
            )
