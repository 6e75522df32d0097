"""The boards that one box is cut from, as JSON-ready data, and whether fewer could do."""

from __future__ import annotations

from typing import NotRequired

from typing_extensions import TypedDict

from palewright.design import Design
from palewright.reading.errors import InputError
from palewright_drawings.json_reports.parameters import LengthJson, length_as_json


class StockToBuyJson(TypedDict):
    """Boards of one stock; ``name`` is empty for boards that are no kept stock."""

    name: str
    length: LengthJson
    width: LengthJson
    boards: int
    lower_bound: int
    proven: bool


class BoardsToBuyJson(TypedDict):
    """Boards to buy for one box, spares left out.

    ``proven``: no fewer could do. A box with a part that fits on no board has ``refusal`` alone.
    """

    proven: bool
    refusal: NotRequired[str]
    boards: NotRequired[int]
    lower_bound: NotRequired[int]
    stocks: NotRequired[list[StockToBuyJson]]


def boards_to_buy(design: Design) -> BoardsToBuyJson:
    """Return how many boards one box takes, stock by stock.

    What no saw plan can make has a refusal instead.
    """
    try:
        plans = design.board_plans
    except InputError as error:
        return {"proven": False, "refusal": str(error)}
    system = design.parameters.product.units
    stocks: list[StockToBuyJson] = []
    for one in plans:
        sold = one.demand.stock or one.demand.board
        stocks.append(
            {
                "name": one.demand.name,
                "length": length_as_json(sold.length, system),
                "width": length_as_json(sold.width, system),
                "boards": one.plan.boards,
                "lower_bound": one.plan.lower_bound,
                "proven": one.plan.proven,
            }
        )
    return {
        "boards": sum(one["boards"] for one in stocks),
        "lower_bound": sum(one["lower_bound"] for one in stocks),
        "proven": all(one["proven"] for one in stocks),
        "stocks": stocks,
    }
