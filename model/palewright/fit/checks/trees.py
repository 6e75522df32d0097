"""Check that stand and trunk of a tree box fit, and that the tree can be watered."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.construction.caps import cap_opening
from palewright.construction.panels import INNER_PANELS, PANELS
from palewright.construction.tree_obstacles import stand_base
from palewright.fit.cases import FitCase, check, design_check
from palewright.fit.findings import Finding
from palewright.fit.remedies import Remedy, lowered, raised, set_to, words
from palewright.reading.lengths import both_units


def stand_too_wide(fit: FitCase) -> bool:
    """Return whether the stand does not fit between the walls: PW601 tells, whatever it meets."""
    parameters = fit.box.parameters
    need = parameters.tree.stand_diameter + 2 * parameters.tree.air
    return parameters.box.kind == "tree" and min(fit.clear_inside) < need - 1e-6


@check("PW601")
def stand_between_walls(fit: FitCase) -> Iterator[Finding]:
    """Find a stand wider than the clear inside (PW601)."""
    parameters = fit.box.parameters
    if parameters.box.kind != "tree":
        return
    need = parameters.tree.stand_diameter + 2 * parameters.tree.air
    ways = ("box.width", "from side to side"), ("box.depth", "from front to back")
    for (key, way), clear in zip(ways, fit.clear_inside, strict=True):
        if clear < need - 1e-6:
            now = parameters.box.width if key == "box.width" else parameters.box.depth
            yield Finding(
                "PW601",
                (),
                clear,
                need,
                "mm",
                f"the inside is {both_units(clear)} clear {way}; the stand with its air needs "
                f"{both_units(need)}",
                *raised(key, now, need - clear, parameters.product.units),
                group=key,
            )


@design_check("PW602")
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


@design_check("PW603", "PW604")
def trunk_passage(fit: FitCase) -> Iterator[Finding]:
    """Find a cap that the trunk does not pass (PW603), or a spout does not (PW604)."""
    parameters = fit.box.parameters
    if parameters.box.kind != "tree":
        return
    tree = parameters.tree
    opening = min(*cap_opening(parameters.cap, fit.box.sizes), *fit.clear_inside)
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
            *_wider_opening((need - opening) / 2, fit),
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
            *_wider_opening(tree.spout - beside, fit),
        )


def _wider_opening(by: float, fit: FitCase) -> Remedy:
    """Return what opens the top by so much (mm) on every side: the cap, or one pair of walls."""
    parameters = fit.box.parameters
    system, box, cap = parameters.product.units, parameters.box, parameters.cap
    wide, deep = fit.clear_inside
    opening = min(cap_opening(parameters.cap, fit.box.sizes))
    need = min(opening, wide, deep) + 2 * by
    narrow = [
        name for name, clear in (("cap", opening), ("wide", wide), ("deep", deep)) if clear < need
    ]
    if narrow == ["cap"]:
        return lowered("cap.width", cap.width, by, system)
    if narrow == ["wide"]:
        return raised("box.width", box.width, 2 * by, system)
    if narrow == ["deep"]:
        return raised("box.depth", box.depth, 2 * by, system)
    return words("")


def _caps(fit: FitCase) -> tuple[str, ...]:
    """Return the names of the cap boards."""
    return tuple(b.name for b in fit.box.boards.values() if b.role == "cap")


@check("PW605")
def stand_and_trunk_clear(fit: FitCase) -> Iterator[Finding]:
    """Find boards that stand or trunk, with their air, run into (PW605); the worst of each role."""
    limit, prisms = fit.tolerances.clash_volume, fit.prisms
    wide = stand_too_wide(fit)
    for name, obstacle in fit.obstacles.items():
        met: dict[str, list[tuple[float, str]]] = {}
        for i in prisms.meeting(obstacle, range(len(prisms.names))):
            board = fit.box.boards[prisms.names[i]]
            if wide and board.panel in PANELS and board.role != "cleat":
                continue  # PW601 tells
            shared = prisms.prisms[i].overlap(obstacle)
            if shared.volume > limit:
                deep = max(shared.depth, past_wall(board.name, float(obstacle.high[0]), fit))
                met.setdefault(board.role, []).append((deep, board.name))
        for role, boards in met.items():
            deep, worst = max(boards)
            yield Finding(
                "PW605",
                tuple(board for _, board in boards),
                deep,
                0.0,
                "mm",
                f"{worst} stands {both_units(deep)} in the {name}'s place",
                *cleared(worst, float(obstacle.high[0]), fit),
                group=f"{name}/{role}",
            )


def past_wall(name: str, radius: float, fit: FitCase) -> float:
    """Return how far (mm) a circle about the middle reaches past the inner face of a wall's board.

    0 for a board of no wall.
    """
    prism, panel = fit.prisms[name], fit.box.boards[name].panel
    if panel not in PANELS:
        return 0.0
    axis = 0 if panel in INNER_PANELS else 1
    return radius - min(abs(float(prism.low[axis])), abs(float(prism.high[axis])))


def cleared(name: str, radius: float, fit: FitCase) -> Remedy:
    """Return what takes a board out of the place, or the way, of stand or trunk.

    Args:
        name: of the board.
        radius: of the stand or trunk with its air, mm.
        fit: the box in one lumber case.
    """
    board, parameters = fit.box.boards[name], fit.box.parameters
    system = parameters.product.units
    if board.role in ("slat", "cleat"):
        return set_to("floor.kind", "none")
    if board.role == "cap":
        over = radius - min(cap_opening(parameters.cap, fit.box.sizes)) / 2
        return lowered("cap.width", parameters.cap.width, over, system)
    if board.panel in PANELS and board.role != "post":
        over = past_wall(name, radius, fit)
        if over > 0:
            side = board.panel in INNER_PANELS
            key = "box.width" if side else "box.depth"
            now = parameters.box.width if side else parameters.box.depth
            return raised(key, now, 2 * over, system)
    return words("")
