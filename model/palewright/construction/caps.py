"""The cap: four boards flat on the panels, mitred or butted, with an overhang."""

from __future__ import annotations

import math
from collections.abc import Mapping

from palewright.catalogue.tolerances import TOLERANCES
from palewright.construction.boards import Board, Plane
from palewright.construction.corners import dodged, spread
from palewright.construction.derived_sizes import Sizes
from palewright.construction.joints import Joint, Parts, Screw, names_of
from palewright.construction.standing_walls import Walls
from palewright.construction.tape_lines import Tape
from palewright.geometry.polygons import Polygon, rectangle
from palewright.parameters.tables import CapTable, Parameters
from palewright.reading.errors import InputError
from palewright.reading.lengths import both_units

_DOWN = (0.0, 0.0, -1.0)
_LEAST_OPENING = 20.0
"""Of the cap, mm: a hand and a can spout must pass. Judgement."""


def cap_opening(cap: CapTable, sizes: Sizes) -> tuple[float, float]:
    """Return the clear width and depth (mm) within the cap; with no cap, the outside."""
    taken = 0.0 if cap.style == "none" else 2 * (cap.width - cap.overhang)
    return sizes.width - taken, sizes.depth - taken


def cap_outlines(cap: CapTable, sizes: Sizes) -> dict[str, tuple[Polygon, float]]:
    """Return the four outlines in plan (x, y) with the direction of their grain.

    Raises:
        InputError: if the boards are so wide that they meet in the middle.
    """
    x, y = sizes.width / 2 + cap.overhang, sizes.depth / 2 + cap.overhang
    w = cap.width
    if min(cap_opening(cap, sizes)) < _LEAST_OPENING:
        raise InputError(
            f"cap boards {both_units(w)} wide leave no opening; allowed: at most "
            f"{both_units(min(x, y) - _LEAST_OPENING / 2)}",
            key="cap.width",
        )
    if cap.style == "butt":
        return {
            "front": (rectangle(-x, -y, x, -y + w), 0.0),
            "back": (rectangle(-x, y - w, x, y), 180.0),
            "left": (rectangle(-x, -y + w, -x + w, y - w), -90.0),
            "right": (rectangle(x - w, -y + w, x, y - w), 90.0),
        }
    return {
        "front": (((-x, -y), (x, -y), (x - w, -y + w), (-x + w, -y + w)), 0.0),
        "right": (((x, -y), (x, y), (x - w, y - w), (x - w, -y + w)), 90.0),
        "back": (((x, y), (-x, y), (-x + w, y - w), (x - w, y - w)), 180.0),
        "left": (((-x, y), (-x, -y), (-x + w, -y + w), (-x + w, y - w)), -90.0),
    }


def cap_parts(walls: Walls, *, screwed: bool) -> Parts:
    """Return the cap's boards, and if ``screwed`` their screws into the top rails and their joints.

    The screws aim at the middle of each rail's own thickness.
    """
    parts, sizes, thickness = Parts(), walls.sizes, walls.thickness
    plane = Plane((0.0, 0.0, sizes.top), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    for side, (outline, grain) in cap_outlines(walls.parameters.cap, sizes).items():
        name = f"cap.{side}"
        board = plane.board(name, "cap", sizes.cap, outline, grain, thickness(name, sizes.cap))
        parts.boards.append(board)
        if screwed:
            parts.add(_held_by_rail(board, walls.boards[f"{side}.rail-top"], walls))
    boards = {board.name: board for board in parts.boards}
    parts.joints += _meetings(boards, walls.parameters)
    return parts


def _held_by_rail(board: Board, rail: Board, walls: Walls) -> Parts:
    """Return the screws of one cap board into the rail below it, and the joint they close.

    They keep clear of the wall's screws in that rail, where they come down so far.
    """
    parameters, sizes = walls.parameters, walls.sizes
    screw = parameters.materials.screw["cap"]
    corners = rail.corners
    low = [min(point[i] for point in corners) for i in range(3)]
    high = [max(point[i] for point in corners) for i in range(3)]
    along = 0 if rail.panel in ("front", "back") else 1
    end = TOLERANCES.end_advised * screw.diameter
    room = (high[along] - low[along]) / 2
    first, last = low[along] + min(end, room), high[along] - min(end, room)
    deepest = high[2] + board.thickness - screw.length - TOLERANCES.apart * screw.diameter
    taken = [s.head[along] for s in walls.screws if rail.name in s.stack and s.head[2] > deepest]
    ends = [point[along] for point in board.corners]
    tape = Tape(min(ends), max(ends), sizes.tape)
    places = dodged(spread(first, last, parameters.screws.pitch, screw), taken, first, last, tape)
    parts = Parts()
    for i, place in enumerate(places, start=1):
        head = [(low[0] + high[0]) / 2, (low[1] + high[1]) / 2, high[2] + board.thickness]
        head[along] = place
        parts.screws.append(
            Screw(
                f"{board.name}/{i}",
                screw,
                "cap",
                (head[0], head[1], head[2]),
                _DOWN,
                (board.name, rail.name),
            )
        )
    panel = [one for one in walls.boards.values() if one.panel == rail.panel]
    below = names_of(one for one in panel if _reaches(one, high[2]))
    least = len(places) * TOLERANCES.contact_per_screw
    parts.joints.append(
        Joint(f"{board.name} on panel", "screw", (board.name,), below, _DOWN, least, len(places))
    )
    return parts


def _reaches(board: Board, height: float) -> bool:
    """Return whether a board comes up to a height."""
    return max(point[2] for point in board.corners) > height - 1e-6


def _meetings(boards: Mapping[str, Board], parameters: Parameters) -> list[Joint]:
    """Return the joints where neighbouring cap boards meet; none is glued that opens again."""
    mitre = parameters.cap.style == "mitre"
    opens = parameters.box.kind == "tree" and parameters.tree.halves
    joints = []
    for front in ("front", "back"):
        for side in ("left", "right"):
            x = 1.0 if side == "right" else -1.0
            y = 1.0 if front == "front" else -1.0
            root = math.sqrt(0.5)
            direction = (x * root, y * root, 0.0) if mitre else (0.0, y, 0.0)
            first, second = boards[f"cap.{front}"], boards[f"cap.{side}"]
            joints.append(
                Joint(
                    f"cap corner {front}-{side}",
                    "dry" if opens and front == "back" else "glue",
                    (first.name,),
                    (second.name,),
                    direction,
                    TOLERANCES.contact_glued,
                )
            )
    return joints
