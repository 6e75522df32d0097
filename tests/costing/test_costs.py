"""The maker's own copy of the costs: right, the same each time, and nowhere else in the packet."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from case_lists import mostly_thorough
from command_runs import run_here
from palewright.costing.batch_price import price_batch
from palewright.costing.shop_file import Shop, load_shop
from palewright.design import design
from palewright.parameters.variant_files import load_variant
from palewright_drawings.documents.cost_sheet import DETAILED, cost_content, cost_files
from palewright_drawings.output.progress import Silent
from palewright_drawings.packet.writers import WRITERS, PacketRequest
from pdf_pages import outside, overlapping, page_sizes, page_texts, page_words, syntax_problems
from shipped_designs import shipped as box

D = Decimal

OWN = """
[money]
currency = "Zolk"
places = 2
[rates]
wage = "87.31"
overhead = "913.17"
[selling]
stall = "41.77"
margin = 31
[board_price.fence-58]
price = "9.43"
"""


@pytest.fixture(scope="module")
def own_shop(tmp_path_factory: pytest.TempPathFactory) -> Shop:
    file = tmp_path_factory.mktemp("own") / "shop.toml"
    file.write_text(OWN, encoding="utf-8")
    return load_shop(file)


@pytest.fixture(scope="module")
def own_tub(own_shop: Shop) -> PacketRequest:
    return owned("stoop-tub", own_shop)


def owned(name: str, shop: Shop) -> PacketRequest:
    return PacketRequest(box(name), lambda: (shop, "shop.toml"))


def made(of: PacketRequest) -> dict[str, bytes]:
    return dict(cost_files(of.design, of.figures, Silent()))


@pytest.mark.usefixtures("plans_anew")
@pytest.mark.parametrize(
    "name",
    mostly_thorough(["stoop-tub", "bean-tower", "terrace-crate", "winter-tub"], "stoop-tub"),
)
def test_both_files_tell_the_same_batches(name: str) -> None:
    files = made(PacketRequest(box(name)))
    assert files == made(PacketRequest(design(load_variant(name).parameters, name)))
    told: dict[str, Any] = json.loads(files["costs.json"])
    assert [batch["count"] for batch in told["batches"]] == [1, DETAILED]
    assert "palewright price" in " ".join(page_texts(files["costs.pdf"]))
    shop = load_shop(None)
    pages = page_texts(files["costs.pdf"])
    whole = " ".join(pages)
    for batch in told["batches"]:
        again = price_batch([(box(name), batch["count"])], shop)
        one = batch["boxes"][0]
        assert D(batch["cost"]) == again.cost
        assert D(one["cost"]) == sum(
            D(one[k]) for k in ("materials", "wage", "overhead", "packing")
        )
        row = f"{one['unit_cost']} {one['offers'][0]['price']} {one['offers'][0]['profit']}"
        assert row in whole, row
    costs = [D(batch["boxes"][0]["unit_cost"]) for batch in told["batches"]]
    assert costs == sorted(costs, reverse=True)
    for row in next(b for b in told["batches"] if b["count"] == DETAILED)["materials"]:
        assert row["cost"] in whole
    assert "maker alone" in pages[0]
    assert all("for the maker alone" in page for page in pages)
    assert "invented" in pages[0] and "invented" in told["figures"]


@pytest.mark.parametrize("name", mostly_thorough(["stoop-tub", "bean-tower"], "stoop-tub"))
def test_the_pages_are_sound(name: str) -> None:
    pdf = made(PacketRequest(box(name)))["costs.pdf"]
    assert syntax_problems(pdf) == []
    for words, size in zip(page_words(pdf), page_sizes(pdf), strict=True):
        assert outside(words, size, 9.0) == []
        assert overlapping(words) == []


def test_bars_are_as_high_as_a_piece_is_dear() -> None:
    shop = load_shop(None)
    batches = [price_batch([(box("stoop-tub"), size)], shop) for size in (1, 10)]
    bars = cost_content(box("stoop-tub"), batches, 10, shop, "shop.toml")["bars"]
    heights = [sum(bar["heights"]) for bar in bars]
    costs = [float(batch.boxes[0].unit_cost) for batch in batches]
    assert heights[0] / heights[1] == pytest.approx(costs[0] / costs[1], abs=1e-3)
    assert [bar["total"] for bar in bars] == [
        shop.coins.text(b.boxes[0].unit_cost) for b in batches
    ]


@pytest.mark.parametrize(
    "kind",
    mostly_thorough(
        ["plan", "labels", "templates", "cutlist", "report", "boards", "jigs"], "plan", "cutlist"
    ),
)
def test_what_is_sold_does_not_depend_on_the_shop(kind: str, own_tub: PacketRequest) -> None:
    """Wage, board price, margin and currency change no byte of it."""
    sold = kind == "report"  # the maker's own tells the price
    asked = [replace(one, to_sell=sold) for one in (PacketRequest(box("stoop-tub")), own_tub)]
    files = [dict(WRITERS[kind].files(of, Silent())) for of in asked]
    assert files[0] == files[1]


def test_a_shop_of_ones_own_rules_the_costs(own_tub: PacketRequest) -> None:
    first, second = PacketRequest(box("stoop-tub")), own_tub
    costs = [dict(WRITERS["costs"].files(of, Silent())) for of in (first, second)]
    assert costs[0].keys() == costs[1].keys() == {"maker/costs.json", "maker/costs.pdf"}
    assert costs[0]["maker/costs.json"] != costs[1]["maker/costs.json"]
    pages = " ".join(page_texts(costs[1]["maker/costs.pdf"]))
    for word in ("Zolk", "87.31", "9.43", "41.77", "31 % of itself", "shop.toml"):
        assert word in pages
    assert [kind for kind, writer in WRITERS.items() if writer.private] == ["costs"]


@pytest.mark.parametrize("name", mostly_thorough(["stoop-tub", "gate-pair"], "stoop-tub"))
def test_no_amount_of_money_and_no_wage_stands_in_the_plan(
    name: str, own_shop: Shop, own_tub: PacketRequest
) -> None:
    of = own_tub if name == own_tub.design.name else owned(name, own_shop)
    plan = " ".join(page_texts(dict(WRITERS["plan"].files(of, Silent()))["plan.pdf"]))
    assert len(plan) > 5000
    assert not re.search(r"Zolk|USD|[$€£¥]", plan)
    assert not re.search(r"\b(price|prices|wage|overhead|margin|markup|cost|costs)\b", plan, re.I)
    told = json.loads(made(of)["costs.json"])
    amounts = set(re.findall(r'"(\d{2,}\.\d\d)"', json.dumps(told["batches"])))
    assert len(amounts) > 25
    # what the plan prints with two digits behind the point are pressures
    printed = set(re.findall(r"(?<![\d.])\d+\.\d\d(?![\d.])(?! (?:kPa|MPa))", plan))
    assert not printed & amounts, printed & amounts
    # the same search finds them where they are
    pages = " ".join(page_texts(made(of)["costs.pdf"]))
    assert re.search(r"Zolk", pages) and re.search(r"\bwage\b", pages)
    assert len(amounts & set(re.findall(r"\d+\.\d\d", pages))) > 15


@pytest.mark.usefixtures("settings_as_they_come")
def test_the_command_leaves_it_out_or_writes_it_alone(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text(OWN, encoding="utf-8")
    light = ["--only", "cutlist", "--only", "costs"]
    done = run_here("build", "terrace-crate", *light, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    packet = tmp_path / "packets" / "terrace-crate"
    told = json.loads((packet / "maker" / "costs.json").read_text(encoding="utf-8"))
    assert told["figures"] == "shop.toml"
    assert told["batches"][0]["currency"] == "Zolk"
    assert told["shop"]["rates"]["wage"] == "87.31"
    listed = json.loads((packet / "MANIFEST.json").read_text(encoding="utf-8"))["files"]
    assert set(listed) == {"cutlist.csv", "maker/costs.json", "maker/costs.pdf"}
    sold = run_here("build", "terrace-crate", *light, "--to-sell", cwd=tmp_path)
    assert sold.returncode == 0, sold.stderr
    assert not (packet / "maker").exists()
    assert "Zolk" not in (packet / "MANIFEST.json").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("args", "shop", "words"),
    [
        (["--shop", "none.toml"], "", ["none.toml", "palewright shop"]),
        ([], "[rates]\nwage = 3.5\n", ["shop.toml:2", "rates.wage", "quotes"]),
        ([], "[selling]\nmargin = 95\nfee = 20\n", ["shop.toml", "selling.margin", "nothing"]),
        (["--only", "costs", "--to-sell"], "", ["--to-sell", "costs"]),
    ],
)
def test_bad_figures_are_one_line_and_write_nothing(
    args: list[str], shop: str, words: list[str], tmp_path: Path
) -> None:
    if shop:
        (tmp_path / "shop.toml").write_text(shop, encoding="utf-8")
    done = run_here("build", "stoop-tub", "--only", "costs", *args, cwd=tmp_path)
    assert done.returncode == 2, done
    lines = [line for line in done.stderr.splitlines() if line.startswith("palewright:")]
    assert len(lines) == 1, done.stderr
    for word in words:
        assert word in lines[0]
    assert not list(tmp_path.rglob("costs.*"))
