"""An MQTT broker inside the process, on loopback: for the demo and first evenings, never for a home.

It speaks MQTT 3.1.1 only, keeps nothing on disk, and delivers nothing to a session that was resumed; whoever connects
subscribes anew. Homes run mosquitto with ``config/mosquitto.conf``.
"""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING

from ingle.errors import Unreachable

if TYPE_CHECKING:
    from ingle.demo.embedded import EmbeddedBroker

LOOPBACK = "127.0.0.1"


class Broker:
    """A running embedded broker. ``port`` is where it listens on 127.0.0.1."""

    def __init__(self, inner: EmbeddedBroker) -> None:
        self._inner = inner
        self.port = inner.port

    @property
    def url(self) -> str:
        """Where clients connect."""
        return f"mqtt://{LOOPBACK}:{self.port}"

    async def stop(self) -> None:
        """Close all connections and the listener."""
        await self._inner.shutdown()


async def start_broker(port: int = 0) -> Broker:
    """Start a broker on 127.0.0.1; port 0 takes a free one.

    Raises
    ------
    Unreachable
        If the port is taken.
    """
    from amqtt.errors import BrokerError  # noqa: PLC0415 - costs 150 ms and 15 MB, and only the demo needs it

    from ingle.demo.embedded import EmbeddedBroker  # noqa: PLC0415 - likewise

    _quieten()
    inner = EmbeddedBroker(
        {
            "listeners": {"default": {"type": "tcp", "bind": f"{LOOPBACK}:{port}", "max_connections": 100}},
            # Named one by one, since what it would load by default asks for passwords and publishes statistics.
            "plugins": {"amqtt.plugins.authentication.AnonymousAuthPlugin": {"allow_anonymous": True}},
        }
    )
    try:
        await inner.start()
    except BrokerError as error:
        raise Unreachable(f"the embedded broker cannot listen on {LOOPBACK}:{port}: {error}") from error
    return Broker(inner)


def _quieten() -> None:
    """Let the broker's libraries speak only of what they cannot mend."""
    for name in ("amqtt", "transitions", "websockets"):
        logging.getLogger(name).setLevel(logging.CRITICAL)
