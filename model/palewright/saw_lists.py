"""The saw list of a plan as data: steps in working order, a setting a line, pieces with numbers.

Boards are numbered from 1 in the order of the layouts, their blocks lettered from the square end:
``3b`` is the second block of board 3, ``4-9a`` the first block of each of the boards 4 to 9.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from palewright.cutting import CutPlan, Layout, Piece, SetUp

SAFE_BLOCK = 304.8
"""Shorter blocks (mm; 12 in) are not fed along a rip fence by hand: common practice, no source."""

SAFE_PIECE = 152.4
"""Shorter pieces (mm; 6 in) are clamped, not held, at the crosscut: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Made:
    """Pieces of one part: its mark, the trade's word, how many."""

    part: str
    role: str
    count: int


@dataclass(frozen=True, slots=True)
class SawLine:
    """One setting: its size in mm, the boards or blocks that are cut with it, what comes of it.

    ``short``: those of the places that are too short to be fed or held by hand; ``clipped``:
    those that are measured from the board's clipped end; ``late``: those that a later line has
    to rip first, so that one comes back to this one for them.
    """

    size: float
    cuts: int
    places: tuple[str, ...]
    made: tuple[Made, ...] = ()
    short: tuple[str, ...] = ()
    clipped: tuple[str, ...] = ()
    late: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SawStep:
    """Settings that follow each other at one machine.

    Attributes:
        stage: 0 rips boards true, 1 crosscuts blocks, 2 rips strips, 3 crosscuts parts.
        angle: of the mitre gauge, degrees off square; 0 else.
        lines: the greatest setting first.
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

    Their lines, one after the other, are the plan's settings.
    """
    numbers = board_numbers(plan.layouts, first)
    return [
        SawStep(stage, angle, tuple(_line(plan, one, numbers) for one in group))
        for (stage, angle), group in groupby(
            plan.setups.settings, key=lambda one: (one.stage, one.angle)
        )
    ]


def _line(plan: CutPlan, setting: SetUp, numbers: Sequence[tuple[int, int]]) -> SawLine:
    """Return one setting with its places, by board, and its pieces."""
    places, short = [], []
    clipped, late = [], []
    for number, block in setting.places:
        layout, board = plan.layouts[number], numbers[number]
        label = board_label(board) if setting.stage == 0 else block_label(layout, board, block)
        places.append(label)
        if setting.stage == 2 and _block_size(layout, block) < SAFE_BLOCK:
            short.append(label)
        if setting.stage == 1 and _at_clipped_end(layout, block):
            clipped.append(label)
        if setting.stage == 2 and _waits(plan, setting, layout, block):
            late.append(label)
    if setting.stage in (1, 3) and setting.setting < SAFE_PIECE:
        short = places
    made = Counter[tuple[str, str]]()
    for cut_from, piece in _cut_so(plan, setting):
        made[piece.part, piece.role] += cut_from.count
    return SawLine(
        size=setting.setting,
        cuts=setting.cuts,
        places=tuple(dict.fromkeys(places)),
        made=tuple(Made(part, role, made[part, role]) for part, role in sorted(made)),
        short=tuple(dict.fromkeys(short)),
        clipped=tuple(clipped),
        late=tuple(late),
    )


def _cut_so(plan: CutPlan, setting: SetUp) -> Iterator[tuple[Layout, Piece]]:
    """Yield the pieces that a last crosscut with this setting makes, each once."""
    if setting.stage != 3:
        return
    for number in sorted({layout for layout, _ in setting.places}):
        layout = plan.layouts[number]
        strips = {
            (cut.block, cut.strip)
            for cut in layout.cuts
            if cut.stage == 3
            and abs(cut.setting - setting.setting) < 1e-3
            and abs(abs(cut.angle) - setting.angle) < 0.006
        }
        for piece in layout.pieces:
            if (piece.block, piece.strip) in strips and _ends_so(piece, setting):
                yield layout, piece


def _ends_so(piece: Piece, setting: SetUp) -> bool:
    """Return whether a piece has the length of a setting, and an end of its angle."""
    ends = any(abs(abs(angle) - setting.angle) < 0.02 for angle in piece.end_angles)
    return ends and abs(piece.length - setting.setting) < 1e-3


def _waits(plan: CutPlan, setting: SetUp, layout: Layout, block: int) -> bool:
    """Return whether another rip of a block comes first, with a setting further down the list."""
    order = [round(one.setting, 3) for one in plan.setups.settings if one.stage == 2]
    rips = [
        order.index(round(cut.setting, 3))
        for cut in layout.cuts
        if cut.stage == 2 and cut.block == block
    ]
    mine = order.index(round(setting.setting, 3))
    return any(other > mine for other in rips[: rips.index(mine)])


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
        touched = {(cut.block, cut.strip) for cut in layout.cuts if cut.stage == 3}
        for piece in layout.pieces:
            if (piece.block, piece.strip) not in touched:
                made[piece.part, piece.role] += layout.count
    return [Made(part, role, made[part, role]) for part, role in sorted(made)]


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
