"""Fixtures that need the real thing: a mosquitto of our own on a free loopback port."""

from __future__ import annotations

import contextlib
import itertools
import os
import shutil
import socket
import subprocess
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

# How long an example takes says something of the machine, not of the code.
settings.register_profile("ingle", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("ingle")

# mosquitto started by root gives up its rights and could then not write into a test folder.
AS_ROOT = "user root\n" if os.geteuid() == 0 else ""


#: Ports that only we hand out: below those that the kernel gives to whoever asks for any (32768 and up), and a
#: stretch for each of the processes that tests may be spread over. Chosen by probing alone, two could get the same.
_STRETCH = 1000
_ours = itertools.cycle(range(_STRETCH))


def free_port() -> int:
    """Return a TCP port on loopback that is free, and that no other test will be given for a long while."""
    worker = int(os.environ.get("PYTEST_XDIST_WORKER", "gw0").removeprefix("gw")) % 10
    for step in itertools.islice(_ours, _STRETCH):
        port = 20_000 + worker * _STRETCH + step
        with socket.socket() as probe, contextlib.suppress(OSError):
            probe.bind(("127.0.0.1", port))
            return port
    raise OSError("no port is free for a test's broker")


@dataclass
class Broker:
    """A mosquitto process that a test may stop, kill and start again."""

    folder: Path
    port: int = field(default_factory=free_port)
    settings: str = ""
    anonymous: bool = True
    process: subprocess.Popen[bytes] | None = None

    @property
    def url(self) -> str:
        """Where clients connect."""
        return f"mqtt://127.0.0.1:{self.port}"

    def start(self) -> None:
        """Start it and wait until it accepts connections."""
        conf = self.folder / "mosquitto.conf"
        conf.write_text(
            f"listener {self.port} 127.0.0.1\nallow_anonymous {str(self.anonymous).lower()}\n{AS_ROOT}{self.settings}\n"
        )
        binary = shutil.which("mosquitto") or "/usr/sbin/mosquitto"
        self.process = subprocess.Popen(
            [binary, "-c", str(conf)], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=self.folder
        )
        deadline = time.monotonic() + 10
        while True:
            try:
                socket.create_connection(("127.0.0.1", self.port), 0.2).close()
            except OSError:
                if time.monotonic() > deadline or self.process.poll() is not None:
                    raise
                continue
            return

    def stop(self, *, kill: bool = False) -> None:
        """End it: politely, or as a power cut would."""
        if self.process is None:
            return
        if kill:
            self.process.kill()
        else:
            self.process.terminate()
        self.process.wait(10)
        self.process = None


@pytest.fixture(name="broker")
def _broker(tmp_path: Path) -> Iterator[Broker]:
    folder = tmp_path / "broker"
    folder.mkdir()
    folder.chmod(0o777)
    broker = Broker(folder)
    broker.start()
    yield broker
    broker.stop()
