"""The command line as a user meets it: whole processes, exit codes, one-line errors."""

from __future__ import annotations

import io
import json
import signal
import subprocess
import sys
import time
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from case_lists import KINDS, mostly_thorough
from command_runs import assert_refused, environment, quiet, run_command, run_here, run_python
from palewright.fit.findings import CODES
from palewright.parameters import schema as settings
from palewright.parameters.variant_files import shipped_variants
from palewright_drawings.cli import main as commands

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize("name", mostly_thorough(shipped_variants(), *KINDS))
def test_every_shipped_variant_passes_in_every_lumber_case(name: str, tmp_path: Path) -> None:
    done = run_here("check", name, "--json", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    said = json.loads(done.stdout)
    assert said["variant"] == name
    assert said["passed"] is True
    assert [case["case"] for case in said["lumber"]] == ["thin", "nominal", "thick", "mixed"]
    for case in said["lumber"]:
        assert case["clashes"] == 0
        assert 0 <= case["seat_clearance_mm"]["min"] <= case["seat_clearance_mm"]["max"]
    for finding in said["findings"]:
        assert finding["code"] in CODES
        assert finding["severity"] == CODES[finding["code"]].severity != "fault"
        assert set(finding) >= {
            "code", "severity", "boards", "measured", "limit", "unit", "message", "remedy",
        }  # fmt: skip


def test_a_size_change_that_breaks_the_fit_is_told_with_its_remedy(tmp_path: Path) -> None:
    settings = ["--set", "panel.lip=1 1/8 in", "--set", "panel.setback=0 in"]
    done = run_here("check", "stoop-tub", *settings, "--json", cwd=tmp_path)
    assert done.returncode == 1
    said = json.loads(done.stdout)
    assert said["passed"] is False
    fault = next(f for f in said["findings"] if f["code"] == "PW102")
    # two thickest boards of 11/16 in need 1-3/8 in: a quarter inch is missing
    assert fault["measured"] == pytest.approx(-6.35, abs=1e-3)
    assert fault["changes"] == [fault["change"]]
    change = fault["change"]
    assert fault["remedy"] == f"set {change['key']} to {change['value']}"
    mend = ["--set", f"{change['key']}={change['value']}"]
    mended = run_here("check", "stoop-tub", *settings, *mend, cwd=tmp_path)
    assert mended.returncode == 0, mended.stdout


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["chek"], ["chek", "check"]),
        (["check", "stop-tub"], ["stop-tub", "stoop-tub"]),
        (["check", "stoop-tub", "--jsn"], ["--jsn", "--json"]),
        (["check", "no/such.toml"], ["no/such.toml"]),
        (["check", "stoop-tub", "--set", "box.widht=20 in"], ["box.widht", "box.width"]),
        (["check", "stoop-tub", "--set", "box.width=20"], ["box.width", "unit"]),
        (["check", "stoop-tub", "--set", "box.width"], ["KEY=VALUE"]),
        (["check", "stoop-tub", "--set", "box.width=-3 in"], ["box.width", "6 in to 96 in"]),
        (["check", "stoop-tub", "--set", "box.width=1e9 in"], ["box.width"]),
        (["check", "stoop-tub", "--set", "box.width=nan"], ["box.width"]),
        (["check", "stoop-tub", "--set", "face.front=crss"], ["face.front", "cross"]),
        (["check", "stoop-tub", "--set", "screws.wall=#8 x 1"], ["screws.wall", "unit"]),
        (["check", "stoop-tub", "--set", "lumber.board=fence-59"], ["lumber.board", "fence-58"]),
        (["check", "stoop-tub", "--set", "box.width=6 in"], ["box.width", "at least"]),
        (["check", "sill-box", "--set", "face.front=cross", "--set", "face.brace_width=8 in"],
         ["face.brace_width"]),
        (["build", "stoop-tub", "--only", "stp"], ["stp", "step"]),
        (["new", "../../etc/x y"], ["cannot name a variant"]),
        (["new", "tub", "--base", "stoop-tube"], ["stoop-tube", "stoop-tub"]),
    ],
)  # fmt: skip
def test_bad_input_is_one_line_and_writes_nothing(
    args: list[str], words: list[str], tmp_path: Path
) -> None:
    done = run_here(*args, cwd=tmp_path)
    assert_refused(done, words, tmp_path)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b'[box]\nwidth = "20 in"\nheigth = "3 in"\n', ["bad.toml:3", "box.heigth", "height"]),
        (b'base = "stoop-tub"\n[box]\nwidth = 20\n', ["bad.toml:3", "box.width", "unit"]),
        (b"[box\n", ["bad.toml:1"]),
        (b"", ["bad.toml"]),
        (bytes(range(256)) * 20, ["bad.toml"]),
        (b'base = "bad.toml"\n', ["circle"]),
        (b'base = "nothing-like-it"\n', ["bad.toml:1", "nothing-like-it"]),
        (b"box = 3\n", ["bad.toml:1", "box", "table"]),
        (b"#" * (100 * 1024 * 1024), ["larger than"]),
    ],
)
def test_bad_files_name_their_line(content: bytes, words: list[str], tmp_path: Path) -> None:
    (tmp_path / "bad.toml").write_bytes(content)
    done = run_here("check", "bad.toml", cwd=tmp_path)
    assert done.returncode == 2
    lines = done.stderr.strip().splitlines()
    assert len(lines) == 1, done.stderr
    for word in words:
        assert word in lines[0]


def test_new_starts_a_file_that_checks_like_its_base(tmp_path: Path) -> None:
    assert run_here("new", "porch-tub", "--base", "stoop-tub", cwd=tmp_path).returncode == 0
    mine = run_here("check", "porch-tub.toml", "--json", cwd=tmp_path)
    base = run_here("check", "stoop-tub", "--json", cwd=tmp_path)
    assert mine.returncode == base.returncode == 0
    assert {**json.loads(mine.stdout), "variant": ""} == {**json.loads(base.stdout), "variant": ""}
    again = run_here("new", "porch-tub", cwd=tmp_path)
    assert again.returncode == 2
    assert "there already" in again.stderr


def test_new_replaces_no_file_that_comes_into_being_meanwhile(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    mine, made = tmp_path / "porch-tub.toml", settings.template

    def late(*args: Any, **more: Any) -> str:
        """Let the maker write the file after its place was looked at."""
        mine.write_text("# mine", encoding="utf-8")
        return made(*args, **more)

    monkeypatch.setattr(settings, "template", late)
    done = run_here("new", "porch-tub", cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert "porch-tub.toml: is there already" in done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert [path.name for path in tmp_path.iterdir()] == [mine.name]
    assert mine.read_text(encoding="utf-8") == "# mine"


def test_new_leaves_nothing_on_a_full_disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """/dev/full takes no byte; the name that stands for it goes again."""

    def full(_place: Path, _mode: str) -> io.FileIO:
        (tmp_path / "y.toml").touch()
        return io.FileIO("/dev/full", "w")

    monkeypatch.setattr(Path, "open", full)
    done = run_here("new", "y", cwd=tmp_path)
    assert done.returncode == 2
    assert "y.toml: cannot be written: No space left" in done.stderr
    assert not list(tmp_path.iterdir())


def test_new_without_a_base_writes_every_setting(tmp_path: Path) -> None:
    assert run_here("new", "plain-tub", "--all", cwd=tmp_path).returncode == 0
    tables = tomllib.loads((tmp_path / "plain-tub.toml").read_text(encoding="utf-8"))
    written = {f"{table}.{key}" for table, keys in tables.items() for key in keys}
    assert written == set(settings.keys_of())
    done = run_here("check", "plain-tub.toml", cwd=tmp_path)
    assert done.returncode == 0, done.stderr


def test_help_and_bad_input_load_nothing_heavy(tmp_path: Path) -> None:
    code = (
        "import sys\n"
        "from palewright_drawings.cli.main import _code\n"
        "_code(['--help']); _code(['check', 'stoop-tub', '--set', 'box.width=3'])\n"
        "heavy = {'rich', 'OCP', 'cadquery', 'vtk', 'trimesh', 'manifold3d', 'ezdxf', 'numpy'}\n"
        "print(sorted(heavy & set(sys.modules)))\n"
    )
    done = run_python("-c", code, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines()[-1] == "[]"


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_offers_variants(shell: str, tmp_path: Path) -> None:
    script = run_command(cwd=tmp_path, _PALEWRIGHT_COMPLETE=f"{shell}_source")
    assert "palewright" in script.stdout
    if shell == "fish":
        more = {"COMP_WORDS": "palewright check sto", "COMP_CWORD": "sto"}
    else:
        more = {"COMP_WORDS": "palewright check sto", "COMP_CWORD": "2"}
    offered = run_command(cwd=tmp_path, _PALEWRIGHT_COMPLETE=f"{shell}_complete", **more)
    assert "stoop-tub" in offered.stdout
    assert "winter-tub" not in offered.stdout


def test_a_fault_writes_no_packet_unless_asked(tmp_path: Path) -> None:
    faulty = ["build", "stoop-tub", "--set", "screws.wall=#8 x 3/4 in", "--only", "flat"]
    done = run_here(*faulty, cwd=tmp_path)
    assert done.returncode == 1
    assert "PW310" in done.stderr and "--set screws.wall=" in done.stderr
    assert list(tmp_path.iterdir()) == []
    done = run_here(*faulty, "--despite-faults", cwd=tmp_path)
    assert done.returncode == 1
    assert list((tmp_path / "packets" / "stoop-tub" / "flat").glob("*.dxf"))


def test_only_writes_the_kinds_asked_for(tmp_path: Path) -> None:
    done = run_here("build", "sill-box", "--only", "cutlist", "--out", "here", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == str(Path("here/sill-box"))
    written = {path.name for path in (tmp_path / "here" / "sill-box").iterdir()}
    assert written == {"cutlist.csv", "MANIFEST.json"}


@pytest.mark.skipif(sys.platform == "win32", reason="signals")
@pytest.mark.parametrize(
    "written, name",
    mostly_thorough([(1, "SIGINT"), (20, "SIGTERM"), (90, "SIGHUP")], (20, "SIGTERM")),
)
def test_what_asks_it_to_end_leaves_nothing_half_written(
    written: int, name: str, tmp_path: Path
) -> None:
    """Asked to end once so many files are written."""
    number = signal.Signals[name]
    work = subprocess.Popen(
        [sys.executable, "-m", "palewright_drawings.cli.main", "build", "sill-box"],
        cwd=tmp_path, env=environment(),
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    while work.poll() is None and sum(one.is_file() for one in tmp_path.rglob("*")) < written:
        time.sleep(0.01)
    work.send_signal(number)
    _, said = work.communicate(timeout=60)
    assert "Traceback" not in said
    left = [path for path in tmp_path.rglob("*") if path.is_file()]
    if work.returncode == 0:  # it was quicker than the interrupt: then the packet is whole
        assert any(path.name == "MANIFEST.json" for path in left)
    else:
        assert work.returncode == 128 + number
        assert "stopped; nothing half-written" in said
        assert left == []


_ASKED = """
import os, signal, sys
from palewright_drawings.cli import main as commands
# else as this run of the tests was started
signal.signal(signal.SIGHUP, signal.SIG_IGN if sys.argv[2] == "ignored" else signal.SIG_DFL)
commands.main.main = lambda **_: os.kill(os.getpid(), getattr(signal, sys.argv[1]))
commands.run([])
"""


@pytest.mark.skipif(sys.platform == "win32", reason="signals")
@pytest.mark.parametrize(
    "name, before, code",
    [("SIGTERM", "", 143), ("SIGHUP", "", 129), ("SIGINT", "", 130), ("SIGHUP", "ignored", 0)],
)
def test_the_exit_code_says_which_signal_ended_it(name: str, before: str, code: int) -> None:
    done = run_python("-c", _ASKED, name, before)
    assert (done.returncode, done.stdout) == (code, "")
    assert ("stopped" in done.stderr) == (code != 0)


@cache
def in_a_shell(command: str, folder: Path) -> subprocess.CompletedProcess[str]:
    done = subprocess.run(
        f"{sys.executable} -m palewright_drawings.cli.main {command}",
        shell=True, cwd=folder, env=environment(), capture_output=True, text=True, check=False,
    )  # fmt: skip
    done.stderr = quiet(done.stderr)
    return done


@cache
def usual(command: str) -> subprocess.CompletedProcess[str]:
    """What a command does with all its streams, beside the sources."""
    return in_a_shell(command, ROOT)


FITS = "check stoop-tub --json"
FITS_NOT = 'check stoop-tub --set "panel.stile_width=1-1/2 in"'
UNKNOWN = "check stoop-tup"


@pytest.mark.skipif(sys.platform == "win32", reason="a shell that closes descriptors")
@pytest.mark.parametrize(
    ("command", "code", "closed"),
    mostly_thorough(
        [
            (command, code, closed)
            for command, code in [("settings", 0), (FITS, 0), (FITS_NOT, 1), (UNKNOWN, 2)]
            for closed in (">&-", "2>&-", ">&- 2>&-", "<&- >&- 2>&-")
        ],
        (FITS, 0, ">&-"),
        (FITS_NOT, 1, ">&-"),
        (FITS_NOT, 1, "2>&-"),
        (UNKNOWN, 2, "2>&-"),
    ),
)
def test_closed_streams_change_no_exit_code(
    command: str, code: int, closed: str, tmp_path: Path
) -> None:
    whole, done = usual(command), in_a_shell(f"{command} {closed}", tmp_path)
    assert whole.returncode == done.returncode == code, done.stderr
    assert done.stdout == ("" if closed.startswith((">", "<")) else whole.stdout)
    assert done.stderr == ("" if "2>&-" in closed else whole.stderr)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(sys.platform == "win32", reason="a pipe whose reader leaves")
@pytest.mark.parametrize(
    "command, code",
    [(["check", "stoop-tub", "--set", "panel.stile_width=1-1/2 in"], 1), (["settings"], 0)],
)
def test_a_reader_who_leaves_changes_no_exit_code(
    command: list[str], code: int, tmp_path: Path
) -> None:
    work = subprocess.Popen(
        [sys.executable, "-m", "palewright_drawings.cli.main", *command],
        cwd=tmp_path, env=environment(), stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    assert work.stdout is not None and work.stderr is not None
    work.stdout.close()
    assert b"Traceback" not in work.stderr.read()
    work.stderr.close()
    assert work.wait(timeout=300) == code


@pytest.mark.parametrize("place", ["mine/deep", "mine/deep/deeper", "link"])
def test_a_place_for_the_packet_is_looked_at_before_the_work(
    place: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "mine").write_text("mine")
    (tmp_path / "link").symlink_to(tmp_path / "nowhere")
    monkeypatch.setattr(commands, "read_variant", None)  # what would begin the work
    done = run_here("build", "sill-box", "--out", place, cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    (line,) = done.stderr.splitlines()
    assert "--out" in line and "is no folder; name another place" in line
    assert (tmp_path / "mine").read_text() == "mine"
    assert not (tmp_path / "nowhere").exists()


def test_a_closed_pipe_is_no_error(tmp_path: Path) -> None:
    done = subprocess.run(
        f"{sys.executable} -m palewright_drawings.cli.main settings | head -n 1",
        shell=True, cwd=tmp_path, env=environment(),
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.stdout.startswith("key ")
    assert "Traceback" not in done.stderr
