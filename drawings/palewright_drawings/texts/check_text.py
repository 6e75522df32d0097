"""What ``check`` says: whether the box fits and what it is, what was found, what mends it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from palewright.fit.findings import Change, Finding, merged
from palewright.parameters.tables import Parameters
from palewright.parameters.variant_edits import TYPED, is_shipped
from palewright.parameters.variant_files import load_variant, own_variants, shipped_variants
from palewright.reading.errors import InputError
from palewright.reading.lengths import in_one_unit, print_length
from palewright.reading.quantities import print_mass, print_volume
from palewright_drawings.output.terminal import coloured, pairs, plain, table
from palewright_drawings.texts.second_opinion import CLEARANCE, opinion_table, span_text

if TYPE_CHECKING:
    from palewright.costing.shop_file import Shop
    from palewright.design import Design
    from palewright.fit.checks.kernel_agreement import SolidOpinion
    from palewright.fit.mending import Mending
    from palewright.fit.verdict import Verdict
    from palewright.parameters.variant_files import Variant
    from palewright_drawings.output.terminal import Part, Row


def sizes_text(sides: Sequence[float], system: str) -> str:
    """Return sizes (mm) with the unit once, such as ``16-1/2 x 16-1/2 x 16-1/2 in``."""
    sizes = [print_length(x, system) for x in sides]
    unit = sizes[0].rpartition(" ")[2]
    return " x ".join(text.rpartition(" ")[0] for text in sizes) + f" {unit}"


def size_text(parameters: Parameters) -> str:
    """Return the size over the panels, and to the top of the cap."""
    box = parameters.box
    return sizes_text((box.width, box.depth, box.height), parameters.product.units)


def findings_text(findings: Sequence[Finding], system: str, notes: bool = False) -> list[Part]:
    """Return faults and warnings, two lines each at most: what, by how much, what mends it.

    Those that one change mends stand together.

    Args:
        findings: with what cures them.
        system: the units of the box: ``inch`` or ``metric``.
        notes: whether to tell the notes too; else how many there are.
    """
    told = [f for f in findings if notes or f.severity != "note"]
    rows: list[Row] = []
    for finding in told:
        alike = [f for f in told if f.changes and f.changes == finding.changes] or [finding]
        same = [f for f in told if f.code == finding.code]
        if not notes and len(same) > _MANY:
            if finding is same[0]:
                worst = max(same, key=lambda one: one.distance)
                rows += _finding(worst, True, system)
                rows.append(("", f"and {len(same) - 1} more like it: --all"))
        elif alike[0] is finding:
            for one in alike:
                rows += _finding(one, one is alike[-1], system)
    said: list[Part] = [pairs(rows, gap=1)] if rows else []
    hidden = len(findings) - len(told)
    if hidden:
        said.append(f"{_count(hidden, 'note')}: --notes")
    return said


_MANY = 3
"""More findings of one code than these are told as one."""


def _finding(finding: Finding, remedied: bool, system: str) -> list[Row]:
    """Return a finding in two lines where that can be.

    The remedy stands on its own where that takes no third line; what helps besides is left out
    where only that leaves it within two.
    """
    case = f" ({finding.case} boards)" if finding.case not in ("", "nominal") else ""
    head = f"{finding.code}: {in_one_unit(finding.brief or finding.message, system)}{case}"
    mark = coloured(finding.severity, finding.severity)
    remedy = finding.remedy if remedied else ""
    apart: list[Row] = [(mark, head), ("", remedy)] if remedy else [(mark, head)]
    if finding.severity == "note" or _lines(apart) <= 2:
        return apart
    together: list[Row] = [(mark, f"{head}: {remedy}" if remedy else head)]
    if _lines(together) > 2 and remedied and finding.changes and finding.advice:
        return _finding(replace(finding, advice=""), remedied, system)
    return together


def _lines(rows: Sequence[Row]) -> int:
    """Return how many lines a finding takes in a pipe, beside warnings: the longest mark."""
    return len(plain([pairs([("warning", ""), *rows], gap=1)]).splitlines()) - 1


def _count(number: int, what: str) -> str:
    """Return a number of things, such as ``2 faults``."""
    return f"{number} {what}{'' if number == 1 else 's'}"


def verdict_line(box: Design) -> Part:
    """Return one line: does it fit, with how many faults and warnings."""
    verdict = box.verdict
    counts = Counter(finding.severity for finding in verdict.findings)
    found = [_count(counts[one], one) for one in ("fault", "warning") if counts[one]]
    fits = coloured("fits", "good") if verdict.passed else coloured("does not fit", "fault")
    return coloured(f"{box.name}: ", "head") + fits + "".join(f", {one}" for one in found)


def check_text(
    box: Design,
    shop: Shop,
    variant: Variant,
    mending: Mending | None,
    opinions: Sequence[SolidOpinion] = (),
    notes: bool = False,
) -> list[Part]:
    """Return what ``check`` prints: the verdict, what the box is, what was found, what mends it.

    Args:
        box: the design.
        shop: whose prices of boards.
        variant: it was read from.
        mending: the one list of changes that cures it, if any.
        opinions: what the solids say, in the lumber cases where they were asked.
        notes: whether to tell the notes, each finding's own remedy and the lumber cases too.
    """
    system = box.parameters.product.units
    said: list[Part] = [verdict_line(box), pairs(_facts(box, shop), indent=2)]
    differing = merged(finding for opinion in opinions for finding in opinion.findings)
    said += ["", *findings_text(differing, system)] if differing else []
    found = wrong_text(box, variant, mending, notes)
    said += ["", *found] if found else []
    said += ["", _cases(box.verdict, system)] if notes else []
    return [*said, "", opinion_table(opinions, system)] if opinions else said


def wrong_text(
    box: Design, variant: Variant, mending: Mending | None, notes: bool = False
) -> list[Part]:
    """Return what was found, and the one list of changes that mends it.

    Args:
        box: the design.
        variant: it was read from.
        mending: cures all faults, and the warnings that it does not leave; if any.
        notes: whether to tell everything.
    """
    system = box.parameters.product.units
    findings = box.cured.findings if notes or mending is None or mending.left else None
    if findings is None:  # one list mends all: no finding needs a remedy of its own
        told = [replace(one, changes=(), advice="") if one.severity != "note" else one
                for one in box.verdict.findings]  # fmt: skip
    else:
        left = {one.key for one in mending.left} if mending else None
        told = [
            one
            if notes or left is None or one.severity == "note" or one.key in left
            else replace(one, changes=(), advice="")
            for one in findings
        ]
    said = findings_text(told, system, notes)
    return [*said, "", *_mending(variant, mending)] if mending else said


def _mending(variant: Variant, mending: Mending) -> list[Part]:
    """Return the list of changes as they are typed, and how they are written into the file."""
    head = "to mend it:"
    if mending.taken_back:
        head = "nothing that was tried mends it but taking back what was changed:"
    elif mending.left:
        head = f"to mend all but {', '.join(dict.fromkeys(one.code for one in mending.left))}:"
    said: list[Part] = [coloured(head, "head")]
    said += [f"  --set {typed(one)}" for one in mending.changes]
    if not is_shipped(variant) and not any(file == TYPED for file, _ in variant.places.values()):
        said.append(f"or have it written into the file: palewright check {variant.path} --fix")
    return said


def typed(change: Change) -> str:
    """Return a change as it is typed, such as ``box.width="21-3/4 in"``."""
    return (
        f'{change.key}="{change.value}"' if " " in change.value else f"{change.key}={change.value}"
    )


def changes_text(changes: Sequence[Change]) -> str:
    """Return changes in words, such as ``box.width to 21-3/4 in``."""
    return " and ".join(f"{one.key} to {one.value}" for one in changes)


def _facts(box: Design, shop: Shop) -> list[tuple[str, str]]:
    """Return what a maker asks first: sizes, what it holds, boards to buy, weight."""
    parameters, weights, system = box.parameters, box.loads.weights, box.parameters.product.units
    soil = weights.soil
    holds = (
        f"{sizes_text((soil.width, soil.depth), system)}, {print_length(soil.height, system)} "
        f"deep: {print_volume(soil.volume, system)} {'of soil' if weights.loose else 'for pots'}"
    )
    if parameters.box.kind == "tree":
        tree = parameters.tree
        stand = print_length(tree.stand_diameter, system)
        high = print_length(tree.stand_height, system)
        holds = f"a tree's stand {stand} across, {high} high"
    elif not weights.filled:
        holds = "no soil"
    soaked = f", {print_mass(weights.saturated.mass, system)} full and soaked"
    return [
        ("outside", _outside(box)),
        ("inside", holds),
        ("to buy", _to_buy(box, shop)),
        ("to cut", f"{_count(len(box.box.boards), 'piece')} in {_count(len(box.parts), 'size')}"),
        ("weight", f"{print_mass(weights.empty.mass, system)}{soaked if weights.filled else ''}"),
    ]


def _outside(box: Design) -> str:
    """Return the room that it takes, over the cap, with the trellis's height where it has one."""
    system = box.parameters.product.units
    solid = [one for one in box.box.boards.values() if one.panel != "trellis"]
    corners = [corner for one in solid for corner in one.corners]
    sides = [max(c[i] for c in corners) - min(c[i] for c in corners) for i in range(2)]
    capped = any(one.panel == "cap" for one in solid)
    text = sizes_text((*sides, box.box.sizes.height), system)
    text += " over the cap" if capped else ""
    top = max(c[2] for one in box.box.boards.values() for c in one.corners)
    more = top > box.box.sizes.height + 1.0  # mm: the trellis stands out of the box
    return f"{text}; {print_length(top, system)} high with its trellis" if more else text


def _to_buy(box: Design, shop: Shop) -> str:
    """Return the boards of one box and what they cost; why not where a part fits on none."""
    from palewright.costing.materials import boards_cost

    try:
        plans = box.board_plans
    except InputError as error:
        return f"not counted: {error.message}"
    system = box.parameters.product.units
    boards = []
    for one in plans:
        sold = one.demand.stock or one.demand.board
        size = sizes_text((sold.length, sold.width), system)
        boards.append(f"{_count(one.plan.boards, 'board')} of {one.demand.name} ({size})")
    cost = f"{shop.coins.text(boards_cost(plans, shop))} {shop.coins.name}"
    return f"{' and '.join(boards)}: {cost}; {len(box.box.screws)} screws"


def _cases(verdict: Verdict, system: str) -> Part:
    """Return a row a lumber case."""
    rows = [
        (case.case, str(case.clashes), span_text(case.seat_least, case.seat_greatest, system))
        for case in verdict.cases
    ]
    return table(rows, ("lumber", "clashes", CLEARANCE), right={1})


def variant_rows(folder: Path | None = None) -> list[dict[str, str]]:
    """Return name, outside size, title and place of the variants of a folder, and the shipped."""
    rows = []
    own = own_variants(folder) if folder else {}
    for place, found in (("here", own), ("shipped", shipped_variants())):
        for name, path in found.items():
            try:
                parameters = load_variant(str(path)).parameters
                size, title = size_text(parameters), parameters.product.title
            except InputError as error:
                size, title = "", str(error)
            rows.append({"variant": name, "size": size, "title": title, "place": place})
    return rows
