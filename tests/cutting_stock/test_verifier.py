"""The verifier refuses plans that are wrong in one place."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

import pytest

from cut_verifier import Board, Wanted, complaints

KERF = 3.0
BOARDS = [Board("b", 1000.0, 100.0)]
WANTED = [Wanted("rail", 300.0, 40.0, 4), Wanted("stave", 380.0, 100.0, 1)]

Json = dict[str, Any]


def good_plan() -> Json:
    """Two rails beside two rails in one block of two pieces, then a stave."""
    rails = [
        {"part": "rail", "x_mm": x, "y_mm": y, "length_mm": 300.0, "width_mm": 40.0}
        for y in (0.0, 43.0)
        for x in (0.0, 303.0)
    ]
    stave = {"part": "stave", "x_mm": 606.0, "y_mm": 0.0, "length_mm": 380.0, "width_mm": 100.0}
    cuts = [
        {"kind": "crosscut", "stage": 1, "position_mm": 603.0},
        {"kind": "crosscut", "stage": 1, "position_mm": 986.0},
        {"kind": "rip", "stage": 2, "position_mm": 40.0},
        {"kind": "rip", "stage": 2, "position_mm": 83.0},
        {"kind": "crosscut", "stage": 3, "position_mm": 300.0},
    ]
    offcut = {"x_mm": 0.0, "y_mm": 86.0, "length_mm": 603.0, "width_mm": 14.0}
    layout = {
        "count": 1,
        "stock": {"name": "b", "on_hand": False},
        "pieces": [*rails, stave],
        "cuts": cuts,
        "offcuts": [offcut],
    }
    return {"boards": 1, "lower_bound": 1, "layouts": [layout]}


def test_a_good_plan_passes() -> None:
    assert complaints(good_plan(), WANTED, BOARDS, KERF) == []


def _drop_piece(plan: Json) -> None:
    plan["layouts"][0]["pieces"].pop(0)


def _double_count(plan: Json) -> None:
    plan["layouts"][0]["count"] = 2


def _thin_kerf(plan: Json) -> None:
    plan["layouts"][0]["pieces"][1]["x_mm"] = 301.0


def _overlap(plan: Json) -> None:
    plan["layouts"][0]["pieces"][2]["y_mm"] = 20.0


def _off_the_board(plan: Json) -> None:
    plan["layouts"][0]["pieces"][-1]["x_mm"] = 625.0


def _short_piece(plan: Json) -> None:
    plan["layouts"][0]["pieces"][0]["length_mm"] = 299.0


def _turned_piece(plan: Json) -> None:
    piece = plan["layouts"][0]["pieces"][0]
    piece["length_mm"], piece["width_mm"] = piece["width_mm"], piece["length_mm"]


def _missing_rip(plan: Json) -> None:
    plan["layouts"][0]["cuts"].pop(2)


def _missing_crosscut(plan: Json) -> None:
    plan["layouts"][0]["cuts"].pop(4)


def _cuts_out_of_order(plan: Json) -> None:
    plan["layouts"][0]["cuts"].reverse()


def _offcut_over_a_piece(plan: Json) -> None:
    plan["layouts"][0]["offcuts"][0]["y_mm"] = 60.0


def _bound_above(plan: Json) -> None:
    plan["lower_bound"] = 2


def _fewer_boards_stated(plan: Json) -> None:
    plan["boards"] = 0


def _unknown_board(plan: Json) -> None:
    plan["layouts"][0]["stock"]["name"] = "other"


def _wrong_ends(plan: Json) -> None:
    plan["layouts"][0]["pieces"][0]["end_angles_deg"] = [10.0, 0.0]


@pytest.mark.parametrize(
    "spoil",
    [
        _drop_piece,
        _double_count,
        _thin_kerf,
        _overlap,
        _off_the_board,
        _short_piece,
        _turned_piece,
        _missing_rip,
        _missing_crosscut,
        _cuts_out_of_order,
        _offcut_over_a_piece,
        _bound_above,
        _fewer_boards_stated,
        _unknown_board,
        _wrong_ends,
    ],
)
def test_a_spoilt_plan_is_refused(spoil: Callable[[Json], None]) -> None:
    plan = copy.deepcopy(good_plan())
    spoil(plan)
    assert complaints(plan, WANTED, BOARDS, KERF)


def test_a_pinwheel_is_not_separable() -> None:
    wanted = [Wanted("long", 60.0, 30.0, 2), Wanted("tall", 30.0, 60.0, 2)]
    places = [("long", 0, 0, 60, 30), ("tall", 63, 0, 30, 60)]
    places += [("long", 33, 63, 60, 30), ("tall", 0, 33, 30, 60)]
    pieces = [
        {"part": name, "x_mm": x, "y_mm": y, "length_mm": length, "width_mm": width}
        for name, x, y, length, width in places
    ]
    layout = {
        "count": 1,
        "stock": {"name": "b", "on_hand": False},
        "pieces": pieces,
        "cuts": [],
        "offcuts": [],
    }
    plan = {"boards": 1, "lower_bound": 1, "layouts": [layout]}
    found = complaints(plan, wanted, [Board("b", 93.0, 93.0)], KERF)
    assert any("not separable" in text for text in found)


def test_pieces_in_the_dog_eared_corner_are_refused() -> None:
    board = Board("b", 1000.0, 100.0, None, 20.0, 20.0)
    plan = good_plan()
    assert any("off the board" in text for text in complaints(plan, WANTED, [board], KERF))
