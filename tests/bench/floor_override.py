"""The naked path that an override is compared with: an aiohttp handler publishing with paho. ``PORT``: the broker."""

from __future__ import annotations

import asyncio
import json
import socket
import sys

import paho.mqtt.client as mqtt
from aiohttp import web


def nodelay(_client: object, _data: object, sock: socket.socket) -> None:
    """Send at once, as the daemon does."""
    sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)


async def main(port: int) -> None:
    """Serve until killed."""
    client = mqtt.Client(mqtt.CallbackAPIVersion.VERSION2, client_id="naked")
    client.on_socket_open = nodelay
    client.connect("127.0.0.1", port)
    client.loop_start()

    async def override(request: web.Request) -> web.Response:
        body = json.loads(await request.read())
        order = {"setpoint_c": body["temp_c"], "limit_w": 2000}
        client.publish("ingle/heater/heater-1/wanted", json.dumps(order), qos=1, retain=True)
        return web.json_response(order)

    app = web.Application()
    app.router.add_post("/api/zones/room-1/overrides", override)
    runner = web.AppRunner(app, access_log=None)
    await runner.setup()
    site = web.TCPSite(runner, "127.0.0.1", 0)
    await site.start()
    sys.stdout.write(f"page http://127.0.0.1:{runner.addresses[0][1]}/\n")
    sys.stdout.flush()
    await asyncio.Event().wait()


if __name__ == "__main__":
    asyncio.run(main(int(sys.argv[1])))
