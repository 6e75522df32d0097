"""The saw order: which settings a plan needs, grouped so that each is set once.

First all boards are ripped to their true width, then blocks are crosscut (one stop-block
setting a block length), blocks are ripped (one fence setting a strip width), strips are
crosscut (one stop-block setting a part length, one blade setting an angle).
"""

from __future__ import annotations

import itertools
import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import highspy
import numpy as np

from palewright.cutting.choices import Choice, Question, covers
from palewright.cutting.covering import Column
from palewright.cutting.fillings import Recipe
from palewright.cutting.layouts import block_length, strip_length, strip_loss
from palewright.cutting.records import Layout, SetUp
from palewright.cutting.solver import INFINITY, quiet_model
from palewright.cutting.surplus import BoardGroup
from palewright.cutting.whole import WholeQuestion

Setting = tuple[int, int, int]
MOST_COLUMNS = 700


def saw_settings(layouts: Sequence[Layout]) -> tuple[SetUp, ...]:
    """The settings in working order, the same ones put together.

    Blade angles are counted by their size: a part laid the other way is cut at the same tilt.
    """
    groups: dict[tuple[int, str, float, float], list[tuple[int, set[str]]]] = {}
    widths: dict[float, int] = {}
    for layout in layouts:
        if not layout.on_hand:
            widths[layout.stock_width] = widths.get(layout.stock_width, 0) + layout.count
        for cut in layout.cuts:
            key = (cut.stage, cut.kind, round(cut.setting, 4), round(abs(cut.angle), 2))
            made = {
                piece.part
                for piece in layout.pieces
                if cut.stage == 3
                and (piece.block, piece.strip) == (cut.block, cut.strip)
                and abs(piece.length - cut.setting) < 1e-3
            }
            groups.setdefault(key, []).append((layout.count, made))
    first = [
        SetUp(0, "rip", width, 0.0, boards)
        for width, boards in sorted(widths.items(), reverse=True)
    ]
    rest = [
        SetUp(
            stage,
            "rip" if kind == "rip" else "crosscut",
            setting,
            angle,
            sum(count for count, _ in uses),
            tuple(sorted(set().union(*(made for _, made in uses)))),
        )
        for (stage, kind, setting, angle), uses in sorted(
            groups.items(), key=lambda item: (item[0][0], item[0][3], -item[0][2])
        )
    ]
    return (*first, *rest)


def settings_of(question: WholeQuestion, kind: int, recipe: Recipe) -> frozenset[Setting]:
    """The (stage, length, angle) stop-block settings that a recipe needs; rips are the same
    for every plan, since every strip width is a part's."""
    stock = question.stock[kind]
    found: set[Setting] = set()
    for block in recipe:
        length = block_length(question, stock, block)
        if length < stock.length:
            found.add((1, length, 0))
        for strip in block.strips:
            room = length - (strip_loss(stock, strip) if block.clipped else 0)
            full = strip_length(question, strip) == room
            for part, copies in strip.parts:
                slopes = question.parts[part].ends.slopes
                if not (full and copies == 1 and len(strip.parts) == 1) or any(slopes):
                    found |= {(3, question.parts[part].length, abs(slope)) for slope in slopes}
    return frozenset(found)


def count_settings(question: WholeQuestion, groups: Iterable[BoardGroup]) -> int:
    """How many stop-block settings the groups need together."""
    found: set[Setting] = set()
    for group in groups:
        found |= settings_of(question, group.kind, group.recipe)
    return len(found)


def evened_blocks(question: WholeQuestion, groups: Sequence[BoardGroup]) -> list[BoardGroup]:
    """The same boards with block lengths made alike where the spare length allows it."""
    best = list(groups)
    count = count_settings(question, best)
    lengths = sorted({length for group in best for length in _lengths(question, group)})
    for shorter, longer in itertools.pairwise(lengths):
        tried = [_lengthened(question, group, shorter, longer) for group in best]
        if any(group is None for group in tried):
            continue
        evened = [group for group in tried if group is not None]
        fewer = count_settings(question, evened)
        if fewer < count:
            best, count = evened, fewer
    return best


def _lengths(question: WholeQuestion, group: BoardGroup) -> list[int]:
    stock = question.stock[group.kind]
    return [block_length(question, stock, block) for block in group.recipe]


def _lengthened(
    question: WholeQuestion, group: BoardGroup, shorter: int, longer: int
) -> BoardGroup | None:
    """The group with its blocks of one length made longer, or None where they do not fit."""
    lengths = _lengths(question, group)
    if shorter not in lengths:
        return group
    stock = question.stock[group.kind]
    if any(block.clipped for block in group.recipe):
        return None
    total = sum(longer if length == shorter else length for length in lengths)
    if total > stock.length - stock.clipped:
        return None
    recipe = tuple(
        replace(block, length=longer) if length == shorter else block
        for block, length in zip(group.recipe, lengths, strict=True)
    )
    return replace(group, recipe=recipe)


@dataclass(frozen=True)
class Thrift:
    """A cover with few settings: the choice and the number of settings."""

    choice: Choice
    settings: int


def fewest_settings(
    whole: WholeQuestion,
    question: Question,
    columns: Sequence[Column],
    start: Choice,
    most: int,
    seconds: float,
) -> Thrift:
    """The cover of cost up to `most` with the fewest stop-block settings, among these columns.

    An integer program with one yes-or-no for each setting; stops after `seconds` with the best
    so far, never worse than `start`.
    """
    began = time.monotonic()
    pool = [column for column, _ in start.columns]
    known = {id(column) for column in pool}
    pool += [c for c in columns if id(c) not in known and len(c.counts)][:MOST_COLUMNS]
    needs = [settings_of(whole, column.kind, column.recipe()) for column in pool]
    every = sorted(frozenset().union(*needs))
    used = frozenset().union(*needs[: len(start.columns)])
    left = seconds - (time.monotonic() - began)
    if left <= 0.05:
        return Thrift(start, len(used))
    uses = _solve(question, pool, needs, every, start, most, left)
    if uses is None:
        return Thrift(start, len(used))
    picked = frozenset().union(*(need for need, n in zip(needs, uses, strict=True) if n))
    if len(picked) >= len(used):
        return Thrift(start, len(used))
    pairs = tuple((c, int(n)) for c, n in zip(pool, uses, strict=True) if n)
    return Thrift(Choice(pairs, sum(c.cost * n for c, n in pairs), start.lower), len(picked))


def _solve(
    question: Question,
    pool: Sequence[Column],
    needs: Sequence[frozenset[Setting]],
    every: Sequence[Setting],
    start: Choice,
    most: int,
    seconds: float,
) -> list[int] | None:
    model = quiet_model()
    model.setOptionValue("time_limit", seconds)
    model.setOptionValue("random_seed", 7)
    number, infinity = len(pool), INFINITY
    caps = [_cap(column, question) for column in pool]
    for column, cap in zip(pool, caps, strict=True):
        model.addCol(column.cost * 1e-4, 0.0, float(cap), 0, [], [])
    for _ in every:
        model.addCol(1.0, 0.0, 1.0, 0, [], [])
    total = number + len(every)
    model.changeColsIntegrality(
        total, np.arange(total, dtype=np.int32), np.full(total, highspy.HighsVarType.kInteger)
    )
    for part, wanted in enumerate(question.demand):
        rows = [i for i, column in enumerate(pool) if column.counts[part]]
        model.addRow(
            float(wanted), infinity, len(rows), rows, [float(pool[i].counts[part]) for i in rows]
        )
    paid = [i for i, column in enumerate(pool) if column.cost]
    model.addRow(-infinity, float(most), len(paid), paid, [float(pool[i].cost) for i in paid])
    for k, kind in enumerate(question.kinds):
        if kind.available is not None:
            rows = [i for i, column in enumerate(pool) if column.kind == k]
            model.addRow(-infinity, float(kind.available), len(rows), rows, [1.0] * len(rows))
    place = {setting: number + j for j, setting in enumerate(every)}
    for i, need in enumerate(needs):
        for setting in need:
            model.addRow(-infinity, 0.0, 2, [i, place[setting]], [1.0, -float(caps[i])])
    _suggest(model, needs, place, start, total)
    model.run()
    values = np.array(model.getSolution().col_value)
    if len(values) < total or model.getInfo().primal_solution_status != 2:
        return None
    uses = np.rint(values[:number]).astype(np.int64)
    cost = sum(c.cost * int(n) for c, n in zip(pool, uses, strict=True))
    if cost > most or not covers(pool, uses, question):
        return None
    return [int(n) for n in uses]


def _cap(column: Column, question: Question) -> int:
    useful = column.counts > 0
    return int(np.max(-(-question.demand[useful] // column.counts[useful]), initial=0))


def _suggest(
    model: highspy.Highs,
    needs: Sequence[frozenset[Setting]],
    place: dict[Setting, int],
    start: Choice,
    total: int,
) -> None:
    """Hands the known cover to the solver."""
    values = np.zeros(total)
    for i, (_, uses) in enumerate(start.columns):
        values[i] = uses
        for setting in needs[i]:
            values[place[setting]] = 1.0
    solution = highspy.HighsSolution()
    solution.col_value = list(values)
    model.setSolution(solution)
