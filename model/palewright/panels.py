"""The boards of one lapped panel: a frame outside, staves behind it, a pattern in the opening.

A panel is laid out in its own plane: u from left to right and v upward as seen from outside. The
plane is where frame and staves meet; the frame grows outward from it and the staves inward, so
that joints close whatever the thickness of a board.
"""

from __future__ import annotations

from dataclasses import dataclass

from palewright.boards import Board, Plane
from palewright.errors import InputError, nearest
from palewright.faces import FACE_PATTERNS, Opening, Piece
from palewright.lumber import ThicknessOf
from palewright.parameters import Parameters
from palewright.polygons import Polygon, rectangle
from palewright.sizes import Sizes
from palewright.staves import divide_wall
from palewright.tolerances import TOLERANCES

PANELS = ("front", "back", "left", "right")
OUTER_PANELS = ("front", "back")
INNER_PANELS = ("left", "right")


@dataclass(frozen=True, slots=True)
class PanelPlan:
    """What one panel measures, mm, before its boards have a place in the box."""

    name: str
    width: float
    stile: float
    rail: float
    stave_inset: float
    pattern: str

    @property
    def outer(self) -> bool:
        """Whether its stiles run past the staves, for an inner panel to seat in."""
        return self.name in OUTER_PANELS


def panel_plan(name: str, parameters: Parameters, sizes: Sizes) -> PanelPlan:
    """Return what one panel measures.

    Raises:
        InputError: if the variant names a face pattern that nobody wrote.
    """
    key = f"face.{name if name in OUTER_PANELS else 'sides'}"
    pattern = getattr(parameters.face, key.partition(".")[2])
    if pattern == "same":
        key, pattern = "face.front", parameters.face.front
    if pattern not in FACE_PATTERNS:
        known = ", ".join(FACE_PATTERNS)
        raise InputError(
            f"no face pattern '{pattern}'{nearest(pattern, FACE_PATTERNS)}; allowed: {known}",
            key=key,
        )
    if name in OUTER_PANELS:
        return PanelPlan(name, sizes.width, sizes.stile, sizes.rail, sizes.lip, pattern)
    return PanelPlan(
        name, sizes.side_length, sizes.side_stile, sizes.side_rail, sizes.setback, pattern
    )


def opening_of(plan: PanelPlan, parameters: Parameters, sizes: Sizes) -> Opening:
    """Return the opening that the panel's pattern fills."""
    return Opening(
        width=plan.width - 2 * plan.stile,
        height=sizes.top - sizes.foot - 2 * plan.rail,
        brace_width=parameters.face.brace_width,
        bar_width=parameters.face.bar_width,
        bar_gap=parameters.face.bar_gap,
    )


def frame_pieces(plan: PanelPlan, parameters: Parameters, sizes: Sizes) -> list[Piece]:
    """Return stiles, rails and the pattern's pieces in the panel's (u, v), v from the ground.

    Raises:
        InputError: if the pattern cannot be made in this opening.
    """
    w, top, foot = plan.width, sizes.top, sizes.foot
    inner = (plan.stile, w - plan.stile)
    pieces = [
        Piece("stile-left", "stile", rectangle(0, 0, plan.stile, top), 90),
        Piece("stile-right", "stile", rectangle(inner[1], 0, w, top), 90),
        Piece("rail-bottom", "rail", rectangle(inner[0], foot, inner[1], foot + plan.rail), 0),
        Piece("rail-top", "rail", rectangle(inner[0], top - plan.rail, inner[1], top), 0),
    ]
    pattern = FACE_PATTERNS[plan.pattern](opening_of(plan, parameters, sizes))
    return pieces + [piece.moved(plan.stile, foot + plan.rail) for piece in pattern]


def stave_pieces(plan: PanelPlan, parameters: Parameters, sizes: Sizes) -> list[Piece]:
    """Return the staves in the panel's (u, v).

    Raises:
        InputError: if the wall is narrower than the safe rip.
    """
    wall = parameters.wall
    span = plan.width - 2 * plan.stave_inset
    diameter = parameters.screw_of("wall").diameter
    # a screw needs its distance to the stave's edge, and to the stile's edge or the rail's end
    edges = [(edge * diameter, end * diameter) for edge, end in TOLERANCES.tied]
    rooms = [(2 * edge, edge + end) for edge, end in edges]
    staves = divide_wall(
        span,
        sizes.board.true_width,
        sizes.gap,
        wall.safe_rip,
        wall.layout,
        plan.stile - plan.stave_inset,
        rooms,
    )
    pieces = []
    for i, stave in enumerate(staves, start=1):
        u = plan.stave_inset + stave.start
        outline: Polygon = rectangle(u, sizes.foot, u + stave.width, sizes.top)
        role = "filler" if stave.filler and wall.layout == "filler" else "stave"
        pieces.append(Piece(f"{role}-{i}", role, outline, 90))
    return pieces


def panel_plane(name: str, u_centre: float, away: float) -> Plane:
    """Return the plane of one panel, its origin on the ground at the panel's left edge.

    In the box x goes to the right of the front, y to the back, z up; the front faces -y.

    Args:
        name: front, back, left or right.
        u_centre: half the panel's width.
        away: distance of the plane from the middle of the box.
    """
    z = (0.0, 0.0, 1.0)
    if name == "front":
        return Plane((-u_centre, -away, 0.0), (1.0, 0.0, 0.0), z)
    if name == "back":
        return Plane((u_centre, away, 0.0), (-1.0, 0.0, 0.0), z)
    if name == "right":
        return Plane((away, -u_centre, 0.0), (0.0, 1.0, 0.0), z)
    return Plane((-away, u_centre, 0.0), (0.0, -1.0, 0.0), z)


def lay_panel(
    plan: PanelPlan,
    frame: list[Piece],
    staves: list[Piece],
    sizes: Sizes,
    thickness: ThicknessOf,
) -> list[Board]:
    """Return the panel's boards in the box, for lumber of the given thickness.

    An outer panel's plane is fixed by the length of the side panels. An inner panel is held so
    that its thickest frame board is flush with the outer panels' stile edges.
    """
    stock = sizes.board
    thick = {
        piece.name: thickness(f"{plan.name}.{piece.name}", stock) for piece in (*frame, *staves)
    }
    if plan.outer:
        away = sizes.side_length / 2
    else:
        away = sizes.width / 2 - max(thick[piece.name] for piece in frame)
    plane = panel_plane(plan.name, plan.width / 2, away)
    boards = []
    for layer, outward in ((frame, True), (staves, False)):
        for piece in layer:
            boards.append(
                plane.board(
                    f"{plan.name}.{piece.name}",
                    piece.role,
                    stock,
                    piece.polygon,
                    piece.grain,
                    thick[piece.name],
                    outward,
                )
            )
    return boards
