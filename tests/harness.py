"""Run the real daemon as a process of its own, as a service manager would; used by tests, benches and long proofs."""

from __future__ import annotations

import json
import os
import selectors
import signal
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, Self


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
        self, db: Path, *words: str, environ: Mapping[str, str] | None = None, prefix: tuple[str, ...] = ()
    ) -> None:
        self.db = db
        self.log = db.with_suffix(".log")
        self.page = ""
        with self.log.open("ab") as log:
            self.process = subprocess.Popen(
                [*prefix, sys.executable, "-m", "ingle", "serve", "--db", str(db), "--listen", "127.0.0.1:0", *words],
                stdout=subprocess.PIPE,
                stderr=log,
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
