"""The saw list of a plan as data: steps in working order, a setting a line, pieces with numbers.

Boards are numbered from 1 in the order of the layouts, their blocks lettered from the square end:
``3b`` is the second block of board 3, ``4-9a`` the first block of each of the boards 4 to 9.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from palewright.cutting_stock import Cut, CutPlan, Layout, SetUp

SAFE_BLOCK = 304.8
"""Shorter blocks (mm; 12 in) are not fed along a rip fence by hand: common practice, no source."""

SAFE_PIECE = 152.4
"""Shorter pieces (mm; 6 in) are clamped, not held, at the crosscut: common practice, no source."""

GAUGE_REACH = 60.0
"""Degrees off square; mitre gauges end at 45 to 60: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Made:
    """Pieces of one part: its mark, the trade's word, how many."""

    part: str
    role: str
    count: int


@dataclass(frozen=True, slots=True)
class SawLine:
    """One setting: its size in mm, the boards or blocks that are cut with it, what comes of it.

    A size of 0 stands for cuts without a stop. ``made``: the pieces that have the size that is set;
    ``left``: those that are finished too, as what is left over beyond the blade; ``blanks``: the
    parts in what comes off to be cut apart by later lines; ``short``: those of the places that are
    too short to be fed or held by hand; ``clipped``: those that are measured from the board's
    clipped end; ``waste``: those of which waste is ripped off, their other edge on the fence.
    """

    size: float
    cuts: int
    places: tuple[str, ...]
    made: tuple[Made, ...] = ()
    short: tuple[str, ...] = ()
    clipped: tuple[str, ...] = ()
    waste: tuple[str, ...] = ()
    blanks: tuple[Made, ...] = ()
    left: tuple[Made, ...] = ()


@dataclass(frozen=True, slots=True)
class SawStep:
    """Settings that follow each other at one machine.

    Attributes:
        stage: -1 squares board ends, which is no setting, 0 rips boards true, 1 crosscuts blocks,
            2 rips strips, 3 crosscuts parts.
        angle: of the mitre gauge, degrees off square; 0 else.
        lines: in working order, mostly the greatest setting first.
    """

    stage: int
    angle: float
    lines: tuple[SawLine, ...]


def board_numbers(layouts: Sequence[Layout], first: int = 1) -> list[tuple[int, int]]:
    """Return the first and last number of the boards of each layout, counted from ``first``."""
    found, number = [], first
    for layout in layouts:
        found.append((number, number + layout.count - 1))
        number += layout.count
    return found


def board_label(numbers: tuple[int, int]) -> str:
    """Return the label of boards cut alike, such as ``3`` or ``4-9``."""
    first, last = numbers
    return str(first) if first == last else f"{first}-{last}"


def block_label(layout: Layout, numbers: tuple[int, int], block: int) -> str:
    """Return a block's label; a board that is not crosscut into blocks has its own."""
    whole = not any(cut.stage == 1 for cut in layout.cuts)
    return board_label(numbers) + ("" if whole else _letter(block))


def _letter(index: int) -> str:
    return chr(97 + index) if index < 26 else _letter(index // 26 - 1) + chr(97 + index % 26)


def saw_steps(plan: CutPlan, first: int = 1) -> list[SawStep]:
    """Return the steps of a plan in working order, its boards numbered from ``first``.

    Their lines, one after the other, are the plan's settings; a step that squares ends is first.
    """
    numbers = board_numbers(plan.layouts, first)
    steps = []
    if plan.setups.squaring is not None:
        steps.append(SawStep(-1, 0.0, (_squaring(plan, plan.setups.squaring, numbers),)))
    for (stage, angle), group in groupby(
        enumerate(plan.setups.settings), key=lambda pair: (pair[1].stage, pair[1].angle)
    ):
        lines = tuple(_line(plan, number, one, numbers) for number, one in group)
        steps.append(SawStep(stage, angle, lines))
    return steps


def _squaring(plan: CutPlan, pass_: SetUp, numbers: Sequence[tuple[int, int]]) -> SawLine:
    """Return the first pass; ``clipped``: boards of which the clipped end is squared too."""
    layouts = [(plan.layouts[number], numbers[number]) for number, _ in pass_.places]
    return SawLine(
        size=0.0,
        cuts=pass_.cuts,
        places=tuple(board_label(board) for _, board in layouts),
        clipped=tuple(board_label(board) for layout, board in layouts if layout.squared > 1),
    )


def _line(
    plan: CutPlan, number: int, setting: SetUp, numbers: Sequence[tuple[int, int]]
) -> SawLine:
    """Return one setting with its places, by board, and its pieces."""
    places, short, clipped = [], [], []
    for index, block in setting.places:
        layout, board = plan.layouts[index], numbers[index]
        label = board_label(board) if setting.stage == 0 else block_label(layout, board, block)
        places.append(label)
        if setting.stage == 2 and _block_size(layout, block) < SAFE_BLOCK:
            short.append(label)
        if setting.stage == 1 and _at_clipped_end(layout, block):
            clipped.append(label)
    if setting.stage in (1, 3) and 0 < setting.setting < SAFE_PIECE:
        short = places
    if setting.angle > GAUGE_REACH:
        short = places
    made, blanks, left = (Counter[tuple[str, str]]() for _ in range(3))
    waste = []
    for index, cut in _cuts_of(plan, number):
        layout = plan.layouts[index]
        if cut.waste:
            waste.append(block_label(layout, numbers[index], cut.block))
        held, finished = set(cut.held), set(cut.made)
        for places_of, count in (
            (finished & held, made),
            (finished - held, left),
            (held - finished, blanks),
        ):
            for place in places_of:
                piece = layout.pieces[place]
                count[piece.part, piece.role] += layout.count
    return SawLine(
        size=setting.setting,
        cuts=setting.cuts,
        places=tuple(dict.fromkeys(places)),
        made=_counted(made),
        short=tuple(dict.fromkeys(short)),
        clipped=tuple(clipped),
        waste=tuple(dict.fromkeys(waste)),
        blanks=_counted(blanks),
        left=_counted(left),
    )


def _counted(made: Counter[tuple[str, str]]) -> tuple[Made, ...]:
    return tuple(Made(part, role, made[part, role]) for part, role in sorted(made))


def _cuts_of(plan: CutPlan, number: int) -> Iterator[tuple[int, Cut]]:
    """Yield the layouts (from 0) and their cuts that one setting makes."""
    for index, (layout, lines) in enumerate(zip(plan.layouts, plan.setups.lines, strict=True)):
        for cut, line in zip(layout.cuts, lines, strict=True):
            if line == number:
                yield index, cut


def _at_clipped_end(layout: Layout, block: int) -> bool:
    """Return whether a block is cut off at the far, clipped end of its board."""
    far = any(cut.stage == 1 and cut.block == -1 for cut in layout.cuts)
    return far and block == max((piece.block for piece in layout.pieces), default=0)


def _block_size(layout: Layout, block: int) -> float:
    """Return the length of a block, mm."""
    if not any(cut.stage == 1 for cut in layout.cuts):
        return layout.stock_length
    sizes = {cut.block: cut.setting for cut in layout.cuts if cut.stage == 1}
    if block in sizes:
        return sizes[block]
    if _at_clipped_end(layout, block):
        return sizes[-1]
    inside = [p for p in layout.pieces if p.block == block]
    return max(p.x + p.length for p in inside) - min(p.x for p in inside)


def ready_pieces(plan: CutPlan) -> list[Made]:
    """Return the pieces that no last crosscut touches: their block has their length already."""
    made = Counter[tuple[str, str]]()
    for layout in plan.layouts:
        touched = {place for cut in layout.cuts for place in cut.made}
        for place, piece in enumerate(layout.pieces):
            if place not in touched:
                made[piece.part, piece.role] += layout.count
    return list(_counted(made))


def piece_numbers(plan: CutPlan) -> list[list[tuple[int, int]]]:
    """Return, layout by layout and piece by piece, the first and last number of that piece.

    The pieces of a part are numbered from 1 through the whole plan; where boards are cut alike
    a piece stands for as many, and its numbers for all of them.
    """
    done = Counter[str]()
    found = []
    for layout in plan.layouts:
        inside = []
        for piece in layout.pieces:
            first = done[piece.part] + 1
            done[piece.part] += layout.count
            inside.append((first, done[piece.part]))
        found.append(inside)
    return found


def kits_of(plan: CutPlan) -> dict[str, list[Made]]:
    """Return what is gathered for each panel, by the panel's name."""
    kits: dict[str, Counter[tuple[str, str]]] = {}
    for layout in plan.layouts:
        for piece in layout.pieces:
            kits.setdefault(piece.kit, Counter())[piece.part, piece.role] += layout.count
    return {
        kit: [Made(part, role, made[part, role]) for part, role in sorted(made)]
        for kit, made in sorted(kits.items())
    }
