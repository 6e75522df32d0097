"""Where the largest box of N boards is sought: the sizes of the variant's ``size`` table."""

from __future__ import annotations

from palewright.construction.derived_sizes import least_sides, sizes_of
from palewright.parameters.tables import Parameters
from palewright.reading.errors import InputError
from palewright.reading.lengths import both_units
from palewright.size_search.looks import DRAWN, Look, looked
from palewright.size_search.pareto_sizes import Sides

MOST_PLACES = 5_000
"""No search looks at more pairs of width and depth than this."""

_LEAST_SHARE, _MOST_SHARE = 0.5, 1.5
"""Of the variant's own size: where a search begins and ends that the table does not limit."""

_NEAR = 1e-6


def is_square(parameters: Parameters) -> bool:
    """Return whether width and depth are varied as one."""
    shape = parameters.size.shape
    if shape == "auto":
        return abs(parameters.box.width - parameters.box.depth) < _NEAR
    return shape == "square"


def heights_of(parameters: Parameters) -> list[float]:
    """Return the heights in question, mm, the lowest first.

    Raises:
        InputError: if there is none.
    """
    return _steps(parameters, "height")


def places_of(parameters: Parameters) -> list[tuple[float, float]]:
    """Return the pairs of width and depth in question, mm.

    A pair comes after those that are wider or deeper: what they hold, it need not be asked for.

    Raises:
        InputError: if there is none, or too many.
    """
    widths = _steps(parameters, "width")
    if is_square(parameters):
        places = [(width, width) for width in reversed(widths)]
    else:
        depths = _steps(parameters, "depth")
        slanting = sorted(
            (i + k, i, (width, depth))
            for i, width in enumerate(widths)
            for k, depth in enumerate(depths)
        )
        places = [place for _, _, place in reversed(slanting)]
    if len(places) > MOST_PLACES:
        raise InputError(
            f"{len(places)} widths and depths are too many; allowed: at most {MOST_PLACES}: "
            "a coarser step or narrower ranges",
            key="size.step",
        )
    return places


def sized(parameters: Parameters, sides: Sides, look: Look = DRAWN) -> Parameters:
    """Return the variant at another outside size, in another look."""
    width, depth, height = sides
    box = parameters.box.model_copy(update={"width": width, "depth": depth, "height": height})
    return looked(parameters.model_copy(update={"box": box}), look)


def ranges_of(parameters: Parameters) -> dict[str, tuple[float, float]]:
    """Return the least and greatest width, depth and height in question, mm.

    What the ``size`` table leaves to the tool is half the box, but no less than its frame needs,
    and half as much again, both by whole steps: the box itself always lies between.

    Raises:
        InputError: if a range holds no multiple of the step.
    """
    sides = ("width", "height") if is_square(parameters) else ("width", "depth", "height")
    found = {}
    for side in sides:
        steps = _steps(parameters, side)
        found[side] = (steps[0], steps[-1])
    return {"width": found["width"], "depth": found.get("depth", found["width"])} | found


def _steps(parameters: Parameters, side: str) -> list[float]:
    """Return the multiples of the step in one side's range, mm."""
    step, own = parameters.size.step, getattr(parameters.box, side)
    low, high = (getattr(parameters.size, f"{end}_{side}") for end in ("least", "most"))
    if low is None:
        frame = min(own, least_sides(sizes_of(parameters))[side])
        low = min(max(own * _LEAST_SHARE, frame), own - own % step)
    if high is None:
        high = -(-own * _MOST_SHARE // step) * step
    first, last = -int(-(low - _NEAR) // step), int((high + _NEAR) // step)
    if last < first:
        raise InputError(
            f"the {side} is sought from {both_units(low)} to {both_units(high)}, which holds no "
            f"multiple of the step of {both_units(step)}; allowed: at least "
            f"{both_units(first * step)}",
            key=f"size.most_{side}",
        )
    return [step * i for i in range(first, last + 1)]
