"""What the command line says to a person: verdicts, findings, lists."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from palewright.fit.findings import SEVERITIES, Finding, merged
from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright.reading.errors import InputError
from palewright.reading.lengths import in_one_unit, millimetres, print_length
from palewright_drawings.texts.second_opinion import opinion_rows

if TYPE_CHECKING:
    from palewright.design import Design
    from palewright.fit.checks.kernel_agreement import SolidOpinion
    from palewright.fit.findings import Finding


def size_text(parameters: Parameters) -> str:
    """Return the outside size, such as ``16-1/2 x 16-1/2 x 16-1/2 in``."""
    box, system = parameters.box, parameters.product.units
    sizes = [print_length(x, system) for x in (box.width, box.depth, box.height)]
    unit = sizes[0].rpartition(" ")[2]
    return " x ".join(text.rpartition(" ")[0] for text in sizes) + f" {unit}"


WIDE = 100
"""Letters in a line of the terminal."""

_INDENT = 8 * " "
"""Lines that go on stand under the text behind the severity's eight letters."""


def findings_text(findings: Sequence[Finding], system: str, notes: bool = False) -> str:
    """Return faults and warnings, two lines each at most: what, by how much, what mends it.

    Those that one change mends stand together.

    Args:
        findings: with what cures them.
        system: the units of the box: ``inch`` or ``metric``.
        notes: whether to tell the notes too; else how many there are.
    """
    told = [f for f in findings if notes or f.severity != "note"]
    lines: list[str] = []
    for finding in told:
        alike = [f for f in told if f.changes and f.changes == finding.changes]
        if alike and alike[0] is not finding:
            continue
        for one in alike or [finding]:
            last = one is (alike or [finding])[-1]
            lines += _finding_lines(one, last, system)
    hidden = len(findings) - len(told)
    if hidden:
        lines.append(f"{hidden} note{'' if hidden == 1 else 's'}: --notes")
    return "\n".join(lines)


def _finding_lines(finding: Finding, remedied: bool, system: str) -> list[str]:
    """Return a finding as lines, two where that can be.

    The remedy stands on its own where that takes no third line; what helps besides is left out
    where only that leaves it within two.
    """
    case = f" ({finding.case} boards)" if finding.case not in ("", "nominal") else ""
    message = in_one_unit(finding.brief or finding.message, system)
    head = f"{finding.severity:<7} {finding.code}: {message}{case}"
    remedy = finding.remedy if remedied else ""
    parts = [
        textwrap.wrap(text, WIDE, subsequent_indent=_INDENT)
        for text in (head, f"{_INDENT}{remedy}" if remedy else "")
    ]
    if sum(map(len, parts)) <= 2 or finding.severity == "note":
        return parts[0] + parts[1]
    lines = textwrap.wrap(f"{head}: {remedy}", WIDE, subsequent_indent=_INDENT)
    if len(lines) > 2 and finding.changes and finding.advice:
        return _finding_lines(replace(finding, advice=""), remedied, system)
    return lines


def verdict_line(name: str, box: Design) -> str:
    """Return one line: does it fit, and what was found."""
    counts = [
        f"{count} {severity}{'' if count == 1 else 's'}"
        for severity in SEVERITIES
        if (count := sum(f.severity == severity for f in box.verdict.findings))
    ]
    fits = "fits" if box.verdict.passed else "does not fit"
    found = ", ".join(counts) or "nothing found"
    return (
        f"{name}: {fits}; {size_text(box.parameters)}, {len(box.box.boards)} boards cut in "
        f"{len(box.parts)} sizes, {len(box.box.screws)} screws; {found}"
    )


def check_text(
    name: str, box: Design, opinions: Sequence[SolidOpinion] = (), notes: bool = False
) -> str:
    """Return what ``check`` prints: a line a lumber case, the findings, the verdict.

    ``opinions`` are what the solids say, in the lumber cases where they were asked; ``notes`` tells
    the notes too.

    Args:
        name: of the variant.
        box: its design.
        opinions: what the solids say, in the lumber cases where they were asked.
        notes: whether to tell the notes too.
    """
    lines = ["lumber    clashes   side panels' clearance in the lips"]
    for case in box.verdict.cases:
        clear = f"{millimetres(case.seat_least, 2)} to {millimetres(case.seat_greatest, 2)}"
        lines.append(f"{case.case:<9} {case.clashes:>7}   {clear}")
    if opinions:
        lines += ["", *opinion_rows(opinions)]
    differing = merged(finding for opinion in opinions for finding in opinion.findings)
    found = findings_text([*differing, *box.cured.findings], box.parameters.product.units, notes)
    if found:
        lines += ["", found]
    return "\n".join([*lines, "", verdict_line(name, box)])


def variant_rows() -> list[dict[str, str]]:
    """Return name, outside size and title of each shipped variant."""
    rows = []
    for name in shipped_variants():
        try:
            parameters = load_variant(name).parameters
        except InputError as error:
            rows.append({"variant": name, "size": "", "title": str(error)})
            continue
        rows.append(
            {"variant": name, "size": size_text(parameters), "title": parameters.product.title}
        )
    return rows
