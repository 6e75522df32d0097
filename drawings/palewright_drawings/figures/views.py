"""Views of a whole box as figures: front, sides, back, top, and a corner view."""

from __future__ import annotations

from palewright.construction.boards import Board
from palewright.design import Design
from palewright_drawings.figures.kept_figures import kept
from palewright_drawings.paper.figure import Figure
from palewright_drawings.projection.convex_bodies import board_body
from palewright_drawings.projection.projections import VIEWS
from palewright_drawings.projection.scene_drawing import Manner, drawn, shot_of

_TITLES = {
    "front": ("Front", "seen from the front"),
    "right": ("Right side", "seen from the right"),
    "back": ("Back", "seen from the back"),
    "left": ("Left side", "seen from the left"),
    "top": ("Top", "seen from above"),
    "corner": ("Corner view", "seen from right of the front and from above"),
}
_HIDDEN_ROLES = {"slat", "cleat", "post", "packer"}
"""Boards inside the box: their hidden edges are drawn in the square views."""

_DEEP = {"stave": 0.07, "filler": 0.07, "slat": 0.14, "cleat": 0.1, "post": 0.1, "packer": 0.1}
"""How much darker boards are drawn that lie behind the frame: our own choice."""


@kept
def view_figure(design: Design, name: str) -> Figure:
    """Return one view of the box in nominal lumber.

    Visible edges, screw heads, and fills in the order of depth; in the square views hidden edges
    of floor and posts too. Origin: the middle of the box on the ground.

    Args:
        design: the box.
        name: ``front``, ``right`` (or ``side``), ``back``, ``left``, ``top`` or ``corner``.

    Raises:
        KeyError: if there is no such view.
    """
    name = "right" if name == "side" else name
    title, seen = _TITLES[name]
    boards, sizes = design.box.boards, design.box.sizes
    square = name != "corner"
    roles = _HIDDEN_ROLES
    if sizes.stave_ends(outer=True)[0] > sizes.foot:  # where they end is set
        roles = roles | {"stave", "filler"}

    def manner(board: str) -> Manner:
        one = boards[board]
        hidden = square and name != "top" and one.role in roles
        return Manner(hidden=hidden, deep=depth_shade(one))

    shot = shot_of((board_body(board) for board in boards.values()), VIEWS[name])
    lines = drawn(shot, manner, lit=not square)
    what = design.parameters.product.title
    return Figure(
        name=name,
        title=title,
        alt=f"{what} {seen}: {len(boards)} boards",
        strokes=lines.strokes,
        rounds=lines.rounds,
        fills=lines.fills,
    )


def depth_shade(board: Board) -> float:
    """Return how much darker a board is drawn than the frame, 0 to 1."""
    return _DEEP.get(board.role, 0.0)
