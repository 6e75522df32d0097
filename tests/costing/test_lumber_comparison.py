"""One box from several lumbers, and the loads in the report, against the design itself."""

from __future__ import annotations

import json
import math
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from case_lists import KINDS, mostly_thorough
from command_runs import run_here
from palewright.costing.lumber_comparison import Alternative, alternatives_of, differing_findings
from palewright.design import design
from palewright.parameters.variant_files import load_variant, parameters_from, shipped_variants
from palewright.reading.errors import InputError
from palewright.reading.quantities import GRAVITY
from palewright_drawings.cli.main import main
from palewright_drawings.json_reports.loads import loads_as_json
from palewright_drawings.json_reports.report import report
from palewright_drawings.output.terminal import plain
from palewright_drawings.texts.lumber_comparison_text import comparison_as_json, comparison_text

pytestmark = pytest.mark.usefixtures("few_boards_as_many")

TUB = load_variant("stoop-tub").parameters


@pytest.fixture(scope="module")
def two() -> list[Alternative]:
    return alternatives_of(TUB, ["cedar", "treated-pine"], "stoop-tub")


def test_a_wood_means_the_stock_that_is_nearest_in_size(two: list[Alternative]) -> None:
    assert [one.name for one in two] == ["fence-58-cedar", "fence-58"]
    assert [one.stock.species for one in two] == ["cedar", "treated-pine"]
    thick = parameters_from({"lumber": {"board": "fence-34"}}, {})
    assert alternatives_of(thick, ["cedar", "douglas-fir"])[0].name == "fence-34"
    assert alternatives_of(thick, ["cedar", "douglas-fir"])[1].name == "one-by-6"


@pytest.mark.parametrize(
    ("names", "word"),
    [
        (["cedar"], "two names"),
        ([], "two names"),
        (["cedar", "pine"], "treated-pine"),
        (["cedar", "fence-58-cedar"], "there already"),
        (["cedar", "balsa"], "no stock of balsa"),
    ],
)
def test_what_cannot_be_compared_is_refused_in_one_line(names: list[str], word: str) -> None:
    said = {"species": {"balsa": {"density": 160, "color": "#eeeecc"}}}
    with pytest.raises(InputError, match=word) as refused:
        alternatives_of(parameters_from(said, {}), names)
    assert refused.value.key == "--lumber"
    assert "\n" not in str(refused.value)


def test_each_alternative_is_the_design_from_that_stock(two: list[Alternative]) -> None:
    for one in two:
        alone = design(
            load_variant("stoop-tub", [f"lumber.board={one.name}"]).parameters, "stoop-tub"
        )
        assert one.design.parameters == alone.parameters
        assert one.design.verdict.findings == alone.verdict.findings
        boards = {plan.demand.name: plan.plan.boards for plan in one.plans}
        assert one.boards == boards[one.name]
        kept = {plan.demand.name: plan.demand.stock for plan in one.plans}
        by_hand = sum(
            (
                Decimal(count) * stock.price
                for name, count in boards.items()
                if (stock := kept[name])
            ),
            Decimal(0),
        )
        assert one.cost == by_hand > 0


def test_cedar_is_lighter_dearer_and_worked_harder(two: list[Alternative]) -> None:
    cedar, pine = two
    assert cedar.cost > pine.cost
    assert cedar.design.loads.weights.empty.mass < pine.design.loads.weights.empty.mass
    for share in ("bending_used", "screws_used"):
        first, second = getattr(cedar, share), getattr(pine, share)
        assert 0 < second < first < 100
    # the same load on the same sections: only what is assumed differs, 350 to 500 psi
    slats = [next(b for b in one.design.loads.bent if b.role == "slat") for one in two]
    assert slats[0].stress == pytest.approx(slats[1].stress)
    assert cedar.bending_used == pytest.approx(100 * slats[0].stress / (slats[0].allowed or 0.0))


def test_what_differs_is_found_with_some_and_not_with_all() -> None:
    # zinc in copper: both; swelling in wet soil: cedar stops at 22 %, pine at 30 %
    said = {"liner": {"fit": False}, "wall": {"gap": "3/32 in"}, "screws": {"coating": "zinc"}}
    both = alternatives_of(parameters_from(said, {}), ["cedar", "treated-pine"])
    differing = {f.code: names for f, names in differing_findings(both)}
    assert differing["PW931"] == ("fence-58",)
    assert "PW926" not in differing
    assert differing["PW933"] == ("fence-58",)  # cedar has no end tag: other words
    for code, names in differing.items():
        for one in both:
            there = {f.code for f in one.design.verdict.findings}
            assert (code in there) or one.name not in names


def test_the_table_says_every_number_and_defers(two: list[Alternative]) -> None:
    text = plain(comparison_text(two))
    lines = text.splitlines()
    assert max(len(line) for line in lines) <= 100
    rows = {line[:20].strip(): line[20:].split("  ") for line in lines if line[:1].strip()}
    cells = [cell.strip() for cell in rows["cost of all boards"] if cell.strip()]
    assert cells == [f"{one.cost:.2f}" for one in two]
    cells = [cell.strip() for cell in rows["boards for one box"] if cell.strip()]
    assert cells == [str(one.boards) for one in two]
    for one in two:
        assert one.species.life.split(";")[0].split(":")[0] in " ".join(text.split())
    assert "licensed" in text and "judgement" in text


def test_the_data_says_the_same(two: list[Alternative]) -> None:
    data: Any = json.loads(json.dumps(comparison_as_json(two), allow_nan=False))
    for row, one in zip(data["alternatives"], two, strict=True):
        assert Decimal(row["cost"]) == one.cost
        assert row["boards"] == one.boards == row["all_boards"][one.name]
        assert row["passed"] is one.design.verdict.passed
        assert row["empty_lb"] * 0.45359237 == pytest.approx(row["empty_kg"], abs=0.01)


def test_the_command_prints_either_and_refuses_in_one_line() -> None:
    run = CliRunner()
    asked = ["check", "stoop-tub", "--lumber", "cedar, treated-pine"]
    text = run.invoke(main, asked, standalone_mode=False)
    assert text.return_value == 0 and "fence-58-cedar" in text.stdout
    data = run.invoke(main, [*asked, "--json"], standalone_mode=False)
    assert [row["stock"] for row in json.loads(data.stdout)["alternatives"]] == [
        "fence-58-cedar", "fence-58"
    ]  # fmt: skip
    failing = run.invoke(main, [*asked, "--set", "panel.lip=5/8 in"], standalone_mode=False)
    assert failing.return_value == 1 and "does not fit" in failing.stdout
    refused = run.invoke(main, ["check", "--lumber", "cedar,oak"], standalone_mode=False)
    assert isinstance(refused.exception, InputError)


def test_compare_uses_the_shops_prices_and_shows_what_cannot_be_made(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text(
        '[money]\ncurrency = "CHF"\n[board_price.fence-58]\nprice = "3.00"\n', encoding="utf-8"
    )
    asked = ["check", "stoop-tub", "--lumber", "two-by-2,treated-pine"]
    text = run_here(*asked, cwd=tmp_path)
    assert text.returncode == 1
    assert "all amounts in CHF; figures: shop.toml" in text.stdout
    assert "two-by-2, cannot be made: " in text.stdout
    data = json.loads(run_here(*asked, "--json", cwd=tmp_path).stdout)
    refused, pine = data["alternatives"]
    assert refused["passed"] is False and "fits on no board" in refused["refusal"]
    assert pine["price"] == "3.00" and pine["refusal"] == "" and data["currency"] == "CHF"
    assert Decimal(pine["cost"]) == 3 * pine["boards"]
    for args, word in (
        (["--lumber", ""], "nothing to compare"),
        (["--lumber", "two-by-2,one-by-2"], "--lumber: two-by-2: "),
    ):
        done = run_here("check", "stoop-tub", *args, cwd=tmp_path)
        assert done.returncode == 2 and word in done.stderr, done
        assert len(done.stderr.splitlines()) == 1


@pytest.mark.parametrize(
    "name",
    mostly_thorough(shipped_variants(), *KINDS),
)
def test_the_report_carries_the_loads(name: str) -> None:
    box = design(load_variant(name).parameters, name)
    found: Any = json.loads(json.dumps(report(box)["loads"], allow_nan=False))
    assert found == json.loads(json.dumps(loads_as_json(box)))
    assert "licensed" in found["note"] and found["not_covered"]
    masses = {state: row["mass_kg"] for state, row in found["weights"].items()}
    assert masses["empty"] <= masses["dry"] <= masses["watered"] <= masses["soaked"]
    area = box.box.sizes.width * box.box.sizes.depth * 1e-6
    pressure = masses["soaked"] * GRAVITY / area * 1e-3
    assert found["stance"]["deck_pressure_kpa"] == pytest.approx(pressure, abs=2e-3)
    for row in found["screws"]:
        # outside the standard's scope, or of an unknown wood, no value is given
        assert (row["value_n"] is None) == (not row["in_scope"])
        assert row["pushed_n"] == 0 or row["penetration_d"] is None or (
            row["in_scope"] == (row["penetration_d"] >= 6 - 1e-3)
        )  # fmt: skip
    volume = found["soil"]["volume_l"]
    soaked = found["soil"]["soaked_kg_m3"] * volume * 1e-3
    assert masses["soaked"] - masses["empty"] == pytest.approx(soaked, abs=0.02)
    assert all(math.isfinite(x) for x in found["weights"]["soaked"]["centre_mm"])


def test_the_report_and_the_loads_weigh_one_box() -> None:
    box = design(TUB, "stoop-tub")
    found = report(box)
    assert found["empty_mass_kg"] == round(box.loads.weights.empty.mass, 4)
    assert found["centre_of_mass_mm"] == pytest.approx(box.loads.weights.empty.centre, abs=1e-4)
    undrilled = sum(
        board.volume * box.parameters.materials.species[board.stock].density * 1e-9
        for board in box.box.boards.values()
    )
    assert 0.97 * undrilled < box.loads.weights.wood < undrilled
