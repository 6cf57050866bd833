"""CPU time of one reading through the whole path, against the same paho and SQLite pipeline alone.

    python tests/bench/ingest.py [--count 20000] [--times 5]

Prints the ratio of medians; the promise is at most 2.
"""

from __future__ import annotations

import argparse
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

import psutil
from common import broker, house, publish, repeat, verdict

from harness import Daemon, ingle, until


def cpu_s(pid: int) -> float:
    """Return the processor time a process has used [s]."""
    times = psutil.Process(pid).cpu_times()
    return float(times.user + times.system)


def rows(db: Path, table: str) -> int:
    """Return how many readings are stored."""
    connection = sqlite3.connect(f"file:{db}?mode=ro", uri=True)
    try:
        return int(connection.execute(f"SELECT count(*) FROM {table}").fetchone()[0])  # noqa: S608 - our own names
    except sqlite3.OperationalError:
        return 0
    finally:
        connection.close()


def floor(count: int) -> float:
    """Measure the bare pipeline [µs a message]."""
    with broker() as mosquitto, tempfile.TemporaryDirectory() as folder:
        db = Path(folder) / "floor.db"
        script = str(Path(__file__).parent / "floor_ingest.py")
        with subprocess.Popen([sys.executable, script, str(mosquitto.port), str(db)], stdout=subprocess.PIPE) as bare:
            assert bare.stdout is not None
            bare.stdout.readline()
            begun = cpu_s(bare.pid)
            publish(mosquitto.port, count, "b1")
            until(lambda: rows(db, "reading") >= count, "the floor stores everything", seconds=120, every=0.2)
            used = cpu_s(bare.pid) - begun
            bare.kill()
    return used / count * 1e6


def ours(count: int) -> float:
    """Measure the daemon [µs a message]."""
    with broker() as mosquitto, tempfile.TemporaryDirectory() as folder:
        db = Path(folder) / "ingle.db"
        house_file = Path(folder) / "house.toml"
        house_file.write_text(house())
        ingle("house", "load", str(house_file), "--db", str(db))
        with Daemon(db, "--broker", mosquitto.url) as daemon:
            daemon.ready()
            until(lambda: daemon.get("/api/house/now")["broker"] == "up", "the link is up")
            begun = cpu_s(daemon.process.pid)
            publish(mosquitto.port, count, "b1")
            until(lambda: rows(db, "reading") >= count, "ingle stores everything", seconds=120, every=0.2)
            used = cpu_s(daemon.process.pid) - begun
            daemon.stop()
    return used / count * 1e6


def main() -> int:
    """Run from the command line."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--count", type=int, default=20_000)
    options.add_argument("--times", type=int, default=5)
    chosen = options.parse_args()
    mine, bare = repeat(chosen.times, lambda: ours(chosen.count), lambda: floor(chosen.count))
    return 0 if verdict("ingest", mine, bare, 2.0, "µs CPU a message") else 1


if __name__ == "__main__":
    sys.exit(main())
