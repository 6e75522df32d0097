"""The saw list and the board layouts with their numbers: boards, settings, cuts, pieces.

A saw setting has a number in working order; a cut carries the number of the setting it is made
at, so that whoever sets the saw once finds every cut that waits for it. Boards and settings are
numbered through all stocks, the pieces of a part from 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from palewright.cutting_stock import Layout
from palewright.sawing.saw_lists import SawLine, SawStep, board_numbers, piece_numbers, saw_steps
from palewright.sawing.stock_plans import StockPlan

_SAME_LENGTH = 2e-3
"""A rip nearer than this (mm) to the board's width is none."""


@dataclass(frozen=True, slots=True)
class NumberedSawStep:
    """One step of sawing, each line with its number."""

    step: SawStep
    lines: tuple[tuple[int, SawLine], ...]


@dataclass(frozen=True, slots=True)
class NumberedLayout:
    """One way of cutting boards.

    Attributes:
        boards: first and last number of the boards that are cut so.
        layout: the pieces and the cuts.
        rip_number: number of the setting that rips these boards to their true width; 0 where
            they have it.
        cuts: for each cut of the layout, the number of its setting.
        pieces: for each piece, the first and last number of what it is of its part.
    """

    boards: tuple[int, int]
    layout: Layout
    rip_number: int
    cuts: tuple[int, ...]
    pieces: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class NumberedPlan:
    """How the boards of one stock are cut, everything numbered."""

    plan: StockPlan
    steps: tuple[NumberedSawStep, ...]
    layouts: tuple[NumberedLayout, ...]


def numbered_plans(plans: Sequence[StockPlan]) -> list[NumberedPlan]:
    """Return the plans of a box or of a batch with numbers that go on from stock to stock."""
    found: list[NumberedPlan] = []
    board = line = 1
    for one in plans:
        plan = one.plan
        steps, start = [], line
        for step in saw_steps(plan, board):
            if step.stage < 0:  # no setting, so it has no number
                steps.append(NumberedSawStep(step, tuple((0, one) for one in step.lines)))
                continue
            steps.append(NumberedSawStep(step, tuple(enumerate(step.lines, line))))
            line += len(step.lines)
        boards = board_numbers(plan.layouts, board)
        layouts = [
            NumberedLayout(
                numbers,
                layout,
                _rip_number(layout, steps),
                tuple(start + one for one in lines),
                tuple(pieces),
            )
            for layout, numbers, lines, pieces in zip(
                plan.layouts, boards, plan.setups.lines, piece_numbers(plan), strict=True
            )
        ]
        board = boards[-1][1] + 1
        found.append(NumberedPlan(one, tuple(steps), tuple(layouts)))
    return found


def _rip_number(layout: Layout, steps: list[NumberedSawStep]) -> int:
    """Return the number of the setting that rips a layout's boards to their true width, or 0."""
    if not layout.true_rip:
        return 0
    for one in steps:
        for number, line in one.lines:
            if one.step.stage == 0 and abs(line.size - layout.stock_width) < _SAME_LENGTH:
                return number
    raise ValueError(f"no setting rips boards of {layout.stock} to their width")
