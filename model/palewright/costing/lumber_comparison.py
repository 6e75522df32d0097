"""One box from several lumbers: what it costs in boards, what it weighs, and what is found."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from palewright.catalogue.lumber import Species, Stock
from palewright.costing.batch_price import BatchPrice
from palewright.costing.materials import boards_cost, price_of
from palewright.costing.shop_file import Shop, load_shop
from palewright.design import Design, design
from palewright.fit.findings import Finding
from palewright.parameters.tables import Parameters
from palewright.reading.errors import InputError, nearest
from palewright.sawing.stock_plans import StockPlan

_KEY = "--lumber"


@dataclass(frozen=True)
class Alternative:
    """The box cut from one lumber.

    Attributes:
        name: of the stock.
        stock, species: the panels' boards and their wood.
        design: the box.
        shop: whose prices of boards.
    """

    name: str
    stock: Stock
    species: Species
    design: Design
    shop: Shop

    @cached_property
    def refusal(self) -> str:
        """Why the box cannot be made of it at all; empty where it can."""
        try:
            _ = self.design.verdict, self.plans
        except InputError as error:
            return str(error)
        return ""

    @property
    def fits(self) -> bool:
        """Whether the box can be made of it and fits."""
        return not self.refusal and self.design.verdict.passed

    @property
    def board_price(self) -> Decimal:
        """What a board of the panels' stock costs."""
        return price_of(self.name, self.stock, self.shop)

    @property
    def plans(self) -> list[StockPlan]:
        """The boards of one box, stock by stock.

        Raises:
            InputError: if a part does not fit its stock.
        """
        return self.design.board_plans

    @property
    def boards(self) -> int:
        """How many boards of the panels' stock one box takes."""
        return next(one.plan.boards for one in self.plans if one.demand.stock == self.stock)

    @property
    def cost(self) -> Decimal:
        """What the boards of one box cost, all stocks, in the shop's currency."""
        return boards_cost(self.plans, self.shop)

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
    shop: Shop | None = None,
) -> list[Alternative]:
    """Return the box from each lumber, the cap and the rest as the variant says.

    Args:
        parameters: the box.
        names: stocks, or species: then the stock of that wood that is nearest in size.
        name: of the variant.
        progress: told what is being worked out.
        shop: whose prices of boards; the stocks' own by default.

    Raises:
        InputError: for a name that is neither, for one said twice, or for fewer than two.
    """
    if len(names) < 2:
        raise InputError(
            "nothing to compare; allowed: two names or more, such as cedar,treated-pine", key=_KEY
        )
    shop = shop or load_shop(None)
    found: list[Alternative] = []
    for word in names:
        stock_name = stock_named(word, parameters, _KEY)
        if any(one.name == stock_name for one in found):
            raise InputError(f"'{word}' comes to {stock_name}, which is there already", key=_KEY)
        changed = made_of(parameters, stock_name)
        stock = changed.materials.stock["board"]
        box = design(changed, name, progress)
        found.append(Alternative(stock_name, stock, changed.materials.species[stock], box, shop))
    return found


def made_of(parameters: Parameters, stock: str) -> Parameters:
    """Return a box with its panels' boards from another stock, given by name."""
    lumber = parameters.lumber.model_copy(update={"board": stock})
    return parameters.model_copy(update={"lumber": lumber})


def stock_named(word: str, parameters: Parameters, key: str) -> str:
    """Return the stock that a word means: its name, or that of a wood for the nearest in size.

    Args:
        word: as it was typed.
        parameters: the box, with stocks and woods of its own.
        key: the option that was typed, for complaints.

    Raises:
        InputError: for a word that is neither, or a wood of which no stock is kept.
    """
    stocks, woods = parameters.materials.stocks, parameters.materials.woods
    if word in stocks:
        return word
    if word not in woods:
        known = [*woods, *stocks]
        raise InputError(
            f"no wood or stock '{word}'{nearest(word, known)}; allowed: {', '.join(known)}",
            key=key,
        )
    board = parameters.materials.stock["board"]
    there = [name for name, stock in stocks.items() if stock.species == word]
    if not there:
        raise InputError(f"no stock of {word} is kept; add one as [stock.NAME]", key=key)

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
        for finding in one.design.cured.findings:
            seen.setdefault(finding.key, (finding, []))[1].append(one.name)
    return [
        (finding, tuple(names))
        for finding, names in seen.values()
        if len(names) < len(alternatives)
    ]


@dataclass(frozen=True, slots=True)
class LumberPrice:
    """A batch priced from one lumber.

    Attributes:
        lumber: the stock of the panels' boards, or the wood where variants take several.
        batch: priced; None where it cannot be made of it.
        refusal: why not; empty where it can.
    """

    lumber: str
    batch: BatchPrice | None
    refusal: str = ""

    @property
    def fits(self) -> bool:
        """Whether all of the batch can be made of it and fits."""
        return self.batch is not None and all(box.design.verdict.passed for box in self.batch.boxes)
