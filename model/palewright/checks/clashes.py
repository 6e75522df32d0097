"""Check that no two boards share volume."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.boards import Board
from palewright.findings import Finding
from palewright.fit_cases import FitCase, check
from palewright.remedies import Remedy, raised, words
from palewright.units import both_units


@check
def shared_volumes(fit: FitCase) -> Iterator[Finding]:
    """Find pairs of boards that share volume (PW101)."""
    boards = fit.box.boards
    for first, second, shared in fit.clashes:
        if (first, second) in fit.blocked:
            continue  # PW102 tells
        yield Finding(
            "PW101",
            (first, second),
            shared.volume,
            fit.tolerances.clash_volume,
            "mm3",
            f"{first} and {second} share {shared.volume:.0f} mm³, {both_units(shared.depth)} deep",
            *_remedy(boards[first], boards[second], shared.depth, fit),
        )


def _remedy(first: Board, second: Board, depth: float, fit: FitCase) -> Remedy:
    """Return what to change, and by how much, for the roles that clash."""
    box = fit.box
    roles = {first.role, second.role}
    panels = {first.panel, second.panel}
    system = box.parameters.product.units
    if "trellis" in panels and "cap" in panels:
        return raised("trellis.play", box.parameters.trellis.play, depth, system)
    if roles & {"slat", "cleat"}:
        return raised("floor.play", box.parameters.floor.play, depth, system)
    corner = panels & {"left", "right"} and panels & {"front", "back"}
    if corner and roles <= {"stave", "filler", "stile", "rail"}:
        return raised("panel.lip", box.sizes.lip, depth, system)
    return words("")
