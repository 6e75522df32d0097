"""What the command line says to a person: verdicts, findings, lists."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from palewright.errors import InputError
from palewright.findings import SEVERITIES, Finding, merged
from palewright.parameters import Parameters
from palewright.units import millimetres, print_length
from palewright.variant_files import load_variant, shipped_variants
from palewright_drawings.solid_opinions import opinion_rows

if TYPE_CHECKING:
    from palewright.checks.solids import SolidOpinion
    from palewright.design import Design


def size_text(parameters: Parameters) -> str:
    """Return the outside size, such as ``16-1/2 x 16-1/2 x 16-1/2 in``."""
    box, system = parameters.box, parameters.product.units
    sizes = [print_length(x, system) for x in (box.width, box.depth, box.height)]
    unit = sizes[0].rpartition(" ")[2]
    return " x ".join(text.rpartition(" ")[0] for text in sizes) + f" {unit}"


def findings_text(findings: Iterable[Finding]) -> str:
    """Return the findings, a paragraph each: what, both numbers, what to do."""
    lines = []
    for finding in findings:
        case = f" ({finding.case} lumber)" if finding.case else ""
        lines.append(f"{finding.severity:<7} {finding.code}{case}: {finding.message}")
        lines.append(f"        {finding.remedy}")
    return "\n".join(lines)


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


def check_text(name: str, box: Design, opinions: Sequence[SolidOpinion] = ()) -> str:
    """Return what ``check`` prints: a line a lumber case, the findings, the verdict.

    ``opinions`` are what the solids say, in the lumber cases where they were asked.
    """
    lines = ["lumber    clashes   side panels' clearance in the lips"]
    for case in box.verdict.cases:
        clear = f"{millimetres(case.seat_least, 2)} to {millimetres(case.seat_greatest, 2)}"
        lines.append(f"{case.case:<9} {case.clashes:>7}   {clear}")
    if opinions:
        lines += ["", *opinion_rows(opinions)]
    differing = merged(finding for opinion in opinions for finding in opinion.findings)
    found = findings_text([*differing, *box.verdict.findings])
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
