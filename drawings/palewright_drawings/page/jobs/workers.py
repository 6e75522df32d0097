"""Worker processes of the page: a crash, a hang or a greedy job costs its worker, not the page.

A worker takes one job at a time through a pipe; `lanes` keeps a few of them warm.
"""

from __future__ import annotations

import asyncio
import multiprocessing
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from multiprocessing.connection import Connection
from multiprocessing.context import BaseContext
from pathlib import Path
from typing import TYPE_CHECKING, Any

from palewright.reading.errors import InputError
from palewright_drawings.output.progress import Progress
from palewright_drawings.page.jobs.replies import Reply
from palewright_drawings.page.jobs.shop_figures import keep_figures
from palewright_drawings.page.jobs.short_tasks import perform
from palewright_drawings.page.jobs.worker_limits import MOST_MEMORY, end_with_the_server, hold_in
from palewright_drawings.page.jobs.worker_progress import ToldProgress

if TYPE_CHECKING:
    from palewright_drawings.page.jobs.shop_figures import Figures

_TRIES = 30
"""To remove a folder, a tenth of a second apart."""

_LONGEST_END = 5.0
"""Seconds that a killed process may take to be gone."""


_LONGEST_FOLDER = 70
"""Letters of a folder in which the forking process can have its socket: the system takes 107."""

TellPage = Callable[[Mapping[str, Any]], None]
"""Takes ``{"doing", "done", "total"}``: what is being done, steps done and in all; or ``{"part"}``:
what is found so far, JSON-ready."""


class JobFailed(Exception):
    """A job ended without an answer: it crashed, or took too long or too much."""


def _work(pipe: Connection, niceness: int, folder: str, figures: Figures | None) -> None:
    """Answer jobs until the pipe closes: what a worker process does."""
    hold_in(niceness, folder)
    if figures is not None:
        keep_figures(figures)
    while True:
        try:
            task, request = pipe.recv()
            progress = ToldProgress(
                lambda *said: pipe.send(
                    ("told", dict(zip(("doing", "done", "total"), said, strict=True)))
                ),
                lambda part: pipe.send(("told", {"part": part})),
            )
            pipe.send(_packed(_answered(task, request, progress)))
        except (EOFError, OSError):
            end_with_the_server(folder)


def _answered(
    task: str, request: Mapping[str, Any], progress: Progress
) -> Reply | InputError | str:
    """Return a job's answer: a reply, what is wrong with the request, or how the job failed."""
    try:
        return perform(task, request, progress)
    except InputError as error:
        return error
    except MemoryError:
        return f"the job took more than {MOST_MEMORY / 1024**3:.0f} GiB of memory and was ended"
    except Exception as error:
        return f"a mistake of palewright's own: {type(error).__name__}: {error}"


def _packed(answer: Reply | InputError | str) -> tuple[Any, ...]:
    """Return an answer as plain values: an error with keywords does not go through a pipe."""
    if isinstance(answer, InputError):
        return "input", answer.message, answer.key, answer.file, answer.line
    if isinstance(answer, str):
        return "failed", answer
    return "reply", answer.kind, answer.content


def start_context() -> BaseContext:
    """Return how worker processes start.

    On Linux a small process that has the model loaded forks them, in some milliseconds. Elsewhere
    each starts afresh: Windows cannot fork, and macOS forbids its own libraries after a fork.
    """
    if sys.platform != "linux" or len(tempfile.gettempdir()) > _LONGEST_FOLDER:
        return multiprocessing.get_context("spawn")
    from multiprocessing import forkserver, resource_tracker

    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(
        [
            "palewright_drawings.page.jobs.short_tasks",
            "palewright_drawings.page.jobs.plan_snapshot",
            "palewright_drawings.documents.plan.sections",
            "palewright_drawings.json_reports.cut_plans",
            "palewright_drawings.documents.plan.layout_pictures",
            "palewright.fit.verdict",
            "palewright.costing.batch_price",
            "manifold3d",
        ]
    )
    # Ctrl-C goes to every process of the terminal; it must not find the forking one at its imports
    resource_tracker.ensure_running()
    signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        forkserver.ensure_running()
    finally:
        signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})
    return context


class Worker:
    """One process that answers jobs, one at a time."""

    def __init__(
        self,
        context: BaseContext,
        threads: ThreadPoolExecutor,
        niceness: int,
        figures: Figures | None = None,
    ) -> None:
        """Start the process; the nicer, the more processor time it leaves to others.

        It prices by the figures, or by those that ship.
        """
        self._folder = tempfile.mkdtemp(prefix="palewright-page-")
        self._pipe, far = context.Pipe()
        self._threads = threads
        self._killed = False
        self._process = context.Process(  # type: ignore[attr-defined]
            target=_work, args=(far, niceness, self._folder, figures), daemon=True
        )
        self._process.start()
        far.close()

    @property
    def pid(self) -> int:
        """The process's number."""
        return int(self._process.pid)

    @property
    def alive(self) -> bool:
        """Whether it can take another job."""
        return not self._killed and bool(self._process.is_alive())

    async def ask(
        self, task: str, request: Mapping[str, Any], tell: TellPage | None = None
    ) -> Reply:
        """Return the answer to one job; what it tells on the way is handed on, from a thread.

        Raises:
            InputError: if the request cannot be used.
            JobFailed: if the job crashed, or the process was ended.
        """
        loop = asyncio.get_running_loop()
        try:
            kind, *rest = await loop.run_in_executor(
                self._threads, self._exchange, task, request, tell
            )
        except (EOFError, OSError):
            raise JobFailed("the job was ended before it was done") from None
        if kind == "input":
            message, key, file, line = rest
            raise InputError(message, key=key, file=file, line=line)
        if kind == "failed":
            raise JobFailed(rest[0])
        return Reply(*rest)

    def _exchange(self, task: str, request: Mapping[str, Any], tell: TellPage | None) -> Any:
        """Send a job, hand on what it tells, and wait for what comes back."""
        self._pipe.send((task, dict(request)))
        while (answer := self._pipe.recv())[0] == "told":
            if tell:
                tell(answer[1])
        return answer

    def kill(self) -> None:
        """End the process, whatever it does; returns at once."""
        if not self._killed:
            self._killed = True
            self._process.kill()

    def clear_away(self) -> None:
        """Wait until a killed process is gone, and remove what it wrote."""
        self._process.join(_LONGEST_END)
        # what is not closed stays open until the collector comes by
        self._pipe.close()
        if self._process.exitcode is not None:
            self._process.close()
        for _ in range(_TRIES):  # a process that is still ending may write amid the removal
            shutil.rmtree(self._folder, ignore_errors=True)
            if not Path(self._folder).exists():
                break
            time.sleep(0.1)
