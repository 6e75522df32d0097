"""Worker processes of the page: a crash, a hang or a greedy job costs its worker, not the page.

A worker takes one job at a time through a pipe. Lanes keep a few of them warm; in a lane the
newest job of an open page wins, older ones are told that they are superseded.
"""

from __future__ import annotations

import asyncio
import contextlib
import multiprocessing
import os
import signal
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from multiprocessing.connection import Connection
from multiprocessing.context import BaseContext
from typing import Any

from palewright.errors import InputError
from palewright_drawings.page.tasks import TASKS, Reply

MOST_MEMORY = 8 * 1024**3
"""Address space that one worker may take, bytes: the CAD kernel maps about 3 GiB of it."""


class Superseded(Exception):
    """A newer job of the same page and task came."""


class JobFailed(Exception):
    """A job ended without an answer: it crashed, or took too long."""


def _work(pipe: Connection, niceness: int) -> None:
    """Answer jobs until the pipe closes: what a worker process does."""
    if hasattr(os, "nice"):
        os.nice(niceness)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the server, which closes the pipe
    with contextlib.suppress(ImportError, ValueError, OSError):
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
    while True:
        try:
            task, request = pipe.recv()
        except (EOFError, OSError):
            return
        try:
            answer: Reply | InputError | str = TASKS[task](request)
        except InputError as error:
            answer = error
        except Exception as error:
            answer = f"a mistake of palewright's own: {type(error).__name__}: {error}"
        pipe.send(_packed(answer))


def _packed(answer: Reply | InputError | str) -> tuple[Any, ...]:
    """Return an answer as plain values: an error with keywords does not go through a pipe."""
    if isinstance(answer, InputError):
        return "input", answer.message, answer.key, answer.file, answer.line
    if isinstance(answer, str):
        return "failed", answer
    return "reply", answer.kind, answer.content


def _context() -> BaseContext:
    """Return how processes start: from a server that has the model loaded, where there is one."""
    if "forkserver" not in multiprocessing.get_all_start_methods():
        return multiprocessing.get_context("spawn")
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(
        [
            "palewright_drawings.page.tasks",
            "palewright_drawings.cut_json",
            "palewright_drawings.layout_pictures",
            "palewright.verdicts",
            "palewright.money.batches",
            "manifold3d",
        ]
    )
    return context


class Worker:
    """One process that answers jobs, one at a time."""

    def __init__(self, context: BaseContext, threads: ThreadPoolExecutor, niceness: int) -> None:
        """Start the process; the nicer, the more processor time it leaves to others."""
        self._pipe, far = context.Pipe()
        self._threads = threads
        self._process = context.Process(target=_work, args=(far, niceness), daemon=True)  # type: ignore[attr-defined]
        self._process.start()
        far.close()

    @property
    def pid(self) -> int:
        """The process's number."""
        return int(self._process.pid)

    @property
    def alive(self) -> bool:
        """Whether it can take another job."""
        return bool(self._process.is_alive())

    async def ask(self, task: str, request: Mapping[str, Any]) -> Reply:
        """Return the answer to one job.

        Raises:
            InputError: if the request cannot be used.
            JobFailed: if the job crashed, or the process was ended.
        """
        loop = asyncio.get_running_loop()
        try:
            kind, *rest = await loop.run_in_executor(self._threads, self._exchange, task, request)
        except (EOFError, OSError):
            raise JobFailed("the job was ended before it was done") from None
        if kind == "input":
            message, key, file, line = rest
            raise InputError(message, key=key, file=file, line=line)
        if kind == "failed":
            raise JobFailed(rest[0])
        return Reply(*rest)

    def _exchange(self, task: str, request: Mapping[str, Any]) -> Any:
        """Send a job and wait for what comes back."""
        self._pipe.send((task, dict(request)))
        return self._pipe.recv()

    def end(self) -> None:
        """End the process, whatever it does."""
        self._process.kill()
        self._process.join(1.0)


class Lane:
    """A few warm workers, and who waits for them; the newest job of a page and task wins."""

    def __init__(
        self, count: int, seconds: float, ends_superseded: bool = False, niceness: int = 0
    ) -> None:
        """Note what the lane is.

        Args:
            count: how many workers.
            seconds: a job that takes longer is ended.
            ends_superseded: whether a superseded job is ended at once; else it runs to its end,
                which is cheaper for short ones.
            niceness: how much processor time the workers leave to others, 0 to 19.
        """
        self._count = count
        self._seconds = seconds
        self._ends = ends_superseded
        self._niceness = niceness
        self._context = _context()
        self._threads = ThreadPoolExecutor(2 * count, "palewright-page")
        self._free: asyncio.Queue[Worker] = asyncio.Queue()
        self._all: list[Worker] = []
        self._open: dict[tuple[str, str], asyncio.Task[Reply]] = {}

    def start(self) -> None:
        """Start the workers."""
        for _ in range(self._count):
            self._add()

    @property
    def workers(self) -> tuple[Worker, ...]:
        """The workers there are."""
        return tuple(self._all)

    def end(self) -> None:
        """End the workers."""
        for worker in self._all:
            worker.end()
        self._threads.shutdown(wait=False, cancel_futures=True)

    async def run(self, page: str, task: str, request: Mapping[str, Any]) -> Reply:
        """Return the answer to a page's job.

        Raises:
            Superseded: if a newer job of the page and task came.
            InputError: if the request cannot be used.
            JobFailed: if the job crashed or took too long.
        """
        key = page, task
        if older := self._open.get(key):
            older.cancel()
        job = asyncio.ensure_future(self._do(task, request))
        self._open[key] = job
        try:
            return await job
        except asyncio.CancelledError:
            if self._open.get(key) is not job:
                raise Superseded from None
            job.cancel()  # the page itself went away or gave up
            raise
        finally:
            if self._open.get(key) is job:
                del self._open[key]

    async def _do(self, task: str, request: Mapping[str, Any]) -> Reply:
        """Wait for a worker and give it the job."""
        worker = await self._free.get()
        reply = asyncio.ensure_future(self._answer(worker, task, request))
        reply.add_done_callback(lambda done: done.cancelled() or done.exception())
        try:
            return await asyncio.shield(reply)
        except asyncio.CancelledError:
            if self._ends:
                worker.end()
            raise

    async def _answer(self, worker: Worker, task: str, request: Mapping[str, Any]) -> Reply:
        """Return a worker's answer, and have a worker free again afterwards."""
        try:
            return await asyncio.wait_for(worker.ask(task, request), self._seconds)
        except TimeoutError:
            worker.end()
            raise JobFailed(f"took longer than {self._seconds:.0f} s and was ended") from None
        except JobFailed:
            worker.end()
            raise
        finally:
            if worker.alive:
                self._free.put_nowait(worker)
            else:
                self._all.remove(worker)
                self._add()

    def _add(self) -> None:
        """Start one worker more."""
        worker = Worker(self._context, self._threads, self._niceness)
        self._all.append(worker)
        self._free.put_nowait(worker)
