"""Answers that tell how far a job is: lines of JSON, then the bytes that came of it.

Each line before the last is ``{"doing", "done", "total"}``, or ``{"part"}``: what is found so far,
to be shown where the job comes to no end. The last is ``{"kind", "bytes"}``, and
that many bytes follow it, or ``{"error", "status"}``, with which the answer ends.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import Awaitable, Callable, Mapping
from typing import TYPE_CHECKING, Any

from palewright_drawings.page.jobs.replies import Reply
from palewright_drawings.page.jobs.workers import TellPage

if TYPE_CHECKING:
    from aiohttp import web

KIND = "application/x-palewright-told"


def _line(said: Mapping[str, Any]) -> bytes:
    """Return one line of the answer."""
    return json.dumps(said, ensure_ascii=False).encode() + b"\n"


async def told_answer(
    request: web.Request,
    job: Callable[[TellPage], Awaitable[Reply]],
    refused: Callable[[Exception], tuple[int, dict[str, Any]]],
) -> web.StreamResponse:
    """Answer with what a job tells, then with what it makes; it is ended where the page goes.

    Args:
        request: to answer.
        job: starts the job with what it is to tell; it tells from any thread.
        refused: gives status and error of what the job raises, or raises it again.
    """
    from aiohttp import web

    loop = asyncio.get_running_loop()
    waiting: asyncio.Queue[Mapping[str, Any] | None] = asyncio.Queue()

    def tell(said: Mapping[str, Any]) -> None:
        loop.call_soon_threadsafe(waiting.put_nowait, said)

    response = web.StreamResponse(headers={"Content-Type": KIND})
    await response.prepare(request)
    working = asyncio.ensure_future(job(tell))
    working.add_done_callback(lambda _: waiting.put_nowait(None))
    try:
        await response.write(_line({"doing": "waiting for its turn", "done": 0, "total": 1}))
        while (said := await waiting.get()) is not None:
            await response.write(_line(said))
        try:
            reply = working.result()
        except Exception as error:
            status, told = refused(error)
            await response.write(_line({"error": told, "status": status}))
        else:
            await response.write(_line({"kind": reply.kind, "bytes": len(reply.content)}))
            await response.write(reply.content)
    finally:
        working.cancel()
    await response.write_eof()
    return response
