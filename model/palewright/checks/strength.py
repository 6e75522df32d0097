"""Check that boards and screws carry the soil: bending, sag, withdrawal, heads and shear."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.findings import Finding
from palewright.fit_cases import FitCase, design_check
from palewright.loads.bent_boards import BentBoard
from palewright.loads.loaded_screws import LoadedScrews, known_to_screws
from palewright.loads.screw_values import FULL_PENETRATION, LEAST_PENETRATION
from palewright.lumber import Species
from palewright.measures import print_quantity
from palewright.remedies import words
from palewright.units import INCH, both_units

SEEN = INCH / 8
"""A sag or bulge (mm) that is seen (judgement)."""

_THICKER = "thicker boards (lumber.board)"
_REMEDIES = {
    "stave": f"{_THICKER}, wider rails (panel.rail_width), a false floor (floor.rise), or a "
    "lighter site.soil",
    "rail": f"{_THICKER}, wider rails (panel.rail_width), a narrower box.width, or a lighter "
    "site.soil",
    "slat": f"{_THICKER}, a smaller box.depth so that slats span less, a false floor "
    "(floor.rise), or a lighter site.soil",
    "cleat": "higher cleats (floor.cleat_width), or a lighter site.soil",
}


def _stress(megapascals: float) -> str:
    """Return a stress as text."""
    return print_quantity(megapascals, "stress")


def _force(newtons: float) -> str:
    """Return a force as text."""
    return print_quantity(newtons, "force")


def _lacking(species: Species) -> list[str]:
    """Return what cannot be judged of a wood."""
    lacks = []
    if species.bending is None:
        lacks.append("bending")
    if not known_to_screws(species):
        lacks.append("screws")
    if species.shrink_tangential is None:
        lacks.append("swelling")
    return lacks


@design_check
def unknown_woods(fit: FitCase) -> Iterator[Finding]:
    """Find woods of which something is not known, so that it is not judged (PW900)."""
    woods: dict[str, list[str]] = {}
    for board in fit.box.boards.values():
        woods.setdefault(board.stock.species, []).append(board.name)
    for name, boards in woods.items():
        species = fit.box.parameters.species_of(fit.box.boards[boards[0]].stock)
        lacks = _lacking(species)
        if lacks:
            yield Finding(
                "PW900",
                tuple(boards),
                float(len(lacks)),
                0.0,
                "count",
                f"of {name} it is not known, and not judged: {', '.join(lacks)}",
                *words(
                    f"give gravity (.31 to .73), bending and shrink_tangential in [species.{name}]"
                ),
                group=name,
            )


@design_check
def bending(fit: FitCase) -> Iterator[Finding]:
    """Find boards bent too hard (PW911), to breaking (PW912), or so that it shows (PW913)."""
    worst: dict[str, BentBoard] = {}
    for one in fit.loads.bent:
        if one.role not in worst or one.stress > worst[one.role].stress:
            worst[one.role] = one
    for role, one in worst.items():
        remedy = _REMEDIES[role]
        said = f"soil bends a {role} over {both_units(one.span)}"
        if one.breaking is not None and one.stress > one.breaking:
            yield Finding(
                "PW912",
                one.boards,
                one.stress,
                one.breaking,
                "MPa",
                f"{said} to {_stress(one.stress)}; clear green wood breaks at "
                f"{_stress(one.breaking)} on average",
                *words(remedy),
                group=role,
            )
        elif one.allowed is not None and one.stress > one.allowed:
            yield Finding(
                "PW911",
                one.boards,
                one.stress,
                one.allowed,
                "MPa",
                f"{said} to {_stress(one.stress)}; an ungraded wet board is assumed "
                f"to carry {_stress(one.allowed)} for good (judgement: half of No. "
                "2, x .9)",
                *words(remedy),
                group=role,
            )
    sags = [one for one in fit.loads.bent if one.sag is not None and one.sag > SEEN]
    for role in dict.fromkeys(one.role for one in sags):
        most = max((one for one in sags if one.role == role), key=lambda one: one.sag or 0.0)
        assert most.sag is not None
        yield Finding(
            "PW913",
            most.boards,
            most.sag,
            SEEN,
            "mm",
            f"over the years a {role} sags or bulges {both_units(most.sag)}, twice its first sag; "
            f"more than {both_units(SEEN)} is seen (both a judgement)",
            *words(_REMEDIES[role]),
            group=role,
        )


@design_check
def screw_loads(fit: FitCase) -> Iterator[Finding]:
    """Find screws outside the standard (PW921), overloaded (PW922), or that pull out (PW923)."""
    for one in fit.loads.screws:
        if one.values is None:
            continue
        if one.use == "hung floor":
            yield from _hung(one, fit)
            continue
        if not one.in_scope:
            yield _outside(one)
        limit = one.value if one.in_scope else one.values.across_whole
        breaking = one.values.breaking
        if breaking is not None and one.pulled > breaking:
            yield Finding(
                "PW923",
                one.screws,
                one.pulled,
                breaking,
                "N",
                f"each {one.use} screw ({one.kind}) is pulled by "
                f"{_force(one.pulled)}; in tests they came out at "
                f"{_force(breaking)} on average",
                *words(_screw_remedy(one)),
                group=one.use,
            )
        elif limit is not None and one.force > limit:
            whose = "it is given" if one.in_scope else "even a point fully in would be given"
            yield Finding(
                "PW922",
                one.screws,
                one.force,
                limit,
                "N",
                f"the worst {one.use} screw ({one.kind}) carries "
                f"{_force(one.force)}; {whose} {_force(limit)} in "
                "wet wood",
                *words(_screw_remedy(one)),
                group=one.use,
            )


def _outside(one: LoadedScrews) -> Finding:
    """Return the note that the standard says nothing of these screws in shear."""
    assert one.values is not None
    glued = {
        "cleat": "no screw that stays inside these boards qualifies: bed the cleats in exterior "
        "glue or stand blocks under them",
        "top rail": "lift the box from below, not by its top rails, or give it a cap (cap.style)",
    }.get(one.use, f"take a longer or thinner screw: {one.setting}")
    return Finding(
        "PW921",
        one.screws,
        one.values.penetration,
        LEAST_PENETRATION,
        "D",
        f"{one.use} screws ({one.kind}) go {one.values.penetration:.1f} D, "
        f"{both_units(one.values.penetration * one.diameter)}, into the last board: less than "
        f"{LEAST_PENETRATION:g} D is outside the standard's scope for shear "
        f"({FULL_PENETRATION:g} D count fully). Each carries "
        f"{_force(one.force)}, which is told, not judged",
        *words(f"{glued}; or take thicker boards (lumber.board)"),
        group=one.use,
    )


def _hung(one: LoadedScrews, fit: FitCase) -> Iterator[Finding]:
    """Find loose wet soil on a floor that hangs on threads in end grain (PW924)."""
    assert one.values is not None
    if fit.box.parameters.site.soil == "pots" or one.values.out > 0.0:
        return
    yield Finding(
        "PW924",
        one.screws,
        one.pulled,
        0.0,
        "N",
        f"each of {len(one.screws)} floor screws ({one.kind}) holds up "
        f"{_force(one.pulled)} of soaked soil by its thread in end grain, which is "
        "given nothing",
        *words('set floor.kind to "cleats"; or plant in pots: site.soil = "pots"'),
        group="hung",
    )


def _screw_remedy(one: LoadedScrews) -> str:
    """Return what takes load off one group of screws."""
    if one.use in ("cap", "top rail"):
        return "lift it from below; or more screws in the cap (screws.pitch), or thicker screws.cap"
    if one.use == "cleat":
        return (
            "narrower staves take more screws (wall.layout, lumber.board); bed the cleats in "
            "exterior glue or stand blocks under them; or a lighter site.soil"
        )
    return (
        f"more screws (screws.pitch), thicker or longer ones ({one.setting}), or a lighter "
        "site.soil"
    )
