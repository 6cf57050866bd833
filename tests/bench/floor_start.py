"""A bare process of the four libraries: open a database, listen, connect, say so, then idle. ``PORT DB``."""

from __future__ import annotations

import asyncio
import sqlite3
import sys

# sqlite_utils imports numpy wherever it is installed; the floor goes without, which makes it lower.
sys.modules["numpy"] = None  # type: ignore[assignment]

import apscheduler.schedulers.asyncio  # noqa: E402 - after numpy is put out of reach
import paho.mqtt.client as mqtt  # noqa: E402 - likewise
import sqlite_utils  # noqa: E402 - likewise
from aiohttp import web  # noqa: E402 - likewise


async def main(port: int, path: str) -> None:
    """Start everything, say ready, idle until killed."""
    database = sqlite_utils.Database(sqlite3.connect(path))
    database["reading"].create({"t": int, "value": float}, pk="t", if_not_exists=True)
    scheduler = apscheduler.schedulers.asyncio.AsyncIOScheduler()
    scheduler.start()
    connected = asyncio.Event()
    loop = asyncio.get_running_loop()
    client = mqtt.Client(mqtt.CallbackAPIVersion.VERSION2, client_id="bare")
    client.on_connect = lambda *_: loop.call_soon_threadsafe(connected.set)
    client.connect("127.0.0.1", port)
    client.loop_start()
    runner = web.AppRunner(web.Application())
    await runner.setup()
    await web.TCPSite(runner, "127.0.0.1", 0).start()
    await connected.wait()
    sys.stdout.write("ready\n")
    sys.stdout.flush()
    await asyncio.Event().wait()


if __name__ == "__main__":
    asyncio.run(main(int(sys.argv[1]), sys.argv[2]))
