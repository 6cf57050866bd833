"""amqtt's broker, with every connection closed when it ends. Loaded only where a broker is started (150 ms, 15 MB)."""

from __future__ import annotations

import asyncio
import logging
from contextlib import suppress

from amqtt.broker import Broker

logger = logging.getLogger(__name__)

#: How often connections are ended while the broker stops [s].
_ABORT_S = 0.05


class EmbeddedBroker(Broker):  # type: ignore[misc]  # amqtt ships no types
    """A broker that leaves no socket behind, and no traceback in the log.

    Left to itself it forgets connections that come in while it shuts down, or that never said who they are, and lets
    errors of a socket that is already gone escape to the event loop.
    """

    def __init__(self, config: dict[str, object]) -> None:
        super().__init__(config)
        self._serving: dict[asyncio.Task[None], asyncio.StreamWriter] = {}

    async def stream_connected(
        self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter, listener_name: str
    ) -> None:
        """Serve one connection to its end, then close it whatever happened."""
        task = asyncio.current_task()
        if task is not None:
            self._serving[task] = writer
            task.add_done_callback(self._serving.pop)
        try:
            await super().stream_connected(reader, writer, listener_name)
        except Exception:
            # Whatever one client's bytes set off inside the broker concerns that client only.
            logger.debug("a connection ended in an error", exc_info=True)
        finally:
            writer.close()
            # The future behind this is shared with the broker's own tasks: when they are cancelled, so is it.
            with suppress(OSError, asyncio.CancelledError):
                await writer.wait_closed()

    async def shutdown(self) -> None:
        """Stop, and wait until the last connection is closed.

        From Python 3.12 on a server waits for its connections to end by themselves, so they are ended again and again
        while it stops: one may have been accepted just now.
        """
        stopping = asyncio.ensure_future(super().shutdown())
        while self._serving or not stopping.done():
            for writer in self._serving.values():
                writer.transport.abort()
            await asyncio.wait({stopping, *self._serving}, timeout=_ABORT_S, return_when=asyncio.FIRST_COMPLETED)
        await stopping

    @property
    def port(self) -> int:
        """Where it listens."""
        server: asyncio.Server = self._servers["default"].instance
        port: int = server.sockets[0].getsockname()[1]
        return port
