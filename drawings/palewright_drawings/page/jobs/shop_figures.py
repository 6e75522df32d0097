"""Whose figures the page's prices are made of: read once, at the start of the server.

Each worker is told them as it starts; no request can name a shop file.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from palewright.costing.shop_file import shipped_figures
from palewright.reading.errors import InputError

if TYPE_CHECKING:
    from palewright.costing.shop_file import Shop

    Figures = tuple[Shop, str]

_kept: list[Figures] = []


def keep_figures(figures: Figures) -> None:
    """Have all designs of this process priced by a shop's figures; their source is in words."""
    _kept[:] = [figures]


def kept_figures() -> Figures:
    """Return the shop's figures and where they come from, in words; as shipped if none are kept."""
    return _kept[0] if _kept else shipped_figures()


def usable(figures: Figures) -> Figures:
    """Return the shop's figures if they lead to a price at all.

    Raises:
        InputError: for a margin that no price leaves, at its key of the shop's file.
    """
    from palewright.costing.currency import exactly
    from palewright.costing.selling_price import HUNDRED, price_for_margin

    shop, source = figures
    try:
        price_for_margin(HUNDRED, exactly(shop.selling.margin) / 100, shop.fees, shop.selling.step)
    except InputError as error:
        raise error.at(file=source) from None
    return figures
