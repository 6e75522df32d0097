"""How panel jigs lie on their panels: axes, what they bear on, which screw each hole serves."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from palewright.construction.boards import Board, Plane, Vector
from palewright.jigs.panel_plates import (
    Corner,
    PanelView,
    PlateDraft,
    is_turned,
    plane_of,
    same_points,
    symmetries,
)
from palewright.jigs.plates import SAWDUST, PlatePlan
from palewright.jigs.records import Pose, Touch
from palewright.jigs.registry import Bench

_LATER = ("cleat", "post")
"""What is fixed to a panel only after it is drilled."""

_LEAST_MET = 7.0
"""A board that a fence meets along less than this (mm) steadies nothing: it is not counted on."""


def other_ways(bench: Bench, draft: PlateDraft, plan: PlatePlan) -> Iterator[Pose]:
    """Yield the poses in which a whole plate may be laid a half turn round."""
    if draft.share != (1, 1) or plan.end[1] <= plan.end[0]:
        return
    for view, _, _ in draft.uses:
        if "half turn" in symmetries(view):
            seen = view.seen(("left", "top"))
            served = {
                i: name
                for i, point in enumerate(draft.pattern)
                for a, b, name in seen
                if same_points([point], [(a, b)])
            }
            yield panel_pose(bench, plan, view, ("left", "top"), served)


def panel_pose(
    bench: Bench, plan: PlatePlan, view: PanelView, corner: Corner, served: Mapping[int, str]
) -> Pose:
    """Return how a plate lies on a panel with its fences round one corner.

    Args:
        bench: box and jig settings.
        plan: of the plate.
        view: of the panel, as it lies.
        corner: where the fences are.
        served: screws by the plate's holes.
    """
    side, end = corner
    plane = plane_of(view.plan, bench.boards)
    x: Vector = plane.u if side == "left" else _minus(plane.u)
    y: Vector = plane.v if end == "foot" else _minus(plane.v)
    boards = [b for b in bench.boards.values() if b.panel == view.name and b.role not in _LATER]
    staves = [board for board in boards if board.role in ("stave", "filler")]
    turned = is_turned(corner)
    stile = f"{view.name}.stile-{side}"
    rail = f"{view.name}.rail-{'bottom' if end == 'foot' else 'top'}"
    upper = "upper " if turned else ""
    touches = [Touch(f"{upper}side fence", (stile,))]
    level, inward = (view.foot, 1) if end == "foot" else (view.top, -1)
    if plan.end[1] > plan.end[0]:
        met = _met(view, plane, boards, (side, plan.end), level)
        touches.append(Touch(f"{upper}end fence", met))
    if plan.rise:
        span = (plan.inset + SAWDUST, plan.right - SAWDUST)
        met = _met(view, plane, staves, (side, span), level + inward * plan.rise)
        touches.append(Touch(f"{upper}end stop", met))
    if plan.leg and end == "foot":
        touches.append(Touch(f"{upper}foot fence", (stile,)))
        if plan.two_legs:
            far = "left" if side == "right" else "right"
            touches.append(Touch(f"{upper}far foot fence", (f"{view.name}.stile-{far}",)))
    if plan.inset:
        first = staves[0] if side == "left" else staves[-1]
        touches.append(Touch(f"{upper}stave stop", (first.name,)))
    return Pose(
        on=f"{view.name} panel",
        where=f"{side} stile and {end}",
        x=x,
        y=y,
        turned=turned,
        rests_on=tuple(board.name for board in staves),
        side=stile,
        end=rail,
        touches=tuple(touches),
        served=tuple(sorted(served.items())),
    )


def _minus(v: Vector) -> Vector:
    """Return a direction the other way, without negative zeros."""
    return 0.0 - v[0], 0.0 - v[1], 0.0 - v[2]


def _met(
    view: PanelView,
    plane: Plane,
    boards: list[Board],
    span: tuple[str, tuple[float, float]],
    level: float,
) -> tuple[str, ...]:
    """Return the boards of a panel that end at a level along enough of the span of a fence."""
    side, (start, end) = span
    low, high = (start, end) if side == "left" else (view.plan.width - end, view.plan.width - start)
    found = []
    for board in boards:
        away = [tuple(point[k] - plane.origin[k] for k in range(3)) for point in board.corners]
        us = [sum(a[k] * plane.u[k] for k in range(3)) for a in away]
        vs = [sum(a[k] * plane.v[k] for k in range(3)) for a in away]
        ends = min(abs(min(vs) - level), abs(max(vs) - level)) < 1e-6
        if ends and min(max(us), high) - max(min(us), low) > _LEAST_MET:
            found.append(board.name)
    return tuple(found)
