"""Odd letters, digits and names: one line that says so, never a traceback or a whole echo."""

from __future__ import annotations

import os
import re
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from case_lists import tried
from command_runs import assert_refused, run_command, run_here
from palewright.catalogue.screws import read_screw
from palewright.cutting_stock.problem.parts_csv import parts_from_text
from palewright.parameters.variant_files import load_variant
from palewright.reading.errors import InputError
from palewright.reading.fields import read_amount
from palewright.reading.lengths import read_count, read_length
from palewright.reading.quantities import read_quantity
from palewright_drawings.cli.main import main, run
from palewright_drawings.cli.stock_requests import read_offcut, read_stocks
from palewright_drawings.listing.rendered_picture import read_shape

# Letters and digits that Unicode folds into, or counts among, those of ASCII: long s, dotted
# capital I, Kelvin sign, superscript, Arabic, fullwidth and mathematical digits.
ODD = "ſİK²٣１𝟚"
HEADER = "part,length,width,count"
TOKENS = (
    *[
        "0",
        "1",
        "8",
        "20",
        "3.4",
        "1/2",
        "-",
        "",
        ".",
        "/",
        "#",
        "x",
        "×",
        "@",
        ":",
        "90",
        "in",
        "inches",
        "ft",
        "mm",
        "cm",
    ],
    *["m", "N", "K", "s", "F", "C", "°", "mph", "km/h", "'", "½", "İn", "inchez", "incheſ"],
    *(" ", "\u00a0", "\n", '"', *ODD),
)
WRITTEN = st.lists(st.sampled_from(TOKENS), max_size=5).map("".join)


@settings(max_examples=tried(1000), deadline=None)
@given(WRITTEN)
def test_whatever_is_written_is_read_or_refused_in_one_line(text: str) -> None:
    for read in (
        read_length,
        read_screw,
        lambda text: read_quantity(text, "speed"),
        lambda text: read_quantity(text, "temperature"),
        lambda text: read_stocks([text]),
        read_offcut,
        read_shape,
        read_amount,
        lambda text: parts_from_text(f"{HEADER}\na,{text},2 in,1", "a.csv", read_length),
    ):
        try:
            read(text)
        except ValueError as error:
            assert len(str(error).splitlines()) == 1
        else:
            assert not set(text) & set(ODD), f"{text!r} is not written in the shop's digits"


@given(st.integers(min_value=0, max_value=10**6), st.sampled_from(ODD + " +-._"))
def test_counts_are_plain_digits_alone(number: int, sign: str) -> None:
    assert read_count(str(number), 10**6, least=0) == number
    assert read_count(str(number), 10**6) == (number or None)
    for odd in (f"{number}{sign}", f"{sign}{number}", sign, "", "9" * 5000, str(10**6 + 1)):
        assert read_count(odd, 10**6, least=0) is None


def test_blanks_of_any_kind_part_a_size_from_its_unit() -> None:
    """The printed plan holds a number and its unit together by a blank that does not break."""
    assert read_length("16\u00a01/2\u00a0in") == pytest.approx(16.5 * 25.4)
    assert read_screw("#8\u00a0x\u00a01 in") == read_screw("#8 x 1 in")
    assert read_quantity("90\u00a0mph", "speed") == read_quantity("90 mph", "speed")
    assert read_amount("3.40") == Decimal("3.40")


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["check", "stoop-tub", "--set", "box.width=20 İN"], ["box.width", "İN"]),
        (["check", "stoop-tub", "--set", "box.width=20 incheſ"], ["box.width", "incheſ"]),
        (["cut", "stoop-tub:²"], ["stoop-tub:²", "1 to 1000000"]),
        (["price", "stoop-tub:²"], ["stoop-tub:²", "1 to 1000000"]),
        (["price", "stoop-tub", "--ask", "٣"], ["--ask", "٣"]),
        (["cut", "--parts", ".", "--stock", "72inx5in", "--kerf", "1/8in"], [" .: cannot be read"]),
        (["cut", "--parts", "/", "--stock", "72inx5in", "--kerf", "1/8in"], [" /: cannot be read"]),
        (["cut", "--parts", "a.csv", "--stock", "72İnx5in", "--kerf", "1/8in"], ["72İnx5in"]),
        (["cut", "stoop-tub", "--offcut", f"20inx5in:1{'0' * 30}"], ["--offcut", "1 to 1000000"]),
    ],
)
def test_odd_letters_and_digits_are_refused(
    args: list[str], words: list[str], tmp_path: Path
) -> None:
    assert_refused(run_here(*args, cwd=tmp_path), words, tmp_path)


@pytest.mark.parametrize("text", ["a" * 5000, "9" * 5000, "a b " * 1500, "é" * 5000])
@pytest.mark.parametrize(
    "args",
    [
        ["cut", "stoop-tub:{}"],
        ["cut", "{}:2"],
        ["check", "{}"],
        ["check", "stoop-tub", "--set", "{}=1"],
        ["size", "stoop-tub", "--boards", "{}"],
        ["{}"],
        ["new", "{}"],
    ],
)
def test_what_is_too_long_is_not_echoed_whole(
    args: list[str], text: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _exit_code([arg.format(text) for arg in args]) == 2
    line = capsys.readouterr().err
    assert line.count("\n") == 1
    assert len(line) < 1100
    assert "…" in line


@pytest.mark.parametrize(
    "args",
    [
        ["build", "stoop-tub", "--out", "a\0b"],
        ["check", "a\0b"],
        ["cut", "--parts", "a\0b", "--stock", "72inx5in", "--kerf", "1/8in"],
        ["price", "stoop-tub", "--shop", "a\0b"],
        ["new", "a\0b"],
        ["season", "a\0b", "--csv", "a\0b"],
    ],
)
def test_a_null_byte_is_refused_and_not_printed(
    args: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert _exit_code(args) == 2
    line = capsys.readouterr().err
    assert "a\\x00b" in line
    assert line.rstrip("\n").isprintable()


def test_a_file_name_that_is_no_text_is_refused(tmp_path: Path) -> None:
    name = os.fsdecode(b"bad\xff.toml")
    if os.name != "posix":
        pytest.skip("names are text there")
    (tmp_path / name).write_text('base = "stoop-tub"\n', encoding="utf-8")
    done = run_command("check", name, cwd=tmp_path)
    assert done.returncode == 2
    assert re.fullmatch(r"palewright: 'bad\\udcff\.toml' is no text; [^\n]+\n", done.stderr)


@pytest.mark.parametrize("name", ["line\nbreak", "turn\u202eed", os.fsdecode(b"half\xff")])
def test_a_variant_file_has_a_name_that_prints(name: str, tmp_path: Path) -> None:
    path = tmp_path / f"{name}.toml"
    path.write_text('base = "stoop-tub"\n', encoding="utf-8")
    with pytest.raises(InputError, match="signs that do not print") as caught:
        load_variant(str(path))
    assert str(caught.value).isprintable()


def test_its_help_names_every_command(tmp_path: Path) -> None:
    asked = run_command("--help", cwd=tmp_path)
    assert (asked.returncode, asked.stderr) == (0, "")
    listed = {line.split()[0] for line in asked.stdout.splitlines() if line.startswith("  ")}
    assert set(main.commands) <= listed


def _exit_code(args: list[str]) -> int:
    """Run a command in this process: an argument can hold what no shell hands over."""
    with pytest.raises(SystemExit) as left:
        run(args)
    return int(left.value.code or 0)
