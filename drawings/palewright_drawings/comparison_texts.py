"""The same box from several lumbers, side by side, as text and as data."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

import click

from palewright.alternatives import Alternative, alternatives_of, differing_findings
from palewright.errors import InputError
from palewright.findings import SEVERITIES
from palewright.loads.box_loads import DEFERS
from palewright.measures import POUND, print_mass
from palewright.units import print_length
from palewright.variant_files import Variant
from palewright_drawings.command_options import print_json
from palewright_drawings.progress import Progress
from palewright_drawings.texts import size_text

_WIDE = 96


def print_comparison(variant: Variant, words: str, as_json: bool, progress: Progress) -> bool:
    """Print the box from the lumbers that ``--compare`` names; return whether all of them fit.

    Raises:
        InputError: for anything that cannot be used, at its place.
    """
    try:
        several = asked_alternatives(variant, words, progress)
    except InputError as error:
        raise variant.located(error) from None
    if as_json:
        print_json(comparison_as_json(several))
    else:
        click.echo(comparison_text(several))
    return all(one.design.verdict.passed for one in several)


def asked_alternatives(variant: Variant, words: str, progress: Progress) -> list[Alternative]:
    """Return the alternatives that ``--compare`` names, verdict and boards worked out.

    Raises:
        InputError: for anything that cannot be used.
    """
    names = [word.strip() for word in words.split(",") if word.strip()]
    found = alternatives_of(variant.parameters, names, variant.name, progress.note)
    progress.begin("alternatives", 2 * len(found))
    for one in found:
        _ = one.design.verdict
        progress.advance()
        _ = one.plans
        progress.advance()
    return found


def _counted(one: Alternative) -> str:
    """Return whether it fits, and how many findings of each severity there are."""
    findings = one.design.verdict.findings
    counts = [
        f"{count} {severity}{'' if count == 1 else 's'}"
        for severity in SEVERITIES
        if (count := sum(f.severity == severity for f in findings))
    ]
    return ", ".join(["fits" if one.design.verdict.passed else "does not fit", *counts])


def _share(percent: float | None) -> str:
    """Return a share as text."""
    return "not judged" if percent is None else f"{percent:.0f} %"


def _rows(alternatives: Sequence[Alternative]) -> list[tuple[str, list[str]]]:
    """Return the rows of the table: what, and one cell a lumber."""
    system = alternatives[0].design.parameters.product.units
    rows: list[tuple[str, list[str]]] = [
        ("lumber", [one.name for one in alternatives]),
        ("wood", [one.stock.species for one in alternatives]),
        ("thickness", [print_length(one.stock.thickness, system) for one in alternatives]),
        ("price of a board", [f"{one.stock.price:.2f}" for one in alternatives]),
        ("boards for one box", [str(one.boards) for one in alternatives]),
        ("cost of all boards", [f"{one.cost:.2f}" for one in alternatives]),
        ("weight empty", [print_mass(one.design.loads.weights.empty.mass) for one in alternatives]),
    ]
    if alternatives[0].design.loads.weights.filled:
        masses = [print_mass(one.design.loads.weights.saturated.mass) for one in alternatives]
        rows.append(("weight soaked", masses))
    rows += [
        ("bending used", [_share(one.bending_used) for one in alternatives]),
        ("screws used", [_share(one.screws_used) for one in alternatives]),
        ("check", [_counted(one) for one in alternatives]),
    ]
    return rows


def comparison_text(alternatives: Sequence[Alternative]) -> str:
    """Return the table, what is found with some and not with others, and notes on life."""
    first = alternatives[0].design
    rows = _rows(alternatives)
    label = max(len(what) for what, _ in rows)
    wide = [max(len(cells[i]) for _, cells in rows) for i in range(len(alternatives))]
    lines = [f"{first.name}, {size_text(first.parameters)}, from {len(alternatives)} lumbers", ""]
    for what, cells in rows:
        padded = [cell.ljust(width) for cell, width in zip(cells, wide, strict=True)]
        lines.append(f"{what:<{label}}   {'   '.join(padded)}".rstrip())
    differing = differing_findings(alternatives)
    lines += ["", "found with some and not with others:" if differing else "the same is found"]
    for finding, names in differing:
        lines += _paragraph(f"{finding.severity} {finding.code}, {', '.join(names)}: ",
                            finding.message)  # fmt: skip
    lines += ["", "life outdoors:"]
    for one in alternatives:
        head = f"{one.name} ({one.stock.species}): "
        lines += _paragraph(head, one.species.life or "nothing is said of this wood")
    lines += ["", *textwrap.wrap(
        "'Used' is the greatest share of what an ungraded wet board is assumed to carry "
        "(judgement), and of what the standard gives a screw, where it gives a value. Prices are "
        f"the stock's, of one box alone. {DEFERS}", _WIDE
    )]  # fmt: skip
    return "\n".join(lines)


def _paragraph(head: str, text: str) -> list[str]:
    """Return a paragraph that begins with its head and is set in."""
    return textwrap.wrap(f"{head}{text}", _WIDE, initial_indent="  ", subsequent_indent="    ")


def comparison_as_json(alternatives: Sequence[Alternative]) -> dict[str, object]:
    """Return the same as JSON-ready data; money as text, masses kg, shares percent."""
    return {
        "variant": alternatives[0].design.name,
        "alternatives": [
            {
                "stock": one.name,
                "species": one.stock.species,
                "price": str(one.stock.price),
                "boards": one.boards,
                "all_boards": {plan.demand.name: plan.plan.boards for plan in one.plans},
                "proven": all(plan.plan.proven for plan in one.plans),
                "cost": str(one.cost),
                "empty_kg": round(one.design.loads.weights.empty.mass, 3),
                "soaked_kg": round(one.design.loads.weights.saturated.mass, 3),
                "empty_lb": round(one.design.loads.weights.empty.mass / POUND, 2),
                "bending_used_percent": _rounded(one.bending_used),
                "screws_used_percent": _rounded(one.screws_used),
                "passed": one.design.verdict.passed,
                "life": one.species.life,
            }
            for one in alternatives
        ],
        "differing": [
            {"stocks": list(names), **finding.as_json()}
            for finding, names in differing_findings(alternatives)
        ],
        "note": DEFERS,
    }


def _rounded(percent: float | None) -> float | None:
    """Return a share to a tenth; None where it is not known."""
    return None if percent is None else round(percent, 1)
