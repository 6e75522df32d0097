"""Check that screws suit the wood: the pilot hole its density wants, the coating it asks for."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.findings import Change, Finding
from palewright.fit_cases import FitCase, design_check
from palewright.loads.screw_values import lead_hole
from palewright.remedies import words
from palewright.screws import ScrewKind
from palewright.units import both_units

_LASTING = ("rated", "hot-dip", "stainless")


@design_check
def pilot_holes(fit: FitCase) -> Iterator[Finding]:
    """Find pilot holes that are too thin for a dense wood (PW925)."""
    worst: dict[str, tuple[float, float, ScrewKind, list[str]]] = {}
    for screw in fit.box.screws:
        board = fit.box.boards[screw.stack[-1]]
        gravity = fit.box.parameters.species_of(board.stock).gravity
        if gravity is None:
            continue
        least = lead_hole(gravity, screw.kind.gauge.root)
        if screw.kind.pilot >= least - 1e-9:
            continue
        name = board.stock.species
        kept = worst.setdefault(name, (screw.kind.pilot, least, screw.kind, []))
        kept[3].append(screw.name)
    for name, (pilot, least, kind, screws) in worst.items():
        yield Finding(
            "PW925",
            tuple(screws),
            pilot,
            least,
            "mm",
            f"{name} is dense: a {kind.label} screw wants a pilot of at least {both_units(least)}, "
            f"90 % of its root; drilled are {both_units(pilot)}",
            *words(
                "drill the pilots by hand to that, wax the threads; or cut the frame from a "
                "lighter wood (lumber.board)"
            ),
            group=name,
        )


@design_check
def coatings(fit: FitCase) -> Iterator[Finding]:
    """Find screws whose coating does not last in treated wood, or outdoors at all (PW926)."""
    coating = fit.box.parameters.screws.coating
    if coating in _LASTING or not fit.box.screws:
        return
    held = [fit.box.boards[name] for screw in fit.box.screws for name in screw.stack]
    woods = {board.stock.species: fit.box.parameters.species_of(board.stock) for board in held}
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
        'set screws.coating to "hot-dip" (ASTM A153, Class D for screws), "stainless", or "rated" '
        "(an evaluation report for treated wood); do not mix metals",
        change=Change("screws.coating", "hot-dip"),
    )
