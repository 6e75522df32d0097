"""The page's workers and lanes: what jobs may take, who comes first, and what they survive."""

from __future__ import annotations

import asyncio
import multiprocessing
import os
import signal
import time
from collections.abc import Iterator, Mapping
from typing import Any

import pytest

from palewright.errors import InputError
from palewright_drawings.page import lanes, tasks
from palewright_drawings.page.lanes import Lane, Superseded
from palewright_drawings.page.replies import Reply
from palewright_drawings.page.workers import JobFailed


def _slow(request: Mapping[str, Any]) -> Reply:
    """Sleep, then say what was asked."""
    time.sleep(float(request["seconds"]))
    return Reply("text/plain", str(request["seconds"]).encode())


def _crash(_request: Mapping[str, Any]) -> Reply:
    """End the process at once, as a fault in a compiled library does."""
    os.kill(os.getpid(), signal.SIGKILL)
    raise AssertionError


def _mistake(_request: Mapping[str, Any]) -> Reply:
    """Raise what nobody foresaw."""
    raise ZeroDivisionError("by nothing")


@pytest.fixture
def odd_tasks(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Workers that also know how to be slow, to crash and to err: forked, so that they do."""
    for name, task in (("slow", _slow), ("crash", _crash), ("mistake", _mistake)):
        monkeypatch.setitem(tasks.TASKS, name, task)
    monkeypatch.setattr(lanes, "start_context", lambda: multiprocessing.get_context("fork"))
    yield


async def _with_lane(lane: Lane, use: Any) -> Any:
    """Start a lane, use it, end it."""
    lane.start()
    try:
        return await asyncio.wait_for(use(lane), 120)
    finally:
        lane.end()


@pytest.mark.usefixtures("odd_tasks")
def test_the_newest_job_wins_and_the_older_is_ended() -> None:
    async def use(lane: Lane) -> None:
        began = time.monotonic()
        first = asyncio.ensure_future(lane.run("a", "slow", {"seconds": 30}))
        await asyncio.sleep(0.2)
        other = lane.workers[0].pid
        second = asyncio.ensure_future(lane.run("a", "slow", {"seconds": 0.01}))
        with pytest.raises(Superseded):
            await first
        assert (await second).content == b"0.01"
        assert time.monotonic() - began < 15
        assert lane.workers[0].pid != other
        assert len(lane.workers) == 1

    asyncio.run(_with_lane(Lane(1, 60.0, True), use))


@pytest.mark.usefixtures("odd_tasks")
def test_jobs_of_other_pages_are_not_superseded() -> None:
    async def use(lane: Lane) -> None:
        jobs = [lane.run(f"page {i}", "slow", {"seconds": i / 1000}) for i in range(20)]
        found = await asyncio.gather(*jobs)
        assert [reply.content for reply in found] == [str(i / 1000).encode() for i in range(20)]

    asyncio.run(_with_lane(Lane(2, 60.0), use))


@pytest.mark.usefixtures("odd_tasks")
@pytest.mark.parametrize(
    "task, told", [("crash", "ended"), ("mistake", "ZeroDivisionError"), ("slow", "longer than")]
)
def test_a_job_that_dies_costs_its_worker_and_no_more(task: str, told: str) -> None:
    async def use(lane: Lane) -> None:
        with pytest.raises(JobFailed, match=told):
            await lane.run("a", task, {"seconds": 60})
        assert (await lane.run("a", "slow", {"seconds": 0.0})).content == b"0.0"

    asyncio.run(_with_lane(Lane(1, 3.0), use))


@pytest.mark.usefixtures("odd_tasks")
def test_bad_input_goes_through_the_pipe_with_its_key() -> None:
    async def use(lane: Lane) -> None:
        request = {"variant": "stoop-tub", "changes": {"box.width": "900 in"}}
        with pytest.raises(InputError) as caught:
            await lane.run("a", "design", request)
        assert caught.value.key == "box.width"

    asyncio.run(_with_lane(Lane(1, 60.0), use))
