"""Lanes of the page: warm workers for one kind of jobs, and who waits for them."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, Any

from palewright_drawings.page.jobs.kept_answers import KeptAnswers
from palewright_drawings.page.jobs.replies import Reply
from palewright_drawings.page.jobs.workers import JobFailed, TellPage, Worker, start_context

if TYPE_CHECKING:
    from palewright_drawings.page.jobs.shop_figures import Figures

MOST_OPEN = 200
"""Jobs that a lane has under way or waiting: each open page has one of a task at most."""


class Superseded(Exception):
    """A newer job of the same page and task came."""


class Lane:
    """A few warm workers, and who waits for them; the newest job of a page and task wins."""

    def __init__(
        self,
        count: int,
        seconds: float,
        ends_superseded: bool = False,
        niceness: int = 0,
        figures: Figures | None = None,
        keeps: int = 0,
    ) -> None:
        """Note what the lane is.

        Args:
            count: how many workers.
            seconds: a job that takes longer is ended.
            ends_superseded: whether a superseded job is ended at once; else it runs to its end,
                which is cheaper for short ones.
            niceness: how much processor time the workers leave to others, 0 to 19.
            figures: what the workers price by; as shipped by default.
            keeps: bytes of answers kept for when they are asked for again, where they follow from
                the request alone.
        """
        self._kept = KeptAnswers(keeps)
        self._figures = figures
        self._count = count
        self._seconds = seconds
        self._ends = ends_superseded
        self._niceness = niceness
        self._context = start_context()
        # a thread for each worker's pipe, and one for each that is being cleared away
        self._threads = ThreadPoolExecutor(2 * count, "palewright-page")
        self._free: asyncio.LifoQueue[Worker] = asyncio.LifoQueue()  # the warmest first
        self._all: list[Worker] = []
        self._open: dict[tuple[str, str], asyncio.Task[Reply]] = {}
        self._over = False

    def start(self) -> None:
        """Start the workers."""
        for _ in range(self._count):
            self._add()

    @property
    def workers(self) -> tuple[Worker, ...]:
        """The workers there are."""
        return tuple(self._all)

    def end(self) -> None:
        """End the workers and all that waits for them; waits until nothing is left of them."""
        self._over = True
        for job in self._open.values():
            job.cancel()
        for worker in self._all:
            worker.kill()
        for worker in self._all:
            worker.clear_away()
        self._threads.shutdown()

    async def run(
        self, page: str, task: str, request: Mapping[str, Any], tell: TellPage | None = None
    ) -> Reply:
        """Return the answer to a page's job; what it tells on the way is handed on.

        Args:
            page: the name that the page gave itself.
            task: what is asked; one of a kind is open for a page.
            request: what the page said, JSON-ready.
            tell: takes what is told on the way, JSON-ready.

        Raises:
            Superseded: if a newer job of the page and task came.
            InputError: if the request cannot be used.
            JobFailed: if the job crashed or took too long, or too many wait already.
        """
        key = page, task
        if older := self._open.pop(key, None):
            older.cancel()
        if kept := self._kept.of(task, request):
            return kept
        if len(self._open) >= MOST_OPEN:
            raise JobFailed("too many jobs wait already; try again")
        job = asyncio.ensure_future(self._do(task, request, tell))
        self._open[key] = job
        try:
            reply = await job
            self._kept.keep(task, request, reply)
            return reply
        except asyncio.CancelledError:
            if self._open.get(key) is not job:
                raise Superseded from None
            job.cancel()  # the page itself went away or gave up
            raise
        finally:
            if self._open.get(key) is job:
                del self._open[key]

    async def _do(self, task: str, request: Mapping[str, Any], tell: TellPage | None) -> Reply:
        """Wait for a worker and give it the job."""
        worker = await self._free.get()
        while not worker.alive:  # it died while it had nothing to do
            self._replace(worker)
            worker = await self._free.get()
        reply = asyncio.ensure_future(self._answer(worker, task, request, tell))
        reply.add_done_callback(lambda done: done.cancelled() or done.exception())
        try:
            return await asyncio.shield(reply)
        except asyncio.CancelledError:
            if self._ends and not reply.done():  # once done, the worker may serve another
                worker.kill()
            raise

    async def _answer(
        self, worker: Worker, task: str, request: Mapping[str, Any], tell: TellPage | None
    ) -> Reply:
        """Return a worker's answer, and have a worker free again afterwards."""
        try:
            return await asyncio.wait_for(worker.ask(task, request, tell), self._seconds)
        except TimeoutError:
            worker.kill()
            raise JobFailed(f"took longer than {self._seconds:.0f} s and was ended") from None
        except JobFailed:
            worker.kill()
            raise
        finally:
            if worker.alive:
                self._free.put_nowait(worker)
            else:
                self._replace(worker)

    def _replace(self, worker: Worker) -> None:
        """Put a new worker into the place of one that was ended."""
        if self._over:
            return
        self._all.remove(worker)
        self._threads.submit(worker.clear_away)
        self._add()

    def _add(self) -> None:
        """Start one worker more."""
        worker = Worker(self._context, self._threads, self._niceness, self._figures)
        self._all.append(worker)
        self._free.put_nowait(worker)
