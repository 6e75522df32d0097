"""The page's server over HTTP: who is answered, what is sent, and what it withstands."""

from __future__ import annotations

import hashlib
import io
import json
import logging
import os
import signal
import subprocess
import zipfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from page_process import PageServer, page_server
from palewright.parameters.variant_files import load_variant
from palewright_drawings.page.request_guard import HEADERS, LARGEST_REQUEST, is_our_own
from palewright_drawings.page.server import FILES


def test_its_own_files_come_with_headers_that_keep_others_out(server: PageServer) -> None:
    for place, (_, kind) in FILES.items():
        status, headers, content = server.send("GET", place)
        assert status == 200
        assert headers["content-type"].startswith(kind)
        assert {name: headers[name.lower()] for name in HEADERS} == HEADERS
        assert content


def test_the_bundle_names_no_outside_host_that_it_could_fetch_from(server: PageServer) -> None:
    html = server.send("GET", "/")[2].decode()
    assert "//" not in html.replace("<!doctype", "")
    assert "default-src 'none'" in HEADERS["Content-Security-Policy"]
    assert "unsafe" not in HEADERS["Content-Security-Policy"]


@pytest.mark.parametrize(
    "place",
    ["/../page.py", "/static/page.js", "/%2e%2e/servers.py", "//etc/passwd", "/page.js/../x"],
)
def test_nothing_else_is_there(server: PageServer, place: str) -> None:
    status, headers, _ = server.send("GET", place)
    assert status == 404
    assert headers["x-content-type-options"] == "nosniff"


def test_it_listens_on_loopback_only(server: PageServer) -> None:
    hexed = f"{server.port:04X}"
    rows = [row.split() for row in Path("/proc/net/tcp").read_text().splitlines()[1:]]
    heard = {row[1] for row in rows if row[3] == "0A" and row[1].endswith(f":{hexed}")}
    assert heard == {f"0100007F:{hexed}"}
    six = Path("/proc/net/tcp6")
    assert not six.exists() or f":{hexed} 0000" not in six.read_text()


@pytest.mark.parametrize(
    "headers",
    [
        {"Host": "example.org"},
        {"Origin": "http://example.org"},
        {"Sec_Fetch_Site": "cross-site"},
        {"Content_Type": "text/plain"},
    ],
)
def test_requests_of_others_are_refused(server: PageServer, headers: dict[str, str]) -> None:
    body = json.dumps({"page": "x", "variant": "stoop-tub"}).encode()
    usual = {"Content_Type": "application/json"}
    assert server.send("POST", "/design", body, **usual)[0] == 200
    assert server.send("POST", "/design", body, **{**usual, **headers})[0] == 403


@pytest.mark.parametrize(
    "body, status",
    [
        (b"", 422),
        (b"{", 422),
        (b"[" * 20000, 422),
        (b'{"variant": "stoop-tub"}', 422),
        (json.dumps({"page": "x" * 65, "variant": "stoop-tub"}).encode(), 422),
        (b"x" * (LARGEST_REQUEST + 1), 413),
    ],
)
def test_odd_bodies_are_refused_and_no_trace_is_shown(
    server: PageServer, body: bytes, status: int
) -> None:
    found, _, content = server.send("POST", "/design", body, Content_Type="application/json")
    assert found == status
    assert b"Traceback" not in content


def test_bad_input_names_its_key(server: PageServer) -> None:
    status, found = server.ask("design", changes={"box.width": "900 in"})
    assert status == 422
    assert found["error"]["key"] == "box.width"
    assert "96 in" in found["error"]["message"]


def test_a_change_changes_the_box_and_the_plan(server: PageServer) -> None:
    changes = {"box.width": "24 in", "product.units": "metric"}
    status, found = server.ask("design", changes=changes)
    assert status == 200
    assert found["values"]["box"]["width"] == {"mm": 609.6, "text": "609.6 mm"}
    front = [b for b in found["boards"] if b["name"] in ("front.stile-left", "front.stile-right")]
    assert len(front) == 2
    small = server.ask("cut", changes={})[1]
    large = server.ask("cut", changes=changes)[1]
    assert small["boards"] < large["boards"]
    assert small["lower_bound"] <= small["boards"]
    cut = {part["mark"]: part["count"] for part in found["parts"]}
    laid: dict[str, int] = {}
    for layout in large["layouts"]:
        for piece in layout["pieces"]:
            laid[piece["part"]] = laid.get(piece["part"], 0) + layout["count"]
    assert laid == cut


def test_a_remedy_makes_a_finding_go(server: PageServer) -> None:
    changes = {"panel.lip": "1/2 in"}
    _, bad = server.ask("verdict", changes=changes)
    assert bad["passed"] is False
    change = next(
        f["change"] for f in bad["findings"] if f["severity"] == "fault" and "change" in f
    )
    _, mended = server.ask("verdict", changes={**changes, change["key"]: change["value"]})
    faults = [f["code"] for f in mended["findings"] if f["severity"] == "fault"]
    assert mended["passed"] is True, faults


def test_twenty_open_pages_are_all_answered(server: PageServer) -> None:
    def drag(page: int) -> list[int]:
        """One page that asks for three widths, one after the other."""
        widths = [f"{16 + page / 4 + step} in" for step in range(3)]
        answers = [server.ask("design", f"page {page}", changes={"box.width": w}) for w in widths]
        for width, (_, found) in zip(widths, answers, strict=True):
            asked = load_variant("stoop-tub", [f"box.width={width}"]).parameters.box.width
            assert found["values"]["box"]["width"]["mm"] == pytest.approx(asked, abs=1e-3)
        return [status for status, _ in answers]

    with ThreadPoolExecutor(20) as pool:
        assert list(pool.map(drag, range(20))) == [[200, 200, 200]] * 20


@pytest.mark.thorough
def test_the_frontier_holds_sizes_that_the_boards_make(server: PageServer) -> None:
    ranges = {
        "size.least_width": "15 in", "size.most_width": "18 in", "size.least_height": "12 in",
        "size.most_height": "18 in",
    }  # fmt: skip
    status, found = server.ask("frontier", boards=7, changes=ranges)
    assert status == 200
    assert found["sizes"]
    assert all(one["boards"] <= 7 for one in found["sizes"])
    assert server.ask("frontier", boards=0)[0] == 422
    assert server.ask("frontier", boards=True)[0] == 422


@pytest.mark.thorough
def test_the_packet_is_whole(server: PageServer) -> None:
    """Two of them are compared in the thorough tests of the jobs."""
    body = json.dumps({"page": "p", "variant": "terrace-crate", "changes": {}}).encode()
    status, headers, sent = server.send("POST", "/packet", body, Content_Type="application/json")
    assert (status, headers["content-type"]) == (200, "application/zip")
    with zipfile.ZipFile(io.BytesIO(sent)) as whole:
        names = set(whole.namelist())
        manifest = json.loads(whole.read("terrace-crate/MANIFEST.json"))
        assert names == {
            "terrace-crate/MANIFEST.json",
            *(f"terrace-crate/{n}" for n in manifest["files"]),
        }
        for name, told in manifest["files"].items():
            assert hashlib.sha256(whole.read(f"terrace-crate/{name}")).hexdigest() in str(told)


def test_a_fetch_that_is_given_up_ends_its_job(server: PageServer) -> None:
    """A page that closes its connection has its long job ended, and the next one runs."""
    with server.under_way("frontier", boards=40):
        pass
    ranges = {"size.least_width": "16 in", "size.most_width": "16 in"}
    assert server.ask("frontier", "other", boards=5, changes=ranges)[0] == 200


def test_a_killed_worker_is_replaced(server: PageServer) -> None:
    listed = subprocess.run(["ps", "-eo", "pid,ppid,args"], capture_output=True, text=True)
    rows = [row.split(None, 2) for row in listed.stdout.splitlines()[1:]]
    below = {server.process.pid}
    for _ in range(3):
        below |= {int(pid) for pid, parent, _ in rows if int(parent) in below}
    helpers = {int(pid) for pid, parent, _ in rows if int(parent) == server.process.pid}
    victims = below - helpers - {server.process.pid}
    assert len(victims) >= 4
    for victim in victims:
        os.kill(victim, signal.SIGKILL)
    answers = [server.ask("design", f"after {i}")[0] for i in range(3)]
    assert answers[-1] == 200
    assert server.ask("verdict")[0] in (200, 500)
    assert server.ask("cut")[0] in (200, 500)
    assert server.ask("verdict")[0] == 200


def test_a_taken_port_is_one_clear_line(server: PageServer) -> None:
    from click.testing import CliRunner

    from palewright.reading.errors import InputError
    from palewright_drawings.cli.page_commands import page

    answer = CliRunner().invoke(page, ["--port", str(server.port), "--no-show"])
    assert isinstance(answer.exception, InputError)
    assert str(answer.exception).startswith(f"--port: port {server.port} is taken; ")


def test_ctrl_c_ends_it_and_its_workers() -> None:
    with page_server() as running:
        assert running.ask("design")[0] == 200
        group = running.process.pid
    assert running.process.returncode in (0, 130)
    with pytest.raises(ConnectionRefusedError):
        running.send("GET", "/")
    listed = subprocess.run(["ps", "-eo", "ppid"], capture_output=True, text=True).stdout.split()
    assert str(group) not in listed


def test_a_request_that_is_none_is_no_line_in_the_terminal_and_our_own_mistakes_are() -> None:
    from aiohttp.http_exceptions import BadHttpMessage

    def record(error: Exception | None) -> logging.LogRecord:
        told = (type(error), error, None) if error else None
        return logging.LogRecord("page", logging.ERROR, "", 0, "Error handling request", (), told)

    assert not is_our_own(record(BadHttpMessage("both lengths")))
    assert is_our_own(record(ZeroDivisionError("by nothing")))
    assert is_our_own(record(None))
