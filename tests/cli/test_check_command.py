"""``check`` as a maker reads it: the verdict first, one list of changes, ``--fix``."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import pytest

from command_runs import assert_refused, run_here
from palewright.fit.findings import Finding
from palewright_drawings.output.terminal import plain
from palewright_drawings.texts.check_text import findings_text

TUB = """\
base = "stoop-tub"  # from the yard

[box]
width = "20 in"   # what the porch takes

[screws]  # what is in the drawer
wall = "#8 x 1-1/4 in" # the long ones
"""


def words(text: str) -> str:
    return " ".join(text.split())


def test_the_verdict_comes_first_with_what_a_maker_asks(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text(
        '[money]\ncurrency = "CHF"\n[board_price.fence-58]\nprice = "3.00"\n', encoding="utf-8"
    )
    done = run_here("check", "stoop-tub", cwd=tmp_path)
    lines = done.stdout.splitlines()
    assert done.returncode == 0
    assert lines[0] == "stoop-tub: fits"
    facts = {line.split()[0]: line for line in lines[1:6]}
    # 19 in over the panels and an overhang of 1 in all round
    assert "21 x 21 x 16 in over the cap" in facts["outside"]
    assert "gallons" in facts["inside"] and "cubic feet" in facts["inside"]
    plan = json.loads(run_here("cut", "stoop-tub", "--json", cwd=tmp_path).stdout)
    assert f"{plan['boards']} boards of fence-58" in done.stdout
    assert f"{3 * plan['boards']}.00 CHF" in done.stdout
    assert "lb" in lines[5] and "kg" not in done.stdout and "mm" not in done.stdout
    assert "notes: --notes" in lines[-1]
    told = run_here("check", "stoop-tub", "--notes", cwd=tmp_path).stdout
    assert told.startswith("\n".join(lines[:6]))
    assert re.search(r"^thin +0 ", told, re.M) and "PW905" not in told and "PW901" in told
    assert run_here("check", "stoop-tub", "--all", cwd=tmp_path).stdout == told


def test_a_metric_box_is_told_in_metric(tmp_path: Path) -> None:
    told = run_here("check", "terrace-crate", cwd=tmp_path).stdout
    assert "mm over the cap" in told and "litres" in told and "kg" in told
    assert not re.search(r"\b(in|lb|gallons|feet)\b", words(told).replace("pieces in", ""))


def test_the_facts_are_the_boxs_own(tmp_path: Path) -> None:
    tree = run_here("check", "winter-tub", cwd=tmp_path).stdout
    assert "a tree's stand" in tree and "of soil" not in tree
    pots = run_here("check", "porch-cube", "--notes", cwd=tmp_path).stdout
    assert "for pots" in pots and "of soil" not in pots and "fine soil" not in pots
    tower = run_here("check", "bean-tower", cwd=tmp_path).stdout
    assert "high with its trellis" in tower
    wide = run_here("check", "stoop-tub", "--set", "panel.stile_width=7 in", cwd=tmp_path)
    assert wide.returncode == 1
    assert "not counted: part 'A'" in words(wide.stdout)


def test_one_list_cures_all_and_is_typed_as_it_stands(tmp_path: Path) -> None:
    broken = ["--set", "box.kind=tree", "--set", "tree.stand_diameter=18 in"]
    done = run_here("check", "stoop-tub", *broken, cwd=tmp_path)
    assert done.returncode == 1 and done.stdout.startswith("stoop-tub: does not fit, 3 faults")
    listed = re.findall(r'^  --set ([a-z_.]+)="?([^"\n]+)"?$', done.stdout, re.M)
    assert {key for key, _ in listed} == {"floor.kind", "box.width", "box.depth"}
    mend = [part for key, value in listed for part in ("--set", f"{key}={value}")]
    assert run_here("check", "stoop-tub", *broken, *mend, cwd=tmp_path).returncode == 0
    data = json.loads(run_here("check", "stoop-tub", *broken, "--json", cwd=tmp_path).stdout)
    assert [(one["key"], one["value"]) for one in data["mend"]["changes"]] == listed
    assert data["mend"]["leaves"] == []
    # what it is mended of stands above it in two lines at most each
    faults = done.stdout.partition("to mend it:")[0].count("\n", done.stdout.index("fault "))
    assert faults <= 2 * 3 + 2


def test_many_faults_of_one_kind_are_told_as_one() -> None:
    """The worst of them, and how many more; each by itself where everything is asked for."""
    many = [Finding("PW101", (f"bar-{i}",), 10.0 * i, 0.0, "mm", f"bar {i} is in the way")
            for i in range(1, 6)]  # fmt: skip
    other = Finding("PW703", ("a",), 2.0, 1.0, "mm", "a is long")
    told = plain(findings_text([*many, other], "inch")).splitlines()
    assert told == [
        "fault PW101: bar 5 is in the way",
        "      and 4 more like it: --all",
        "fault PW703: a is long",
    ]
    assert plain(findings_text([*many, other], "inch", notes=True)).count("PW101: ") == 5
    assert plain(findings_text(many[:3], "inch")).count("PW101: ") == 3


def test_fix_writes_what_mends_it_and_keeps_all_else(tmp_path: Path) -> None:
    file = tmp_path / "tub.toml"
    file.write_text(TUB, encoding="utf-8")
    assert run_here("check", "tub.toml", cwd=tmp_path).returncode == 1
    assert file.read_text(encoding="utf-8") == TUB
    done = run_here("check", "tub.toml", "--fix", cwd=tmp_path)
    assert done.returncode == 0 and done.stdout.startswith("tub: fits")
    assert "screws.wall to #8 x 1 in" in done.stderr
    assert (tmp_path / "tub.toml.before").read_text(encoding="utf-8") == TUB
    fixed = file.read_text(encoding="utf-8")
    assert fixed == TUB.replace("#8 x 1-1/4 in", "#8 x 1 in")
    assert {path.name for path in tmp_path.iterdir()} == {"tub.toml", "tub.toml.before"}
    again = run_here("check", "tub.toml", "--fix", cwd=tmp_path)  # nothing is left to mend
    assert again.returncode == 0 and again.stdout == done.stdout
    assert file.read_text(encoding="utf-8") == fixed
    # another copy goes beside the first
    file.write_text(TUB.replace("20 in", "21 in"), encoding="utf-8")
    assert run_here("check", "tub", "--fix", cwd=tmp_path).returncode == 0
    assert (tmp_path / "tub.toml.before").read_text(encoding="utf-8") == TUB
    assert "21 in" in (tmp_path / "tub.toml.before1").read_text(encoding="utf-8")


@pytest.mark.thorough
def test_fix_adds_a_table_that_is_not_there(tmp_path: Path) -> None:
    file = tmp_path / "tub.toml"
    text = 'base = "stoop-tub"\nfloor = { play = "1 in" } # mine\nbox.kind = "tree"\n'
    text += '[tree]\nstand_diameter = "18 in"\n'
    file.write_text(text, encoding="utf-8")
    done = run_here("check", "tub", "--fix", cwd=tmp_path)
    assert done.returncode == 0, done.stdout
    before, after = tomllib.loads(text), tomllib.loads(file.read_text(encoding="utf-8"))
    assert after["tree"] == before["tree"] and after["base"] == before["base"]
    assert after["floor"]["kind"] == "none" and after["box"]["kind"] == "tree"
    assert "# mine" in file.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (["stoop-tub", "--fix"], ["--fix", "palewright new NAME --base stoop-tub"]),
        (["stoop-tub", "--fix", "--set", "box.width=20 in"], ["--fix", "goes without --set"]),
        (["stoop-tub", "--fix", "--lumber", "cedar,fence-58"], ["--fix", "--lumber"]),
        # the setting that was typed is to blame, not the line of the shipped file
        (
            ["stoop-tub", "--set", "box.foot=12 in"],
            ["--set: box.foot: then box.height"],
        ),
        (["sill-box", "--set", "panel.rail_width=3-1/2 in"], ["--set: panel.rail_width"]),
    ],
)
def test_what_cannot_be_is_told_in_a_line(args: list[str], told: list[str], tmp_path: Path) -> None:
    done = run_here("check", *args, cwd=tmp_path)
    assert_refused(done, told, tmp_path)
    assert "stoop-tub.toml" not in done.stderr


def test_a_line_of_ones_own_file_is_to_blame_not_its_base(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text('base = "stoop-tub"\n[box]\nfoot = "12 in"\n')
    done = run_here("check", "mine.toml", cwd=tmp_path)
    assert done.returncode == 2
    assert "mine.toml:3: box.foot: then box.height: " in done.stderr
    typed = run_here("check", "mine.toml", "--set", "box.foot=1 in", cwd=tmp_path)
    assert typed.returncode == 0
