"""Check that joints touch, over enough area, and that every board hangs on something."""

from __future__ import annotations

from collections.abc import Iterator

from palewright.boards import Board
from palewright.checks.floors import bearing_of, longer_slat
from palewright.findings import Finding
from palewright.fit_cases import FitCase, check, design_check
from palewright.joints import Joint
from palewright.remedies import Remedy, lowered, raised, shop_step, words


@check
def joint_areas(fit: FitCase) -> Iterator[Finding]:
    """Find joints that do not touch (PW201), or over too little area (PW202)."""
    for joint in fit.box.joints:
        area = sum(fit.contacts[joint.name].values())
        if area >= joint.least_area:
            continue
        code = "PW201" if area <= 0 else "PW202"
        said = "does not touch" if area <= 0 else f"touches over {area:.0f} mm² only"
        yield Finding(
            code,
            joint.boards + (joint.onto if len(joint.onto) < 3 else ()),
            area,
            joint.least_area,
            "mm2",
            f"{joint.name} {said}; {joint.least_area:.0f} mm² are needed",
            *_remedy(joint, fit),
        )


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
        return words('set floor.kind to "cleats", or change box.width')
    if role == "slat":
        need = joint.least_area / box.boards[joint.boards[0]].width
        return longer_slat(box.parameters.floor.play, need - bearing_of(joint, fit), system)
    if role == "stile" and joint.name.endswith(" on staves"):
        return _wider_stile(box.boards[joint.boards[0]], fit)
    if role == "brace":
        width = box.parameters.face.brace_width
        return raised("face.brace_width", width, 6.35, system)
    return words(f"give {joint.boards[0]} a wider board, or more staves to cross")


def _wider_stile(stile: Board, fit: FitCase) -> Remedy:
    """Return the stile width that laps the staves by a screw's advised distances to both edges."""
    box, panel = fit.box, fit.box.parameters.panel
    lap = 2 * fit.tolerances.edge_advised * box.parameters.screw_of("wall").diameter
    inner = stile.panel in ("left", "right")
    short = (box.sizes.setback if inner else box.sizes.lip) + lap - stile.width
    key, now = "panel.stile_width", panel.stile_width
    if inner and panel.side_stile_width is not None:
        key, now = "panel.side_stile_width", panel.side_stile_width
    system = box.parameters.product.units
    return raised(key, now, max(short, shop_step(system)), system)


@check
def floating_boards(fit: FitCase) -> Iterator[Finding]:
    """Find boards that no joint with real contact ties to the rest (PW203)."""
    groups = {name: name for name in fit.box.boards}

    def root(name: str) -> str:
        while groups[name] != name:
            groups[name] = name = groups[groups[name]]
        return name

    for pairs in fit.contacts.values():
        for first, second in pairs:
            groups[root(first)] = root(second)
    members: dict[str, list[str]] = {}
    for name in groups:
        members.setdefault(root(name), []).append(name)
    # the ladder of a trellis is one stiff part, tied where its proudest upright touches
    main = max(members.values(), key=len, default=[])
    for loose in members.values():
        if loose is not main:
            yield Finding(
                "PW203",
                tuple(loose),
                float(len(loose)),
                0.0,
                "count",
                f"{', '.join(loose[:3])}{' …' if len(loose) > 3 else ''} touch nothing that holds "
                "them",
                *words("see the joints that do not touch; close their gaps first"),
            )


@design_check
def joints_without_screws(fit: FitCase) -> Iterator[Finding]:
    """Find screwed joints in which no screw found room (PW204)."""
    for joint in fit.box.joints:
        if joint.kind == "screw" and joint.screws == 0:
            yield Finding(
                "PW204",
                joint.boards,
                0.0,
                1.0,
                "count",
                f"no screw finds room in {joint.name} with its distances to edges and ends",
                *_remedy(joint, fit),
            )
