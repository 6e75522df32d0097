"""Who may talk to the page: this computer's browser, with the page itself open, and nobody else."""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from aiohttp import web

ADDRESS = "127.0.0.1"
LARGEST_REQUEST = 512 * 1024
"""Bytes of a request: a variant file is at most half as large."""

HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; "
        "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
    "Server": "palewright",
}
"""Sent with every answer: nothing but our own files runs, and nothing is fetched elsewhere; whose
version answers is nobody's business."""


def refusal(headers: Callable[[str], str | None], method: str, port: int) -> str:
    """Return why a request is refused, or nothing.

    A foreign site can make the browser send a request here, or point a name of its own at this
    address; the Host and Origin that the browser then sends give it away.

    Args:
        headers: gives a header by name, or None.
        method: of the request.
        port: that the page listens at.
    """
    hosts = {f"{ADDRESS}:{port}", f"localhost:{port}"}
    if headers("Host") not in hosts:
        return "this page answers to its own address only"
    origin = headers("Origin")
    if origin is not None and origin not in {f"http://{host}" for host in hosts}:
        return "requests of another site are refused"
    if headers("Sec-Fetch-Site") not in (None, "same-origin", "none"):
        return "requests of another site are refused"
    if method == "POST" and headers("Content-Type") != "application/json":
        return "takes JSON only"
    return ""


def is_our_own(record: logging.LogRecord) -> bool:
    """Return whether what went wrong is worth a line in the terminal: a broken request is not."""
    from aiohttp.http_exceptions import HttpProcessingError

    error = record.exc_info[1] if record.exc_info else None
    return not isinstance(error, HttpProcessingError)


async def add_headers(_request: web.Request, response: web.StreamResponse) -> None:
    """Put the headers on an answer."""
    response.headers.update(HEADERS)
