"""The page's server as a process of its own, as a maker starts it, for the tests."""

from __future__ import annotations

import http.client
import json
import os
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
PATIENCE = 200
"""Seconds after which a test gives an answer up as lost, on a machine however busy."""


class PageServer:
    """A running server: its process and port, and plain requests to it."""

    def __init__(self, process: subprocess.Popen[str], port: int) -> None:
        self.process = process
        self.port = port

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}/"

    def send(
        self, method: str, place: str, body: bytes = b"", **headers: str
    ) -> tuple[int, dict[str, str], bytes]:
        """Return status, headers and body; a header may replace the usual one."""
        link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE)
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        link.request(method, place, body, {"Host": f"127.0.0.1:{self.port}", **named})
        answer = link.getresponse()
        found = answer.status, {k.lower(): v for k, v in answer.getheaders()}, answer.read()
        link.close()
        return found

    def ask(self, task: str, page: str = "test", **request: Any) -> tuple[int, Any]:
        """Return status and JSON of one task."""
        body = json.dumps({"page": page, "variant": "stoop-tub", **request}).encode()
        status, _, content = self.send("POST", f"/{task}", body, Content_Type="application/json")
        return status, json.loads(content)

    @contextmanager
    def under_way(self, task: str, **request: Any) -> Iterator[None]:
        """Have a long job under way: its first progress has been told."""
        asked = {"page": "far", "variant": "stoop-tub", "tell": True, **request}
        body = json.dumps(asked).encode()
        head = (
            f"POST /{task} HTTP/1.1\r\nHost: 127.0.0.1:{self.port}\r\n"
            f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
        )
        with socket.create_connection(("127.0.0.1", self.port), PATIENCE) as link:
            link.sendall(head.encode() + body)
            told = b""
            while b'"doing"' not in told:
                more = link.recv(4096)
                assert more, told
                told += more
            yield

    def memory(self) -> float:
        """Return what the server and its workers hold (MiB); what they share counts once."""
        total = 0
        for place in Path("/proc").glob("[0-9]*"):
            try:
                told = (place / "stat").read_text(encoding="utf-8").rpartition(")")[2].split()
                if int(told[3]) != self.process.pid:  # of another session
                    continue
                rows = (place / "smaps_rollup").read_text(encoding="ascii").splitlines()
            except OSError:  # gone meanwhile
                continue
            total += next(int(row.split()[1]) for row in rows if row.startswith("Pss:"))
        return total / 1024


def begun(folder: Path | None = None, start: Path | None = None) -> subprocess.Popen[str]:
    """Start `palewright page` at a free port, in a session of its own, as a terminal does.

    `folder` takes its files of passing use; it is started in the folder `start`.
    """
    way = os.pathsep.join(str(ROOT / folder) for folder in ("model", "drawings"))
    command = [sys.executable, "-m", "palewright_drawings.cli.main", "page", "--port", "0"]
    return subprocess.Popen(
        [*command, "--no-show"],
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": way, **({"TMPDIR": str(folder)} if folder else {})},
        start_new_session=True,
        cwd=start,
    )


def answering(process: subprocess.Popen[str]) -> PageServer:
    """Return the server once it says where it is."""
    assert process.stderr is not None
    first = process.stderr.readline().strip()
    assert first.startswith("http://127.0.0.1:"), first
    return PageServer(process, int(first.rstrip("/").rpartition(":")[2]))


def left_of(process: subprocess.Popen[str]) -> list[str]:
    """Return what still runs in a server's session."""
    listed = subprocess.run(["ps", "-eo", "sid,stat,args"], capture_output=True, text=True)
    rows = [row.split(None, 2) for row in listed.stdout.splitlines()[1:]]
    return [row[2] for row in rows if row[0] == str(process.pid) and row[1][0] != "Z"]


@contextmanager
def page_server(folder: Path | None = None, start: Path | None = None) -> Iterator[PageServer]:
    """Start `palewright page`; it is interrupted at the end, as by Ctrl-C."""
    process = begun(folder, start)
    try:
        yield answering(process)
    finally:
        os.killpg(process.pid, signal.SIGINT)
        process.wait(30)


@pytest.fixture(scope="session")
def server() -> Iterator[PageServer]:
    """One server for all tests of a process."""
    with page_server() as running:
        yield running
