"""The page's server: its own files and a JSON interface, on this computer's loopback only.

aiohttp, since it comes with the CAD library anyway, and because it ends the handler when the
browser gives a request up: to cancel a job is to abort its fetch.
"""

from __future__ import annotations

import asyncio
import json
import logging
from collections.abc import Callable, Mapping
from functools import partial
from importlib import resources
from typing import TYPE_CHECKING, Any

from palewright.reading.errors import InputError
from palewright_drawings.page.jobs.queues import Lane, Superseded
from palewright_drawings.page.jobs.replies import Reply
from palewright_drawings.page.jobs.shop_figures import kept_figures
from palewright_drawings.page.jobs.workers import JobFailed, TellPage
from palewright_drawings.page.listening import Door
from palewright_drawings.page.progress_stream import told_answer
from palewright_drawings.page.request_guard import LARGEST_REQUEST, add_headers, is_our_own
from palewright_drawings.page.start_data import start_data

if TYPE_CHECKING:
    from aiohttp import web

    from palewright_drawings.page.jobs.shop_figures import Figures

FILES = {
    "/": ("page.html", "text/html"),
    "/page.js": ("page.js", "text/javascript"),
    "/page.css": ("page.css", "text/css"),
    "/stage.css": ("stage.css", "text/css"),
    "/mark.svg": ("mark.svg", "image/svg+xml"),
    "/three-licence.txt": ("three-licence.txt", "text/plain"),
}
"""Every file that can be asked for: a table, so that no path comes from a request."""

QUICK = ("design", "save")
"""Tasks of the quick lane: what a moving slider waits for."""

SOON = ("verdict", "first", "cut", "plants")
"""Tasks that follow within a second."""

LATE = ("price",)
"""What is sought once the plan is there: seconds of work that nothing else waits for."""

LONG = ("frontier", "packet", "file", "picture", "batch", "track", "beside")
"""Tasks that take their time; they tell how far they are where the request says ``tell``."""

KEPT = 8 * 1024 * 1024
"""Bytes of answers that a lane keeps: some hundred boxes. Judgement."""

TRACED = ("view",)
"""What is made for a picture at rest: one at once, behind all else, given up at a touch."""

LONGEST_SENDING = 10.0
"""Seconds that a request's body may take to arrive."""

LONGEST_SILENCE = 30.0
"""Seconds that a connection stays open without a whole request head."""

_SUPERSEDED, _UNUSABLE, _FAILED = 409, 422, 500
"""Status codes of HTTP (RFC 9110): conflict, content that cannot be used, our mistake."""

_LONGEST_GOODBYE = 3.0
"""Seconds that open answers may still take when the page is ended."""

_LONGEST_LINGERING = 1.0
"""Seconds that what is still sent after an answer is read and thrown away."""

_LONGEST_PAGE_NAME = 64
"""Letters of the name that a page gives itself: a judgement, far more than ours has."""


class Lanes:
    """The five lanes of one server: quick, soon, late, long and traced."""

    def __init__(self, figures: Figures) -> None:
        """Make the lanes, whose workers price by some figures; `start` starts their processes."""
        # workers, seconds that a job may take, whether a newer one ends it, how nice: a judgement
        quick = Lane(2, 20.0, figures=figures, keeps=KEPT)
        soon = Lane(2, 20.0, True, 5, figures, KEPT)
        late, long = Lane(1, 120.0, True, 10, figures, KEPT), Lane(2, 300.0, True, 10, figures)
        traced = Lane(1, 300.0, True, 15, figures, KEPT)
        self.figures = figures
        self.all = (quick, soon, late, long, traced)
        self.by_task = {
            **dict.fromkeys(QUICK, quick), **dict.fromkeys(SOON, soon),
            **dict.fromkeys(LATE, late), **dict.fromkeys(LONG, long),
            **dict.fromkeys(TRACED, traced),
        }  # fmt: skip

    def start(self) -> None:
        """Start all workers."""
        for lane in self.all:
            lane.start()

    def end(self) -> None:
        """End all workers."""
        for lane in self.all:
            lane.end()


def application(lanes: Lanes, door: Door) -> web.Application:
    """Return the server's application: all that can be asked for, behind its door."""
    from aiohttp import web

    app = web.Application(middlewares=[door.guard()], client_max_size=LARGEST_REQUEST)
    app.on_response_prepare.append(add_headers)
    folder = resources.files("palewright_drawings.page") / "static"
    for place, (name, kind) in FILES.items():
        content = (folder / name).read_bytes()
        app.router.add_get(place, partial(_file, content, kind))
    begin = json.dumps(start_data(lanes.figures), ensure_ascii=False).encode()
    app.router.add_get("/start", partial(_file, begin, "application/json"))
    for task, lane in lanes.by_task.items():
        app.router.add_post(f"/{task}", partial(_job, lane, task))
    return app


async def _file(content: bytes, kind: str, _request: web.Request) -> web.Response:
    """Answer with what never changes."""
    from aiohttp import web

    return web.Response(body=content, content_type=kind, charset="utf-8")


async def _job(lane: Lane, task: str, request: web.Request) -> web.StreamResponse:
    """Answer with what a worker makes of the request."""
    from aiohttp import web

    try:
        asked = _body(await asyncio.wait_for(request.read(), LONGEST_SENDING))
        page, tell = asked.pop("page"), asked.pop("tell", False)
        if tell is True:

            async def job(told: TellPage) -> Reply:
                return await lane.run(page, task, asked, told)

            return await told_answer(request, job, _refused)
        reply = await lane.run(page, task, asked)
    except TimeoutError:
        raise web.HTTPRequestTimeout from None
    except (InputError, Superseded, JobFailed) as error:
        status, told = _refused(error)
        return web.json_response({"error": told}, status=status)
    return web.Response(body=reply.content, content_type=reply.kind)


def _refused(error: Exception) -> tuple[int, dict[str, Any]]:
    """Return the status and what is told of a job without an answer; other errors are raised."""
    if isinstance(error, InputError):
        where = {"message": error.message, "key": error.key, "file": error.file}
        return _UNUSABLE, {**where, "line": error.line}
    if isinstance(error, Superseded):
        return _SUPERSEDED, {"message": "superseded"}
    if isinstance(error, JobFailed):
        return _FAILED, {"message": str(error)}
    raise error


def _body(content: bytes) -> dict[str, Any]:
    """Return a request's JSON object.

    Raises:
        InputError: if it is none, or does not name the open page that sends it.
    """
    try:
        asked = json.loads(content)
        json.dumps(asked, ensure_ascii=False).encode()  # half a character cannot be sent on
    except (ValueError, RecursionError):
        raise InputError("the request is not JSON") from None
    if not isinstance(asked, Mapping) or not isinstance(asked.get("page"), str):
        raise InputError("the request names no page")
    if len(asked["page"]) > _LONGEST_PAGE_NAME:
        raise InputError("the page's name is too long")
    return dict(asked)


async def serve(port: int, ready: Callable[[str], None], figures: Figures | None = None) -> None:
    """Serve the page until cancelled.

    Args:
        port: to listen at; 0: any free one.
        ready: told the page's address once it answers.
        figures: of the shop, and where they come from in words; as shipped by default.

    Raises:
        InputError: if the port is taken.
    """
    from aiohttp import web

    lanes, door = Lanes(figures or kept_figures()), Door()
    logger = logging.getLogger(__name__)
    logger.addFilter(is_our_own)
    runner = web.AppRunner(
        application(lanes, door),
        access_log=None,
        logger=logger,
        handler_cancellation=True,
        keepalive_timeout=LONGEST_SILENCE,
        auto_decompress=False,  # a small body must stay small
        shutdown_timeout=_LONGEST_GOODBYE,
        lingering_time=_LONGEST_LINGERING,  # for what is still sent after an answer
    )
    await runner.setup()
    try:
        assert runner.server is not None
        await door.open(runner.server, port)
        lanes.start()
        ready(door.address)
        await asyncio.Event().wait()
    finally:
        door.close()
        lanes.end()
        await runner.cleanup()
