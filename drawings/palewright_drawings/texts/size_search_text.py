"""The largest boxes of N boards, searched for, as a table and as JSON-ready data."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Executor
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from palewright.catalogue.lumber import LUMBER_CASES
from palewright.fit.findings import CODES
from palewright.parameters.tables import Parameters
from palewright.reading.errors import InputError
from palewright.reading.lengths import print_length
from palewright.reading.quantities import print_mass, print_supply
from palewright.size_search.looks import Value
from palewright.size_search.offers import by_volume, ranks_of, setting_text, settings_of
from palewright.size_search.pareto_search import WORK, frontiers_of, is_overview
from palewright.size_search.pareto_sizes import BoxSize, Frontier, Sides, largest_of
from palewright.size_search.size_grid import is_square, ranges_of, sized
from palewright_drawings.output.progress import Progress
from palewright_drawings.output.terminal import table

if TYPE_CHECKING:
    from palewright_drawings.output.terminal import Part


def sought(
    parameters: Parameters,
    boards: Sequence[int],
    workers: int,
    progress: Progress,
    work: float = WORK,
    executor: Executor | None = None,
    cluster: str = "",
) -> list[Frontier]:
    """Return the frontier of each number of boards, searched by some processes side by side.

    Args:
        parameters: the variant.
        boards: numbers of boards.
        workers: how many processes; with 1 all is done here.
        progress: told how far the search is.
        work: counted work for the search, in seconds of a quiet processor.
        executor: does the work where ``workers`` is 1; None: it is done here.
        cluster: address of a Dask scheduler that does it instead; empty: nobody else does.

    Raises:
        InputError: if the variant's ``size`` table holds no size, or too many.
    """
    teller = _Teller(progress, _counts(boards))
    if cluster:
        with cluster_at(cluster) as far:
            return frontiers_of(parameters, boards, far, teller, work)
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


@contextmanager
def cluster_at(address: str) -> Iterator[Executor]:
    """Yield an executor whose work the workers of a Dask scheduler do.

    Raises:
        InputError: if the library is missing, or nobody answers there.
    """
    try:
        from distributed import Client
    except ImportError:
        told = "needs the dask extra: pip install 'palewright[dask]'"
        raise InputError(told, key="--cluster") from None
    try:
        client = Client(address, timeout=CLUSTER_WAIT, set_as_default=False)
    except (OSError, ValueError, TypeError) as error:
        told = f"no scheduler answers there ({type(error).__name__}); allowed: tcp://HOST:PORT"
        raise InputError(told, key="--cluster") from None
    with client:
        yield client.get_executor(pure=False)


CLUSTER_WAIT = 10
"""Seconds in which a scheduler has to answer."""


def _leave_interrupts() -> None:
    """Leave an interrupt to the process that asked: it ends its workers and says so once."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)


class _Teller:
    """Passes on how far a search is: a bar for each of its parts."""

    def __init__(self, progress: Progress, counts: str) -> None:
        self.progress, self.counts = progress, counts
        self.what, self.done, self.found = "", 0, ""

    def __call__(self, what: str, done: int, steps: int, found: str = "") -> None:
        """Move the bar, or begin the next; name what was found last."""
        if what != self.what:
            self.progress.begin(f"{self.counts} boards: {what}", steps)
            self.what, self.done = what, 0
        if found and found != self.found:
            self.progress.note(found)
            self.found = found
        self.progress.advance(done - self.done)
        self.done = done


def _counts(boards: Sequence[int]) -> str:
    """Return the numbers of boards in a few words."""
    return str(boards[0]) if len(boards) == 1 else f"{min(boards)} to {max(boards)}"


NO_TIMES: Mapping[BoxSize, float] = {}
"""Of sizes that were not timed."""


def size_as_json(
    size: BoxSize, parameters: Parameters, times: Mapping[BoxSize, float] = NO_TIMES
) -> dict[str, Any]:
    """Return one size; lengths in mm. ``settings`` make it of the variant."""
    built = sized(parameters, size.sides, size.look)
    return {
        "width_mm": round(size.width, 3),
        "depth_mm": round(size.depth, 3),
        "height_mm": round(size.height, 3),
        "stile_mm": round(built.panel.stile_width, 3),
        "rail_mm": round(built.panel.rail_width, 3),
        "wall": built.wall.layout,
        "volume_l": round(size.volume, 2),
        "boards": size.boards,
        "lower_bound": size.lower_bound,
        "yield": round(size.yield_, 4),
        "cost": round(size.cost, 2),
        "price": round(size.cost, 2),
        "weight_kg": round(size.weight, 2),
        "look": "slimmer" if size.look else "drawn",
        "fits": list(LUMBER_CASES),
        "warnings": [{"code": code, "title": CODES[code].title} for code in size.warnings],
        "settings": [{"key": key, "value": text} for key, text in settings_of(parameters, size)],
        **({"minutes": round(times[size], 1)} if size in times else {}),
    }


def _sides_as_json(sides: Sides) -> dict[str, float]:
    """Return an outside size; mm."""
    names = ("width_mm", "depth_mm", "height_mm")
    return {name: round(side, 3) for name, side in zip(names, sides, strict=True)}


def frontier_as_json(
    frontier: Frontier, parameters: Parameters, times: Mapping[BoxSize, float] = NO_TIMES
) -> dict[str, Any]:
    """Return one frontier; ``undecided`` counts the sizes in ``open`` and ``unreached``.

    ``sizes`` come with their ``rank``, from 1, by volume, outside size and price. ``ranges`` are
    the sides that were sought, from the least to the greatest; ``proven`` says that no box of
    these and of the ``looks`` that were sought is larger, ``bound_l`` what none exceeds.
    """
    ranges = ranges_of(parameters)
    ranks = ranks_of(frontier.sizes)
    drawn = frontier.drawn
    return {
        "boards": frontier.boards,
        "ranges": {
            "step_mm": round(parameters.size.step, 3),
            "square": is_square(parameters),
            **{f"{side}_mm": [round(end, 3) for end in ranges[side]] for side in ranges},
        },
        "sizes": [
            {**size_as_json(size, parameters, times), "rank": rank}
            for size, rank in zip(frontier.sizes, ranks, strict=True)
        ],
        "drawn": None if drawn is None else size_as_json(drawn, parameters),
        "looks": frontier.looks,
        "proven": frontier.proven,
        "bound_l": round(frontier.bound, 2),
        "refused": [{**_sides_as_json(one.sides), "code": one.code} for one in frontier.refused],
        "undecided": frontier.undecided,
        "open": [
            {
                **_sides_as_json(one.sides),
                "lower_bound": one.lower_bound,
                **({} if one.upper_bound is None else {"upper_bound": one.upper_bound}),
            }
            for one in frontier.open
        ],
        "unreached": [
            {"width_mm": round(width, 3), "depth_mm": round(depth, 3), "heights": heights}
            for width, depth, heights in frontier.unreached
        ],
    }


def frontier_text(
    frontiers: Sequence[Frontier],
    parameters: Parameters,
    work: float = WORK,
    times: Mapping[BoxSize, float] = NO_TIMES,
) -> list[Part]:
    """Return what is largest in a sentence each, then a table of offers, the largest first.

    What is not said there, and what to do about it, stands below it.

    Args:
        frontiers: what was found, a number of boards each.
        parameters: the box as drawn.
        work: counted work that the search was given, in seconds.
        times: minutes that a size takes to build, where they were asked.
    """
    system = parameters.product.units
    told: list[Part] = [_answer(frontier, system) for frontier in frontiers]
    rows = [
        _row(frontier.boards, pick, size, parameters, times)
        for frontier in frontiers
        for pick, size in enumerate(by_volume(frontier.sizes), start=1)
    ]
    if rows:
        told += ["", table(rows, _HEADINGS, right=(0, 1, 3, 4, 5, 6)), ""]
        told.append(
            "Outside sizes; each fits in thin, nominal, thick and mixed lumber, and none is beaten "
            "in every dimension."
        )
        told += _warned(frontiers)
    if is_overview(parameters, len(frontiers)):
        told.append(_OVERVIEW)
    told.append(_sought(frontiers, parameters))
    return [*told, *_left_out(frontiers, system, work)]


def _warnings(size: BoxSize) -> list[str]:
    """Return what is warned of at a size in a few words; nothing if nothing is."""
    return [f"warning {', '.join(size.warnings)}"] if size.warnings else []


def _warned(frontiers: Sequence[Frontier]) -> list[str]:
    """Return a line for each warning that table and sentences name."""
    named = [size for one in frontiers for size in (*one.sizes, one.drawn) if size is not None]
    codes = sorted({code for size in named for code in size.warnings})
    if not codes:
        return ["None brings a warning."]
    return [f"{code}: {CODES[code].title}; palewright explain {code} says more." for code in codes]


_OVERVIEW = (
    "The largest boxes of each number of boards; ask for one number to see those that are narrower "
    "or lower, too."
)

_HEADINGS = ("boards", "pick", "size", "volume", "used", "price", "weight", "look")


def _row(
    boards: int, pick: int, size: BoxSize, parameters: Parameters, times: Mapping[BoxSize, float]
) -> tuple[str, ...]:
    """Return the row of one size."""
    system = parameters.product.units
    look = [look_words(size, parameters), *_warnings(size)]
    if size in times:
        look.append(f"{times[size]:.0f} minutes")
    return (
        str(boards),
        str(pick),
        size_words(size, system),
        _volume(size.volume, system),
        f"{100 * size.yield_:.0f} %",
        f"{size.cost:.2f}" if size.cost else "",
        print_mass(size.weight, system),
        "; ".join(look),
    )


def size_words(size: BoxSize, system: str) -> str:
    """Return a size such as ``16 x 16 x 20 in``."""
    texts = [print_length(side, system) for side in size.sides]
    return " x ".join(text.rpartition(" ")[0] for text in texts) + texts[0][texts[0].rfind(" ") :]


def _answer(frontier: Frontier, system: str) -> str:
    """Return in a sentence or two the largest box, what the drawn look makes, and what is sure."""
    boards = f"{frontier.boards} board{'' if frontier.boards == 1 else 's'}"
    best, drawn = largest_of(frontier.sizes), frontier.drawn
    most = _volume(frontier.bound, system)
    if best is None:
        sure = "none is possible" if frontier.proven else f"none above {most} is"
        return f"{boards}: no box of the sizes sought; {sure}."
    told = f"{boards}: {_told(best, system)}"
    if not best.look:
        told += ", as drawn"
    elif drawn is None:
        told += ", slimmer than drawn; as drawn none"
    else:
        more = 100 * (best.volume / drawn.volume - 1)
        told += (
            f", slimmer than drawn: {more:.0f} % more than as drawn, which makes "
            f"{_told(drawn, system)}"
        )
    if frontier.proven:
        return f"{told}. Proven: no size or look sought holds more."
    return f"{told}. Not proven the largest: none holds more than {most}."


def _told(size: BoxSize, system: str) -> str:
    """Return a size, and in brackets what it holds and what is warned of."""
    within = ", ".join([_volume(size.volume, system), *_warnings(size)])
    return f"{size_words(size, system)} ({within})"


def _volume(litres: float, system: str) -> str:
    """Return what a box holds, as a shop of these units says it."""
    return print_supply(litres, "l", system)


def _sought(frontiers: Sequence[Frontier], parameters: Parameters) -> str:
    """Return in a line where sizes were sought."""
    system, ranges = parameters.product.units, ranges_of(parameters)
    sides = ("width", "height") if is_square(parameters) else ("width", "depth", "height")
    names = {"width": "width and depth alike"} if is_square(parameters) else {}
    said = (
        f"{names.get(side, side)} {' to '.join(print_length(end, system) for end in ranges[side])}"
        for side in sides
    )
    looks = max((frontier.looks for frontier in frontiers), default=1)
    more = f"; {looks} looks near the drawn proportions" if looks > 1 else ""
    step = print_length(parameters.size.step, system)
    return f"Sought: {', '.join(said)}, by {step}{more} ([size])."


_LOOK_WORDS = {
    "box.foot": "foot",
    "panel.stile_width": "stiles", "panel.rail_width": "rails", "face.brace_width": "braces",
    "face.bar_width": "bars", "cap.width": "cap", "cap.overhang": "overhang",
    "floor.slat_width": "slats to", "floor.gap": "floor gaps", "wall.gap": "stave gaps",
    "wall.stave_width": "staves to", "wall.rail_lap": "staves lap rails",
    "wall.stile_lap": "staves lap stiles",
}  # fmt: skip

_CHOSEN_WORDS: Mapping[tuple[str, Value], str] = {
    ("wall.layout", "filler"): "a filler in each wall",
    ("wall.layout", "equal"): "equal staves",
    ("wall.stave_width", None): "staves as wide as boards",
}


def look_words(size: BoxSize, parameters: Parameters) -> str:
    """Return in words what is built otherwise than the variant says."""
    system = parameters.product.units
    said = [
        _CHOSEN_WORDS.get((key, value)) or f"{_LOOK_WORDS[key]} {setting_text(value, system)}"
        for key, value in size.look
        if key in _LOOK_WORDS or (key, value) in _CHOSEN_WORDS
    ]
    return ", ".join(said) if said else "as drawn"


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
