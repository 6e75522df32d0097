"""Variants of one family: found by the base at which their chains end, whoever reads them."""

from __future__ import annotations

from pathlib import Path

import pytest

from palewright.design import design
from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import (
    MOST_RELATIVES,
    find_variant,
    load_variant,
    relatives_of,
    shipped_variants,
)
from palewright_drawings.output.progress import Silent
from palewright_drawings.packet.writers import WRITERS, PacketRequest
from shipped_designs import shipped

PICKETS = ("-five", "-four", "-two", "")
"""What follows ``picket-tub`` in the names of its family."""


def variant(folder: Path, name: str, base: str = "", title: str = "x") -> Path:
    lines = [f'base = "{base}"'] if base else []
    path = folder / f"{name}.toml"
    path.write_text("\n".join([*lines, "[product]", f'title = "{title}"']), encoding="utf-8")
    return path


def names(path: Path) -> list[str]:
    return [name for name, _ in relatives_of(path)]


def test_shipped_families_are_those_with_a_base() -> None:
    found = {name: names(path) for name, path in shipped_variants().items()}
    related = {name: others for name, others in found.items() if others}
    assert related == {
        **{
            f"picket-tub{one}": [f"picket-tub{other}" for other in PICKETS if other != one]
            for one in PICKETS
        },
        "stoop-tub": ["stoop-tub-wide"],
        "stoop-tub-wide": ["stoop-tub"],
        "winter-tub": ["winter-tub-small"],
        "winter-tub-small": ["winter-tub"],
    }
    wide = dict(relatives_of(find_variant("stoop-tub")))["stoop-tub-wide"]
    assert wide == load_variant("stoop-tub-wide").parameters


def test_a_family_reaches_over_several_bases_and_forgets_strangers(tmp_path: Path) -> None:
    variant(tmp_path, "a")
    variant(tmp_path, "b", "a")
    deep = variant(tmp_path, "c", "b")
    variant(tmp_path, "stranger")
    variant(tmp_path, "from-shop", "stoop-tub")
    assert names(deep) == ["a", "b"]
    assert names(tmp_path / "a.toml") == ["b", "c"]
    assert names(tmp_path / "stranger.toml") == []
    assert names(tmp_path / "from-shop.toml") == []


def test_what_cannot_be_read_is_no_relative(tmp_path: Path) -> None:
    variant(tmp_path, "a")
    good = variant(tmp_path, "b", "a")
    (tmp_path / "binary.toml").write_bytes(b"\xff\x00")
    (tmp_path / "bad.toml").write_text('base = "a"\n[box]\nwidth = "long"\n')
    (tmp_path / "lost.toml").write_text('base = "gone"\n')
    (tmp_path / "ring.toml").write_text('base = "ring"\n')
    assert names(good) == ["a"]
    assert names(tmp_path / "ring.toml") == []


def test_a_large_family_is_cut_off(tmp_path: Path) -> None:
    first = variant(tmp_path, "a")
    for i in range(MOST_RELATIVES + 3):
        variant(tmp_path, f"b{i:02}", "a")
    assert names(first) == [f"b{i:02}" for i in range(MOST_RELATIVES)]


@pytest.mark.thorough
@pytest.mark.usefixtures("plans_anew")
@pytest.mark.parametrize("name", ["stoop-tub", "terrace-crate"])
def test_saw_plans_are_the_same_however_often_they_are_made(name: str) -> None:
    parameters = load_variant(name).parameters
    plans = [[one.plan for one in design(parameters, name).saw_plans] for _ in range(2)]
    assert plans[0] == plans[1]


def test_saw_plans_are_made_once_and_of_every_board() -> None:
    box = shipped("terrace-crate")
    assert box.saw_plans is box.saw_plans
    pieces = [
        (piece.part, piece.kit)
        for one in box.saw_plans
        for layout in one.plan.layouts
        for piece in layout.pieces * layout.count
    ]
    wanted = [
        (part.mark, box.box.boards[board].panel) for part in box.parts for board in part.boards
    ]
    assert sorted(pieces) == sorted(wanted)


def test_a_design_asks_for_its_family_only_when_told_to() -> None:
    def never() -> tuple[tuple[str, Parameters], ...]:
        raise AssertionError("asked")

    asked = PacketRequest(design(Parameters(), "box"), relatives=never)
    assert dict(WRITERS["cutlist"].files(asked, Silent()))
    with pytest.raises(AssertionError, match="asked"):
        dict(WRITERS["plan"].files(asked, Silent()))
    assert list(PacketRequest(asked.design).relatives()) == []
