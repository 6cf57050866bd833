"""From an override over HTTP to its receipt at the heater, against the naked path of the same libraries.

    python tests/bench/override.py [--count 300] [--times 5]

The promise is a 99th percentile within 10 ms of the naked path's. Both run in turn in the same minute.
"""

from __future__ import annotations

import argparse
import http.client
import json
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

import paho.mqtt.client as mqtt
from common import broker, house

from harness import Daemon, ingle, until

TOPIC = "ingle/heater/heater-1/wanted"


class Heater:
    """An outside client that notes when an order with a certain temperature arrives."""

    def __init__(self, port: int) -> None:
        self._arrived = threading.Event()
        self._wanted_c = 0.0
        self.at = 0.0
        self._client = mqtt.Client(mqtt.CallbackAPIVersion.VERSION2, client_id="bench-heater")
        self._client.on_socket_open = lambda _c, _d, sock: sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        self._client.on_message = self._heard
        self._client.connect("127.0.0.1", port)
        self._client.subscribe(TOPIC, qos=1)
        self._client.loop_start()

    def _heard(self, _client: object, _data: object, message: mqtt.MQTTMessage) -> None:
        if json.loads(message.payload)["setpoint_c"] == self._wanted_c:
            self.at = time.perf_counter()
            self._arrived.set()

    def expect(self, temp_c: float) -> None:
        """Wait for this temperature from now on."""
        self._arrived.clear()
        self._wanted_c = temp_c

    def wait(self) -> float:
        """Return when it arrived."""
        if not self._arrived.wait(10):
            raise AssertionError("the order did not arrive within 10 s")
        return self.at

    def close(self) -> None:
        """Leave."""
        self._client.disconnect()
        self._client.loop_stop()


def latencies_ms(page: str, heater: Heater, count: int) -> list[float]:
    """Return the time of each override from request to receipt [ms]."""
    address = page.removeprefix("http://").rstrip("/")
    connection = http.client.HTTPConnection(address)
    connection.connect()
    connection.sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
    found = []
    for number in range(count):
        temp_c = 18.0 + number % 40 / 10
        body = json.dumps({"do": "override", "temp_c": temp_c, "for": "PT1H"})
        heater.expect(temp_c)
        begun = time.perf_counter()
        connection.request("POST", "/api/zones/room-1/overrides", body, {"Content-Type": "application/json"})
        answer = connection.getresponse()
        if answer.status >= 300:
            raise AssertionError(answer.read().decode())
        answer.read()
        found.append((heater.wait() - begun) * 1000)
    connection.close()
    return found


def naked(port: int, heater: Heater, count: int) -> list[float]:
    """Measure the naked path."""
    script = str(Path(__file__).parent / "floor_override.py")
    with subprocess.Popen([sys.executable, script, str(port)], stdout=subprocess.PIPE) as bare:
        assert bare.stdout is not None
        page = bare.stdout.readline().decode().split()[1]
        found = latencies_ms(page, heater, count)
        bare.kill()
    return found


def ours(url: str, heater: Heater, count: int) -> list[float]:
    """Measure the daemon."""
    with tempfile.TemporaryDirectory() as folder:
        db = Path(folder) / "ingle.db"
        (Path(folder) / "house.toml").write_text(house(1))
        ingle("house", "load", str(Path(folder) / "house.toml"), "--db", str(db))
        with Daemon(db, "--broker", url) as daemon:
            daemon.ready()
            until(lambda: daemon.get("/api/house/now")["broker"] == "up", "the link is up")
            found = latencies_ms(daemon.page, heater, count)
            daemon.stop()
    return found


def p99(values: list[float]) -> float:
    """Return the 99th percentile."""
    return statistics.quantiles(values, n=100)[98]


def main() -> int:
    """Run from the command line."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--count", type=int, default=300)
    options.add_argument("--times", type=int, default=5)
    chosen = options.parse_args()
    mine, bare = [], []
    with broker() as mosquitto:
        heater = Heater(mosquitto.port)
        for _ in range(chosen.times):
            bare.append(naked(mosquitto.port, heater, chosen.count))
            mine.append(ours(mosquitto.url, heater, chosen.count))
        heater.close()
    extra = statistics.median(map(p99, mine)) - statistics.median(map(p99, bare))
    line = {
        "bench": "override to heater",
        "ours p50/p99 ms": [round(statistics.median(map(f, mine)), 2) for f in (statistics.median, p99)],
        "naked p50/p99 ms": [round(statistics.median(map(f, bare)), 2) for f in (statistics.median, p99)],
        "ratio p99": round(statistics.median(map(p99, mine)) / statistics.median(map(p99, bare)), 2),
        "extra p99 ms": round(extra, 2),
        "limit ms": 10,
        "ok": extra <= 10,
    }
    sys.stdout.write(json.dumps(line) + "\n")
    return 0 if extra <= 10 else 1


if __name__ == "__main__":
    sys.exit(main())
