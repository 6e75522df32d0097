"""Selling: price for a margin, margin and markup at a price, and when a batch has paid for itself.

With C the cost of a piece, P its price, f the share and d the fixed part that a sale costs in fees,
the profit is P - (f P + d) - C; the margin is its share of the price, the markup its share of the
cost. Without fees that is the definition: m = (P - C)/P, k = (P - C)/C, k = m/(1 - m).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from palewright.costing.currency import ZERO, up_to_step
from palewright.reading.errors import InputError

HUNDRED = Decimal(100)


@dataclass(frozen=True, slots=True)
class Fees:
    """What one sale costs: a share of the price (0 to below 1) and a fixed amount."""

    share: Decimal = ZERO
    fixed: Decimal = ZERO

    def on(self, price: Decimal) -> Decimal:
        """Return the fees of one sale at a price."""
        return self.share * price + self.fixed


@dataclass(frozen=True, slots=True)
class PricedPiece:
    """A piece at a price: what is left of it. Amounts in the shop's currency, exact."""

    cost: Decimal
    price: Decimal
    fees: Decimal

    @property
    def profit(self) -> Decimal:
        """What is left of the price after fees and cost."""
        return self.price - self.fees - self.cost

    @property
    def margin(self) -> Decimal:
        """Profit as a share of the price."""
        return self.profit / self.price if self.price else ZERO

    @property
    def markup(self) -> Decimal | None:
        """Profit as a share of the cost; None where nothing is spent."""
        return self.profit / self.cost if self.cost else None


def offer_at(cost: Decimal, price: Decimal, fees: Fees) -> PricedPiece:
    """Return what is left of a price."""
    return PricedPiece(cost, price, fees.on(price))


def price_for_margin(cost: Decimal, margin: Decimal, fees: Fees, step: Decimal) -> Decimal:
    """Return the least price, a whole multiple of ``step``, that leaves at least a margin.

    Args:
        cost: of one piece.
        margin: share of the price that is to be left, below 1.
        fees: what one sale costs.
        step: prices are multiples of this, above 0.

    Raises:
        InputError: if margin and fees together take the whole price.
    """
    left = 1 - fees.share - margin
    if left <= 0:
        raise InputError(
            f"a margin of {margin * HUNDRED:f} % and fees of {fees.share * HUNDRED:f} % leave "
            "nothing for the cost; allowed: together below 100 %",
            key="selling.margin",
        )
    return up_to_step((cost + fees.fixed) / left, step)


@dataclass(frozen=True, slots=True)
class BreakEven:
    """When a price has paid for what was spent: how many must be sold at it.

    Attributes:
        batch: of a batch, for all of it and a market day's stall; None where all of it do not.
        month: a month, for its overhead and a stall; None where no number does.
    """

    batch: int | None
    month: int | None


def break_even(fixed: Decimal, price: Decimal, variable: Decimal) -> int | None:
    """Return how many must be sold to earn the fixed costs back, rounded up.

    Args:
        fixed: what is spent however many are made.
        price: what one sale brings, fees taken off.
        variable: what one more piece costs.

    Returns:
        None where a piece brings no more than it costs.
    """
    earned = price - variable
    if earned <= 0:
        return None
    return int((fixed / earned).to_integral_value(ROUND_CEILING))
