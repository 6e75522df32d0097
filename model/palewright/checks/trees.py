"""Check that stand and trunk of a tree box fit, and that the tree can be watered."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.boards import Board
from palewright.caps import cap_opening
from palewright.findings import Finding
from palewright.fit_cases import FitCase, check, design_check
from palewright.remedies import Remedy, lowered, raised, words
from palewright.trees import stand_base
from palewright.units import both_units


def clear_inside(fit: FitCase) -> tuple[float, float]:
    """Return the clear width and depth (mm) between the staves of one lumber case."""
    staves = [b for b in fit.box.boards.values() if b.role in ("stave", "filler")]
    sides = [fit.prisms[b.name] for b in staves if b.panel in ("left", "right")]
    walls = [fit.prisms[b.name] for b in staves if b.panel in ("front", "back")]
    wide = min(min(abs(float(p.low[0])), abs(float(p.high[0]))) for p in sides)
    deep = min(min(abs(float(p.low[1])), abs(float(p.high[1]))) for p in walls)
    return 2 * wide, 2 * deep


@check
def stand_between_walls(fit: FitCase) -> Iterator[Finding]:
    """Find a stand wider than the clear inside (PW601)."""
    parameters = fit.box.parameters
    if parameters.box.kind != "tree":
        return
    need = parameters.tree.stand_diameter + 2 * parameters.tree.air
    for key, clear in zip(("box.width", "box.depth"), clear_inside(fit), strict=True):
        if clear < need - 1e-6:
            now = parameters.box.width if key == "box.width" else parameters.box.depth
            yield Finding(
                "PW601",
                (),
                clear,
                need,
                "mm",
                f"the clear inside is {both_units(clear)}; the stand with its air needs "
                f"{both_units(need)}",
                *raised(key, now, need - clear, parameters.product.units),
            )


@design_check
def stand_height(fit: FitCase) -> Iterator[Finding]:
    """Find a stand that looks out of the box (PW602)."""
    parameters = fit.box.parameters
    if parameters.box.kind != "tree":
        return
    tree = parameters.tree
    need = stand_base(parameters, fit.box.sizes) + tree.stand_height + tree.air
    if fit.box.sizes.top < need - 1e-6:
        yield Finding(
            "PW602",
            (),
            fit.box.sizes.top,
            need,
            "mm",
            f"the panels are {both_units(fit.box.sizes.top)} high; the stand needs "
            f"{both_units(need)}",
            *raised(
                "box.height",
                parameters.box.height,
                need - fit.box.sizes.top,
                parameters.product.units,
            ),
        )


@design_check
def trunk_passage(fit: FitCase) -> Iterator[Finding]:
    """Find a cap that the trunk does not pass (PW603), or a spout does not (PW604)."""
    parameters = fit.box.parameters
    if parameters.box.kind != "tree":
        return
    tree, cap = parameters.tree, parameters.cap
    system = parameters.product.units
    opening = min(*cap_opening(parameters), *clear_inside(fit))
    need = tree.trunk_diameter + 2 * tree.air
    if opening < need - 1e-6:
        yield Finding(
            "PW603",
            _caps(fit),
            opening,
            need,
            "mm",
            f"the cap leaves {both_units(opening)}; the trunk with its air needs "
            f"{both_units(need)}",
            *lowered("cap.width", cap.width, (need - opening) / 2, system),
        )
    beside = (opening - tree.trunk_diameter) / 2
    if beside < tree.spout - 1e-6:
        yield Finding(
            "PW604",
            _caps(fit),
            beside,
            tree.spout,
            "mm",
            f"{both_units(beside)} are open beside the trunk; the spout needs "
            f"{both_units(tree.spout)}",
            *lowered("cap.width", cap.width, tree.spout - beside, system),
        )


def _caps(fit: FitCase) -> tuple[str, ...]:
    """Return the names of the cap boards."""
    return tuple(b.name for b in fit.box.boards.values() if b.role == "cap")


@check
def stand_and_trunk_clear(fit: FitCase) -> Iterator[Finding]:
    """Find boards that stand or trunk, with their air, run into (PW605)."""
    limit, prisms = fit.tolerances.clash_volume, fit.prisms
    for name, obstacle in fit.obstacles.items():
        for i in prisms.meeting(obstacle, range(len(prisms.names))):
            shared = prisms.prisms[i].overlap(obstacle)
            if shared.volume > limit:
                deep = shared.depth
                yield Finding(
                    "PW605",
                    (prisms.names[i],),
                    deep,
                    0.0,
                    "mm",
                    f"{prisms.names[i]} stands {both_units(deep)} in the {name}'s place",
                    *_cleared(fit.box.boards[prisms.names[i]], obstacle.high[0], deep, fit),
                )


def _cleared(board: Board, radius: float, deep: float, fit: FitCase) -> Remedy:
    """Return what takes a board out of the place of stand or trunk."""
    parameters = fit.box.parameters
    system = parameters.product.units
    if board.role == "cap":
        over = float(radius) - min(cap_opening(parameters)) / 2
        return lowered("cap.width", parameters.cap.width, over, system)
    if board.panel in ("left", "right") and board.role != "cleat":
        return raised("box.width", parameters.box.width, 2 * deep, system)
    if board.panel in ("front", "back") and board.role not in ("cleat", "post"):
        return raised("box.depth", parameters.box.depth, 2 * deep, system)
    return words(f"leave out what the {board.role} belongs to, or take a larger box")
