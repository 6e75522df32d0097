"""Budgets of boards, money and minutes; offers that are saved; a cluster that loses a worker."""

from __future__ import annotations

import json
import os
import signal
import tomllib
import warnings
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click
import pytest

from command_runs import run_here
from palewright.costing import box_budgets
from palewright.costing.shop_file import find_figures
from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import derived_text, load_variant, read_chain
from palewright.reading.errors import InputError
from palewright.size_search.looks import DRAWN
from palewright.size_search.pareto_search import frontiers_of
from palewright.size_search.pareto_sizes import BoxSize, Frontier, largest_of
from palewright_drawings.cli.size_command import BoardCounts
from palewright_drawings.texts import size_search_text
from palewright_drawings.texts.size_search_text import cluster_at

INCH = 25.4
SMALL = [
    "size.step=2 in", "size.least_width=14 in", "size.most_width=16 in",
    "size.least_height=12 in", "size.most_height=12 in",
]  # fmt: skip


def parameters(*typed: str) -> Parameters:
    return load_variant("stoop-tub", typed).parameters


# --- boards ---


@pytest.mark.parametrize(
    ("text", "counts"),
    [
        ("3", (3,)),
        ("2-8", tuple(range(2, 9))),
        ("2..8", tuple(range(2, 9))),
        ("2,3", (2, 3)),
        (" 3 , 2-4,60", (2, 3, 4, 60)),
    ],
)
def test_numbers_of_boards_are_read(text: str, counts: tuple[int, ...]) -> None:
    assert BoardCounts().convert(text, None, None) == counts


@pytest.mark.parametrize("text", ["", "0", "-2", "8-2", "2...8", "2,", "61", "2-61", "²", "1e1"])
def test_no_numbers_of_boards_are_refused(text: str) -> None:
    with pytest.raises(click.BadParameter, match="allowed"):
        BoardCounts().convert(text, None, None)


# --- money and minutes ---


def box(boards: int, cost: float, inches: float = 10) -> BoxSize:
    side = inches * INCH
    return BoxSize(side, side, side, DRAWN, boards, boards, 0.9, cost)


class Asked:
    """A search whose box of N boards is N + 8 in wide, and asks for caps of another stock."""

    def __init__(self, cap: float = 0.0) -> None:
        self.cap, self.counts = cap, list[int]()

    def __call__(self, counts: Sequence[int]) -> list[Frontier]:
        self.counts += counts
        sizes = {n: box(n, 3.40 * n + self.cap, 8 + n) for n in counts}
        return [Frontier(n, (sizes[n],), drawn=sizes[n]) for n in counts]


def test_money_buys_whole_boards() -> None:
    # fence-58 costs 3.40 a board, in the catalogue
    for money, boards in ((10.20, 3), (10.19, 2), (13.6, 4)):
        search = Asked()
        found = box_budgets.within_money(parameters(), money, search)
        assert search.counts == [boards]
        assert found.frontier.boards == boards
        assert [size.boards for size in found.frontier.sizes] == [boards]
    with pytest.raises(InputError, match=r"3\.40"):
        box_budgets.within_money(parameters(), 3.39, Asked())


def test_money_pays_for_a_cap_of_another_stock_too() -> None:
    search = Asked(cap=4.0)
    found = box_budgets.within_money(parameters("lumber.cap=fence-34"), 18.0, search)
    assert search.counts == [3, 4, 5]  # 5 x 3.40 is 17, and leaves nothing for the cap
    assert found.frontier.boards == 4
    assert [round(size.cost, 2) for size in found.frontier.sizes] == [17.6]
    search = Asked(cap=9.0)  # a dear cap: none of those is paid for, so fewer boards are sought
    found = box_budgets.within_money(parameters("lumber.cap=fence-34"), 18.0, search)
    assert search.counts == [3, 4, 5, 2]
    assert [round(size.cost, 2) for size in found.frontier.sizes] == [15.8]


def test_minutes_are_those_of_the_first_build(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(box_budgets, "build_minutes", lambda _, size, __: 30.0 * size.boards)
    shop, _ = find_figures("", None)
    for minutes in range(60, 300, 10):
        search = Asked()
        found = box_budgets.within_minutes(parameters(), float(minutes), shop, search)
        assert found.frontier.boards == minutes // 30  # by hand
        assert set(found.minutes.values()) == {30.0 * (minutes // 30)}
        assert len(search.counts) == len(set(search.counts)) <= 8
    with pytest.raises(InputError, match=r"of 1 boards, takes 30 minutes .*at least"):
        box_budgets.within_minutes(parameters(), 20.0, shop, Asked())


def test_the_minutes_of_a_build_are_what_its_price_counts(tmp_path: Path) -> None:
    shop, _ = find_figures("", None)
    table = parameters()
    own = BoxSize(table.box.width, table.box.depth, table.box.height, DRAWN, 1, 1, 0.9, 0.0)
    minutes = box_budgets.build_minutes(table, own, shop)
    done = run_here("price", "stoop-tub:1", "--json", cwd=tmp_path)
    assert minutes == pytest.approx(json.loads(done.stdout)["minutes"], rel=0.001)


# --- saving ---


def size_of_three(*args: str, cwd: Path, variant: str = "stoop-tub") -> Any:
    typed = [part for setting in SMALL for part in ("--set", setting)]
    return run_here("size", variant, *typed, "--workers", "1", *args, cwd=cwd)


@pytest.mark.thorough
def test_a_saved_offer_is_checked_and_cut_as_it_was_told(tmp_path: Path) -> None:
    done = size_of_three("--boards", "4", "--save", "four", "--json", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    best = max(told["sizes"], key=lambda size: size["volume_l"])
    assert best["look"] == "slimmer" and best["fits"] == ["thin", "nominal", "thick", "mixed"]
    text = (tmp_path / "four.toml").read_text(encoding="utf-8")
    assert text.startswith('base = "stoop-tub"\n')
    saved = load_variant(str(tmp_path / "four.toml"))
    for one in best["settings"]:
        typed = load_variant("stoop-tub", [f"{one['key']}={one['value']}"]).parameters
        table, field = one["key"].split(".")
        assert getattr(getattr(saved.parameters, table), field) == getattr(
            getattr(typed, table), field
        )
    assert saved.parameters.size.most_width == 16 * INCH, "what was typed is kept"
    checked = run_here("check", "four.toml", "--json", cwd=tmp_path)
    assert checked.returncode == 0
    assert json.loads(checked.stdout)["passed"]
    cut = json.loads(run_here("cut", "four.toml", "--json", cwd=tmp_path).stdout)
    assert cut["boards"] == best["boards"] <= 4
    # a second time nothing is replaced, and nothing is searched
    again = size_of_three("--boards", "4", "--save", "four", cwd=tmp_path)
    assert again.returncode == 2 and "already" in again.stderr
    assert (tmp_path / "four.toml").read_text(encoding="utf-8") == text


def test_the_base_of_a_saved_offer_may_be_a_file_elsewhere(tmp_path: Path) -> None:
    (tmp_path / "own").mkdir()
    base = tmp_path / "tub.toml"
    base.write_text('base = "stoop-tub"\n[face]\nfront = "cross"\n', encoding="utf-8")
    place = tmp_path / "own" / "next.toml"
    typed, changed = ["stock.pine.price=2.20"], [("box.width", "12-1/2 in"), ("wall.gap", "auto")]
    text = derived_text(load_variant(str(base)), str(base), place, typed, changed, 'A "tub"')
    place.write_text(text, encoding="utf-8")
    said = tomllib.loads(text)
    assert said["base"] == "../tub.toml"
    assert said["stock"]["pine"]["price"] == 2.2
    assert said["product"]["title"] == 'A "tub"'
    chain, _ = read_chain(place)
    assert chain["face"]["front"] == "cross"
    assert chain["box"]["width"] == "12-1/2 in"


# --- side by side ---


@pytest.mark.thorough
def test_a_worker_that_dies_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    distributed = pytest.importorskip(
        "distributed", reason="the dask extra is not installed: pip install 'palewright[dask]'"
    )
    root = Path(__file__).resolve().parents[2]
    paths = [str(root / "model"), str(root / "drawings")]
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join(paths))
    table = parameters(*SMALL)
    alone = frontiers_of(table, [3, 4])
    killed: list[int] = []
    with (
        warnings.catch_warnings(),
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None,
            host="127.0.0.1",
        ) as cluster,
        cluster_at(cluster.scheduler_address) as executor,
    ):  # fmt: skip
        warnings.simplefilter("ignore")

        def kill_one(what: str, *_: object) -> None:
            if what == "slimmer looks" and not killed:
                worker = next(iter(cluster.workers.values()))
                killed.append(worker.process.process.pid)
                os.kill(killed[0], signal.SIGKILL)

        together = frontiers_of(table, [3, 4], executor, kill_one)
    assert killed
    assert together == alone
    best = largest_of(together[0].sizes)
    assert best is not None and best.look


@pytest.mark.parametrize("address", ["nonsense://nowhere", "tcp://127.0.0.1:1"])
def test_nobody_at_an_address_is_told(address: str, monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("distributed", reason="the dask extra is not installed")
    monkeypatch.setattr(size_search_text, "CLUSTER_WAIT", 0.2)
    with pytest.raises(InputError, match="no scheduler answers"), cluster_at(address):
        raise AssertionError("connected")
