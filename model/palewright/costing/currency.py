"""Amounts of money: decimal, rounded to the currency's smallest coin, shared without loss."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from fractions import Fraction

ZERO = Decimal(0)


def exactly(number: float) -> Decimal:
    """Return a number that was written or counted as the decimal a person reads."""
    return Decimal(repr(round(number, 9)))


@dataclass(frozen=True, slots=True)
class Currency:
    """A currency: its name, and how many digits its smallest coin has behind the point."""

    name: str
    places: int

    @property
    def coin(self) -> Decimal:
        """The smallest coin."""
        return Decimal(1).scaleb(-self.places)

    def rounded(self, amount: Decimal) -> Decimal:
        """Return an amount to the nearest coin, halves up."""
        return amount.quantize(self.coin, ROUND_HALF_UP)

    def text(self, amount: Decimal) -> str:
        """Return an amount as text, such as ``1204.50``; the currency is named elsewhere."""
        return f"{self.rounded(amount):.{self.places}f}"

    def shared(self, amount: Decimal, weights: Sequence[float]) -> list[Decimal]:
        """Return an amount split by weight into whole coins that add up to it again.

        Each share is its exact part rounded down; the coins left go to the largest remainders,
        the earlier share first.
        """
        coins = int(self.rounded(amount) / self.coin)
        parts = [Fraction(weight) for weight in weights]
        whole = sum(parts)
        if not whole:
            parts, whole = [Fraction(1)] * len(parts), Fraction(len(parts))
        exact = [coins * part / whole for part in parts]
        shares = [int(share) for share in exact]
        order = sorted(range(len(parts)), key=lambda i: (shares[i] - exact[i], i))
        for i in order[: coins - sum(shares)]:
            shares[i] += 1
        return [share * self.coin for share in shares]


def up_to_step(amount: Decimal, step: Decimal) -> Decimal:
    """Return the least multiple of ``step`` that is no less than the amount."""
    return (amount / step).to_integral_value(ROUND_CEILING) * step
