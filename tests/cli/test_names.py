"""Names are found: what there is, one's own files first, what a finding means; a first hour."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import pytest
from pydantic import BaseModel

from command_runs import assert_refused, run_here
from palewright.catalogue.lumber import shipped_species, shipped_stock
from palewright.construction.face_patterns import FACE_PATTERNS
from palewright.costing.shop_file import Shop
from palewright.fit.cures import WAYS, settings_of
from palewright.fit.explanations import EXPLANATIONS
from palewright.fit.findings import CODES
from palewright.parameters.schema import FEW, keys_of
from palewright.parameters.tables import Parameters
from palewright.parameters.variant_files import shipped_variants
from palewright_drawings.cli.main import main
from palewright_drawings.packet.batch_writers import BATCH_WRITERS
from palewright_drawings.packet.writers import WRITERS


def test_the_bare_name_prints_a_short_start_whose_commands_are_there(tmp_path: Path) -> None:
    done = run_here(cwd=tmp_path)
    assert done.returncode == 0 and done.stderr == ""
    lines = done.stdout.splitlines()
    assert len(lines) < 20 and max(map(len, lines)) <= 100
    typed = re.findall(r"^  palewright ([a-z]+)", done.stdout, re.M)
    assert len(typed) >= 6 and set(typed) <= set(main.commands)


def test_help_stands_in_the_order_of_the_job_each_with_an_example(tmp_path: Path) -> None:
    text = run_here("--help", cwd=tmp_path).stdout
    listed = re.findall(r"^  ([a-z]+)  +\S", text.partition("Commands:")[2], re.M)
    assert listed == list(main.commands)
    job = ["new", "check", "size", "cut", "price", "build", "listing", "page"]
    assert [name for name in listed if name in job] == job
    assert "..." not in text.partition("Commands:")[2]  # nothing is cut off
    for name in listed:
        told = run_here(name, "--help", cwd=tmp_path).stdout
        (example,) = re.findall(r"Example: palewright ([a-z]+)", told)
        assert example == name


@pytest.mark.parametrize(
    ("command", "named"),
    [
        ("build", [*WRITERS, *BATCH_WRITERS]),
        ("check", [*shipped_stock(), *shipped_species()]),
        ("price", [*shipped_stock(), *shipped_species()]),
        ("new", [*FACE_PATTERNS, *shipped_stock()]),
    ],
)
def test_help_ends_with_the_names_that_are_taken(
    command: str, named: list[str], tmp_path: Path
) -> None:
    told = run_here(command, "--help", cwd=tmp_path).stdout.partition("Names:")[2]
    assert set(named) <= set(re.findall(r"[\w-]+", re.sub(r"-\n +", "-", told)))


@pytest.mark.parametrize("command", ["check", "build", "size", "picture", "listing"])
def test_no_box_is_taken_in_silence(command: str, tmp_path: Path) -> None:
    more = ["--boards", "4"] if command == "size" else []
    done = run_here(command, *more, cwd=tmp_path)
    assert_refused(done, ["which box?", *shipped_variants()], tmp_path)
    (tmp_path / "mine.toml").write_text('base = "sill-box"\n', encoding="utf-8")
    (tmp_path / "shop.toml").write_text('[rates]\nwage = "9"\n', encoding="utf-8")
    (tmp_path / "rough.toml").write_bytes(b"\x00\xff")
    told = run_here(command, *more, cwd=tmp_path).stderr
    assert "yours here: mine; shipped:" in told


def test_ones_own_file_comes_before_a_shipped_one_and_it_is_said(tmp_path: Path) -> None:
    (tmp_path / "stoop-tub.toml").write_text('base = "sill-box"\n', encoding="utf-8")
    (tmp_path / "porch.toml").write_text('base = "sill-box"\n', encoding="utf-8")
    sill = run_here("check", "sill-box", "--json", cwd=tmp_path)
    for name in ("stoop-tub", "porch"):
        mine = run_here("check", name, "--json", cwd=tmp_path)
        assert {**json.loads(mine.stdout), "variant": ""} == {
            **json.loads(sill.stdout), "variant": ""
        }  # fmt: skip
        assert f"{name}: your file {name}.toml" in mine.stderr
        assert ("not the shipped one" in mine.stderr) == (name in shipped_variants())
    assert "your file" not in sill.stderr
    cut = json.loads(run_here("cut", "porch:1", "--json", cwd=tmp_path).stdout)
    alike = json.loads(run_here("cut", "sill-box:1", "--json", cwd=tmp_path).stdout)
    assert cut["boards"] == alike["boards"]
    listed = run_here("variants", cwd=tmp_path).stdout.splitlines()
    assert [line.split()[0] for line in listed[:2]] == ["porch", "stoop-tub"]
    assert all(line.endswith("here") for line in listed[:2])


@pytest.mark.parametrize(
    ("args", "told"),
    [
        (["check", "porhc"], ["no variant 'porhc'", "did you mean 'porch'"]),
        (["check", "folder"], ["folder", "is a folder"]),
        (["check", "folder/"], ["is a folder"]),
        (["new", "sill-box", "--base", "sill-box"], ["its own name"]),
        (["list", "facs"], ["did you mean 'faces'", "lumber, woods, screws, kinds"]),
        (["explain", "PW5O4"], ["no finding 'PW5O4'", "did you mean 'PW504'"]),
        (["explain", "\n"], ["no finding"]),
        (["explan", "PW504"], ["did you mean 'explain'"]),
        (["check", "porch.toml", "--set", "width=20 in"], ["did you mean 'box.width'"]),
        (["check", "porch.toml", "--set", "screws.wall=8x2"], ["'2' is no length", "'#8 x 1 in'"]),
    ],
)
def test_a_slip_is_told_in_a_line_with_what_may_be_meant(
    args: list[str], told: list[str], tmp_path: Path
) -> None:
    (tmp_path / "porch.toml").write_text('base = "sill-box"\n', encoding="utf-8")
    (tmp_path / "folder").mkdir()
    done = run_here(*args, cwd=tmp_path)
    assert done.returncode == 2 and done.stdout == ""
    (line,) = done.stderr.splitlines()
    for words in told:
        assert words in line
    assert {path.name for path in tmp_path.iterdir()} == {"porch.toml", "folder"}


def test_all_names_are_listed(tmp_path: Path) -> None:
    text = run_here("list", cwd=tmp_path).stdout
    rows = {line.split()[0] for line in text.splitlines() if line.startswith("  ")}
    for known in (FACE_PATTERNS, shipped_stock(), shipped_species(), WRITERS):
        assert set(known) <= rows
    data = json.loads(run_here("list", "faces", "lumber", "--json", cwd=tmp_path).stdout)
    assert data == {"faces": list(FACE_PATTERNS), "lumber": list(shipped_stock())}
    assert "woods" not in run_here("list", "faces", cwd=tmp_path).stdout
    data = json.loads(run_here("list", "batch-kinds", "--json", cwd=tmp_path).stdout)
    assert data == {"batch-kinds": list(BATCH_WRITERS)}
    # a listed screw is one that a file takes
    (screw,) = re.findall(r"such as '(#14 x 2 in)'", text)
    done = run_here("check", "stoop-tub", "--set", f"screws.cap={screw}", cwd=tmp_path)
    assert done.returncode in (0, 1)


@pytest.mark.parametrize("code", CODES)
def test_every_finding_is_explained(code: str, tmp_path: Path) -> None:
    done = run_here("explain", code.lower(), cwd=tmp_path)
    told = " ".join(done.stdout.split())
    assert done.returncode == 0 and told.startswith(f"{code}: {CODES[code].title}")
    explained = EXPLANATIONS[code]
    for words in (explained.means, explained.why, explained.sketch, CODES[code].basis):
        assert " ".join(words.split()) in told
    assert all(key in told for key in settings_of(code))
    assert bool(settings_of(code)) == (code in WAYS)


def test_explanations_are_of_findings_and_name_settings_that_there_are() -> None:
    assert list(EXPLANATIONS) == list(CODES)
    known = {key.partition(".")[0] for key in keys_of()}
    for code, one in EXPLANATIONS.items():
        for key in re.findall(r"\b([a-z]+\.[a-z_]+)\b", " ".join((one.means, one.why, one.sketch))):
            assert key in keys_of() or key.partition(".")[0] not in known, (code, key)


@pytest.mark.parametrize(
    ("args", "model"), [(["settings"], Parameters), (["shop", "--table"], Shop)]
)
def test_all_settings_are_a_table_that_fits(
    args: list[str], model: type[BaseModel], tmp_path: Path
) -> None:
    told = run_here(*args, cwd=tmp_path).stdout.splitlines()
    assert told[0].split() == ["key", "default", "allowed", "meaning"]
    assert max(map(len, told)) <= 100
    letters = re.sub(r"\s", "", "".join(told))
    assert all(re.sub(r"\s", "", key) in letters for key in keys_of(model))


def test_new_writes_the_dozen_settings_that_matter(tmp_path: Path) -> None:
    assert run_here("new", "tub", cwd=tmp_path).stdout.strip() == "tub.toml"
    tables = tomllib.loads((tmp_path / "tub.toml").read_text(encoding="utf-8"))
    assert {f"{table}.{key}" for table, keys in tables.items() for key in keys} == set(FEW)
    assert len(FEW) == 12
    run_here("new", "low-tub", "--base", "stoop-tub", cwd=tmp_path)
    text = (tmp_path / "low-tub.toml").read_text(encoding="utf-8")
    assert tomllib.loads(text) == {
        "base": "stoop-tub",
        **{table: {} for table in {key.partition(".")[0] for key in FEW} - {"product"}},
        "product": {"title": "Low tub"},
    }
    assert '# width = "19 in"' in text
    for names in (FACE_PATTERNS, shipped_stock()):
        assert ", ".join(names) in text
    assert run_here("check", "low-tub", cwd=tmp_path).returncode == 0


def test_a_new_makers_first_hour(tmp_path: Path) -> None:
    """What is typed, and what it must say, by meaning."""

    def typed(line: str, code: int = 0) -> str:
        done = run_here(*filter(None, line.split("|")), cwd=tmp_path)
        assert done.returncode == code, (line, done.stderr)
        assert "Traceback" not in done.stderr
        return " ".join((done.stdout + done.stderr).split())

    assert "palewright new" in typed("")
    assert "stoop-tub" in typed("variants")
    assert "my-tub.toml" in typed("new|my-tub|--base|stoop-tub")
    assert "my-tub: fits" in typed("check|my-tub")
    file = tmp_path / "my-tub.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace('# width = "19 in"', 'width = "19"'), encoding="utf-8")
    assert "box.width" in typed("check|my-tub", 2)
    file.write_text(f'{text}[screws]\nwall = "#8 x 1-1/4 in"  # long\n', encoding="utf-8")
    broken = typed("check|my-tub", 1)
    assert "does not fit" in broken and "--fix" in broken
    code = re.findall(r"fault (PW\d+)", broken)[0]
    assert CODES[code].title in typed(f"explain|{code}")
    assert "my-tub: fits" in typed("check|my-tub|--fix")
    assert "# long" in file.read_text(encoding="utf-8")
    assert "cross" in typed("list|faces")
    assert "boards" in typed("cut|my-tub")
    assert "sell at" in typed("price|my-tub:1")
    assert "packets/my-tub" in typed("build|my-tub|--only|cutlist")
