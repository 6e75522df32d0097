"""A season's files and command: calendar and table read back, JSON, complaints, the demo."""

from __future__ import annotations

import csv
import datetime
import json
import math
import re
import subprocess
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import icalendar
import jsonschema
import pytest

from command_runs import assert_refused, run_here
from palewright.costing.shop_file import load_shop
from palewright.parameters.variant_files import shipped_variants
from palewright.reading.errors import InputError
from palewright.season.backward_schedule import WEEK
from palewright.season.purchases import paid_for, purchases_of
from palewright.season.season_file import find_season, load_season, shipped_seasons
from palewright.season.season_plan import SeasonPlan, plan_season
from palewright_drawings.charts.season_calendar import season_calendar
from palewright_drawings.json_reports.seasons import season_as_json, season_csv
from palewright_drawings.output.terminal import plain
from palewright_drawings.texts.season_texts import season_text

pytestmark = pytest.mark.usefixtures("few_boards_as_many")

ROOT = Path(__file__).resolve().parents[2]
SCHEMA = json.loads((ROOT / "tests" / "data" / "season.schema.json").read_text(encoding="utf-8"))

MINE = """[season]
title = "One fair; two boxes"
start = 2027-02-01
hours = 6

[market.fair]
title = "Fair, by the river"
opens = 2027-04-03

[offer.tubs]
variant = "stoop-tub"
market = "fair"
price = "190"
low = 1
likely = 2
high = 3
"""


@cache
def planned() -> SeasonPlan:
    file, _ = load_season(find_season("garden-year"))
    # two offers of the demo, one a market, to keep it short
    offers = {name: file.offer[name] for name in ("tubs", "small-tree-boxes")}
    return plan_season(file.model_copy(update={"offer": offers}), Path(), load_shop(None))


def test_the_shipped_seasons_load_and_name_shipped_variants() -> None:
    assert "garden-year" in shipped_seasons()
    for name in shipped_seasons():
        file, places = load_season(find_season(name))
        assert {offer.variant for offer in file.offer.values()} <= set(shipped_variants())
        assert {offer.market for offer in file.offer.values()} == set(file.market)
        assert places["season.start"][1] > 1


def test_the_calendar_reads_back_as_the_plan() -> None:
    plan = planned()
    made = season_calendar(plan, load_shop(None))
    assert made == season_calendar(plan, load_shop(None))
    # RFC 5545, 3.1: lines end in CRLF and hold at most 75 octets
    lines = made.split(b"\r\n")
    assert lines[-1] == b""
    assert all(len(line) <= 75 and b"\n" not in line for line in lines)
    events = icalendar.Calendar.from_ical(made).walk("VEVENT")
    ids = [str(event["UID"]) for event in events]
    assert len(set(ids)) == len(ids)
    spans = {
        (event.decoded("DTSTART"), event.decoded("DTEND"), str(event["SUMMARY"]))
        for event in events
    }
    weeks = {stint.begins for stint in plan.stints}
    assert {(b, e) for b, e, text in spans if text.startswith("Bench")} == {
        (week, week + WEEK) for week in weeks
    }
    for market in plan.file.market.values():
        last = market.opens + datetime.timedelta(days=market.days)
        assert (market.opens, last, market.title) in spans
    assert sum("Buy boards" in text for _, _, text in spans) == 2
    stamps = {event.decoded("DTSTAMP") for event in events}
    assert stamps == {datetime.datetime(2027, 2, 1, tzinfo=datetime.UTC)}
    told = "\n".join(str(event.get("DESCRIPTION", "")) for event in events)
    for one in plan.choices:
        assert f"{one.boxes} {one.design.parameters.product.title}" in told
        assert f"{one.name}: saw, 1" in told


def test_an_event_gets_another_name_when_it_says_something_else() -> None:
    plan = planned()
    market = plan.file.market["spring"].model_copy(update={"title": "Other fair"})
    file = plan.file.model_copy(update={"market": {**plan.file.market, "spring": market}})
    other = SeasonPlan(file, plan.choices, plan.stints, plan.hours_there, plan.stalls)

    def ids(made: bytes) -> set[str]:
        return {str(e["UID"]) for e in icalendar.Calendar.from_ical(made).walk("VEVENT")}

    before, after = (
        ids(season_calendar(plan, load_shop(None))),
        ids(season_calendar(other, load_shop(None))),
    )
    assert len(before - after) == 2  # the fair, and buying boards for it
    assert len(before & after) == len(before) - 2


def test_the_table_holds_every_stint() -> None:
    plan = planned()
    rows = list(csv.DictReader(season_csv(plan).decode().splitlines()))
    assert len(rows) == len(plan.stints)
    for row, stint in zip(rows, plan.stints, strict=True):
        begins, ends = (datetime.date.fromisoformat(row[k]) for k in ("week_begins", "week_ends"))
        assert ends - begins == datetime.timedelta(days=6)
        assert (begins, row["offer"], row["work"]) == (stint.begins, stint.offer, stint.work)
        assert float(row["hours"]) == pytest.approx(stint.hours, abs=0.005)
        assert 1 <= int(row["first"]) <= int(row["last"]) <= int(row["of"])


def complaints(data: Any) -> list[str]:
    return [e.message for e in jsonschema.Draft202012Validator(SCHEMA).iter_errors(data)]


def test_json_keeps_its_schema_and_text_says_the_same() -> None:
    plan, shop = planned(), load_shop(None)
    data = json.loads(json.dumps(season_as_json(plan, shop)))
    assert complaints(data) == []
    assert complaints({**data, "earns": 3}) != []
    text = plain(season_text(plan, shop, "somewhere", "garden-year"))
    assert "markets and buyers: garden-year" in text
    assert "as price has it" in text
    assert data["earns"] in text
    assert all(len(line) <= 100 for line in text.splitlines()), text
    for market in data["markets"]:
        assert f"begin by {market['begin_by']}" in text
        for stock, boards in market["buy"].items():
            assert f"{boards} {stock}" in text
    assert sum(sum(m["buy"].values()) for m in data["markets"]) == data["boards"]
    for offer in data["offers"]:
        mine = [week for week in data["weeks"] if week["offer"] == offer["offer"]]
        assert sum(week["hours"] for week in mine) == pytest.approx(offer["hours"], abs=0.01)


def test_the_season_buys_by_the_package_what_all_batches_need() -> None:
    plan, shop = planned(), load_shop(None)
    tubs, trees = (one.batch for one in plan.choices)
    assert tubs is not None
    assert trees is not None
    lines = {line.name: line for line in purchases_of(plan.every_batch, shop)}
    assert set(lines) == {line.name for batch in (tubs, trees) for line in batch.materials}
    for line in lines.values():
        needed = [
            m.needed for batch in (tubs, trees) for m in batch.materials if m.name == line.name
        ]
        assert line.needed == pytest.approx(sum(needed))
    # one box of screws serves both batches: the cheapest that holds the sum
    for label in (name for name, line in lines.items() if line.unit == "screws" and line.whole):
        alone = [m for batch in (tubs, trees) for m in batch.materials if m.name == label]
        assert paid_for(lines[label]) <= sum(m.cost for m in alone)
        held = sum(pack.holds * count for pack, count in lines[label].packs)
        assert held >= lines[label].needed
    for name, holds in (("glue", 470), ("finish", 3.8), ("liner sheet", 28), ("sandpaper", 1.5)):
        count = math.ceil(lines[name].needed / holds)
        assert [n for _, n in lines[name].packs] == [count]
        assert lines[name].holds == holds
    assert paid_for(lines["glue"]) == Decimal("8.40") * lines["glue"].packs[0][1]
    boards = [line for line in lines.values() if line.unit == "boards"]
    assert sum(line.needed for line in boards) == plan.boards
    text = plain(season_text(plan, shop, "somewhere"))
    bought = text[text.index("to buy for the whole season") :].splitlines()[1 : len(lines) + 1]
    for line in lines.values():
        (row,) = [row for row in bought if row.startswith(f"{line.name} ")]
        assert row.endswith(shop.coins.text(paid_for(line)))
    paid = sum(map(paid_for, lines.values()), Decimal(0))
    assert f"together{shop.coins.text(paid)}" in text.replace(" ", "")
    calendar = icalendar.Calendar.from_ical(season_calendar(plan, shop)).walk("VEVENT")
    (shopping,) = [e for e in calendar if "supplies" in str(e["SUMMARY"])]
    assert shopping.decoded("DTSTART") == plan.begins
    for name, line in lines.items():
        assert (name in str(shopping["DESCRIPTION"])) == (line.unit != "boards")


def test_a_season_of_nothing_buys_nothing() -> None:
    assert purchases_of([], load_shop(None)) == []


def test_each_chosen_batch_is_the_one_that_price_tells(tmp_path: Path) -> None:
    assert_as_priced(planned(), tmp_path)


@pytest.mark.thorough
def test_each_batch_of_the_whole_shipped_season_is_the_one_that_price_tells(
    tmp_path: Path,
) -> None:
    file, _ = load_season(find_season("garden-year"))
    plan = plan_season(file, Path(), load_shop(None))
    assert all(choice.batch for choice in plan.choices)
    assert_as_priced(plan, tmp_path)


def assert_as_priced(plan: SeasonPlan, folder: Path) -> None:
    rows = {row["offer"]: row for row in season_as_json(plan, load_shop(None))["offers"]}
    for choice in plan.choices:
        made = f"[learning]\nmade_before = {choice.offer.made_before}\n"
        (folder / "shop.toml").write_text(made, encoding="utf-8")
        asked = f"{choice.offer.variant}:{choice.boxes}"
        told = json.loads(run_here("price", asked, "--json", cwd=folder).stdout)
        boards = sum(m["needed"] for m in told["materials"] if m["unit"] == "boards")
        assert rows[choice.name]["alone"] == {
            "boards": boards,
            "unit_cost": told["boxes"][0]["unit_cost"],
        }
        assert choice.batch is not None
        assert choice.batch.cost == Decimal(told["cost"])


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("hours = 6", "hours = 0", [":4", "season.hours", "0.5 to 112"]),
        ("hours = 6", "hour = 6", [":4", "season.hour", "'hours'"]),
        ("start = 2027-02-01", 'start = "soon"', [":3", "season.start", "2027-04-24"]),
        ("start = 2027-02-01", "", ["season.start", "missing"]),
        ("start = 2027-02-01", "start = 2027-02-01T08:00:00", [":3", "season.start"]),
        ("opens = 2027-04-03", "opens = 2026-04-03", [":8", "market.fair.opens", "after"]),
        ("opens = 2027-04-03", "opens = 2037-04-03", [":8", "two years"]),
        ('market = "fair"', 'market = "fare"', [":12", "offer.tubs.market", "'fair'"]),
        ('variant = "stoop-tub"', 'variant = "stop-tub"', [":11", "offer.tubs", "'stoop-tub'"]),
        ('price = "190"', "price = 190.5", [":13", "offer.tubs.price", "quotes"]),
        ('price = "190"', "", [":10", "offer.tubs.price", "missing"]),
        ("low = 1\n", "", [":10", "offer.tubs", "low, likely and high, or mean"]),
        ("low = 1\n", "low = 1\nmean = 3\nspread = 1\n", [":10", "offer.tubs", "not both"]),
        ("likely = 2", "likely = 9", [":10", "offer.tubs", "must not fall"]),
        ("high = 3", "high = 1e9", [":16", "offer.tubs.high", "0 to 400"]),
        ("high = 3", "high = nan", [":16", "offer.tubs.high"]),
        (
            'price = "190"',
            'price = "190"\nleft_over = "190.01"',
            [":14", "offer.tubs.left_over", "no more than the price, 190"],
        ),
        (
            "[offer.tubs]",
            "[week_off.late]\nday = 2027-04-04\n[offer.tubs]",
            [":11", "week_off.late.day", "2027-02-01", "2027-04-03"],
        ),
        (
            "[offer.tubs]",
            "[week_off.early]\nday = 2027-01-31\n[offer.tubs]",
            [":11", "week_off.early.day", "2027-02-01"],
        ),
        ("[market.fair]", "[markt.fair]", ["markt", "'market'"]),
        ("[offer.tubs]", "[offer]", ["offer"]),
    ],
)
def test_bad_season_files_name_line_key_and_what_is_allowed(
    old: str, new: str, words: list[str], tmp_path: Path
) -> None:
    file = tmp_path / "mine.toml"
    assert old in MINE
    file.write_text(MINE.replace(old, new, 1), encoding="utf-8")
    done = run_here("season", str(file), cwd=tmp_path)
    assert done.returncode == 2, done
    assert done.stdout == ""
    lines = done.stderr.strip().splitlines()
    assert len(lines) == 1, done.stderr
    for word in ["mine.toml", *words]:
        assert word in lines[0]


def test_the_bounds_themselves_are_allowed(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    weeks = "[week_off.a]\nday = 2027-02-01\n[week_off.b]\nday = 2027-04-03\n[offer.tubs]"
    even = MINE.replace("[offer.tubs]", weeks) + 'left_over = "190"\n'
    file.write_text(even, encoding="utf-8")
    found, _ = load_season(file)
    assert len(found.week_off) == 2


def test_a_season_without_offers_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(MINE[: MINE.index("[offer")], encoding="utf-8")
    with pytest.raises(InputError, match=r"offer: .*\[offer\.NAME\]"):
        load_season(file)


def season(*args: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    return run_here("season", *args, cwd=cwd)


def test_the_command_plans_a_season_of_your_own(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text(MINE, encoding="utf-8")
    (tmp_path / "shop.toml").write_text('[rates]\nwage = "9"\n', encoding="utf-8")
    files = ["--calendar", "a.ics", "--csv", "a.csv"]
    done = season("mine.toml", "--json", *files, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    data = json.loads(done.stdout)
    assert complaints(data) == []
    told = done.stderr.splitlines()
    assert told[-2:] == ["a.csv", "a.ics"]
    assert data["offers"][0]["build"] > 0
    assert (tmp_path / "a.csv").read_bytes().startswith(b"week_begins,")
    first = (tmp_path / "a.ics").read_bytes()
    again = season("mine.toml", *files, cwd=tmp_path)
    # like price: whose figures, and how many of them are still the shipped ones
    assert "figures: shop.toml; " in again.stdout
    assert "are as shipped, invented: rates 2 of 3" in again.stdout
    assert "boards at shipped prices: fence-58" in again.stdout
    assert "markets and buyers: mine.toml" in again.stdout
    assert data["figures"]["as_shipped"]["rates"] == 2
    assert (tmp_path / "a.ics").read_bytes() == first
    printed = season("--template", cwd=tmp_path).stdout
    assert printed == shipped_seasons()["garden-year"]
    schema = json.loads(season("--schema", cwd=tmp_path).stdout)
    jsonschema.Draft202012Validator.check_schema(schema)
    assert schema["required"] == ["season"]
    assert "start" in schema["$defs"]["Season"]["required"]


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["garden-yaer"], ["garden-yaer", "'garden-year'"]),
        (["none.toml"], ["none.toml"]),
        (["--calendar", "x.txt"], ["--calendar", ".ics"]),
        (["--csv", "x.ics"], ["--csv", ".csv"]),
        (["--csv", "missing/x.csv"], ["--csv", "missing", "no such folder"]),
        (["--calendar", "missing/x.ics"], ["--calendar", "missing", "no such folder"]),
        (["--shop", "none.toml"], ["none.toml", "palewright shop"]),
    ],
)
def test_bad_requests_are_one_line(args: list[str], words: list[str], tmp_path: Path) -> None:
    assert_refused(run_here("season", *args, cwd=tmp_path), words, tmp_path)


def test_a_box_that_does_not_fit_is_told_first_and_by_the_exit_status(tmp_path: Path) -> None:
    faulty = 'base = "stoop-tub"\n[panel]\nlip = "5/8 in"\n'
    (tmp_path / "tight.toml").write_text(faulty, encoding="utf-8")
    mine = MINE.replace('"stoop-tub"', '"tight.toml"')
    (tmp_path / "mine.toml").write_text(mine, encoding="utf-8")
    done = season("mine.toml", cwd=tmp_path)
    assert done.returncode == 1
    assert "does not fit" in done.stdout.splitlines()[0]


def test_a_market_without_time_or_that_does_not_pay_its_stall_says_so(tmp_path: Path) -> None:
    early = MINE.replace("opens = 2027-04-03", "opens = 2027-02-13")
    (tmp_path / "mine.toml").write_text(early, encoding="utf-8")
    told = season("mine.toml", cwd=tmp_path).stdout
    assert "build nothing for it, no week of work is over by 2027-02-06" in told
    (tmp_path / "shop.toml").write_text('[selling]\nstall = "1000"\n', encoding="utf-8")
    (tmp_path / "mine.toml").write_text(MINE, encoding="utf-8")
    told = season("mine.toml", cwd=tmp_path).stdout
    assert re.search(r"caution +the boxes earn \d+\.\d\d for it on average, less", told), told
    assert "stall of 1000.00: better stay away" in " ".join(told.split())
    (tmp_path / "shop.toml").write_text('[selling]\nstall = "1"\n', encoding="utf-8")
    assert "stay away" not in season("mine.toml", cwd=tmp_path).stdout
