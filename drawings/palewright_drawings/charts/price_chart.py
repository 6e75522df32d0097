"""A chart of what a piece costs: by how many are made at once, together or alone, or by lumber.

Inches of paper and points of letters are judged by eye.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from palewright.costing.batch_price import BatchPrice
from palewright.costing.shop_file import Shop
from palewright.reading.errors import InputError
from palewright_drawings.output.places import CHARTS, require_place

_INK, _PALE = "#2f2a24", "#d8cfc2"
PARTS = (
    ("boards", "#8a5a3c"),
    ("screws", "#a8a196"),
    ("finish, glue, liner, wear", "#c2a878"),
    ("set-ups", "#3f6d8a"),
    ("hands", "#9dbccd"),
    ("overhead and wrap", "#e4ddd2"),
)
"""What a piece costs, from the bottom of the bar up: our own tones."""

_STEPS = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100)
"""Batches that are shown: closely where the price still falls, then in round numbers."""

_LEAST_MOST = 20
"""A chart goes up to at least so many boxes: judged by eye."""

_FEW = 6
"""Fewer bars than so many keep their breadth and stand in the middle."""

_SHORT = 4
"""Labels up to so many letters stand under bars of any breadth."""


def batch_sizes(count: int) -> list[int]:
    """Return the batch sizes of a chart: round numbers up to 20 or the count, and the count."""
    most = max(count, _LEAST_MOST)
    steps = [step for step in _STEPS if step <= most]
    if count > _STEPS[-1]:
        steps = [*_STEPS[::2], count]
    return sorted({*steps, count})


@dataclass(frozen=True, slots=True)
class CostBar:
    """What one piece costs, part by part in the order of the chart, and what stands under it."""

    label: str
    parts: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class CostChart:
    """Bars to compare, and what is told above and below them."""

    title: str
    below: str
    bars: tuple[CostBar, ...]


def parts_of(priced: BatchPrice, variant: int = 0) -> tuple[float, ...]:
    """Return what one piece of a batch's variant costs, in the order of the chart's parts."""
    box = priced.boxes[variant]
    kinds = {"boards": 0.0, "screws": 0.0, "supplies": 0.0}
    for one in priced.materials:
        kind = "supplies" if not one.whole else one.unit
        kinds[kind] += float(one.shares[variant])
    minutes = box.setup_minutes + box.hand_minutes
    setups = float(box.wage) * box.setup_minutes / minutes if minutes else 0.0
    rest = float(box.overhead + box.packing)
    parts = [*kinds.values(), setups, float(box.wage) - setups, rest]
    return tuple(part / box.count for part in parts)


def write_cost_chart(chart: CostChart, shop: Shop, file: Path) -> None:
    """Write a chart: bars made of what a piece costs. Same input, same bytes.

    Args:
        chart: what is shown.
        shop: its currency.
        file: ends in .svg or .png.

    Raises:
        InputError: for another ending, or where the file cannot be written.
    """
    require_place("--chart", file, CHARTS)
    import matplotlib as mpl

    mpl.use("Agg")
    from matplotlib.figure import Figure

    with mpl.rc_context({"svg.hashsalt": "palewright", "font.size": 10, "text.color": _INK}):
        figure = Figure(figsize=(max(10, 1.35 * _broad(chart)), 5.6), layout="constrained")
        axes = figure.subplots()
        _bars(axes, chart, shop)
        figure.suptitle(chart.title)
        dated = {"Date": None} if file.suffix.lower() == ".svg" else {}
        try:
            figure.savefig(file, dpi=130, metadata={"Title": chart.title, **dated})
        except OSError as error:
            raise InputError(f"cannot be written: {error.strerror}", file=str(file)) from None


def _broad(chart: CostChart) -> int:
    """Return how many bars' breadths of paper the labels want."""
    return len(chart.bars) if any(len(bar.label) > _SHORT for bar in chart.bars) else 1


def _bars(axes, chart: CostChart, shop: Shop) -> None:  # type: ignore[no-untyped-def]
    """Draw the bars, the whole cost on top of each, and a legend in the bars' order."""
    bars, places = chart.bars, range(len(chart.bars))
    bottoms = [0.0] * len(bars)
    for i, (name, tone) in enumerate(PARTS):
        sizes = [bar.parts[i] for bar in bars]
        drawn = axes.bar(
            places, sizes, 0.72, bottoms, color=tone, edgecolor="white", linewidth=0.5, label=name
        )
        bottoms = [b + s for b, s in zip(bottoms, sizes, strict=True)]
    axes.bar_label(drawn, [f"{total:.2f}" for total in bottoms], padding=3, fontsize=9)
    axes.set_xticks(places, [bar.label for bar in bars])
    axes.set_xlabel(chart.below)
    axes.set_ylabel(f"cost of a piece, {shop.coins.name}")
    middle, half = (len(bars) - 1) / 2, max(len(bars), _FEW) / 2
    axes.set_xlim(middle - half, middle + half)
    axes.margins(y=0.1)
    axes.spines[["top", "right"]].set_visible(False)
    axes.grid(color=_PALE, linewidth=0.6, axis="y")
    axes.set_axisbelow(True)
    handles, labels = axes.get_legend_handles_labels()
    axes.legend(
        handles[::-1], labels[::-1], frameon=False, loc="upper left", bbox_to_anchor=(1.0, 1.0)
    )
