"""The commands about money and season. Nothing heavy is imported before a command runs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from palewright.reading.errors import InputError
from palewright_drawings.cli.options import (
    AS_JSON,
    FEWEST,
    SETTINGS,
    NamesLast,
    broken_off_after,
    ended_by,
    lumber_names,
    print_json,
    say,
    variant_names,
    write_whole,
)
from palewright_drawings.output.places import CHARTS, require_place
from palewright_drawings.output.terminal import show

if TYPE_CHECKING:
    from collections.abc import Callable

    from palewright.costing.batch_price import BatchPrice
    from palewright.costing.shop_file import Shop

SHOP = click.option(
    "--shop",
    "shop_file",
    metavar="FILE",
    default="",
    help="The shop's figures; else shop.toml beside the variant or here.",
)


@click.command(cls=NamesLast, names=lumber_names)
@click.argument("variants", nargs=-1, metavar="VARIANT[:COUNT]...", shell_complete=variant_names)
@SHOP
@click.option(
    "--ask",
    "asked",
    multiple=True,
    metavar="PRICE",
    help="Also judge this price of a piece; may be repeated.",
)
@click.option(
    "--lumber",
    "lumbers",
    multiple=True,
    metavar="WOOD",
    help="Make it of this wood or stock; repeat it to see lumbers side by side.",
)
@click.option(
    "--chart",
    type=click.Path(dir_okay=False, path_type=Path),
    default=None,
    metavar="FILE",
    help="Draw what a piece costs, by batch size or side by side: .svg or .png.",
)
@FEWEST
@ended_by
@SETTINGS
@AS_JSON
def price(
    variants: tuple[str, ...],
    shop_file: str,
    asked: tuple[str, ...],
    lumbers: tuple[str, ...],
    chart: Path | None,
    fewest_boards: bool,
    work: float,
    seconds: float | None,
    settings: tuple[str, ...],
    as_json: bool,
) -> int:
    """Say what a batch costs and what to ask for it; exit 1 where a box does not fit.

    One VARIANT without a count is priced in batches of 1, 2, 5, 10, 20 and 50.
    """
    from palewright.costing.lumber_comparison import LumberPrice
    from palewright_drawings.cli.price_requests import (
        Search,
        asked_batches,
        asked_sizes,
        cost_chart,
        read_prices,
        without_count,
    )
    from palewright_drawings.output.progress import shown_progress

    require_place("--chart", chart, CHARTS)
    prices = read_prices(asked)
    shop, source = shop_figures(shop_file, variants)
    how = Search(work, fewest_boards, shown_progress())
    sizes = without_count(variants) and not lumbers
    with broken_off_after(seconds):
        if sizes:
            batches = asked_sizes(variants, settings, shop, prices, how, _first_answer(shop))
            rows = [LumberPrice("", batches[0])]
        else:
            rows = asked_batches(variants, lumbers, settings, shop, prices, how)
        drawn = None if chart is None else cost_chart(rows, shop, how)
    if chart is not None and drawn is not None:
        from palewright_drawings.charts.price_chart import write_cost_chart

        write_cost_chart(drawn, shop, chart)
        say(str(chart))
    if sizes and as_json:
        from palewright_drawings.json_reports.prices import sizes_as_json

        print_json(sizes_as_json(batches, shop, source))
    elif sizes:
        from palewright_drawings.texts.price_texts import sizes_text

        show(sizes_text(batches, shop, source))
    elif as_json:
        from palewright_drawings.json_reports.prices import batch_as_json, comparison_as_json

        alone = rows[0].batch if len(rows) == 1 else None
        print_json(batch_as_json(alone, shop) if alone else comparison_as_json(rows, shop))
    else:
        from palewright_drawings.texts.price_comparison_text import prices_text

        show(prices_text(rows, shop, source))
    return 0 if all(row.fits for row in rows) else 1


def _first_answer(shop: Shop) -> Callable[[list[BatchPrice]], None]:
    """Return what tells a person the first answer while better plans are sought."""
    from palewright_drawings.texts.price_texts import size_table

    def tell(batches: list[BatchPrice]) -> None:
        say(["first answer; better plans are being sought:", size_table(batches, shop)])

    return tell


@click.command("shop")
@click.option("--schema", is_flag=True, help="Print the JSON Schema of a shop file instead.")
@click.option("--table", "as_table", is_flag=True, help="Print every key as a table instead.")
def shop_command(schema: bool, as_table: bool) -> int:
    """Print a shop file to fill in: rates, minutes, fees."""
    from palewright.costing.shop_file import Shop, shipped_text
    from palewright.parameters.schema import json_schema, reference_rows
    from palewright_drawings.cli.name_commands import REFERENCE
    from palewright_drawings.output.terminal import table

    if schema:
        print_json(json_schema(Shop))
    elif as_table:
        show([table(reference_rows(Shop), REFERENCE)])
    else:
        click.echo(shipped_text(), nl=False)
    return 0


def shop_figures(named: str, variants: tuple[str, ...]) -> tuple[Shop, str]:
    """Return the shop's figures, and where they come from in words."""
    from palewright.costing.shop_file import find_figures

    first = Path(variants[0].partition(":")[0]) if variants else Path()
    beside = first.parent if first.suffix == ".toml" else None
    return find_figures(named, beside)


@click.command()
@click.argument("file", default="garden-year", metavar="[SEASON]")
@SHOP
@click.option(
    "--calendar",
    type=click.Path(dir_okay=False, path_type=Path),
    default=None,
    metavar="FILE.ics",
    help="Write the weeks and markets for a calendar program.",
)
@click.option(
    "--csv",
    "sheet",
    type=click.Path(dir_okay=False, path_type=Path),
    default=None,
    metavar="FILE.csv",
    help="Write the build plan for a spreadsheet.",
)
@click.option("--template", is_flag=True, help="Print the season's file to start your own from.")
@click.option("--schema", is_flag=True, help="Print the JSON Schema of a season file.")
@ended_by
@AS_JSON
def season(
    file: str,
    shop_file: str,
    calendar: Path | None,
    sheet: Path | None,
    template: bool,
    schema: bool,
    work: float,
    seconds: float | None,
    as_json: bool,
) -> int:
    """Plan a season: how many to build, and when; exit 1 where a box does not fit.

    SEASON is a file of your own, or the shipped garden-year: markets with dates, how many buyers
    may come for each box, hours a week, boards.
    """
    from palewright.season.season_file import SeasonFile, find_season, load_season, season_source

    if schema:
        from palewright.parameters.schema import json_schema

        print_json(json_schema(SeasonFile))
        return 0
    path = find_season(file)
    if template:
        load_season(path)
        click.echo(path.read_text(encoding="utf-8"), nl=False)
        return 0
    require_place("--calendar", calendar, (".ics",))
    require_place("--csv", sheet, (".csv",))
    from palewright.season.season_plan import plan_season
    from palewright_drawings.output.progress import shown_progress

    planned, places = load_season(path)
    shop, source = shop_figures(shop_file, (str(path),))
    try:
        with broken_off_after(seconds):
            plan = plan_season(planned, path.parent, shop, work, shown_progress().note)
    except InputError as error:
        where, line = places.get(error.key, ("", 0))
        raise error.at(file=where, line=line) from None
    if sheet is not None:
        from palewright_drawings.json_reports.seasons import season_csv

        write_whole(sheet, season_csv(plan))
    if calendar is not None:
        from palewright_drawings.charts.season_calendar import season_calendar

        write_whole(calendar, season_calendar(plan, shop))
    if as_json:
        from palewright_drawings.json_reports.seasons import season_as_json

        print_json(season_as_json(plan, shop))
    else:
        from palewright_drawings.texts.season_texts import season_text

        show(season_text(plan, shop, source, season_source(file, path)))
    return 0 if all(one.design.verdict.passed for one in plan.choices) else 1
