"""Check that each side panel enters the outer panels' lips, with a clearance in numbers."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.fit.cases import FitCase, check, design_check
from palewright.fit.findings import Finding
from palewright.fit.remedies import Remedy, lowered, raised, set_to
from palewright.fit.seats import Seat
from palewright.reading.lengths import both_units

_ROUNDING = 1e-6
"""Of the unit: a limit that is just met is met."""


@check("PW102", "PW104")
def seat_clearances(fit: FitCase) -> Iterator[Finding]:
    """Find side panels that do not enter their lips (PW102) or rattle in them (PW104)."""
    box, limits = fit.box, fit.tolerances
    tight = [seat for seat in fit.seats if seat.clearance < limits.seat_gap - _ROUNDING]
    if tight:
        worst = min(tight, key=lambda seat: seat.clearance)
        yield Finding(
            "PW102",
            tuple(dict.fromkeys(name for seat in tight for name in seat.boards[:2])),
            worst.clearance,
            limits.seat_gap,
            "mm",
            f"the side panels run {both_units(-worst.clearance)} into the outer panels' staves",
            *_clearing(worst, fit),
            group="lips",
        )
    slack = 2 * box.sizes.board.thickness_spread * 2 + limits.seat_slack
    loose = [seat for seat in fit.seats if seat.lip > slack + _ROUNDING]
    # a lap that is asked for makes no seat: side panels are set flush with the stiles' edges
    if loose and box.parameters.wall.stile_lap is None:
        worst = max(loose, key=lambda seat: seat.lip)
        yield Finding(
            "PW104",
            tuple(dict.fromkeys(name for seat in loose for name in seat.boards[:2])),
            worst.lip,
            slack,
            "mm",
            f"the side panels have {both_units(worst.lip)} of play in their lips",
            *lowered("panel.lip", box.sizes.lip, worst.lip - slack, box.parameters.product.units),
            group="lips",
        )


def _clearing(seat: Seat, fit: FitCase) -> Remedy:
    """Return what parts two walls: a lip as deep as the frame, or the setback that it asks for."""
    panel, system = fit.box.parameters.panel, fit.box.parameters.product.units
    if panel.setback is not None and seat.frame >= 0.0:
        return set_to("panel.setback", "auto")
    return raised("panel.lip", fit.box.sizes.lip, -seat.clearance, system)


@design_check("PW105")
def stile_widths(fit: FitCase) -> Iterator[Finding]:
    """Find stiles that look unequal round the corners (PW105)."""
    limit, stile = fit.tolerances.stile_match, fit.box.sizes.side_stile
    uneven = [
        seat for seat in fit.seats if abs(seat.side_stile - seat.outer_stile) > limit + _ROUNDING
    ]
    if not uneven:
        return
    worst = max(uneven, key=lambda seat: abs(seat.side_stile - seat.outer_stile))
    more = worst.side_stile - worst.outer_stile
    change = lowered if more > 0 else raised
    yield Finding(
        "PW105",
        tuple(dict.fromkeys(name for seat in uneven for name in seat.boards[2:])),
        abs(more),
        limit,
        "mm",
        f"round a corner one stile shows {both_units(worst.outer_stile)}, the other "
        f"{both_units(worst.side_stile)}",
        *change("panel.side_stile_width", stile, abs(more), fit.box.parameters.product.units),
        group="corners",
    )
