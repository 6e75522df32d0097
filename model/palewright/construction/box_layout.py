"""The whole box: every board in its place, with joints, screws and the order of assembly."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from palewright.catalogue.lumber import LumberCase, ThicknessOf, thickness_rule
from palewright.construction.boards import Board, Vector
from palewright.construction.caps import cap_parts
from palewright.construction.corners import CORNERS, SLAT_AIR, corner_post, edge_corner
from palewright.construction.derived_sizes import Sizes, sizes_of
from palewright.construction.floors import floor_parts, refuse_floor_outside
from palewright.construction.joints import BuildStep, Joint, Obstacle, Parts, Screw, names_of
from palewright.construction.panel_screws import panel_parts
from palewright.construction.panels import (
    PANELS,
    frame_pieces,
    lay_panel,
    panel_plan,
    panel_plane,
    stave_pieces,
)
from palewright.construction.screw_holes import holes_of
from palewright.construction.standing_walls import Walls
from palewright.construction.tree_obstacles import tree_obstacles
from palewright.construction.trellises import trellis_parts
from palewright.parameters.tables import Parameters

_FAR = 200.0
"""Parts come from this much (mm) further away than the box is large."""

_ASIDE = 12.0
"""Packers are let down so far (mm) in front of their place."""


@dataclass(frozen=True)
class Box:
    """A laid-out box for one lumber case. Lengths in mm; x right, y back, z up, front at -y.

    Attributes:
        parameters: what was asked.
        sizes: what follows from it.
        boards: by name, in the order they were laid out.
        joints, screws, steps: what holds it together, and in which order.
        obstacles: stand and trunk of a tree box.
    """

    parameters: Parameters
    sizes: Sizes
    boards: Mapping[str, Board]
    joints: tuple[Joint, ...]
    screws: tuple[Screw, ...]
    steps: tuple[BuildStep, ...]
    obstacles: tuple[Obstacle, ...]

    def with_holes(self) -> Box:
        """Return the same box with the holes that its screws need in its boards."""
        holes = holes_of(self.screws, self.boards)
        boards = {name: b.with_holes(holes.get(name, ())) for name, b in self.boards.items()}
        return replace(self, boards=boards)


def lay_out(parameters: Parameters, case: LumberCase = "nominal", pile: int = 0) -> Box:
    """Return the box as it comes together from lumber of one case.

    Cut sizes never depend on the case: a thicker board moves its neighbours, as on the bench.
    Holes are laid in for nominal lumber, which is what is drawn; others ask for `with_holes`.

    Args:
        parameters: what is asked.
        case: how thick its boards turn out.
        pile: which pile of mixed lumber, from the one of ``lumber.seed`` on.

    Raises:
        InputError: if the parameters cannot be built at all.
    """
    sizes = sizes_of(parameters)
    thickness = thickness_rule(case, parameters.lumber.seed + pile)
    whole = _whole(parameters, sizes, thickness, screwed=True)
    boards = {board.name: board for board in whole.boards}
    screws = [_drilled_for(screw, boards, parameters) for screw in whole.screws]
    box = Box(
        parameters=parameters,
        sizes=sizes,
        boards=boards,
        joints=tuple(whole.joints),
        screws=tuple(screws),
        steps=tuple(_steps(parameters, sizes, boards)),
        obstacles=tuple(tree_obstacles(parameters, sizes)),
    )
    return box.with_holes() if case == "nominal" else box


def _drilled_for(screw: Screw, boards: Mapping[str, Board], parameters: Parameters) -> Screw:
    """Return a screw as it is drilled for in the wood that holds its thread."""
    wood = parameters.materials.species[boards[screw.stack[-1]].stock]
    kind = screw.kind.into(wood.gravity)
    return screw if kind is screw.kind else replace(screw, kind=kind)


def bare_box(parameters: Parameters) -> Box:
    """Return the box of `lay_out` as it is cut: before any screw has its place.

    Without joints, screws and steps. Where screws go changes no board, and finding their places
    takes most of the time.

    Raises:
        InputError: if the parameters cannot be built at all.
    """
    sizes = sizes_of(parameters)
    thickness = thickness_rule("nominal", parameters.lumber.seed)
    whole = _whole(parameters, sizes, thickness, screwed=False)
    boards = {board.name: board for board in whole.boards}
    return Box(parameters, sizes, boards, (), (), (), ())


def _whole(parameters: Parameters, sizes: Sizes, thickness: ThicknessOf, *, screwed: bool) -> Parts:
    """Return all boards, and where ``screwed`` what holds them."""
    panels = _panels(parameters, sizes, thickness, screwed=screwed)
    boards = {board.name: board for board in panels.boards}
    walls = Walls(parameters, sizes, boards, panels.screws, thickness)
    corners = _corners(walls, screwed=screwed)
    floor = floor_parts(walls, screwed=screwed)
    cap = cap_parts(walls, screwed=screwed) if parameters.cap.style != "none" else Parts()
    whole = Parts()
    for parts in (panels, corners, floor, cap, trellis_parts(walls)):
        whole.add(parts)
    return whole


def _panels(
    parameters: Parameters, sizes: Sizes, thickness: ThicknessOf, *, screwed: bool
) -> Parts:
    """Return the four panels, and if ``screwed`` the screws that hold each together."""
    parts = Parts()
    screw, pitch = parameters.materials.screw["wall"], parameters.screws.pitch
    for name in PANELS:
        plan = panel_plan(name, parameters, sizes)
        frame = frame_pieces(plan, parameters, sizes)
        staves = stave_pieces(plan, parameters, sizes)
        boards = lay_panel(plan, frame, staves, sizes, thickness)
        away = abs(boards[0].placement.origin[1 if plan.outer else 0])
        plane = panel_plane(name, plan.width / 2, away)
        parts.boards += boards
        if screwed:
            parts.add(panel_parts(name, plane, frame, staves, screw, pitch, sizes, thickness))
    return parts


def _corners(walls: Walls, *, screwed: bool) -> Parts:
    """Return what closes the corners: posts, and if ``screwed`` screws clear of those placed."""
    parts, parameters, sizes = Parts(), walls.parameters, walls.sizes
    if parameters.corner.style == "edge":
        for corner in CORNERS if screwed else ():
            parts.add(edge_corner(corner, walls))
        return parts
    bottom = sizes.foot
    if parameters.floor.kind == "cleats":
        refuse_floor_outside(parameters, sizes)  # before posts that would end above the panels
        bottom = sizes.floor_bottom + sizes.board.thickest + SLAT_AIR
    for corner in CORNERS:
        parts.add(corner_post(corner, bottom, walls, screwed=screwed))
    return parts


def _group(boards: Iterable[Board], *panels: str, roles: tuple[str, ...] = ()) -> tuple[str, ...]:
    """Return the names of the boards of some panels, or only some roles of them."""
    return names_of(b for b in boards if b.panel in panels and (not roles or b.role in roles))


def _packer_steps(boards: list[Board], sizes: Sizes) -> list[BuildStep]:
    """Return the steps that bring the trellis packers in from above, then back against the wall."""
    packers = [board for board in boards if board.role == "packer"]
    layers = dict.fromkeys(board.name.rpartition("-")[2] for board in packers)
    down, back = (0.0, 0.0, -(sizes.top + _FAR)), (0.0, _ASIDE, 0.0)
    return [
        BuildStep(
            f"screw {f'layer {layer} of ' if len(layers) > 1 else ''}the packers to the back wall",
            names_of(b for b in packers if b.name.endswith(f"-layer-{layer}")),
            (down, back),
        )
        for layer in layers
    ]


def _steps(parameters: Parameters, sizes: Sizes, boards: Mapping[str, Board]) -> list[BuildStep]:
    """Return the order of assembly with the straight paths on which parts come together."""
    every = list(boards.values())
    back_off = (0.0, sizes.depth + _FAR, 0.0)
    from_back: Vector = (0.0, -back_off[1], 0.0)
    from_front: Vector = back_off
    from_above: Vector = (0.0, 0.0, -(sizes.top + _FAR))
    from_below: Vector = (0.0, 0.0, sizes.top + _FAR)
    halves = parameters.box.kind == "tree" and parameters.tree.halves
    slats = _group(every, "floor")
    posts = parameters.corner.style == "post"
    front = _group(every, "front")
    lapped = parameters.wall.stile_lap is not None  # then no stave says where a side panel goes
    home = "behind its stiles, flush with their edges" if lapped else "in its lip"
    left, right, back = (_group(every, name) for name in ("left", "right", "back"))
    # sides first: the front is laid on them and screwed from above, with nothing loose to turn over
    steps = [
        BuildStep(f"stand the {n} panel on the bench, back edge down", p, ())
        for n, p in (("left", left), ("right", right))
    ]
    steps.append(BuildStep(f"lay the front panel on, the sides {home}", front, (from_front,)))
    hung = parameters.floor.kind == "hung"
    slid = bool(posts and slats and not hung)
    if slid:
        steps += [
            BuildStep("slide the slat in from the back", (slat,), (from_back,)) for slat in slats
        ]
    packers = _packer_steps(every, sizes)
    caps = [name for name in boards if name.startswith("cap.")]
    fixed_caps = tuple(name for name in caps if name != "cap.back")
    if halves:
        if fixed_caps:
            steps.append(BuildStep("lay on three boards of the cap", fixed_caps, (from_above,)))
        moving = tuple(n for step in steps for n in step.boards)
        steps.append(
            BuildStep(
                "slide the open half round the tree",
                moving,
                ((0.0, back_off[1], 0.0),),
                ("stand", "trunk"),
            )
        )
        closing = back + tuple(name for name in caps if name == "cap.back")
        steps.append(
            BuildStep("close the back behind the tree", closing, (from_back,), ("stand", "trunk"))
        )
    else:
        how = "seat the back panel on" if slid else "turn the box over and lay the back panel on"
        steps.append(BuildStep(f"{how} the sides", back, (from_back,)))
    if slats and (hung or not posts):
        path, text = (
            (from_below, "screw the slat up from below")
            if hung
            else (from_above, "drop the slat on its cleats")
        )
        met = ("stand", "trunk") if halves else ()
        steps += [BuildStep(text, (slat,), (path,), met) for slat in slats]
    steps += packers
    if caps and not halves:
        steps.append(BuildStep("lay the cap on", tuple(caps), (from_above,)))
    if parameters.box.kind == "tree" and not halves:
        moving = tuple(n for step in steps for n in step.boards)
        steps.append(BuildStep("lower the box over the stand", moving, (from_above,), ("stand",)))
    ladder = _group(every, "trellis")
    if ladder:
        down = (0.0, 0.0, -(sizes.height + parameters.trellis.height + _FAR))
        steps.append(BuildStep("drop the trellis in behind the cap", ladder, (down,)))
    return steps
