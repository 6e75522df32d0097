"""The README's words hold: every command in it runs, every file it lists is written."""

from __future__ import annotations

import re
import shlex
import tomllib
from pathlib import Path

from command_runs import run_command
from palewright.variant_files import parameters_from
from palewright_drawings.writers import WRITERS

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    return re.findall(rf"```{language}\n(.*?)```", README, re.S)


def test_the_job_comes_first() -> None:
    assert README.startswith("# palewright\n\nA one-person shop")


def test_every_command_of_the_use_section_runs(tmp_path: Path) -> None:
    ran = 0
    for block in blocks("sh"):
        for line in block.splitlines():
            command = line.partition("#")[0].strip()
            if not command.startswith(".venv/bin/palewright"):
                continue
            args = shlex.split(command)[1:]
            done = run_command(*args, cwd=tmp_path)
            assert done.returncode == 0, (command, done.stderr)
            ran += 1
    assert ran >= 6
    assert (tmp_path / "packets" / "porch-tub" / "MANIFEST.json").is_file()


def test_every_toml_block_is_a_variant() -> None:
    for block in blocks("toml"):
        tables = tomllib.loads(block)
        tables.pop("base", None)
        parameters_from(tables, {})


def test_every_kind_of_file_is_explained() -> None:
    listed = set(re.findall(r"^\| `([^`]+)` \|", README, re.M))
    assert listed == {writer.where for writer in WRITERS.values()} | {"MANIFEST.json"}


def test_ci_reads_the_two_commands_from_here() -> None:
    for name in ("build", "tests"):
        assert re.search(rf"<!-- {name} -->\n```sh\npython3 -m venv \.venv && .*\n```", README)


def test_the_readme_names_the_packages_that_ci_installs() -> None:
    (line,) = re.findall(r"^sudo apt-get install -y (.+)$", README, re.M)
    assert "libgl1" in line.split()
    assert (ROOT / ".ci" / "run").read_text().count("sudo apt-get install -y") == 1
