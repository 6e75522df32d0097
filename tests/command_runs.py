"""The command line as a process of its own, as a shop runs it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


def run_command(*args: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    """Run ``palewright`` from the sources in a folder and return what it printed."""
    paths = os.pathsep.join([str(ROOT / "model"), str(ROOT / "drawings")])
    return subprocess.run(
        [sys.executable, "-m", "palewright_drawings.commands", *args],
        cwd=cwd,
        env={**os.environ, "PYTHONPATH": paths},
        capture_output=True,
        text=True,
        timeout=100,
        check=False,
    )
