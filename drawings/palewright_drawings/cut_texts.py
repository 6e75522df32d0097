"""Cut plans and saw lists as a person follows them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from palewright.cut_plans import StockPlan
from palewright.cutting import CutPlan, Layout, Piece, SetUp
from palewright.units import print_length

_STAGES = {
    0: "rip every board to its true width",
    1: "crosscut blocks: stop block at",
    2: "rip: fence at",
    3: "crosscut parts: stop block at",
}


def plans_text(plans: Sequence[StockPlan], system: str) -> str:
    """Return all plans: the boards, the saw list, the layouts, stock by stock."""
    return "\n\n".join(_plan_text(one, system) for one in plans)


def _plan_text(one: StockPlan, system: str) -> str:
    """Return one stock's plan."""
    lines = [headline(one, system), *_trade(one.plan), "", "saw list"]
    lines += _saw_list(one.plan.setups.settings, system)
    lines += ["", "board layouts (from the square end)"]
    number = 1
    for layout in one.plan.layouts:
        lines += _layout(layout, number, system)
        number += layout.count
    return "\n".join(lines)


def headline(one: StockPlan, system: str) -> str:
    """Return how many boards, whether fewer could do, and what is used of them."""
    plan, board = one.plan, one.demand.board
    sure = "proven: no plan uses fewer" if plan.proven else f"at least {plan.lower_bound} needed"
    size = f"{print_length(board.length, system)} x {print_length(board.width, system)}"
    spare = f" and {plan.spare} spare" if plan.spare else ""
    hand = f", {plan.offcuts_used} offcuts on hand" if plan.offcuts_used else ""
    boards = "board" if plan.boards == 1 else "boards"
    return (
        f"{one.demand.name} ({size} after squaring): {plan.boards} {boards}{spare}{hand}; {sure}; "
        f"{100 * plan.yield_:.0f} % becomes parts; {plan.setups.count} saw settings"
    )


def _trade(plan: CutPlan) -> list[str]:
    """Return what fewer settings would cost in boards."""
    others = [pair for pair in plan.setups.trade if pair[0] > plan.boards]
    return [f"  {boards} boards would take {count} settings" for boards, count in others]


def _saw_list(settings: Sequence[SetUp], system: str) -> list[str]:
    """Return the saw list: a heading a stage, a line a setting, in working order."""
    lines = []
    for (stage, angle), group in groupby(settings, key=lambda s: (s.stage, s.angle)):
        tilt = f", blade {angle:g}° off square" if angle else ""
        lines.append(f"  {_STAGES.get(stage, 'cut at')}{tilt}")
        for setting in group:
            marks = f"  for {', '.join(setting.parts)}" if setting.parts else ""
            size = print_length(setting.setting, system)
            lines.append(f"    [ ] {size:<14} {setting.cuts:>4} x{marks}")
    return lines


def _layout(layout: Layout, number: int, system: str) -> list[str]:
    """Return one layout: which boards, and the pieces strip by strip."""
    boards = f"board {number}"
    if layout.count > 1:
        boards = f"boards {number} to {number + layout.count - 1}, all alike"
    lines = [f"  {boards}{' (offcut on hand)' if layout.on_hand else ''}"]
    for _, strip in groupby(layout.pieces, key=lambda p: (p.block, p.strip)):
        pieces = list(strip)
        width = print_length(pieces[0].width, system)
        lines.append(f"    {width:<12} " + "  ".join(_piece(piece, system) for piece in pieces))
    return lines


def _piece(piece: Piece, system: str) -> str:
    """Return a piece: its mark, the panel it goes to, its length."""
    return f"{piece.part} ({piece.kit}) {print_length(piece.length, system)}".replace("() ", "")
