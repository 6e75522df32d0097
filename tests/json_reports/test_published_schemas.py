"""The published JSON Schemas against what is told, by another program's validator."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from copy import deepcopy
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

import oracle_variants
from case_lists import KINDS, mostly_thorough, thorough
from command_runs import run_here
from palewright.design import Design, design
from palewright.fit import cures
from palewright.parameters.variant_files import load_variant, shipped_variants
from palewright.reading.errors import InputError
from palewright_drawings.json_reports.published_schemas import PUBLISHED, published_schema
from palewright_drawings.json_reports.report import report_file
from palewright_drawings.output.progress import Silent
from palewright_drawings.packet.writers import WRITERS, PacketRequest
from shipped_designs import shipped


def validator(name: str) -> Draft202012Validator:
    """Return the validator of a published schema, itself looked at first."""
    schema = published_schema(name)
    Draft202012Validator.check_schema(schema)
    return Draft202012Validator(schema)


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), *KINDS))
def test_the_report_is_what_its_schema_says(name: str) -> None:
    validator("report").validate(json.loads(report_file(shipped(name))))


@pytest.mark.thorough
def test_the_report_of_any_box_is_what_its_schema_says(monkeypatch: pytest.MonkeyPatch) -> None:
    """What cures a box is looked for shortly: a cure that is found later is told like any other."""
    monkeypatch.setattr(cures, "WORK", 30)
    judge, reports, many = validator("report"), 0, 20
    for number in range(many):
        try:
            box = oracle_variants.drawn(number)
            parameters = load_variant(box.base, box.settings).parameters
            told = report_file(design(parameters, box.base))
        except InputError:
            continue
        judge.validate(json.loads(told))
        reports += 1
    assert reports > many / 4


def objects(told: Any) -> Iterator[dict[str, Any]]:
    """Yield each object within JSON data, but the settings, whose keys are the variant file's."""
    if isinstance(told, dict):
        yield told
    for key, one in told.items() if isinstance(told, dict) else enumerate(told):
        if isinstance(one, dict | list) and key not in {"parameters", "bases", "bite_mm"}:
            yield from objects(one)


def thinned(told: Any) -> Any:
    """Return JSON data with two entries of each list: the more of its kinds are among a few."""
    if isinstance(told, dict):
        return {key: thinned(one) for key, one in told.items()}
    return [thinned(one) for one in told[:2]] if isinstance(told, list) else told


def test_an_object_with_a_key_less_or_more_is_refused() -> None:
    whole = thinned(json.loads(report_file(shipped("bean-tower"))))
    judge, pick = validator("report"), random.Random("schemas")
    assert judge.is_valid(whole)
    count = sum(1 for _ in objects(whole))
    may_lack = {"changes", "change", "case", "price"}
    counted = {"boards", "lower_bound", "stocks"}  # or a refusal, where boards cannot be counted
    for place in pick.sample(range(count), 40):
        for more in (True, False):
            broken = deepcopy(whole)
            one = list(objects(broken))[place]
            owed = sorted(one.keys() - may_lack - (counted if "stocks" in one else set()))
            if more:
                one["nobody-named-this"] = 1
            else:
                del one[pick.choice(owed)]
            assert not judge.is_valid(broken), (place, one)


def report_of(box: Design, to_sell: bool = False) -> dict[str, Any]:
    """What a packet's report tells."""
    files = dict(WRITERS["report"].files(PacketRequest(box, to_sell=to_sell), Silent()))
    found: dict[str, Any] = json.loads(files["report.json"])
    return found


def test_the_price_stands_in_the_makers_report_alone(tmp_path: Path) -> None:
    judge = validator("report")
    mine, sold = (report_of(shipped("sill-box"), to_sell) for to_sell in (False, True))
    assert judge.is_valid(mine) and judge.is_valid(sold)
    assert {key: one for key, one in mine.items() if key != "price"} == sold
    price = mine["price"]
    done = run_here("price", "sill-box:1", "--json", cwd=tmp_path)
    whole = json.loads(done.stdout)
    (box,) = whole["boxes"]
    for key in ("materials", "wage", "overhead", "packing", "cost"):
        assert price[key] == box[key]
    offer = box["offers"][0]
    assert [price["sell_at"], price["fees"], price["left"]] == [
        offer["price"], offer["fees"], offer["profit"],
    ]  # fmt: skip
    boards = [Decimal(one["cost"]) for one in whole["materials"] if one["unit"] == "boards"]
    assert Decimal(price["boards"]) == sum(boards) > 0
    assert (price["currency"], price["minutes"]) == (whole["currency"], whole["minutes"])
    for key in price:
        assert not judge.is_valid(mine | {"price": {k: v for k, v in price.items() if k != key}})
        assert not judge.is_valid(mine | {"price": price | {key: None}})
    assert not judge.is_valid(mine | {"price": price | {"nobody-named-this": "1"}})


def test_what_cannot_be_sawn_has_no_price() -> None:
    wide = load_variant("stoop-tub", ["panel.stile_width=7 in"]).parameters
    told = report_of(design(wide))
    assert "refusal" in told["cut"] and "price" not in told
    validator("report").validate(told)


@pytest.mark.parametrize("command", [("check", "check"), ("build", "report")])
def test_a_schema_is_printed_without_a_box_being_named(
    command: tuple[str, str], tmp_path: Path
) -> None:
    asked, name = command
    done = run_here(asked, "--schema", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert json.loads(done.stdout) == published_schema(name)
    assert name in PUBLISHED


@pytest.mark.parametrize(
    "settings",
    [
        (),
        thorough((("--solids",),)),
        ("--set", "screws.wall=#8 x 1-1/2 in"),
        ("--set", "panel.stile_width=7 in"),
    ],
)
def test_check_tells_what_its_schema_says_with_what_to_buy(
    settings: tuple[str, ...], tmp_path: Path
) -> None:
    done = run_here("check", "stoop-tub", *settings, "--json", cwd=tmp_path)
    told = json.loads(done.stdout)
    validator("check").validate(told)
    cut = told["cut"]
    if "refusal" in cut:
        assert told["boards_cost"] == "" and settings
    else:
        assert cut["boards"] == sum(one["boards"] for one in cut["stocks"]) > 0
        assert Decimal(told["boards_cost"]) > 0
    assert ("mend" in told) == (not told["passed"])
