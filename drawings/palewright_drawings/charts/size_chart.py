"""A chart of the largest boxes: little boxes to one scale, a row for each number of boards.

Width, depth and height are drawn to the same scale along three axes 120° apart (isometric
projection), so that a deep box looks deep. In each row stands the box of most volume, then the
tallest, widest and deepest where they are others; words say which is which, colours nothing. Inches
of paper and points of letters are judged by eye.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from palewright.parameters.tables import Parameters
from palewright.reading.errors import InputError
from palewright.reading.quantities import print_supply
from palewright.size_search.offers import by_volume
from palewright.size_search.pareto_sizes import BoxSize, Frontier
from palewright.size_search.size_grid import sized
from palewright_drawings.output.places import CHARTS, require_place
from palewright_drawings.texts.size_search_text import size_words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_INK, _SOFT = "#2f2a24", "#857a6b"
_FRONT, _SIDE, _TOP, _INSIDE = "#e6d7ba", "#c7b38f", "#f3ead8", "#6b6156"
"""Faces of a box: the lit front, the side in shade, the cap, the dark inside."""

_PLACE, _LABEL, _WORDS = 2.1, 1.5, 0.75
"""Inches of paper: breadth of a box's place, of what stands before a row, height of its words."""

_HIGHEST = 1.9
"""Inches of paper that the highest box takes, at most."""

_LEAN = math.radians(30)
"""Width and depth rise to either side by this: isometric."""


def write_chart(
    frontiers: Sequence[Frontier], parameters: Parameters, file: Path, currency: str = ""
) -> None:
    """Write the chart. The same frontiers give the same bytes.

    Args:
        frontiers: what was found.
        parameters: the variant: its title and units.
        file: ends in .svg or .png.
        currency: of the prices, as the shop writes it.

    Raises:
        InputError: for another ending, or where nothing was found.
    """
    require_place("--chart", file, CHARTS)
    rows = [(frontier, shown(frontier)) for frontier in frontiers if frontier.sizes]
    if not rows:
        raise InputError("no box was found, so there is nothing to draw", key="--chart")
    import matplotlib as mpl

    mpl.use("Agg")
    from matplotlib.figure import Figure

    scale = _scale([size for _, boxes in rows for size, _ in boxes])
    heights = [max(_extent(size)[1] for size, _ in boxes) * scale + _WORDS for _, boxes in rows]
    wide = _LABEL + _PLACE * max(2, *(len(boxes) for _, boxes in rows)) + 0.2
    high = sum(heights) + 0.25 * len(rows) + 0.8
    title = f"{parameters.product.title}: the largest box that N boards make"
    with mpl.rc_context({"svg.hashsalt": "palewright", "font.size": 10, "text.color": _INK}):
        figure = Figure(figsize=(wide, high))
        axes = figure.add_axes((0, 0, 1, 1))
        axes.set_xlim(0, wide)
        axes.set_ylim(0, high)
        axes.set_axis_off()
        axes.text(0.2, high - 0.2, title, va="top", fontsize=13, weight="bold")
        legend = "width x depth x height over the panels, all to one scale"
        if not all(frontier.proven for frontier, _ in rows):
            legend += "; where 'none above' stands, that much is proven and no more"
        axes.text(0.2, high - 0.47, legend, va="top", fontsize=8.5, color=_SOFT)
        ground = high - 0.8
        for (frontier, boxes), height in zip(rows, heights, strict=True):
            ground -= height + 0.25
            units = parameters.product.units
            _told_before(axes, frontier, boxes[0][0], ground, currency, units)
            for i, (size, words) in enumerate(boxes):
                middle = _LABEL + (i + 0.5) * _PLACE
                _box(axes, size, parameters, (middle, ground + _WORDS), scale)
                _told_below(axes, size, words, middle, ground + _WORDS, units)
        dated = {"Date": None} if file.suffix.lower() == ".svg" else {}
        try:
            figure.savefig(file, dpi=130, metadata={"Title": title, **dated})
        except OSError as error:
            raise InputError(f"cannot be written: {error.strerror}", file=str(file)) from None


def shown(frontier: Frontier) -> list[tuple[BoxSize, str]]:
    """Return the sizes that are drawn, with what each is: of most volume, tallest, widest, …."""
    ordered = by_volume(frontier.sizes)
    chosen: dict[BoxSize, list[str]] = {ordered[0]: ["most volume"]}
    words = {"tallest": 2, "widest": 0}
    if any(abs(size.width - size.depth) > 1e-6 for size in ordered):
        words["deepest"] = 1
    for word, side in words.items():
        most = max(size.sides[side] for size in ordered)
        size = next(one for one in ordered if one.sides[side] > most - 1e-6)
        chosen.setdefault(size, []).append(word)
    return [(size, ", ".join(said)) for size, said in chosen.items()]


def _extent(size: BoxSize) -> tuple[float, float]:
    """Return how broad and high a box is drawn, mm."""
    along = size.width + size.depth
    return along * math.cos(_LEAN), size.height + along * math.sin(_LEAN)


def _scale(sizes: Sequence[BoxSize]) -> float:
    """Return inches of paper for a mm, one for all boxes."""
    extents = [_extent(size) for size in sizes]
    broad, high = max(broad for broad, _ in extents), max(high for _, high in extents)
    return min(0.86 * _PLACE / broad, _HIGHEST / high)


def _box(
    axes: Axes, size: BoxSize, parameters: Parameters, foot: tuple[float, float], scale: float
) -> None:
    """Draw a box over a point of the paper: front, side and cap, and the opening in it."""
    from matplotlib.patches import Polygon

    left = foot[0] - (size.depth - size.width) * math.cos(_LEAN) / 2 * scale

    def at(x: float, y: float, z: float) -> tuple[float, float]:
        """Return where a place of the box lies on the paper: from its nearest lower corner."""
        across = (y - x) * math.cos(_LEAN)
        return left + across * scale, foot[1] + (z + (x + y) * math.sin(_LEAN)) * scale

    w, d, h = size.sides
    built = sized(parameters, size.sides, size.look)
    rim = 0.0 if built.cap.style == "none" else built.cap.width - built.cap.overhang
    rim = max(rim, 2 * parameters.materials.stock["board"].thickness)
    faces: list[tuple[list[tuple[float, float, float]], str]] = [
        ([(0, 0, 0), (w, 0, 0), (w, 0, h), (0, 0, h)], _FRONT),
        ([(0, 0, 0), (0, d, 0), (0, d, h), (0, 0, h)], _SIDE),
        ([(0, 0, h), (w, 0, h), (w, d, h), (0, d, h)], _TOP),
        ([(rim, rim, h), (w - rim, rim, h), (w - rim, d - rim, h), (rim, d - rim, h)], _INSIDE),
    ]
    for corners, tone in faces:
        points = [at(*corner) for corner in corners]
        axes.add_patch(Polygon(points, closed=True, facecolor=tone, edgecolor=_INK, linewidth=1.0))


def _told_below(
    axes: Axes, size: BoxSize, words: str, middle: float, ground: float, system: str
) -> None:
    """Write under a box what it is, its size and its volume."""
    axes.text(middle, ground - 0.1, words, ha="center", va="top", fontsize=8.5, color=_SOFT)
    text = size_words(size, system)
    axes.text(middle, ground - 0.27, text, ha="center", va="top", weight="bold", fontsize=9.5)
    look = "slimmer" if size.look else "as drawn"
    told = f"{print_supply(size.volume, 'l', system)}, {look}"
    axes.text(middle, ground - 0.46, told, ha="center", va="top", fontsize=8.5)


def _told_before(
    axes: Axes, frontier: Frontier, best: BoxSize, ground: float, currency: str, system: str
) -> None:
    """Write before a row how many boards, what they cost, and what is proven to be the largest."""
    boards = "board" if frontier.boards == 1 else "boards"
    lines = [
        (f"{frontier.boards} {boards}", 13.0, "bold"),
        (f"{100 * best.yield_:.0f} % used", 9.0, "normal"),
    ]
    if best.cost:
        lines.insert(1, (f"{best.cost:.2f} {currency}".strip(), 9.5, "normal"))
    sure = "proven"
    if not frontier.proven:
        sure = f"none above {print_supply(frontier.bound, 'l', system)}"
    lines.append((sure, 9.0, "normal"))
    up = ground + _WORDS + 0.75
    for text, points, weight in lines:
        axes.text(0.2, up, text, va="top", fontsize=points, weight=weight)
        up -= points / 72 * 1.5
