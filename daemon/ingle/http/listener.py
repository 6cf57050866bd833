"""From sockets to the application: listening, limits on connections, and stopping in time.

Rules of this file: what comes in on a socket may be anything, and none of it may put a traceback into the log, hold a
connection for ever or keep ingle from stopping. aiohttp's own protocol does the reading; here it only gets limits and
a shorter voice.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final, Self

from aiohttp import web

from ingle.errors import Unreachable
from ingle.http.problems import answer, one_line, problem
from ingle.http.unix import bind

log = logging.getLogger(__name__)

#: Connections at once; the pages of a house need a few dozen.
CONNECTIONS_MAX: Final = 256
#: How long a connection may be idle, or take for the head of its request [s].
IDLE_S: Final = 20.0
#: How long requests that are being answered are waited for at the end [s].
SHUTDOWN_S: Final = 2.0

_OPTIONS: Final[dict[str, Any]] = {
    "access_log": None,
    "keepalive_timeout": IDLE_S,
    "lingering_time": 2.0,
    # Bodies that come packed are refused, not unpacked.
    "auto_decompress": False,
    "logger": log,
}


class _Connection(web.RequestHandler):
    """One connection."""

    __slots__ = ()

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        super().connection_made(transport)
        if self._manager is not None and len(self._manager.connections) > CONNECTIONS_MAX:
            self.force_close()

    def handle_error(
        self,
        request: web.BaseRequest,
        status: int = 500,
        exc: BaseException | None = None,
        message: str | None = None,
    ) -> web.StreamResponse:
        """Answer what is not HTTP, or what failed outside every handler."""
        del message  # It quotes what came.
        if isinstance(exc, ConnectionError):
            log.debug("the sender hung up in the middle: %s", type(exc).__name__)
        elif exc is not None and status >= 500:
            log.error("a request failed: %s", one_line(exc))
        else:
            log.debug("what came is not HTTP: %s", type(exc).__name__)
        if request.writer.output_size > 0:
            raise ConnectionError("the answer has begun already")
        said = "the request is not HTTP that ingle understands" if status < 500 else "something in ingle failed"
        refused = answer(problem(status, said))
        refused.force_close()
        # No application is in play here that would do it.
        refused.headers["Server"] = ""
        return refused

    def log_exception(self, *args: Any, **kw: Any) -> None:  # noqa: ANN401 - the signature is aiohttp's
        """Say an exception in one line."""
        error = kw.get("exc_info")
        words = one_line(error) if isinstance(error, BaseException) else " ".join(str(arg) for arg in args[:1])
        log.error("a connection failed: %s", words)


class _Server(web.Server):
    """Makes our connections."""

    def __call__(self) -> web.RequestHandler:
        return _Connection(self, loop=asyncio.get_running_loop(), **_OPTIONS)


class _Runner(web.AppRunner):
    """Starts an application behind our server."""

    async def _make_server(self) -> web.Server:
        plain = await super()._make_server()
        return _Server(plain.request_handler, request_factory=plain.request_factory)


class Listener:
    """The open sockets."""

    def __init__(self) -> None:
        self._runners: list[web.AppRunner] = []
        self._undo: list[Callable[[], None]] = []
        self.port = 0
        self.page = ""
        self.app: web.Application | None = None

    async def add_tcp(self, app: web.Application, host: str, port: int) -> None:
        """Serve an application on an address that ``guard.check_listen`` has passed.

        Raises
        ------
        Unreachable
            Where it is taken.
        """
        runner = await self._runner(app)
        try:
            site = web.TCPSite(runner, host, port, reuse_address=True)
            await site.start()
        except OSError as error:
            raise Unreachable(f"listen: {host}:{port} cannot be used: {error.strerror or error}") from error
        self.app = app
        self.port = runner.addresses[0][1]
        self.page = f"http://{f'[{host}]' if ':' in host else host}:{self.port}/"

    async def add_unix(self, app: web.Application, path: Path) -> None:
        """Serve an application on a socket that only this user can open.

        Raises
        ------
        Unreachable
            Where the socket cannot be made.
        """
        runner = await self._runner(app)
        try:
            listening = bind(path)
        except OSError as error:
            raise Unreachable(f"{path}: the socket cannot be made: {error.strerror or error}") from error
        self._undo.append(lambda: path.unlink(missing_ok=True))
        await web.SockSite(runner, listening).start()

    async def _runner(self, app: web.Application) -> web.AppRunner:
        runner = _Runner(app, shutdown_timeout=SHUTDOWN_S)
        self._runners.append(runner)
        await runner.setup()
        return runner

    async def close(self) -> None:
        """Stop listening, let running requests end, and go."""
        while self._undo:
            self._undo.pop()()
        await asyncio.gather(*(runner.cleanup() for runner in self._runners))
        self._runners.clear()

    async def __aenter__(self) -> Self:
        return self

    async def __aexit__(self, *_: object) -> None:
        await self.close()
