"""What is said in a terminal and in a pipe: widths, colour, bars."""

from __future__ import annotations

import io
import os
import re
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from command_runs import environment, run_command
from palewright.costing.batch_price import price_batch
from palewright.costing.lumber_comparison import alternatives_of
from palewright.costing.shop_file import SHIPPED, load_shop
from palewright.parameters.variant_files import load_variant
from palewright_drawings.cli.main import main
from palewright_drawings.output import progress
from palewright_drawings.output.progress import Bar, Lines, Shares, shown_progress
from palewright_drawings.output.terminal import (
    PIPED,
    moving,
    pairs,
    plain,
    show,
    stand_still,
    table,
)
from palewright_drawings.texts.check_text import check_text
from palewright_drawings.texts.cut_texts import plans_text
from palewright_drawings.texts.lumber_comparison_text import comparison_text
from palewright_drawings.texts.price_texts import batch_text
from shipped_designs import shipped

if TYPE_CHECKING:
    from palewright_drawings.output.terminal import Part


class Screen(io.StringIO):
    """A stream that takes itself for a terminal."""

    def isatty(self) -> bool:
        return True


def letters(text: str) -> Counter[str]:
    """How often each sign that is no blank stands in a text."""
    return Counter(sign for sign in text if not sign.isspace())


def said() -> Iterator[list[Part]]:
    """What the commands say of a box, a kind each."""
    box, shop = shipped("stoop-tub"), load_shop(None)
    yield check_text(box, shop, load_variant("stoop-tub"), None, notes=True)
    yield plans_text(box.board_plans, "inch")
    yield comparison_text(alternatives_of(box.parameters, ["cedar", "fence-58"]))
    yield batch_text(price_batch([(box, 1)], shop, seconds=1), shop, SHIPPED)


@pytest.mark.parametrize("width", [40, 64, PIPED, 160])
def test_a_text_keeps_within_any_width_and_loses_nothing(width: int) -> None:
    for parts in said():
        text = plain(parts, width)
        assert max(map(len, text.splitlines())) <= width
        assert letters(text) == letters(plain(parts, 1000))


def test_what_a_pipe_gets_is_the_same_on_every_machine(monkeypatch: pytest.MonkeyPatch) -> None:
    parts = check_text(shipped("stoop-tub"), load_shop(None), load_variant("stoop-tub"), None)
    text = plain(parts)
    for name, value in {
        "COLUMNS": "40", "FORCE_COLOR": "1", "TERM": "xterm-256color", "COLORTERM": "truecolor",
        "TTY_COMPATIBLE": "1", "JUPYTER_COLUMNS": "30",
    }.items():  # fmt: skip
        monkeypatch.setenv(name, value)
    assert plain(parts) == text
    assert "\x1b" not in text
    assert not any(line.endswith(" ") for line in text.splitlines())


@given(st.lists(st.tuples(st.text("ab[/] \\", max_size=30), st.text("cd[/]:", max_size=90))))
def test_a_cell_is_shown_as_it_stands(rows: list[tuple[str, str]]) -> None:
    """Square brackets are no markup, colons no pictures."""
    asked = letters("".join("".join(row) for row in rows))
    for part in (pairs(rows), table(rows, ("a", "b"), right={1})):
        shown = letters(plain([part], 30))
        assert shown - asked <= Counter({"a": 1, "b": 1})
        assert asked <= shown


@pytest.mark.parametrize(("no_color", "coloured"), [("", True), ("1", False)])
def test_a_terminal_gets_its_width_and_colour_unless_asked_for_none(
    no_color: str, coloured: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    screen = Screen()
    monkeypatch.setattr(sys, "stdout", screen)
    for name, value in {"COLUMNS": "60", "TERM": "xterm", "NO_COLOR": no_color}.items():
        monkeypatch.setenv(name, value)
    show(check_text(shipped("stoop-tub"), load_shop(None), load_variant("stoop-tub"), None))
    text = screen.getvalue()
    assert bool(re.search(r"\x1b\[(?:\d+;)*3\dm", text)) is coloured
    bare = re.sub(r"\x1b\[[\d;]*m", "", text)
    assert 40 < max(len(line.rstrip()) for line in bare.splitlines()) <= 60


@pytest.mark.parametrize(("no_color", "bold"), [("", True), ("1", False)])
def test_headings_of_help_stand_out_unless_asked_for_no_colour(no_color: str, bold: bool) -> None:
    told = CliRunner(env={"NO_COLOR": no_color}).invoke(main, ["size", "--help"], color=True)
    assert ("\x1b[1mOptions:\x1b[0m" in told.output) is bold
    assert "Options:" in told.output and ("\x1b" in told.output) is bold


@pytest.mark.skipif(os.name != "posix", reason="a terminal of its own")
def test_json_stands_alone_on_a_terminal_and_a_bar_leaves_nothing(tmp_path: Path) -> None:
    """A whole process whose stderr is a terminal: its bar goes before the verdict comes."""
    import pty
    import subprocess

    ours, theirs = pty.openpty()
    work = subprocess.Popen(
        [sys.executable, "-m", "palewright_drawings.cli.main", "cut", "sill-box", "--json"],
        cwd=tmp_path, env=environment(TERM="xterm", COLUMNS="90"), stderr=theirs,
        stdout=subprocess.PIPE,
    )  # fmt: skip
    os.close(theirs)
    seen = b""
    try:
        while more := os.read(ours, 4096):
            seen += more
    except OSError:  # Linux says so when the other end is closed
        pass
    out = work.communicate(timeout=300)[0]
    os.close(ours)
    assert work.returncode == 0
    assert out.startswith(b"{") and out.rstrip().endswith(b"}")
    shown = seen.decode()
    assert "cut plan" in shown and "%" in shown
    assert shown.rfind("\x1b[?25h") > shown.rfind("\x1b[?25l")  # the cursor is there again
    assert shown.rstrip().endswith("\x1b[2K")  # the bar's line is wiped


def test_a_bar_tells_the_time_left_of_this_run(monkeypatch: pytest.MonkeyPatch) -> None:
    """What was done before, and is told at once, cost no time."""
    screen, now = Screen(), [100.0]
    monkeypatch.setattr(sys, "stderr", screen)
    monkeypatch.setattr("rich.console.monotonic", lambda: now[0])
    shares = Shares(shown_progress(), "listing")
    shares("hero", 0.6)
    for share in (0.7, 0.8):
        now[0] += 20.0
        shares("hero", share)
    live = moving()
    assert live is not None
    (task,) = live.tasks
    assert task.percentage == pytest.approx(80)
    assert task.time_remaining == pytest.approx(40, rel=0.05)  # a fifth is left, a tenth takes 20 s
    show("and something is said")
    assert moving() is None


def test_a_full_bar_goes_and_a_note_alone_shows_one(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stderr", Screen())
    bar = Bar()
    bar.note("checking thin lumber")
    assert moving() is not None
    bar.begin("boards", 2)
    bar.advance()
    assert moving() is not None
    bar.advance()
    assert moving() is None
    bar.begin("nothing to do", 0)
    stand_still()
    assert moving() is None


def test_a_pipe_is_told_a_line_every_few_seconds(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    now = [50.0]
    monkeypatch.setattr(progress.time, "monotonic", lambda: now[0])
    lines = Lines()
    lines.begin("cut plan", 100)
    for _ in range(100):
        now[0] += 0.13
        lines.advance()
    told = capsys.readouterr().err.splitlines()
    assert len(told) == 2  # in 13 s
    assert all(re.fullmatch(r"\.\.\. cut plan, \d+ %", line) for line in told), told


def test_a_narrow_pipe_changes_nothing(tmp_path: Path) -> None:
    usual = run_command("variants", cwd=tmp_path)
    narrow = run_command("variants", cwd=tmp_path, COLUMNS="30", FORCE_COLOR="1")
    assert usual.stdout == narrow.stdout and usual.returncode == 0
