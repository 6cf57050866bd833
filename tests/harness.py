"""Run the real daemon as a process of its own, as a service manager would; used by tests, benches and long proofs."""

from __future__ import annotations

import json
import os
import selectors
import signal
import subprocess
import sys
import threading
import time
import urllib.request
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Self

import paho.mqtt.client as mqtt

SMALL_HOUSE = """
[house]
name = "Two Rooms"
timezone = "UTC"
outdoor_design_c = -2.0

[[zone]]
id = "north"
name = "North room"
floor_area_m2 = 12.0
volume_m3 = 28.8
given_w_per_k = 40.0
[[zone.heater]]
id = "north-1"
rated_w = 2000

[[zone]]
id = "south"
name = "South room"
floor_area_m2 = 12.0
volume_m3 = 28.8
given_w_per_k = 30.0
[[zone.heater]]
id = "south-1"
rated_w = 1500
"""


def until(true: Callable[[], bool], what: str, *, seconds: float = 20.0, every: float = 0.02) -> None:
    """Wait for a condition of another process, up to a deadline that says what did not come."""
    deadline = time.monotonic() + seconds
    while not true():
        if time.monotonic() > deadline:
            raise AssertionError(f"did not happen within {seconds} s: {what}")
        time.sleep(every)


class Daemon:
    """An ``ingle serve`` process."""

    def __init__(
        self, db: Path, *words: str, environ: Mapping[str, str] | None = None, log: Path | None = None
    ) -> None:
        self.db = db
        self.log = log or db.with_suffix(".log")
        self.page = ""
        with self.log.open("ab") as errors:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "ingle", "serve", "--db", str(db), "--listen", "127.0.0.1:0", *words],
                stdout=subprocess.PIPE,
                stderr=errors,
                env={**os.environ, **(environ or {})},
            )

    def ready(self, seconds: float = 30.0) -> Self:
        """Wait for the line that says where the page is."""
        stdout = self.process.stdout
        assert stdout is not None
        with selectors.DefaultSelector() as selector:
            selector.register(stdout, selectors.EVENT_READ)
            deadline = time.monotonic() + seconds
            while not self.page:
                if not selector.select(max(0.0, deadline - time.monotonic())):
                    raise AssertionError(f"not ready within {seconds} s: {self.log.read_text()[-2000:]}")
                line = stdout.readline().decode()
                if not line:
                    raise AssertionError(f"ended before it was ready: {self.log.read_text()[-2000:]}")
                if line.startswith("page "):
                    self.page = line.split()[1].rstrip("/")
        return self

    def get(self, path: str) -> Any:
        """Return the JSON behind a path."""
        with urllib.request.urlopen(self.page + path, timeout=20) as answer:
            return json.load(answer)

    def post(self, path: str, body: object) -> Any:
        """Post JSON and return the JSON that comes back."""
        request = urllib.request.Request(
            self.page + path, json.dumps(body).encode(), {"Content-Type": "application/json"}, method="POST"
        )
        with urllib.request.urlopen(request, timeout=20) as answer:
            return json.load(answer)

    def kill(self) -> None:
        """End it as a power cut would."""
        self.process.kill()
        self._gone(10)

    def stop(self, seconds: float = 10.0) -> int:
        """End it politely and return its exit code; longer than the promised 10 s is an error."""
        self.process.send_signal(signal.SIGTERM)
        return self._gone(seconds)

    def _gone(self, seconds: float) -> int:
        code = self.process.wait(seconds)
        if self.process.stdout is not None:
            self.process.stdout.close()
        return code

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        if self.process.poll() is None:
            self.kill()
        elif self.process.stdout is not None:
            self.process.stdout.close()


def ingle(*words: str, **options: Any) -> subprocess.CompletedProcess[str]:
    """Run a verb and return what it said."""
    return subprocess.run(
        [sys.executable, "-m", "ingle", *words], capture_output=True, text=True, check=False, timeout=120, **options
    )


@dataclass
class Outside:
    """A client that is not ours: it publishes, and keeps the last message of each topic that it hears."""

    port: int
    heard: dict[str, Any] = field(default_factory=dict)
    flags: dict[str, bool] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._lock = threading.Lock()
        self._client = mqtt.Client(mqtt.CallbackAPIVersion.VERSION2)
        self._client.on_message = self._message
        self._client.on_connect = lambda client, *_: client.subscribe("ingle/#", qos=1)
        # What is published before the broker has the subscription may be answered before anybody listens.
        listening = threading.Event()
        self._client.on_subscribe = lambda *_: listening.set()
        self._client.reconnect_delay_set(1, 1)
        self._client.connect("127.0.0.1", self.port)
        self._client.loop_start()
        if not listening.wait(10):
            raise TimeoutError("the broker does not answer a subscription")

    def _message(self, _client: object, _data: object, message: mqtt.MQTTMessage) -> None:
        with self._lock:
            try:
                self.heard[message.topic] = json.loads(message.payload)
            except (ValueError, RecursionError):
                self.heard[message.topic] = message.payload.decode(errors="replace")

    def publish(self, topic: str, body: object, *, qos: int = 1, retain: bool = False) -> None:
        """Publish JSON (or bytes as they are) and wait until the broker has it."""
        payload = body if isinstance(body, bytes) else json.dumps(body)
        self._client.publish(topic, payload, qos=qos, retain=retain).wait_for_publish(10)

    def wanted(self, heater: str) -> dict[str, Any]:
        """Return the last order to a heater, empty if none came."""
        order: dict[str, Any] = self.heard.get(f"ingle/heater/{heater}/wanted", {}) or {}
        return order

    def close(self) -> None:
        """Leave."""
        self._client.disconnect()
        self._client.loop_stop()
        self._client.on_message = None  # else client and we hold each other, sockets and all
