"""Check that screws hold: the panels and the box are one piece, ends are held, points bite."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from palewright.construction.boards import Board
from palewright.construction.joints import HELD, held_reach
from palewright.construction.panels import PANELS
from palewright.fit.cases import FitCase, check, design_check
from palewright.fit.checks.screw_places import Worst, screw_key
from palewright.fit.findings import Finding
from palewright.fit.remedies import SOLD, other_screw, words
from palewright.fit.ties import closed_gap, least_bite, worst_bite
from palewright.reading.lengths import both_units

_LAYERS = ("stile", "rail", "brace", "bar", "stave", "filler")
"""What is screwed together at the bench before the box is put together."""

_LOOSE = ("slat",)
"""What lies on its own weight."""


@check("PW203")
def pieces(fit: FitCase) -> Iterator[Finding]:
    """Find panels, and boxes, that no screws join into one piece (PW203)."""
    loose: list[list[str]] = []
    said: list[str] = []
    boards = fit.box.boards
    panels: list[list[str]] = []
    for panel in PANELS:
        mine = [n for n, b in boards.items() if b.panel == panel and b.role in _LAYERS]
        found = fit.ties.groups(mine, ("wall",))
        if len(found) > 1:
            loose += found[1:]
            said.append(f"the {panel} panel: {_told(found[1:])}")
        panels.append(mine)
    whole = [n for n, b in boards.items() if b.role not in _LOOSE and b.panel != "trellis"]
    found = fit.ties.groups(whole, joined=panels)
    if len(found) > 1:
        loose += found[1:]
        said.append(f"the box: {_told(found[1:])}")
    ladder = fit.ties.groups(n for n, b in boards.items() if b.panel == "trellis")
    if len(ladder) > 1:
        loose += ladder[1:]
        said.append(f"the trellis: {_told(ladder[1:])}")
    if loose:
        yield Finding(
            "PW203",
            tuple(dict.fromkeys(name for group in loose for name in group)),
            float(len(loose) + 1),
            1.0,
            "count",
            f"no screw ties to the rest of {'; '.join(said)}",
            group="pieces",
            brief=f"no screw ties {loose[0][0]} to the rest; {len(loose)} pieces are loose",
        )


def _told(groups: list[list[str]]) -> str:
    """Return groups of boards as text, at most three of them, at most three boards of each."""
    texts = [
        " + ".join(group[:3]) + (f" and {len(group) - 3} more" if len(group) > 3 else "")
        for group in groups[:3]
    ]
    return ", ".join(texts) + (f" and {len(groups) - 3} more" if len(groups) > 3 else "")


@check("PW205")
def held_ends(fit: FitCase) -> Iterator[Finding]:
    """Find stiles, rails and staves with an end that no screw holds (PW205)."""
    free: dict[str, float] = {}
    for name, board in fit.box.boards.items():
        if board.role in HELD:
            out = _free_end(board, fit)
            if out > 0.0:
                free[name] = out
    if free:
        worst = max(free, key=lambda name: free[name])
        yield Finding(
            "PW205",
            tuple(free),
            float(len(free)),
            0.0,
            "count",
            f"{len(free)} boards have an end that no screw holds, such as {worst}: it stands out "
            f"{both_units(free[worst])} from its next screw",
            group="ends",
        )


def _free_end(board: Board, fit: FitCase) -> float:
    """Return how far (mm) a board stands out beyond its last screw; 0 where both ends are held."""
    # as it leaves the bench, when screws of cleats and caps are still to come; but a stile runs on
    # as a leg, which the corner's screws hold to its neighbour
    screws = fit.ties.of_board[board.name]
    if board.role != "stile":
        screws = [screw for screw in screws if screw.use == "wall"]
    if len(screws) < 2:
        return board.length
    low = sorted(board.placement.into(screw.head)[0] for screw in screws)
    reach = held_reach(board.length, screws[0].kind.diameter)
    out = max(low[0], board.length - low[-1])
    return out if out > reach + 1e-6 else 0.0


@check("PW201", "PW206")
def open_joints(fit: FitCase) -> Iterator[Finding]:
    """Find screws whose boards do not touch where they are joined (PW201, PW206)."""
    ties, limits = fit.ties, fit.tolerances
    open_, bridged = dict[str, Worst](), dict[str, Worst]()
    for s in np.flatnonzero(ties.reaches & (ties.gaps > limits.touch)):
        screw = ties.screws[s]
        kind = bridged if ties.holding[s] else open_
        kind.setdefault(screw.use, Worst()).take(-float(ties.gaps[s]), screw.stack, screw)
    for use, one in open_.items():
        yield _apart(use, one, fit)
    if bridged:
        count = sum(one.count for one in bridged.values())
        most = max(-one.measured for one in bridged.values())
        yield Finding(
            "PW206",
            tuple(dict.fromkeys(name for one in bridged.values() for name in one.boards)),
            most,
            limits.touch,
            "mm",
            f"where boards differ in thickness, {count} screws through {' and '.join(bridged)} "
            f"boards bridge up to {both_units(most)}: the plan beds these in adhesive that fills "
            "gaps",
            *words("sort the boards by thickness, so that a wall is of equal ones"),
            group="bedding",
        )


def _apart(use: str, one: Worst, fit: FitCase) -> Finding:
    """Return the finding of screws whose boards stand apart."""
    assert one.screw is not None
    uneven = closed_gap(one.screw) > fit.tolerances.touch
    return Finding(
        "PW201",
        tuple(one.boards),
        -one.measured,
        closed_gap(one.screw),
        "mm",
        f"{one.count} {use} screws join boards that stand {both_units(-one.measured)} apart",
        *words(
            "plane the boards to one thickness, or take lumber that varies less" if uneven else ""
        ),
        group=use,
    )


@design_check("PW201")
def widest_gaps(fit: FitCase) -> Iterator[Finding]:
    """Find cleats and packers under which a thin stave beside a thick one leaves too much (PW201).

    That is the worst pair that such a joint can meet; no pile of boards needs to show it.
    """
    limit, wide = fit.tolerances.bedding, dict[str, Worst]()
    crossed: dict[str, set[str]] = {}
    screws = [s for s in fit.box.screws if closed_gap(s) == limit]
    for screw in screws:
        crossed.setdefault(screw.stack[0], set()).add(screw.stack[-1])
    for screw in screws:
        stock = fit.box.boards[screw.stack[-1]].stock
        gap = stock.thickest - stock.thinnest
        if len(crossed[screw.stack[0]]) > 1 and gap > limit + 1e-6:
            wide.setdefault(screw.use, Worst()).take(-gap, screw.stack, screw)
    for use, one in wide.items():
        yield _apart(use, one, fit)


@design_check("PW310")
def bites(fit: FitCase) -> Iterator[Finding]:
    """Find screws that go too little way into the board that holds their thread (PW310)."""
    box = fit.box
    worst: dict[str, Worst] = {}
    uses: dict[str, dict[str, None]] = {}
    for screw in box.screws:
        bite, least = worst_bite(screw, box), least_bite(screw, box)
        if 0.0 < bite < least - 1e-6:
            key = screw_key(screw.use)
            worst.setdefault(key, Worst()).take(bite - least, screw.stack[-1:], screw)
            uses.setdefault(key, {})[screw.use] = None
    for key, one in worst.items():
        assert one.screw is not None
        bite, least = worst_bite(one.screw, box), least_bite(one.screw, box)
        kind = one.screw.kind
        system = box.parameters.product.units
        longer = -(-(kind.length - one.measured - 1e-6) // SOLD[system]) * SOLD[system]
        yield Finding(
            "PW310",
            tuple(one.boards),
            bite,
            least,
            "mm",
            f"{one.count} {' and '.join(uses[key])} screws ({kind.label}) bite {both_units(bite)} "
            f"where boards are thick; {both_units(least)} hold",
            *other_screw(key, kind.gauge.number, longer, system),
            group=key,
        )
