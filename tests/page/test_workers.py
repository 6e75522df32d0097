"""The page's workers and lanes: what jobs may take, who comes first, and what they survive."""

from __future__ import annotations

import asyncio
import multiprocessing
import os
import re
import signal
import tempfile
import time
from collections.abc import Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from case_lists import thorough
from palewright.reading.errors import InputError
from palewright_drawings.page.jobs import queues, short_tasks, workers
from palewright_drawings.page.jobs.kept_answers import KeptAnswers
from palewright_drawings.page.jobs.queues import Lane, Superseded
from palewright_drawings.page.jobs.replies import Reply
from palewright_drawings.page.jobs.workers import JobFailed, Worker, start_context


def _slow(request: Mapping[str, Any]) -> Reply:
    """Leave a file where it is to tell that it began, sleep, then say what was asked."""
    if "begun" in request:
        Path(request["begun"]).touch()
    time.sleep(float(request["seconds"]))
    return Reply("text/plain", str(request["seconds"]).encode())


def _crash(_request: Mapping[str, Any]) -> Reply:
    """End the process at once, as a fault in a compiled library does."""
    os.kill(os.getpid(), signal.SIGKILL)
    raise AssertionError


def _mistake(_request: Mapping[str, Any]) -> Reply:
    """Raise what nobody foresaw."""
    raise ZeroDivisionError("by nothing")


def _greedy(request: Mapping[str, Any]) -> Reply:
    """Take so many GiB of memory."""
    held = bytearray(int(request["gib"] * 1024**3))
    return Reply("text/plain", str(len(held)).encode())


def _endless(_request: Mapping[str, Any]) -> Reply:
    """Never come back, and give no other thread a turn: a pattern that tries everything."""
    re.match(r"(a|aa)+b", "a" * 200)
    raise AssertionError


def _deep(request: Mapping[str, Any]) -> Reply:
    """Call itself without end."""
    return _deep(request)


def _files(_request: Mapping[str, Any]) -> Reply:
    """Leave a file behind and say where."""
    place = Path(tempfile.mkdtemp()) / "left.txt"
    place.write_text("left", encoding="utf-8")
    return Reply("text/plain", str(place).encode())


ODD = {
    "slow": _slow, "crash": _crash, "mistake": _mistake, "greedy": _greedy,
    "endless": _endless, "deep": _deep, "files": _files,
}  # fmt: skip


@pytest.fixture
def odd_tasks(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Workers that also know how to be slow, to crash and to err: forked, so that they do."""
    for name, task in ODD.items():
        monkeypatch.setitem(short_tasks.TASKS, name, task)
    monkeypatch.setattr(queues, "start_context", lambda: multiprocessing.get_context("fork"))
    yield


async def _with_lane(lane: Lane, use: Any) -> Any:
    """Start a lane, use it, end it."""
    lane.start()
    try:
        return await asyncio.wait_for(use(lane), 120)
    finally:
        lane.end()


@pytest.mark.usefixtures("odd_tasks")
def test_the_newest_job_wins_and_the_older_is_ended(tmp_path: Path) -> None:
    async def use(lane: Lane) -> None:
        begun = tmp_path / "begun"
        first = asyncio.ensure_future(lane.run("a", "slow", {"seconds": 3600, "begun": str(begun)}))
        while not begun.exists():
            await asyncio.sleep(0.01)
        other = lane.workers[0].pid
        second = asyncio.ensure_future(lane.run("a", "slow", {"seconds": 0.01}))
        with pytest.raises(Superseded):
            await first
        assert (await second).content == b"0.01"
        assert lane.workers[0].pid != other
        assert len(lane.workers) == 1

    asyncio.run(_with_lane(Lane(1, 60.0, True), use))


@pytest.mark.usefixtures("odd_tasks")
def test_what_was_answered_is_not_worked_out_again(tmp_path: Path) -> None:
    async def use(lane: Lane) -> None:
        begun = tmp_path / "begun"
        asked = {"seconds": 0.01, "begun": str(begun)}
        first = await lane.run("a", "slow", asked)
        begun.unlink()
        again = await lane.run("b", "slow", dict(reversed(asked.items())))
        assert again == first
        assert not begun.exists()
        other = asyncio.ensure_future(lane.run("a", "slow", {"seconds": 3600, "begun": str(begun)}))
        while not begun.exists():
            await asyncio.sleep(0.01)
        assert await lane.run("a", "slow", asked) == first  # newer, though it was known
        with pytest.raises(Superseded):
            await other
        with pytest.raises(InputError):
            await lane.run("a", "save", {})
        with pytest.raises(InputError):  # a refusal is no answer that is kept
            await lane.run("a", "save", {})

    asyncio.run(_with_lane(Lane(1, 60.0, True, keeps=4096), use))


def test_answers_are_kept_up_to_so_many_bytes_the_longest_unasked_go_first() -> None:
    kept = KeptAnswers(400)
    for number in range(3):
        kept.keep("cut", {"n": number}, Reply("text/plain", bytes(100)))
    assert kept.of("cut", {"n": 0}) is not None
    assert kept.of("first", {"n": 0}) is None
    kept.keep("cut", {"n": 3}, Reply("text/plain", bytes(100)))
    assert [kept.of("cut", {"n": number}) is not None for number in range(4)] == [
        True, False, True, True,
    ]  # fmt: skip
    kept.keep("cut", {"n": 4}, Reply("text/plain", bytes(401)))
    assert all(kept.of("cut", {"n": number}) is None for number in range(5))


@pytest.mark.usefixtures("odd_tasks")
def test_jobs_of_other_pages_are_not_superseded() -> None:
    async def use(lane: Lane) -> None:
        jobs = [lane.run(f"page {i}", "slow", {"seconds": i / 1000}) for i in range(20)]
        found = await asyncio.gather(*jobs)
        assert [reply.content for reply in found] == [str(i / 1000).encode() for i in range(20)]

    asyncio.run(_with_lane(Lane(2, 60.0), use))


@pytest.mark.usefixtures("odd_tasks")
@pytest.mark.parametrize(
    "task, told",
    [
        ("crash", "ended"), ("mistake", "ZeroDivisionError"), ("slow", "longer than"),
        thorough(("endless", "longer than")), ("deep", "RecursionError"),
        ("greedy", "3 GiB of memory"),
    ],
)  # fmt: skip
def test_a_job_that_dies_costs_its_worker_and_no_more(task: str, told: str) -> None:
    async def use(lane: Lane) -> None:
        if told == "longer than":
            lane._seconds = 0.5  # else a busy machine might be slower than the job is bad
        with pytest.raises(JobFailed, match=told):
            await lane.run("a", task, {"seconds": 3600, "gib": 3.0})
        lane._seconds = 100.0
        assert (await lane.run("a", "slow", {"seconds": 0.0})).content == b"0.0"
        assert (await lane.run("a", "greedy", {"gib": 0.5})).content == str(2**29).encode()

    asyncio.run(_with_lane(Lane(1, 100.0), use))


@pytest.mark.usefixtures("odd_tasks")
def test_bad_input_goes_through_the_pipe_with_its_key() -> None:
    async def use(lane: Lane) -> None:
        request = {"variant": "stoop-tub", "changes": {"box.width": "900 in"}}
        with pytest.raises(InputError) as caught:
            await lane.run("a", "design", request)
        assert caught.value.key == "box.width"

    asyncio.run(_with_lane(Lane(1, 60.0), use))


@pytest.mark.usefixtures("odd_tasks")
def test_what_a_job_leaves_goes_with_its_worker() -> None:
    async def use(lane: Lane) -> Path:
        place = Path((await lane.run("a", "files", {})).content.decode())
        assert place.is_file()
        with pytest.raises(JobFailed):
            await lane.run("a", "crash", {})
        for _ in range(2000):
            if not place.parent.parent.exists():
                break
            await asyncio.sleep(0.05)
        assert not place.parent.parent.exists()
        return Path((await lane.run("a", "files", {})).content.decode())

    place = asyncio.run(_with_lane(Lane(1, 60.0), use))
    assert not place.parent.parent.exists()


@pytest.mark.usefixtures("odd_tasks")
def test_a_worker_that_died_idle_costs_no_job() -> None:
    async def use(lane: Lane) -> None:
        for _ in range(3):
            for worker in lane.workers:
                if worker.alive:
                    os.kill(worker.pid, signal.SIGKILL)
            while any(worker.alive for worker in lane.workers):
                await asyncio.sleep(0.01)
            assert (await lane.run("a", "slow", {"seconds": 0})).content
        assert len(lane.workers) == 2

    asyncio.run(_with_lane(Lane(2, 60.0), use))


@pytest.mark.usefixtures("odd_tasks")
def test_more_jobs_than_a_lane_takes_are_refused_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(queues, "MOST_OPEN", 3)

    async def use(lane: Lane) -> None:
        jobs = [asyncio.ensure_future(lane.run(f"{i}", "slow", {"seconds": 0.3})) for i in range(3)]
        await asyncio.sleep(0)
        with pytest.raises(JobFailed, match="too many"):
            await lane.run("one more", "slow", {"seconds": 0})
        newer = lane.run("0", "slow", {"seconds": 0.2})  # takes the place of its own older one
        assert (await newer).content == b"0.2"
        await asyncio.gather(*jobs, return_exceptions=True)
        assert (await lane.run("one more", "slow", {"seconds": 0})).content == b"0"

    asyncio.run(_with_lane(Lane(1, 60.0), use))


@pytest.mark.thorough
@pytest.mark.usefixtures("odd_tasks")
def test_jobs_given_up_at_any_moment_disturb_no_other() -> None:
    """A job is superseded before, while and just after it is answered; the newest always counts."""

    async def use(lane: Lane) -> None:
        for step in range(60):
            old = asyncio.ensure_future(lane.run("a", "slow", {"seconds": 0.004}))
            await asyncio.sleep(0.0002 * step)
            other = asyncio.ensure_future(lane.run("b", "slow", {"seconds": 0.002}))
            assert (await lane.run("a", "slow", {"seconds": 0.001})).content == b"0.001"
            assert (await other).content == b"0.002"
            found = (await asyncio.gather(old, return_exceptions=True))[0]
            assert isinstance(found, Superseded | Reply)
        assert len(lane.workers) == 1

    asyncio.run(_with_lane(Lane(1, 60.0, True), use))


@pytest.mark.parametrize("system", ["win32", "darwin"])
def test_where_processes_cannot_be_forked_workers_start_afresh(
    system: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(workers, "sys", SimpleNamespace(platform=system))
    assert start_context().get_start_method() == "spawn"
    if system == "darwin":  # one real job through such a worker is enough

        async def use(lane: Lane) -> bytes:
            return (await lane.run("a", "save", {"variant": "stoop-tub"})).content

        assert b'base = "stoop-tub"' in asyncio.run(_with_lane(Lane(1, 60.0), use))


def test_a_folder_with_a_long_name_does_not_keep_the_page_from_starting(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert start_context().get_start_method() == "forkserver"
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / ("long" * 30)))
    assert start_context().get_start_method() == "spawn"


def test_a_worker_that_was_ended_leaves_no_file_open() -> None:
    """Each change ends some: what they left open once added up until the collector came by."""
    context = start_context()
    counts = []
    with ThreadPoolExecutor(1) as threads:
        ended = []  # held, so that nothing is closed by the collector
        for _ in range(3):
            worker = Worker(context, threads, 0)
            worker.kill()
            worker.clear_away()
            ended.append(worker)
            counts.append(len(list(Path("/proc/self/fd").iterdir())))
    assert counts[0] == counts[1] == counts[2]
