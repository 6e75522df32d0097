"""Check that no two boards share volume, and that joints touch over enough area."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.construction.boards import Board
from palewright.construction.joints import Joint
from palewright.fit.cases import FitCase, check
from palewright.fit.checks.floors import bearing_of, longer_slat
from palewright.fit.findings import Finding
from palewright.fit.remedies import Remedy, lowered, raised, set_to, words
from palewright.reading.lengths import both_units, shop_step


@check("PW101")
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
            *_clash_remedy(boards[first], boards[second], shared.depth, fit),
            brief=f"{first} and {second} lie {both_units(shared.depth)} deep in each other",
        )


def _clash_remedy(first: Board, second: Board, depth: float, fit: FitCase) -> Remedy:
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


_SCREWED = ("screw", "bed")


@check("PW201", "PW202")
def joint_areas(fit: FitCase) -> Iterator[Finding]:
    """Find joints that do not touch (PW201), or over too little area (PW202); one a role.

    Where screws close a joint, each pair of boards that they join is held against its own screws.
    """
    worst: dict[tuple[str, str, str], tuple[float, float, Joint, tuple[str, ...]]] = {}
    for joint in fit.box.joints:
        for area, least, boards in _areas(joint, fit):
            if area >= least - 1e-6:
                continue
            code = "PW202" if area > 0 or joint.kind in _SCREWED else "PW201"
            role = fit.box.boards[joint.boards[0]].role
            if role == "slat":
                continue  # a slat's bearing is judged by its length: PW504
            key = (code, role, joint.kind)
            kept = worst.get(key)
            names = (*(kept[3] if kept else ()), *boards)
            if kept is None or area / least < kept[0] / kept[1]:
                worst[key] = (area, least, joint, names)
            else:
                worst[key] = (*kept[:3], names)
    for (code, role, kind), (area, least, joint, names) in worst.items():
        said = "does not touch" if area <= 0 else f"touches over {area:.0f} mm² only"
        yield Finding(
            code,
            tuple(dict.fromkeys(names)),
            area,
            least,
            "mm2",
            f"{joint.name} {said}; {least:.0f} mm² are needed",
            *_remedy(joint, fit),
            group=f"{role}/{kind}",
        )


def _areas(joint: Joint, fit: FitCase) -> Iterator[tuple[float, float, tuple[str, ...]]]:
    """Yield what touches in a joint, what has to, and the boards: (mm², mm², names).

    A pair that screws bridge over a gap touches nowhere: how wide the gap is, PW201 and PW206 tell.
    """
    areas = fit.contacts[joint.name]
    if joint.kind not in _SCREWED:
        yield sum(areas.values()), joint.least_area, (*joint.boards, *joint.onto)
        return
    for (pressed, other), area in areas.items():
        screws = fit.ties.between(pressed, other)
        if screws:
            yield area, screws * fit.tolerances.contact_per_screw, (pressed, other)


def _remedy(joint: Joint, fit: FitCase) -> Remedy:
    """Return what brings a joint's boards together."""
    box, system = fit.box, fit.box.parameters.product.units
    role = box.boards[joint.boards[0]].role
    if role == "cap":
        cap = box.parameters.cap
        need = cap.overhang + 2 * box.sizes.board.thickest
        if cap.width < need:
            return raised("cap.width", cap.width, need - cap.width, system)
        return lowered("cap.overhang", cap.overhang, cap.overhang / 2, system)
    if role == "slat" and joint.kind == "screw":
        return set_to("floor.kind", "cleats")
    if role == "slat":
        need = joint.least_area / box.boards[joint.boards[0]].width
        return longer_slat(box.parameters.floor.play, need - bearing_of(joint, fit), system)
    if role == "stile" and joint.name.endswith(" on staves"):
        return _wider_stile(box.boards[joint.boards[0]], fit)
    if role == "brace":
        width = box.parameters.face.brace_width
        return raised("face.brace_width", width, 6.35, system)
    return words("")


def _wider_stile(stile: Board, fit: FitCase) -> Remedy:
    """Return what makes a stile lap the staves by a screw's advised distances to both edges."""
    box, panel = fit.box, fit.box.parameters.panel
    lap = 2 * fit.tolerances.edge_advised * box.parameters.materials.screw["wall"].diameter
    asked = box.parameters.wall.stile_lap
    if asked is not None:
        return raised("wall.stile_lap", asked, lap - asked, box.parameters.product.units)
    inner = stile.panel in ("left", "right")
    short = (box.sizes.setback if inner else box.sizes.lip) + lap - stile.width
    key, now = "panel.stile_width", panel.stile_width
    if inner and panel.side_stile_width is not None:
        key, now = "panel.side_stile_width", panel.side_stile_width
    system = box.parameters.product.units
    return raised(key, now, max(short, shop_step(system)), system)
