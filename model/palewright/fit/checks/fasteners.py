"""Check that screws suit the wood: the holes its density is given, the coating it asks for."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.catalogue.screws import DENSE, ScrewKind
from palewright.fit.cases import FitCase, design_check
from palewright.fit.findings import Finding
from palewright.fit.remedies import set_to, words
from palewright.loads.screw_design_values import lead_hole, shear_lead_holes
from palewright.reading.lengths import both_units, millimetres, shop_inches
from palewright.reading.quantities import print_quantity

LEANING = 0.5
"""Share of its shear value from which on a screw is told to lean on it (judgement)."""

_LASTING = ("rated", "hot-dip", "stainless")


@design_check("PW925")
def pilot_holes(fit: FitCase) -> Iterator[Finding]:
    """Tell which screws are drilled wider for, since a dense wood holds their thread (PW925)."""
    found: dict[tuple[str, ScrewKind], list[str]] = {}
    for screw in fit.box.screws:
        if screw.kind.dense:
            name = fit.box.boards[screw.stack[-1]].stock.species
            found.setdefault((name, screw.kind), []).append(screw.name)
    for (name, kind), screws in found.items():
        usual = kind.into(None).pilot
        least = lead_hole(DENSE, kind.gauge.root)
        yield Finding(
            "PW925",
            tuple(screws),
            usual,
            least,
            "mm",
            f"{name} is dense: about 90 % of the root of a {kind.label} screw is drilled for it, "
            f"{both_units(kind.pilot)}, where {both_units(usual)} is usual",
            *words(
                "take that bit, as plan, jigs and drill lists say, and wax the threads; or take a "
                "lighter wood (lumber.board)"
            ),
            group=f"{name}/{kind.label}",
        )


@design_check("PW928")
def sheared_holes(fit: FitCase) -> Iterator[Finding]:
    """Tell which screws lean on a shear value that is for other holes than are drilled (PW928)."""
    kinds = {screw.name: screw for screw in fit.box.screws}
    for one in fit.loads.screws:
        value = one.value
        if one.pushed <= 0.0 or value is None or not LEANING * value < one.force <= value:
            continue
        screw = kinds[one.screws[0]]
        species = fit.box.parameters.materials.species[fit.box.boards[screw.stack[-1]].stock]
        shank, thread = shear_lead_holes(species.gravity or 0.0, screw.kind.gauge)
        yield Finding(
            "PW928",
            one.screws,
            one.force,
            LEANING * value,
            "N",
            f"the worst {one.use} screw ({one.kind}) carries {print_quantity(one.force, 'force')}, "
            f"more than half (judgement) of the {print_quantity(value, 'force')} that it is given "
            f"in wet wood. That is for holes of about {_bit(shank)} for "
            f"the shank and {_bit(thread)} for the thread; drilled are "
            f"{_bit(screw.kind.clearance)}, so that the boards pull tight, and "
            f"{_bit(screw.kind.pilot)}, so that the thread holds: what that changes is not "
            "judged",
            *words(
                f"more screws (screws.pitch), thicker ones ({one.setting}), or a lighter "
                "site.soil; where an end splits, the larger drill for the thread"
            ),
            group=one.use,
        )


@design_check("PW926")
def coatings(fit: FitCase) -> Iterator[Finding]:
    """Find screws whose coating does not last in treated wood, or outdoors at all (PW926)."""
    coating = fit.box.parameters.screws.coating
    if coating in _LASTING or not fit.box.screws:
        return
    held = [fit.box.boards[name] for screw in fit.box.screws for name in screw.stack]
    woods = {
        board.stock.species: fit.box.parameters.materials.species[board.stock] for board in held
    }
    treated = sorted(name for name, wood in woods.items() if wood.treated)
    why = (
        f"{', '.join(treated)} holds copper, which eats them"
        if treated
        else "they rust outdoors and stain the wood (common practice, no source)"
    )
    yield Finding(
        "PW926",
        tuple(screw.name for screw in fit.box.screws),
        float(len(fit.box.screws)),
        0.0,
        "count",
        f"{len(fit.box.screws)} screws are {'zinc-plated' if coating == 'zinc' else 'bare'}: {why}",
        *set_to("screws.coating", "hot-dip"),
    )


def _bit(diameter: float) -> str:
    """Return a drill's diameter as text, inches to the 64th as drills are sold, and mm."""
    return f"{shop_inches(diameter, 64)} ({millimetres(diameter)})"
