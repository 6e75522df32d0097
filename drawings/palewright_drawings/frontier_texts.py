"""The largest boxes of N boards, searched for, as a table and as JSON-ready data."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from palewright.frontiers import BoxSize, Frontier, frontiers_of
from palewright.parameters import Parameters
from palewright.units import print_length
from palewright_drawings.progress import Progress


def sought(
    parameters: Parameters, boards: Sequence[int], workers: int, progress: Progress
) -> list[Frontier]:
    """Return the frontier of each number of boards, searched by some processes side by side.

    Raises:
        InputError: if the variant's ``size`` table holds no size, or too many.
    """
    progress.begin(f"sizes of {_counts(boards)} boards", len(boards))

    def tell(count: int) -> None:
        progress.advance()
        progress.note(f"{count} boards done")

    if workers == 1 or len(boards) == 1:
        return frontiers_of(parameters, boards, progress=tell)
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        return frontiers_of(parameters, boards, pool, tell)


def _counts(boards: Sequence[int]) -> str:
    """Return the numbers of boards in a few words."""
    return str(boards[0]) if len(boards) == 1 else f"{min(boards)} to {max(boards)}"


def size_as_json(size: BoxSize) -> dict[str, Any]:
    """Return one size; lengths in mm."""
    return {
        "width_mm": round(size.width, 3),
        "depth_mm": round(size.depth, 3),
        "height_mm": round(size.height, 3),
        "stile_mm": round(size.stile, 3),
        "rail_mm": round(size.rail, 3),
        "volume_l": round(size.volume, 2),
        "boards": size.boards,
        "lower_bound": size.lower_bound,
        "yield": round(size.yield_, 4),
        "cost": round(size.cost, 2),
    }


def frontier_as_json(frontier: Frontier) -> dict[str, Any]:
    """Return one frontier; ``undecided`` counts questions that time left open."""
    return {
        "boards": frontier.boards,
        "sizes": [size_as_json(size) for size in frontier.sizes],
        "refused": [{**size_as_json(size), "code": code} for size, code in frontier.refused],
        "undecided": frontier.undecided,
        "plans": frontier.plans,
    }


def frontier_text(frontiers: Sequence[Frontier], system: str) -> str:
    """Return a table, a line a size; a star marks each number's largest volume."""
    lines = ["boards  width       depth       height      volume l   used    cost   l for 1.00"]
    for i, frontier in enumerate(frontiers):
        if i and (len(frontier.sizes) > 1 or len(frontiers[i - 1].sizes) > 1):
            lines.append("")
        most = max((size.volume for size in frontier.sizes), default=0.0)
        if not frontier.sizes:
            lines.append(f"{frontier.boards:>6}  no box of the size table's ranges")
        for size in frontier.sizes:
            sides = (size.width, size.depth, size.height)
            shown = "".join(f"{print_length(side, system):<12}" for side in sides)
            star = "*" if size.volume == most else " "
            money = f"{size.cost:>6.2f}   {size.volume / size.cost:>6.2f}" if size.cost else ""
            lines.append(
                f"{frontier.boards:>6}  {shown}{size.volume:>8.1f}{star} "
                f"{100 * size.yield_:>3.0f} %  {money}".rstrip()
            )
        if frontier.undecided:
            sizes = "larger size" if frontier.undecided == 1 else "larger sizes"
            lines.append(f"        {frontier.undecided} {sizes} left undecided for time")
    if any(frontier.sizes for frontier in frontiers):
        lines += ["", "outside sizes; none here is beaten in every dimension; * the largest volume"]
    refused = [(size, code) for frontier in frontiers for size, code in frontier.refused]
    if refused:
        codes = sorted({code for _, code in refused})
        first = refused[0][0]
        sides = (first.width, first.depth, first.height)
        sizes = "size" if len(refused) == 1 else "sizes"
        lines.append(
            f"{len(refused)} {sizes} did not fit together ({', '.join(codes)}), such as "
            f"{' x '.join(print_length(side, system) for side in sides)}"
        )
    return "\n".join(lines)
