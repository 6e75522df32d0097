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
    slanted = any(any(p.end_angles) for layout in one.plan.layouts for p in layout.pieces)
    strokes = "; / and \\ lean as the ends do" if slanted else ""
    lines += ["", f"board layouts (square end first, lengths over all{strokes})"]
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
    offcuts = "offcut" if plan.offcuts_used == 1 else "offcuts"
    hand = f", {plan.offcuts_used} {offcuts} on hand" if plan.offcuts_used else ""
    boards = "board" if plan.boards == 1 else "boards"
    return (
        f"{one.demand.name} ({size} after squaring): {plan.boards} {boards}{spare}{hand}; {sure}; "
        f"{100 * plan.yield_:.0f} % becomes parts; {plan.setups.count} saw settings"
    )


def _trade(plan: CutPlan) -> list[str]:
    """Return what fewer settings would cost in boards."""
    others = [pair for pair in plan.setups.trade if pair[0] > plan.boards]
    return [f"  {boards} boards would take {count} saw settings" for boards, count in others]


def _saw_list(settings: Sequence[SetUp], system: str) -> list[str]:
    """Return the saw list: a heading a stage, a line a setting, in working order."""
    lines = []
    for (stage, angle), group in groupby(settings, key=lambda s: (s.stage, s.angle)):
        tilt = f", blade {round(angle, 1):g}° off square" if angle else ""
        lines.append(f"  {_STAGES.get(stage, 'cut at')}{tilt}")
        for setting in group:
            marks = f"  for {', '.join(setting.parts)}" if setting.parts else ""
            size = print_length(setting.setting, system)
            lines.append(f"    [ ] {size:<14} {setting.cuts:>4} x{marks}")
    return lines


def _layout(layout: Layout, number: int, system: str) -> list[str]:
    """Return one layout: which boards, the strips block by block, what is left to keep."""
    boards = f"board {number}"
    if layout.count > 1:
        boards = f"boards {number} to {number + layout.count - 1}, all alike"
    lines = [f"  {boards}{' (offcut on hand)' if layout.on_hand else ''}"]
    for block, inside in groupby(layout.pieces, key=lambda p: p.block):
        lines.append(f"    {_block_heading(layout, block, system)}")
        for _, strip in groupby(inside, key=lambda p: p.strip):
            pieces = list(strip)
            wide = f"{print_length(pieces[0].width, system)} wide"
            told = "   ".join(_piece(piece, system) for piece in pieces)
            lines.append(f"      {wide:<14} {told}")
    kept = [
        f"{print_length(o.length, system)} x {print_length(o.width, system)}"
        for o in layout.offcuts
        if o.usable
    ]
    if kept:
        lines.append(f"    keep: {', '.join(kept)}")
    return lines


def _block_heading(layout: Layout, block: int, system: str) -> str:
    """Return how long a block is crosscut, or that it is what is left of the board."""
    stops = {cut.block: cut.setting for cut in layout.cuts if cut.stage == 1}
    if block in stops:
        return f"block of {print_length(stops[block], system)}"
    if -1 in stops:  # the clipped end is cut off as a block of its own
        return f"block of {print_length(stops[-1], system)} at the clipped end"
    return "the rest of the board" if stops else "the whole board"


def _piece(piece: Piece, system: str) -> str:
    """Return a piece: its mark, the panel it goes to, its length, how its ends lean."""
    left, right = piece.end_angles
    ends = _leaning(left, "/", "\\"), _leaning(right, "\\", "/")
    told = f"{piece.part} ({piece.kit})" if piece.kit else piece.part
    return f"{told} {ends[0]}{print_length(piece.length, system)}{ends[1]}"


def _leaning(angle: float, longer_below: str, longer_above: str) -> str:
    """Return the stroke of a slanted end; none of a square one."""
    return "" if not angle else longer_below if angle > 0 else longer_above
