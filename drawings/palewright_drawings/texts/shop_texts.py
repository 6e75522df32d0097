"""Where a shop's figures come from, in words and as data: how many are still the invented ones."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from palewright.costing.invented_figures import (
    boards_as_shipped,
    figures_as_shipped,
    shop_cautions,
)
from palewright.costing.shop_file import SHIPPED, Shop
from palewright.design import Design
from palewright.sawing.stock_plans import StockPlan


def source_text(shop: Shop, source: str) -> str:
    """Return where figures come from, and how many of them are as shipped.

    Args:
        shop: the figures.
        source: their file, or that they are the invented ones.
    """
    told = figures_as_shipped(shop)
    same, every = (sum(pair[i] for pair in told.values()) for i in (0, 1))
    if source == SHIPPED or not same:
        return source
    tables = ", ".join(f"{table} {n} of {of}" for table, (n, of) in told.items() if n)
    return f"{source}; {same} of its {every} are as shipped, invented: {tables}"


def figure_texts(
    shop: Shop, source: str, designs: Sequence[Design], plans: Sequence[StockPlan]
) -> list[str]:
    """Return where figures come from and what to beware of, in lines.

    Args:
        shop: as for ``source_text``.
        source: as for ``source_text``.
        designs: what is priced.
        plans: the boards that it takes.
    """
    texts = [f"figures: {source_text(shop, source)}{_boards_text(shop, source, plans)}"]
    return texts + [f"caution: {text}" for text in shop_cautions(shop, designs, plans)]


def board_price_texts(
    shop: Shop, source: str, designs: Sequence[Design], plans: Sequence[StockPlan]
) -> list[str]:
    """Return the same as ``figure_texts`` where nothing but boards is priced.

    Args:
        shop: as for ``source_text``.
        source: as for ``source_text``.
        designs: what is priced.
        plans: the boards that it takes.
    """
    told = _boards_text(shop, source, plans)
    texts = [f"all amounts in {shop.coins.name}; figures: {source}{told}"]
    cautions = shop_cautions(shop, designs, plans, boards_alone=True)
    return [*texts, *(f"caution: {text}" for text in cautions)]


def _boards_text(shop: Shop, source: str, plans: Sequence[StockPlan]) -> str:
    """Return which boards are priced as shipped although there is a file of the maker's own."""
    boards = boards_as_shipped(shop, plans) if source != SHIPPED else []
    return f"; boards at shipped prices: {', '.join(dict.fromkeys(boards))}" if boards else ""


def figures_as_json(
    shop: Shop, designs: Sequence[Design], plans: Sequence[StockPlan]
) -> dict[str, Any]:
    """Return how many figures are as shipped.

    ``as_shipped`` by table, ``of`` so many in all, ``boards_as_shipped``: stocks whose price is;
    ``cautions`` in words.
    """
    told = figures_as_shipped(shop)
    return {
        "as_shipped": {table: same for table, (same, _) in told.items() if same},
        "of": sum(every for _, every in told.values()),
        "boards_as_shipped": boards_as_shipped(shop, plans),
        "cautions": shop_cautions(shop, designs, plans),
    }
