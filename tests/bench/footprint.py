"""Idle memory with 31 heaters, and time from start to ready, against a bare process of the same four libraries.

    python tests/bench/footprint.py [--times 5]

The promises: at most 1.4 times the memory, at most 2 times the time; numpy is not loaded.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import psutil
from common import HEATERS, broker, house, publish, repeat, verdict

from harness import Daemon, ingle, until


def rss_mb(pid: int) -> float:
    """Return the resident memory of a process [MB]."""
    return float(psutil.Process(pid).memory_info().rss) / 1e6


def loads_numpy(pid: int) -> bool:
    """Whether a process has numpy's compiled core mapped."""
    return "numpy" in Path(f"/proc/{pid}/maps").read_text()


def floor(port: int) -> tuple[float, float]:
    """Return seconds to ready and idle memory of the bare process."""
    with tempfile.TemporaryDirectory() as folder:
        words = [sys.executable, str(Path(__file__).parent / "floor_start.py"), str(port), f"{folder}/bare.db"]
        begun = time.perf_counter()
        with subprocess.Popen(words, stdout=subprocess.PIPE) as bare:
            assert bare.stdout is not None
            bare.stdout.readline()
            ready = time.perf_counter() - begun
            memory = rss_mb(bare.pid)
            bare.kill()
    return ready, memory


def ours(url: str, port: int) -> tuple[float, float]:
    """Return seconds to ready (link up) and idle memory of the daemon after every heater has reported."""
    with tempfile.TemporaryDirectory() as folder:
        db = Path(folder) / "ingle.db"
        (Path(folder) / "house.toml").write_text(house())
        ingle("house", "load", str(Path(folder) / "house.toml"), "--db", str(db))
        begun = time.perf_counter()
        with Daemon(db, "--broker", url) as daemon:
            daemon.ready()
            ready = time.perf_counter() - begun
            until(lambda: daemon.get("/api/house/now")["broker"] == "up", "the link is up")
            publish(port, HEATERS * 5, "b1")
            zones = "/api/zones"
            until(lambda: all(z["temp_c"] is not None for z in daemon.get(zones)["zones"]), "every heater has reported")
            memory = rss_mb(daemon.process.pid)
            if loads_numpy(daemon.process.pid):
                raise AssertionError("the serving process has loaded numpy")
            daemon.stop()
    return ready, memory


def main() -> int:
    """Run from the command line."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--times", type=int, default=5)
    chosen = options.parse_args()
    with broker() as mosquitto:
        pairs: list[tuple[float, float]] = []
        bares: list[tuple[float, float]] = []

        def one() -> float:
            pairs.append(ours(mosquitto.url, mosquitto.port))
            return pairs[-1][0]

        def bare() -> float:
            bares.append(floor(mosquitto.port))
            return bares[-1][0]

        mine, base = repeat(chosen.times, one, bare)
    quick = verdict("start to ready", mine, base, 2.0, "s")
    small = verdict("idle memory, 31 heaters", [m for _, m in pairs], [m for _, m in bares], 1.4, "MB")
    return 0 if quick and small else 1


if __name__ == "__main__":
    sys.exit(main())
