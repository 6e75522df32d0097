"""The cheapest packages that hold enough: screws come by the box, not by the piece."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class Pack:
    """A package as sold: what it is called, how many it holds, what it costs."""

    name: str
    holds: int
    price: Decimal


@dataclass(frozen=True, slots=True)
class Purchase:
    """Packages to buy: how many of each, in the order of least price a piece."""

    packs: tuple[tuple[Pack, int], ...]

    @property
    def cost(self) -> Decimal:
        """What all packages cost."""
        return sum((pack.price * count for pack, count in self.packs), Decimal(0))

    @property
    def holds(self) -> int:
        """How many pieces all packages hold."""
        return sum(pack.holds * count for pack, count in self.packs)


def cheapest_packs(needed: int, packs: Sequence[Pack]) -> Purchase:
    """Return the purchase of least cost that holds at least ``needed`` pieces.

    Exact: a search over counts, cheapest package a piece first, cut off where the rest at the
    next package's price a piece can no longer beat the best purchase found.

    Args:
        needed: pieces, 0 or more.
        packs: what is sold, at least one kind.
    """
    kinds = sorted(packs, key=lambda pack: (pack.price / pack.holds, -pack.holds, pack.name))
    best: list[tuple[Decimal, tuple[int, ...]]] = []

    def search(i: int, left: int, cost: Decimal, taken: tuple[int, ...]) -> None:
        """Try every count of the package kinds from ``i`` on that may still be cheaper."""
        if left <= 0:
            if not best or cost < best[0][0]:
                best[:] = [(cost, taken)]
            return
        if i == len(kinds):
            return
        kind = kinds[i]
        # as many of a dearer kind as this one holds could be had in this kind for no more
        others = sum((kind.holds - 1) * dearer.holds for dearer in kinds[i + 1 :])
        least = max(0, (left - others) // kind.holds)
        for count in range(-(-left // kind.holds), least - 1, -1):
            paid, rest = cost + count * kind.price, left - count * kind.holds
            if best and rest > 0:
                if i + 1 == len(kinds):
                    return
                after = kinds[i + 1]
                if paid + rest * after.price / after.holds >= best[0][0]:
                    return  # fewer of this kind leave more for dearer ones
            search(i + 1, rest, paid, (*taken, count))

    search(0, needed, Decimal(0), ())
    counts = best[0][1]
    bought = tuple((pack, count) for pack, count in zip(kinds, counts, strict=False) if count)
    return Purchase(bought)
