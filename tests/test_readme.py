"""The README's words hold: every command in it runs."""

from __future__ import annotations

import re
import shlex
import tomllib
from pathlib import Path

import pytest

from command_runs import run_here
from palewright.parameters.variant_files import parameters_from

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    return re.findall(rf"```{language}\n(.*?)```", README, re.S)


def test_the_job_comes_first() -> None:
    assert README.startswith("# palewright\n\nA one-person shop")


def commands() -> list[list[str]]:
    """Return the words of every command of the use section, in their order."""
    lines = "\n".join(blocks("sh")).splitlines()
    typed = [line.partition("#")[0].strip() for line in lines]
    return [shlex.split(one)[1:] for one in typed if one.startswith(".venv/bin/palewright")]


def run_all(listed: list[list[str]], folder: Path) -> None:
    for args in listed:
        done = run_here(*args, cwd=folder)
        assert done.returncode == 0, (args, done.stderr)


def test_the_quick_commands_of_the_use_section_run(tmp_path: Path) -> None:
    """All but those that take seconds and have their own tests."""
    long = ("build", "cut", "picture", "price", "season", "size")
    quick = [args for args in commands() if args[0] not in long]
    assert len(quick) >= 6
    run_all(quick, tmp_path)
    assert (tmp_path / "porch-tub.toml").is_file()


@pytest.mark.thorough
def test_every_command_of_the_use_section_runs(tmp_path: Path) -> None:
    run_all(commands(), tmp_path)
    assert (tmp_path / "packets" / "porch-tub" / "MANIFEST.json").is_file()


def test_every_toml_block_is_a_variant() -> None:
    for block in blocks("toml"):
        tables = tomllib.loads(block)
        tables.pop("base", None)
        parameters_from(tables, {})


def test_ci_reads_the_two_commands_from_here() -> None:
    for name in ("build", "tests"):
        assert re.search(rf"<!-- {name} -->\n```sh\npython3 -m venv \.venv && .*\n```", README)


def test_the_readme_names_the_packages_that_ci_installs() -> None:
    (line,) = re.findall(r"^sudo apt-get install -y (.+)$", README, re.M)
    assert "libgl1" in line.split()
    assert (ROOT / ".ci" / "run").read_text().count("sudo apt-get install -y") == 1
