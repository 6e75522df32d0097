"""A cut plan as plain data for JSON: keys and units are fixed, lengths in millimetres."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from palewright.cutting_stock.problem.records import (
    Cut,
    CutPlan,
    Layout,
    Piece,
    Remnant,
    SetUp,
    SetUps,
)


def plan_as_json(plan: CutPlan) -> dict[str, Any]:
    """The plan as dicts, lists, numbers and text.

    `stock` is the board used most; each layout names its own board and size.
    """
    first = plan.stock[0]
    return {
        "boards": plan.boards,
        "lower_bound": plan.lower_bound,
        "proven": plan.proven,
        "gap": plan.gap,
        "yield": round(plan.yield_, 4),
        "kerf_mm": _mm(plan.kerf),
        "stock": {"length_mm": _mm(first.length), "width_mm": _mm(first.width)},
        "linear_bound": round(plan.linear_bound, 4),
        "cost": round(plan.cost, 2),
        "cost_bound": round(plan.cost_bound, 2),
        "boards_used": _boards_used(plan),
        "offcuts_used": plan.offcuts_used,
        "spare_boards": plan.spare,
        "layouts": [
            _layout(layout, lines)
            for layout, lines in zip(plan.layouts, plan.setups.lines, strict=True)
        ],
        "setups": _setups(plan.setups),
    }


def _boards_used(plan: CutPlan) -> list[dict[str, Any]]:
    """Each kind of board and offcut with how many are used, of how many there are."""
    used: dict[str, int] = {}
    on_hand = {layout.stock for layout in plan.layouts if layout.on_hand}
    for layout in plan.layouts:
        used[layout.stock] = used.get(layout.stock, 0) + layout.count
    return [
        {
            "name": kind.name,
            "length_mm": _mm(kind.length),
            "width_mm": _mm(kind.width),
            "price": kind.price,
            "available": kind.available,
            "on_hand": kind.name in on_hand,
            "used": used.get(kind.name, 0),
        }
        for kind in plan.stock
    ]


def _mm(size: float) -> float:
    return round(size, 4)


def _layout(layout: Layout, lines: Sequence[int]) -> dict[str, Any]:
    return {
        "count": layout.count,
        "stock": {
            "name": layout.stock,
            "length_mm": _mm(layout.stock_length),
            "width_mm": _mm(layout.stock_width),
            "on_hand": layout.on_hand,
        },
        "pieces": [_piece(piece) for piece in layout.pieces],
        "cuts": [_cut(cut, line) for cut, line in zip(layout.cuts, lines, strict=True)],
        "offcuts": [_offcut(offcut) for offcut in layout.offcuts],
        "trim_mm": _mm(layout.trim),
        "squared_ends": layout.squared,
    }


def _piece(piece: Piece) -> dict[str, Any]:
    return {
        "part": piece.part,
        "role": piece.role,
        "kit": piece.kit,
        "x_mm": _mm(piece.x),
        "y_mm": _mm(piece.y),
        "length_mm": _mm(piece.length),
        "width_mm": _mm(piece.width),
        "end_angles_deg": [round(angle, 3) for angle in piece.end_angles],
        "turned": piece.turned,
        "block": piece.block,
        "strip": piece.strip,
    }


def _cut(cut: Cut, line: int) -> dict[str, Any]:
    """One cut; line: which of the settings makes it, pieces: those in what it takes off."""
    return {
        "kind": cut.kind,
        "stage": cut.stage,
        "block": cut.block,
        "strip": cut.strip,
        "position_mm": _mm(cut.position),
        "setting_mm": _mm(cut.setting),
        "angle_deg": round(cut.angle, 3),
        "waste": cut.waste,
        "line": line,
        "pieces": list(cut.held),
    }


def _offcut(offcut: Remnant) -> dict[str, Any]:
    return {
        "x_mm": _mm(offcut.x),
        "y_mm": _mm(offcut.y),
        "length_mm": _mm(offcut.length),
        "width_mm": _mm(offcut.width),
        "usable": offcut.usable,
        "whole_width": offcut.whole_width,
    }


def _setups(setups: SetUps) -> dict[str, Any]:
    return {
        "count": setups.count,
        "settings": [_setting(setting) for setting in setups.settings],
        "squaring": [_setting(setups.squaring)] if setups.squaring else [],
        "trade": [
            {"boards": one.boards, "setups": one.setups, "cost": round(one.cost, 2)}
            for one in setups.trade
        ],
    }


def _setting(setting: SetUp) -> dict[str, Any]:
    return {
        "stage": setting.stage,
        "kind": setting.kind,
        "setting_mm": _mm(setting.setting),
        "angle_deg": setting.angle,
        "cuts": setting.cuts,
        "parts": list(setting.parts),
        "places": [{"layout": layout, "block": block} for layout, block in setting.places],
    }
