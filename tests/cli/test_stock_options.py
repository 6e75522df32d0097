"""`palewright cut` with several boards, offcuts on hand and spares; the JSON's agreed keys."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

import cut_verifier
from case_lists import thorough
from palewright.reading.errors import InputError
from palewright_drawings.cli.main import main
from palewright_drawings.cli.stock_requests import read_stocks

INCH = 25.4
PARTS = "part,length,width,count\nshelf,30 in,5 in,6\nrail,20 in,2-1/2 in,10\n"
WANTED = [
    cut_verifier.Wanted("shelf", 30 * INCH, 5 * INCH, 6),
    cut_verifier.Wanted("rail", 20 * INCH, 2.5 * INCH, 10),
]
pytestmark = pytest.mark.usefixtures("settings_as_they_come")
SHORT, LONG = "72inx5.5in@3.40", "96inx5.5in@4.10"

# design.md's words for a cut plan and for sizes: what other tools may lean on
PLAN = {"boards", "lower_bound", "proven", "yield", "kerf_mm", "stock", "layouts", "setups"}
STOCK = {"length_mm", "width_mm"}
LAYOUT = {"count", "pieces", "cuts", "offcuts"}
PIECE = {"part", "x_mm", "y_mm", "length_mm", "width_mm"}
OFFCUT = {"length_mm", "width_mm"}
SIZES = {"boards", "sizes"}
SIZE = {
    "width_mm", "depth_mm", "height_mm", "volume_l", "boards", "lower_bound", "yield",
}  # fmt: skip


def ran(*args: str) -> str:
    """Standard output of a command that is to succeed."""
    done = CliRunner().invoke(main, list(args), standalone_mode=False)
    assert done.exception is None, done.exception
    return done.stdout


@pytest.fixture
def listed(tmp_path: Path) -> list[str]:
    file = tmp_path / "parts.csv"
    file.write_text(PARTS, encoding="utf-8")
    return ["cut", "--parts", str(file), "--kerf", "1/8in"]


def planned(*args: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(ran(*args, "--json"))
    return found


def test_the_cheapest_mix_is_bought_and_no_more_than_there_are(listed: list[str]) -> None:
    # four longs at 4.10 cost more than three longs and a short; a mix within the two shorts
    # that are there has to be no dearer than longs alone, and the bound says that it is least
    mixed = planned(*listed, "--stock", f"{SHORT}:2", "--stock", LONG)
    alone = planned(*listed, "--stock", LONG)
    boards = [
        cut_verifier.Board(SHORT, 72 * INCH, 5.5 * INCH, 2),
        cut_verifier.Board(LONG, 96 * INCH, 5.5 * INCH),
    ]
    assert cut_verifier.complaints(mixed, WANTED, boards, INCH / 8) == []
    assert mixed["proven"] is True
    assert mixed["cost"] == mixed["cost_bound"] < alone["cost"] == pytest.approx(4 * 4.10)
    used = {kind["name"]: kind for kind in mixed["boards_used"]}
    assert used[SHORT]["available"] == 2
    assert sum(kind["used"] * kind["price"] for kind in used.values()) == pytest.approx(
        mixed["cost"]
    )


def test_the_text_says_what_to_buy_and_which_offcuts_served(listed: list[str]) -> None:
    kept = ("--offcut", "31inx5.25in:2", "--offcut", "10in x 2in")
    told = ran(*listed, "--stock", SHORT, "--stock", LONG, *kept, "--spare-boards", "10")
    assert "no plan costs less" in told
    # four shelves are left, and ten rails that lie two abreast: 4 x 30 + 5 x 20 in of boards and
    # a few kerfs; three short boards hold 216 in, two long ones 192, two short and a long do
    assert "buy 2 x 72 in x 5-1/2 in at 3.40 = 6.80" in told
    assert "buy 1 x 96 in x 5-1/2 in at 4.10 = 4.10" in told
    assert "together 10.90" in told
    assert "on hand: 31 in x 5-1/4 in, 2 of 2 used" in told
    assert "on hand: 10 in x 2 in, not used" in told
    assert "and 1 more to spare for knots and splits" in told


@pytest.mark.parametrize(
    ("name", "board"), [("porch-cube", "fence-34"), thorough(("stoop-tub", "fence-58"))]
)
def test_further_boards_serve_a_variant(name: str, board: str) -> None:
    own = planned("cut", name)
    more = planned("cut", name, "--stock", "96inx5.375in@4.20")
    assert more["cost"] < own["cost"]
    assert {kind["name"] for kind in more["boards_used"]} == {board, "96inx5.375in@4.20"}


def test_spares_are_bought_and_cut(listed: list[str]) -> None:
    plan = planned(*listed, "--stock", LONG, "--spare-boards", "30", "--spare-parts", "20")
    made = [p for lay in plan["layouts"] for p in lay["pieces"] * lay["count"]]
    spare = [p["part"] for p in made if p["kit"] == "spare"]
    assert sorted(spare) == ["rail", "rail", "shelf", "shelf"]
    assert len(made) == 16 + 4
    assert plan["spare_boards"] == -(-plan["boards"] * 30 // 100)
    key = planned("cut", "sill-box", "--set", "saw.spare_parts=10", "--work", "5")
    assert any(p["kit"] == "spare" for lay in key["layouts"] for p in lay["pieces"])


@given(
    st.integers(1, 400),
    st.integers(1, 40),
    st.none() | st.integers(1, 9_999_999),
    st.none() | st.integers(1, 999_999),
)
def test_boards_are_read_as_they_are_written(
    length: int, width: int, cents: int | None, count: int | None
) -> None:
    text = f"{length}inx{width}in"
    text += f"@{cents / 100:.2f}" if cents else ""
    text += f":{count}" if count else ""
    (board,) = read_stocks([text])
    assert (board.length, board.width) == pytest.approx((length * INCH, width * INCH))
    assert board.price == pytest.approx((cents or 0) / 100)
    assert board.available == count


@pytest.mark.parametrize(
    ("texts", "word"),
    [
        (["72inx5.5in@"], "LENGTHxWIDTH"),
        (["72inx5.5in@0"], "above 0"),
        (["72inx5.5in@-1"], "LENGTHxWIDTH"),
        (["72inx5.5in@nan"], "LENGTHxWIDTH"),
        (["72inx5.5in@3.401"], "LENGTHxWIDTH"),
        (["72inx5.5in@999999"], "at most 100000"),
        (["72inx5.5in:0"], "count"),
        (["72inx5.5in:-2"], "LENGTHxWIDTH"),
        (["72x5.5in"], "72x5.5in"),
        (["@3:4"], "LENGTHxWIDTH"),
        ([SHORT, SHORT], "twice"),
        ([SHORT, "96inx5.5in"], "no price"),
    ],
)
def test_what_is_no_board_is_refused(texts: list[str], word: str) -> None:
    with pytest.raises(InputError, match="--stock") as caught:
        read_stocks(texts)
    assert word in str(caught.value)


def test_cut_json_has_the_agreed_keys_at_every_level(listed: list[str]) -> None:
    plan = planned(*listed, "--stock", SHORT, "--stock", LONG)
    assert set(plan) >= PLAN
    assert set(plan["stock"]) >= STOCK
    assert plan["setups"]["count"] == len(plan["setups"]["settings"])
    assert plan["layouts"]
    for layout in plan["layouts"]:
        assert set(layout) >= LAYOUT
        assert layout["cuts"]
        assert all(set(piece) >= PIECE for piece in layout["pieces"])
        assert all(set(offcut) >= OFFCUT for offcut in layout["offcuts"])
    for setting in plan["setups"]["settings"]:
        for place in setting["places"]:
            assert place["layout"] < len(plan["layouts"])


def test_size_json_has_the_agreed_keys() -> None:
    narrow = [
        f"size.{end}_{side}={size} in"
        for side, size in (("width", 13), ("height", 18))
        for end in ("least", "most")
    ]
    args = [word for setting in narrow for word in ("--set", setting)]
    found = planned("size", "stoop-tub", "--boards", "6", "--workers", "1", *args)
    assert set(found) >= SIZES
    (size,) = found["sizes"]
    assert set(size) >= SIZE
    assert size["boards"] <= found["boards"]


def test_angles_are_told_as_the_mitre_gauge_reads_them() -> None:
    told = ran("cut", "stoop-tub", "--work", "10")
    assert "blade upright" in told
    assert "mitre gauge set 45° off square" in told
    assert "blade 45" not in told
    assert "buy 8 x 72 in x 5-1/2 in at 3.40 = 27.20" in told, "what the yard's tag says"
    head = next(line for line in told.splitlines() if "long edge" in line)
    assert head.index("length over all") < head.index("long edge")
