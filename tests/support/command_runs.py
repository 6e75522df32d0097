"""The command line as a process of its own, as a shop runs it."""

from __future__ import annotations

import io
import os
import signal
import subprocess
import sys
from collections.abc import Iterable
from contextlib import chdir, redirect_stderr, redirect_stdout
from pathlib import Path

from palewright_drawings.cli import main as commands

ROOT = Path(__file__).resolve().parents[2]


def environment(**more: str) -> dict[str, str]:
    """Return this process's environment with the sources first, and more variables."""
    paths = os.pathsep.join([str(ROOT / "model"), str(ROOT / "drawings")])
    return {**os.environ, "PYTHONPATH": paths, **more}


def run_command(
    *args: str, cwd: Path | None = None, **more: str
) -> subprocess.CompletedProcess[str]:
    """Run ``palewright`` from the sources in a folder and return what it printed."""
    return run_python("-m", "palewright_drawings.cli.main", *args, cwd=cwd, **more)


def quiet(told: str) -> str:
    """Return what stood on stderr without the lines of progress that a slow machine gets."""
    return "".join(line for line in told.splitlines(True) if not line.startswith("... "))


def run_here(*args: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    """Run ``palewright`` in this process: a new one imports for up to two seconds."""
    out, told = io.StringIO(), io.StringIO()
    numbers = (signal.SIGINT, signal.SIGTERM, *([signal.SIGHUP] if os.name == "posix" else []))
    before = {number: signal.getsignal(number) for number in numbers}
    code: object = None
    try:
        with chdir(cwd), redirect_stdout(out), redirect_stderr(told):
            commands.run(list(args))
    except SystemExit as end:
        code = end.code
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
    assert isinstance(code, int)
    return subprocess.CompletedProcess(args, code, out.getvalue(), quiet(told.getvalue()))


def run_python(
    *args: str, cwd: Path | None = None, **more: str
) -> subprocess.CompletedProcess[str]:
    """Run Python on the sources, with more variables, and return what it printed."""
    done = subprocess.run(
        [sys.executable, *args],
        cwd=cwd,
        env=environment(**more),
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    done.stderr = quiet(done.stderr)
    return done


def assert_refused(
    done: subprocess.CompletedProcess[str], words: Iterable[str], folder: Path
) -> None:
    """Hold a run to what bad input must give: exit 2, one line with the words, nothing written."""
    assert done.returncode == 2, done
    assert done.stdout == ""
    lines = done.stderr.strip().splitlines()
    assert len(lines) == 1, done.stderr
    for word in words:
        assert word in lines[0]
    assert list(folder.iterdir()) == []
