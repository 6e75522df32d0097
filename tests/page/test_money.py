"""Whose figures the page's prices are made of, and that they are those of the command."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from page_process import ROOT, PageServer, page_server

OWN = '[money]\ncurrency = "EUR"\n\n[rates]\nwage = "80.00"\n'


def command(*words: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """Run the command in a folder, with the sources of this tree."""
    way = os.pathsep.join(str(ROOT / name) for name in ("model", "drawings"))
    run = [sys.executable, "-m", "palewright_drawings.cli.main", *words]
    env = {**os.environ, "PYTHONPATH": way}
    return subprocess.run(run, cwd=folder, env=env, capture_output=True, text=True, timeout=200)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a shop file of its own."""
    folder = tmp_path_factory.mktemp("shop")
    (folder / "shop.toml").write_text(OWN, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def priced(shop: Path) -> Iterator[PageServer]:
    with page_server(start=shop) as running:
        yield running


@pytest.mark.thorough
def test_the_page_takes_the_shop_of_its_folder_and_ends_at_the_commands_price(
    priced: PageServer, shop: Path
) -> None:
    told = json.loads(command("price", "stoop-tub:1", "--json", folder=shop).stdout)
    first = priced.ask("cut", variant="stoop-tub")[1]["price"]
    assert (first["currency"], first["figures"], first["settled"]) == ("EUR", "shop.toml", False)
    found = priced.ask("price", variant="stoop-tub")[1]
    assert found["price"] == {
        "currency": "EUR",
        "figures": "shop.toml",
        "settled": True,
        "cost": told["cost"],
        "ask": told["boxes"][0]["offers"][0]["price"],
    }
    (choice,) = told["choices"]
    taken = choice["options"][choice["chosen"]]
    assert (found["boards"], found["setups"]["count"]) == (taken["boards"], taken["settings"])
    assert found["fewest"] == choice["options"][0]["boards"]
    # with spare parts the plan that is shown stays that of the box, and the price has them
    spare = priced.ask("price", variant="stoop-tub", changes={"saw.spare_parts": 20})[1]
    assert list(spare) == ["price"]
    assert float(spare["price"]["cost"]) > float(told["cost"])


def test_a_file_and_the_start_name_whose_figures_they_are(priced: PageServer) -> None:
    assert json.loads(priced.send("GET", "/start")[2])["figures"] == "shop.toml"
    body = json.dumps({"page": "m", "variant": "sill-box", "kind": "costs"}).encode()
    _, _, content = priced.send("POST", "/file", body, Content_Type="application/json")
    with zipfile.ZipFile(io.BytesIO(content)) as whole:
        (name,) = (name for name in whole.namelist() if name.endswith("costs.json"))
        costs = json.loads(whole.read(name))
    assert (costs["figures"], costs["batches"][0]["currency"]) == ("shop.toml", "EUR")


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ('[rates]\nwage = "much"\n', "rates.wage"),
        ("[selling]\nmargin = 95\nfee = 20\n", "selling.margin"),
    ],
)
def test_a_shop_file_that_cannot_be_used_is_refused_at_the_start_in_one_line(
    tmp_path: Path, said: str, told: str
) -> None:
    (tmp_path / "shop.toml").write_text(said, encoding="utf-8")
    ended = command("page", "--port", "0", "--no-show", folder=tmp_path)
    assert ended.returncode == 2
    assert len(ended.stderr.splitlines()) == 1
    assert told in ended.stderr and "shop.toml" in ended.stderr
