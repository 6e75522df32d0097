"""Check that a wall can swell and shrink, and that wet soil finds its way out."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.construction.outdoor_wood import swelling_gap, wets_boards
from palewright.fit.cases import FitCase, design_check
from palewright.fit.checks.floors import measured_gaps
from palewright.fit.findings import Finding
from palewright.fit.remedies import Remedy, set_to, words
from palewright.loads.wall_swelling import WallMovement
from palewright.reading.fields import AUTO
from palewright.reading.lengths import INCH, both_units

OPEN_GAP = INCH / 8
"""Gaps (mm) that open wider between staves are seen and lose fine soil (judgement)."""

_SAME = 0.05
"""What swells by less (mm) than this beyond its gap does not bind: a card's breadth (judgement)."""

OPEN_FLOOR = 1.0
"""Percent of a floor that should be open to drain (judgement)."""


def _estimate(wall: WallMovement) -> str:
    """Return how sure a movement is."""
    return ", an estimate beyond 6 to 14 %" if wall.estimate else ""


@design_check("PW931")
def swelling_walls(fit: FitCase) -> Iterator[Finding]:
    """Find walls that swell more than the gaps between their staves (PW931)."""
    wall, parameters = fit.loads.wall, fit.box.parameters
    gap = fit.box.sizes.gap
    if wall is None or wall.swelling <= gap + _SAME:
        return
    wood = wall.wood
    stock = fit.box.sizes.board
    yield Finding(
        "PW931",
        tuple(b.name for b in fit.box.boards.values() if b.role in ("stave", "filler")),
        wall.swelling,
        gap,
        "mm",
        f"a stave {both_units(wall.stave)} wide swells {both_units(wall.swelling)} between "
        f"{wall.bought:.0f} % when cut and {wood.wettest:.0f} % ({wood.source}){_estimate(wall)}, "
        f"a wall of {wall.staves} by {both_units(wall.whole_wall)}; the gaps are "
        f"{both_units(gap)}. Shrinkage: "
        f"{parameters.materials.species[stock].shrinkage_source or 'as the species says'}",
        *_wider_gap(fit, wall),
        group="staves",
        brief=f"a stave swells {both_units(wall.swelling)} when wet; the gap is {both_units(gap)}",
    )


def _wider_gap(fit: FitCase, wall: WallMovement) -> Remedy:
    """Return what lets staves swell: the gap that is worked out, or narrower boards."""
    enough = swelling_gap(fit.box.parameters)
    if enough + _SAME >= wall.swelling:
        return set_to("wall.gap", AUTO)
    return words("take narrower boards, or let them take up moisture before they are cut")


@design_check("PW932")
def opening_gaps(fit: FitCase) -> Iterator[Finding]:
    """Find walls whose gaps open wide in the dry weeks (PW932)."""
    wall = fit.loads.wall
    if wall is None:
        return
    opened = fit.box.sizes.gap + wall.shrinking
    if wall.shrinking <= _SAME or opened <= OPEN_GAP:
        return
    yield Finding(
        "PW932",
        tuple(b.name for b in fit.box.boards.values() if b.role in ("stave", "filler")),
        opened,
        OPEN_GAP,
        "mm",
        f"gaps between staves open to {both_units(opened)} between {wall.bought:.0f} % when cut "
        f"and {wall.wood.driest:.0f} % ({wall.wood.source}){_estimate(wall)}; more than "
        f"{both_units(OPEN_GAP)} is seen (judgement)",
        *words(
            "narrower boards move less (lumber.board); "
            + ("a liner keeps fine soil in (liner.fit); " if fit.loads.weights.loose else "")
            + "what stands dry needs no gap for rain (site.rain)"
        ),
        group="staves",
    )


@design_check("PW933")
def wet_boards(fit: FitCase) -> Iterator[Finding]:
    """Find wet soil against wood that is meant for use above ground alone (PW933)."""
    if not wets_boards(fit.box.parameters):
        return
    staves = [b for b in fit.box.boards.values() if b.role in ("stave", "filler", "slat")]
    species = fit.box.parameters.materials.species
    bare = [b for b in staves if not species[b.stock].ground_contact]
    for treated in (True, False):
        mine = [b for b in bare if species[b.stock].treated == treated]
        if not mine:
            continue
        woods = ", ".join(sorted({b.stock.species for b in mine}))
        kind = "" if treated else ", untreated,"
        yield Finding(
            "PW933",
            tuple(b.name for b in mine),
            float(len(mine)),
            0.0,
            "count",
            f"{len(mine)} boards of {woods}{kind} have wet soil against them: that is ground "
            "contact, and they are not said to be rated for it",
            *_rated(treated),
            group="soil" if treated else "soil, untreated",
            brief=f"{len(mine)} boards of {woods}{kind} have wet soil against them, not being "
            "rated for it",
        )


def _rated(treated: bool) -> Remedy:
    """Return what makes boards last beside wet soil: an end tag is of treated wood alone."""
    tag = "boards with an end tag of UC4A" if treated else "wood treated for ground contact (UC4A)"
    return f"take {tag}", set_to("liner.fit", "true")[1]


@design_check("PW934")
def open_floors(fit: FitCase) -> Iterator[Finding]:
    """Find floors with too little opening to drain (PW934)."""
    box = fit.box
    slats = [b for b in box.boards.values() if b.role == "slat"]
    soil = fit.loads.weights.soil
    if not slats or not fit.loads.weights.filled:
        return
    gaps = sum(max(gap, 0.0) for gap, _ in measured_gaps(fit))
    wide = gaps + sum(slat.width for slat in slats) + 2 * box.parameters.floor.play
    share = 100 * (gaps + 2 * box.parameters.floor.play) / wide
    if share < OPEN_FLOOR - 1e-9:
        yield Finding(
            "PW934",
            tuple(b.name for b in slats),
            share,
            OPEN_FLOOR,
            "%",
            f"{share:.1f} % of the floor is open to let water out; {OPEN_FLOOR:g} % should be "
            f"(judgement), or {soil.volume:.0f} l of soil stand in water",
            *words("drill holes into the slats"),
            group="slats",
        )
