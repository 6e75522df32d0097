"""The largest boxes of N boards, searched for, as a table and as JSON-ready data."""

from __future__ import annotations

import math
from collections.abc import Sequence
from concurrent.futures import Executor
from typing import Any

from palewright.parameters.tables import Parameters
from palewright.reading.lengths import print_length
from palewright.size_search.pareto_search import WORK, frontiers_of
from palewright.size_search.pareto_sizes import BoxSize, Frontier, Sides
from palewright.size_search.size_grid import is_square, ranges_of
from palewright_drawings.output.progress import Progress


def sought(
    parameters: Parameters,
    boards: Sequence[int],
    workers: int,
    progress: Progress,
    work: float = WORK,
    executor: Executor | None = None,
) -> list[Frontier]:
    """Return the frontier of each number of boards, searched by some processes side by side.

    Args:
        parameters: the variant.
        boards: numbers of boards.
        workers: how many processes; with 1 all is done here.
        progress: told how far the search is.
        work: counted work for the search, in seconds of a quiet processor.
        executor: does the work where ``workers`` is 1; None: it is done here.

    Raises:
        InputError: if the variant's ``size`` table holds no size, or too many.
    """
    teller = _Teller(progress, _counts(boards))
    if workers == 1:
        return frontiers_of(parameters, boards, executor, teller, work)
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import active_children, get_context

    others = set(active_children())
    with ProcessPoolExecutor(
        workers, mp_context=get_context("spawn"), initializer=_leave_interrupts
    ) as pool:
        try:
            return frontiers_of(parameters, boards, pool, teller, work)
        except BaseException:
            for child in set(active_children()) - others:
                child.terminate()  # else the last plans would be waited for
            raise


def _leave_interrupts() -> None:
    """Leave an interrupt to the process that asked: it ends its workers and says so once."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)


class _Teller:
    """Passes on how far a search is: a bar for each of its parts."""

    def __init__(self, progress: Progress, counts: str) -> None:
        self.progress, self.counts = progress, counts
        self.what, self.done = "", 0

    def __call__(self, what: str, done: int, steps: int) -> None:
        """Move the bar, or begin the next."""
        if what != self.what:
            self.progress.begin(f"{self.counts} boards: {what}", steps)
            self.what, self.done = what, 0
        self.progress.advance(done - self.done)
        self.done = done


def _counts(boards: Sequence[int]) -> str:
    """Return the numbers of boards in a few words."""
    return str(boards[0]) if len(boards) == 1 else f"{min(boards)} to {max(boards)}"


def size_as_json(size: BoxSize) -> dict[str, Any]:
    """Return one size; lengths in mm."""
    return {
        "width_mm": round(size.width, 3),
        "depth_mm": round(size.depth, 3),
        "height_mm": round(size.height, 3),
        "stile_mm": round(size.way.stile, 3),
        "rail_mm": round(size.way.rail, 3),
        "wall": size.way.layout,
        "volume_l": round(size.volume, 2),
        "boards": size.boards,
        "lower_bound": size.lower_bound,
        "yield": round(size.yield_, 4),
        "cost": round(size.cost, 2),
    }


def _sides_as_json(sides: Sides) -> dict[str, float]:
    """Return an outside size; mm."""
    names = ("width_mm", "depth_mm", "height_mm")
    return {name: round(side, 3) for name, side in zip(names, sides, strict=True)}


def frontier_as_json(frontier: Frontier, parameters: Parameters) -> dict[str, Any]:
    """Return one frontier; ``undecided`` counts the sizes in ``open`` and ``unreached``.

    ``ranges`` are the sides that were sought, from the least to the greatest.
    """
    ranges = ranges_of(parameters)
    return {
        "boards": frontier.boards,
        "ranges": {
            "step_mm": round(parameters.size.step, 3),
            "square": is_square(parameters),
            **{f"{side}_mm": [round(end, 3) for end in ranges[side]] for side in ranges},
        },
        "sizes": [size_as_json(size) for size in frontier.sizes],
        "refused": [{**_sides_as_json(one.sides), "code": one.code} for one in frontier.refused],
        "undecided": frontier.undecided,
        "open": [
            {
                **_sides_as_json(one.sides),
                "lower_bound": one.lower_bound,
                "upper_bound": one.upper_bound,
            }
            for one in frontier.open
        ],
        "unreached": [
            {"width_mm": round(width, 3), "depth_mm": round(depth, 3), "heights": heights}
            for width, depth, heights in frontier.unreached
        ],
    }


def frontier_text(frontiers: Sequence[Frontier], parameters: Parameters, work: float = WORK) -> str:
    """Return a table, a line a size; a star marks each number's largest volume.

    What is not said there, and what to do about it, stands below it.
    """
    system = parameters.product.units
    lines = ["boards  width       depth       height      volume l   used    cost   l for 1.00"]
    for i, frontier in enumerate(frontiers):
        if i and (len(frontier.sizes) > 1 or len(frontiers[i - 1].sizes) > 1):
            lines.append("")
        most = max((size.volume for size in frontier.sizes), default=0.0)
        if not frontier.sizes:
            lines.append(f"{frontier.boards:>6}  no box of the size table's ranges")
        for size in frontier.sizes:
            shown = "".join(f"{print_length(side, system):<12}" for side in size.sides)
            star = "*" if size.volume == most else " "
            money = f"{size.cost:>6.2f}   {size.volume / size.cost:>6.2f}" if size.cost else ""
            lines.append(
                f"{frontier.boards:>6}  {shown}{size.volume:>8.1f}{star} "
                f"{100 * size.yield_:>3.0f} %  {money:<15}  {_other_way(size, parameters)}".rstrip()
            )
    if any(frontier.sizes for frontier in frontiers):
        lines += ["", "outside sizes; none here is beaten in every dimension; * the largest volume"]
    lines.append(_sought(parameters))
    return "\n".join([*lines, *_left_out(frontiers, system, work)])


def _sought(parameters: Parameters) -> str:
    """Return in a line where sizes were sought."""
    system, ranges = parameters.product.units, ranges_of(parameters)
    sides = ("width", "height") if is_square(parameters) else ("width", "depth", "height")
    names = {"width": "width and depth alike"} if is_square(parameters) else {}
    said = (
        f"{names.get(side, side)} {' to '.join(print_length(end, system) for end in ranges[side])}"
        for side in sides
    )
    return f"sought: {', '.join(said)}, by {print_length(parameters.size.step, system)} ([size])"


def _other_way(size: BoxSize, parameters: Parameters) -> str:
    """Return in words what is built otherwise than the variant says."""
    panel, system = parameters.panel, parameters.product.units
    said = []
    if size.way.stile != panel.stile_width:
        said.append(f"stiles {print_length(size.way.stile, system)}")
    if size.way.rail != panel.rail_width:
        said.append(f"rails {print_length(size.way.rail, system)}")
    if size.way.layout != parameters.wall.layout:
        said.append(f"walls {size.way.layout}")
    return ", ".join(said)


def _left_out(frontiers: Sequence[Frontier], system: str, work: float) -> list[str]:
    """Return a line for sizes that do not fit, and lines for those that are undecided."""
    lines = []
    refused = {one.sides: one for frontier in frontiers for one in frontier.refused}
    if refused:
        codes = sorted({one.code for one in refused.values()})
        first = next(iter(refused))
        lines.append(
            f"{_sizes(len(refused))} left out: not fitting together ({', '.join(codes)}), such as "
            f"{_sides_text(first, system)}"
        )
    for frontier in frontiers:
        if frontier.open:
            largest = max(frontier.open, key=lambda one: math.prod(one.sides))
            lines.append(
                f"{frontier.boards} boards: {_sizes(len(frontier.open))} left undecided, "
                f"the largest {_sides_text(largest.sides, system)}; {_longer(work)}"
            )
        if frontier.unreached:
            sizes = frontier.undecided - len(frontier.open)
            width, depth, _ = frontier.unreached[0]
            lines.append(
                f"{frontier.boards} boards: {_sizes(sizes)} left undecided: the search ended "
                f"before {len(frontier.unreached)} of its widths and depths, from "
                f"{_sides_text((width, depth), system)} on; {_longer(work)}"
            )
    return lines


def _longer(work: float) -> str:
    return f"--work {max(1, round(5 * work)):g} looks longer"


def _sizes(count: int) -> str:
    return "1 size" if count == 1 else f"{count} sizes"


def _sides_text(sides: Sequence[float], system: str) -> str:
    return " x ".join(print_length(side, system) for side in sides)
