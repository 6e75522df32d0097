"""The saw list to tick: settings numbered as on paper, below each the places that it cuts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from palewright.cutting_stock import Cut, Layout
from palewright.sawing.numbered_plans import NumberedLayout, NumberedPlan
from palewright.sawing.saw_lists import SawLine, SawStep, block_label, board_label, ready_pieces
from palewright_drawings.documents.plan.texts import stock_told
from palewright_drawings.texts.cut_texts import (
    has_clipped_ends,
    line_made,
    line_size,
    saw_key,
    step_heading,
)
from palewright_drawings.texts.saw_cautions import saw_cautions


@dataclass(frozen=True, slots=True)
class CutPlace:
    """Where a setting cuts: one tick.

    Attributes:
        label: of the board or block, as on paper: ``3b``.
        signs: ``^`` measured from the clipped end, ``*`` waste is ripped off, ``!`` too short to
            be held by hand.
        cuts: how many, on all boards that the label stands for.
        pieces: what is finished here, by mark and number: ``B2``, ``A1-4``.
    """

    label: str
    signs: str
    cuts: int
    pieces: tuple[str, ...]


def cut_places(plan: NumberedPlan, number: int, step: SawStep, line: SawLine) -> list[CutPlace]:
    """Return the places of one line of the saw list, in its order.

    Args:
        plan: of one stock.
        number: of the line; 0 for the pass that squares ends.
        step: which the line stands in.
        line: a line of this plan.
    """
    cuts = dict.fromkeys(line.places, 0)
    pieces: dict[str, list[str]] = {label: [] for label in line.places}
    for one in plan.layouts:
        layout = one.layout
        if step.stage < 0:
            cuts[board_label(one.boards)] += layout.squared * layout.count
            continue
        if step.stage == 0 and one.rip_number == number:
            cuts[board_label(one.boards)] += layout.count
        for cut, its in zip(layout.cuts, one.cuts, strict=True):
            if its == number:
                cuts[block_label(layout, one.boards, _block(layout, cut))] += layout.count
        for place, (last, block) in enumerate(_finished(one)):
            if last == number:
                label = board_label(one.boards)
                label = block_label(layout, one.boards, block) if step.stage else label
                name = f"{layout.pieces[place].part}{board_label(one.pieces[place])}"
                pieces[label].append(name)
    return [
        CutPlace(label, _signs(line, label), count, tuple(pieces[label]))
        for label, count in cuts.items()
    ]


def _block(layout: Layout, cut: Cut) -> int:
    """Return the block that a cut belongs to; one from the far end is told as -1."""
    return cut.block if cut.block >= 0 else max(piece.block for piece in layout.pieces)


def _finished(one: NumberedLayout) -> list[tuple[int, int]]:
    """Return for each piece of a layout the last setting that it takes, and its block.

    That is its last crosscut; else the rip of its strip, or the last rip of its block where its
    strip is what is left; else the crosscut of its block; else the rip to true width.
    """
    layout = one.layout
    numbered = list(zip(layout.cuts, one.cuts, strict=True))
    found = []
    for place, piece in enumerate(layout.pieces):
        block = [(c, n) for c, n in numbered if _block(layout, c) == piece.block]
        ways = (
            [n for c, n in block if place in c.made],
            [n for c, n in block if c.stage == 2 and c.strip == piece.strip and not c.waste],
            [n for c, n in block if c.stage == 2],
            [n for c, n in block if c.stage == 1],
            [one.rip_number],
        )
        found.append((max(next(way for way in ways if way)), piece.block))
    return found


def _signs(line: SawLine, label: str) -> str:
    """Return the signs of one place."""
    signs = (("^", line.clipped), ("*", line.waste), ("!", line.short))
    return "".join(sign for sign, places in signs if label in places)


def saw_section(plans: Sequence[NumberedPlan], system: str) -> str:
    """Return the saw list as HTML.

    Args:
        plans: numbered.
        system: ``inch`` or ``metric``.
    """
    parts = [_cautions(plans, system)]
    level = 4 if len(plans) > 1 else 3
    for plan in plans:
        if len(plans) > 1:
            stock = stock_told(plan.plan.demand.stock)
            parts.append(f"<h3>{escape(stock[:1].upper() + stock[1:])}</h3>")
        for one in plan.steps:
            told = step_heading(one.step, has_clipped_ends(plan.plan))
            heading = escape(told[0].upper() + told[1:])
            parts.append(f'<h{level} class="work">{heading}</h{level}>')
            parts += [_line(plan, number, one.step, line, system) for number, line in one.lines]
        ready = ", ".join(f"{m.count} {m.part}" for m in ready_pieces(plan.plan.plan))
        if ready:
            parts.append(f"<p>To length as their blocks were cut: {escape(ready)}.</p>")
    return "\n".join(parts)


def _cautions(plans: Sequence[NumberedPlan], system: str) -> str:
    """Return what is to be read before the first cut, and the signs of the list."""
    told = "".join(
        f"<li>{escape(text)}</li>" for text in saw_cautions([p.plan.plan for p in plans], system)
    )
    key = "".join(
        f"<dt>{escape(sign)}</dt><dd>{escape(meaning)}</dd>" for sign, meaning in saw_key(plans)
    )
    return (
        f'<details id="cautions" open><summary>Before the first cut</summary>'
        f'<ul class="told">{told}</ul><dl>{key}</dl></details>'
    )


def _line(plan: NumberedPlan, number: int, step: SawStep, line: SawLine, system: str) -> str:
    """Return one setting with a tick for each of its places."""
    size = line_size(step, line, system)
    made = line_made(line, names=True)
    # a pass that squares ends has no number, and there is one a stock
    name = str(number) if number else f"s{plan.layouts[0].boards[0]}"
    many = f"{line.cuts} cut{'' if line.cuts == 1 else 's'}"
    ticks = "".join(
        tick(
            f"{name}-{place.label}",
            f'<b>{escape(place.label)}{escape(place.signs)}</b> <span class="of">'
            f"{escape(_told(place))}</span>",
            f"{f'cut {number}' if number else 'square'}, {size}, board {place.label}",
        )
        for place in cut_places(plan, number, step, line)
    )
    return (
        f'<section class="line" aria-label="{f"cut {number}" if number else "square ends"}">'
        f'<p class="set"><b class="number">{number or ""}</b> <strong>{escape(size)}</strong> '
        f'<span class="many">{many}</span></p>'
        + (f'<p class="made">{escape(made)}</p>' if made else "")
        + f'<ul class="ticks">{ticks}</ul></section>'
    )


def _told(place: CutPlace) -> str:
    """Return how many cuts, where it is not one, and what is finished by them."""
    told = [f"{place.cuts} ×"] if place.cuts != 1 else []
    return " ".join([*told, *(["→", *place.pieces] if place.pieces else [])])


def tick(name: str, shown: str, next_text: str) -> str:
    """Return one thing to tick off.

    Args:
        name: its own within the page; the tick is kept under it.
        shown: HTML that stands beside the box.
        next_text: how the bar at the foot calls it.
    """
    return (
        f'<li><label><input type="checkbox" data-tick="{escape(name)}" '
        f'data-next="{escape(next_text)}"> <span>{shown}</span></label></li>'
    )
