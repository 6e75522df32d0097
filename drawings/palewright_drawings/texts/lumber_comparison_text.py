"""The same box from several lumbers, side by side, as text and as data."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from palewright.costing.invented_figures import shop_cautions
from palewright.costing.lumber_comparison import Alternative, differing_findings
from palewright.costing.shop_file import SHIPPED
from palewright.fit.findings import SEVERITIES
from palewright.loads.box_loads import DEFERS
from palewright.reading.lengths import in_one_unit, print_length
from palewright.reading.quantities import POUND, print_mass
from palewright_drawings.output.terminal import pairs, table
from palewright_drawings.texts.check_text import size_text
from palewright_drawings.texts.shop_texts import board_price_texts

if TYPE_CHECKING:
    from palewright_drawings.output.terminal import Part


def _made(alternatives: Sequence[Alternative]) -> list[Alternative]:
    """Return those of which the box can be made."""
    return [one for one in alternatives if not one.refusal]


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
    """Return the rows of the table: what, and one cell a lumber; none where it is not made."""
    first = _made(alternatives)[0]
    system, coins = first.design.parameters.product.units, first.shop.coins
    rows: list[tuple[str, Callable[[Alternative], str]]] = [
        ("boards for one box", lambda one: str(one.boards)),
        ("cost of all boards", lambda one: coins.text(one.cost)),
        ("weight empty", lambda one: print_mass(one.design.loads.weights.empty.mass, system)),
    ]
    if first.design.loads.weights.filled:
        soaked = lambda one: print_mass(one.design.loads.weights.saturated.mass, system)  # noqa: E731
        rows.append(("weight soaked", soaked))
    rows += [
        ("bending used", lambda one: _share(one.bending_used)),
        ("screws used", lambda one: _share(one.screws_used)),
        ("check", _counted),
    ]
    cells = {what: [_NONE if one.refusal else cell(one) for one in alternatives]
             for what, cell in rows}  # fmt: skip
    cells["check"] = [
        _REFUSED if one.refusal else text
        for one, text in zip(alternatives, cells["check"], strict=True)
    ]
    return [
        ("lumber", [one.name for one in alternatives]),
        ("wood", [one.stock.species for one in alternatives]),
        ("thickness", [print_length(one.stock.thickness, system) for one in alternatives]),
        ("price of a board", [str(one.board_price) for one in alternatives]),
        *cells.items(),
    ]


_NONE, _REFUSED = "-", "cannot be made"
"""In the cells of a lumber of which the box cannot be made."""


def comparison_text(alternatives: Sequence[Alternative], source: str = SHIPPED) -> list[Part]:
    """Return the table, what is found with some and not with others, and notes on life.

    Args:
        alternatives: two or more, of one of which at least the box can be made.
        source: where the prices of boards come from, in words.
    """
    made = _made(alternatives)
    first, shop = made[0].design, made[0].shop
    system = first.parameters.product.units
    plans = [plan for one in made for plan in one.plans]
    differing = differing_findings(made)
    refused = [(f"{one.name}, cannot be made:", one.refusal) for one in alternatives if one.refusal]
    found = [
        (
            f"{finding.severity} {finding.code}, {', '.join(names)}:",
            in_one_unit(finding.message, system),
        )
        for finding, names in differing
    ]
    lives = [
        (f"{one.name} ({one.stock.species}):", one.species.life or "nothing is said of this wood")
        for one in alternatives
    ]
    return [
        f"{first.name}, {size_text(first.parameters)}, from {len(alternatives)} lumbers",
        *board_price_texts(shop, source, [one.design for one in made], plans),
        "",
        table([(what, *cells) for what, cells in _rows(alternatives)], gap=3),
        *(["", pairs(refused, indent=2)] if refused else []),
        "",
        "found with some and not with others:" if differing else "the same is found",
        *([table(found, indent=2)] if found else []),
        "",
        "life outdoors:",
        pairs(lives, indent=2),
        "",
        "'Used' is the greatest share of what an ungraded wet board is assumed to carry "
        "(judgement), and of what the standard gives a screw, where it gives a value. Boards are "
        f"those of one box alone. {DEFERS}",
    ]


def comparison_as_json(alternatives: Sequence[Alternative]) -> dict[str, object]:
    """Return the same as JSON-ready data; money as text, masses kg, shares percent."""
    made = _made(alternatives)
    shop = made[0].shop
    plans = [plan for one in made for plan in one.plans]
    return {
        "variant": alternatives[0].design.name,
        "currency": shop.coins.name,
        "cautions": shop_cautions(shop, [one.design for one in made], plans, boards_alone=True),
        "alternatives": [_as_json(one) for one in alternatives],
        "differing": [
            {"stocks": list(names), **finding.as_json()}
            for finding, names in differing_findings(made)
        ],
        "note": DEFERS,
    }


def _as_json(one: Alternative) -> dict[str, object]:
    """Return one lumber; ``refusal`` says why the box cannot be made of it, and little else is."""
    told = {
        "stock": one.name,
        "species": one.stock.species,
        "price": str(one.board_price),
        "refusal": one.refusal,
        "life": one.species.life,
    }
    if one.refusal:
        return {**told, "passed": False}
    return {
        **told,
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
    }


def _rounded(percent: float | None) -> float | None:
    """Return a share to a tenth; None where it is not known."""
    return None if percent is None else round(percent, 1)
