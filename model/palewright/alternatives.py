"""One box from several lumbers: what it costs in boards, what it weighs, and what is found."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from palewright.cut_plans import StockPlan, plan_demands
from palewright.demands import demands_of, saw_of
from palewright.design import Design, design
from palewright.errors import InputError, nearest
from palewright.findings import Finding
from palewright.lumber import Species, Stock, shipped_species, shipped_stock
from palewright.parameters import Parameters

SECONDS = 5.0
"""Time that proving the boards of one stock may take."""

_KEY = "--compare"


@dataclass(frozen=True)
class Alternative:
    """The box cut from one lumber.

    Attributes:
        name: of the stock.
        stock, species: the panels' boards and their wood.
        design: the box.
    """

    name: str
    stock: Stock
    species: Species
    design: Design

    @cached_property
    def plans(self) -> list[StockPlan]:
        """The boards of one box, stock by stock.

        Raises:
            InputError: if a part does not fit its stock.
        """
        demands = demands_of([(self.design, 1)])
        saw = saw_of(self.design.parameters)
        return plan_demands(demands, saw, seconds=SECONDS, setup_seconds=0.0)

    @property
    def boards(self) -> int:
        """How many boards of the panels' stock one box takes."""
        return next(one.plan.boards for one in self.plans if one.demand.stock == self.stock)

    @property
    def cost(self) -> Decimal:
        """What the boards of one box cost, all stocks, in the shop's currency."""
        prices = ((one.demand.stock, one.plan.boards) for one in self.plans)
        return sum((stock.price * count for stock, count in prices if stock), Decimal(0))

    @property
    def bending_used(self) -> float | None:
        """The greatest share (percent) of the assumed bending stress that a board takes."""
        shares = [
            100 * one.stress / one.allowed
            for one in self.design.loads.bent
            if one.allowed is not None
        ]
        return max(shares, default=None)

    @property
    def screws_used(self) -> float | None:
        """The greatest share (percent) of what the standard gives that a screw takes."""
        shares = [100 * one.force / one.value for one in self.design.loads.screws if one.value]
        return max(shares, default=None)


def alternatives_of(
    parameters: Parameters,
    names: Sequence[str],
    name: str = "box",
    progress: Callable[[str], None] | None = None,
) -> list[Alternative]:
    """Return the box from each lumber, the cap and the rest as the variant says.

    Args:
        parameters: the box.
        names: stocks, or species: then the stock of that wood that is nearest in size.
        name: of the variant.
        progress: told what is being worked out.

    Raises:
        InputError: for a name that is neither, for one said twice, or for fewer than two.
    """
    if len(names) < 2:
        raise InputError(
            "nothing to compare; allowed: two names or more, such as cedar,treated-pine", key=_KEY
        )
    found: list[Alternative] = []
    for word in names:
        stock_name = _stock_name(word, parameters)
        if any(one.name == stock_name for one in found):
            raise InputError(f"'{word}' comes to {stock_name}, which is there already", key=_KEY)
        lumber = parameters.lumber.model_copy(update={"board": stock_name})
        changed = parameters.model_copy(update={"lumber": lumber})
        stock = changed.stock_of("board")
        box = design(changed, name, progress)
        found.append(Alternative(stock_name, stock, changed.species_of(stock), box))
    return found


def _stock_name(word: str, parameters: Parameters) -> str:
    """Return the stock that a word means."""
    stocks = {**shipped_stock(), **parameters.stock}
    woods = {**shipped_species(), **parameters.species}
    if word in stocks:
        return word
    if word not in woods:
        known = [*woods, *stocks]
        raise InputError(
            f"no wood or stock '{word}'{nearest(word, known)}; allowed: {', '.join(known)}",
            key=_KEY,
        )
    board = parameters.stock_of("board")
    there = [name for name, stock in stocks.items() if stock.species == word]
    if not there:
        raise InputError(f"no stock of {word} is kept; add one as [stock.NAME]", key=_KEY)

    def unlike(name: str) -> tuple[float, float, float]:
        one = stocks[name]
        return (
            abs(one.thickness - board.thickness) + abs(one.width - board.width) / 10,
            abs(one.length - board.length),
            float(one.price),
        )

    return min(there, key=unlike)


def differing_findings(
    alternatives: Sequence[Alternative],
) -> list[tuple[Finding, tuple[str, ...]]]:
    """Return what is found with some lumbers and not with others: finding, names that have it.

    Findings are the same where code and group are; the first lumber's words are given.
    """
    seen: dict[tuple[str, object], tuple[Finding, list[str]]] = {}
    for one in alternatives:
        for finding in one.design.verdict.findings:
            key = (finding.code, finding.group or finding.boards)
            seen.setdefault(key, (finding, []))[1].append(one.name)
    return [
        (finding, tuple(names))
        for finding, names in seen.values()
        if len(names) < len(alternatives)
    ]
