"""The command that asks for the largest boxes of a budget: boards, money or minutes."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from palewright.reading.errors import InputError
from palewright_drawings.cli.asked_box import read_variant
from palewright_drawings.cli.money_commands import SHOP, shop_figures
from palewright_drawings.cli.options import (
    AS_JSON,
    SETTINGS,
    VARIANT,
    Seconds,
    print_json,
    say,
    write_whole,
)
from palewright_drawings.output.places import CHARTS, require_place
from palewright_drawings.output.terminal import show

if TYPE_CHECKING:
    from palewright.parameters.variant_files import Variant
    from palewright.size_search.pareto_sizes import Frontier

MOST_BOARDS = 60
"""Boards of the largest box that is sought: a judgement."""


class BoardCounts(click.ParamType):  # type: ignore[type-arg]
    """Numbers of boards: ``3``, ``2-8``, ``2..8``, ``2,3``."""

    name = "boards"
    _PART = re.compile(r"\s*(\d{1,4})\s*(?:(?:-|\.\.)\s*(\d{1,4})\s*)?", re.ASCII)

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[int, ...]:
        """Return the numbers, or refuse them."""
        found: set[int] = set()
        for part in str(value).split(","):
            match = self._PART.fullmatch(part)
            first, last = (int(match[1]), int(match[2] or match[1])) if match else (0, 0)
            if not 1 <= first <= last <= MOST_BOARDS:
                self.fail(
                    f"'{value}' names no numbers of boards; allowed: 1 to {MOST_BOARDS}, such as "
                    "3, 2-8, 2..8 or 2,3",
                    param,
                    ctx,
                )
            found |= set(range(first, last + 1))
        return tuple(sorted(found))


@click.command()
@VARIANT
@click.option("--boards", type=BoardCounts(), multiple=True, metavar="N",
              help="How many boards: 3, 2-8 or 2,3.")  # fmt: skip
@click.option("--spend", type=click.FloatRange(0, 100_000, min_open=True), metavar="MONEY",
              help="Instead: what the boards may cost.")  # fmt: skip
@click.option("--minutes", type=click.FloatRange(0, 100_000, min_open=True), metavar="MINUTES",
              help="Instead: how long the first box may take to build.")  # fmt: skip
@click.option("--save", metavar="NAME", default="",
              help="Write the largest box as a variant file; never replaces one.")  # fmt: skip
@click.option("--pick", type=click.IntRange(1, 1000), default=1, show_default=True, metavar="K",
              help="Which of the offers --save writes.")  # fmt: skip
@click.option("--chart", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE",
              help="Draw the boxes to scale, and their volume: .svg or .png.")  # fmt: skip
@click.option("--cluster", metavar="ADDRESS", default="",
              help="Spread it over a running Dask scheduler, such as tcp://HOST:8786.")  # fmt: skip
@click.option("--workers", type=click.IntRange(1, 64), default=2, show_default=True,
              help="Processes that search side by side.")  # fmt: skip
@click.option("--work", type=Seconds(1, 1_000_000), default=600.0, show_default=True,
              help="Counted work at most, about the seconds of one quiet core; never the clock's.",
              )  # fmt: skip
@SHOP
@SETTINGS
@AS_JSON
def size(
    variant: str,
    boards: tuple[tuple[int, ...], ...],
    spend: float | None,
    minutes: float | None,
    save: str,
    pick: int,
    chart: Path | None,
    cluster: str,
    workers: int,
    work: float,
    shop_file: str,
    settings: tuple[str, ...],
    as_json: bool,
) -> int:
    """Find the largest boxes that N boards make."""
    from palewright.parameters.variant_files import new_variant_path
    from palewright_drawings.output.progress import shown_progress
    from palewright_drawings.texts.size_search_text import frontier_as_json, frontier_text, sought

    counts = sorted({count for asked in boards for count in asked})
    if sum((bool(counts), spend is not None, minutes is not None)) != 1:
        raise InputError("takes one of --boards, --spend and --minutes", key="size")
    if save and len(counts) > 1:
        raise InputError("takes one number of boards", key="--save")
    place = new_variant_path(save) if save else None
    found = read_variant(variant, settings)
    require_place("--chart", chart, CHARTS)
    progress = shown_progress()

    def search(numbers: Sequence[int]) -> list[Frontier]:
        return sought(found.parameters, numbers, workers, progress, work, cluster=cluster)

    times: dict[Any, float] = {}
    try:
        if counts:
            frontiers = search(counts)
        else:
            from palewright.costing.box_budgets import within_minutes, within_money

            if spend is not None:
                afforded = within_money(found.parameters, spend, search)
            else:
                shop, _ = shop_figures(shop_file, (variant,))
                afforded = within_minutes(found.parameters, minutes or 0.0, shop, search)
            frontiers, times = [afforded.frontier], afforded.minutes
    except InputError as error:
        raise found.located(error) from None
    if place is not None:
        _save(found, variant, settings, frontiers[0], pick, place)
    if chart is not None:
        from palewright_drawings.charts.size_chart import write_chart

        shop, _ = shop_figures(shop_file, (variant,))
        write_chart(frontiers, found.parameters, chart, shop.coins.name)
        say(str(chart))
    if as_json:
        data = [frontier_as_json(one, found.parameters, times) for one in frontiers]
        budget = {"spend": spend, "minutes": minutes}
        data[0] |= {f"asked_{name}": most for name, most in budget.items() if most is not None}
        print_json(data[0] if len(data) == 1 else data)
    else:
        show(frontier_text(frontiers, found.parameters, work, times))
    return 0


def _save(
    found: Variant,
    variant: str,
    settings: Sequence[str],
    frontier: Frontier,
    pick: int,
    place: Path,
) -> None:
    """Write an offer as a variant file.

    Raises:
        InputError: if there is no such offer, or something is there already.
    """
    from palewright.parameters.variant_files import derived_text
    from palewright.size_search.offers import by_volume, settings_of

    offers = by_volume(frontier.sizes)
    if pick > len(offers):
        allowed = f"1 to {len(offers)}" if offers else "none: no box was found"
        raise InputError(f"there is no offer {pick}; allowed: {allowed}", key="--pick")
    offer = offers[pick - 1]
    title = f"{found.parameters.product.title}, {offer.boards} boards"
    text = derived_text(
        found, variant, place, settings, settings_of(found.parameters, offer), title
    )
    write_whole(place, text.encode(), new=True, tell=False)
    say(str(place))
