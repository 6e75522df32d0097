"""Cut plans and saw lists as a person at the saw follows them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import groupby
from typing import TYPE_CHECKING

from palewright.cutting_stock import CutPlan, Layout, PartDemand, Piece, StockBoard
from palewright.reading.lengths import degrees, noiseless, tape_text
from palewright.sawing.numbered_plans import (
    NumberedLayout,
    NumberedPlan,
    NumberedSawStep,
    numbered_plans,
)
from palewright.sawing.saw_lists import (
    GAUGE_REACH,
    Made,
    SawLine,
    SawStep,
    block_label,
    board_label,
    kits_of,
    ready_pieces,
)
from palewright.sawing.stock_plans import StockPlan
from palewright_drawings.output.terminal import indented, pairs, table
from palewright_drawings.texts.saw_cautions import saw_cautions

if TYPE_CHECKING:
    from palewright_drawings.output.terminal import Part, Row

_TOOLS = {0: "fence", 1: "stop", 2: "fence", 3: "stop"}
"""What sets the size of a step, by its stage: rips at the fence, crosscuts at the stop."""


def plans_text(
    plans: Sequence[StockPlan], system: str, chosen: Mapping[str, str] | None = None
) -> list[Part]:
    """Return all plans: boards, parts, saw list, layouts, kits, stock by stock; then cautions.

    Args:
        plans: stock by stock.
        system: ``inch`` or ``metric``.
        chosen: by stock, why its plan was taken, as ``price_texts.chosen_texts`` says it.
    """
    said: list[Part] = []
    numbered = numbered_plans(plans)
    key = saw_key(numbered)
    for one in numbered:
        why = (chosen or {}).get(one.plan.demand.name, "")
        said += [*_plan_text(one, system, why, key if one is numbered[0] else []), ""]
    cautions = saw_cautions([one.plan for one in plans], system)
    return [*said, "cautions", _items(cautions)]


def _items(texts: Iterable[str]) -> Part:
    """Return texts as a list."""
    return pairs([("-", text) for text in texts], indent=2, gap=1)


def _plan_text(
    numbered: NumberedPlan, system: str, chosen: str, key: Sequence[tuple[str, str]]
) -> list[Part]:
    """Return one stock's plan, why it was chosen, and the key of its signs."""
    one, plan = numbered.plan, numbered.plan.plan
    said: list[Part] = [headline(one, system), *([indented(chosen, 2)] if chosen else [])]
    said += [indented(text, 2) for text in _summary(one, system)]
    said += ["", _parts(one.demand.parts, system)]
    said += ["", "saw list (set the saw once a line, cut everything on it, tick it)"]
    said += [pairs(key, indent=2)] if key else []
    for steps in numbered.steps:
        heading = step_heading(steps.step, has_clipped_ends(one))
        said += [indented(heading, 2), _settings(steps, system)]
    ready = ready_pieces(plan)
    if ready:
        told = f"to length as their blocks were cut, no further crosscut: {_told(ready)}"
        said.append(indented(told, 5))
    said += ["", "board layouts (square end first; lengths over all)"]
    said.append("  a part's pieces are numbered as they are cut")
    if any(any(part.end_angles) for part in one.demand.parts):
        said.append("  / and \\ lean as the ends do, with the first edge ripped towards you")
    several = len(_bought(plan)) > 1
    for layout in numbered.layouts:
        said += _layout(layout, several, plan.kerf, system)
    return [*said, *_kits(plan)]


def headline(one: StockPlan, system: str) -> str:
    """Return how many boards, whether fewer could do, and what is used of them."""
    plan, several = one.plan, bool(one.demand.also)
    if several and plan.cost:
        sure = "proven: no plan costs less"
        unsure = f"no plan costs less than {plan.cost_bound:.2f}"
    else:
        sure, unsure = "proven: no plan uses fewer", f"at least {plan.lower_bound} needed"
    offcuts = "offcut" if plan.offcuts_used == 1 else "offcuts"
    hand = f", {plan.offcuts_used} {offcuts} on hand" if plan.offcuts_used else ""
    boards = "board" if plan.boards == 1 else "boards"
    spare = f" and {plan.spare} spare" if plan.spare else ""
    size = _size(one.demand.board.length, one.demand.board.width, system)
    kind = "several sizes" if several else f"{size} at true width"
    return (
        f"{one.demand.name} ({kind}): {plan.boards} {boards}{spare}{hand}; "
        f"{sure if plan.proven else unsure}; "
        f"{100 * plan.yield_:.0f} % becomes parts; {plan.setups.count} saw settings"
    )


def _bought(plan: CutPlan) -> dict[str, int]:
    """Return how many boards of each kind are used, those on hand left out."""
    found: dict[str, int] = {}
    for layout in plan.layouts:
        if not layout.on_hand:
            found[layout.stock] = found.get(layout.stock, 0) + layout.count
    return found


def _summary(one: StockPlan, system: str) -> Iterator[str]:
    """Yield what to buy, what was on hand, what fewer settings cost, what is worth keeping."""
    plan = one.plan
    bought = _bought(plan)
    for kind in (one.demand.board, *one.demand.also):
        count, price = bought.get(kind.name, 0), kind.price
        if count and (plan.cost or one.demand.also):
            told = f" at {price:.2f} = {count * price:.2f}" if plan.cost else ""
            yield f"buy {count} x {_tag(kind, one, system)}{told}"
    if plan.cost and len(bought) > 1:
        yield f"together {plan.cost:.2f}"
    if plan.spare:
        yield f"and {plan.spare} more to spare for knots and splits"
    for piece in one.offcuts:
        used = sum(lay.count for lay in plan.layouts if lay.on_hand and lay.stock == piece.name)
        state = f"{used} of {piece.count} used" if used else "not used"
        yield f"on hand: {_size(piece.length, piece.width, system)}, {state}"
    for other in plan.instead:
        yield _instead(other, one, system)
    if plan.boards:
        yield "saw settings and offcuts are the best that were found, without proof"
    kept = _kept(plan)
    if kept:
        sizes = [f"{count} x {_size(*size, system)}" for size, count in kept[:6]]
        rest = sum(count for _, count in kept[6:])
        more = f" and {rest} smaller" if rest else ""
        yield f"offcuts to keep, longest of whole width first: {', '.join(sizes)}{more}"


def _instead(other: CutPlan, one: StockPlan, system: str) -> str:
    """Return what another plan buys, costs and saves beside the plan that is shown."""
    bought, kinds = _bought(other), (one.demand.board, *one.demand.also)
    sizes = [
        f"{bought[kind.name]} x {_tag(kind, one, system)}"
        for kind in kinds
        if bought.get(kind.name)
    ]
    more = other.boards - one.plan.boards
    boards = f"{more} {'board' if more == 1 else 'boards'} more"
    money = other.cost - one.plan.cost
    cost = f" for {other.cost:.2f}, {abs(money):.2f} {'more' if money >= 0 else 'less'}"
    fewer = one.plan.setups.count - other.setups.count
    return (
        f"instead, {boards}: buy {' and '.join(sizes)}{cost if other.cost else ''}; "
        f"{other.setups.count} saw settings, {fewer} fewer"
    )


def _tag(kind: StockBoard, one: StockPlan, system: str) -> str:
    """Return the size that the yard sells a board at, before squaring and true width."""
    own = one.demand.stock if kind is one.demand.board else None
    sold = own or kind
    return _size(sold.length, sold.width, system)


def _kept(plan: CutPlan) -> list[tuple[tuple[float, float], int]]:
    """Return the sizes of offcuts worth keeping and how many: whole width first, then length."""
    found: dict[tuple[bool, float, float], int] = {}
    for layout in plan.layouts:
        for offcut in layout.offcuts:
            if offcut.usable:
                key = (offcut.whole_width, noiseless(offcut.length, 2), noiseless(offcut.width, 2))
                found[key] = found.get(key, 0) + layout.count
    ordered = sorted(found, key=lambda k: (not k[0], -k[1], -k[2]))
    return [((length, width), found[whole, length, width]) for whole, length, width in ordered]


def _size(length: float, width: float, system: str) -> str:
    return f"{tape_text(length, system)} x {tape_text(width, system)}"


def _parts(demands: Sequence[PartDemand], system: str) -> Part:
    """Return the parts: how many, their sizes over all, then edges and mitres if there are any."""
    merged: dict[str, PartDemand] = {}
    for part in demands:
        known = merged.get(part.name)
        merged[part.name] = replace(part, count=part.count + (known.count if known else 0))
    slanted = any(any(part.end_angles) for part in merged.values())
    heading = ["part", "pieces", "length over all", "width"]
    heading += ["long edge", "ends, degrees off square on the mitre gauge"] if slanted else []
    rows = []
    for part in merged.values():
        row = [_name(part.name, part.role), str(part.count)]
        row += [tape_text(size, system) for size in (part.length, part.width)]
        if any(part.end_angles):
            row += [tape_text(max(part.edge_lengths()), system), _ends(part.end_angles)]
        rows.append(row)
    return table(rows, heading, right={1})


def _name(part: str, role: str) -> str:
    """Return what a part is called: its mark and the trade's word."""
    return f"{part} {role}".strip()


def _ends(angles: tuple[float, float]) -> str:
    r"""Return both ends of a part, such as ``/ 45° … 45° \``."""
    left, right = angles
    first, last = _leaning(left, "/", "\\"), _leaning(right, "\\", "/")
    return f"{first} {_degrees(left)} … {_degrees(right)} {last}".strip()


def _degrees(angle: float) -> str:
    return f"{degrees(abs(angle))}°" if angle else "square"


def has_clipped_ends(one: StockPlan) -> bool:
    """Return whether some board of a plan has a clipped end."""
    return any(board.clipped_end > 0 for board in (one.demand.board, *one.demand.also))


def saw_key(plans: Sequence[NumberedPlan]) -> list[tuple[str, str]]:
    """Return the signs that saw lists use, each with its meaning; none that they do not use."""
    lines = [line for plan in plans for step in plan.steps for _, line in step.lines]
    labels = " ".join(place for line in lines for place in line.places)
    key = [
        ("7", "the number of a setting, as it stands on the board layouts"),
        ("3b", "the second block of board 3, counted from the square end"),
        ("4-9b", "the second block of each of the boards 4 to 9"),
        (
            "^",
            "at the clipped end: yards clip the corners of one end of a board. Square that end "
            "too, and measure from there; all else is measured from the end that is not clipped",
        ),
        ("*", "waste is ripped off: the edge that is kept runs along the fence, waste falls free"),
        ("!", "too short to be held or fed by hand: see the cautions"),
    ]
    used = {
        "4-9b": "-" in labels,
        "^": any(line.clipped for line in lines),
        "*": any(line.waste for line in lines),
        "!": any(line.short for line in lines),
    }
    return [(sign, meaning) for sign, meaning in key if used.get(sign, True)]


def step_heading(step: SawStep, clipped: bool) -> str:
    """Return what a step does; ``clipped``: its boards have a clipped end."""
    if step.stage < 0:
        end = ", the one that is not clipped" if clipped else ""
        return f"square one end of every board{end}"
    if step.stage == 0:
        return "rip boards to their true width, so that all are alike; the straighter edge first"
    if step.stage == 1:
        return "crosscut boards into blocks, gauge square"
    if step.stage == 2:
        return "rip into strips, in this order; what is kept runs between blade and fence"
    if not step.angle:
        return "crosscut strips to parts, mitre gauge square"
    how = f"mitre gauge set {degrees(step.angle)}° off square, blade upright"
    if step.angle > GAUGE_REACH:
        how = f"{degrees(step.angle)}° off square, beyond most gauges: see the cautions"
    return f"crosscut strips to parts, {how}; the longer point of the fresh end to the stop"


def _settings(steps: NumberedSawStep, system: str) -> Part:
    """Return the saw list of one step, a line a setting."""
    rows = []
    for number, line in steps.lines:
        places = line_places(steps.step, line)
        made = line_made(line, names=True)
        cuts = f"{line.cuts} cut{'' if line.cuts == 1 else 's'}"
        size = line_size(steps.step, line, system)
        told = f"{made}, from {places}" if made else places
        rows.append(("[ ]", str(number) if number else "", size, cuts, told))
    return table(rows, right={1, 3}, indent=4)


def line_size(step: SawStep, line: SawLine, system: str) -> str:
    """Return what is set: a stop or a fence, or no stop where an end is cut fresh."""
    if not line.size:
        return "no stop" if step.stage < 0 else "no stop, fresh end"
    return f"{_TOOLS[step.stage]} {tape_text(line.size, system)}"


def line_made(line: SawLine, *, names: bool) -> str:
    """Return the pieces that have the size of a line, blanks, and what is left over of others."""
    told = [_told(line.made, names)] if line.made else []
    if line.blanks:
        told.append(f"blanks for {_told(line.blanks, names)}")
    if line.left:
        told.append(f"what is left is {_told(line.left, names)}")
    return "; ".join(told)


def line_places(step: SawStep, line: SawLine) -> str:
    """Return where a line cuts: every board, or boards and blocks with their signs."""
    if step.stage < 0:
        told = " ".join(line.clipped)
        return f"every board; both ends of {told}" if told else "every board"
    if step.stage == 0 and len(step.lines) == 1:
        return "every board"
    return " ".join(_signed(line))


def _signed(line: SawLine) -> list[str]:
    """Return the boards or blocks of a line, each with its signs: ^ clipped, * waste, ! short."""
    return [
        place
        + "^" * (place in line.clipped)
        + "*" * (place in line.waste)
        + "!" * (place in line.short)
        for place in line.places
    ]


def _told(made: Sequence[Made], names: bool = True) -> str:
    """Return pieces such as ``4 A stile, 2 B rail``, or with their marks alone."""
    return ", ".join(
        f"{one.count} {_name(one.part, one.role) if names else one.part}" for one in made
    )


def _layout(one: NumberedLayout, several: bool, kerf: float, system: str) -> list[Part]:
    """Return one layout: which boards, the strips block by block, what is left to keep."""
    layout, numbers = one.layout, one.boards
    boards = f"board {board_label(numbers)}"
    if layout.count > 1:
        boards = f"boards {numbers[0]} to {numbers[1]}, all alike"
    size = _size(layout.stock_length, layout.stock_width, system)
    named = f" (offcut on hand, {size})" if layout.on_hand else f" ({size})" if several else ""
    said: list[Part] = [f"  {boards}{named}"]
    numbered = list(zip(layout.pieces, one.pieces, strict=True))
    blocks: list[Row] = []
    for block, inside in groupby(numbered, key=lambda pair: pair[0].block):
        label = block_label(layout, numbers, block)
        heading = f"{_block_heading(layout, block, system)}{_numbers(one, 1, block)}"
        blocks.append((label, heading))
        strips = []
        top = -kerf
        for _, group in groupby(inside, key=lambda pair: pair[0].strip):
            strip = list(group)
            low = strip[0][0].y
            if low > top + kerf + 0.05:
                waste = tape_text(low - top - 2 * kerf, system)
                strips.append((waste, "of waste first"))
            wide = tape_text(strip[0][0].width, system)
            ripped = _numbers(one, 2, block, strip[0][0].strip)
            strips.append((f"{wide} wide{ripped}", _strip(strip, system)))
            top = low + strip[0][0].width
        blocks.append(("", pairs(strips)))
    said.append(pairs(blocks, indent=4))
    kept = [_size(o.length, o.width, system) for o in layout.offcuts if o.usable]
    return [*said, indented(f"keep: {', '.join(kept)}", 4)] if kept else said


def _numbers(one: NumberedLayout, stage: int, block: int, strip: int = 0) -> str:
    """Return the saw settings that cut a block or a strip off: ``, cut 7``; empty for none."""
    last = max(piece.block for piece in one.layout.pieces)
    found = [
        str(number)
        for cut, number in zip(one.layout.cuts, one.cuts, strict=True)
        if (cut.stage, cut.strip) == (stage, strip)
        and (cut.block == block or (cut.block < 0 and block == last))
    ]
    return f", {'cut' if len(found) == 1 else 'cuts'} {' '.join(found)}" if found else ""


def _block_heading(layout: Layout, block: int, system: str) -> str:
    """Return how long a block is crosscut, or that it is what is left of the board."""
    stops = {cut.block: cut.setting for cut in layout.cuts if cut.stage == 1}
    if block in stops:
        return f"block of {tape_text(stops[block], system)}"
    last = max(piece.block for piece in layout.pieces)
    if -1 in stops and block == last:  # the clipped end is cut off as a block of its own
        return f"block of {tape_text(stops[-1], system)}, measured from the clipped end"
    return "the rest of the board" if stops else "the whole board"


def _strip(strip: Sequence[tuple[Piece, tuple[int, int]]], system: str) -> str:
    """Return the pieces of one strip, equal neighbours together."""
    told = []
    for _, group in groupby(strip, key=lambda pair: (pair[0].part, pair[0].length)):
        some = list(group)
        first = some[0][0]
        numbered = ", ".join(_numbered(piece, numbers) for piece, numbers in some)
        name = f"{first.part} {numbered} {first.role}".strip()
        told.append(f"{name} {tape_text(first.length, system)}")
    return " | ".join(told)


def _numbered(piece: Piece, numbers: tuple[int, int]) -> str:
    """Return a piece's numbers between the strokes of its ends."""
    left, right = piece.end_angles
    return f"{_leaning(left, '/', chr(92))}{board_label(numbers)}{_leaning(right, chr(92), '/')}"


def _leaning(angle: float, longer_below: str, longer_above: str) -> str:
    """Return the stroke of a slanted end; none of a square one."""
    return "" if not angle else longer_below if angle > 0 else longer_above


def _kits(plan: CutPlan) -> list[Part]:
    """Return what is gathered for each panel; nothing where parts have no panel."""
    kits = kits_of(plan)
    if set(kits) <= {""}:
        return []
    heading = "kits (bundle the pieces panel by panel; equal pieces serve any panel)"
    rows = [(kit or "others", _told(made)) for kit, made in kits.items()]
    return ["", heading, pairs(rows, indent=2)]
