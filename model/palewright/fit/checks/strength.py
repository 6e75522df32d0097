"""Check that boards and screws carry the soil: bending, sag, withdrawal, heads and shear."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.catalogue.lumber import Species
from palewright.fit.cases import FitCase, design_check
from palewright.fit.findings import Finding
from palewright.fit.remedies import words
from palewright.loads.board_bending import BentBoard
from palewright.loads.screw_design_values import LEAST_PENETRATION, TIP
from palewright.loads.screw_forces import HUNG, LoadedScrews, known_to_screws
from palewright.reading.lengths import INCH, both_units
from palewright.reading.quantities import print_quantity

SEEN = INCH / 8
"""A sag or bulge (mm) that is seen (judgement)."""


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


@design_check("PW900")
def unknown_woods(fit: FitCase) -> Iterator[Finding]:
    """Find woods of which something is not known, so that it is not judged (PW900)."""
    woods: dict[str, list[str]] = {}
    for board in fit.box.boards.values():
        woods.setdefault(board.stock.species, []).append(board.name)
    for name, boards in woods.items():
        species = fit.box.parameters.materials.species[fit.box.boards[boards[0]].stock]
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


@design_check("PW911", "PW912", "PW913")
def bending(fit: FitCase) -> Iterator[Finding]:
    """Find boards bent too hard (PW911), to breaking (PW912), or so that it shows (PW913)."""
    worst: dict[str, BentBoard] = {}
    for one in fit.loads.bent:
        if one.role not in worst or one.stress > worst[one.role].stress:
            worst[one.role] = one
    for role, one in worst.items():
        load = "soil" if fit.loads.weights.mix.loose else "what stands in it"
        said = f"{load} bends a {role} over {both_units(one.span)}"
        if one.breaking is not None and one.stress > one.breaking:
            yield Finding(
                "PW912",
                one.boards,
                one.stress,
                one.breaking,
                "MPa",
                f"{said} to {_stress(one.stress)}; clear green wood breaks at "
                f"{_stress(one.breaking)} on average",
                group=role,
                brief=f"{said} to {_stress(one.stress)}; such wood breaks at "
                f"{_stress(one.breaking)}",
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
                group=role,
                brief=f"{said} to {_stress(one.stress)}; {_stress(one.allowed)} is assumed to hold",
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
            *words("take thicker boards, or let them span less"),
            group=role,
        )


@design_check("PW922", "PW923")
def screw_loads(fit: FitCase) -> Iterator[Finding]:
    """Find screws that carry too much (PW922), or that pull out (PW923)."""
    for one in fit.loads.screws:
        limit = one.limit
        if one.values is None or limit is None or one.use == HUNG:
            continue
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
                *words(_screw_advice(one)),
                group=one.use,
                brief=f"a {one.use} screw carries {_force(one.pulled)}; {_force(breaking)} hold",
            )
        elif one.force > limit:
            yield Finding(
                "PW922",
                one.screws,
                one.force,
                limit,
                "N",
                f"the worst {one.use} screw ({one.kind}) carries "
                f"{_force(one.force)}; {one.whose} {_force(limit)} in "
                "wet wood",
                *words(_screw_advice(one)),
                group=one.use,
                brief=f"a {one.use} screw carries {_force(one.force)}; {_force(limit)} hold",
            )


@design_check("PW921")
def short_screws(fit: FitCase) -> Iterator[Finding]:
    """Tell which screws are too short to count, so that their load is not judged (PW921)."""
    trellis = fit.loads.trellis
    groups = [*fit.loads.screws, *(trellis.screws if trellis else ())]
    short = [one for one in groups if one.values is not None and not one.in_scope and one.force > 0]
    if not short:
        return
    worst = min(short, key=lambda one: _depth(one) / _needed(one))
    screws = tuple(dict.fromkeys(name for one in short for name in one.screws))
    uses = ", ".join(f"{one.use} {_depth(one):.1f} D deep ({_force(one.force)})" for one in short)
    yield Finding(
        "PW921",
        screws,
        _depth(worst),
        _needed(worst),
        "D",
        f"{len(screws)} screws are too short to count, so their load is told, not judged: {uses}. "
        f"The standard's values across begin at {LEAST_PENETRATION:g} D, in pull beyond the tip of "
        f"{TIP:g} D",
        *words(_longer(short)),
        group="short",
    )


def _depth(one: LoadedScrews) -> float:
    """Return how deep the worst of some screws goes, in diameters."""
    assert one.values is not None
    return one.values.penetration


def _needed(one: LoadedScrews) -> float:
    """Return from how deep on, in diameters, the standard gives a value for such a load."""
    return LEAST_PENETRATION if one.pushed > 0.0 else TIP


def _longer(short: list[LoadedScrews]) -> str:
    """Return what helps screws that are too short to count."""
    uses = {one.use for one in short}
    said = []
    if "cleat" in uses:
        said.append("bed the cleats in exterior glue or stand blocks under them")
    if "top rail" in uses:
        said.append("lift the box from below, not by its top rails")
    others = dict.fromkeys(o.setting for o in short if o.use not in ("cleat", "top rail"))
    if others:
        said.append(f"longer or thinner screws where they stay inside: {', '.join(others)}")
    return f"{'; '.join(said)}; or thicker boards (lumber.board)"


def _screw_advice(one: LoadedScrews) -> str:
    """Return what takes load off one group of screws and is no setting."""
    if one.use in ("cap", "top rail"):
        return "lift it from below"
    return "bed the cleats in exterior glue" if one.use == "cleat" else ""
