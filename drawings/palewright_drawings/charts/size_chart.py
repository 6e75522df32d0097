"""A chart of the largest boxes: volume and outside size against boards and cost.

Above, the boxes' fronts to one scale on one ground, a stand for each number of boards: the
largest one filled, the others of its frontier as outlines behind it. Below, a bar for its volume,
with what the boards cost and how much volume a coin buys. Inches of paper and points of letters are
judged by eye.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from palewright.parameters.tables import Parameters
from palewright.reading.errors import InputError
from palewright.reading.lengths import INCH
from palewright.size_search.pareto_sizes import BoxSize, Frontier, largest_of
from palewright_drawings.output.places import CHARTS, require_place
from palewright_drawings.texts.size_search_text import size_words

_INK, _SOFT, _PALE, _BOX = "#2f2a24", "#857a6b", "#d8cfc2", "#c7b38f"
_STAND = 1.95
"""Inches of paper from stand to stand: room for the longest size text under each."""

_HIGHEST = 3.8
"""Inches of paper for the fronts, at most."""

_AIR, _BETWEEN = 1.06, 1.25
"""How much higher than the tallest front the drawing is, and how much broader a stand is than the
broadest."""


def write_chart(frontiers: Sequence[Frontier], parameters: Parameters, file: Path) -> None:
    """Write the chart. The same frontiers give the same bytes.

    Args:
        frontiers: what was found.
        parameters: the variant: its title and units.
        file: ends in .svg or .png.

    Raises:
        InputError: for another ending, or where nothing was found.
    """
    require_place("--chart", file, CHARTS)
    found = [frontier for frontier in frontiers if frontier.sizes]
    if not found:
        raise InputError("no box was found, so there is nothing to draw", key="--chart")
    import matplotlib as mpl

    mpl.use("Agg")
    from matplotlib.figure import Figure

    with mpl.rc_context({"svg.hashsalt": "palewright", "font.size": 10, "text.color": _INK}):
        inside = max(7.0, _STAND * len(found))  # inches of paper, as all here
        front = min(_HIGHEST, _front_height(found, inside))
        wide, high = inside + 1.1, front + 4.4
        figure = Figure(figsize=(wide, high))
        fronts = figure.add_axes((0.8 / wide, 3.7 / high, inside / wide, front / high))
        bars = figure.add_axes((0.8 / wide, 0.65 / high, inside / wide, 1.9 / high))
        _fronts(fronts, found, parameters, inside / front)
        _volumes(bars, found)
        title = f"{parameters.product.title}: the largest box that N boards make"
        figure.suptitle(
            title, x=0.8 / wide, y=1 - 0.2 / high, ha="left", va="top", fontsize=13, weight="bold"
        )
        legend = "width x depth x height; filled: the largest volume; outlines: other sizes"
        if any(frontier.undecided for frontier in found):
            legend += "; some larger ones are undecided"
        figure.text(0.8 / wide, 1 - 0.48 / high, legend, va="top", fontsize=8.5, color=_SOFT)
        dated = {"Date": None} if file.suffix.lower() == ".svg" else {}
        try:
            figure.savefig(file, dpi=130, metadata={"Title": title, **dated})
        except OSError as error:
            raise InputError(f"cannot be written: {error.strerror}", file=str(file)) from None


def _volume(size: BoxSize) -> float:
    return size.volume


def _most(found: Sequence[Frontier], side: str) -> float:
    """Return the greatest height or width of all sizes, mm."""
    return max(float(getattr(size, side)) for frontier in found for size in frontier.sizes)


def _front_height(found: Sequence[Frontier], inside: float) -> float:
    """Return the inches of paper that the fronts take where their stands fill the width."""
    stand = _BETWEEN * _most(found, "width") * len(found)
    return inside / stand * _AIR * _most(found, "height")


def _fronts(axes, found: Sequence[Frontier], parameters: Parameters, shape: float) -> None:  # type: ignore[no-untyped-def]
    """Draw the fronts to scale; shape: the width of the axes over their height."""
    from matplotlib.patches import Rectangle

    system = parameters.product.units
    mm, unit = (INCH, "in") if system == "inch" else (10.0, "cm")
    high = (
        max(_AIR * _most(found, "height"), _BETWEEN * _most(found, "width") * len(found) / shape)
        / mm
    )
    stand = high * shape / len(found)
    for i, frontier in enumerate(found):
        middle, best = (i + 0.5) * stand, largest_of(frontier.sizes)
        for size in frontier.sizes:
            corner, chosen = (middle - size.width / mm / 2, 0.0), size == best
            front = Rectangle(
                corner,
                size.width / mm,
                size.height / mm,
                facecolor=_BOX if chosen else "none",
                edgecolor=_INK if chosen else _SOFT,
                linewidth=1.6 if chosen else 0.9,
                zorder=3 if chosen else 2,
            )
            axes.add_patch(front)
        _told_below(axes, frontier, middle, system)
    axes.set_xlim(0, stand * len(found))
    axes.set_ylim(0, high)
    axes.set_xticks([])
    axes.set_ylabel(f"front to scale: height, {unit}")
    _plain(axes)


def _told_below(axes, frontier: Frontier, middle: float, system: str) -> None:  # type: ignore[no-untyped-def]
    """Write the largest size under a stand, and the tallest and widest where they differ."""
    best = largest_of(frontier.sizes)
    words = {"tallest": 2, "widest": 0}
    if any(abs(size.width - size.depth) > 1e-6 for size in frontier.sizes):
        words["deepest"] = 1
    boards = "board" if frontier.boards == 1 else "boards"
    lines = [(f"{frontier.boards} {boards}", 11.0, _INK, "bold")]
    lines += [(size_words(best, system), 9.5, _INK, "bold")]
    for word, side in words.items():
        most = max(size.sides[side] for size in frontier.sizes)
        if best.sides[side] < most - 1e-6:
            size = max((s for s in frontier.sizes if s.sides[side] == most), key=_volume)
            lines.append((f"{word} {size_words(size, system)}", 7.5, _SOFT, "normal"))
    down = 6.0
    for text, points, tone, weight in lines:
        axes.annotate(
            text,
            (middle, 0.0),
            xytext=(0.0, -down),
            textcoords="offset points",
            ha="center",
            va="top",
            fontsize=points,
            color=tone,
            weight=weight,
        )
        down += points * 1.45


def _volumes(axes, found: Sequence[Frontier]) -> None:  # type: ignore[no-untyped-def]
    """Draw the largest volume over each stand, with cost and volume for a coin below."""
    best = [largest_of(frontier.sizes) for frontier in found]
    places = [i + 0.5 for i in range(len(found))]
    bars = axes.bar(places, [s.volume for s in best], color=_BOX, edgecolor=_INK, width=0.5)
    texts = axes.bar_label(
        bars, [f"{size.volume:.0f} l" for size in best], padding=3, weight="bold"
    )
    for text in texts:  # no grid line strikes it through
        text.set_bbox({"facecolor": "white", "edgecolor": "none", "pad": 1.5})
    axes.set_xlim(0, len(found))
    axes.set_ylim(0, 1.2 * max(size.volume for size in best))
    axes.set_xticks(places, [_money(size) for size in best], fontsize=9.5)
    axes.tick_params(axis="x", length=0)
    axes.set_ylabel("outside volume, litres")
    _plain(axes)


def _money(size: BoxSize) -> str:
    """Return what the boards cost, and the volume for each unit of money."""
    if not size.cost:
        return f"{100 * size.yield_:.0f} % used"
    return f"cost {size.cost:.2f}\n{size.volume / size.cost:.1f} l for 1.00"


def _plain(axes) -> None:  # type: ignore[no-untyped-def]
    """Take away what does not tell anything."""
    axes.spines[["top", "right"]].set_visible(False)
    axes.grid(color=_PALE, linewidth=0.6, axis="y")
    axes.set_axisbelow(True)
