"""The page withstands: odd requests, greedy files, many idle links, and an end at any moment."""

from __future__ import annotations

import asyncio
import contextlib
import gzip
import itertools
import json
import os
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from case_lists import mostly_thorough
from page_process import PATIENCE, ROOT, PageServer, answering, begun, left_of
from palewright_drawings.page import server as servers
from palewright_drawings.page.listening import MOST_LINKS
from palewright_drawings.page.request_guard import HEADERS, LARGEST_REQUEST


def raw(server: PageServer, head: str, body: bytes = b"") -> bytes:
    """Return what comes back for bytes sent as they are."""
    with socket.create_connection(("127.0.0.1", server.port), 30) as link:
        link.sendall(head.replace("\n", "\r\n").encode() + b"\r\n" + body)
        return link.recv(100_000)


def memory_of(pid: int) -> int:
    """Return what a process holds in memory, KiB."""
    rows = Path(f"/proc/{pid}/status").read_text(encoding="ascii").splitlines()
    return int(next(row for row in rows if row.startswith("VmRSS:")).split()[1])


@pytest.mark.parametrize(
    "lines, status",
    [
        ("GET / HTTP/1.1\nHost: 127.0.0.1:{port}\n", b"200"),
        ("GET / HTTP/1.1\nHost: localhost:{port}\n", b"200"),
        ("GET / HTTP/1.1\nHost: [::1]:{port}\n", b"403"),
        ("GET / HTTP/1.1\nHost: 127.0.0.1.:{port}\n", b"403"),
        ("GET / HTTP/1.1\nHost: 2130706433:{port}\n", b"403"),
        ("GET / HTTP/1.0\n", b"403"),
        ("GET / HTTP/1.1\nHost: 127.0.0.1:{port}\nSec-Fetch-Site: same-site\n", b"403"),
        ("GET /start HTTP/1.1\nHost: 127.0.0.1:{port}\nSec-Fetch-Site: cross-site\n", b"403"),
        ("GET /start HTTP/1.1\nHost: 127.0.0.1:{port}\nOrigin: null\n", b"403"),
        ("GET /start HTTP/1.1\nHost: 127.0.0.1:{port}\nOrigin: http://[::1]:{port}\n", b"403"),
        ("GET /start HTTP/1.1\nHost: 127.0.0.1:{port}\nOrigin: http://127.0.0.1:1\n", b"403"),
        ("nonsense\n", b"400"),
    ],
)
def test_only_its_own_names_are_answered(server: PageServer, lines: str, status: bytes) -> None:
    assert raw(server, lines.format(port=server.port)).split()[1] == status


def test_a_foreign_site_gets_no_leave_to_ask(server: PageServer) -> None:
    """What a browser asks before a request across origins is refused, and no leave is given."""
    asked = {"Origin": "http://example.org", "Access-Control-Request-Method": "POST"}
    status, headers, _ = server.send("OPTIONS", "/design", **asked)
    assert status == 403
    assert [name for name in headers if name.startswith("access-control")] == []
    own = server.send("OPTIONS", "/design", Origin=server.address.rstrip("/"))
    assert own[0] == 405
    assert [name for name in own[1] if name.startswith("access-control")] == []


@pytest.mark.parametrize(
    "kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=b"]
)
def test_what_a_form_of_another_site_can_send_is_refused(server: PageServer, kind: str) -> None:
    body = json.dumps({"page": "x", "variant": "stoop-tub"}).encode()
    assert server.send("POST", "/save", body, Content_Type=kind)[0] == 403
    assert server.send("POST", "/save", body, Content_Type="application/json")[0] == 200


def test_nothing_is_kept_by_the_browser_so_a_new_version_shows_at_once(server: PageServer) -> None:
    whole = server.send("GET", "/page.js")
    for headers in ({"If_None_Match": "*"}, {"If_Modified_Since": "Fri, 01 Jan 2100 00:00:00 GMT"}):
        again = server.send("GET", "/page.js", **headers)
        assert (again[0], again[2]) == (200, whole[2])
        assert again[1]["cache-control"] == "no-store"
        assert not {"etag", "last-modified"} & set(again[1])
    # a policy that lets nothing in but the page's own files
    policy = dict(part.split(" ", 1) for part in HEADERS["Content-Security-Policy"].split("; "))
    assert policy.pop("img-src") == "'self' blob:"
    assert set(policy.values()) <= {"'self'", "'none'"}


BASED = 'base = "stoop-tub"\n'


@pytest.mark.parametrize(
    "text, told",
    [
        (".".join(["a"] * 120_000) + " = 1", "20 parts"),
        (".".join(['"\\""'] * 40_000) + " = 1", "20 parts"),
        ("x = 1\n[ " + " . ".join(["' '"] * 40_000) + " ]", "20 parts"),
        ("a = {" + ".".join(["b"] * 100_000) + " = 1}", "20 parts"),
        (BASED + "[saw]\nspare = 0x" + "f" * 200_000, "400 digits"),
        (BASED + "[saw]\nspare = " + "9" * 200_000, "digits"),
        ("a = " + "{a=" * 60_000 + "1" + "}" * 60_000, "not TOML"),
        ("a = [" + "[]," * 80_000 + "]", "unknown key"),
        ("\n".join(f"a{i} = 1" for i in range(22_000)), "unknown key"),
        (BASED + "\n".join(f"[stock.a{i}]" for i in range(15_000)), "is missing"),
        ("[[box]]\n" * 30_000, "is a table"),
        ('a = "' + '" ' * 120_000, "not TOML"),
        (BASED + '[product]\nnote = "' + "W" * 240_000 + '"', "not allowed"),
        ('base = "../../../etc/passwd"', "no shipped variant"),
        ('base = "stoop-tub\\u0000.toml"', "no shipped variant"),
        ("\ud800", "not JSON"),
    ],
)
def test_a_greedy_file_is_one_complaint(server: PageServer, text: str, told: str) -> None:
    assert len(text) < 256 * 1024
    status, found = server.ask("design", text=text)
    assert status == 422  # a file that takes long would be ended, which is another status
    assert told in found["error"]["message"]


def test_a_plain_file_of_the_largest_size_is_still_read(server: PageServer) -> None:
    text = BASED + "# a long remark\n" * 15_900
    assert 250_000 < len(text) < 256 * 1024
    assert server.ask("design", text=text)[0] == 200
    deep = ".".join(["a"] * 19)
    assert "unknown key" in server.ask("design", text=f"{deep} = 1")[1]["error"]["message"]


def test_a_small_body_that_unpacks_to_a_large_one_stays_small(server: PageServer) -> None:
    packed = gzip.compress(b" " * 300 * 1024**2)
    assert len(packed) < LARGEST_REQUEST
    before = memory_of(server.process.pid)
    kinds = {"Content_Type": "application/json", "Content_Encoding": "gzip"}
    assert server.send("POST", "/design", packed, **kinds)[0] == 422
    assert memory_of(server.process.pid) - before < 20 * 1024


def test_many_idle_links_keep_nobody_out(server: PageServer) -> None:
    with contextlib.ExitStack() as all_links:
        for _ in range(3 * MOST_LINKS):
            link = all_links.enter_context(socket.create_connection(("127.0.0.1", server.port), 30))
            link.sendall(b"POST /design HTTP/1.1\r\nHost: ")
        assert server.ask("design")[0] == 200
        assert len(list(Path(f"/proc/{server.process.pid}/fd").iterdir())) < MOST_LINKS + 60
    assert server.ask("design")[0] == 200


def test_slow_senders_are_put_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """A head that never ends, a body that never ends, and a link that says nothing."""
    monkeypatch.setattr(servers, "LONGEST_SILENCE", 0.4)
    monkeypatch.setattr(servers, "LONGEST_SENDING", 0.4)
    monkeypatch.setattr(servers.Lanes, "start", lambda self: None)
    found: list[bytes] = []

    async def meet(address: str) -> None:
        host, port = address[7:-1].split(":")
        head = f"Host: {host}:{port}\r\nContent-Type: application/json\r\n"
        for sent in ("", "GET / HT", f"POST /save HTTP/1.1\r\n{head}Content-Length: 99\r\n\r\n{{"):
            reader, writer = await asyncio.open_connection(host, int(port))
            writer.write(sent.encode())
            found.append(await asyncio.wait_for(reader.read(), 20))
            writer.close()

    async def both() -> None:
        told: asyncio.Future[str] = asyncio.get_running_loop().create_future()
        serving = asyncio.ensure_future(servers.serve(0, told.set_result))
        await meet(await told)
        serving.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await serving

    asyncio.run(asyncio.wait_for(both(), 60))
    assert found[:2] == [b"", b""]
    assert found[2].startswith(b"HTTP/1.1 408 ")


def gone(process: subprocess.Popen[str], folder: Path) -> bool:
    """Return whether, in a while, nothing of a server is left: neither process nor file."""
    for _ in range(10 * PATIENCE):
        if not left_of(process) and not list(folder.iterdir()):
            return True
        time.sleep(0.1)
    return False


@pytest.fixture
def folder() -> Iterator[Path]:
    """An empty folder with a short name, as sockets need."""
    with tempfile.TemporaryDirectory(prefix="pw-") as name:
        yield Path(name)


@pytest.mark.parametrize("count", mostly_thorough([2, 3, 4, 5, 6], 3))
def test_ctrl_c_while_its_workers_start_leaves_nothing(folder: Path, count: int) -> None:
    process = begun(folder)
    while len(left_of(process)) < count:
        assert process.poll() is None
        time.sleep(0.01)
    os.killpg(process.pid, signal.SIGINT)
    told = process.communicate(timeout=PATIENCE)[1]
    assert "Traceback" not in told
    # a shell shows 130 for both: Python ends itself by the signal where that came amid an import
    assert process.returncode in (130, -signal.SIGINT)
    assert gone(process, folder), (left_of(process), list(folder.iterdir()))


INTERRUPTED = """
import os, signal, tempfile
from palewright_drawings.cli.main import run

plain, left = tempfile.mkdtemp, [NUMBER]

def interrupted(*words, **names):
    folder = plain(*words, **names)
    if names.get("prefix") == "palewright-page-":
        left[0] -= 1
        if left[0] == 0:
            os.kill(os.getpid(), signal.SIGINT)
    return folder

tempfile.mkdtemp = interrupted
run(["page", "--port", "0", "--no-show"])
"""
"""The page, with Ctrl-C just after the folder of one of its workers was made."""


@pytest.mark.parametrize("number", mostly_thorough([1, 4], 4))
def test_ctrl_c_between_a_workers_folder_and_its_process_leaves_nothing(
    folder: Path, number: int
) -> None:
    way = os.pathsep.join(str(ROOT / root) for root in ("model", "drawings"))
    process = subprocess.Popen(
        [sys.executable, "-c", INTERRUPTED.replace("NUMBER", str(number))],
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": way, "TMPDIR": str(folder)},
        start_new_session=True,
    )
    told = process.communicate(timeout=60)[1]
    assert process.returncode == 130, told
    assert "stopped" in told and "Traceback" not in told
    assert gone(process, folder), (left_of(process), list(folder.iterdir()))


@pytest.mark.parametrize(
    ("task", "end"),
    mostly_thorough(
        itertools.product(
            ["idle", "frontier", "packet"], [signal.SIGINT, signal.SIGTERM, signal.SIGKILL]
        ),
        ("idle", signal.SIGTERM),
        ("packet", signal.SIGKILL),
    ),
)
def test_an_end_at_any_time_leaves_nothing(folder: Path, task: str, end: int) -> None:
    """Ctrl-C goes to all of a terminal's processes, the other two to the server alone."""
    process = begun(folder)
    server = answering(process)
    under_way = server.under_way(task, boards=40) if task != "idle" else contextlib.nullcontext()
    with under_way:
        assert len(left_of(process)) >= 6
        (os.killpg if end == signal.SIGINT else os.kill)(process.pid, end)
        told = process.communicate(timeout=PATIENCE)[1]
    assert "Traceback" not in told
    assert process.returncode == (-end if end == signal.SIGKILL else 128 + end)
    assert gone(process, folder), (left_of(process), list(folder.iterdir()))


@pytest.mark.parametrize(
    "words, told",
    [
        (["--port", "65536"], "65535"),
        (["--port", "-1"], "0"),
        (["--port", "eight"], "integer"),
        (["--prot", "3"], "--port"),
        (["stoop-tub"], "unexpected"),
    ],
)
def test_a_wrong_word_is_one_line(words: list[str], told: str) -> None:
    command = [sys.executable, "-m", "palewright_drawings.cli.main", "page", *words]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60)
    assert done.returncode == 2
    assert len(done.stderr.splitlines()) == 1
    assert told in done.stderr
    assert done.stdout == ""
