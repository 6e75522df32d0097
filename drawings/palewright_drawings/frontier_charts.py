"""A chart of the largest boxes: volume and outside size against boards and cost."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from palewright.errors import InputError
from palewright.frontiers import BoxSize, Frontier
from palewright.parameters import Parameters
from palewright.units import INCH

_FORMATS = (".svg", ".png")
_INK, _PALE = "#2f2a24", "#d8cfc2"
_CLEAR = {"facecolor": "white", "edgecolor": "none", "pad": 0.8}
_TONES = ("#5b7553", "#8a5a3c", "#3f6d8a", "#a07c2c", "#6b5687", "#4a8078", "#97494f")


def write_chart(frontiers: Sequence[Frontier], parameters: Parameters, file: Path) -> None:
    """Write a chart of two panels: what fits on N boards, and the volume that boards buy.

    Left, height over width, a staircase for each number of boards; right, the largest volume over
    the number of boards with its cost. The same frontiers give the same bytes.

    Args:
        frontiers: what was found.
        parameters: the variant: its title and units.
        file: ends in .svg or .png.

    Raises:
        InputError: for another ending, or where nothing was found.
    """
    require_ending(file)
    if not any(frontier.sizes for frontier in frontiers):
        raise InputError("no box was found, so there is nothing to draw", key="--chart")
    import matplotlib as mpl

    mpl.use("Agg")
    from matplotlib.figure import Figure

    with mpl.rc_context({"svg.hashsalt": "palewright", "font.size": 10, "text.color": _INK}):
        figure = Figure(figsize=(11, 5.2), layout="constrained")
        left, right = figure.subplots(1, 2)
        _sizes(left, frontiers, parameters)
        _volumes(right, frontiers)
        title = f"{parameters.product.title}: the largest box that N boards make"
        figure.suptitle(title)
        dated = {"Date": None} if _is_svg(file) else {}
        try:
            figure.savefig(file, dpi=130, metadata={"Title": title, **dated})
        except OSError as error:
            raise InputError(f"cannot be written: {error.strerror}", file=str(file)) from None


def require_ending(file: Path) -> None:
    """Refuse a file that is no chart, before any work is done for it.

    Raises:
        InputError: if it does not end in .svg or .png.
    """
    if file.suffix.lower() not in _FORMATS:
        raise InputError(f"a chart ends in .svg or .png, not '{file.suffix}'", key="--chart")


def _is_svg(file: Path) -> bool:
    """Return whether the chart is drawn in lines."""
    return file.suffix.lower() == ".svg"


def _unit(parameters: Parameters) -> tuple[float, str]:
    """Return how many mm the chart's unit has, and its name."""
    return (INCH, "in") if parameters.product.units == "inch" else (10.0, "cm")


def _sizes(axes, frontiers: Sequence[Frontier], parameters: Parameters) -> None:  # type: ignore[no-untyped-def]
    """Draw height over width: a line of points for each number of boards."""
    mm, unit = _unit(parameters)
    square = all(abs(s.width - s.depth) < 1e-6 for f in frontiers for s in f.sizes)
    for i, frontier in enumerate(f for f in frontiers if f.sizes):
        tone = _TONES[i % len(_TONES)]
        highest: dict[float, BoxSize] = {}
        for size in frontier.sizes:
            if size.width not in highest or size.height > highest[size.width].height:
                highest[size.width] = size
        points = [highest[width] for width in sorted(highest)]
        xs, ys = [p.width / mm for p in points], [p.height / mm for p in points]
        axes.plot(xs, ys, drawstyle="steps-pre", color=tone, linewidth=1.6, zorder=2)
        axes.scatter(xs, ys, color=tone, s=26, zorder=3)
        axes.annotate(
            str(frontier.boards),
            (xs[-1], ys[-1]),
            xytext=(6, 5),  # beyond the stair's last step, where no smaller box's line goes
            textcoords="offset points",
            color=tone,
            weight="bold",
            bbox=_CLEAR,
        )
    axes.set_xlabel(f"width{' and depth' if square else ''}, {unit} (number at the line: boards)")
    axes.set_ylabel(f"height, {unit}")
    axes.margins(0.08)
    _plain(axes)


def _volumes(axes, frontiers: Sequence[Frontier]) -> None:  # type: ignore[no-untyped-def]
    """Draw the largest volume of each number of boards, with what its boards cost."""
    best = [max(f.sizes, key=lambda s: s.volume) for f in frontiers if f.sizes]
    counts = [f.boards for f in frontiers if f.sizes]
    bars = axes.bar(counts, [size.volume for size in best], color=_PALE, edgecolor=_INK, width=0.6)
    labels = [f"{size.volume:.0f} l\ncost {size.cost:.2f}" for size in best]
    axes.bar_label(bars, labels, padding=4, fontsize=9, bbox=_CLEAR)
    axes.set_xlabel("boards (at the bar: volume, and what all its boards cost)")
    axes.set_ylabel("largest outside volume, litres")
    axes.set_xticks(counts)
    axes.set_xlim(min(counts) - 0.8, max(counts) + 0.8)
    axes.margins(y=0.16)
    _plain(axes)
    axes.grid(visible=False, axis="x")


def _plain(axes) -> None:  # type: ignore[no-untyped-def]
    """Take away what does not tell anything."""
    axes.spines[["top", "right"]].set_visible(False)
    axes.grid(color=_PALE, linewidth=0.6)
    axes.set_axisbelow(True)
