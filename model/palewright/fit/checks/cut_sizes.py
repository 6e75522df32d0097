"""Check that every board can be cut from its stock, safely, with few saw settings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from palewright.construction.boards import Board
from palewright.construction.face_patterns import FACE_PATTERNS
from palewright.construction.panels import PanelPlan, opening_of, panel_plan
from palewright.fit.cases import FitCase, design_check
from palewright.fit.findings import Finding
from palewright.fit.remedies import Remedy, lowered, raised, set_to, words
from palewright.reading.errors import InputError
from palewright.reading.lengths import both_units, print_length, shop_step, to_shop

_RAIL_CHANGE = 30.0
"""No remedy changes a rail by more than this (mm): the box would look another."""

_FINE = 1e-4
"""mm: as near as a rail's width is solved, before it is rounded to the shop's step."""

_KEYS = {
    "stile": "panel.stile_width",
    "rail": "panel.rail_width",
    "brace": "face.brace_width",
    "bar": "face.bar_width",
    "cap": "cap.width",
    "slat": "floor.slat_width",
    "stave": "wall.stave_width",
    "cleat": "floor.cleat_width",
    "upright": "trellis.strip_width",
    "packer": "trellis.strip_width",
}


@design_check("PW701", "PW704")
def widths(fit: FitCase) -> Iterator[Finding]:
    """Find boards wider than their stock (PW704) or too narrow to rip (PW701); one a role."""
    wide, narrow = dict[str, list[Board]](), dict[str, list[Board]]()
    safe = fit.box.parameters.wall.safe_rip
    for board in fit.box.boards.values():
        if board.width > board.stock.true_width + 1e-6:
            wide.setdefault(board.role, []).append(board)
        elif board.width < min(safe, board.stock.true_width) - 1e-6:
            narrow.setdefault(board.role, []).append(board)
    system = fit.box.parameters.product.units
    for role, boards in wide.items():
        worst = max(boards, key=lambda b: b.width - b.stock.true_width)
        limit = worst.stock.true_width
        key, now = _width_of(worst, fit)
        remedy = lowered(key, now, worst.width - limit, system)
        if role == "slat" and fit.box.parameters.floor.kind == "hung":
            remedy = set_to("floor.kind", "cleats")
        yield Finding(
            "PW704",
            tuple(b.name for b in boards),
            worst.width,
            limit,
            "mm",
            f"{_one(role)} of {both_units(worst.width)} is wider than the stock's true width of "
            f"{both_units(limit)}",
            *remedy,
        )
    for role, boards in narrow.items():
        worst = min(boards, key=lambda b: b.width)
        yield Finding(
            "PW701",
            tuple(b.name for b in boards),
            worst.width,
            safe,
            "mm",
            f"{_one(role)} of {both_units(worst.width)} is narrower than the safe rip of "
            f"{both_units(safe)}",
            *_wider(worst, safe, fit),
        )


def _one(role: str) -> str:
    """Return a board's role with its article: ``a rail``, ``an upright``."""
    return f"{'an' if role[0] in 'aeiou' else 'a'} {role}"


def _width_of(board: Board, fit: FitCase) -> tuple[str, float]:
    """Return the key that sets the width of a board, and what it is now (mm).

    An automatic side stile follows the front's, and an automatic side rail too.
    """
    panel = fit.box.parameters.panel
    if board.panel == "trellis":
        return "trellis.strip_width", board.width
    if board.name.endswith("-middle"):
        return "face.brace_width", board.width
    if board.panel in ("left", "right") and board.role in ("stile", "rail"):
        own = panel.side_stile_width if board.role == "stile" else panel.side_rail_width
        if own is not None:
            return f"panel.side_{board.role}_width", own
        return f"panel.{board.role}_width", getattr(panel, f"{board.role}_width")
    return _KEYS.get(board.role, "wall.safe_rip"), board.width


def _wider(board: Board, safe: float, fit: FitCase) -> Remedy:
    """Return what makes a strip wide enough to rip."""
    if board.role in ("slat", "stave", "filler"):
        return words("")
    key, now = _width_of(board, fit)
    return raised(key, now, safe - board.width, fit.box.parameters.product.units)


@design_check("PW703")
def lengths(fit: FitCase) -> Iterator[Finding]:
    """Find boards longer than their stock with both ends squared (PW703); one a role."""
    long = dict[str, list[Board]]()
    squared = 2 * fit.box.parameters.saw.trim
    for board in fit.box.boards.values():
        if board.length > board.stock.true_length - squared + 1e-6:
            long.setdefault(board.role, []).append(board)
    for role, boards in long.items():
        worst = max(boards, key=lambda b: b.length)
        limit = worst.stock.true_length - squared
        yield Finding(
            "PW703",
            tuple(b.name for b in boards),
            worst.length,
            limit,
            "mm",
            f"{_one(role)} of {both_units(worst.length)} is longer than the stock's "
            f"{both_units(limit)} between squared ends",
            *_shorter(worst, limit, fit),
        )


def _shorter(board: Board, limit: float, fit: FitCase) -> Remedy:
    """Return what makes a board fit its stock."""
    box, system = fit.box.parameters.box, fit.box.parameters.product.units
    over = board.length - limit
    if board.panel == "trellis" and board.role == "upright":
        return lowered("trellis.height", fit.box.parameters.trellis.height, over, system)
    rise = abs(board.placement.grain[2])
    if rise > 0.99:
        return lowered("box.height", box.height, over, system)
    if rise > 0.01:  # a brace's length follows from both sides of its opening, and not evenly
        return words("choose another face, or take longer boards")
    key = "box.width" if abs(board.placement.grain[0]) > 0.5 else "box.depth"
    return lowered(key, box.width if key == "box.width" else box.depth, over, system)


@design_check("PW702")
def near_angles(fit: FitCase) -> Iterator[Finding]:
    """Find saw angles that one setting could serve (PW702), and the rail change that does it."""
    limits = fit.tolerances
    users: dict[float, list[Board]] = {}
    for board in fit.box.boards.values():
        for angle in set(board.end_angles):
            if angle > limits.same_angle:
                users.setdefault(round(angle, 3), []).append(board)
    for first, second in pairwise(sorted(users)):
        if limits.same_angle < second - first < limits.near_angle:
            boards = (*users[first], *users[second])
            yield Finding(
                "PW702",
                tuple(dict.fromkeys(b.name for b in boards)),
                second - first,
                limits.near_angle,
                "deg",
                f"ends are cut at {first:.2f}° and {second:.2f}°: nearly one saw setting",
                *_one_angle(fit),
            )


def _one_angle(fit: FitCase) -> Remedy:
    """Return the side rail width at which the side braces lie as the front's do."""
    parameters, sizes = fit.box.parameters, fit.box.sizes
    front, side = (panel_plan(name, parameters, sizes) for name in ("front", "right"))
    aim = _steepest(front, fit)
    words_only = words("another panel.rail_width may let one saw setting serve both")
    if not aim or not _steepest(side, fit):
        return words_only
    rail = _solved_rail(side, aim, fit)
    if rail is None or abs(rail - sizes.side_rail) < shop_step(parameters.product.units) / 2:
        return words_only
    text = print_length(to_shop(rail, parameters.product.units), parameters.product.units)
    return set_to("panel.side_rail_width", text)


def _steepest(plan: PanelPlan, fit: FitCase) -> float:
    """Return the angle of a panel's steepest brace off the rail, 0 where it has none."""
    opening = opening_of(plan, fit.box.parameters, fit.box.sizes)
    try:
        pieces = FACE_PATTERNS[plan.pattern](opening)
    except InputError:
        return 0.0
    return max((abs(piece.grain) for piece in pieces if piece.role == "brace"), default=0.0)


def _solved_rail(plan: PanelPlan, aim: float, fit: FitCase) -> float | None:
    """Return the rail width (mm) at which a panel's braces lie at ``aim`` degrees, by bisection.

    Wider rails make a lower opening and a flatter brace. None where no sensible rail does it.
    """
    low, high = max(plan.rail - _RAIL_CHANGE, _RAIL_CHANGE / 2), plan.rail + _RAIL_CHANGE
    angles = [_steepest(replace(plan, rail=rail), fit) for rail in (low, high)]
    if not angles[1] < aim < angles[0]:
        return None
    while high - low > _FINE:
        middle = (low + high) / 2
        if _steepest(replace(plan, rail=middle), fit) > aim:
            low = middle
        else:
            high = middle
    return (low + high) / 2
