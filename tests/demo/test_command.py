"""``ingle demo`` as a person starts it."""

from __future__ import annotations

import json
import os
import queue
import signal
import socket
import sqlite3
import subprocess
import sys
import threading
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import pytest


class Demo:
    """A demo in a process of its own."""

    def __init__(self, folder: Path, *words: str) -> None:
        self.said: dict[str, str] = {}
        self.process = subprocess.Popen(
            [sys.executable, "-m", "ingle", "demo", *words],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            env={**os.environ, "TMPDIR": str(folder)},
        )
        self._lines: queue.Queue[str] = queue.Queue()
        self._listener = threading.Thread(target=self._listen)
        self._listener.start()

    def _listen(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self._lines.put(line)
        self._lines.put("")

    def wait_ready(self, seconds: float = 60.0) -> None:
        """Read what it says until it says where the page is."""
        deadline = time.monotonic() + seconds
        while "page" not in self.said:
            line = self._lines.get(timeout=max(0.1, deadline - time.monotonic()))
            assert line, f"it ended, having said {self.said}"
            word, _, rest = line.strip().partition(" ")
            self.said[word] = rest.strip()

    def ask(self, path: str, body: dict[str, Any] | None = None) -> Any:
        """Ask the API."""
        data = None if body is None else json.dumps(body).encode()
        request = urllib.request.Request(self.said["page"] + path, data, {"Content-Type": "application/json"})
        with urllib.request.urlopen(request, timeout=10) as answer:
            return json.load(answer)

    def until(self, path: str, fits: Callable[[Any], bool], seconds: float = 10.0) -> Any:
        """Ask again and again until the answer fits."""
        deadline = time.monotonic() + seconds
        while not fits(answer := self.ask(path)):
            assert time.monotonic() < deadline, f"{path} still answers {answer}"
        return answer

    def end(self) -> tuple[int, str]:
        """Wait for its end; return the exit code and what it complained of."""
        code = self.process.wait(30)
        assert self.process.stderr is not None
        return code, self.process.stderr.read()

    def leave(self) -> None:
        """End it if it still runs, and forget it."""
        self.process.kill()
        self.process.wait()
        self._listener.join()
        for stream in (self.process.stdout, self.process.stderr):
            assert stream is not None
            stream.close()


@contextmanager
def demo(folder: Path, *words: str) -> Iterator[Demo]:
    """Run a demo, and leave none behind."""
    one = Demo(folder, *words)
    try:
        yield one
    finally:
        one.leave()


def setpoints(answer: Any, zone_id: str) -> set[float | None]:
    """Return what the heaters of a zone say that they hold."""
    zone = next(zone for zone in answer["zones"] if zone["id"] == zone_id)
    return {heater["setpoint_c"] for heater in zone["heaters"]}


def test_runs_shows_the_house_and_stops_by_itself(tmp_path: Path) -> None:
    """It makes a folder, fills it, answers at the page it names, obeys an override, and ends with 0 after its time."""
    with demo(tmp_path, "--weeks", "0.2", "--speed", "60", "--seconds", "10") as one:
        one.wait_ready()
        started = time.monotonic()
        database = Path(one.said["data"])
        assert database.is_relative_to(tmp_path)
        one.ask("api/zones/room-7/overrides", {"do": "override", "temp_c": 23.5, "for": "PT90M"})
        zones = one.until("api/zones", lambda answer: setpoints(answer, "room-7") == {23.5})["zones"]
        assert len(zones) == 13
        one.until("api/zones", lambda answer: all(zone["quality"] == "metered" for zone in answer["zones"]))
        one.until("api/notices", lambda answer: any(notice["zone"] == "hall" for notice in answer["notices"]))
        code, complaints = one.end()
        assert (code, complaints) == (0, "")
        assert 9 < time.monotonic() - started < 30
    with closing(sqlite3.connect(database)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)


def test_takes_a_free_port_and_stops_when_told(tmp_path: Path) -> None:
    """With 8470 taken it answers elsewhere; SIGTERM ends it cleanly."""
    with socket.socket() as squatter:
        squatter.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            squatter.bind(("127.0.0.1", 8470))
            squatter.listen()
        except OSError:
            pass  # somebody else has it: just as taken
        with demo(tmp_path, "--weeks", "0.02", "--db", str(tmp_path / "own.db")) as one:
            one.wait_ready()
            assert not one.said["page"].endswith(":8470/")
            assert (tmp_path / "own.db").exists()
            one.process.send_signal(signal.SIGTERM)
            assert one.end() == (0, "")


@pytest.mark.parametrize(
    ("words", "saying"),
    [
        (["--db", "{folder}/there"], "does not exist yet"),
        (["--db", "{folder}/nowhere/x.db"], "a folder that exists"),
        (["--speed", "0"], "--speed"),
        (["--weeks", "-1"], "--weeks"),
        (["--seconds", "soon"], "--seconds"),
    ],
)
def test_wrong_words_are_refused(tmp_path: Path, words: list[str], saying: str) -> None:
    """A database that exists, a folder that does not, or a number out of range: one sentence, exit code 2."""
    (tmp_path / "there").write_text("something else")
    with demo(tmp_path, *[word.format(folder=tmp_path) for word in words]) as one:
        code, complaints = one.end()
    assert code == 2
    assert saying in complaints
    assert "Traceback" not in complaints
