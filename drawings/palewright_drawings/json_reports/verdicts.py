"""The object that ``check --json`` prints and ``report.json`` carries: one builder for both."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, NotRequired

from typing_extensions import TypedDict

from palewright.catalogue.lumber import LumberCase
from palewright.costing.materials import boards_cost
from palewright.costing.shop_file import Shop
from palewright.design import Design
from palewright.fit.findings import ChangeJson, FindingJson, merged
from palewright.fit.verdict import CaseJson, SpanJson
from palewright_drawings.json_reports.boards_to_buy import BoardsToBuyJson, boards_to_buy

if TYPE_CHECKING:
    from palewright.fit.checks.kernel_agreement import SolidOpinion
    from palewright.fit.mending import Mending


class SolidOpinionJson(TypedDict):
    """What the solids say of one lumber case; what they see otherwise stands among the findings."""

    case: LumberCase
    pairs: int
    clashes: int
    seat_clearance_mm: SpanJson
    holes: int
    agrees: bool


class MendJson(TypedDict):
    """The one list of changes that cures all faults; ``leaves`` has the codes of what stays."""

    changes: list[ChangeJson]
    leaves: list[str]


class VerdictJson(TypedDict):
    """Whether a box fits, in which lumber, and what was found.

    ``boards`` is how many boards the box has; ``solids`` stands where they were asked, ``mend``
    where something is to be mended.
    """

    variant: str
    passed: bool
    boards: int
    lumber: list[CaseJson]
    solids: NotRequired[list[SolidOpinionJson]]
    mend: NotRequired[MendJson]
    findings: list[FindingJson]


class CheckJson(VerdictJson):
    """What ``check --json`` prints: the verdict, and what to buy for one box.

    ``boards_cost`` is an amount in ``currency``, by the shop's figures; empty where a part fits
    on no board.
    """

    cut: BoardsToBuyJson
    boards_cost: str
    currency: str


def check_as_json(
    design: Design,
    shop: Shop,
    opinions: Sequence[SolidOpinion] = (),
    mending: Mending | None = None,
) -> CheckJson:
    """Return verdict and boards to buy as JSON-ready data; see ``verdict_as_json``.

    Args:
        design: the box.
        shop: whose prices of boards.
        opinions: what the solids say, in the lumber cases where they were asked.
        mending: the one list of changes that cures it, if any.
    """
    cut, coins = boards_to_buy(design), shop.coins
    cost = "" if "refusal" in cut else coins.text(boards_cost(design.board_plans, shop))
    return {
        **verdict_as_json(design, opinions, mending),
        "cut": cut,
        "boards_cost": cost,
        "currency": coins.name,
    }


def verdict_as_json(
    design: Design, opinions: Sequence[SolidOpinion] = (), mending: Mending | None = None
) -> VerdictJson:
    """Return the verdict as JSON-ready data; lengths in mm, numbers to a thousandth.

    Raises:
        InputError: if the parameters cannot be built at all.
    """
    verdict = design.cured
    differing = merged(finding for opinion in opinions for finding in opinion.findings)
    found: VerdictJson = {
        "variant": design.name,
        "passed": verdict.passed and not differing,
        "boards": len(design.box.boards),
        "lumber": [case.as_json() for case in verdict.cases],
        "findings": [finding.as_json() for finding in (*differing, *verdict.findings)],
    }
    if opinions:
        found["solids"] = [_opinion_as_json(one) for one in opinions]
    if mending:
        found["mend"] = {
            "changes": [one.as_json() for one in mending.changes],
            "leaves": [one.code for one in mending.left],
        }
    return found


def _opinion_as_json(opinion: SolidOpinion) -> SolidOpinionJson:
    """Return an opinion as JSON-ready data, without its findings; mm to a thousandth."""
    return {
        "case": opinion.case,
        "pairs": len(opinion.shared),
        "clashes": opinion.clashes,
        "seat_clearance_mm": {
            "min": round(opinion.seat_least, 3) + 0.0,
            "max": round(opinion.seat_greatest, 3) + 0.0,
        },
        "holes": opinion.holes,
        "agrees": opinion.agrees,
    }
