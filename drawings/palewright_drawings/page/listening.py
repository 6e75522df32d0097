"""The page's door: where it listens, who is let in, and how many at once."""

from __future__ import annotations

import asyncio
import errno
from typing import TYPE_CHECKING

from palewright.reading.errors import InputError
from palewright_drawings.page.request_guard import ADDRESS, refusal

if TYPE_CHECKING:
    from aiohttp import web
    from aiohttp.typedefs import Handler, Middleware

MOST_LINKS = 120
"""Connections at once: a browser holds six, and some systems give a process 256 files in all."""

_TROUBLES = {errno.EADDRINUSE: "is taken", errno.EACCES: "is reserved by the system"}


class Door:
    """Listens on loopback; where connections are too many, the one that idles longest goes."""

    def __init__(self) -> None:
        """Make a door that is still closed."""
        self.port = 0
        self._busy: set[object] = set()
        self._server: web.Server | None = None
        self._listener: asyncio.Server | None = None

    @property
    def address(self) -> str:
        """Where the page is found."""
        return f"http://{ADDRESS}:{self.port}/"

    async def open(self, server: web.Server, port: int) -> None:
        """Listen for a server at a port; 0: any free one.

        Raises:
            InputError: if the port cannot be had.
        """
        self._server = server
        try:
            loop = asyncio.get_running_loop()
            self._listener = await loop.create_server(self._link, ADDRESS, port)
        except OSError as error:
            why = _TROUBLES.get(error.errno or 0, f"cannot be used ({error.strerror})")
            raise InputError(
                f"port {port} {why}; take another one, or 0 for any that is free", key="--port"
            ) from None
        self.port = self._listener.sockets[0].getsockname()[1]

    def close(self) -> None:
        """Let nobody in any more."""
        if self._listener is not None:
            self._listener.close()

    def _link(self) -> web.RequestHandler:
        """Return what serves a new connection."""
        assert self._server is not None
        asyncio.get_running_loop().call_later(0, self._thin_out)  # once it is connected
        return self._server()

    def _thin_out(self) -> None:
        """Put out the oldest connections at which nothing is done, as many as are too many."""
        assert self._server is not None
        links = self._server.connections
        idle = [link for link in links if link not in self._busy]
        for link in idle[: max(0, len(links) - MOST_LINKS)]:
            if link.transport is not None:
                link.transport.abort()

    def guard(self) -> Middleware:
        """Return the middleware that refuses requests which are not the page's own."""
        from aiohttp import web

        @web.middleware
        async def look(request: web.Request, handler: Handler) -> web.StreamResponse:
            """Refuse, or hand on."""
            why = refusal(request.headers.get, request.method, self.port)
            if why:
                return web.json_response({"error": {"message": why}}, status=403)
            self._busy.add(request.protocol)
            try:
                return await handler(request)
            finally:
                self._busy.discard(request.protocol)

        return look
