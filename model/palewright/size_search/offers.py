"""What is offered for a number of boards, ranked, and as settings that build it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from palewright.parameters.tables import Parameters
from palewright.reading.lengths import millimetres, print_length, read_length
from palewright.size_search.looks import Value
from palewright.size_search.pareto_sizes import BoxSize

_EXACT = 1e-6
"""mm: nearer than that a printed length is the length itself."""

_RANKS: Mapping[str, Callable[[BoxSize], float]] = {
    "volume": lambda size: -round(size.volume, 3),
    "outside": lambda size: -round(size.width + size.depth + size.height, 3),
    "price": lambda size: round(size.cost, 2),
}
"""What sizes are ranked by, the least first: most volume, largest outside, cheapest."""


def settings_of(parameters: Parameters, size: BoxSize) -> list[tuple[str, str]]:
    """Return the settings that make the variant this size, as ``--set`` takes them."""
    sides: list[tuple[str, Value]] = [
        ("box.width", size.width), ("box.depth", size.depth), ("box.height", size.height),
    ]  # fmt: skip
    system = parameters.product.units
    return [(key, setting_text(value, system)) for key, value in [*sides, *size.look]]


def setting_text(value: Value, system: str) -> str:
    """Return a setting as a file says it: exact, in the shop's units where they are."""
    if value is None:
        return "auto"
    if isinstance(value, str):
        return value
    text = print_length(value, system)
    return text if abs(read_length(text) - value) < _EXACT else millimetres(value, 4)


def ranks_of(sizes: Sequence[BoxSize]) -> list[dict[str, int]]:
    """Return the place of each size among all, from 1, by volume, outside size and price."""
    return [
        {
            name: 1 + sum(rate(other) < rate(size) for other in sizes)
            for name, rate in _RANKS.items()
        }
        for size in sizes
    ]


def by_volume(sizes: Sequence[BoxSize]) -> list[BoxSize]:
    """Return sizes in order: the most volume first; of several the lower."""
    return sorted(sizes, key=lambda size: (-round(size.volume, 6), size.height, size.width))
