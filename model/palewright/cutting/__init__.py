"""Cut plans: fewest boards for a list of parts, with the order of sawing."""

from palewright.cutting.partslist import parts_from_text, read_parts
from palewright.cutting.planner import SETUP_WORK, WORK, first_plan, plan_cuts
from palewright.cutting.quick_bounds import quick_bound, whole_boards
from palewright.cutting.records import (
    Cut,
    CutKind,
    CutPlan,
    CuttingError,
    Labour,
    Layout,
    NotEnoughBoards,
    Offcut,
    PartDemand,
    PartDoesNotFit,
    PartsListError,
    Piece,
    Remnant,
    SawSettings,
    SetUp,
    SetUps,
    StockBoard,
    Trade,
)
from palewright.cutting.report import plan_as_json
from palewright.cutting.thrift import FEWER_SETTINGS

__all__ = [
    "FEWER_SETTINGS",
    "SETUP_WORK",
    "WORK",
    "Cut",
    "CutKind",
    "CutPlan",
    "CuttingError",
    "Labour",
    "Layout",
    "NotEnoughBoards",
    "Offcut",
    "PartDemand",
    "PartDoesNotFit",
    "PartsListError",
    "Piece",
    "Remnant",
    "SawSettings",
    "SetUp",
    "SetUps",
    "StockBoard",
    "Trade",
    "first_plan",
    "parts_from_text",
    "plan_as_json",
    "plan_cuts",
    "quick_bound",
    "read_parts",
    "whole_boards",
]
